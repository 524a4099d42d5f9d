//! The command as a user or a script meets it.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::tempdir;

use crate::handover::{house, shipped};
use crate::run::{PROGRAM, output_of};

/// Runs the program.
pub fn program(arguments: &[&str]) -> Output {
    output_of(Command::new(PROGRAM).args(arguments))
}

pub use fixtures::floorplan as shipped_path;

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn handover(plan: &str, options: &[&str]) -> Output {
    program(&[&["handover", plan, "--date", "2026-11-25"], options].concat())
}

/// Writes a plan into a folder and gives its path.
fn written(folder: &Path, text: &str) -> String {
    let path = folder.join("plan.geojson");
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn every_shipped_plan_as_json_and_csv_agrees_with_check() {
    for (name, _) in shipped() {
        let path = shipped_path(&name);
        let check = program(&["check", &path, "--no-pictures", "--format", "json"]);
        let json = handover(&path, &["--format", "json"]);
        assert_eq!(json.status.code(), check.status.code(), "{name}");
        assert_eq!(err(&json), "");
        let report: Value = serde_json::from_str(&out(&json)).unwrap();
        let checked: Value = serde_json::from_str(&out(&check)).unwrap();
        let zones = report["zones"].as_array().unwrap();
        let sensors = checked["sensors"].as_array().unwrap();
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
        assert_eq!(out(&csv).lines().count(), zones.len() + 1, "{name}");
        assert_eq!(err(&csv), "");
        let readings = handover(&path, &["--format", "csv", "--sheet", "readings"]);
        assert!(out(&readings).starts_with("# Test sheet of "), "{name}");
        // Same input, same bytes.
        assert_eq!(out(&handover(&path, &["--format", "json"])), out(&json), "{name}");
    }
}

#[test]
fn numbers_are_filled_in_and_written_into_a_copy_that_is_never_put_over_a_file() {
    let folder = tempdir().unwrap();
    let text = house(&[
        ("smoke", 6.0, 4.0, r#""name":"Smoke","device":"smoke","role":"fire""#),
        ("front", 5.1, 0.2, r#""name":"Front","device":"contact","role":"entry-exit""#),
        ("pane", 9.8, 4.0, r#""name":"Window","number":2,"device":"contact","role":"perimeter""#),
    ]);
    let plan = written(folder.path(), &text);
    let copy = folder.path().join("numbered.geojson");
    let to = copy.to_str().unwrap();
    let run = handover(&plan, &["--format", "json", "--number", "--write", to]);
    assert_eq!(err(&run), "");
    let report: Value = serde_json::from_str(&out(&run)).unwrap();
    let zones: Vec<(u64, &str)> = report["zones"]
        .as_array()
        .unwrap()
        .iter()
        .map(|zone| (zone["number"].as_u64().unwrap(), zone["name"].as_str().unwrap()))
        .collect();
    assert_eq!(zones, [(1, "Front"), (2, "Window"), (3, "Smoke")]);
    assert_eq!(report["numbered"], serde_json::json!(["front", "smoke"]));
    let wanted = text
        .replace(r#""role":"fire""#, r#""role":"fire","number":3"#)
        .replace(r#""role":"entry-exit""#, r#""role":"entry-exit","number":1"#);
    assert_eq!(fs::read_to_string(&copy).unwrap(), wanted);
    // The plan itself is as it was, and the copy is not written again.
    assert_eq!(fs::read_to_string(&plan).unwrap(), text);
    let again = handover(&plan, &["--format", "json", "--number", "--write", to]);
    assert_eq!(again.status.code(), Some(2));
    assert!(err(&again).contains("the file is there already"), "{}", err(&again));
    assert_eq!((out(&again), fs::read_to_string(&copy).unwrap()), (String::new(), wanted));
    // The copy has nothing left to number.
    let done = handover(to, &["--format", "json", "--number"]);
    let report: Value = serde_json::from_str(&out(&done)).unwrap();
    assert_eq!(report["numbered"], serde_json::json!([]));
}

#[test]
fn a_role_that_conflicts_ends_with_2_and_nothing_is_written() {
    let folder = tempdir().unwrap();
    let text = house(&[(
        "smoke",
        6.0,
        4.0,
        r#""name":"Hall smoke","number":1,"device":"smoke","role":"perimeter""#,
    )]);
    let plan = written(folder.path(), &text);
    let files = folder.path().join("out");
    let run = handover(&plan, &["--format", "csv", "--out", files.to_str().unwrap()]);
    assert_eq!(run.status.code(), Some(2));
    assert_eq!(out(&run), "");
    assert_eq!(
        err(&run),
        "fault  Hall smoke: a smoke detector cannot have the role \"perimeter\"; \"fire\" would suit \
         it\n1 fault; nothing was written\n"
    );
    assert!(!files.exists());
}

#[test]
fn doubts_go_to_standard_error_with_csv() {
    let folder = tempdir().unwrap();
    let plan = written(folder.path(), &house(&[("a", 6.0, 4.0, r#""name":"Thing","number":1"#)]));
    let run = handover(&plan, &["--format", "csv"]);
    assert_eq!(run.status.code(), Some(0));
    assert!(err(&run).contains("Thing: it has no role; give it one"), "{}", err(&run));
}

#[test]
fn the_battery_is_worked_out_from_its_loads() {
    let path = shipped_path("bungalow");
    let report = |options: &[&str]| -> Value {
        let run = handover(&path, &[&["--format", "json"], options].concat());
        assert_eq!(run.status.code(), Some(0), "{}", err(&run));
        serde_json::from_str(&out(&run)).unwrap()
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
    assert!(warnings.contains("29.2 Ah are needed"), "{warnings}");
    let young = report(&[&loads[..], &at_25, &["--age", "0", "--standby-h", "12"]].concat());
    assert_eq!(young["battery"]["needed_ah"], 12.55);
    assert_eq!(young["battery"]["is_enough"], true);
}

#[test]
fn a_wrong_option_is_told_and_nothing_is_written() {
    let path = shipped_path("bungalow");
    for (options, words) in [
        (vec!["--format", "csv,json"], "only one of them"),
        (vec!["--write", "x.geojson"], "--number"),
        (vec!["--standby-ma", "100"], "--alarm-ma"),
        (vec!["--battery-ah", "7"], "--standby-ma"),
        (vec!["--temperature", "70"], "must lie between -3.9 and 48.9"),
        (vec!["--age", "-1"], "must lie between 0 and 15"),
        (vec!["--link", "no-such"], "is not known"),
    ] {
        let folder = tempdir().unwrap();
        let files = folder.path().join("out");
        let out_option = ["--out", files.to_str().unwrap()];
        let run = handover(&path, &[&options[..], &out_option].concat());
        assert_eq!(run.status.code(), Some(2), "{options:?}");
        assert!(err(&run).contains(words), "{options:?}: {}", err(&run));
        assert_eq!(out(&run), "");
        assert!(!files.exists());
    }
    let run = program(&["handover", &path, "--date", "2026-02-29"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(err(&run).contains("\"2026-02-29\" is not a day"), "{}", err(&run));
    let folder = tempdir().unwrap();
    let text = house(&[("a", 6.0, 4.0, r#""number":1"#)])
        .replace(r#""kind":"panel""#, r#""kind":"keypad""#);
    let run = handover(&written(folder.path(), &text), &["--format", "json"]);
    assert_eq!(run.status.code(), Some(2));
    assert!(err(&run).contains("the plan has no panel"), "{}", err(&run));
}
