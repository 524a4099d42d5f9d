//! The columns of a table of readings, and the words for them.

use input::{fix_name, quoted};

/// What is wrong, and how to fix it.
pub(super) type Words = (String, String);

/// What a column holds, by its plainest name. The name counts where the sensor is left blank; `At`
/// is the repeater, blank for the panel; levels and noise are in dBm. Whether a device trips,
/// restores and reports tamper is for the test sheet, and no reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs, reason = "the names of the columns say it")]
pub enum Column {
    Sensor,
    Name,
    Date,
    Time,
    At,
    Level,
    Bars,
    Percent,
    Heard,
    Noise,
    Note,
    Trips,
    Restores,
    Tamper,
}

pub(super) const COLUMNS: usize = 14;

/// The names of each column with a space between, the plainest first.
pub(super) const NAMES: [(Column, &str); COLUMNS] = [
    (
        Column::Sensor,
        "sensor sensor_id id device device_id number no sensor_no sensor_number zone \
         transmitter",
    ),
    (Column::Name, "name sensor_name device_name label"),
    (Column::Date, "date day"),
    (Column::Time, "time datetime date_time timestamp when"),
    (Column::At, "at read_at listener repeater via receiver"),
    (
        Column::Level,
        "level_dbm level dbm rssi rssi_dbm signal signal_dbm signal_level \
         signal_level_dbm strength signal_strength strength_dbm",
    ),
    (Column::Bars, "bars bar signal_bars"),
    (Column::Percent, "percent % percentage signal_percent signal_% level_%"),
    (Column::Heard, "heard check_in checkin received status result"),
    (Column::Noise, "noise_dbm noise noise_floor noise_floor_dbm noise_level background"),
    (Column::Note, "note notes remark remarks comment comments"),
    (Column::Trips, "trips opened"),
    (Column::Restores, "restores closed"),
    (Column::Tamper, "tamper tampered"),
];

impl Column {
    /// The plainest name.
    #[must_use]
    pub fn name(self) -> &'static str {
        let own = NAMES.iter().find(|(column, _)| *column == self);
        own.and_then(|(_, names)| names.split(' ').next()).unwrap_or_default()
    }

    /// The column of a name as a file has it; case, spaces and brackets do not count.
    pub(super) fn of(name: &str) -> Option<Self> {
        let mut plain = String::new();
        for character in name.trim().chars().flat_map(char::to_lowercase).take(64) {
            if character.is_alphanumeric() || character == '%' {
                plain.push(character);
            } else if !plain.ends_with('_') && !plain.is_empty() {
                plain.push('_');
            }
        }
        let plain = plain.trim_end_matches('_');
        let own = NAMES.iter().find(|(_, names)| names.split(' ').any(|name| name == plain));
        own.map(|(column, _)| *column)
    }

    /// The column of a plainest name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        NAMES.iter().map(|(column, _)| *column).find(|column| column.name() == name)
    }

    /// Whether it is for the test sheet alone.
    pub(super) fn is_tick(self) -> bool {
        matches!(self, Self::Trips | Self::Restores | Self::Tamper)
    }

    /// Whether it holds something that was seen.
    pub(super) fn is_value(self) -> bool {
        matches!(
            self,
            Self::Level | Self::Bars | Self::Percent | Self::Heard | Self::Noise | Self::Note
        )
    }
}

/// How to fix a name that is no column.
pub(super) fn unknown_column(name: &str) -> Words {
    let plain = NAMES.iter().map(|(column, _)| column.name());
    (
        format!("the column {} is not known, so it is not used", quoted(name)),
        fix_name(name, plain, "leave it if it is for people"),
    )
}
