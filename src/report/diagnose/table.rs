//! A diagnosis as text for the terminal.

use std::fmt::Write as _;

use super::DiagnoseReport;
use crate::json::rounded;
use crate::settings::Settings;
use crate::table::{
    caution_lines, counted, fixed, margin_words, notes, numbered, optional, table, tenths,
};
use diagnose::cause::{NextTest, SensorCauses};
use diagnose::{Estimate, Tally};
use forecast::Finding;
use plan::Device;
use units::{Chance, Dbm};
use words::Words;

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
pub fn diagnose_table(report: &DiagnoseReport<'_>, width: Option<u16>) -> String {
    let mut text = String::new();
    let model = Settings::new(report.site);
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz; {} of {} used, {} not usable",
        report.site.plan.name,
        model.link,
        model.frequency_mhz,
        counted(report.used(), "reading"),
        counted(report.read(), "device"),
        counted(report.file.faults.len(), "row")
    );
    if report.causes().next().is_none() {
        let _ = writeln!(
            text,
            "\nNo sensor is flaky by these readings; --sensor asks about one all the same."
        );
    }
    for (device, causes) in report.causes() {
        told(device, causes, report, &mut text);
    }
    house(report, width, &mut text);
    devices(report, width, &mut text);
    text.push('\n');
    for note in &report.file.unused {
        let _ = writeln!(
            text,
            "note: line {}: \"{}\" was not understood and is not used",
            note.line, note.text
        );
    }
    notes(&report.warnings, &mut text);
    caution_lines(&Words::default(), &mut text);
    text
}

fn joined(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [others @ .., last] => format!("{} or {last}", others.join(", ")),
    }
}

/// What may be the matter with one device.
fn told(device: &Device, causes: &SensorCauses, report: &DiagnoseReport<'_>, text: &mut String) {
    let one = report.devices().find(|(other, _)| other.id == device.id).map(|(_, one)| one);
    let seen = one.map_or_else(String::new, |one| format!(": {}", seen(&one.read)));
    let _ = writeln!(text, "\n{}{seen}", numbered(device));
    if let Some(one) = one.filter(|one| one.before.finding == Finding::Failing) {
        let _ = writeln!(
            text,
            "  The forecast has it failing before any reading, {}: make the path stronger, whatever \
             else the readings show.",
            margin_words(one.before.shown.margin.0)
        );
    }
    for one in causes.causes.iter().filter(|one| one.chance >= LEAST_CHANCE) {
        let _ = writeln!(text, "  {:>8.0}  {}", Chance(one.chance), one.cause.name());
    }
    for set in &causes.undistinguished {
        let names: Vec<&str> = set.iter().map(|cause| cause.name()).collect();
        let _ = writeln!(text, "  These readings cannot tell apart: {}.", joined(&names));
    }
    let worth = causes.next_tests.iter().filter(|test| test.bits >= 0.005);
    for (place, test) in worth.take(MOST_TESTS).enumerate() {
        let first = if place == 0 { "What tells most next" } else { "Then, or instead" };
        next(first, device, test, report, text);
    }
    if let Some(likeliest) = causes.causes.first() {
        let cause = likeliest.cause;
        let _ = writeln!(text, "  If it is {}: {}", cause.name(), cause.first_step());
    }
}

fn next(
    first: &str,
    device: &Device,
    next: &NextTest,
    report: &DiagnoseReport<'_>,
    text: &mut String,
) {
    let test = next.test;
    let bits = fixed(next.bits, 2);
    let _ = writeln!(
        text,
        "  {first} ({bits} bit, some {:.0} min): {}",
        test.minutes(),
        test.sentence()
    );
    let others = next.sensors.iter().filter_map(|number| report.device(*number));
    let names: Vec<String> = others.map(numbered).collect();
    if !names.is_empty() {
        let _ = writeln!(text, "    Sensors: {}.", names.join(", "));
    }
    if test.note() == Some("moved") {
        let _ = writeln!(
            text,
            "    A quarter of the wavelength is {:.0} cm on this link.",
            rounded(report.quarter_wavelength_m(device)) * 100.0
        );
    }
    for outcome in next.bands.iter().filter(|outcome| outcome.chance >= LEAST_OUTCOME) {
        let likeliest = outcome.causes.iter().take(CAUSES_OF_OUTCOME);
        let causes: Vec<String> = likeliest
            .filter(|(_, chance)| *chance >= LEAST_CHANCE)
            .map(|(cause, chance)| format!("{} {:.0}", cause.name(), Chance(*chance)))
            .collect();
        let chance = Chance(outcome.chance);
        let _ = writeln!(text, "    {} ({chance:.0}): then {}", outcome.outcome, causes.join(", "));
    }
    if let Some(note) = test.note() {
        let _ = writeln!(
            text,
            "    Write it into the readings with the note \"{note}\" and run this again."
        );
    }
}

/// What was read of a device, in a few words.
fn seen(read: &[Tally]) -> String {
    let mut parts = Vec::new();
    for row in read {
        let at = row.listener.as_ref().map_or_else(String::new, |at| format!(" at {at}"));
        let mut words = Vec::new();
        if let Some(mean) = row.mean_level {
            words.push(format!("{} dBm in {}", fixed(mean.0, 0), row.levels));
        }
        if row.between > 0 {
            let end = |end: Option<Dbm>| end.map_or_else(|| "…".to_owned(), |x| fixed(x.0, 0));
            words.push(format!(
                "{} to {} dBm in {}",
                end(row.mean_low),
                end(row.mean_high),
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

/// What the house seems to lose.
fn house(report: &DiagnoseReport<'_>, width: Option<u16>, text: &mut String) {
    let calibration = report.calibration;
    let spread = |of: Estimate| format!("{} ± {}", tenths(of.mean), tenths(of.sigma));
    let site = [
        "site: antennas, mounting, clutter".to_owned(),
        spread(calibration.site_before),
        spread(calibration.site_after),
    ];
    let constructions = calibration.constructions.iter();
    let constructions = constructions
        .map(|one| [one.name.clone(), spread(one.loss_before()), spread(one.loss_after())]);
    let heads = "loss in this house|before dB|by the readings dB";
    let rows = [site].into_iter().chain(constructions);
    let _ = writeln!(text, "\n{}", table(width, heads, &[1, 2], rows));
}

fn devices(report: &DiagnoseReport<'_>, width: Option<u16>, text: &mut String) {
    let heads = "no|name|read|was dBm|now dBm|margin dB|fault/year|finding|was";
    let rows = report.devices().map(|(device, one)| {
        let (before, after) = (&one.before, &one.after);
        let was = before.finding.word();
        [
            optional(device.number),
            device.name.clone(),
            seen(&one.read),
            format!("{} ± {}", fixed(before.shown.level.0, 0), fixed(before.shown.sigma.0, 0)),
            format!("{} ± {}", fixed(after.shown.level.0, 0), tenths(after.shown.sigma.0)),
            tenths(after.shown.margin.0),
            Chance(after.fault_per_year).to_string(),
            after.finding.mark(),
            if before.finding == after.finding { "" } else { was }.to_owned(),
        ]
    });
    let _ = writeln!(text, "\n{}", table(width, heads, &[0, 3, 4, 5, 6], rows));
}
