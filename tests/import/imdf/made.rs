//! Archives made for the tests.

use zip::CompressionMethod;

use crate::promises::{self, ARCADE};

/// The text of a file of the arcade.
pub fn text_of(name: &str) -> &'static str {
    ARCADE.iter().find(|(known, _)| *known == name).unwrap().1
}

/// A manifest of the right version.
pub const MANIFEST: &str =
    r#"{"version": "1.0.0", "created": "2026-11-26T12:00:00Z", "language": "en"}"#;

/// The arcade's files, those named here with other texts; an empty text takes the file out.
pub fn arcade_with(others: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for (name, text) in ARCADE {
        let other = others.iter().find(|(other, _)| *other == name);
        let text = other.map_or(text, |(_, text)| text);
        if !text.is_empty() {
            files.push((name.to_owned(), text.as_bytes().to_vec()));
        }
    }
    files
}

/// Files packed with Deflate, all of the same date, so that the same files give the same bytes.
pub fn packed(files: &[(String, Vec<u8>)]) -> Vec<u8> {
    packed_by(files, CompressionMethod::Deflated)
}

/// Files packed by a method.
pub fn packed_by(files: &[(String, Vec<u8>)], method: CompressionMethod) -> Vec<u8> {
    promises::packed_by(files.iter().map(|(name, bytes)| (name.as_str(), &bytes[..])), method)
}

/// The arcade as an archive.
pub fn arcade() -> Vec<u8> {
    packed(&arcade_with(&[]))
}

/// The arcade with one file's text changed.
pub fn arcade_changed(name: &str, change: impl FnOnce(&str) -> String) -> Vec<u8> {
    let text = text_of(name);
    let changed = change(text);
    assert_ne!(changed, text, "the change must change something");
    packed(&arcade_with(&[(name, &changed)]))
}

/// A `GeoJSON` collection of features.
pub fn collection(features: &[String]) -> String {
    format!("{{\"type\": \"FeatureCollection\", \"features\": [\n{}\n]}}", features.join(",\n"))
}

/// Degrees of one metre of latitude where the small sites lie, near the equator.
pub const METRE_DEG: f64 = 1.0 / 110_574.3;
/// As above, of longitude.
pub const METRE_EAST_DEG: f64 = 1.0 / 111_319.5;

/// A rectangle in metres east and north of a place near the equator, as a ring in degrees.
pub fn ring(at: (f64, f64), low: (f64, f64), high: (f64, f64)) -> String {
    let corners = [low, (high.0, low.1), high, (low.0, high.1), low];
    let corners = corners.map(|(x, y)| {
        let (x, y) = (at.0 + x * METRE_EAST_DEG, at.1 + y * METRE_DEG);
        // Beyond the 180° meridian the count goes on from −180°.
        let x = if x > 180.0 { x - 360.0 } else { x };
        format!("[{x:.8}, {y:.8}]")
    });
    format!("[{}]", corners.join(", "))
}

/// A feature.
pub fn feature(id: &str, geometry: &str, properties: &str) -> String {
    format!(
        "{{\"id\": \"{id}\", \"type\": \"Feature\", \"geometry\": {geometry}, \"properties\": {{{properties}}}}}"
    )
}

/// A polygon of one ring.
pub fn polygon(ring: &str) -> String {
    format!("{{\"type\": \"Polygon\", \"coordinates\": [{ring}]}}")
}

/// A small site: levels, units and openings.
pub fn site(levels: &[String], units: &[String], openings: &[String]) -> Vec<u8> {
    packed(&[
        ("manifest.json".to_owned(), MANIFEST.into()),
        ("level.geojson".to_owned(), collection(levels).into()),
        ("unit.geojson".to_owned(), collection(units).into()),
        ("opening.geojson".to_owned(), collection(openings).into()),
    ])
}

/// Where the small sites lie: the open Atlantic, near the equator.
pub const AT: (f64, f64) = (-24.0, 0.5);

/// A level within a building, called by its id.
pub fn level(id: &str, ordinal: i32, area: &str) -> String {
    let name =
        format!("\"ordinal\": {ordinal}, \"outdoor\": false, \"name\": {{\"en\": \"{id}\"}}");
    feature(id, area, &format!("{name}, \"building_ids\": [\"house\"]"))
}

/// A rectangular unit, called by its id, in metres from the place of the small sites.
pub fn unit(id: &str, level: &str, category: &str, low: (f64, f64), high: (f64, f64)) -> String {
    unit_at(AT, id, level, category, low, high)
}

/// As above, from another place.
pub fn unit_at(
    at: (f64, f64),
    id: &str,
    level: &str,
    category: &str,
    low: (f64, f64),
    high: (f64, f64),
) -> String {
    let properties = format!(
        "\"category\": \"{category}\", \"level_id\": \"{level}\", \"name\": {{\"en\": \"{id}\"}}"
    );
    feature(id, &polygon(&ring(at, low, high)), &properties)
}

/// A timber door on foot.
pub fn opening(id: &str, level: &str, from: (f64, f64), to: (f64, f64)) -> String {
    // A ring's first two corners are its lower side: good for lines along x; others are written
    // out.
    let place = |(x, y): (f64, f64)| {
        format!("[{:.8}, {:.8}]", AT.0 + x * METRE_EAST_DEG, AT.1 + y * METRE_DEG)
    };
    let line =
        format!("{{\"type\": \"LineString\", \"coordinates\": [{}, {}]}}", place(from), place(to));
    let properties = format!(
        "\"category\": \"pedestrian\", \"level_id\": \"{level}\", \"door\": {{\"material\": \"wood\"}}"
    );
    feature(id, &line, &properties)
}

/// A rectangle in metres from the place of the small sites.
pub fn area(low: (f64, f64), high: (f64, f64)) -> String {
    polygon(&ring(AT, low, high))
}
