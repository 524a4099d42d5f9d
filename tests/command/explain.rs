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
    explained("annexe", "8", &["--reach", "6"])
        .refused(&["must be between 0 m (0\") and 5 m (16' 4 7/8\")"]);
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

fn printed(plan: &str, sensor: &str) -> String {
    explained(plan, sensor, &[]).out
}

#[test]
fn what_can_be_done_comes_first_by_effort_and_nobody_takes_walls_away() {
    let text = printed("foil-garage", "Office window");
    let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words} in {text}"));
    let order =
        ["What can be done", "wired reed switch", "plug a repeater", "Chance of a fault", "EIRP"];
    assert!(order.map(at).is_sorted(), "{text}");
    for never in ["upper bound", "in place of", "FAILING +", "over what is needed", "lies"] {
        assert!(!text.contains(never), "{never} in {text}");
    }
    assert!(text.matches("Limit: if ").count() <= 1);
}

#[test]
fn a_wall_sum_stands_beside_the_way_that_the_power_takes() {
    let text = printed("foil-garage", "Office window");
    let told = explained("foil-garage", "Office window", &["--format", "json"]).ends(1).json();
    let way = &told["hop"]["carried_by"];
    let walls: f64 = list(&told["sensor"], "crossings")
        .iter()
        .map(|wall| number(wall, "slab_db") + number(wall, "excess_db"))
        .sum();
    assert!(walls > number(way, "loss_db") + 3.0, "the case shows nothing: {way}");
    assert!(text.contains(&format!("The walls on the straight line would cost {walls:.1} dB")));
    assert!(number(way, "heaviest_db") <= number(way, "loss_db"));
    assert_eq!(way["heaviest"], "garage-party");
}

#[test]
fn a_plan_in_feet_is_explained_in_feet_and_one_in_metres_in_metres() {
    let has_metres = |text: &str| {
        let mut words = text.split_whitespace().zip(text.split_whitespace().skip(1));
        words.any(|(number, unit)| {
            let unit = unit.trim_end_matches([',', '.', ';', ')']);
            number.trim_start_matches('(').parse::<f64>().is_ok() && matches!(unit, "m" | "cm")
        })
    };
    for sensor in ["Front door", "Back door", "13"] {
        let text = printed("bungalow", sensor);
        assert!(!has_metres(&text) && text.contains('\''), "{text}");
        let text = printed("brick-house", "22");
        assert!(has_metres(&text) && !text.contains('"'), "{text}");
    }
}
