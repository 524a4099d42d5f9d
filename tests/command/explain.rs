//! What the program prints and how it ends.

use std::process::{Command, Output, Stdio};

use serde_json::Value;

use fixtures::floorplan as path;

fn run(arguments: &[&str]) -> Output {
    let folder = tempfile::tempdir().unwrap();
    Command::new(env!("CARGO_BIN_EXE_drillonce"))
        .current_dir(folder.path())
        .args(arguments)
        .stdin(Stdio::null())
        .env_remove("COLUMNS")
        .env_remove("LINES")
        .output()
        .unwrap()
}

fn explained(plan: &str, sensor: &str, options: &[&str], code: i32) -> String {
    let path = path(plan);
    let output = run(&[&["explain", &path, sensor, "--no-pictures"], options].concat());
    assert_eq!(output.status.code(), Some(code), "{output:?}");
    let (wanted, silent) =
        if code < 2 { (output.stdout, output.stderr) } else { (output.stderr, output.stdout) };
    assert!(silent.is_empty());
    String::from_utf8(wanted).unwrap()
}

#[test]
fn the_annexe_door() {
    insta::assert_snapshot!("annexe_door", explained("annexe", "8", &[], 1));
}

#[test]
fn a_siren_that_needs_no_help() {
    insta::assert_snapshot!("siren", explained("brick-house", "Landing siren", &[], 0));
}

#[test]
fn usage_errors_say_what_to_write() {
    let told = explained("annexe", "anexe dor", &[], 2);
    assert!(told.contains("did you mean \"Annexe door\""), "{told}");
    let told = explained("annexe", "panel", &[], 2);
    assert!(told.contains("is the panel"), "{told}");
    let told = explained("annexe", "8", &["--reach", "-1"], 2);
    assert!(told.contains("must lie between 0 and 5 m"), "{told}");
}

#[test]
fn the_json_adds_up_and_agrees_with_check() {
    let told: Value =
        serde_json::from_str(&explained("annexe", "8", &["--format", "json"], 1)).unwrap();
    let check = run(&["check", &path("annexe"), "--no-pictures", "--format", "json"]);
    let check: Value = serde_json::from_slice(&check.stdout).unwrap();
    for member in ["plan", "model", "panel", "warnings", "cautions"] {
        assert_eq!(told[member], check[member], "{member}");
    }
    let sensors = check["sensors"].as_array().unwrap();
    let own = sensors.iter().find(|s| s["id"] == "c-annexe-door");
    assert_eq!(Some(&told["sensor"]), own);
    let ledger = told["hop"]["ledger"].as_array().unwrap();
    let sum: f64 = ledger.iter().map(|l| l["adds_db"].as_f64().unwrap()).sum();
    let margin = told["sensor"]["margin_db"].as_f64().unwrap();
    assert!((sum - margin).abs() < 1e-3, "{sum} against {margin}");
    assert_eq!(told["profile"]["points"].as_array().unwrap().len(), 200);
    assert_eq!(told["to_panel"], Value::Null);
    let best = &told["remedies"][0];
    assert_eq!(best["action"], "repeater");
    assert!(best["outlet"].is_string() && best["position_m"].is_array());
    // The same again, to the letter.
    let again: Value =
        serde_json::from_str(&explained("annexe", "8", &["--format", "json"], 1)).unwrap();
    assert_eq!(told, again);
}
