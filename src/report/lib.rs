//! The forecast as text: a table for people, JSON, CSV and `GeoJSON` for programs; and as a quote.
//!
//! Every format takes a report and gives a string, the quote a document; none touches a file.

mod blocks;
mod check;
mod compare;
mod csv;
mod diagnose;
mod explain;
mod geojson;
mod handover;
mod import;
mod json;
mod live;
mod place;
mod quote;
mod repeaters;
mod settings;
mod table;
mod whereabouts;

pub use check::{CheckReport, check_csv, check_geojson, check_table};
pub use compare::{CompareReport, LinkTrial, compare_csv, compare_table};
pub use diagnose::{
    DiagnoseReport, EARLIER_NOT_USED, cause_name, diagnose_table, diagnose_words,
    readings_not_used, too_many_read,
};
pub use explain::{ExplainReport, explain_table};
pub use handover::{
    BatteryInput, HandoverInput, HandoverReport, READINGS_HEADER, concern_words, handover_document,
    handover_table, readings_csv, step_words, zones_csv,
};
pub use import::{ImportMark, ImportReport, import_table};
pub use json::rounded;
pub use live::live_words;
pub use place::{PlaceReport, place_csv, place_geojson, place_table};
pub use quote::{LevelPictures, NewRepeater, Quote, offer, quote};
pub use repeaters::{RepeaterRow, RepeatersReport, repeaters_csv, repeaters_table};
pub use table::{cautions, counted, fitted, margin_words, numbered, table};
pub use whereabouts::{device_places, opening_names, place_words, spot_words};

/// The caution that fits on a picture.
pub const PICTURE_CAUTION: &str = "Estimate only: confirm every device with the panel's own signal \
     test. Find cables and pipes before drilling. Local codes and licensed practice come first.";
