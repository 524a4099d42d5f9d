//! Open indoor maps: Simple Indoor Tagging as `GeoJSON` and as OSM XML.

mod bad;
mod clinic;
mod frame;
mod mutated;
mod office;
mod small;
