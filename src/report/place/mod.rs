//! A search for the panel's spot: `place`.

mod features;
mod json;
mod report;
mod table;

pub use features::{place_csv, place_geojson};
pub use report::PlaceReport;
pub use table::place_table;
