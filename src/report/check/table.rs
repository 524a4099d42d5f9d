//! The forecast as a table for the terminal.

use std::fmt::Write as _;

use super::report::CheckReport;
use crate::json::{position, rounded};
use crate::table::{cautions, fixed, notes, optional, table, tenths, via, works_in};
use forecast::{DeviceResult, Finding};
use units::{Chance, Db};

/// The heaviest wall on the way, for the column that says why.
fn heaviest(row: &DeviceResult) -> String {
    let losses = row.hop.crossings.iter().map(|wall| (&wall.feature, wall.slab + wall.excess));
    let worst = losses.max_by(|(_, Db(a)), (_, Db(b))| rounded(*a).total_cmp(&rounded(*b)));
    worst.map_or_else(
        || "clear".to_owned(),
        |(feature, Db(loss))| format!("{feature} {} dB", fixed(loss, 0)),
    )
}

/// A column of the table.
struct Column {
    header: &'static str,
    /// Numbers stand to the right.
    right: bool,
    /// Where there is no room, the column with the highest number goes first; 0 always stays.
    dispensable: u8,
    cell: fn(&DeviceResult) -> String,
}

/// The column that is kept where messages go over repeaters.
const VIA: &str = "via";

/// The column that is shown where some device's room is known.
const ROOM: &str = "room";

const COLUMNS: [Column; 13] = [
    column("no", true, 0, |row| optional(row.device.number)),
    column("name", false, 0, |row| row.device.name.clone()),
    column(ROOM, false, 8, |row| optional(row.device.room.as_ref())),
    column(VIA, false, 3, |row| via(row.via.as_ref())),
    column("m", true, 4, |row| tenths(row.hop.distance.0)),
    column("walls", true, 5, |row| row.hop.crossings.len().to_string()),
    column("heaviest wall", false, 2, heaviest),
    column("loss dB", true, 6, |row| tenths(row.hop.path_loss.0)),
    column("level dBm", true, 7, |row| tenths(row.hop.ledger.received_dbm.0)),
    column("margin dB", true, 0, |row| tenths(row.hop.ledger.margin_db.0)),
    column("9 in 10 dB", true, 1, |row| tenths(row.hop.margin_p10.0)),
    column("fault/year", true, 0, |row| Chance(row.fault_per_year).to_string()),
    column("finding", false, 0, |row| row.finding.mark()),
];

const fn column(
    header: &'static str,
    right: bool,
    dispensable: u8,
    cell: fn(&DeviceResult) -> String,
) -> Column {
    Column { header, right, dispensable, cell }
}

/// The columns that say something.
fn useful(report: &CheckReport) -> Vec<&'static Column> {
    let no_rooms = report.rows().all(|row| row.device.room.is_none());
    let columns = COLUMNS.iter();
    columns.filter(|column| column.header != ROOM || !no_rooms).collect()
}

/// The columns that find space in `width`, all of them without one.
fn fitting(report: &CheckReport, width: Option<u16>) -> Vec<&'static Column> {
    let mut columns = useful(report);
    let wide = |column: &Column| {
        let cells = report.rows().map(|row| (column.cell)(row).chars().count());
        // A blank on either side.
        cells.chain([column.header.len()]).max().unwrap_or(0) + 2
    };
    let Some(width) = width else {
        return columns;
    };
    let over_repeaters = report.rows().any(|row| row.via.is_some());
    let dispensable = |column: &Column| {
        if column.header == VIA && over_repeaters { 0 } else { column.dispensable }
    };
    while columns.iter().map(|column| wide(column)).sum::<usize>() > usize::from(width) {
        let last = columns.iter().map(|column| dispensable(column)).max().unwrap_or(0);
        if last == 0 {
            break;
        }
        columns.retain(|column| dispensable(column) != last);
    }
    columns
}

/// The table, with the roam areas, the doubts and the cautions below it. `width` is the terminal's,
/// if it is one: columns that find no room there are left out, the least needed first.
#[must_use]
pub fn check_table(report: &CheckReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let [x, y, z] = position(&report.panel).map(|at| fixed(at, 2));
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel \"{}\" at x {x} m, y {y} m, height {z} m",
        report.plan, report.model.link, report.model.frequency_mhz, report.panel.id
    );
    text.push_str(&report.model.calibration_line());
    let columns = fitting(report, width);
    let right: Vec<usize> = (0..columns.len()).filter(|number| columns[*number].right).collect();
    let rows = report.rows().map(|row| columns.iter().map(|column| (column.cell)(row)));
    let heads: Vec<&str> = columns.iter().map(|column| column.header).collect();
    let _ = writeln!(text, "\n{}", table(width, &heads.join("|"), &right, rows));
    if columns.len() < useful(report).len() {
        let _ = writeln!(text, "\nA wider terminal, or --format csv, shows more columns.");
    }
    summary(report, &mut text);
    text
}

fn summary(report: &CheckReport, text: &mut String) {
    let count = |finding| report.rows().filter(|row| row.finding == finding).count();
    let _ = writeln!(
        text,
        "\n{} sound, {} thin, {} failing.",
        count(Finding::Sound),
        count(Finding::Thin),
        count(Finding::Failing)
    );
    for result in &report.roams {
        let worn = if result.roam.worn { ", worn" } else { "" };
        let _ = writeln!(
            text,
            "{} ({}{worn}): {}.",
            result.roam.name,
            result.link.name,
            works_in("works in", result)
        );
    }
    notes(&report.warnings, text);
    text.push('\n');
    cautions(text);
}
