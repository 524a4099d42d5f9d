//! Readings against the forecast: `diagnose`.

mod json;
mod report;
mod table;

pub use report::DiagnoseReport;
pub use table::diagnose_table;
