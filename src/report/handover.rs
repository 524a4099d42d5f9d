//! The machine-readable form of a hand-over.

use serde::Serialize;

use super::check::{PanelRow, RoamRow, Settings, chance, position, rounded};
use super::handover_words as words;
use forecast::{Assessment, DeviceResult, Finding, Site};
use job::schedule::{
    Active, AgeYears, AmpereHours, Battery, BatteryError, CellTemperature, Hours, Load, Numbering,
    PanelDelays, REQUIREMENTS, Response, Role, TestRow, TestStep, Zone, concerns, free_numbers,
    test_rows, zones,
};

/// What a hand-over is made from, beside the forecast.
#[derive(Debug, Clone)]
pub struct HandoverInput<'a> {
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

/// One hand-over.
#[derive(Debug, Clone, Serialize)]
pub struct HandoverReport {
    /// Name of the plan.
    pub plan: String,
    /// The date, `YYYY-MM-DD`.
    pub date: String,
    /// Settings of the forecast.
    pub model: Settings,
    /// The panel.
    pub panel: PanelRow,
    /// Its name.
    pub panel_name: String,
    /// Name of its level.
    pub panel_level: String,
    /// The zones, by number.
    pub zones: Vec<ZoneRow>,
    /// Keypads, sirens and repeaters, by number.
    pub others: Vec<OtherRow>,
    /// Portable transmitters.
    pub portables: Vec<RoamRow>,
    /// Ids of devices whose number was filled in.
    pub numbered: Vec<String>,
    /// Free numbers below the highest, each run as its first and last.
    pub free_numbers: Vec<(u32, u32)>,
    /// Walks and delays.
    pub delays: DelaysRow,
    /// The battery, where its loads were given.
    pub battery: Option<BatteryRow>,
    /// What published codes ask.
    pub requirements: Vec<RequirementRow>,
    /// The test sheet.
    pub tests: Vec<TestSheetRow>,
    /// What is doubtful.
    pub warnings: Vec<String>,
    /// What is easily forgotten.
    pub reminders: Vec<&'static str>,
    /// What to keep in mind.
    pub cautions: Vec<&'static str>,
}

/// One zone.
#[derive(Debug, Clone, Serialize)]
pub struct ZoneRow {
    /// Its number.
    pub number: Option<u32>,
    /// Id of the device.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Name of its level.
    pub level: String,
    /// Its room, where the plan says it.
    pub room: Option<String>,
    /// Room and level, for people.
    #[serde(skip)]
    pub place: String,
    /// What sort of device it is, as the plan says it.
    pub device: Option<String>,
    /// Its role.
    pub role: Option<Role>,
    /// Whether the role is proposed and not the plan's.
    pub role_is_proposed: bool,
    /// What the panel does when it trips.
    pub response: Option<Response>,
    /// Whether the panel watches that it checks in.
    pub supervised: bool,
    /// When it counts.
    pub active: Option<Active>,
    /// Entry delay that it starts, s.
    pub entry_delay_s: Option<f64>,
    /// How it is heard.
    #[serde(flatten)]
    pub heard: HeardBy,
}

/// How a device is heard.
#[derive(Debug, Clone, Serialize)]
pub struct HeardBy {
    /// Name of its link.
    pub link: String,
    /// Level over the level needed, dB.
    pub margin_db: f64,
    /// Chance of a supervision fault in a year, 0 to 1.
    pub fault_per_year: f64,
    /// Its finding.
    pub finding: Finding,
    /// The repeater that it takes, or null for the panel.
    pub via: Option<String>,
}

/// A device that is no sensor.
#[derive(Debug, Clone, Serialize)]
pub struct OtherRow {
    /// Its number.
    pub number: Option<u32>,
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Name of its level.
    pub level: String,
    /// Its room, where the plan says it.
    pub room: Option<String>,
    /// Room and level, for people.
    #[serde(skip)]
    pub place: String,
    /// What it is.
    pub kind: &'static str,
    /// Whether the panel watches that it checks in.
    pub supervised: bool,
    /// How it is heard.
    #[serde(flatten)]
    pub heard: HeardBy,
}

/// Walks and delays.
#[derive(Debug, Clone, Serialize)]
pub struct DelaysRow {
    /// Entry delay to set, s: the longest; null without a walk.
    pub entry_s: Option<f64>,
    /// Exit delay to set, s: never less than that.
    pub exit_s: Option<f64>,
    /// Every entry from which the panel can be reached.
    pub entries: Vec<EntryRow>,
    /// Ids of entries from which it cannot.
    pub unreached: Vec<String>,
    /// Shortest and longest entry delay, s.
    pub entry_limits_s: [u32; 2],
    /// Shortest and longest exit delay, s.
    pub exit_limits_s: [u32; 2],
    /// Where the limits come from.
    pub source: &'static str,
}

