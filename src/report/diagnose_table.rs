//! A diagnosis as text for the terminal.

use std::fmt::Write as _;

use comfy_table::CellAlignment;

use super::diagnose::{CausesRow, DiagnoseReport, DiagnosedRow, EstimateRow, TallyRow, TestRow};
use super::table::{chance_words, counted, finding_mark, margin_words, plain_table, trimmed};
use forecast::Finding;

/// Causes less likely than this are not listed; all are in the JSON.
const LEAST_CHANCE: f64 = 0.02;

/// Outcomes less likely than this are not told of; all are in the JSON.
const LEAST_OUTCOME: f64 = 0.01;

/// Causes named after an outcome.
const CAUSES_OF_OUTCOME: usize = 2;

/// Tests that are told of; all are in the JSON.
const MOST_TESTS: usize = 2;

/// The text: the causes first, then what the house seems to lose, then every device. `width` is the
/// terminal's, if it is one.
#[must_use]
pub fn diagnose_table(report: &DiagnoseReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let read = &report.readings;
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz; {} of {} used, {} not usable",
        report.plan,
        report.model.link,
        report.model.frequency_mhz,
        counted(read.used, "reading"),
        counted(read.devices, "device"),
        counted(read.faults.len(), "row")
    );
    if report.causes.is_empty() {
        let _ = writeln!(
            text,
            "\nNo sensor is flaky by these readings; --sensor asks about one all the same."
        );
    }
    for row in &report.causes {
        told(row, report, &mut text);
    }
    house(report, width, &mut text);
    devices(report, width, &mut text);
    text.push('\n');
    for note in &read.notes_not_understood {
        let _ = writeln!(
            text,
            "note: line {}: \"{}\" was not understood and is not used",
            note.line, note.note
        );
    }
    for warning in &report.warnings {
        let _ = writeln!(text, "note: {warning}");
    }
    for caution in &report.cautions {
        let _ = writeln!(text, "{caution}");
    }
    text
}

fn numbered(number: Option<u32>, name: &str) -> String {
    number.map_or_else(|| name.to_owned(), |number| format!("{number} {name}"))
}

/// A chance to the per cent: more is not known of a cause.
fn whole(chance: f64) -> String {
    if chance < 0.005 {
        "below 1 %".to_owned()
    } else if chance > 0.995 {
        "above 99 %".to_owned()
    } else {
        format!("{:.0} %", chance * 100.0)
    }
}

fn joined(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [others @ .., last] => format!("{} or {last}", others.join(", ")),
    }
}

/// What may be the matter with one device.
fn told(row: &CausesRow, report: &DiagnoseReport, text: &mut String) {
    let name = numbered(row.number, &row.name);
    let device = report.devices.iter().find(|device| device.id == row.id);
    let seen = device.map_or_else(String::new, |device| format!(": {}", seen(&device.read)));
    let _ = writeln!(text, "\n{name}{seen}");
    if let Some(device) = device.filter(|one| one.before.finding == Finding::Failing) {
        let _ = writeln!(
            text,
            "  As built the forecast has it failing before any reading, {}: the path is too weak \
             whatever else is the matter.",
            margin_words(device.before.margin_db)
        );
    }
    for cause in row.causes.iter().filter(|one| one.chance >= LEAST_CHANCE) {
        let _ = writeln!(text, "  {:>8}  {}", whole(cause.chance), cause.cause);
    }
    for set in &row.not_told_apart {
        let _ = writeln!(text, "  These readings cannot tell apart: {}.", joined(set));
    }
    let worth = row.next_tests.iter().filter(|test| test.bits >= 0.005);
    for (place, test) in worth.take(MOST_TESTS).enumerate() {
        let first = if place == 0 { "What tells most next" } else { "Then, or instead" };
        next(first, row, test, report, text);
    }
    if let Some(likeliest) = row.causes.first() {
        let _ = writeln!(text, "  If it is {}: {}", likeliest.cause, likeliest.first_step);
    }
}

