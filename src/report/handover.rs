//! What is programmed and tested at the end: `handover`.

mod document;
mod mounting;
mod programming;
mod table;
mod words;

pub use self::words::{concern_words, step_words};
pub use document::handover_document;
pub use table::{READINGS_HEADER, handover_table, readings_csv, zones_csv};

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;

use crate::check::{PanelRow, RoamRow};
use crate::json::{as_json, objects, rounded, rows};
use crate::settings::Settings;
use crate::table::{cautions, tenths, too_long};
use crate::whereabouts::{Places, spot_words};
use ::words::Words;
use diagnose::Seen;
use diagnose::readings::{BarScale, Sheet, SheetRow};
use forecast::{Assessment, DeviceResult, RoamResult, Site};
use job::schedule::{
    AgeYears, AmpereHours, Battery, BatteryError, CellTemperature, EntryDelay, Fixing, Hours, Load,
    Numbering, PanelDelays, REQUIREMENTS, Requirement, StandbyTime, TestRow, Zone, concerns,
    fixing, free_numbers, test_rows, zones,
};
use plan::{Device, Plan};
use siting::delay::DelayLimits;
use words::{reminders, term};

/// What a hand-over is made from, beside the forecast.
#[derive(Debug, Clone)]
pub struct HandoverInput<'a> {
    /// The words.
    pub words: &'a Words,
    /// The date, `YYYY-MM-DD`.
    pub date: String,
    /// Walks and delays; `None` where the plan is too large for walks.
    pub delays: Option<&'a PanelDelays>,
    /// The battery, where its loads are known.
    pub battery: Option<BatteryInput>,
    /// Numbers that were filled in.
    pub numbered: &'a [Numbering],
    /// From which level the panel shows how many bars, if it shows bars.
    pub bars: Option<BarScale>,
    /// Where an existing system is taken over: the ids of the devices that are kept.
    pub take_over: Option<BTreeSet<String>>,
    /// What was read and tried so far, by device; empty where the sheet is to be filled in by hand.
    pub sheet: Sheet,
    /// What is doubtful in the plan and the site.
    pub doubts: Vec<String>,
}

/// Where a device hangs.
#[derive(Debug, Clone)]
struct Spot {
    /// In words, with its height.
    place: String,
    /// Height above its floor, metres.
    height_m: f64,
    /// What it is fixed to.
    fixing: Option<Fixing>,
}

/// What is enrolled again where a system is taken over.
#[derive(Debug, Clone, Serialize)]
struct TakenOver {
    number: Option<u32>,
    id: String,
    name: String,
    /// Whether it stays, enrolled again all the same; `None` where no list says it.
    kept: Option<bool>,
}

/// One hand-over.
#[derive(Debug, Clone)]
pub struct HandoverReport {
    words: Words,
    plan: Plan,
    date: String,
    model: Settings,
    panel: Device,
    /// The zones, by number.
    pub zones: Vec<Zone>,
    /// Keypads, sirens and repeaters, by number.
    others: Vec<DeviceResult>,
    portables: Vec<RoamResult>,
    /// Ids of devices whose number was filled in.
    numbered: Vec<String>,
    /// Free numbers below the highest, each run as its first and last.
    pub free_numbers: Vec<(u32, u32)>,
    delays: PanelDelays,
    /// What the entries of the delays are called, by their ids.
    entries: BTreeMap<String, String>,
    battery: Option<BatteryFigures>,
    /// What published codes ask, and the rated capacity that each needs with the loads, age and
    /// temperature of this sheet; with the sheet's alarm time where its own is not known.
    requirements: Vec<(Requirement, Option<AmpereHours>)>,
    /// Where every device hangs, by its id.
    spots: BTreeMap<String, Spot>,
    bars: Option<BarScale>,
    take_over: Option<BTreeSet<String>>,
    /// The test sheet.
    pub tests: Vec<TestRow>,
    sheet: Sheet,
    /// What is doubtful in the plan's file and the site.
    doubts: Vec<String>,
    /// What is doubtful in the schedule, the delays and the battery.
    warnings: Vec<String>,
}

