//! What the reader lets pass the schema lets pass.

use forecast::vocabulary;
use plan::read_house;
use serde_json::{Value, json};

use crate::schema::support::{Judge, feature, house, put, reader_verdict, take};

/// Changes a plan.
type Change = Box<dyn Fn(&mut Value)>;

fn with(path: &'static str, value: Value) -> (String, Change) {
    let name = format!("{path}: {value}");
    (name, Box::new(move |plan| put(plan, path, value.clone())))
}

fn without(path: &'static str) -> (String, Change) {
    (format!("no {path}"), Box::new(move |plan| take(plan, path)))
}

fn sound() -> Vec<(String, Change)> {
    let unknown = |properties: Value| {
        let mut unknown = feature("new", "MultiPoint", json!("nowhere"), properties);
        unknown["geometry"]["type"] = json!(5);
        unknown
    };
    vec![
        with("features/wall/id", json!(17)),
        with("features/wall/id", json!(1.5)),
        with("features/wall/id", json!(" x ")),
        with("features/wall/geometry/coordinates/1", json!([10, 0, 2.5])),
        with("features/wall/geometry/coordinates/1", json!([10, 0, 2.5, 7])),
        with("features/wall/properties/colour", json!({"red": 1})),
        with("features/wall/properties/name", json!(["not", "looked", "at"])),
        with("features/wall/properties/capacity", json!("many")),
        with("features/wall/properties/level", json!(0.0)),
        with("features/wall/colour", json!(true)),
        with("features/wall/bbox", json!("none")),
        with("features/wall/geometry/colour", json!(0)),
        with("features/wall/geometry/bbox", json!([0, 0, 10, 8])),
        with("features/sensor/properties/role", json!("something-else")),
        with("features/sensor/properties/capacity", json!(-5)),
        with("features/sensor/properties/height", json!(-0.5)),
        with("features/new", unknown(json!({"kind": "lamp", "level": "x", "construction": 5}))),
        with("features/new", unknown(json!({"kind": ""}))),
        with("features/new", json!({"type": "Feature", "properties": {"kind": "lamp"}})),
        with(
            "features/new",
            json!({"type": "Feature", "geometry": null, "properties": {"kind": "lamp"}}),
        ),
        with("colour", json!([])),
        with("bbox", json!({})),
        with("$schema", json!(3)),
        with("levels/0/colour", json!(1)),
        with("link", json!({})),
        with("link", json!("us-345")),
        with("link/colour", json!(1)),
        with("constructions/board/colour", json!(1)),
        with("constructions/board/name", json!(1)),
        with("constructions/board/loss_db", json!(null)),
        with("constructions/old/layers", json!(null)),
        with("constructions/old/loss_db", json!({"+8.6e2": 1, ".5e3": 2, "900.": 0})),
        with("constructions/board/layers/0/sheet_resistance_ohm", json!(null)),
        with("constructions/board/layers/1/thickness_mm", json!(null)),
        with("constructions/board/layers/1/material", json!("whatever")),
        with("constructions/board/layers/1/colour", json!(1)),
        with("calibration/colour", json!(1)),
        with(
            "calibration/devices/nobody",
            json!({"loss_db": 0, "own_db": 0, "sigma_db": 0, "x": 1}),
        ),
        with("features/wall/geometry/bbox", json!(null)),
        without("levels/0/name"),
        without("features/opening/properties/level"),
        without("features/mountable/properties/level"),
        without("features/outlet/properties/level"),
        without("features/stairs/properties/to"),
        without("calibration"),
        without("link"),
        without("$schema"),
    ]
}

#[test]
fn whatever_is_only_warned_of_keeps_to_the_schema() {
    let judge = Judge::new();
    for (name, change) in sound() {
        let mut plan = house();
        change(&mut plan);
        assert_eq!(reader_verdict(&plan), Ok(()), "{name}");
        assert_eq!(judge.verdict(&plan), Ok(()), "{name}");
    }
}

/// The path of every member of every object.
fn paths(value: &Value, path: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(members) => {
            for (name, member) in members {
                let path = format!("{path}/{name}");
                paths(member, &path, found);
                found.push(path);
            }
        }
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                paths(item, &format!("{path}/{index}"), found);
            }
        }
        _ => {}
    }
}

#[test]
fn null_is_taken_for_an_absent_member_exactly_where_the_reader_takes_it_so() {
    let judge = Judge::new();
    let mut found = Vec::new();
    paths(&house(), "", &mut found);
    let (mut passed, mut refused) = (0, 0);
    for path in found {
        let mut plan = house();
        *plan.pointer_mut(&path).unwrap() = Value::Null;
        let (by_reader, by_schema) = (reader_verdict(&plan), judge.verdict(&plan));
        assert_eq!(by_reader.is_ok(), by_schema.is_ok(), "{path}: {by_reader:?}");
        if by_reader.is_ok() {
            passed += 1;
        } else {
            refused += 1;
        }
    }
    assert!(passed > 80 && refused > 60, "{passed} {refused}");
}

#[test]
fn the_member_that_tells_an_editor_of_the_schema_is_not_warned_of() {
    let mut plan = house();
    let features = plan["features"].as_array_mut().unwrap();
    features.retain(|feature| feature["id"] != "room");
    let text = plan.to_string();
    assert!(text.contains("$schema"));
    let reading = read_house("plan.geojson", text.as_bytes(), &vocabulary()).unwrap();
    assert_eq!(reading.warnings, []);
}
