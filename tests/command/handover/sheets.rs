//! The sheets that the installer fills in: mounting, programming, people, taking over.

use std::collections::{BTreeMap, BTreeSet};

use drillonce::diagnose::readings::{BarScale, Scales, read_readings};
use drillonce::document::{Block, Cell, Document};
use drillonce::forecast::Assessment;
use drillonce::job::schedule::{AgeYears, AmpereHours, CellTemperature, Hours, Load, MilliAmperes};
use drillonce::report::{
    BatteryInput, HandoverInput, HandoverReport, handover_document, readings_csv,
};
use drillonce::words::{Language, Words};
use fixtures::site;
use units::{Dbm, Lengths};

use crate::handover::program::{handover, shipped_path};
use crate::handover::sheet::{input, report_in};
use crate::handover::{house, plan, shipped};
use crate::quote::texts;
use crate::run::{json_of, list};

const BOTH: [Words; 2] =
    [Words { language: Language::English }, Words { language: Language::Spanish }];

/// A hand-over of a plan with its input changed.
fn changed(
    words: &Words,
    text: &str,
    change: impl FnOnce(&mut HandoverInput<'_>),
) -> HandoverReport {
    let plan = plan(text);
    let site = site(&plan);
    let delays = crate::handover::sheet::delays(&plan);
    let mut input = input(words, &delays);
    change(&mut input);
    HandoverReport::new(&site, &Assessment::new(&site).unwrap(), input).unwrap()
}

/// The rows of the table with these heads.
fn rows<'d>(document: &'d Document, heads: &str) -> Vec<&'d [Cell]> {
    let tables = document.blocks.iter().find_map(|block| match block {
        Block::Table { columns, rows, .. }
            if columns.iter().map(|c| c.title.as_str()).eq(heads.split('|')) =>
        {
            Some(rows.iter().map(|row| row.cells.as_slice()).collect())
        }
        _ => None,
    });
    tables.unwrap_or_else(|| panic!("no table {heads}"))
}