/// What is given out as the installer gave it.
const AS_GIVEN: &str =
    "model standby_ma alarm_ma required_standby_h temperature_c age_years rated_ah";

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
        let battery = input.battery.map(BatteryFigures::new).transpose()?;
        let requirements = REQUIREMENTS.into_iter().map(|required| {
            let needed = input.battery.as_ref().map(|battery| needed_ah(&required, battery));
            Ok((required, needed.transpose()?))
        });
        let mut warnings = Vec::new();
        let places = Places::new(plan);
        warnings.extend(concern_words(words, plan, &concerns(plan)));
        let delays = input.delays.cloned().unwrap_or_default();
        warnings.extend(delays.too_long.iter().map(|over| too_long(words, over)));
        let unreached = delays.unreached.iter();
        warnings.extend(
            unreached.map(|from| words.concern_unreached(&places.opening(words, &from.entry))),
        );
        match input.delays {
            None => warnings.push(words.delay_no_map()),
            Some(_) if delays.entries.is_empty() => warnings.push(words.delay_no_walk()),
            Some(_) => {}
        }
        warnings.extend(battery.iter().flat_map(|battery| battery_doubts(words, battery)));
        let mut others = assessment.two_way.clone();
        others.sort_by_key(|row| (row.device.number.is_none(), row.device.number));
        Ok(Self {
            requirements: requirements.collect::<Result<_, BatteryError>>()?,
            words: *words,
            plan: plan.clone(),
            date: input.date,
            model: Settings::new(site),
            panel: site.panel.device.clone(),
            zones: zones(plan, assessment, &delays),
            others,
            portables: assessment.roams.clone(),
            numbered: input.numbered.iter().map(|n| n.id.clone()).collect(),
            free_numbers: free_numbers(plan),
            entries: entry_names(words, &places, &delays),
            delays,
            battery,
            spots: spots(words, plan, &site.panel.device, &places),
            bars: input.bars,
            take_over: input.take_over,
            tests: test_rows(assessment, site),
            sheet: input.sheet,
            doubts: input.doubts,
            warnings,
        })
    }

    as_json!(HandoverRow, AS_GIVEN);

    /// All that is doubtful.
    #[must_use]
    pub fn warnings(&self) -> Vec<String> {
        self.doubts.iter().chain(&self.warnings).cloned().collect()
    }

    /// Zones, then keypads, sirens and repeaters.
    fn results(&self) -> impl Iterator<Item = &DeviceResult> {
        self.zones.iter().map(|zone| &zone.result).chain(&self.others)
    }

    /// Everything that is enrolled again where a system is taken over: devices, fobs, pendants.
    fn taken_over(&self) -> Option<Vec<TakenOver>> {
        let keep = self.take_over.as_ref()?;
        let one = |number, id: &String, name: &String| TakenOver {
            number,
            id: id.clone(),
            name: name.clone(),
            kept: (!keep.is_empty()).then(|| keep.contains(id)),
        };
        let devices = self.results().map(|result| &result.device);
        let carried = self.portables.iter().map(|result| &result.roam);
        let devices = devices.map(|device| one(device.number, &device.id, &device.name));
        Some(devices.chain(carried.map(|roam| one(None, &roam.id, &roam.name))).collect())
    }

    fn spot(&self, device: &Device) -> Option<&Spot> {
        self.spots.get(&device.id)
    }

    /// The fewest bars that show that a reading passes; `None` without a scale, or where its
    /// last bar still leaves it open.
    fn pass_bars(&self, row: &TestRow) -> Option<usize> {
        let scale = self.bars.as_ref()?;
        let low = |bars: usize| match scale.seen(bars) {
            Some(Seen::Between { low, .. }) => low,
            _ => None,
        };
        (1..=scale.most()).find(|bars| low(*bars).is_some_and(|low| low >= row.pass))
    }

    /// What was read of a device and tried there.
    fn entry(&self, row: &TestRow) -> Option<&SheetRow> {
        self.sheet.get(&row.result.device.id)
    }

    fn level(&self, device: &Device) -> String {
        let level = self.plan.level(device.level);
        level.map_or_else(|| device.level.to_string(), |level| level.name.clone())
    }
}

fn entry_names(
    words: &Words,
    places: &Places<'_>,
    delays: &PanelDelays,
) -> BTreeMap<String, String> {
    let ids = delays.entries.iter().map(|one| &one.walk.entry);
    ids.map(|id| (id.clone(), places.opening(words, id))).collect()
}

