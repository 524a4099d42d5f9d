//! The forecast as `GeoJSON`: a point for every device, a line for the way that its message takes.

use std::collections::BTreeMap;

use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonObject, JsonValue};

use super::check::{CheckReport, DeviceRow};

/// The forecast as a `GeoJSON` feature collection in the plan's local frame, metres.
///
/// # Errors
/// What `serde_json` answers; a report holds nothing that it refuses.
pub fn check_geojson(report: &CheckReport) -> Result<String, serde_json::Error> {
    let mut listeners: BTreeMap<&str, [f64; 3]> = BTreeMap::new();
    for row in report.rows() {
        listeners.insert(&row.id, row.position_m);
    }
    let mut features = vec![feature(
        &report.panel.id,
        GeometryValue::new_point(report.panel.position_m),
        object(&[("kind", "panel".into())]),
    )];
    for row in report.rows() {
        let properties = match serde_json::to_value(row)? {
            JsonValue::Object(properties) => properties,
            _ => JsonObject::new(),
        };
        features.push(feature(&row.id, GeometryValue::new_point(row.position_m), properties));
        let heard_at = row.via.as_deref().and_then(|via| listeners.get(via).copied());
        let ends = [heard_at.unwrap_or(report.panel.position_m), row.position_m];
        features.push(feature(
            &format!("{}-hop", row.id),
            GeometryValue::new_line_string(ends),
            hop_properties(row),
        ));
    }
    let collection = FeatureCollection { bbox: None, features, foreign_members: None };
    super::pretty(&collection)
}

fn hop_properties(row: &DeviceRow) -> JsonObject {
    object(&[
        ("kind", "hop".into()),
        ("device", row.id.clone().into()),
        ("margin_db", row.margin_db.into()),
        ("finding", row.finding.word().into()),
    ])
}

pub(super) fn object(members: &[(&str, JsonValue)]) -> JsonObject {
    members.iter().map(|(name, value)| ((*name).to_owned(), value.clone())).collect()
}

pub(super) fn feature(id: &str, geometry: GeometryValue, properties: JsonObject) -> Feature {
    Feature {
        bbox: None,
        geometry: Some(Geometry::new(geometry)),
        id: Some(geojson::feature::Id::String(id.to_owned())),
        properties: Some(properties),
        foreign_members: None,
    }
}
