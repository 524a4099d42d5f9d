//! A choice of repeaters: `repeaters`.

mod report;
mod table;

pub use report::{PlaceKind, ProofRow, RelaySearchRow, RepeaterRow, RepeatersReport, UnheardRow};
pub use table::{repeaters_csv, repeaters_table};
