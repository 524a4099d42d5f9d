//! `new`, `schema` and `tidy` as a user meets them.

use std::fs;

use crate::run::{contents, folder, folder_with, json_of, run_in, shipped};

#[test]
fn a_new_plan_can_be_checked_at_once() {
    for unit in ["m", "ft"] {
        let place = folder();
        let out = run_in(place.path(), &["new", "house.geojson", "--unit", unit]).ends(0).out;
        assert!(out.contains("drillonce check house.geojson"), "{out}");
        let checked =
            run_in(place.path(), &["check", "house.geojson", "--no-pictures"]).ends(0).out;
        assert!(
            checked.contains("6 sound, 0 thin") || checked.contains("7 sound, 0 thin"),
            "{checked}"
        );
        run_in(place.path(), &["new", "house.geojson"]).refused(&["is not overwritten"]);
    }
}

#[test]
fn a_new_list_becomes_the_same_plan() {
    let place = folder();
    run_in(place.path(), &["new", "house.txt"]).ends(0);
    run_in(place.path(), &["new", "plan.geojson"]).ends(0);
    run_in(place.path(), &["import", "house.txt", "--write", "made.geojson"]).ends(0);
    let files = contents(place.path());
    assert_eq!(files["made.geojson"], files["plan.geojson"]);
    run_in(place.path(), &["new", "house"]).refused(&[".geojson for a plan"]);
}

#[test]
fn the_schema_is_json_and_the_same_every_time() {
    let place = folder();
    let one = run_in(place.path(), &["schema"]).ends(0).out;
    assert_eq!(run_in(place.path(), &["schema"]).ends(0).out, one);
    assert_eq!(json_of(&one)["$schema"], "https://json-schema.org/draft/2020-12/schema");
}

/// A box whose last corner does not meet the first, by 2 cm.
const SHAKY: &str = r#"{"type": "FeatureCollection", "features": [
  {"type": "Feature", "id": "a", "geometry": {"type": "LineString", "coordinates": [[0, 0], [4, 0], [4, 3], [0, 3]]}, "properties": {"kind": "wall", "construction": "brick-half"}},
  {"type": "Feature", "id": "b", "geometry": {"type": "LineString", "coordinates": [[0, 3], [0.02, 0.0]]}, "properties": {"kind": "wall", "construction": "brick-half", "note": "mine"}}
]}
"#;

#[test]
fn tidy_tells_and_writes_only_when_asked() {
    let place = folder_with("shaky.geojson", SHAKY);
    let out = run_in(place.path(), &["tidy", "shaky.geojson"]).ends(1).out;
    assert!(out.contains("fixed  shaky.geojson:3  b: moved the end"), "{out}");
    assert!(out.contains("nothing was written"), "{out}");
    assert_eq!(contents(place.path()).len(), 1);
    let arguments = ["tidy", "shaky.geojson", "--write", "sound.geojson"];
    let out = run_in(place.path(), &arguments).ends(0).out;
    assert!(out.contains("written to sound.geojson"), "{out}");
    let sound = fs::read_to_string(place.path().join("sound.geojson")).unwrap();
    assert!(sound.contains("\"note\": \"mine\""), "{sound}");
    let out = run_in(place.path(), &["tidy", "sound.geojson"]).ends(0).out;
    assert!(out.starts_with("nothing to fix"), "{out}");
    run_in(place.path(), &arguments).ends(2);
    let shaky = fs::read_to_string(place.path().join("shaky.geojson")).unwrap();
    assert_eq!(shaky, SHAKY);
}

#[test]
fn the_shipped_plans_are_tidy_already() {
    for name in fixtures::PLANS {
        let place = folder();
        let arguments = ["tidy", &shipped(name), "--write", "same.geojson"];
        run_in(place.path(), &arguments).ends(0);
        let before = fs::read(shipped(name)).unwrap();
        assert_eq!(contents(place.path())["same.geojson"], before, "{name}");
    }
}

#[test]
fn a_plan_that_cannot_be_tidied_says_why() {
    let place = folder_with("bad.geojson", "{\"type\": ");
    run_in(place.path(), &["tidy", "bad.geojson", "--write", "x.geojson"])
        .refused(&["bad.geojson:1:"]);
    run_in(place.path(), &["tidy", "none.geojson"]).refused(&["cannot be read"]);
    run_in(place.path(), &["tidy", "bad.geojson", "--snap", "3"]).ends(2);
    assert_eq!(contents(place.path()).len(), 1);
}
