//! What the program prints and how it ends.

use serde_json::Value;

use crate::run::{Run, close, list, number, on, report, sensor};

fn explained(plan: &str, sensor: &str, options: &[&str]) -> Run {
    on(plan, "explain", &[&[sensor], options].concat())
}

#[test]
fn the_annexe_door() {
    insta::assert_snapshot!("annexe_door", explained("annexe", "8", &[]).ends(1).out);
}

#[test]
fn a_siren_that_needs_no_help() {
    insta::assert_snapshot!("siren", explained("brick-house", "Landing siren", &[]).ends(0).out);
}

#[test]
fn usage_errors_say_what_to_write() {
    explained("annexe", "anexe dor", &[]).refused(&["did you mean \"Annexe door\""]);
    explained("annexe", "panel", &[]).refused(&["is the panel"]);
    explained("annexe", "8", &["--reach", "-1"]).refused(&["must lie between 0 and 5 m"]);
}

#[test]
fn the_json_adds_up_and_agrees_with_check() {
    let told = explained("annexe", "8", &["--format", "json"]).ends(1).json();
    let check = report("annexe", &[]);
    for member in ["plan", "model", "panel", "warnings", "cautions"] {
        assert_eq!(told[member], check[member], "{member}");
    }
    assert_eq!(&told["sensor"], sensor(&check, "c-annexe-door"));
    let sum: f64 = list(&told["hop"], "ledger").iter().map(|line| number(line, "adds_db")).sum();
    close(sum, number(&told["sensor"], "margin_db"), 1e-3, "the ledger's sum");
    assert_eq!(list(&told["profile"], "points").len(), 200);
    assert_eq!(told["to_panel"], Value::Null);
    let remedies = list(&told, "remedies");
    let best = &remedies[0];
    assert_eq!(best["action"], "open");
    assert_eq!(best["feature"], "annexe-bedroom-window");
    let faults = remedies.iter().map(|remedy| number(remedy, "fault_per_year"));
    assert!(faults.is_sorted(), "the best comes first: {remedies:?}");
    let repeater = remedies.iter().find(|remedy| remedy["action"] == "repeater").unwrap();
    assert!(repeater["outlet"].is_string() && repeater["position_m"].is_array());
    for remedy in remedies {
        assert!(number(remedy, "fault_per_year") < number(&told["sensor"], "fault_per_year"));
    }
    // The same again, to the letter.
    assert_eq!(told, explained("annexe", "8", &["--format", "json"]).ends(1).json());
}