#[test]
fn every_device_has_its_boxes_and_a_serial_of_the_plan_fills_one() {
    for words in &BOTH {
        for (name, text) in shipped() {
            let report = report_in(words.language, &plan(&text));
            let document = handover_document(&report, &[]);
            let program = rows(&document, &words.handover_program_heads());
            let mounted = rows(&document, &words.mounting_heads());
            assert_eq!(program.len(), report.tests.len(), "{name}");
            assert_eq!(mounted.len(), report.tests.len(), "{name}");
            for row in program {
                let boxes = row.iter().filter(|cell| **cell == Cell::Blank).count();
                assert_eq!((boxes, row.contains(&Cell::Tick)), (4, true), "{name}: {row:?}");
            }
        }
        let text = house(&[("a", 5.0, 4.0, r#""name":"A","number":1,"serial":"0A1-2B3""#)]);
        let document = handover_document(&report_in(words.language, &plan(&text)), &[]);
        let program = rows(&document, &words.handover_program_heads());
        assert_eq!(program[0][2], Cell::Text("0A1-2B3".to_owned()));
    }
}

#[test]
fn heights_and_walks_are_in_the_unit_of_the_plan() {
    for words in &BOTH {
        let metric = house(&[("a", 9.8, 4.0, r#""name":"A","number":1,"height":2.2"#)]);
        let feet = metric.replace(r#""units":"m""#, r#""units":"ft""#);
        for (text, lengths, other) in
            [(&metric, Lengths::Metric, "\u{a0}ft"), (&feet, Lengths::Feet, "\u{a0}m")]
        {
            let plan = plan(text);
            assert_eq!(plan.lengths(), lengths);
            let document = handover_document(&report_in(words.language, &plan), &[]);
            let device = plan.devices.iter().find(|device| device.id == "a").unwrap();
            let height = words.spot_up(&words.length(lengths.tape(device.height_m)));
            let mounted = rows(&document, &words.mounting_heads());
            let Cell::Text(place) = &mounted[0][2] else { panic!("{:?}", mounted[0]) };
            assert!(place.ends_with(&height), "{place}: {height}");
            let all = texts(&document).join("\n");
            let loose = all.match_indices(other).any(|(at, _)| {
                let next = all[at + other.len()..].chars().next();
                !next.is_some_and(char::is_alphanumeric)
            });
            assert!(!loose, "{lengths:?}: {all}");
        }
    }
}

#[test]
fn taking_over_lists_every_device_once_and_only_when_asked() {
    for words in &BOTH {
        let (_, text) = &shipped()[0];
        let keep: BTreeSet<String> = ["c-front-door".to_owned()].into();
        let report = changed(words, text, |input| input.take_over = Some(keep));
        let document = handover_document(&report, &[]);
        let listed = rows(&document, &words.takeover_heads());
        let mut names: BTreeMap<String, usize> = BTreeMap::new();
        for row in &listed {
            let Cell::Text(name) = &row[1] else { panic!("{row:?}") };
            *names.entry(name.clone()).or_default() += 1;
            let kept = row[2] == Cell::Text(words.takeover_kept());
            assert_eq!(kept, name == "Front door", "{name}");
            assert_eq!(row[3], Cell::Tick);
        }
        assert_eq!(listed.len(), report.tests.len() + plan(text).roams.len());
        assert!(names.values().all(|count| *count == 1), "{names:?}");
        let plain = handover_document(&report_in(words.language, &plan(text)), &[]);
        assert!(!texts(&plain).contains(&words.takeover_title()));
    }
}

#[test]
fn a_repeater_is_taken_over_like_any_device() {
    let (_, text) = &shipped()[0];
    let repeater = r#""features": [
        {"type": "Feature", "id": "old-repeater",
         "geometry": {"type": "Point", "coordinates": [4.0, 3.0]},
         "properties": {"kind": "repeater", "name": "Old repeater", "number": 90, "level": 0}},"#;
    let text = &text.replacen("\"features\": [", repeater, 1);
    for words in &BOTH {
        let keep: BTreeSet<String> = ["old-repeater".to_owned()].into();
        let report = changed(words, text, |input| input.take_over = Some(keep));
        let document = handover_document(&report, &[]);
        let listed = rows(&document, &words.takeover_heads());
        let is_kept = |row: &&&[Cell]| row[2] == Cell::Text(words.takeover_kept());
        let kept: Vec<_> = listed.iter().filter(is_kept).collect();
        assert_eq!(kept.len(), 1);
        assert_eq!(kept[0][1], Cell::Text("Old repeater".to_owned()));
        assert_eq!(listed.len(), report.tests.len() + plan(text).roams.len());
        let json = json_of(&report.json());
        let own = list(&json, "take_over").iter().find(|one| one["id"] == "old-repeater");
        let own = own.unwrap();
        assert_eq!((&own["number"], &own["kept"]), (&90.into(), &true.into()));
    }
}

#[test]
fn a_device_to_keep_that_the_plan_lacks_is_named_and_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let asked = ["--out", out.to_str().unwrap(), "--take-over", "--keep", "1,Nobody"];
    let run = handover(&shipped_path("bungalow"), &asked);
    assert_eq!((run.code, run.out.as_str()), (Some(2), ""));
    assert!(run.err.contains("--keep") && run.err.contains("Nobody"), "{}", run.err);
    assert!(!out.exists());
    let run = handover(&shipped_path("bungalow"), &["--format", "json", "--take-over"]);
    let report = json_of(&run.out);
    let (all, carried) = (list(&report, "take_over"), list(&report, "portables"));
    assert_eq!(all.len(), list(&report, "tests").len() + carried.len());
    // Nobody said what stays.
    assert!(all.iter().all(|one| one["kept"].is_null()));
}

#[test]
fn nobody_s_code_is_printed_and_everybody_has_a_box() {
    for words in &BOTH {
        let document = handover_document(&report_in(words.language, &plan(&shipped()[0].1)), &[]);
        let people = rows(&document, &words.handover_people_heads());
        assert!(people.len() >= 4);
        for row in people {
            assert_eq!(row[2..], [Cell::Blank, Cell::Blank, Cell::Tick]);
            let Cell::Text(may) = &row[1] else { panic!("{row:?}") };
            assert!(!may.chars().any(|c| c.is_ascii_digit()), "{may}");
        }
    }
}

#[test]
fn no_sheet_speaks_of_memory_or_of_what_was_not_opened() {
    for words in &BOTH {
        let battery = BatteryInput {
            rated: Some(AmpereHours(1.2)),
            load: Load {
                standby: MilliAmperes(100.0),
                alarm: MilliAmperes(500.0),
                alarm_time: Hours(0.1),
            },
            standby: Hours(24.0),
            temperature: CellTemperature(20.0),
            age: AgeYears(5.0),
        };
        let report = changed(words, &shipped()[0].1, |input| input.battery = Some(battery));
        let all = texts(&handover_document(&report, &[])).join("\n");
        assert!(all.contains("NFPA 72") && all.contains(&words.codes_text()));
        for worry in ["from memory", "not confirmed", "not opened", "no source"]
            .into_iter()
            .chain(["de memoria", "sin confirmar", "sin abrir", "sin fuente"])
        {
            assert!(!all.contains(worry), "{worry}");
        }
        assert!(report.json().contains(&words.source_intruder_uk()));
    }
}

#[test]
fn a_pass_limit_in_bars_is_never_below_the_limit_and_the_sheet_reads_back() {
    let scale: BarScale = "-105,-95,-85,-75".parse().unwrap();
    for words in &BOTH {
        for (name, text) in shipped() {
            let report = changed(words, &text, |input| input.bars = Some(scale.clone()));
            let json = json_of(&report.json());
            for (row, test) in list(&json, "tests").iter().zip(&report.tests) {
                let pass = row["pass_dbm"].as_f64().unwrap();
                assert_eq!(Dbm(pass), test.pass);
                let edges = [-105.0, -95.0, -85.0, -75.0];
                let fewest = edges.iter().position(|edge| *edge >= pass).map(|n| n as u64 + 1);
                assert_eq!(row["pass_bars"].as_u64(), fewest, "{name}: {pass}");
            }
            // Filled in with bars, by the scale that the sheet itself declares.
            let file = readings_csv(&report);
            let filled = file.replace(",,,,,,\n", ",,3,,,,\n");
            let read = read_readings("r.csv", filled.as_bytes(), &plan(&text), &Scales::default());
            assert!(read.faults.is_empty(), "{name}: {:?}", read.faults);
            assert_eq!(read.readings.len(), report.tests.len(), "{name}");
        }
    }
}
