//! Steps that are no change of one thing: putting right, storeys.

use std::fs;

use crate::client::Served;
use forecast::vocabulary;
use plan::read_house;
use plan::tidy::{TidySettings, tidied};
use serde_json::json;

/// A room whose corner stays open by two centimetres, and a wall that stops a hand short.
const OPEN: &str = r#"{
  "type": "FeatureCollection",
  "features": [
    {"type": "Feature", "id": "outer", "properties": {"kind": "wall", "construction": "brick-half"}, "geometry": {"type": "LineString", "coordinates": [[0, 0], [6, 0], [6, 4], [0, 4], [0.01, 0.02]]}},
    {"type": "Feature", "id": "short", "properties": {"kind": "wall", "construction": "brick-half"}, "geometry": {"type": "LineString", "coordinates": [[3, 0], [3, 3.88]]}},
    {"type": "Feature", "id": "panel", "properties": {"kind": "panel"}, "geometry": {"type": "Point", "coordinates": [1, 1]}},
    {"type": "Feature", "id": "one", "properties": {"kind": "sensor"}, "geometry": {"type": "Point", "coordinates": [5, 1]}}
  ]
}"#;

#[test]
fn putting_right_is_one_step_and_says_what_was_done_and_what_is_left() {
    let served = Served::of(OPEN);
    let mut page = served.page("t");
    page.table(0);
    page.say(&json!({"type": "tidy"}));
    let shown = page.wait_for("plan", |plan| plan["version"] == 2);
    assert_eq!(shown["undo"], 1);
    let said = page.wait("tidied");
    assert_eq!(said["version"], 2);
    let done = said["done"].as_array().unwrap();
    assert_eq!(done.len(), 1, "{said}");
    assert!(done[0].as_str().unwrap().starts_with("outer: moved the end"), "{said}");
    assert!(said["left"][0].as_str().unwrap().starts_with("short: the end"), "{said}");
    page.wait_for("table", |table| table["version"] == 2);
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    let expected = tidied("plan.geojson", OPEN, &vocabulary(), &TidySettings::default()).unwrap();
    assert_eq!(fs::read_to_string(&served.plan).unwrap(), expected.text);
    // Once more there is nothing to do, and no step.
    page.say(&json!({"type": "tidy"}));
    let said = page.wait("tidied");
    assert_eq!((&said["done"], &said["version"]), (&json!([]), &json!(2)));
    page.say(&json!({"type": "undo"}));
    page.wait_for("plan", |plan| plan["version"] == 3 && plan["undo"] == 0);
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    assert_eq!(fs::read_to_string(&served.plan).unwrap(), OPEN);
}

#[test]
fn what_only_people_can_put_right_keeps_nothing_else_from_being_put_right() {
    // The wall that stops short is of a construction that nobody knows.
    let at = OPEN.rfind("brick-half").unwrap();
    let text = format!("{}brik-half{}", &OPEN[..at], &OPEN[at + "brick-half".len()..]);
    let served = Served::of(&text);
    let mut page = served.page("t");
    assert_eq!(page.wait("plan")["faults"].as_array().unwrap().len(), 1);
    page.say(&json!({"type": "tidy"}));
    let shown = page.wait_for("plan", |plan| plan["version"] == 2);
    assert_eq!(shown["faults"].as_array().unwrap().len(), 1);
    let said = page.wait("tidied");
    assert!(said["done"][0].as_str().unwrap().starts_with("outer: moved the end"), "{said}");
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    assert_eq!(
        fs::read_to_string(&served.plan).unwrap(),
        text.replace("[0.01, 0.02]", "[0.0, 0.0]")
    );
}

#[test]
fn a_plan_with_a_fault_as_a_whole_is_not_put_right() {
    let served = Served::of(&OPEN.replacen("{", "{\"units\": \"yards\",", 1));
    let mut page = served.page("t");
    page.say(&json!({"type": "tidy"}));
    let why = page.wait("refused");
    assert!(why["what"].as_str().unwrap().contains("yards"), "{why}");
    assert!(why["fix"].as_str().unwrap().contains("\"m\""), "{why}");
}

#[test]
fn a_storey_is_added_and_changed() {
    let served = Served::of(OPEN);
    let mut page = served.page("t");
    page.table(0);
    page.say(&json!({"type": "level", "do": "add", "name": "Upstairs"}));
    let shown = page.wait_for("plan", |plan| plan["version"] == 2);
    assert_eq!(shown["faults"], json!([]));
    let levels = shown["levels"].as_array().unwrap();
    assert_eq!((&levels[1]["number"], &levels[1]["name"]), (&json!(1), &json!("Upstairs")));
    let (floor, ceiling) = (&levels[1]["floor_m"], &levels[1]["ceiling_m"]);
    assert_eq!((floor, ceiling), (&json!(2.7), &json!(5.1)));
    let table = page.wait_for("table", |table| table["version"] == 2);
    assert!(table["check"]["sensors"].is_array(), "{table}");
    let set = json!({"type": "level", "do": "set", "number": 0, "name": "Ground", "ceiling": 2.5});
    page.say(&set);
    let shown = page.wait_for("plan", |plan| plan["version"] == 3);
    assert_eq!((&shown["levels"][0]["name"], &shown["undo"]), (&json!("Ground"), &json!(2)));
    for message in [
        json!({"type": "level", "do": "set", "number": 0, "ceiling": 3.0}),
        json!({"type": "level", "do": "set", "number": 9}),
        json!({"type": "level", "do": "set"}),
        json!({"type": "level", "do": "add", "number": 1}),
        json!({"type": "level", "do": "add", "floor": 1e300}),
    ] {
        page.say(&message);
        let why = page.wait("refused");
        assert!(!why["fix"].as_str().unwrap().is_empty(), "{message}: {why}");
    }
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    let text = fs::read_to_string(&served.plan).unwrap();
    let plan = read_house("plan.geojson", text.as_bytes(), &vocabulary()).unwrap().plan;
    assert_eq!(plan.levels.len(), 2);
    for _ in 0..2 {
        page.say(&json!({"type": "undo"}));
    }
    page.wait_for("plan", |plan| plan["undo"] == 0);
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    assert_eq!(fs::read_to_string(&served.plan).unwrap(), OPEN);
}
