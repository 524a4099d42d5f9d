//! The zone schedule as text for the terminal and as CSV, and the test sheet as a file of readings.

use std::borrow::Cow;
use std::fmt::Write as _;

use super::words::{self, term};
use super::{HandoverReport, ZoneRow};
use crate::csv;
use crate::json::value;
use crate::table::{caution_lines, notes, table, tenths};
use input::number::quantity;
use input::table::{DELIMITERS, line, text_cell};
use job::schedule::{TestRow, Zone};

/// The zones, the delays, the battery, what is doubtful and the cautions. `width` is the
/// terminal's, if it is one.
#[must_use]
pub fn handover_table(report: &HandoverReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}\n", words::headline(report));
    let heads = report.words.handover_heads();
    let rows = report.zones.iter().map(|zone| cells(report, zone));
    let _ = writeln!(text, "{}\n", table(width, &heads, &[0, 5, 6, 7], rows));
    for line in words::summary(report) {
        let _ = writeln!(text, "{line}");
    }
    notes(&report.warnings(), &mut text);
    text.push('\n');
    for line in words::reminders(&report.words) {
        let _ = writeln!(text, "{line}");
    }
    caution_lines(&report.words, &mut text);
    text
}

fn cells(report: &HandoverReport, zone: &Zone) -> [String; 10] {
    let words = &report.words;
    let dash = |text: Option<String>| text.unwrap_or_else(|| "-".to_owned());
    let proposed = if zone.role_is_proposed { " ?" } else { "" };
    let result = &zone.result;
    [
        dash(result.device.number.map(|number| number.to_string())),
        result.device.name.clone(),
        dash(zone.role.map(|role| format!("{}{proposed}", term(words, "zone", role)))),
        dash(zone.response.map(|response| term(words, "response", response))),
        dash(zone.active.map(|active| term(words, "active", active))),
        dash(zone.entry_delay_s.map(words::seconds)),
        words.chance(result.fault_per_year).replace('\u{a0}', " "),
        words.plain(tenths(result.hop.ledger.margin_db.0)),
        result.finding.marked(&term(words, "finding", result.finding)),
        result.via.clone().unwrap_or_else(|| words.handover_straight()),
    ]
}

const ZONE_COLUMNS: &str = concat!(
    "number id name level room device role role_is_proposed response supervised active ",
    "entry_delay_s exit_delay_s link margin_db fault_per_year finding via serial height_m where",
);

/// Columns of a file of readings, as `diagnose` reads them.
pub const READINGS_HEADER: [&str; 9] =
    ["sensor", "time", "at", "level_dbm", "bars", "percent", "heard", "noise_dbm", "note"];

/// The zone schedule as CSV with a header line, a row for each zone.
#[must_use]
pub fn zones_csv(report: &HandoverReport) -> String {
    let rows = report.zones.iter().map(|zone| {
        let mut row = value(&ZoneRow(report, zone));
        let exit_s = report.delays.exit_s.filter(|_| zone.entry_delay_s.is_some());
        row["exit_delay_s"] = exit_s.into();
        row
    });
    csv::written(ZONE_COLUMNS, rows)
}

/// The test sheet as a file of readings to be filled in: a line for each device, before it a
/// comment with its number, name and the range in which its reading should fall.
#[must_use]
pub fn readings_csv(report: &HandoverReport) -> String {
    let mut out: String = words::readings_head(report).iter().map(|line| comment(line)).collect();
    out.push_str(&line(READINGS_HEADER));
    for row in &report.tests {
        out.push_str(&comment(&words::readings_line(report, row)));
        out.push_str(&line(reading(row)));
    }
    out
}

/// A device's line: its id and where the reading is taken; all else is to be filled in.
fn reading(row: &TestRow) -> [Cow<'_, str>; READINGS_HEADER.len()] {
    let mut cells = [const { Cow::Borrowed("") }; READINGS_HEADER.len()];
    cells[0] = text_cell(&row.result.device.id);
    cells[2] = text_cell(row.result.via.as_deref().unwrap_or_default());
    cells
}

/// A comment line. Its parts are no formulas either, should a spreadsheet take them for cells.
fn comment(line: &str) -> String {
    let cells = line.split_inclusive(DELIMITERS).map(|cell| {
        let bare = cell.trim_start();
        let is_number = quantity(bare.trim_end_matches(','), &["dbm"]).is_some();
        if is_number { cell.to_owned() } else { cell.replacen(bare, &text_cell(bare), 1) }
    });
    format!("# {}\n", cells.collect::<String>())
}
