//! The forecast as CSV: one row a device.

use super::check::{CheckReport, DeviceRow};

const HEADER: [&str; 20] = [
    "id",
    "number",
    "name",
    "kind",
    "role",
    "link",
    "via",
    "distance_m",
    "crossings",
    "free_space_db",
    "direct_loss_db",
    "path_loss_db",
    "received_dbm",
    "level_needed_dbm",
    "margin_db",
    "margin_p10_db",
    "fault_per_year",
    "finding",
    "supervised",
    "room",
];

/// The forecast as CSV with a header line.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub fn check_csv(report: &CheckReport) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEADER)?;
    for row in report.rows() {
        writer.write_record(cells(row))?;
    }
    let bytes = writer.into_inner().map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn cells(row: &DeviceRow) -> [String; HEADER.len()] {
    [
        row.id.clone(),
        row.number.map(|number| number.to_string()).unwrap_or_default(),
        row.name.clone(),
        row.kind.to_owned(),
        row.role.clone().unwrap_or_default(),
        row.link.clone(),
        row.via.clone().unwrap_or_default(),
        row.distance_m.to_string(),
        row.crossings.len().to_string(),
        row.free_space_db.to_string(),
        row.direct_loss_db.to_string(),
        row.path_loss_db.to_string(),
        row.received_dbm.to_string(),
        row.level_needed_dbm.to_string(),
        row.margin_db.to_string(),
        row.margin_p10_db.to_string(),
        row.fault_per_year.to_string(),
        row.finding.word().to_owned(),
        row.supervised.to_string(),
        row.room.clone().unwrap_or_default(),
    ]
}
