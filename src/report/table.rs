//! The forecast as a table for the terminal.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

use super::check::{CheckReport, DeviceRow};
use crate::budget::Finding;

/// A chance in words and figures that a person can read at a glance.
fn chance_words(chance: f64) -> String {
    if chance < 0.000_5 {
        "< 0.1 %".to_owned()
    } else if chance > 0.999 {
        "> 99.9 %".to_owned()
    } else {
        format!("{:.1} %", chance * 100.0)
    }
}

fn finding_mark(finding: Finding) -> &'static str {
    match finding {
        Finding::Sound => "sound",
        Finding::Thin => "thin ~",
        Finding::Failing => "FAILING !",
    }
}

/// The heaviest wall on the way, for the column that says why.
fn heaviest(row: &DeviceRow) -> String {
    let worst = row
        .crossings
        .iter()
        .max_by(|a, b| a.loss_db.total_cmp(&b.loss_db));
    worst.map_or_else(
        || "clear".to_owned(),
        |wall| format!("{} {:.0} dB", wall.feature, wall.loss_db),
    )
}

/// The table, with the roam areas, the doubts and the cautions below it. `width` is the terminal's,
/// if it is one; lines are not wrapped without it.
#[must_use]
pub fn check_table(report: &CheckReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let [x, y, z] = report.panel.position_m;
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel \"{}\" at x {x:.2} m, y {y:.2} m, height {z:.2} m",
        report.plan, report.model.link, report.model.frequency_mhz, report.panel.id
    );
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    if let Some(width) = width {
        table
            .set_content_arrangement(ContentArrangement::Dynamic)
            .set_width(width);
    }
    table.set_header([
        "no",
        "name",
        "via",
        "m",
        "walls",
        "heaviest wall",
        "loss dB",
        "level dBm",
        "margin dB",
        "9 in 10 dB",
        "fault/year",
        "finding",
    ]);
    for row in report.rows() {
        table.add_row([
            row.number
                .map(|number| number.to_string())
                .unwrap_or_default(),
            row.name.clone(),
            row.via.clone().unwrap_or_else(|| "panel".to_owned()),
            format!("{:.1}", row.distance_m),
            row.crossings.len().to_string(),
            heaviest(row),
            format!("{:.1}", row.path_loss_db),
            format!("{:.1}", row.received_dbm),
            format!("{:.1}", row.margin_db),
            format!("{:.1}", row.margin_p10_db),
            chance_words(row.fault_per_year),
            finding_mark(row.finding).to_owned(),
        ]);
    }
    for column in [0, 3, 4, 6, 7, 8, 9, 10] {
        if let Some(column) = table.column_mut(column) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let _ = writeln!(text, "\n{}", trimmed(&table.to_string()));
    summary(report, &mut text);
    text
}

fn trimmed(table: &str) -> String {
    table
        .lines()
        .map(str::trim_end)
        .collect::<Vec<_>>()
        .join("\n")
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
    for roam in &report.roams {
        let worn = if roam.worn { ", worn" } else { "" };
        let _ = writeln!(
            text,
            "{} ({}{worn}): works in {:.0} % of {:.0} m².",
            roam.name,
            roam.link,
            roam.share * 100.0,
            roam.area_m2
        );
    }
    for warning in &report.warnings {
        let _ = writeln!(text, "note: {warning}");
    }
    let _ = writeln!(text);
    for caution in &report.cautions {
        let _ = writeln!(text, "{caution}");
    }
}
