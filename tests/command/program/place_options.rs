//! `place`: its options, and plans that lack something.

use serde_json::{Value, json};

use super::place::{found, place};
use crate::run::{Run, folder_with, list, number, plan_json, run_in};

/// Checks that a run is refused as bad usage, and what it says.
#[track_caller]
fn refused(plan: &str, options: &[&str], says: &[&str]) {
    place(plan, options).refused(says);
}

/// Runs `place` on a plan of the test's own.
fn place_in(plan: &Value, options: &[&str]) -> Run {
    let place = folder_with("plan.geojson", &plan.to_string());
    let all = [&["place", "plan.geojson", "--no-pictures"], options].concat();
    run_in(place.path(), &all)
}

/// A shipped plan without the features that `drop` names.
fn without(plan: &str, drop: impl Fn(&Value) -> bool) -> Value {
    let mut json = plan_json(plan);
    let features = json["features"].as_array_mut().unwrap();
    features.retain(|feature| !drop(&feature["properties"]));
    json
}

#[track_caller]
fn warned(report: &Value, parts: &[&str]) {
    let warnings = list(report, "warnings");
    let said = |w: &&Value| parts.iter().all(|part| w.to_string().contains(part));
    assert!(warnings.iter().any(|w| said(&w)), "{warnings:?}");
}

#[test]
fn weights_move_the_first_spot_and_bad_ones_are_refused() {
    let first = |options: &[&str]| list(&found("bungalow", options), "best")[0].clone();
    let wire = |spot: &Value| number(&spot["wire"], "length_m");
    let walk = |spot: &Value| number(&spot["walk"], "time_s");
    let by_wire = first(&["--weigh", "wire=100,walk=0,reliability=0"]);
    let by_walk = first(&["--weigh", "walk=100,wire=0,reliability=0"]);
    assert!(wire(&by_wire) < wire(&by_walk) && walk(&by_wire) > walk(&by_walk));
    for (bad, says) in [
        ("walk", "walk=2"),
        ("walk=fast", "not a number"),
        ("walk=-1", "100"),
        ("walk=101", "100"),
        ("comfort=1", "has no weight"),
        ("walk=0,wire=0,reliability=0", "at least one"),
        ("", "no value"),
    ] {
        refused("annexe", &["--weigh", bad], &["--weigh", says]);
    }
}

#[test]
fn a_supply_above_extra_low_voltage_is_refused() {
    refused("annexe", &["--supply", "120"], &["120", "extra-low"]);
    let dc = found("annexe", &["--supply", "24", "--current", "dc", "--load", "200"]);
    assert_eq!(dc["search"]["supply_current"], "DC");
    assert!(number(&list(&dc, "best")[0]["wire"], "volts_at_panel") > 23.0);
}

#[test]
fn no_spot_allowed_says_why_and_which_option_to_loosen() {
    refused(
        "workshop",
        &["--metal-clearance", "20"],
        &["no spot is left", "near metal", "--metal-clearance"],
    );
    for plan in ["workshop", "brick-house"] {
        refused(plan, &["--height", "9"], &["9.00 m above the floor", "--height"]);
    }
}

#[test]
fn wide_spacing_and_many_spots() {
    let wide = found("workshop", &["--spacing", "5"]);
    let usual = found("workshop", &["--best", "99", "--apart", "0"]);
    assert!(number(&wide, "spots") > 0.0 && number(&wide, "spots") * 4.0 < number(&usual, "spots"));
    assert_eq!(list(&usual, "best").len(), 99);
    let few = found("annexe", &["--best", "99"]);
    assert!(list(&few, "best").len() < 5);
    refused("annexe", &["--best", "0"], &["--best"]);
    refused("annexe", &["--best", "100"], &["--best"]);
    refused("annexe", &["--spacing", "0"], &["--spacing", "0.05"]);
    refused("annexe", &["--spacing", "6"], &["--spacing", "5"]);
    refused("annexe", &["--spot", "1"], &["--write"]);
    let options = ["--write", "copy.geojson", "--spot", "40"];
    refused("annexe", &options, &["--spot 40", "--best"]);
}

#[test]
fn a_plan_without_outlets_has_no_wires_and_says_so() {
    let plan = without("bungalow", |p| p["kind"] == "outlet");
    let report = place_in(&plan, &["--format", "json"]).json();
    warned(&report, &["outlet"]);
    for spot in list(&report, "best") {
        assert!(spot["wire"].is_null() && spot["no_wire"].is_string());
        assert!(!spot["walk"].is_null());
    }
    let table = place_in(&plan, &[]).ends(0).out;
    assert!(table.contains("No power run") && table.contains("note: "), "{table}");
}

#[test]
fn a_plan_without_entries_has_no_walks_and_says_so() {
    let mut plan = plan_json("bungalow");
    for feature in plan["features"].as_array_mut().unwrap() {
        feature["properties"].as_object_mut().unwrap().remove("entry");
    }
    let report = place_in(&plan, &["--format", "json"]).json();
    warned(&report, &["entry", "true"]);
    for spot in list(&report, "best") {
        assert!(spot["walk"].is_null() && !spot["wire"].is_null());
    }
    let run = place_in(&plan, &["--format", "csv"]);
    assert_eq!(run.code, Some(0));
    assert!(run.err.contains("entry"), "{}", run.err);
}

#[test]
fn an_entry_that_no_path_reaches_is_left_out_and_named() {
    let feature = |id: &str, kind: &str, coordinates: Value, rest: Value| {
        let shape = if coordinates[0].is_number() { "Point" } else { "LineString" };
        let mut properties = rest;
        properties["kind"] = json!(kind);
        json!({"type": "Feature", "id": id, "properties": properties,
            "geometry": {"type": shape, "coordinates": coordinates}})
    };
    let brick = || json!({"construction": "brick-half"});
    let door = || json!({"construction": "door-solid", "entry": true});
    let ring = json!([[0, 0], [8, 0], [8, 5], [0, 5], [0, 0]]);
    let plan = json!({"type": "FeatureCollection", "name": "Two flats", "units": "m", "features": [
        feature("outside", "wall", ring, brick()),
        feature("between", "wall", json!([[4, 0], [4, 5]]), brick()),
        feature("west", "opening", json!([[1, 0], [2, 0]]), door()),
        feature("east", "opening", json!([[6, 0], [7, 0]]), door()),
        feature("panel", "panel", json!([1, 4]), json!({})),
        feature("sensor", "sensor", json!([3, 1]), json!({})),
        feature("outlet", "outlet", json!([0.1, 3]), json!({})),
        feature("mount", "mountable", json!([[0.2, 3], [0.2, 4]]), json!({})),
    ]});
    let report = place_in(&plan, &["--format", "json"]).json();
    warned(&report, &["entry east is not counted", "door"]);
    assert_eq!(list(&report, "best")[0]["walk"]["entry"], "west");
}
