//! The forecast as text: a table for people, JSON, CSV and `GeoJSON` for programs; and as a quote.
//!
//! Every format takes a report and gives a string, the quote a document; none touches a file.

mod blocks;
mod check;
mod csv;
mod diagnose;
mod diagnose_table;
mod explain;
mod explain_rows;
mod explain_table;
mod explain_words;
mod geojson;
mod handover;
mod handover_csv;
mod handover_document;
mod handover_table;
mod handover_words;
mod import;
mod place;
mod place_rows;
mod place_table;
mod quote;
mod quote_devices;
mod quote_ledger;
mod quote_price;
mod quote_signal;
mod repeaters;
mod repeaters_table;
mod table;

pub use check::{CheckReport, CrossingRow, DeviceRow, PanelRow, RoamRow, Settings, rounded};
pub use csv::check_csv;
pub use diagnose::{
    CauseRow, CauseShareRow, CausesRow, ChangeRow, ConstructionRow, DiagnoseReport, DiagnosedRow,
    EstimateRow, NoteRow, OutcomeRow, OutlookRow, ReadingsRow, RowFaultRow, TallyRow, TestRow,
};
pub use diagnose_table::diagnose_table;
pub use explain::{
    ExplainReport, ExplainSearchRow, HopRow, LedgerRow, NeededByRow, NullRow, PathRow,
    ProfileCrossingRow, ProfilePointRow, ProfileRow, ReflectionRow, RemedyDetail, RemedyRow,
    RepeaterTrialRow, SigmaRow, ToPanelRow, VainRow,
};
pub use explain_table::explain_table;
pub use geojson::check_geojson;
pub use handover::{
    BatteryInput, BatteryRow, DelaysRow, EntryRow, HandoverInput, HandoverReport, HeardBy,
    OtherRow, RequirementRow, TestSheetRow, ZoneRow,
};
pub use handover_csv::{READINGS_HEADER, readings_csv, zones_csv};
pub use handover_document::handover_document;
pub use handover_table::handover_table;
pub use handover_words::concern as concern_words;
pub use import::{GuessRow, ImportReport, ImportedLevel, ImportedRoom, import_table};
pub use place::{
    DelayLimitsRow, HeardRow, LeftOutPlace, LeftOutRow, PlaceReport, RoamShareRow, SearchRow,
    SpotRow, WalkRow, WireRow,
};
pub use place_rows::{place_csv, place_geojson};
pub use place_table::place_table;
pub use quote::{Image, LevelPictures, NewRepeater, Quote, quote};
pub use repeaters::{
    PlaceKind, ProofRow, RelaySearchRow, RepeaterRow, RepeatersReport, StateRow, UnheardRow,
    WallRow,
};
pub use repeaters_table::{repeaters_csv, repeaters_table};
pub use table::check_table;

/// What every report says of its own worth and of the work it leads to.
pub const CAUTIONS: [&str; 3] = [
    "An estimate, to be confirmed with the panel's own signal test at every device, doors closed.",
    "Smoke, heat and carbon-monoxide alarms and their number, place and wiring follow the local \
     codes; the forecast of a radio path is no substitute for them.",
    "Before drilling, find the cables and pipes in the wall. Mains work is for a licensed person; \
     local codes come first.",
];

/// The caution that fits on a picture.
pub const PICTURE_CAUTION: &str = "Estimate only: confirm every device with the panel's own signal \
     test. Find cables and pipes before drilling. Local codes and licensed practice come first.";

/// A report as JSON, with a line feed at its end.
fn pretty(report: &impl serde::Serialize) -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string_pretty(report)? + "\n")
}