/// The walk from one entry.
#[derive(Debug, Clone, Serialize)]
pub struct EntryRow {
    /// The entry.
    pub entry: String,
    /// Length, metres.
    pub length_m: f64,
    /// Time on the way, s.
    pub walk_s: f64,
    /// Entry delay needed: walk and disarming, rounded up, s.
    pub needed_s: f64,
    /// Entry delay to set for this entry, s.
    pub entry_delay_s: f64,
}

/// The battery.
#[derive(Debug, Clone, Serialize)]
pub struct BatteryRow {
    /// Standby load, mA.
    pub standby_ma: f64,
    /// Alarm load, mA.
    pub alarm_ma: f64,
    /// Time in alarm, minutes.
    pub alarm_min: f64,
    /// Standby asked for, hours.
    pub required_standby_h: f64,
    /// Temperature, °C.
    pub temperature_c: f64,
    /// Age at which it must still do it, years.
    pub age_years: f64,
    /// Rated capacity needed, Ah.
    pub needed_ah: f64,
    /// Rated capacity of the battery, Ah.
    pub rated_ah: Option<f64>,
    /// What it gives at that age and temperature, Ah.
    pub usable_ah: Option<f64>,
    /// Standby after which the alarm still sounds for its time, hours.
    pub standby_h: Option<f64>,
    /// Whether that is as long as asked for.
    pub is_enough: Option<bool>,
    /// Whether the load is greater than the rated capacity is stated for.
    pub is_faster: bool,
}

/// One published requirement.
#[derive(Debug, Clone, Serialize)]
pub struct RequirementRow {
    /// The document.
    pub document: &'static str,
    /// What it is for.
    pub for_what: &'static str,
    /// Standby, hours.
    pub standby_h: f64,
    /// Alarm after it, minutes, where known.
    pub alarm_min: Option<f64>,
    /// Its own factor on the capacity, where known.
    pub factor: Option<f64>,
    /// Rated capacity that it needs with the loads, age and temperature of this sheet, Ah; with the
    /// sheet's alarm time where its own is not known.
    pub needed_ah: Option<f64>,
    /// How far it was confirmed.
    pub source: &'static str,
}

/// One device on the test sheet.
#[derive(Debug, Clone, Serialize)]
pub struct TestSheetRow {
    /// Its number.
    pub number: Option<u32>,
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Room and level, for people.
    #[serde(skip)]
    pub place: String,
    /// How it is tried.
    #[serde(skip)]
    pub step: TestStep,
    /// Where the reading is taken: a repeater's id, or null for the panel.
    pub at: Option<String>,
    /// Reading foretold, dBm.
    pub expected_dbm: f64,
    /// Nine readings in ten lie above this, dBm …
    pub low_dbm: f64,
    /// … and below this.
    pub high_dbm: f64,
    /// Its finding.
    pub finding: Finding,
}

impl HeardBy {
    fn new(result: &DeviceResult) -> Self {
        Self {
            link: result.link.name.clone(),
            margin_db: rounded(result.hop.ledger.margin_db.0),
            fault_per_year: chance(result.fault_per_year),
            finding: result.finding,
            via: result.via.clone(),
        }
    }
}

