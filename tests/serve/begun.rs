//! A plan is begun with nothing, and what is needed to draw it.

use std::fs;

use crate::client::{Page, Served};
use forecast::vocabulary;
use plan::{read_house, schema::kinds};
use serde_json::{Value, json};

fn measured(page: &mut Page, seq: u32, texts: &[&str]) -> Value {
    page.say(&json!({"type": "measure", "seq": seq, "texts": texts}));
    page.wait_for("measured", |answer| answer["seq"] == seq)
}

#[test]
fn lengths_are_read_in_the_unit_of_the_plan() {
    let (metric, feet) = (Served::shipped("workshop"), Served::shipped("bungalow"));
    let (mut metric, mut feet) = (metric.page("m"), feet.page("f"));
    let texts = ["3.2", "10' 6\"", "85cm", " 2,5 m", "wall", "", "1 2", "-1", "1e99"];
    let answer = measured(&mut metric, 1, &texts);
    assert_eq!(answer["metres"], json!([3.2, 3.2004, 0.85, 2.5, null, null, null, null, null]));
    let faults = answer["faults"].as_array().unwrap();
    assert_eq!(faults.iter().filter(|fault| fault.is_null()).count(), 4);
    assert!(faults[4].as_str().unwrap().contains("3.6m"), "{answer}");
    let answer = measured(&mut feet, 2, &["10", "10m", "10 6"]);
    assert_eq!(answer["metres"], json!([3.048, 10.0, null]));

    let most = vec!["1"; 20];
    assert_eq!(measured(&mut feet, 3, &most)["metres"].as_array().unwrap().len(), 20);
    for texts in [vec!["1"; 21], vec![&*"1".repeat(41)]] {
        feet.say(&json!({"type": "measure", "seq": 4, "texts": texts}));
        assert!(feet.wait("refused")["fix"].as_str().unwrap().contains("shorter"));
    }
}

#[test]
fn the_palette_has_every_construction_once_with_its_loss_at_the_link() {
    let served = Served::shipped("corner-shop");
    let mut page = served.page("t");
    let plan = page.wait("plan");
    let palette = page.wait("palette");
    let rows = palette["constructions"].as_array().unwrap();
    let names: Vec<&str> = rows.iter().map(|row| row["name"].as_str().unwrap()).collect();
    let built_in = radio::catalogue().iter().map(|one| one.name);
    let expected: Vec<&str> = ["party-wall", "strip-curtain"].into_iter().chain(built_in).collect();
    assert_eq!(names, expected);
    let row = |name: &str| rows.iter().find(|row| row["name"] == name).unwrap();
    assert_eq!(row("party-wall")["own"], true);
    assert!(row("party-wall")["words"].as_str().unwrap().contains("215 mm brick"));
    assert!(row("strip-curtain")["words"].as_str().unwrap().starts_with("measured: "));
    assert_eq!(row("brick-half")["words"], "102.5 mm brick plastered on both sides");
    assert_eq!(row("brick-half")["for"], json!(["wall", "obstacle"]));
    assert_eq!(row("glass-double")["for"], json!(["window", "door", "wall"]));
    assert_eq!(row("door-steel")["for"], json!(["door"]));
    assert_eq!(row("floor-timber")["for"], json!(["slab"]));
    assert_eq!(row("party-wall")["for"].as_array().unwrap().len(), 5);
    // The plan says the same losses.
    for one in plan["constructions"].as_array().unwrap() {
        let row = row(one["name"].as_str().unwrap());
        assert_eq!((&row["loss_db"], &row["class"]), (&one["loss_db"], &one["class"]));
    }
    assert_eq!(plan["constructions"].as_array().unwrap().len(), rows.len());
    assert_eq!(palette["mounts"][4]["name"], "metal");
    let roles: Vec<&Value> =
        palette["roles"].as_array().unwrap().iter().map(|role| &role["name"]).collect();
    assert_eq!(roles, plan::ROLES);
    assert!(palette["roles"].as_array().unwrap().iter().all(|role| role["words"].is_string()));
    for kind in palette["kinds"].as_array().unwrap() {
        assert!(kinds().any(|known| known.name == kind["kind"]), "{kind}");
    }

    // Another link, other losses; another construction of its own, another row.
    let before = row("brick-half")["loss_db"].clone();
    let text = fs::read_to_string(&served.plan).unwrap().replace("eu-868.3", "eu-433");
    let other = Served::of(&text);
    let palette = other.page("t").wait("palette");
    let mut rows = palette["constructions"].as_array().unwrap().iter();
    assert_ne!(rows.find(|row| row["name"] == "brick-half").unwrap()["loss_db"], before);
}

