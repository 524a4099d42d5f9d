//! The walk past all devices with readings: the order, what the panel should show, what was read so
//! far, and what that says of the house.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use serde::Serialize;
use serde_json::value::RawValue;
use serde_json::{Map, Value, json};

use crate::hub::Hub;
use crate::message::Refusal;
use crate::walking::{WalkWork, bytes_of, stamp};
use diagnose::readings::{ReadingsFile, Scales, read_readings};
use diagnose::{calibrate, causes};
use forecast::{Assessment, LinkOverride, Site};
use job::schedule::{Round, Stop, TestRow, round, test_rows};
use plan::edit::{Change, edited_leniently};
use plan::{Calibration, Device, DeviceKind, Plan};
use report::{
    DiagnoseReport, EARLIER_NOT_USED, device_places, diagnose_words, opening_names,
    readings_not_used, rounded, step_words, too_many_read,
};
use siting::walk::NoWalk;
use words::Words;

/// Most diagnoses that are kept: of two files, before and after the last change.
const MOST_KEPT: usize = 4;

/// What readings say of a house.
struct Diagnosed {
    /// What the command prints.
    json: String,
    calibration: Calibration,
}

/// What was worked out, each by what it was worked out of.
type Kept<K, V> = Vec<(K, V)>;

/// What was worked out before.
#[derive(Default)]
struct Known {
    rounds: Kept<(u32, Option<String>), Result<Round, String>>,
    tests: Vec<(u32, Vec<TestRow>)>,
    diagnoses: Kept<(u32, Vec<u8>), Arc<Diagnosed>>,
}

fn kept<K: PartialEq, V>(list: &mut Kept<K, V>, key: K, value: V) {
    if list.len() >= MOST_KEPT {
        list.remove(0);
    }
    list.push((key, value));
}

/// Sends walks until the program ends.
pub fn follow(hub: &Hub) {
    let mut known = Known::default();
    while let Some(work) = hub.next_walk() {
        // A fault of the program costs this answer, not the page.
        let send = AssertUnwindSafe(|| sent(hub, &work, &mut known));
        let done = catch_unwind(send).unwrap_or_else(|_| {
            Err(Refusal::new("the program failed at this", "save the plan, and ask again"))
        });
        if let Err(why) = done {
            let members = json!({ "file": work.walking.file, "refused": said(&why) });
            hub.walk_says(&work, "walk", members);
            hub.not_put_in(&work, &why);
        }
    }
}

fn sent(hub: &Hub, work: &WalkWork, known: &mut Known) -> Result<(), Refusal> {
    let Some(plan) = &work.drawn.plan else {
        return Err(Refusal::new("the plan has faults", "put them right first"));
    };
    let Some(panel) = plan.panel() else {
        return Err(Refusal::new("the plan has no panel", "hang one first"));
    };
    // Before it is read, so that what changes meanwhile shows.
    hub.walk_has_seen(work, stamp(&work.path));
    let bytes = bytes_of(&work.path)?;
    let file = match bytes.is_empty() {
        true => ReadingsFile::default(),
        false => read_readings(&work.walking.file, &bytes, plan, &Scales::default()),
    };
    let key = (work.version, work.walking.from.clone());
    if !known.rounds.iter().any(|(own, _)| *own == key) {
        let found = round(plan, panel, work.walking.from.as_deref());
        kept(&mut known.rounds, key.clone(), found.map_err(|why| why.to_string()));
    }
    let round = known.rounds.iter().find(|(own, _)| *own == key).map(|(_, round)| round);
    if !known.tests.iter().any(|(own, _)| *own == work.version) {
        let model = hub.model().calibrated(plan);
        let site = Site::new(plan, model, LinkOverride::default(), None).map_err(refusal)?;
        let assessment = Assessment::of_devices(&site, &BTreeMap::new()).map_err(refusal)?;
        kept(&mut known.tests, work.version, test_rows(&assessment, &site));
    }
    let tests = known.tests.iter().find(|(own, _)| *own == work.version);
    let tests = tests.map(|(_, tests)| tests.as_slice()).unwrap_or_default();
    let walk = Walk { plan, tests, file: &file, words: Words { language: work.language } };
    hub.walk_says(work, "walk", walk.members(work, round));
    let key = (work.version, bytes);
    let before = known.diagnoses.iter().find(|(own, _)| *own == key);
    let found = match before {
        Some((_, found)) => Ok(Some(found.clone())),
        None => diagnosed(hub, work, plan, &file).map(|found| found.map(Arc::new)),
    };
    let is_new = before.is_none();
    if let Ok(Some(found)) = &found {
        let change = [Change::Calibrate(found.calibration.clone())];
        let calibrated = edited_leniently(&work.text, &change).is_ok_and(|text| text == work.text);
        let report = serde_json::from_str::<&RawValue>(&found.json).ok();
        hub.diagnosis_says(work, &Diagnosis { calibrated, report, ..Diagnosis::of(work) });
        if work.walking.accepts {
            hub.put_in(work, &found.calibration);
        }
        if is_new {
            kept(&mut known.diagnoses, key, found.clone());
        }
        return Ok(());
    }
    let none = Refusal::new("there is no reading yet", "enter one first");
    let refused = found.as_ref().err().map(said);
    hub.diagnosis_says(work, &Diagnosis { refused, ..Diagnosis::of(work) });
    hub.not_put_in(work, found.as_ref().err().unwrap_or(&none));
    Ok(())
}

