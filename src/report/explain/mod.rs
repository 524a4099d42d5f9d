//! One device's link in full: `explain`.

mod json;
mod report;
mod table;
mod words;

pub use report::ExplainReport;
pub use table::explain_table;
