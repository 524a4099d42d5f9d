//! What is programmed and tested at the end: `handover`.

mod battery;
mod concern;
mod csv;
mod document;
mod json;
mod report;
mod table;
mod term;
mod words;

pub use battery::BatteryInput;
pub use concern::concern as concern_words;
pub use csv::{READINGS_HEADER, readings_csv, zones_csv};
pub use document::handover_document;
pub use report::{HandoverInput, HandoverReport};
pub use table::handover_table;
