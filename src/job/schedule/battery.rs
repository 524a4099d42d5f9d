//! How long the panel's battery lasts, and how large it must be.
//!
//! Ampere-hours: capacity needed = (standby current × standby time + alarm current × alarm time) ×
//! cell-size factor for the temperature ÷ what age has left of the capacity; this is the sum that
//! BS 5839-1 (with a factor of 1.25), DIN VDE 0833-2 (1.25) and NFPA 72 (1.20, since 2022 1.25)
//! use, all three seen in secondary sources, none of them opened.
//!
//! # Not modelled
//! A sealed lead-acid battery gives its rated capacity over 20 hours; drawn faster it gives less.
//! No law for that is applied, because its constant is the battery's own;
//! [`StandbyTime::is_faster`] tells when it matters. Lithium batteries follow their data sheets.

use serde::Serialize;
use thiserror::Error;

/// Time over which the rated capacity of a small sealed battery is drawn, hours (common practice,
/// no source).
pub const RATED_HOURS: f64 = 20.0;

/// Share of the rated capacity that is left when a stationary battery is due to be replaced: 80 %
/// (IEEE Std 450 and 485, from memory, not confirmed; its inverse is the 1.25 of the codes above).
pub const CAPACITY_AT_END: f64 = 0.8;

/// Years until then (NFPA 72 once asked for replacement within five years of manufacture, seen in a
/// trade journal; the code itself not opened).
pub const SERVICE_LIFE_YEARS: f64 = 5.0;

/// Capacity, ampere-hours at the 20-hour rate.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
pub struct AmpereHours(pub f64);

/// A current, milliamperes.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
pub struct MilliAmperes(pub f64);

/// A time, hours.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
pub struct Hours(pub f64);

/// A temperature, °C.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
pub struct CellTemperature(pub f64);

/// Age of a battery, years.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize)]
pub struct AgeYears(pub f64);

/// What the panel with all that it feeds draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    /// In standby, not negative.
    pub standby: MilliAmperes,
    /// In alarm, not negative.
    pub alarm: MilliAmperes,
    /// How long the alarm at the end of the standby lasts, not negative.
    pub alarm_time: Hours,
}

/// In which state a battery is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Battery {
    /// Rated capacity.
    pub rated: AmpereHours,
    /// Age.
    pub age: AgeYears,
    /// Temperature.
    pub temperature: CellTemperature,
}

/// How long a battery lasts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandbyTime {
    /// What the battery gives at its age and temperature.
    pub usable: AmpereHours,
    /// Standby after which the alarm can still sound for its time; infinite without a standby load.
    pub standby: Hours,
    /// Whether the standby load empties the battery faster than its rated capacity is stated for,
    /// so that it gives less than is counted here.
    pub is_faster: bool,
}

/// Why a battery is not worked out.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum BatteryError {
    /// A temperature for which there is no factor.
    #[error(
        "a battery at {0} °C cannot be worked out; give {low} to {high} °C",
        low = CELL_SIZE[0].0,
        high = CELL_SIZE[CELL_SIZE.len() - 1].0
    )]
    Temperature(f64),
    /// An age out of range.
    #[error("a battery of {0} years: give 0 to {most}", most = MAX_AGE_YEARS)]
    Age(f64),
}

/// Greatest age for which the straight line is drawn on, years.
const MAX_AGE_YEARS: f64 = 15.0;

/// Cell-size correction factors for temperature, °C and factor: IEEE Std 485, table 1, for
/// lead-acid cells rated at 25 °C (from memory; the values from 4.4 °C on agree with the chart of a
/// public package for electricians who test batteries; the standard itself not opened). The table
/// is in degrees Fahrenheit in steps of 5, turned into °C and rounded to a tenth.
const CELL_SIZE: [(f64, f64); 19] = [
    (-3.9, 1.52),
    (-1.1, 1.43),
    (1.7, 1.35),
    (4.4, 1.30),
    (7.2, 1.25),
    (10.0, 1.19),
    (12.8, 1.15),
    (15.6, 1.11),
    (18.3, 1.08),
    (21.1, 1.04),
    (25.0, 1.00),
    (26.7, 0.98),
    (29.4, 0.96),
    (32.2, 0.94),
    (35.0, 0.93),
    (37.8, 0.91),
    (40.6, 0.89),
    (43.3, 0.88),
    (48.9, 0.86),
];