/// Where the panel and all devices of a plan hang.
fn spots(
    words: &Words,
    plan: &Plan,
    panel: &Device,
    places: &Places<'_>,
) -> BTreeMap<String, Spot> {
    let devices = plan.devices.iter().filter(|device| device.id != panel.id).chain([panel]);
    let devices: Vec<&Device> = devices.collect();
    let found = places.devices(&devices);
    let spot = |(device, at): (&Device, plan::Whereabouts)| {
        let wall = at.wall.as_ref().map(|wall| wall.id.as_str());
        let spot = Spot {
            place: spot_words(words, plan.lengths(), &at),
            height_m: at.height_m,
            fixing: fixing(plan, device, wall),
        };
        (device.id.clone(), spot)
    };
    devices.into_iter().zip(found).map(spot).collect()
}

objects! {
    /// The whole report.
    HandoverRow(report: HandoverReport) {
        "plan": report.plan.name,
        "date": report.date,
        "model": report.model,
        "panel": PanelRow(&report.panel),
        "panel_name": report.panel.name,
        "panel_level": report.level(&report.panel),
        "zones": rows(&report.zones, |zone| ZoneRow(report, zone)),
        "others": rows(&report.others, |result| OtherRow(report, result)),
        "portables": rows(&report.portables, RoamRow),
        "numbered": report.numbered,
        "free_numbers": report.free_numbers,
        "delays": DelaysRow(&report.delays),
        "battery": report.battery.as_ref().map(BatteryRow),
        "requirements": rows(&report.requirements, |one| RequirementRow(&report.words, one)),
        "tests": rows(&report.tests, |row| TestSheetRow(report, row)),
        // Every device, fob and pendant of a system that is taken over; null where it is new.
        "take_over": report.taken_over(),
        "warnings": report.warnings(),
        "reminders": reminders(&report.words),
        "cautions": cautions(&report.words),
    }

    /// One zone.
    ZoneRow(report: HandoverReport, zone: Zone) {
        "number": zone.result.device.number,
        "id": zone.result.device.id,
        "name": zone.result.device.name,
        "level": report.level(&zone.result.device),
        "room": zone.result.device.room,
        // Where it hangs, in words, and how high above its floor.
        "where": report.spot(&zone.result.device).map(|spot| &spot.place),
        "height_m": report.spot(&zone.result.device).map(|spot| spot.height_m),
        "serial": zone.result.device.serial,
        "device": zone.result.device.device,
        "role": zone.role,
        // Whether the role is proposed and not the plan's.
        "role_is_proposed": zone.role_is_proposed,
        "response": zone.response,
        "supervised": zone.result.device.supervised,
        "active": zone.active,
        "entry_delay_s": zone.entry_delay_s,
        "link": zone.result.link.name,
        "margin_db": zone.result.hop.ledger.margin_db,
        "fault_per_year": zone.result.fault_per_year,
        "finding": zone.result.finding,
        "via": zone.result.via,
    }

    /// A device that is no sensor.
    OtherRow(report: HandoverReport, result: DeviceResult) {
        "number": result.device.number,
        "id": result.device.id,
        "name": result.device.name,
        "level": report.level(&result.device),
        "room": result.device.room,
        "where": report.spot(&result.device).map(|spot| &spot.place),
        "height_m": report.spot(&result.device).map(|spot| spot.height_m),
        "serial": result.device.serial,
        "kind": result.device.kind.word(),
        "supervised": result.device.supervised,
        "link": result.link.name,
        "margin_db": result.hop.ledger.margin_db,
        "fault_per_year": result.fault_per_year,
        "finding": result.finding,
        "via": result.via,
    }

    /// Walks and delays.
    DelaysRow(delays: PanelDelays) {
        // To set: the longest; null without a walk.
        "entry_s": delays.entry_s,
        // To set: never less than that.
        "exit_s": delays.exit_s,
        "entries": rows(&delays.entries, EntryRow),
        // Entries from which the panel cannot be reached.
        "unreached": rows(&delays.unreached, |one| &one.entry),
        "entry_limits_s": [delays.limits.limits.entry_least_s, delays.limits.limits.entry_most_s],
        "exit_limits_s": [delays.limits.limits.exit_least_s, delays.limits.limits.exit_most_s],
        "source": DelayLimits::SOURCE,
    }

    /// The walk from one entry and the delay of this entry.
    EntryRow(one: EntryDelay) {
        "entry": one.walk.entry,
        "length_m": one.walk.length_m,
        "walk_s": one.walk.time_s,
        "needed_s": one.delay.needed_s,
        "entry_delay_s": one.delay.proposed_s,
    }

    /// The battery.
    BatteryRow(battery: BatteryFigures) {
        "standby_ma": battery.input.load.standby,
        "alarm_ma": battery.input.load.alarm,
        "alarm_min": battery.input.load.alarm_time.0 * 60.0,
        "required_standby_h": battery.input.standby,
        "temperature_c": battery.input.temperature,
        "age_years": battery.input.age,
        "needed_ah": battery.needed,
        "rated_ah": battery.input.rated,
        // What it gives at that age and temperature.
        "usable_ah": battery.lasts.map(|lasts| lasts.usable),
        // After which the alarm still sounds for its time.
        "standby_h": battery.lasts.map(|lasts| lasts.standby),
        "is_enough": battery.lasts.map(|lasts| lasts.standby >= battery.input.standby),
        // Whether the load is greater than the rated capacity is stated for.
        "is_faster": battery.lasts.is_some_and(|lasts| lasts.is_faster),
    }

    /// One published requirement, with the capacity that it asks for.
    RequirementRow(words: Words, required: (Requirement, Option<AmpereHours>)) {
        "document": required.0.document,
        "for_what": term(words, "code", required.0.code),
        "standby_h": required.0.standby_h,
        "alarm_min": required.0.alarm_min,
        "factor": required.0.factor,
        "needed_ah": required.1,
        "source": term(words, "source", required.0.code),
    }

    /// One device on the test sheet; nine readings in ten lie between low and high.
    TestSheetRow(report: HandoverReport, row: TestRow) {
        "number": row.result.device.number,
        "id": row.result.device.id,
        "name": row.result.device.name,
        // The repeater where the reading is taken; null for the panel.
        "at": row.result.via,
        "expected_dbm": row.expected.level,
        "low_dbm": row.expected.low,
        "high_dbm": row.expected.high,
        // The least reading that passes, and the fewest bars that show it.
        "pass_dbm": row.pass,
        "pass_bars": report.pass_bars(row),
        "finding": row.result.finding,
        // What was read and tried there, by the columns of a file of readings; null where nothing.
        "entry": report.entry(row).map(|entry| &entry.cells),
    }
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

/// What a battery needs and does.
#[derive(Debug, Clone, Copy)]
pub(crate) struct BatteryFigures {
    input: BatteryInput,
    /// Rated capacity needed.
    needed: AmpereHours,
    /// How long the battery that is there lasts.
    lasts: Option<StandbyTime>,
}

impl BatteryFigures {
    fn new(input: BatteryInput) -> Result<Self, BatteryError> {
        let BatteryInput { rated, load, standby, temperature, age } = input;
        let needed = load.needed(standby, age, temperature)?;
        let battery = rated.map(|rated| Battery { rated, age, temperature });
        let lasts = battery.map(|battery| battery.lasts(&load)).transpose()?;
        Ok(Self { input, needed, lasts })
    }
}

/// The rated capacity that a code asks for with the loads, age and temperature of a sheet.
fn needed_ah(required: &Requirement, input: &BatteryInput) -> Result<AmpereHours, BatteryError> {
    let own = required.alarm_min.map(|minutes| Hours(minutes / 60.0));
    let load = Load { alarm_time: own.unwrap_or(input.load.alarm_time), ..input.load };
    load.needed(Hours(required.standby_h), input.age, input.temperature)
}

/// A capacity rounded up to a tenth.
fn up(words: &Words, capacity: AmpereHours) -> String {
    let tenths = (rounded(capacity.0) * 10.0 - 1e-6).ceil() / 10.0;
    words.plain(format!("{:.1}", tenths.max(0.0)))
}

/// What is doubtful about a battery.
fn battery_doubts(words: &Words, battery: &BatteryFigures) -> Vec<String> {
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
