//! The forecast of every device: `check`.

mod features;
pub(crate) mod json;
pub(crate) mod report;
mod table;

pub use features::{check_csv, check_geojson};
pub use report::CheckReport;
pub use table::check_table;
