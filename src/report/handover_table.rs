//! The zone schedule as text for the terminal.

use std::fmt::Write as _;

use comfy_table::CellAlignment;

use super::handover::{HandoverReport, ZoneRow};
use super::handover_words as words;
use super::table::{finding_mark, plain_table, trimmed};

/// The zones, the delays, the battery, what is doubtful and the cautions. `width` is the terminal's, if
/// it is one.
#[must_use]
pub fn handover_table(report: &HandoverReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}\n", words::headline(report));
    let mut table = plain_table(width);
    table.set_header(words::TABLE_HEADER);
    for zone in &report.zones {
        table.add_row(cells(zone));
    }
    for number in [0, 5, 6] {
        if let Some(column) = table.column_mut(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let _ = writeln!(text, "{}\n", trimmed(&table.to_string()));
    for line in words::summary(report) {
        let _ = writeln!(text, "{line}");
    }
    for warning in &report.warnings {
        let _ = writeln!(text, "note: {warning}");
    }
    text.push('\n');
    for line in report.reminders.iter().chain(&report.cautions) {
        let _ = writeln!(text, "{line}");
    }
    text
}

fn cells(zone: &ZoneRow) -> [String; words::TABLE_HEADER.len()] {
    let dash = || "-".to_owned();
    let proposed = if zone.role_is_proposed { " ?" } else { "" };
    [
        zone.number.map_or_else(dash, |number| number.to_string()),
        zone.name.clone(),
        zone.role.map_or_else(dash, |role| format!("{}{proposed}", words::role(role))),
        zone.response.map_or_else(dash, |r| words::response(r).to_owned()),
        zone.active.map_or_else(dash, |a| words::active(a).to_owned()),
        zone.entry_delay_s.map_or_else(dash, words::seconds),
        format!("{:.1}", zone.heard.margin_db),
        finding_mark(zone.heard.finding).to_owned(),
        zone.heard.via.clone().unwrap_or_else(|| words::STRAIGHT.to_owned()),
    ]
}
