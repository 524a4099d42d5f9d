//! The battery of a hand-over: its figures, and what is doubtful about it.

use serde::Serialize;

use crate::json::rounded;
use job::schedule::{
    AgeYears, AmpereHours, Battery, BatteryError, CellTemperature, Hours, Load, Requirement,
};
use words::Words;

/// The battery as the installer describes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BatteryInput {
    /// Rated capacity of the battery that is there, if any.
    pub rated: Option<AmpereHours>,
    /// What the panel draws.
    pub load: Load,
    /// How long it shall last before the alarm.
    pub standby: Hours,
    /// Temperature where it hangs.
    pub temperature: CellTemperature,
    /// Age at which it must still do that.
    pub age: AgeYears,
}

/// The battery.
#[derive(Debug, Clone, Serialize)]
pub(super) struct BatteryRow {
    pub(super) standby_ma: f64,
    pub(super) alarm_ma: f64,
    pub(super) alarm_min: f64,
    pub(super) required_standby_h: f64,
    pub(super) temperature_c: f64,
    /// Age at which it must still do it, years.
    pub(super) age_years: f64,
    /// Rated capacity needed, Ah.
    pub(super) needed_ah: f64,
    /// Rated capacity of the battery, Ah.
    pub(super) rated_ah: Option<f64>,
    /// What it gives at that age and temperature, Ah.
    pub(super) usable_ah: Option<f64>,
    /// Standby after which the alarm still sounds for its time, hours.
    pub(super) standby_h: Option<f64>,
    pub(super) is_enough: Option<bool>,
    /// Whether the load is greater than the rated capacity is stated for.
    pub(super) is_faster: bool,
}

pub(super) fn battery_row(input: &BatteryInput) -> Result<BatteryRow, BatteryError> {
    let BatteryInput { rated, load, standby, temperature, age } = *input;
    let needed = load.needed(standby, age, temperature)?;
    let battery = rated.map(|rated| Battery { rated, age, temperature });
    let lasts = battery.map(|battery| battery.lasts(&load)).transpose()?;
    Ok(BatteryRow {
        standby_ma: load.standby.0,
        alarm_ma: load.alarm.0,
        alarm_min: rounded(load.alarm_time.0 * 60.0),
        required_standby_h: standby.0,
        temperature_c: temperature.0,
        age_years: age.0,
        needed_ah: rounded(needed.0),
        rated_ah: rated.map(|rated| rated.0),
        usable_ah: lasts.map(|lasts| rounded(lasts.usable.0)),
        standby_h: lasts.map(|lasts| rounded(lasts.standby.0)),
        is_enough: lasts.map(|lasts| lasts.standby.0 >= standby.0),
        is_faster: lasts.is_some_and(|lasts| lasts.is_faster),
    })
}

/// The rated capacity that a code asks for with the loads, age and temperature of a sheet, Ah.
pub(super) fn needed_ah(required: &Requirement, input: &BatteryInput) -> Result<f64, BatteryError> {
    let own = required.alarm_min.map(|minutes| Hours(minutes / 60.0));
    let load = Load { alarm_time: own.unwrap_or(input.load.alarm_time), ..input.load };
    let needed = load.needed(Hours(required.standby_h), input.age, input.temperature)?;
    Ok(rounded(needed.0))
}

/// A capacity rounded up to a tenth.
pub(super) fn up(words: &Words, ah: f64) -> String {
    words.plain(format!("{:.1}", ((ah * 10.0 - 1e-6).ceil() / 10.0).max(0.0)))
}

/// What is doubtful about a battery.
pub(super) fn battery_doubts(words: &Words, row: &BatteryRow) -> Vec<String> {
    let mut doubts = Vec::new();
    if let (Some(false), Some(rated), Some(hours)) = (row.is_enough, row.rated_ah, row.standby_h) {
        doubts.push(words.battery_too_small(
            &words.plain(rated),
            &words.plain(format!("{hours:.1}")),
            &words.plain(row.required_standby_h),
            &up(words, row.needed_ah),
        ));
    }
    if row.is_faster {
        doubts.push(words.battery_too_fast());
    }
    doubts
}