fn said(why: &Refusal) -> Value {
    json!({ "what": why.what, "fix": why.fix })
}

/// What a page is sent of what the readings say; `report` byte for byte as the command prints it.
#[derive(Debug, Serialize)]
struct Diagnosis<'a> {
    r#type: &'static str,
    version: u32,
    file: &'a str,
    /// Whether the plan holds just this calibration.
    calibrated: bool,
    refused: Option<Value>,
    report: Option<&'a RawValue>,
    /// Causes, first steps and tests as the report has them, each in the page's language.
    words: Map<String, Value>,
}

impl<'a> Diagnosis<'a> {
    /// One that says nothing yet.
    fn of(work: &'a WalkWork) -> Self {
        let (version, file) = (work.version, work.walking.file.as_str());
        let words = diagnose_words(&Words { language: work.language });
        let (calibrated, refused, report) = (false, None, None);
        Self { r#type: "diagnosis", version, file, calibrated, refused, report, words }
    }
}

fn refusal(error: impl std::fmt::Display) -> Refusal {
    Refusal::new(error.to_string(), "put right what it says")
}

/// What the readings say, as the command works it out; nothing without readings, and where the walk
/// is asked for anew meanwhile.
fn diagnosed(
    hub: &Hub,
    work: &WalkWork,
    plan: &Plan,
    file: &ReadingsFile,
) -> Result<Option<Diagnosed>, Refusal> {
    if file.readings.is_empty() {
        return Ok(None);
    }
    let mut plan = plan.clone();
    let mut doubts = work.drawn.doubts.clone();
    if plan.calibration.take().is_some() {
        doubts.push(EARLIER_NOT_USED.to_owned());
    }
    let model = hub.model().calibrated(&plan);
    let site = Site::new(&plan, model, LinkOverride::default(), None).map_err(refusal)?;
    if let Some((what, fix)) = too_many_read(&site, file) {
        return Err(Refusal::new(what, fix));
    }
    if !hub.walk_goes_on(work) {
        return Ok(None);
    }
    let found = calibrate(&site, &file.readings).map_err(refusal)?;
    if !hub.walk_goes_on(work) {
        return Ok(None);
    }
    let suspects = causes(&site, &file.readings, &found, &[]).map_err(refusal)?;
    doubts.extend(site.warnings());
    doubts.extend(readings_not_used(file, &found));
    let calibration = found.for_plan(&site);
    let report = DiagnoseReport::new(&site, file, &found, &suspects, doubts);
    let json = plan.as_written.put_back(report.json());
    Ok(Some(Diagnosed { json, calibration }))
}

/// What a page is sent of a walk.
struct Walk<'a> {
    plan: &'a Plan,
    tests: &'a [TestRow],
    file: &'a ReadingsFile,
    words: Words,
}

