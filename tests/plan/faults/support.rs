//! Small plans, and how their faults are shown.

use plan::{Diagnostic, Reading, read};

pub use crate::faults::promises::vocabulary;

/// A box of 10 × 8 with a panel and a sensor: nothing is wrong with it.
pub const SOUND: &str = r#"    {"type": "Feature", "id": "outer", "properties": {"kind": "wall", "construction": "brick-solid"},
     "geometry": {"type": "LineString", "coordinates": [[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]}},
    {"type": "Feature", "id": "panel", "properties": {"kind": "panel"},
     "geometry": {"type": "Point", "coordinates": [1, 1]}},
    {"type": "Feature", "id": "hall", "properties": {"kind": "sensor", "number": 1},
     "geometry": {"type": "Point", "coordinates": [9, 7]}}"#;

/// A plan of top-level members (each with its comma) and features.
pub fn plan_of(top: &str, features: &str) -> String {
    let top = if top.is_empty() { String::new() } else { format!("  {top}\n") };
    format!("{{\n  \"type\": \"FeatureCollection\",\n{top}  \"features\": [\n{features}\n  ]\n}}\n")
}

/// The sound plan with further top-level members.
pub fn with_top(top: &str) -> String {
    plan_of(top, SOUND)
}

/// The sound plan with further features.
pub fn with_features(features: &str) -> String {
    plan_of("", &format!("{SOUND},\n{features}"))
}

/// A feature without an id, on two lines: properties, then geometry.
pub fn feature(properties: &str, kind: &str, coordinates: &str) -> String {
    format!(
        "    {{\"type\": \"Feature\", \"properties\": {{{properties}}},\n     \"geometry\": \
         {{\"type\": \"{kind}\", \"coordinates\": {coordinates}}}}}"
    )
}

/// A line feature.
pub fn line(properties: &str, coordinates: &str) -> String {
    feature(properties, "LineString", coordinates)
}

/// A polygon feature.
pub fn area(properties: &str, coordinates: &str) -> String {
    feature(properties, "Polygon", coordinates)
}

/// A point feature.
pub fn point(properties: &str, coordinates: &str) -> String {
    feature(properties, "Point", coordinates)
}

/// Reads a plan that must be sound.
pub fn sound(plan: &str) -> Reading {
    read("plan.geojson", plan.as_bytes(), &vocabulary())
        .unwrap_or_else(|faults| panic!("{}", shown(&faults)))
}

/// Reads bytes and shows what comes of them.
pub fn outcome(bytes: &[u8]) -> String {
    match read("plan.geojson", bytes, &vocabulary()) {
        Ok(reading) if reading.warnings.is_empty() => "nothing to fix".to_owned(),
        Ok(reading) => format!("usable, but:\n{}", shown(&reading.warnings)),
        Err(faults) => shown(&faults),
    }
}

pub fn shown(faults: &[Diagnostic]) -> String {
    faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

/// Compares what a plan leads to with the reviewed text of that name, beside which the plan stands.
#[track_caller]
pub fn check(name: &str, plan: &str) {
    compare(name, plan, &outcome(plan.as_bytes()));
}

/// The same for the sound plan with further features.
#[track_caller]
pub fn check_features(name: &str, features: &[String]) {
    check(name, &with_features(&features.join(",\n")));
}

/// The same for what is too large, or no text, to stand beside.
#[track_caller]
pub fn check_outcome(name: &str, outcome: &str) {
    compare(name, "", outcome);
}

#[track_caller]
fn compare(name: &str, plan: &str, outcome: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.set_description(plan);
    settings.bind(|| insta::assert_snapshot!(name, outcome));
}

/// The top-level members of the house.
pub fn house_top() -> String {
    r#""levels": [{"level": 1, "floor": 2.7, "ceiling": 5.1},
    {"level": 0, "name": "Ground", "floor": 0, "ceiling": 2.4}],
  "link": "eu-868",
  "constructions": {
    "foil board": {"layers": [{"material": "plasterboard", "thickness_mm": 12.5}, {"sheet_resistance_ohm": 0.5}]},
    "old wall": {"loss_db": {"868.3": 9.5, "319.5": 4.0}}},"#
        .to_owned()
}

