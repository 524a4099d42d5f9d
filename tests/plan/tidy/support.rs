//! Small plans to be tidied, and how what was done is shown.

use plan::read_house;
use plan::tidy::{Tidied, TidySettings, tidied};

pub use crate::tidy::promises::vocabulary;

/// A plan of features, each on its line.
pub fn plan_of(features: &[impl AsRef<str>]) -> String {
    let list = features.iter().map(AsRef::as_ref).collect::<Vec<_>>().join(",\n    ");
    format!(
        "{{\n  \"type\": \"FeatureCollection\",\n  \"name\": \"House\",\n  \"features\": [\n    {list}\n  ]\n}}\n"
    )
}

/// A wall of a construction with an id.
pub fn wall(id: &str, construction: &str, coordinates: &str) -> String {
    format!(
        r#"{{"type": "Feature", "id": "{id}", "geometry": {{"type": "LineString", "coordinates": {coordinates}}}, "properties": {{"kind": "wall", "construction": "{construction}"}}}}"#
    )
}

/// A door with an id.
pub fn door(id: &str, coordinates: &str) -> String {
    format!(
        r#"{{"type": "Feature", "id": "{id}", "geometry": {{"type": "LineString", "coordinates": {coordinates}}}, "properties": {{"kind": "opening", "construction": "door"}}}}"#
    )
}

/// A plan of features, tidied with the usual tolerance; checks what holds for every result.
pub fn tidy(text: &str) -> Tidied {
    let settings = TidySettings::default();
    let done = tidied("plan.geojson", text, &vocabulary(), &settings).unwrap();
    read_house("plan.geojson", done.text.as_bytes(), &vocabulary()).unwrap();
    let again = tidied("plan.geojson", &done.text, &vocabulary(), &settings).unwrap();
    assert_eq!(again.text, done.text);
    assert_eq!(again.fixes, []);
    assert_eq!(done.fixes.is_empty(), done.text == text);
    done
}

/// What was fixed, a line for each.
pub fn fixes(done: &Tidied) -> Vec<String> {
    let fixes = done.fixes.iter();
    fixes.map(|fix| format!("{}: {}: {}", fix.line, fix.feature, fix.what)).collect()
}

/// What was left, a line for each.
pub fn doubts(done: &Tidied) -> Vec<String> {
    let left = done.left.iter();
    left.map(|doubt| format!("{}: {}: {}", doubt.line, doubt.feature, doubt.what)).collect()
}
