//! The forecast as CSV, one row a device, and as `GeoJSON`: a point for every device, a line for
//! the way that its message takes.

use std::collections::BTreeMap;

use geojson::GeometryValue;

use super::json::DeviceRow;
use super::report::CheckReport;
use crate::csv;
use crate::geojson::{collection, feature, object, properties};
use crate::json::{position, rounded, value};

const COLUMNS: &str = concat!(
    "id number name kind role link via distance_m crossings free_space_db direct_loss_db ",
    "path_loss_db received_dbm level_needed_dbm margin_db margin_p10_db fault_per_year ",
    "finding supervised room",
);

/// The forecast as CSV with a header line.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub fn check_csv(report: &CheckReport) -> Result<String, ::csv::Error> {
    csv::written(COLUMNS, report.rows().map(|row| value(&DeviceRow(row))))
}

/// The forecast as a `GeoJSON` feature collection in the plan's local frame, metres.
///
/// # Errors
/// What `serde_json` answers; a report holds nothing that it refuses.
pub fn check_geojson(report: &CheckReport) -> Result<String, serde_json::Error> {
    let listeners: BTreeMap<&str, [f64; 3]> =
        report.rows().map(|row| (row.device.id.as_str(), position(&row.device))).collect();
    let panel = position(&report.panel);
    let mut features = vec![feature(
        &report.panel.id,
        GeometryValue::new_point(panel),
        object([("kind", "panel".into())]),
    )];
    for row in report.rows() {
        let (id, at) = (&row.device.id, position(&row.device));
        features.push(feature(id, GeometryValue::new_point(at), properties(&DeviceRow(row))?));
        let heard_at = row.via.as_deref().and_then(|via| listeners.get(via).copied());
        let hop = object([
            ("kind", "hop".into()),
            ("device", id.clone().into()),
            ("margin_db", rounded(row.hop.ledger.margin_db.0).into()),
            ("finding", row.finding.word().into()),
        ]);
        let line = GeometryValue::new_line_string([heard_at.unwrap_or(panel), at]);
        features.push(feature(&format!("{id}-hop"), line, hop));
    }
    collection(features)
}