/// By how much a lead-acid battery must be larger than at 25 °C, between the table's rows in
/// proportion. Above 25 °C the factor is 1: what warmth adds it takes from the battery's life, and
/// it is not relied on (our own choice).
///
/// # Errors
/// [`BatteryError::Temperature`] outside −3.9 to 48.9 °C.
pub fn cell_size_factor(temperature: CellTemperature) -> Result<f64, BatteryError> {
    let t = temperature.0;
    let between = CELL_SIZE.windows(2).find_map(|pair| match pair {
        [(low, at_low), (high, at_high)] if (*low..=*high).contains(&t) => {
            Some(at_low + (at_high - at_low) * (t - low) / (high - low))
        }
        _ => None,
    });
    between.map(|factor| factor.max(1.0)).ok_or(BatteryError::Temperature(t))
}

/// Share of the rated capacity that is left: 1 when new, [`CAPACITY_AT_END`] at the end of
/// [`SERVICE_LIFE_YEARS`], a straight line through both (our own choice; real batteries hold up for
/// a while and then fall faster).
fn left(age: AgeYears) -> Result<f64, BatteryError> {
    if (0.0..=MAX_AGE_YEARS).contains(&age.0) {
        Ok(1.0 - (1.0 - CAPACITY_AT_END) * age.0 / SERVICE_LIFE_YEARS)
    } else {
        Err(BatteryError::Age(age.0))
    }
}

impl Load {
    /// What standby of some time and the alarm after it take from the battery.
    #[must_use]
    pub fn drawn(&self, standby: Hours) -> AmpereHours {
        AmpereHours((self.standby.0 * standby.0 + self.alarm.0 * self.alarm_time.0) / 1000.0)
    }

    /// The rated capacity that lets a battery of an age and temperature do that.
    pub fn needed(
        &self,
        standby: Hours,
        age: AgeYears,
        temperature: CellTemperature,
    ) -> Result<AmpereHours, BatteryError> {
        let factor = cell_size_factor(temperature)? / left(age)?;
        Ok(AmpereHours(self.drawn(standby).0 * factor))
    }
}

impl Battery {
    /// How long the battery carries a load.
    pub fn lasts(&self, load: &Load) -> Result<StandbyTime, BatteryError> {
        let usable = self.rated.0 * left(self.age)? / cell_size_factor(self.temperature)?;
        let for_standby = (usable - load.drawn(Hours(0.0)).0).max(0.0);
        Ok(StandbyTime {
            usable: AmpereHours(usable),
            standby: Hours(if load.standby.0 > 0.0 {
                for_standby / (load.standby.0 / 1000.0)
            } else {
                f64::INFINITY
            }),
            is_faster: load.standby.0 / 1000.0 > self.rated.0 / RATED_HOURS,
        })
    }
}

/// A code, or a part of one: its words say what it is for, and where it was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Code {
    /// A household's fire alarm.
    HouseholdFire,
    /// The fire alarm of protected premises.
    ProtectedPremises,
    /// An intruder alarm of a low grade.
    IntruderLow,
    /// An intruder alarm of a high grade.
    IntruderHigh,
    /// The same in the United Kingdom.
    IntruderUk,
    /// The fire alarm of a building.
    BuildingFire,
}

/// One requirement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Requirement {
    /// The document.
    pub document: &'static str,
    /// What of it; the messages `code_…` of each language say what it is for, `source_…` how far
    /// it was confirmed.
    pub code: Code,
    /// Standby, hours.
    pub standby_h: f64,
    /// Alarm after it, minutes; `None` where none was found.
    pub alarm_min: Option<f64>,
    /// By how much the capacity must exceed what is drawn; `None` where none was found.
    pub factor: Option<f64>,
}

/// Requirements that were found. None of the documents could be opened, so that the message
/// `source_…` of each says where it was seen; which of them holds for a site, its own codes say.
pub const REQUIREMENTS: [Requirement; 6] = [
    required("NFPA 72 (2007), 11.6.2(2)", Code::HouseholdFire, 24.0, Some(4.0), None),
    required("NFPA 72 (2022), 10.6", Code::ProtectedPremises, 24.0, Some(5.0), Some(1.25)),
    required("EN 50131-1", Code::IntruderLow, 12.0, None, None),
    required("EN 50131-1", Code::IntruderHigh, 60.0, None, None),
    required("PD 6662", Code::IntruderUk, 24.0, None, None),
    required("BS 5839-1", Code::BuildingFire, 24.0, Some(30.0), Some(1.25)),
];

/// A requirement: standby in hours, alarm in minutes, factor.
const fn required(
    document: &'static str,
    code: Code,
    standby_h: f64,
    alarm_min: Option<f64>,
    factor: Option<f64>,
) -> Requirement {
    Requirement { document, code, standby_h, alarm_min, factor }
}
