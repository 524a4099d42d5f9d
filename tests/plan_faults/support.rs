//! Small plans, and how their faults are shown.

use drillonce::plan::{Fault, Reading, Vocabulary, read};

/// Names for these tests alone; the program's own catalogue has more.
pub fn vocabulary() -> Vocabulary {
    let names = |names: &[&str]| names.iter().map(|name| (*name).to_owned()).collect();
    Vocabulary {
        constructions: names(&[
            "brick-half",
            "brick-solid",
            "stud-plain",
            "door-hollow",
            "concrete",
        ]),
        materials: names(&["brick", "concrete", "plasterboard", "wood", "glass"]),
        links: names(&["us-319", "us-345", "eu-868"]),
        mounts: names(&["wall", "door-frame", "metal-frame"]),
    }
}

/// A box of 10 × 8 with a panel and a sensor: nothing is wrong with it.
pub const SOUND: &str = r#"    {"type": "Feature", "id": "outer", "properties": {"kind": "wall", "construction": "brick-solid"},
     "geometry": {"type": "LineString", "coordinates": [[0, 0], [10, 0], [10, 8], [0, 8], [0, 0]]}},
    {"type": "Feature", "id": "panel", "properties": {"kind": "panel"},
     "geometry": {"type": "Point", "coordinates": [1, 1]}},
    {"type": "Feature", "id": "hall", "properties": {"kind": "sensor", "number": 1},
     "geometry": {"type": "Point", "coordinates": [9, 7]}}"#;

/// A plan of top-level members (each with its comma) and features.
pub fn plan_of(top: &str, features: &str) -> String {
    let top = if top.is_empty() {
        String::new()
    } else {
        format!("  {top}\n")
    };
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
        Ok(reading) if reading.warnings.is_empty() => "nothing to mend".to_owned(),
        Ok(reading) => format!("usable, but:\n{}", shown(&reading.warnings)),
        Err(faults) => shown(&faults),
    }
}

pub fn shown(faults: &[Fault]) -> String {
    faults
        .iter()
        .map(ToString::to_string)
        .collect::<Vec<_>>()
        .join("\n")
}

/// Compares what a plan leads to with the reviewed text of that name, beside which the plan stands.
#[track_caller]
pub fn check(name: &str, plan: &str) {
    compare(name, plan, &outcome(plan.as_bytes()));
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
