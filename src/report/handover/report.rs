//! The report of a hand-over.

use super::battery::{BatteryInput, BatteryRow, battery_doubts, battery_row, needed_ah};
use super::concern::concern;
use crate::settings::Settings;
use forecast::{Assessment, DeviceResult, RoamResult, Site};
use job::schedule::{
    BatteryError, Numbering, PanelDelays, REQUIREMENTS, Requirement, TestRow, Zone, concerns,
    free_numbers, test_rows, zones,
};
use plan::{Device, Plan};
use words::Words;

/// What a hand-over is made from, beside the forecast.
#[derive(Debug, Clone)]
pub struct HandoverInput<'a> {
    /// The words.
    pub words: &'a Words,
    /// The date, `YYYY-MM-DD`.
    pub date: String,
    /// Walks and delays.
    pub delays: &'a PanelDelays,
    /// The battery, where its loads are known.
    pub battery: Option<BatteryInput>,
    /// Numbers that were filled in.
    pub numbered: &'a [Numbering],
    /// What is doubtful in the plan and the site.
    pub doubts: Vec<String>,
}

/// One hand-over.
#[derive(Debug, Clone)]
pub struct HandoverReport {
    pub(super) words: Words,
    pub(super) plan: Plan,
    /// The date, `YYYY-MM-DD`.
    pub date: String,
    /// Settings of the forecast.
    pub model: Settings,
    pub(super) panel: Device,
    /// The zones, by number.
    pub zones: Vec<Zone>,
    /// Keypads, sirens and repeaters, by number.
    pub others: Vec<DeviceResult>,
    /// Portable transmitters.
    pub portables: Vec<RoamResult>,
    /// Ids of devices whose number was filled in.
    pub numbered: Vec<String>,
    /// Free numbers below the highest, each run as its first and last.
    pub free_numbers: Vec<(u32, u32)>,
    pub(super) delays: PanelDelays,
    /// The battery, where its loads were given.
    pub(super) battery: Option<BatteryRow>,
    /// What published codes ask, and the rated capacity that each needs with the loads, age and
    /// temperature of this sheet, Ah; with the sheet's alarm time where its own is not known.
    pub(super) requirements: Vec<(Requirement, Option<f64>)>,
    /// The test sheet.
    pub tests: Vec<TestRow>,
    /// What is doubtful.
    pub warnings: Vec<String>,
}

/// What is given out as the installer gave it.
const AS_GIVEN: [&str; 7] = [
    "model",
    "standby_ma",
    "alarm_ma",
    "required_standby_h",
    "temperature_c",
    "age_years",
    "rated_ah",
];

impl HandoverReport {
    /// The report of a hand-over.
    ///
    /// # Errors
    /// [`BatteryError`] for a temperature or age out of range.
    pub fn new(
        site: &Site<'_>,
        assessment: &Assessment,
        input: HandoverInput<'_>,
    ) -> Result<Self, BatteryError> {
        let (plan, words) = (site.plan, input.words);
        let battery = input.battery.as_ref().map(battery_row).transpose()?;
        let requirements = REQUIREMENTS.into_iter().map(|required| {
            let needed = input.battery.as_ref().map(|battery| needed_ah(&required, battery));
            Ok((required, needed.transpose()?))
        });
        let mut warnings = input.doubts;
        warnings.extend(concerns(plan).iter().map(|found| concern(words, found)));
        warnings.extend(input.delays.warnings.iter().cloned());
        let unreached = input.delays.unreached.iter();
        warnings.extend(unreached.map(|from| words.concern_unreached(&from.entry)));
        if input.delays.entries.is_empty() {
            warnings.push(words.delay_no_walk());
        }
        warnings.extend(battery.iter().flat_map(|battery| battery_doubts(words, battery)));
        let mut others = assessment.two_way.clone();
        others.sort_by_key(|row| (row.device.number.is_none(), row.device.number));
        Ok(Self {
            requirements: requirements.collect::<Result<_, BatteryError>>()?,
            words: words.clone(),
            plan: plan.clone(),
            date: input.date,
            model: Settings::new(site),
            panel: site.panel.device.clone(),
            zones: zones(plan, assessment, input.delays),
            others,
            portables: assessment.roams.clone(),
            numbered: input.numbered.iter().map(|n| n.id.clone()).collect(),
            free_numbers: free_numbers(plan),
            delays: input.delays.clone(),
            battery,
            tests: test_rows(assessment, &site.model),
            warnings,
        })
    }

    crate::json::as_json!(&AS_GIVEN);

    /// Name of a device's level.
    pub(super) fn level(&self, device: &Device) -> String {
        let level = self.plan.level(device.level);
        level.map_or_else(|| device.level.to_string(), |level| level.name.clone())
    }
}
