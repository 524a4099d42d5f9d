//! The command as a user or a script meets it.

use std::fs;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use crate::handover::{house, shipped};
use crate::run::{PROGRAM, Run, folder, folder_with, json_of, list, number, text as text_of};

/// Runs the program.
pub fn program(arguments: &[&str]) -> Run {
    Run::of(Command::new(PROGRAM).args(arguments))
}

pub use fixtures::floorplan as shipped_path;

pub fn handover(plan: &str, options: &[&str]) -> Run {
    program(&[&["handover", plan, "--date", "2026-11-25"], options].concat())
}

/// A folder with a plan in it, and the plan's path.
fn written(text: &str) -> (TempDir, String) {
    let place = folder_with("plan.geojson", text);
    let path = place.path().join("plan.geojson").display().to_string();
    (place, path)
}

#[test]
fn every_shipped_plan_as_json_and_csv_agrees_with_check() {
    for (name, _) in shipped() {
        let path = shipped_path(&name);
        let check = program(&["check", &path, "--no-pictures", "--format", "json"]);
        let json = handover(&path, &["--format", "json"]);
        assert_eq!(json.code, check.code, "{name}");
        assert_eq!(json.err, "");
        let report = json_of(&json.out);
        let checked = json_of(&check.out);
        let (zones, sensors) = (list(&report, "zones"), list(&checked, "sensors"));
        assert_eq!(zones.len(), sensors.len(), "{name}");
        for zone in zones {
            let sensor = sensors.iter().find(|sensor| sensor["id"] == zone["id"]).unwrap();
            for member in
                ["number", "name", "link", "margin_db", "fault_per_year", "finding", "via"]
            {
                assert_eq!(zone[member], sensor[member], "{name}: {member}");
            }
        }
        let csv = handover(&path, &["--format", "csv"]);
        assert_eq!(csv.out.lines().count(), zones.len() + 1, "{name}");
        assert_eq!(csv.err, "");
        let readings = handover(&path, &["--format", "csv", "--sheet", "readings"]);
        assert!(readings.out.starts_with("# Test sheet of "), "{name}");
        // Same input, same bytes.
        assert_eq!(handover(&path, &["--format", "json"]).out, json.out, "{name}");
    }
}

