//! The battery of a hand-over: its figures, and what is doubtful about it.

use crate::json::rounded;
use crate::table::tenths;
use job::schedule::{
    AgeYears, AmpereHours, Battery, BatteryError, CellTemperature, Hours, Load, Requirement,
    StandbyTime,
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

/// What a battery needs and does.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BatteryFigures {
    pub(super) input: BatteryInput,
    /// Rated capacity needed.
    pub(super) needed: AmpereHours,
    /// How long the battery that is there lasts.
    pub(super) lasts: Option<StandbyTime>,
}

impl BatteryFigures {
    pub(super) fn new(input: BatteryInput) -> Result<Self, BatteryError> {
        let BatteryInput { rated, load, standby, temperature, age } = input;
        let needed = load.needed(standby, age, temperature)?;
        let battery = rated.map(|rated| Battery { rated, age, temperature });
        let lasts = battery.map(|battery| battery.lasts(&load)).transpose()?;
        Ok(Self { input, needed, lasts })
    }
}

/// The rated capacity that a code asks for with the loads, age and temperature of a sheet.
pub(super) fn needed_ah(
    required: &Requirement,
    input: &BatteryInput,
) -> Result<AmpereHours, BatteryError> {
    let own = required.alarm_min.map(|minutes| Hours(minutes / 60.0));
    let load = Load { alarm_time: own.unwrap_or(input.load.alarm_time), ..input.load };
    load.needed(Hours(required.standby_h), input.age, input.temperature)
}

/// A capacity rounded up to a tenth.
pub(super) fn up(words: &Words, capacity: AmpereHours) -> String {
    let tenths = (rounded(capacity.0) * 10.0 - 1e-6).ceil() / 10.0;
    words.plain(format!("{:.1}", tenths.max(0.0)))
}

/// What is doubtful about a battery.
pub(super) fn battery_doubts(words: &Words, battery: &BatteryFigures) -> Vec<String> {
    let mut doubts = Vec::new();
    let BatteryFigures { input, needed, lasts: Some(lasts) } = battery else {
        return doubts;
    };
    if let Some(rated) = input.rated.filter(|_| lasts.standby < input.standby) {
        doubts.push(words.battery_too_small(
            &words.plain(rated.0),
            &words.plain(tenths(lasts.standby.0)),
            &words.plain(input.standby.0),
            &up(words, *needed),
        ));
    }
    if lasts.is_faster {
        doubts.push(words.battery_too_fast());
    }
    doubts
}
