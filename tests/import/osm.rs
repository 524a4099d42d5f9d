//! Open indoor maps: Simple Indoor Tagging as `GeoJSON` and as OSM XML.

#[path = "osm/bad.rs"]
mod bad;
#[path = "osm/clinic.rs"]
mod clinic;
#[path = "osm/frame.rs"]
mod frame;
#[path = "osm/mutated.rs"]
mod mutated;
#[path = "osm/office.rs"]
mod office;
#[path = "osm_promises.rs"]
mod promises;
#[path = "osm/small.rs"]
mod small;