#[test]
fn a_plan_is_begun_with_nothing_drawn_and_saved_under_a_name() {
    let served = Served::new_plan();
    let mut page = served.page("t");
    let shown = page.wait("plan");
    assert_eq!((&shown["file"], &shown["unsaved"]), (&json!(null), &json!(0)));
    assert_eq!((&shown["features"], &shown["faults"]), (&json!([]), &json!([])));
    let startable = page.wait("startable");
    let examples = startable["examples"].as_array().unwrap();
    assert_eq!(examples.len(), fixtures::PLANS.len());
    assert!(examples.iter().all(|one| fixtures::PLANS.contains(&one["name"].as_str().unwrap())));

    page.say(&json!({"type": "start", "with": "empty", "units": "ft"}));
    let shown = page.wait_for("plan", |plan| plan["version"] == 2);
    assert_eq!((&shown["units"], &shown["undo"]), (&json!("ft"), &json!(1)));
    let levels = shown["levels"].as_array().unwrap();
    assert_eq!(levels.len(), 1);
    assert!((levels[0]["ceiling_m"].as_f64().unwrap() - 8.0 * 0.3048).abs() < 1e-9);
    page.say(&json!({"type": "start", "with": "empty", "units": "m"}));
    assert_eq!(page.wait("refused")["what"], "this plan is begun already");

    let wall = json!({
        "type": "Feature", "id": "front",
        "properties": {"kind": "wall", "construction": "brick-half"},
        "geometry": {"type": "LineString", "coordinates": [[0, 0], [3.048, 0]]},
    });
    let add = json!({"type": "edit", "seq": 1, "changes": [{"do": "add", "feature": wall}]});
    page.say(&add);
    let shown = page.wait_for("plan", |plan| plan["version"] == 3);
    assert_eq!(shown["features"][0]["id"], "front");
    page.say(&json!({"type": "save", "as": null}));
    assert_eq!(page.wait("refused")["fix"], "save it under a name");
    page.say(&json!({"type": "save", "as": "plan.geojson"}));
    assert_eq!(page.wait("saved")["file"], "plan.geojson");
    let shown = page.wait("plan");
    assert_eq!((&shown["file"], &shown["unsaved"]), (&json!("plan.geojson"), &json!(0)));
    let text = fs::read_to_string(&served.plan).unwrap();
    let plan = read_house("plan.geojson", text.as_bytes(), &vocabulary()).unwrap().plan;
    assert!((plan.walls[0].line.0[1].x - 3.048).abs() < 1e-9, "{text}");
    insta::assert_snapshot!(text);
    let mut names: Vec<String> = fs::read_dir(served.folder.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    assert_eq!(names, [".plan.geojson.drillonce-lock", "plan.geojson"]);

    // From now on it is the plan of that file.
    page.say(&json!({"type": "undo"}));
    page.wait_for("plan", |plan| plan["unsaved"] == 1);
    assert!(served.folder.path().join(".plan.geojson.drillonce-edit").is_file());
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    assert!(!fs::read_to_string(&served.plan).unwrap().contains("front"));
}

#[test]
fn an_example_is_tried_and_taken_back() {
    let served = Served::new_plan();
    let mut page = served.page("t");
    page.wait("startable");
    page.say(&json!({"type": "start", "with": "example", "name": "nowhere"}));
    assert!(page.wait("refused")["what"].as_str().unwrap().contains("no example"));
    page.say(&json!({"type": "start", "with": "example", "name": "bungalow"}));
    let shown = page.wait_for("plan", |plan| plan["version"] == 2);
    assert_eq!(shown["name"], "Timber bungalow");
    page.wait_for("table", |table| table["version"] == 2 && table["partial"] == false);
    // Who comes later is not asked with what to begin.
    let mut other = served.page("o");
    other.wait_for("table", |table| {
        assert_ne!(table["type"], "startable");
        table["partial"] == false
    });
    page.say(&json!({"type": "undo"}));
    page.wait_for("plan", |plan| plan["version"] == 3 && plan["features"] == json!([]));
    page.say(&json!({"type": "start", "with": "example", "name": "workshop"}));
    page.wait_for("plan", |plan| plan["name"] == "Joinery workshop");
    page.say(&json!({"type": "save", "as": "plan.geojson"}));
    page.wait("saved");
    let shipped = fs::read_to_string(fixtures::floorplan("workshop")).unwrap();
    assert_eq!(fs::read_to_string(&served.plan).unwrap(), shipped);
}

#[test]
fn a_plan_with_a_file_is_not_begun_anew() {
    let served = Served::shipped("annexe");
    let mut page = served.page("t");
    page.say(&json!({"type": "start", "with": "empty"}));
    page.wait("refused");
    assert_eq!(page.table(0)["version"], 1);
}
