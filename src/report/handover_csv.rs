//! The zone schedule and the test sheet as CSV.

use super::handover::{HandoverReport, TestSheetRow, ZoneRow};

const ZONE_HEADER: [&str; 18] = [
    "number",
    "id",
    "name",
    "level",
    "room",
    "device",
    "role",
    "role_is_proposed",
    "response",
    "supervised",
    "active",
    "entry_delay_s",
    "exit_delay_s",
    "link",
    "margin_db",
    "fault_per_year",
    "finding",
    "via",
];

/// Columns of a file of readings, as `diagnose` reads them.
pub const READINGS_HEADER: [&str; 9] =
    ["sensor", "time", "at", "level_dbm", "bars", "percent", "heard", "noise_dbm", "note"];

fn text(writer: csv::Writer<Vec<u8>>) -> Result<String, csv::Error> {
    let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn optional<T: ToString>(value: Option<T>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
}

/// The word under which a value is serialised.
fn word<T: serde::Serialize>(value: Option<T>) -> String {
    let value = value.and_then(|value| serde_json::to_value(value).ok());
    value.and_then(|value| value.as_str().map(str::to_owned)).unwrap_or_default()
}

/// The zone schedule as CSV with a header line, a row for each zone.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub fn zones_csv(report: &HandoverReport) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(ZONE_HEADER)?;
    for zone in &report.zones {
        writer.write_record(zone_cells(zone, report.delays.exit_s))?;
    }
    text(writer)
}

fn zone_cells(zone: &ZoneRow, exit_s: Option<f64>) -> [String; ZONE_HEADER.len()] {
    let heard = &zone.heard;
    let exit_s = exit_s.filter(|_| zone.entry_delay_s.is_some());
    [
        optional(zone.number),
        zone.id.clone(),
        zone.name.clone(),
        zone.level.clone(),
        optional(zone.room.as_ref()),
        optional(zone.device.as_ref()),
        word(zone.role),
        zone.role_is_proposed.to_string(),
        word(zone.response),
        zone.supervised.to_string(),
        word(zone.active),
        optional(zone.entry_delay_s),
        optional(exit_s),
        heard.link.clone(),
        heard.margin_db.to_string(),
        heard.fault_per_year.to_string(),
        heard.finding.word().to_owned(),
        optional(heard.via.as_ref()),
    ]
}

/// The test sheet as a file of readings to be filled in: a line for each device, before it a comment
/// with its number, name and the range in which its reading should fall.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub fn readings_csv(report: &HandoverReport) -> Result<String, csv::Error> {
    let mut out = String::new();
    for line in super::handover_words::readings_head(&report.plan, &report.date) {
        out.push_str(&comment(&line));
    }
    out.push_str(&record(&READINGS_HEADER.map(str::to_owned))?);
    for row in &report.tests {
        out.push_str(&comment(&super::handover_words::readings_line(row)));
        out.push_str(&record(&reading(row))?);
    }
    Ok(out)
}

/// A device's line: its id and where the reading is taken; all else is to be filled in.
///
/// A line that begins with `#` would be a comment: a device with such an id goes by its number or, if
/// it has none, by its name.
fn reading(row: &TestSheetRow) -> [String; READINGS_HEADER.len()] {
    let mut cells = [const { String::new() }; READINGS_HEADER.len()];
    let [sensor, _, at, ..] = &mut cells;
    *sensor = match row.number {
        _ if !row.id.starts_with('#') => row.id.clone(),
        Some(number) => number.to_string(),
        None => row.name.clone(),
    };
    *at = optional(row.at.as_ref());
    cells
}

fn record(cells: &[String]) -> Result<String, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(cells)?;
    text(writer)
}

/// A comment line; what would end the line becomes a space.
fn comment(line: &str) -> String {
    let tame: String = line.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    format!("# {tame}\n")
}