#[test]
fn numbers_are_filled_in_and_written_into_a_copy_that_is_never_put_over_a_file() {
    let text = house(&[
        ("smoke", 6.0, 4.0, r#""name":"Smoke","device":"smoke","role":"fire""#),
        ("front", 5.1, 0.2, r#""name":"Front","device":"contact","role":"entry-exit""#),
        ("pane", 9.8, 4.0, r#""name":"Window","number":2,"device":"contact","role":"perimeter""#),
    ]);
    let (folder, plan) = written(&text);
    let copy = folder.path().join("numbered.geojson");
    let to = copy.to_str().unwrap();
    let run = handover(&plan, &["--format", "json", "--number", "--write", to]);
    assert_eq!(run.err, "");
    let report = json_of(&run.out);
    let zones = list(&report, "zones").iter();
    let zones: Vec<_> = zones.map(|zone| (number(zone, "number"), text_of(zone, "name"))).collect();
    assert_eq!(zones, [(1.0, "Front"), (2.0, "Window"), (3.0, "Smoke")]);
    assert_eq!(report["numbered"], serde_json::json!(["front", "smoke"]));
    let wanted = text
        .replace(r#""role":"fire""#, r#""role":"fire","number":3"#)
        .replace(r#""role":"entry-exit""#, r#""role":"entry-exit","number":1"#);
    assert_eq!(fs::read_to_string(&copy).unwrap(), wanted);
    // The plan itself is as it was, and the copy is not written again.
    assert_eq!(fs::read_to_string(&plan).unwrap(), text);
    let again = handover(&plan, &["--format", "json", "--number", "--write", to]);
    assert_eq!(again.code, Some(2));
    assert!(again.err.contains("the file exists"), "{}", again.err);
    assert_eq!((again.out, fs::read_to_string(&copy).unwrap()), (String::new(), wanted));
    // The copy has nothing left to number.
    let done = handover(to, &["--format", "json", "--number"]);
    let report = json_of(&done.out);
    assert_eq!(report["numbered"], serde_json::json!([]));
}

#[test]
fn a_role_that_conflicts_ends_with_2_and_nothing_is_written() {
    let text = house(&[(
        "smoke",
        6.0,
        4.0,
        r#""name":"Hall smoke","number":1,"device":"smoke","role":"perimeter""#,
    )]);
    let (folder, plan) = written(&text);
    let files = folder.path().join("out");
    let run = handover(&plan, &["--format", "csv", "--out", files.to_str().unwrap()]);
    assert_eq!(
        run.ends(2).err,
        "fault  Hall smoke: a smoke detector cannot have the role \"perimeter\"; \"fire\" would suit \
         it\n1 fault; nothing was written\n"
    );
    assert!(!files.exists());
}

#[test]
fn doubts_go_to_standard_error_with_csv() {
    let (_place, plan) = written(&house(&[("a", 6.0, 4.0, r#""name":"Thing","number":1"#)]));
    let run = handover(&plan, &["--format", "csv"]);
    assert_eq!(run.code, Some(0));
    assert!(run.err.contains("Thing: it has no role; give it one"), "{}", run.err);
}

#[test]
fn the_battery_is_worked_out_from_its_loads() {
    let path = shipped_path("bungalow");
    let report = |options: &[&str]| -> Value {
        let run = handover(&path, &[&["--format", "json"], options].concat());
        assert_eq!(run.code, Some(0), "{}", run.err);
        json_of(&run.out)
    };
    let none = report(&[]);
    assert_eq!(none["battery"], Value::Null);
    assert!(none["requirements"][0]["needed_ah"].is_null());
    let loads = ["--standby-ma", "900", "--alarm-ma", "3500", "--alarm-min", "30"];
    let at_25 = ["--temperature", "25", "--battery-ah", "20"];
    let found = report(&[&loads[..], &at_25].concat());
    assert_eq!(found["battery"]["needed_ah"], 29.1875);
    assert_eq!(found["battery"]["is_enough"], false);
    // 20 Ah × 0.8 less 1.75 Ah for the alarm, at 0.9 A.
    assert_eq!(found["battery"]["standby_h"], 15.8333);
    let warnings = found["warnings"].to_string();
    assert!(warnings.contains("fit 29.2 Ah"), "{warnings}");
    let young = report(&[&loads[..], &at_25, &["--age", "0", "--standby-h", "12"]].concat());
    assert_eq!(young["battery"]["needed_ah"], 12.55);
    assert_eq!(young["battery"]["is_enough"], true);
}

#[test]
fn a_wrong_option_is_told_and_nothing_is_written() {
    let path = shipped_path("bungalow");
    for (options, words) in [
        (vec!["--format", "csv,json"], "give one of them"),
        (vec!["--write", "x.geojson"], "--number"),
        (vec!["--standby-ma", "100"], "--alarm-ma"),
        (vec!["--battery-ah", "7"], "--standby-ma"),
        (vec!["--temperature", "70"], "must be between -3.9 and 48.9"),
        (vec!["--age", "-1"], "must be between 0 and 15"),
        (vec!["--link", "no-such"], "is not known"),
    ] {
        let place = folder();
        let files = place.path().join("out");
        let out_option = ["--out", files.to_str().unwrap()];
        let run = handover(&path, &[&options[..], &out_option].concat());
        run.refused(&[words]);
        assert!(!files.exists());
    }
    program(&["handover", &path, "--date", "2026-02-29"]).refused(&["\"2026-02-29\" is not a day"]);
    let text = house(&[("a", 6.0, 4.0, r#""number":1"#)])
        .replace(r#""kind":"panel""#, r#""kind":"keypad""#);
    let (_place, plan) = written(&text);
    handover(&plan, &["--format", "json"]).refused(&["the plan has no panel"]);
}
