//! A search for the panel's spot as text for the terminal.

use std::fmt::Write as _;

use comfy_table::CellAlignment;

use super::place::{PlaceReport, SpotRow};
use super::table::{chance_words, margin_words, plain_table, trimmed};

/// The text: what was searched, the spots offered, each with why, the doubts and the cautions.
/// `width` is the terminal's, if it is one.
#[must_use]
pub fn place_table(report: &PlaceReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let (unit, per_unit) = unit(report);
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel {:.1} {unit} above the floor",
        report.plan,
        report.model.link,
        report.model.frequency_mhz,
        report.search.height_m / per_unit
    );
    text.push_str(&report.model.calibration_line());
    let _ = writeln!(
        text,
        "{} spots compared, {} of them keep all {} devices sound{}.",
        report.spots,
        report.keep_all,
        report.devices,
        left_out(report)
    );
    if report.keep_all == 0 {
        let _ = writeln!(
            text,
            "No spot keeps all of them: `drillonce repeaters` tells whether a repeater helps."
        );
    }
    let mut table = plain_table(width);
    let header = [
        "spot",
        "level",
        "wall",
        "x",
        "y",
        "worst",
        "margin dB",
        "fault/year",
        "not sound",
        "walk s",
        "wire m",
        "gauge",
    ];
    table.set_header(header);
    for row in &report.best {
        table.add_row(cells(row, per_unit));
    }
    for number in [0, 3, 4, 6, 7, 8, 9, 10] {
        if let Some(column) = table.column_mut(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let _ = writeln!(text, "\n{}\n", trimmed(&table.to_string()));
    for row in &report.best {
        let _ = writeln!(text, "{}", why(report, row));
    }
    let limits = &report.search.delay_limits;
    if report.best.iter().any(|row| row.walk.is_some()) {
        let _ = writeln!(
            text,
            "\nUsual limits: entry delay {} to {} s, exit delay {} to {} s ({}).",
            limits.entry_s[0], limits.entry_s[1], limits.exit_s[0], limits.exit_s[1], limits.source
        );
    }
    let _ = writeln!(text, "x and y are in {unit}, as --panel of `drillonce check` takes them.");
    for warning in &report.warnings {
        let _ = writeln!(text, "note: {warning}");
    }
    text.push('\n');
    for caution in &report.cautions {
        let _ = writeln!(text, "{caution}");
    }
    text
}

/// The plan's unit and the metres in it.
fn unit(report: &PlaceReport) -> (&'static str, f64) {
    if (report.metres_per_unit - 1.0).abs() < 1e-9 {
        ("m", 1.0)
    } else {
        ("ft", report.metres_per_unit)
    }
}

fn left_out(report: &PlaceReport) -> String {
    let all: usize = report.left_out.iter().map(|row| row.places).sum();
    if all == 0 {
        return String::new();
    }
    let reasons: Vec<String> =
        report.left_out.iter().map(|row| format!("{} {}", row.places, row.reason)).collect();
    format!("; {all} places left out ({})", reasons.join(", "))
}

fn cells(row: &SpotRow, per_unit: f64) -> [String; 12] {
    let worst = row.worst.as_ref();
    let wire = row.wire.as_ref();
    [
        row.spot.map(|spot| spot.to_string()).unwrap_or_default(),
        row.level_name.clone(),
        row.wall.clone().unwrap_or_else(|| "none near".to_owned()),
        format!("{:.2}", row.position_m[0] / per_unit),
        format!("{:.2}", row.position_m[1] / per_unit),
        worst.map(|w| w.id.clone()).unwrap_or_default(),
        worst.map_or_else(String::new, |w| format!("{:.1}", w.margin_db)),
        chance_words(row.any_fault_per_year),
        row.not_sound.to_string(),
        row.walk.as_ref().map_or_else(|| "?".to_owned(), |walk| format!("{:.1}", walk.time_s)),
        wire.map_or_else(|| "?".to_owned(), |wire| format!("{:.1}", wire.length_m)),
        wire.and_then(|wire| wire.gauge.clone()).unwrap_or_else(|| "?".to_owned()),
    ]
}

/// Why a spot is offered: its worst sensor, its walk, its wire.
fn why(report: &PlaceReport, row: &SpotRow) -> String {
    let mut text = format!("Spot {}: ", row.spot.unwrap_or(row.rank));
    let devices = |count: usize| if count == 1 { "device" } else { "devices" };
    if row.keeps_all {
        text.push_str("keeps every device");
    } else {
        let _ = write!(
            text,
            "{} {} not sound, {} failing",
            row.not_sound,
            devices(row.not_sound),
            row.failing
        );
    }
    text.push_str(if row.unbeaten {
        "; no spot beats it in reliability, walk and wire together."
    } else {
        "; another spot beats it."
    });
    if let Some(worst) = &row.worst {
        let number = worst.number.map(|n| format!(" ({n})")).unwrap_or_default();
        let _ = write!(
            text,
            " Worst: {}{number}, {}, {}.",
            worst.name,
            margin_words(worst.margin_db),
            worst.finding.word()
        );
    }
    let least = row.roams.iter().min_by(|a, b| a.share.total_cmp(&b.share));
    if let Some(roam) = least.filter(|roam| roam.share < 0.995) {
        let _ = write!(text, " {} works in {:.0} %.", roam.name, roam.share * 100.0);
    }
    if let Some(walk) = &row.walk {
        let stairs = if walk.stairs_m > 0.0 {
            format!(" ({:.1} m of it stairs)", walk.stairs_m)
        } else {
            String::new()
        };
        let _ = write!(
            text,
            " Walk from {}: {:.1} m{stairs}, {:.0} s; entry delay {:.0} s (needs {:.0} s), exit \
             delay {:.0} s.",
            walk.entry,
            walk.length_m,
            walk.time_s,
            walk.entry_delay_s,
            walk.entry_delay_needed_s,
            walk.exit_delay_s
        );
        if walk.squeezed {
            text.push_str(" The way is narrower than a person somewhere.");
        }
    } else if report.all.iter().any(|row| row.walk.is_some()) {
        text.push_str(" Not every entry leads to it.");
    }
    match (&row.wire, &row.no_wire) {
        (Some(wire), _) => {
            let floors = match wire.through_floors {
                0 => String::new(),
                1 => ", through a floor".to_owned(),
                more => format!(", through {more} floors"),
            };
            let gauge = wire.gauge.clone();
            let _ = write!(
                text,
                " Wire from {}: {:.1} m along the walls{floors}, {:.1} m of cable; {} leaves {:.2} V \
                 at the panel.",
                wire.outlet,
                wire.length_m,
                wire.cable_m,
                gauge.unwrap_or_else(|| "the thickest".to_owned()),
                wire.volts_at_panel
            );
        }
        (None, Some(reason)) => {
            let _ = write!(text, " No power run: {reason}.");
        }
        (None, None) => {}
    }
    text
}