impl Walk<'_> {
    fn members(&self, work: &WalkWork, round: Option<&Result<Round, String>>) -> Value {
        let mut unordered = None;
        let round = match round {
            Some(Ok(round)) => round.clone(),
            Some(Err(why)) => {
                unordered = Some(why.clone());
                self.by_number()
            }
            None => self.by_number(),
        };
        let devices: Vec<&Device> =
            round.stops.iter().filter_map(|stop| self.plan.devices.get(stop.device)).collect();
        let places = device_places(&self.words, self.plan, &devices);
        let stops = round.stops.iter().zip(devices).zip(places);
        let stops: Vec<Value> =
            stops.map(|((stop, device), place)| self.stop(stop, device, place)).collect();
        let names = opening_names(&self.words, self.plan, &round.entries);
        let entries = round.entries.iter().zip(names);
        let entries: Vec<Value> =
            entries.map(|(id, name)| json!({ "id": id, "name": name })).collect();
        let faults = self.file.faults.iter().chain(&self.file.warnings);
        let faults: Vec<Value> = faults
            .map(|fault| json!({ "line": fault.line, "what": fault.what, "fix": fault.fix }))
            .collect();
        let percent = self.file.scales.percent.map(|scale| scale.ends_dbm().0);
        json!({
            "file": work.walking.file,
            "from": work.walking.from,
            "unordered": unordered,
            "stops": stops,
            "entries": entries,
            "scales": {
                "bars": self.file.scales.bars.as_ref().map(|scale| scale.edges_dbm()),
                "percent": percent,
            },
            "faults": faults,
            "language": self.words.language.tag(),
        })
    }

    /// The devices where no order is known.
    fn by_number(&self) -> Round {
        let devices = self.plan.devices.iter().enumerate();
        let mut devices: Vec<_> =
            devices.filter(|(_, device)| device.kind != DeviceKind::Panel).collect();
        devices.sort_by_key(|(_, device)| (device.number.is_none(), device.number));
        let stop = |(device, _): (usize, &Device)| Stop { device, leg: Err(NoWalk::NoWay) };
        Round { stops: devices.into_iter().map(stop).collect(), entries: Vec::new() }
    }

    fn stop(&self, stop: &Stop, device: &Device, place: String) -> Value {
        let test = self.tests.iter().find(|test| test.result.device.id == device.id);
        let via = test.and_then(|test| test.result.via.as_ref());
        let repeater = via.and_then(|id| self.plan.devices.iter().find(|one| one.id == *id));
        let row = self.file.sheet.get(&device.id);
        let steps = test.map(|test| step_words(&self.words, test.step));
        json!({
            "id": device.id,
            "number": device.number,
            "name": device.name,
            "level": device.level,
            "place": place,
            "leg_m": stop.leg.ok().map(|leg| rounded(leg.length_m)),
            "stairs": stop.leg.is_ok_and(|leg| leg.stairs_m > 0.0),
            "unreached": stop.leg.err().map(word_of),
            "at": via,
            "at_name": repeater.map(|repeater| &repeater.name),
            "finding": test.map(|test| test.result.finding),
            "expected": test.map(|test| self.expected(test)),
            "see": steps.map(|(_, see)| see),
            "row": row.map(|row| &row.cells),
            "rows": row.map_or(0, |row| row.rows),
        })
    }

    /// What the panel should show, in dBm, and in bars and per cent by the file's scales.
    fn expected(&self, test: &TestRow) -> Value {
        let scales = &self.file.scales;
        let levels = [test.expected.level, test.expected.low, test.expected.high, test.pass];
        let bars = scales.bars.as_ref().map(|scale| levels.map(|level| scale.bars(level)));
        let percent = scales.percent.map(|scale| levels.map(|level| scale.percent(level)));
        json!({ "dbm": levels.map(|level| level.0.round()), "bars": bars, "percent": percent })
    }
}

/// Why a device is not walked to, as a word.
const fn word_of(why: NoWalk) -> &'static str {
    match why {
        NoWalk::OutOfDoors => "outdoors",
        NoWalk::NoRoomToStand => "room",
        NoWalk::NoSuchLevel => "level",
        NoWalk::EntryShut => "shut",
        NoWalk::NoWay => "way",
    }
}
