//! Features of `GeoJSON` in the plan's local frame, metres.

use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonObject, JsonValue};
use serde::Serialize;

/// A row's members as the properties of a feature, in alphabetical order.
pub(crate) fn properties(row: &impl Serialize) -> Result<JsonObject, serde_json::Error> {
    Ok(match serde_json::to_value(row)? {
        JsonValue::Object(properties) => properties,
        _ => JsonObject::new(),
    })
}

pub(crate) fn object<const N: usize>(members: [(&str, JsonValue); N]) -> JsonObject {
    members.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
}

pub(crate) fn feature(id: &str, geometry: GeometryValue, properties: JsonObject) -> Feature {
    Feature {
        geometry: Some(Geometry::new(geometry)),
        id: Some(geojson::feature::Id::String(id.to_owned())),
        properties: Some(properties),
        ..Feature::default()
    }
}

/// A feature collection as text.
///
/// # Errors
/// What `serde_json` answers; a report holds nothing that it refuses.
pub(crate) fn collection(features: Vec<Feature>) -> Result<String, serde_json::Error> {
    let collection = FeatureCollection { bbox: None, features, foreign_members: None };
    super::json::pretty(&collection, &[])
}