fn next(first: &str, row: &CausesRow, test: &TestRow, report: &DiagnoseReport, text: &mut String) {
    let _ = writeln!(
        text,
        "  {first} ({:.2} bit, some {:.0} min): {}",
        test.bits, test.minutes, test.test
    );
    if !test.devices.is_empty() {
        let names: Vec<String> = test
            .devices
            .iter()
            .filter_map(|id| report.devices.iter().find(|device| device.id == *id))
            .map(|device| numbered(device.number, &device.name))
            .collect();
        let _ = writeln!(text, "    Sensors: {}.", names.join(", "));
    }
    if test.note == Some("moved") {
        let _ = writeln!(
            text,
            "    A quarter of the wavelength is {:.0} cm on this link.",
            row.quarter_wavelength_m * 100.0
        );
    }
    let likely = test.outcomes.iter();
    for outcome in likely.filter(|outcome| outcome.chance >= LEAST_OUTCOME) {
        let causes: Vec<String> = outcome
            .causes
            .iter()
            .take(CAUSES_OF_OUTCOME)
            .filter(|cause| cause.chance >= LEAST_CHANCE)
            .map(|cause| format!("{} {}", cause.cause, whole(cause.chance)))
            .collect();
        let _ = writeln!(
            text,
            "    {} ({}): then {}",
            outcome.outcome,
            whole(outcome.chance),
            causes.join(", ")
        );
    }
    if let Some(note) = test.note {
        let _ = writeln!(
            text,
            "    Write it into the readings with the note \"{note}\" and run this again."
        );
    }
}

/// What was read of a device, in a few words.
fn seen(read: &[TallyRow]) -> String {
    let mut parts = Vec::new();
    for row in read {
        let at = row.at.as_ref().map_or_else(String::new, |at| format!(" at {at}"));
        let mut words = Vec::new();
        if let Some(mean) = row.mean_dbm {
            words.push(format!("{mean:.0} dBm in {}", row.levels));
        }
        if row.between > 0 {
            let end = |end: Option<f64>| end.map_or_else(|| "…".to_owned(), |x| format!("{x:.0}"));
            words.push(format!(
                "{} to {} dBm in {}",
                end(row.mean_low_dbm),
                end(row.mean_high_dbm),
                row.between
            ));
        }
        let all = row.heard + row.missed;
        if row.missed > 0 {
            words.push(format!("{} of {all} missed", row.missed));
        }
        if row.lost > 0 {
            words.push(match row.lost {
                1 => "lost once".to_owned(),
                times => format!("lost {times} times"),
            });
        }
        if words.is_empty() && all > 0 {
            words.push(format!("all {all} heard"));
        }
        if !words.is_empty() {
            parts.push(format!("{}{at}", words.join(", ")));
        }
    }
    parts.join("; ")
}

fn spread(of: EstimateRow) -> String {
    format!("{:.1} ± {:.1}", of.mean, of.sigma)
}

/// What the house seems to lose.
fn house(report: &DiagnoseReport, width: Option<u16>, text: &mut String) {
    let mut table = plain_table(width);
    table.set_header(["loss in this house", "before dB", "by the readings dB"]);
    let site = &report.site_offset_db;
    table.add_row([
        "site: antennas, mounting, clutter".to_owned(),
        spread(site.before),
        spread(site.after),
    ]);
    for row in &report.constructions {
        table.add_row([
            row.construction.clone(),
            spread(row.loss_db.before),
            spread(row.loss_db.after),
        ]);
    }
    for number in 1..3 {
        if let Some(column) = table.column_mut(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let _ = writeln!(text, "\n{}", trimmed(&table.to_string()));
}

fn devices(report: &DiagnoseReport, width: Option<u16>, text: &mut String) {
    let mut table = plain_table(width);
    table.set_header([
        "no",
        "name",
        "read",
        "was dBm",
        "now dBm",
        "margin dB",
        "fault/year",
        "finding",
        "was",
    ]);
    let cells = |row: &DiagnosedRow| {
        let (before, after) = (&row.before, &row.after);
        [
            row.number.map(|n| n.to_string()).unwrap_or_default(),
            row.name.clone(),
            seen(&row.read),
            format!("{:.0} ± {:.0}", before.received_dbm, before.sigma_db),
            format!("{:.0} ± {:.1}", after.received_dbm, after.sigma_db),
            format!("{:.1}", after.margin_db),
            chance_words(after.fault_per_year),
            finding_mark(after.finding).to_owned(),
            if before.finding == after.finding {
                String::new()
            } else {
                before.finding.word().to_owned()
            },
        ]
    };
    for row in &report.devices {
        table.add_row(cells(row));
    }
    for number in [0, 3, 4, 5, 6] {
        if let Some(column) = table.column_mut(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let _ = writeln!(text, "\n{}", trimmed(&table.to_string()));
}
