//! What an imported file gave, as text for the terminal.

use std::fmt::Write as _;

use super::report::ImportReport;
use crate::table::{counted, tenths};

/// The report for people.
#[must_use]
pub fn import_table(report: &ImportReport) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{}: {}, \"{}\"\n", report.file, report.kind, report.name);
    for level in &report.levels {
        let _ = writeln!(
            out,
            "{}: {} m of walls, {}",
            level.name,
            tenths(level.walls_m),
            counted(level.openings, "opening")
        );
        let known = level.rooms.iter().filter_map(|room| {
            let name = room.name.as_ref()?;
            Some(format!("{name} {:.1} m²", room.area_m2))
        });
        let mut rooms: Vec<String> = known.collect();
        let unnamed = level.rooms.iter().filter(|room| room.name.is_none());
        let unnamed: Vec<f64> = unnamed.map(|room| room.area_m2).collect();
        if !unnamed.is_empty() {
            let area: f64 = unnamed.iter().sum();
            rooms.push(format!("{} without a name, {area:.1} m²", counted(unnamed.len(), "room")));
        }
        if !rooms.is_empty() {
            let _ = writeln!(out, "  rooms: {}", rooms.join(", "));
        }
    }
    let _ = writeln!(out);
    for (construction, metres) in &report.walls_m {
        let _ = writeln!(out, "  {:>7} m  {construction}", tenths(*metres));
    }
    for (construction, number) in &report.openings {
        let _ = writeln!(out, "  {number:>7}    {construction}");
    }
    let _ = writeln!(
        out,
        "  {} by which people come in; {}.",
        counted(report.ways_in, "opening"),
        match report.devices {
            0 => "no devices yet".to_owned(),
            number => counted(number, "device"),
        }
    );
    if !report.guesses.is_empty() {
        let _ = writeln!(out, "\nGuessed or left out; each with how to say it better:");
    }
    for guess in &report.guesses {
        let pieces = if guess.pieces > 1 { format!(" ({})", guess.pieces) } else { String::new() };
        let _ = writeln!(out, "- {}{pieces}: {}", guess.about, guess.taken);
        if !guess.mend.is_empty() {
            let _ = writeln!(out, "    {}", guess.mend);
        }
    }
    for warning in &report.warnings {
        let _ = writeln!(out, "\n{warning}");
    }
    let _ = writeln!(
        out,
        "\nWritten: {}. Hold walls, materials and openings against the house before you believe a forecast.",
        report.plan
    );
    out
}
