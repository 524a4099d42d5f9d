//! Features of `GeoJSON` in the plan's local frame, metres.

use geojson::feature::Id;
use geojson::{Feature, FeatureCollection, Geometry, GeometryValue, JsonValue};

/// A feature; `properties` is an object.
pub(crate) fn feature(id: &str, geometry: GeometryValue, properties: &JsonValue) -> Feature {
    Feature {
        geometry: Some(Geometry::new(geometry)),
        id: Some(Id::String(id.to_owned())),
        properties: properties.as_object().cloned(),
        ..Feature::default()
    }
}

pub(crate) fn collection(features: Vec<Feature>) -> String {
    let collection = FeatureCollection { bbox: None, features, foreign_members: None };
    super::json::pretty(&collection, "")
}
