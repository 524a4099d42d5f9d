//! Open indoor maps: Simple Indoor Tagging as `GeoJSON` and as OSM XML.

#[path = "osm/bad.rs"]
mod bad;
#[path = "osm/office.rs"]
mod office;
#[path = "osm/small.rs"]
mod small;
