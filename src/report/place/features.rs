//! A search for the panel's spot as CSV, one row a spot, and as `GeoJSON`.

use geojson::{Feature, GeometryValue, JsonValue};
use serde_json::json;

use super::{PlaceReport, SpotOf, SpotRow, position};
use crate::csv;
use crate::geojson::{collection, feature};
use crate::json::{rounded, value};

const COLUMNS: &str = concat!(
    "spot rank level wall x_m=/position_m/0 y_m=/position_m/1 z_m=/position_m/2 keeps_all ",
    "unbeaten any_fault_per_year not_sound failing worst_device=/worst/id ",
    "worst_margin_db=/worst/margin_db least_roam_share walk_from=/walk/entry ",
    "walk_m=/walk/length_m walk_s=/walk/time_s entry_delay_s=/walk/entry_delay_s ",
    "exit_delay_s=/walk/exit_delay_s outlet=/wire/outlet wire_m=/wire/length_m ",
    "cable_m=/wire/cable_m gauge=/wire/gauge volts_at_panel=/wire/volts_at_panel",
);

/// All spots as CSV with a header line, best first.
#[must_use]
pub fn place_csv(report: &PlaceReport<'_>) -> String {
    let rows = report.all().map(|spot| {
        let mut row = value(&SpotRow(&spot));
        let least = spot.roams().map(|(_, share)| *share).min_by(f64::total_cmp);
        row["least_roam_share"] = least.map(rounded).into();
        row
    });
    csv::written(COLUMNS, rows)
}

/// The spots as a `GeoJSON` feature collection in the plan's local frame, metres: a point for every
/// spot and every place left out, and for those offered the walk and the wire as lines.
#[must_use]
pub fn place_geojson(report: &PlaceReport<'_>) -> String {
    let mut features = Vec::new();
    for spot in report.best() {
        features.push(point(&spot, "offered"));
        features.extend(lines(&spot));
    }
    for spot in report.all().filter(|spot| spot.number.is_none()) {
        features.push(point(&spot, "spot"));
    }
    for (number, (spot, reason)) in report.siting.spots.left_out.iter().enumerate() {
        let properties = json!({
            "kind": "left-out",
            "level": spot.level,
            "reason": reason.word(),
            "feature": reason.feature(),
        });
        let at = GeometryValue::new_point(position(spot));
        features.push(feature(&format!("left-out-{}", number + 1), at, &properties));
    }
    collection(features)
}

/// A spot; the lines of walk and wire have features of their own.
fn point(spot: &SpotOf<'_>, kind: &str) -> Feature {
    let mut properties = value(&SpotRow(spot));
    for (member, line) in [("walk", "line"), ("wire", "route")] {
        if let JsonValue::Object(inner) = &mut properties[member] {
            inner.remove(line);
        }
    }
    properties["kind"] = kind.into();
    let id = format!("{kind}-{}", spot.number.unwrap_or(spot.rank));
    feature(&id, GeometryValue::new_point(position(spot.spot)), &properties)
}

fn lines(spot: &SpotOf<'_>) -> Vec<Feature> {
    let line = |kind: &str, length_m: f64, line: GeometryValue| {
        let properties = json!({"kind": kind, "spot": spot.number, "length_m": rounded(length_m)});
        feature(&format!("{kind}-{}", spot.number.unwrap_or(spot.rank)), line, &properties)
    };
    let mut found = Vec::new();
    if let Some(walk) = spot.walk.map(|walk| &walk.longest).filter(|walk| walk.line.len() > 1) {
        let points = walk.line.iter().map(|(_, p)| [p.x, p.y]);
        let way = GeometryValue::new_line_string(points);
        found.push(line("walk", walk.length_m, way));
    }
    if let Some(wire) = spot.power.ok().map(|run| &run.wire).filter(|wire| wire.route.len() > 1) {
        let points = wire.route.iter().map(|(_, p, z)| [p.x, p.y, *z]);
        let way = GeometryValue::new_line_string(points);
        found.push(line("wire", wire.length_m, way));
    }
    found
}
