//! A search for the panel's spot as text for the terminal.

use std::fmt::Write as _;

use super::{PlaceReport, SpotOf, position};
use crate::json::rounded;
use crate::settings::Settings;
use crate::table::{caution_lines, counted, fixed, margin_words, notes, optional, table, tenths};
use siting::delay::DelayLimits;
use units::Chance;
use words::Words;

/// The text: what was searched, the spots offered, each with why, the doubts and the cautions.
/// `width` is the terminal's, if it is one.
#[must_use]
pub fn place_table(report: &PlaceReport<'_>, width: Option<u16>) -> String {
    let mut text = String::new();
    let (unit, per_unit) = unit(report);
    let model = Settings::new(report.reach.site);
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel {:.1} {unit} above the floor",
        report.reach.site.plan.name,
        model.link,
        model.frequency_mhz,
        report.settings.spots.height_m / per_unit
    );
    text.push_str(&model.calibration_line());
    let _ = writeln!(
        text,
        "{} spots compared, {} of them keep all {} devices sound{}.",
        report.siting.objectives.len(),
        report.keep_all(),
        report.reach.transmitters.len(),
        left_out(report)
    );
    if report.keep_all() == 0 {
        let _ = writeln!(
            text,
            "No spot keeps all of them: `drillonce repeaters` tells whether a repeater helps."
        );
    }
    let heads = "spot|level|wall|x|y|worst|margin dB|fault/year|not sound|walk s|wire m|gauge";
    let rows = report.best().map(|spot| cells(&spot, per_unit));
    let _ = writeln!(text, "\n{}\n", table(width, heads, &[0, 3, 4, 6, 7, 8, 9, 10], rows));
    for spot in report.best() {
        let _ = writeln!(text, "{}", why(report, &spot));
    }
    let limits = &report.settings.delay.limits;
    if report.best().any(|spot| spot.walk.is_some()) {
        let _ = writeln!(
            text,
            "\nUsual limits: entry delay {} to {} s, exit delay {} to {} s ({}).",
            limits.entry_least_s,
            limits.entry_most_s,
            limits.exit_least_s,
            limits.exit_most_s,
            DelayLimits::SOURCE
        );
    }
    let _ = writeln!(text, "x and y are in {unit}, as --panel of `drillonce check` takes them.");
    notes(&report.warnings, &mut text);
    text.push('\n');
    caution_lines(&Words::default(), &mut text);
    text
}

/// The plan's unit and the metres in it.
fn unit(report: &PlaceReport<'_>) -> (&'static str, f64) {
    let metres = report.reach.site.plan.metres_per_unit;
    if (metres - 1.0).abs() < 1e-9 { ("m", 1.0) } else { ("ft", metres) }
}

fn left_out(report: &PlaceReport<'_>) -> String {
    let all = report.siting.spots.left_out.len();
    if all == 0 {
        return String::new();
    }
    let reasons = report.left_out();
    let reasons: Vec<String> =
        reasons.iter().map(|row| format!("{} {}", row.places, row.reason)).collect();
    format!("; {all} places left out ({})", reasons.join(", "))
}

fn cells(spot: &SpotOf<'_>, per_unit: f64) -> [String; 12] {
    let [x, y, _] = position(spot.spot).map(|at| format!("{:.2}", rounded(at) / per_unit));
    let worst = spot.worst();
    let unknown = || "?".to_owned();
    let wire = spot.power.ok();
    [
        optional(spot.number),
        spot.level_name().to_owned(),
        spot.wall().unwrap_or("none near").to_owned(),
        x,
        y,
        optional(worst.map(|worst| &worst.device.id)),
        optional(worst.map(|worst| tenths(worst.heard.margin.0))),
        Chance(spot.radio.any_fault_per_year).to_string(),
        spot.radio.not_sound.to_string(),
        spot.walk.map_or_else(unknown, |walk| tenths(walk.longest.time_s)),
        wire.map_or_else(unknown, |run| tenths(run.wire.length_m)),
        wire.and_then(|run| run.gauge).map_or_else(unknown, |gauge| gauge.to_string()),
    ]
}

/// Why a spot is offered: its worst sensor, its walk, its wire.
fn why(report: &PlaceReport<'_>, spot: &SpotOf<'_>) -> String {
    let mut text = format!("Spot {}: ", spot.number.unwrap_or(spot.rank));
    let radio = spot.radio;
    if spot.keeps_all {
        text.push_str("keeps every device");
    } else {
        let devices = counted(radio.not_sound, "device");
        let _ = write!(text, "{devices} not sound, {} failing", radio.failing);
    }
    text.push_str(if spot.is_unbeaten {
        "; no spot beats it in reliability, walk and wire together."
    } else {
        "; another spot beats it."
    });
    if let Some(worst) = spot.worst() {
        let number = worst.device.number.map(|n| format!(" ({n})")).unwrap_or_default();
        let _ = write!(
            text,
            " Worst: {}{number}, {}, {}.",
            worst.device.name,
            margin_words(worst.heard.margin.0),
            worst.finding.word()
        );
    }
    let roams = spot.roams().map(|(roam, share)| (&roam.name, rounded(*share)));
    let least = roams.min_by(|(_, a), (_, b)| a.total_cmp(b));
    if let Some((name, share)) = least.filter(|(_, share)| *share < 0.995) {
        let _ = write!(text, " {name} works in {:.0} %.", share * 100.0);
    }
    if let Some(walk) = spot.walk {
        let (way, delays) = (&walk.longest, &walk.delays);
        let stairs = if rounded(way.stairs_m) > 0.0 {
            format!(" ({} m of it stairs)", tenths(way.stairs_m))
        } else {
            String::new()
        };
        let _ = write!(
            text,
            " Walk from {}: {} m{stairs}, {} s; entry delay {:.0} s (needs {:.0} s), exit delay {:.0} s.",
            way.entry,
            tenths(way.length_m),
            fixed(way.time_s, 0),
            delays.entry.proposed_s,
            delays.entry.needed_s,
            delays.exit.proposed_s
        );
        if way.squeezed {
            text.push_str(" The way is narrower than a person somewhere.");
        }
    } else if report.all().any(|spot| spot.walk.is_some()) {
        text.push_str(" Not every entry leads to it.");
    }
    match spot.power {
        Ok(run) => {
            let floors = match run.wire.through_floors {
                0 => String::new(),
                1 => ", through a floor".to_owned(),
                more => format!(", through {more} floors"),
            };
            let gauge = run.gauge.map(|gauge| gauge.to_string());
            let _ = write!(
                text,
                " Wire from {}: {} m along the walls{floors}, {} m of cable; {} leaves {} V at the panel.",
                run.wire.outlet,
                tenths(run.wire.length_m),
                tenths(run.wire.cable_m),
                gauge.unwrap_or_else(|| "the thickest".to_owned()),
                fixed(run.volts_at_panel.0, 2)
            );
        }
        Err(reason) => {
            let _ = write!(text, " No power run: {reason}.");
        }
    }
    text
}
