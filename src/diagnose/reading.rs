//! One reading, in the terms of the model.

use std::collections::BTreeSet;

use units::Dbm;

/// What was read or noted, once.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Id of the device of the plan; `None` for a reading of the listener alone (its noise floor).
    pub sensor: Option<String>,
    /// Id of the repeater at which it was read; `None` for the panel.
    pub listener: Option<String>,
    /// When, minutes since 1970-01-01T00:00Z; `None` if it was not written down.
    pub time_min: Option<f64>,
    /// What was seen.
    pub seen: Seen,
    /// What had been changed before it was read.
    pub circumstance: Circumstance,
    /// What the panel or the installer said beside it.
    pub remarks: Vec<Remark>,
    /// Line in the file, from 1 (the number of the entry in a JSON list); 0 for none. A level and
    /// the check-in by which it was read share a line.
    pub line: usize,
}

impl Reading {
    /// Whether it has a level, or two between which it lies.
    pub(crate) const fn has_level(&self) -> bool {
        matches!(self.seen, Seen::Level(_) | Seen::Between { .. })
    }

    /// Whether it is a check-in that was heard.
    pub(crate) const fn is_heard(&self) -> bool {
        matches!(self.seen, Seen::CheckIn { heard: true })
    }
}

/// The lines of those readings that are of a kind. A line is of one sensor at one listener.
pub(super) fn lines_of<'r>(
    readings: impl IntoIterator<Item = &'r Reading>,
    is: fn(&Reading) -> bool,
) -> BTreeSet<usize> {
    let own = readings.into_iter().filter(|one| one.line > 0 && is(one));
    own.map(|one| one.line).collect()
}

/// What a panel shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Seen {
    /// A level.
    Level(Dbm),
    /// A level known only between two ends, as bars or per cent show it; an end may be open.
    Between {
        /// Lower end.
        low: Option<Dbm>,
        /// Upper end.
        high: Option<Dbm>,
    },
    /// One check-in, or one test transmission, and whether it was heard.
    CheckIn {
        /// Whether it was.
        heard: bool,
    },
    /// Nothing was heard for a whole supervision window.
    Lost,
    /// The noise floor at the listener, in the link's bandwidth.
    NoiseFloor(Dbm),
    /// Nothing but remarks.
    Nothing,
}

/// What had been changed before a reading was taken. Each lasts for that reading only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Circumstance {
    /// All as it was found.
    #[default]
    AsFound,
    /// At another hour of the day.
    OtherHour,
    /// Another sensor of the same link, known to be sound, held at this place.
    Swapped,
    /// The sensor moved by a quarter of a wavelength or so.
    Moved,
    /// With a fresh battery.
    FreshBattery,
    /// With the door or whatever stands before the sensor open or out of the way.
    WayCleared,
}

/// What was said beside a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Remark {
    /// The device reports a low battery.
    BatteryLow,
    /// The device reports that its case or its wall contact is open.
    Tamper,
}
