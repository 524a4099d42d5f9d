//! A search for the panel's spot as text for the terminal.

use std::fmt::Write as _;

use super::{PlaceReport, SpotOf};
use crate::json::rounded;
use crate::settings::Settings;
use crate::table::{
    caution_lines, counted, fitted, fixed, margin_words, notes, numbered, optional, table, tenths,
};
use siting::delay::DelayLimits;
use units::{Chance, Lengths};
use words::Words;

/// The text: what was searched, the panel now and the spots offered, each with why, the doubts and
/// the cautions. `width` is the terminal's, if it is one.
#[must_use]
pub fn place_table(report: &PlaceReport<'_>, width: Option<u16>) -> String {
    let mut text = String::new();
    let plan = report.reach.site.plan;
    let lengths = plan.lengths();
    let model = Settings::new(report.reach.site);
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel {} above the floor",
        plan.name,
        model.link,
        model.frequency_mhz,
        lengths.tape(report.settings.spots.height_m)
    );
    text.push_str(&model.calibration_line());
    let (spots, keep_all) = (report.siting.objectives.len(), report.keep_all());
    let devices = counted(report.reach.transmitters.len(), "device");
    let _ = writeln!(
        text,
        "{spots} spots compared; {keep_all} of them keep all {devices} sound{}.",
        left_out(report)
    );
    if keep_all == 0 {
        let _ = writeln!(text, "No spot keeps all of them sound: try `drillonce repeaters`.");
    }
    let heads = "spot|any fault/year|not sound|worst device|reserve dB|walk s:1|wire:2|gauge:3";
    let all = || report.now().into_iter().chain(report.best());
    let rows = all().map(|spot| cells(&spot, lengths));
    let _ = writeln!(text, "\n{}\n", table(width, heads, &[1, 2, 4, 5, 6], rows));
    if let Some(now) = report.now() {
        let _ = writeln!(text, "{}", why(report, &now, lengths));
        if now.rank == 1 {
            text.push_str("No spot is better than where the panel is now.\n");
        }
    }
    for spot in report.best() {
        let _ = writeln!(text, "{}", why(report, &spot, lengths));
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
    let _ = writeln!(
        text,
        "{} --write FILE --spot N puts the panel at spot N; --format csv lists coordinates for \
         `drillonce check --panel`.",
        Words::default().spot_note()
    );
    notes(&report.warnings, &mut text);
    text.push('\n');
    caution_lines(&Words::default(), &mut text);
    fitted(text, width)
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

fn cells(spot: &SpotOf<'_>, lengths: Lengths) -> [String; 8] {
    let worst = spot.worst();
    let unknown = || "?".to_owned();
    let wire = spot.power.ok();
    [
        spot.number.map_or_else(|| "now".to_owned(), |number| number.to_string()),
        Chance(spot.radio.any_fault_per_year).to_string(),
        spot.radio.not_sound.to_string(),
        optional(worst.map(|worst| numbered(worst.device))),
        optional(worst.map(|worst| tenths(worst.heard.margin.0))),
        spot.walk.map_or_else(unknown, |walk| fixed(walk.longest.time_s, 0)),
        wire.map_or_else(unknown, |run| lengths.run(run.wire.length_m).to_string()),
        wire.and_then(|run| run.gauge).map_or_else(unknown, |gauge| gauge.size(lengths)),
    ]
}

/// Why a spot is offered: its worst sensor, its walk, its wire.
fn why(report: &PlaceReport<'_>, spot: &SpotOf<'_>, lengths: Lengths) -> String {
    let name = spot.number.map_or_else(|| "Now".to_owned(), |number| format!("Spot {number}"));
    let mut text = format!("{name}: {}. ", spot.place);
    let radio = spot.radio;
    if spot.keeps_all {
        text.push_str("Keeps every device sound");
    } else {
        let devices = counted(radio.not_sound, "device");
        let _ = write!(text, "Leaves {devices} not sound, {} failing", radio.failing);
    }
    text.push_str(if spot.is_unbeaten && spot.number.is_some() {
        "; best trade-off of reliability, walk and wire."
    } else {
        "."
    });
    if let Some(worst) = spot.worst() {
        let _ = write!(
            text,
            " Worst: {}, {}, {}.",
            numbered(worst.device),
            worst.finding.word(),
            margin_words(&Words::default(), worst.heard.margin.0)
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
            format!(" ({} of it stairs)", lengths.run(way.stairs_m))
        } else {
            String::new()
        };
        let _ = write!(
            text,
            " Walk from {}: {}{stairs}, {} s; entry delay {:.0} s (needs {:.0} s), exit delay {:.0} s.",
            report.names.opening(&Words::default(), &way.entry),
            lengths.run(way.length_m),
            fixed(way.time_s, 0),
            delays.entry.proposed_s,
            delays.entry.needed_s,
            delays.exit.proposed_s
        );
        if way.squeezed {
            text.push_str(" Part of the way is too narrow to walk.");
        }
    } else if report.all().any(|spot| spot.walk.is_some()) {
        text.push_str(" It cannot be reached from every entry.");
    }
    match spot.power {
        Ok(run) => {
            let floors = match run.wire.through_floors {
                0 => String::new(),
                1 => ", through a floor".to_owned(),
                more => format!(", through {more} floors"),
            };
            let gauge = run.gauge.map(|gauge| gauge.size(lengths));
            let _ = write!(
                text,
                " Wire from the {}: {} along the walls{floors}, {} of cable; {} leaves {} V at the panel.",
                report.names.outlet(&Words::default(), &run.wire.outlet),
                lengths.run(run.wire.length_m),
                lengths.run(run.wire.cable_m),
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
