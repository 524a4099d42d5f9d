//! The zone schedule and the test sheet as CSV.

use super::json::ZoneRow;
use super::report::HandoverReport;
use super::words::{readings_head, readings_line};
use crate::csv;
use crate::json::value;
use crate::table::optional;
use job::schedule::TestRow;

const ZONE_COLUMNS: &str = concat!(
    "number id name level room device role role_is_proposed response supervised active ",
    "entry_delay_s exit_delay_s link margin_db fault_per_year finding via",
);

/// Columns of a file of readings, as `diagnose` reads them.
pub const READINGS_HEADER: [&str; 9] =
    ["sensor", "time", "at", "level_dbm", "bars", "percent", "heard", "noise_dbm", "note"];

/// The zone schedule as CSV with a header line, a row for each zone.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub fn zones_csv(report: &HandoverReport) -> Result<String, ::csv::Error> {
    let rows = report.zones.iter().map(|zone| {
        let mut row = value(&ZoneRow(report, zone))?;
        let exit_s = report.delays.exit_s.filter(|_| zone.entry_delay_s.is_some());
        row["exit_delay_s"] = exit_s.into();
        Ok(row)
    });
    csv::written(ZONE_COLUMNS, rows)
}

/// The test sheet as a file of readings to be filled in: a line for each device, before it a
/// comment with its number, name and the range in which its reading should fall.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub fn readings_csv(report: &HandoverReport) -> Result<String, ::csv::Error> {
    let mut out: String = readings_head(report).iter().map(|line| comment(line)).collect();
    out.push_str(&csv::text([READINGS_HEADER.map(str::to_owned).to_vec()])?);
    for row in &report.tests {
        out.push_str(&comment(&readings_line(&report.words, row)));
        out.push_str(&csv::text([reading(row)])?);
    }
    Ok(out)
}

/// A device's line: its id and where the reading is taken; all else is to be filled in.
///
/// A line that begins with `#` would be a comment: a device with such an id goes by its number or,
/// if it has none, by its name.
fn reading(row: &TestRow) -> Vec<String> {
    let device = &row.result.device;
    let sensor = match device.number {
        _ if !device.id.starts_with('#') => device.id.clone(),
        Some(number) => number.to_string(),
        None => device.name.clone(),
    };
    let mut cells = vec![sensor, String::new(), optional(row.result.via.as_ref())];
    cells.resize(READINGS_HEADER.len(), String::new());
    cells
}

/// A comment line; what would end the line becomes a space.
fn comment(line: &str) -> String {
    let tame: String = line.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    format!("# {tame}\n")
}