/// Features of every kind, on two levels.
pub const HOUSE_FEATURES: [&str; 16] = [
    r#"{"type": "Feature", "id": "front", "properties": {"kind": "opening", "construction": "door-hollow", "level": 0, "entry": true, "top": 2.0},
 "geometry": {"type": "LineString", "coordinates": [[2, 0], [3, 0]]}}"#,
    r#"{"type": "Feature", "id": "outer", "properties": {"kind": "wall", "construction": "brick-solid", "level": 0},
 "geometry": {"type": "LineString", "coordinates": [[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "opening", "construction": "foil board", "level": 0, "state": "open", "base": 0.9},
 "geometry": {"type": "LineString", "coordinates": [[5.5, 8.03], [7, 7.97]]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "wall", "construction": "old wall", "level": 0, "top": 1.1},
 "geometry": {"type": "LineString", "coordinates": [[4, 0], [4, 8]]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "opening", "construction": "door-hollow", "level": 0},
 "geometry": {"type": "LineString", "coordinates": [[8, 0], [10, 0], [10, 1]]}}"#,
    r#"{"type": "Feature", "id": 17, "properties": {"kind": "wall", "construction": "stud-plain", "level": 1},
 "geometry": {"type": "LineString", "coordinates": [[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]}}"#,
    r#"{"type": "Feature", "id": "panel", "properties": {"kind": "panel", "level": 0},
 "geometry": {"type": "Point", "coordinates": [1, 1]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "sensor", "level": 1, "height": 2.1, "name": "Landing", "number": 3, "role": "fire", "device": "smoke", "mount": "wall", "link": {"like": "us-345", "checkin_min": 20, "bursts": 4}},
 "geometry": {"type": "Point", "coordinates": [5, 5]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "keypad", "level": 0, "height": 1.4, "supervised": false},
 "geometry": {"type": "Point", "coordinates": [2.5, 0.1]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "slab", "level": 1, "construction": "concrete"},
 "geometry": {"type": "Polygon", "coordinates": [[[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]], [[5, 5], [6, 5], [6, 7], [5, 7], [5, 5]]]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "obstacle", "level": 0, "construction": "concrete", "top": 1.8},
 "geometry": {"type": "Polygon", "coordinates": [[[1, 3], [2, 3], [2, 4], [1, 3]]]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "roam", "level": 0, "height": 1.1, "worn": true, "link": "us-319", "name": "Garden flat"},
 "geometry": {"type": "Polygon", "coordinates": [[[0, 0], [10, 0], [10, 8], [0, 0]]]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "mountable", "level": 0},
 "geometry": {"type": "LineString", "coordinates": [[0, 1], [0, 7]]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "outlet", "level": 1},
 "geometry": {"type": "Point", "coordinates": [0.1, 3]}}"#,
    r#"{"type": "Feature", "properties": {"kind": "stairs", "level": 0, "to": 1, "name": "Main stairs"},
 "geometry": {"type": "LineString", "coordinates": [[5.5, 7], [5.5, 6], [5.5, 5]]}}"#,
    r#"{"type": "Feature", "id": "repeater", "properties": {"kind": "repeater", "level": 1, "height": 0.5, "capacity": 8},
 "geometry": {"type": "Point", "coordinates": [9.9, 3]}}"#,
];

/// A two-storey house with every kind of feature, in metres.
pub fn house() -> String {
    plan_of(&house_top(), &HOUSE_FEATURES.join(",\n"))
}

/// The same house drawn in feet: every coordinate and height converted by the definition of the
/// foot, 0.3048 m, independently of the reader.
pub fn house_in_feet() -> String {
    let mut plan: serde_json::Value = serde_json::from_str(&house()).unwrap();
    to_feet(&mut plan, false);
    plan["units"] = "ft".into();
    plan.to_string()
}

fn to_feet(value: &mut serde_json::Value, is_length: bool) {
    match value {
        serde_json::Value::Number(number) if is_length => {
            *value = (number.as_f64().unwrap() / 0.3048).into();
        }
        serde_json::Value::Array(items) => {
            items.iter_mut().for_each(|item| to_feet(item, is_length));
        }
        serde_json::Value::Object(members) => {
            for (name, member) in members {
                let lengths = ["coordinates", "height", "base", "top", "floor", "ceiling"];
                to_feet(member, lengths.contains(&name.as_str()));
            }
        }
        _ => {}
    }
}
