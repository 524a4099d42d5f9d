//! The zone schedule as text for the terminal.

use std::fmt::Write as _;

use super::report::HandoverReport;
use super::term::term;
use super::words;
use crate::table::{notes, table, tenths};
use job::schedule::Zone;

/// The zones, the delays, the battery, what is doubtful and the cautions. `width` is the
/// terminal's, if it is one.
#[must_use]
pub fn handover_table(report: &HandoverReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}\n", words::headline(report));
    let heads = report.words.handover_heads();
    let rows = report.zones.iter().map(|zone| cells(report, zone));
    let _ = writeln!(text, "{}\n", table(width, &heads, &[0, 5, 6], rows));
    for line in words::summary(report) {
        let _ = writeln!(text, "{line}");
    }
    notes(&report.warnings, &mut text);
    text.push('\n');
    let (reminders, cautions) = (words::reminders(&report.words), words::cautions(&report.words));
    for line in reminders.iter().chain(&cautions) {
        let _ = writeln!(text, "{line}");
    }
    text
}

fn cells(report: &HandoverReport, zone: &Zone) -> [String; 9] {
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
        words.plain(tenths(result.hop.ledger.margin_db.0)),
        result.finding.marked(&term(words, "finding", result.finding)),
        result.via.clone().unwrap_or_else(|| words.handover_straight()),
    ]
}