impl HandoverReport {
    /// Puts a hand-over into its machine-readable form.
    ///
    /// # Errors
    /// [`BatteryError`] for a temperature or age out of range.
    pub fn new(
        site: &Site<'_>,
        assessment: &Assessment,
        input: HandoverInput<'_>,
    ) -> Result<Self, BatteryError> {
        let plan = site.plan;
        let level = |number: i32| {
            let level = plan.level(number);
            level.map_or_else(|| number.to_string(), |level| level.name.clone())
        };
        let panel = &site.panel.device;
        let battery = input.battery.as_ref().map(battery_row).transpose()?;
        let requirements = requirement_rows(input.battery.as_ref())?;
        let mut warnings = input.doubts;
        warnings.extend(concerns(plan).iter().map(words::concern));
        warnings.extend(input.delays.warnings.iter().cloned());
        let unreached = input.delays.unreached.iter();
        warnings.extend(unreached.map(|entry| words::unreached(&entry.entry)));
        if input.delays.entries.is_empty() {
            warnings.push(words::NO_WALK.to_owned());
        }
        warnings.extend(battery.iter().flat_map(words::battery_doubts));
        let mut others: Vec<OtherRow> = assessment
            .two_way
            .iter()
            .map(|result| OtherRow {
                number: result.device.number,
                id: result.device.id.clone(),
                name: result.device.name.clone(),
                level: level(result.device.level),
                room: result.device.room.clone(),
                place: plan.place_of(&result.device),
                kind: result.device.kind.word(),
                supervised: result.device.supervised,
                heard: HeardBy::new(result),
            })
            .collect();
        others.sort_by_key(|row| (row.number.is_none(), row.number));
        Ok(Self {
            plan: plan.name.clone(),
            date: input.date,
            model: Settings::new(site),
            panel: PanelRow { id: panel.id.clone(), position_m: position(panel) },
            panel_name: panel.name.clone(),
            panel_level: level(panel.level),
            zones: zones(plan, assessment, input.delays)
                .iter()
                .map(|zone| zone_row(zone, level(zone.result.device.level)))
                .collect(),
            others,
            portables: assessment.roams.iter().map(RoamRow::new).collect(),
            numbered: input.numbered.iter().map(|n| n.id.clone()).collect(),
            free_numbers: free_numbers(plan),
            delays: delays_row(input.delays),
            battery,
            requirements,
            tests: test_rows(assessment, &site.model)
                .iter()
                .map(|row| test_row(row, plan.place_of(&row.result.device)))
                .collect(),
            warnings,
            reminders: words::REMINDERS.to_vec(),
            cautions: super::CAUTIONS.to_vec(),
        })
    }

    /// The report as JSON, with a line feed at its end.
    ///
    /// # Errors
    /// What `serde_json` answers; a report holds nothing that it refuses.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        Ok(serde_json::to_string_pretty(self)? + "\n")
    }
}

fn zone_row(zone: &Zone, level: String) -> ZoneRow {
    let device = &zone.result.device;
    ZoneRow {
        number: device.number,
        id: device.id.clone(),
        name: device.name.clone(),
        level,
        room: device.room.clone(),
        place: zone.place.clone(),
        device: device.device.clone(),
        role: zone.role,
        role_is_proposed: zone.role_is_proposed,
        response: zone.response,
        supervised: device.supervised,
        active: zone.active,
        entry_delay_s: zone.entry_delay_s,
        heard: HeardBy::new(&zone.result),
    }
}

fn delays_row(delays: &PanelDelays) -> DelaysRow {
    let limits = &delays.limits.limits;
    let entries = delays.entries.iter().map(|one| EntryRow {
        entry: one.walk.entry.clone(),
        length_m: rounded(one.walk.length_m),
        walk_s: rounded(one.walk.time_s),
        needed_s: rounded(one.delay.needed_s),
        entry_delay_s: rounded(one.delay.proposed_s),
    });
    DelaysRow {
        entry_s: delays.entry_s,
        exit_s: delays.exit_s,
        entries: entries.collect(),
        unreached: delays.unreached.iter().map(|u| u.entry.clone()).collect(),
        entry_limits_s: [limits.entry_least_s, limits.entry_most_s],
        exit_limits_s: [limits.exit_least_s, limits.exit_most_s],
        source: PanelDelays::source(),
    }
}

fn battery_row(input: &BatteryInput) -> Result<BatteryRow, BatteryError> {
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

fn requirement_rows(input: Option<&BatteryInput>) -> Result<Vec<RequirementRow>, BatteryError> {
    let rows = REQUIREMENTS.iter().map(|required| {
        let needed = input.map(|input| {
            let own = required.alarm_min.map(|minutes| Hours(minutes / 60.0));
            let load = Load { alarm_time: own.unwrap_or(input.load.alarm_time), ..input.load };
            load.needed(Hours(required.standby_h), input.age, input.temperature)
        });
        Ok(RequirementRow {
            document: required.document,
            for_what: required.for_what,
            standby_h: required.standby_h,
            alarm_min: required.alarm_min,
            factor: required.factor,
            needed_ah: needed.transpose()?.map(|needed| rounded(needed.0)),
            source: required.source,
        })
    });
    rows.collect()
}

fn test_row(row: &TestRow, place: String) -> TestSheetRow {
    let device = &row.result.device;
    TestSheetRow {
        number: device.number,
        id: device.id.clone(),
        name: device.name.clone(),
        place,
        step: row.step,
        at: row.result.via.clone(),
        expected_dbm: rounded(row.expected.level.0),
        low_dbm: rounded(row.expected.low.0),
        high_dbm: rounded(row.expected.high.0),
        finding: row.result.finding,
    }
}
