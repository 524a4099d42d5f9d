//! A diagnosis as text for the terminal.

use std::fmt::Write as _;

use super::causes::{cause_name, first_step, sentence};
use super::{DiagnoseReport, ENGLISH};
use crate::settings::Settings;
use crate::table::{
    caution_lines, counted, fitted, fixed, margin_words, notes, numbered, optional, table, tenths,
};
use diagnose::cause::{Cause, CauseChance, NextTest, Outcome, SensorCauses};
use diagnose::{DeviceEstimate, Estimate, Tally, metal_between};
use forecast::Finding;
use input::one_line;
use plan::Device;
use units::{Chance, Dbm};
use words::Words;

/// Causes less likely than this are not listed; all are in the JSON.
const LEAST_CHANCE: f64 = 0.02;

/// Outcomes less likely than this are not listed; all are in the JSON.
const LEAST_OUTCOME: f64 = 0.01;

/// Causes named after an outcome.
const CAUSES_OF_OUTCOME: usize = 2;

/// Tests that are offered; all are in the JSON.
const MOST_TESTS: usize = 2;

/// A test is offered if it says at least this part of what the best one says (our choice).
const WORTH_OFFERING: f64 = 0.4;

/// The text: the flaky sensors first, then what the house seems to lose, then every device. `width`
/// is the terminal's, if it is one.
#[must_use]
pub fn diagnose_table(report: &DiagnoseReport<'_>, width: Option<u16>) -> String {
    let mut text = String::new();
    let model = Settings::new(report.site);
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz; {} from {} used, {} not usable",
        report.site.plan.name,
        model.link,
        model.frequency_mhz,
        counted(report.used(), "reading"),
        counted(report.read(), "device"),
        counted(report.file.faults.len(), "row")
    );
    if report.causes().next().is_none() {
        text.push_str(
            "\nNo sensor is flaky by these readings. --sensor NAME asks about one anyway.\n",
        );
    }
    let mut out_of_reach: Vec<OutOfReach<'_>> = Vec::new();
    for (device, causes) in report.causes() {
        match report.estimate(device).filter(|one| one.is_out_of_reach(causes)) {
            Some(one) => {
                let metal = metal_between(report.site, device).map(|metal| metal.construction);
                match out_of_reach.iter_mut().find(|(known, _)| *known == metal) {
                    Some((_, devices)) => devices.push((device, one)),
                    None => out_of_reach.push((metal, vec![(device, one)])),
                }
            }
            None => one_device(device, causes, report, &mut text),
        }
    }
    for (metal, devices) in &out_of_reach {
        let _ = writeln!(text, "\n{}", beyond_reach(metal.as_deref(), devices));
    }
    house(report, width, &mut text);
    devices(report, width, &mut text);
    text.push('\n');
    for note in &report.file.unused {
        let _ = writeln!(
            text,
            "note: line {}: \"{}\" is not understood, so it is not used",
            note.line,
            one_line(&note.text)
        );
    }
    notes(&report.warnings, &mut text);
    caution_lines(&Words::default(), &mut text);
    fitted(text, width)
}

fn joined(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [others @ .., last] => format!("{} or {last}", others.join(", ")),
    }
}

/// What may be wrong with one device: the obvious in a sentence, or causes and tests, the least
/// work first.
fn one_device(
    device: &Device,
    causes: &SensorCauses,
    report: &DiagnoseReport<'_>,
    text: &mut String,
) {
    let one = report.estimate(device);
    let seen = one.map_or_else(String::new, |one| seen(&one.read));
    let colon = if seen.is_empty() { "" } else { ": " };
    let _ = writeln!(text, "\n{}{colon}{seen}", numbered(device));
    if let Some(one) = one {
        let _ = write!(text, "{}", standing(one));
    }
    let mut likely: Vec<&CauseChance> =
        causes.causes.iter().filter(|one| one.chance >= LEAST_CHANCE).collect();
    // Stable: of equal work the likelier goes first.
    likely.sort_by_key(|one| one.cause.effort());
    let first = causes.causes.first().map(|one| one.cause);
    text.push_str("  Check in this order, the least work first:\n");
    for one in likely {
        let most = if Some(one.cause) == first { " (likeliest)" } else { "" };
        let _ = writeln!(
            text,
            "    {:>4.0}  {}{most}: {}",
            Chance(one.chance),
            cause_name(&ENGLISH, one.cause),
            first_step(&ENGLISH, one.cause, &quarter(device, report))
        );
    }
    for set in &causes.undistinguished {
        let names = set.iter().map(|cause| cause_name(&ENGLISH, *cause)).collect::<Vec<_>>();
        let _ = writeln!(text, "  The readings do not tell these apart: {}.", joined(&names));
    }
    let most = causes.next_tests.iter().map(|test| test.bits).fold(0.005, f64::max);
    let worth = causes.next_tests.iter().filter(|test| test.bits >= WORTH_OFFERING * most);
    let mut tests: Vec<&NextTest> = worth.take(MOST_TESTS).collect();
    tests.sort_by_key(|next| next.test.effort());
    for (place, test) in tests.into_iter().enumerate() {
        let first = if place == 0 { "Test" } else { "Or test" };
        next(first, device, test, report, text);
    }
}

/// What metal is in the way, and the devices that are out of reach behind it.
type OutOfReach<'a> = (Option<String>, Vec<(&'a Device, &'a DeviceEstimate)>);

/// The paragraph for devices that are out of reach for one cause.
fn beyond_reach(metal: Option<&str>, devices: &[(&Device, &DeviceEstimate)]) -> String {
    let why = metal.map_or_else(
        || "Too far, or behind too many walls".to_owned(),
        |construction| format!("Too far behind metal ({construction})"),
    );
    let names = devices.iter().map(|(device, one)| {
        let short = one
            .explained_margin()
            .map_or_else(String::new, |m| margin_words(&Words::default(), m.0));
        let chance = Chance(one.before.fault_per_year);
        let seen = seen(&one.read);
        format!("{}: {seen}; {short}, fault in a year {chance} as drawn", numbered(device))
    });
    let names: Vec<String> = names.collect();
    let (them, side) = if devices.len() == 1 { ("it", "its") } else { ("them", "their") };
    format!(
        "{}\n  {why}: short by what the readings show of the house, even without a fault, and the \
         panel hears nothing of {them}. Fit a repeater on {side} side, or wire {them}. `drillonce \
         explain` shows what helps.",
        names.join("\n")
    )
}

/// What the check-ins and the forecast say before any cause is weighed.
fn standing(one: &DeviceEstimate) -> String {
    let by_readings = one.by_readings();
    let mut text = String::new();
    match by_readings {
        Some(Finding::Failing) => {
            text.push_str("  Failing by its readings, whatever the forecast says.\n");
        }
        Some(Finding::Thin) => text.push_str("  Thin at best by its readings.\n"),
        Some(Finding::Sound) | None => {}
    }
    if one.before.finding == Finding::Failing {
        let _ = writeln!(
            text,
            "  It was failing as drawn, with {}: strengthen the path first.",
            margin_words(&Words::default(), one.before.shown.margin.0)
        );
    }
    text
}

/// A quarter of a device's wavelength as a tape shows it.
fn quarter(device: &Device, report: &DiagnoseReport<'_>) -> String {
    report.site.plan.lengths().tape(report.quarter_wavelength_m(device)).to_string()
}

fn next(
    first: &str,
    device: &Device,
    next: &NextTest,
    report: &DiagnoseReport<'_>,
    text: &mut String,
) {
    let test = next.test;
    let minutes = test.minutes();
    let sentence = sentence(&ENGLISH, test, &quarter(device, report));
    let _ = writeln!(text, "  {first} (about {minutes:.0} min): {sentence}");
    let others = next.sensors.iter().filter_map(|number| report.device(*number));
    let names: Vec<String> = others.map(numbered).collect();
    if !names.is_empty() {
        let _ = writeln!(text, "    Sensors: {}.", names.join(", "));
    }
    for outcome in next.bands.iter().filter(|outcome| outcome.chance >= LEAST_OUTCOME) {
        let _ = writeln!(text, "    If {}: {}.", outcome.outcome, after(outcome));
    }
    if let Some(note) = test.note() {
        let _ = writeln!(
            text,
            "    Add what you read to the file with the note \"{note}\" and run this again."
        );
    }
}

/// The likeliest causes after an outcome.
fn after(outcome: &Outcome) -> String {
    let likeliest = outcome.causes.iter().take(CAUSES_OF_OUTCOME);
    let likeliest = likeliest.filter(|(_, chance)| *chance >= LEAST_CHANCE);
    let words = |(cause, chance): &(Cause, f64)| {
        format!("{} {:.0}", cause_name(&ENGLISH, *cause), Chance(*chance))
    };
    likeliest.map(words).collect::<Vec<_>>().join(", ")
}

/// What was read of a device, in a few words.
fn seen(read: &[Tally]) -> String {
    let mut parts = Vec::new();
    for row in read {
        let at = row.listener.as_ref().map_or_else(String::new, |at| format!(" at {at}"));
        let mut words = Vec::new();
        if let Some(mean) = row.mean_level {
            words.push(format!("{} dBm in {}", fixed(mean.0, 0), counted(row.levels, "reading")));
        }
        if row.between > 0 {
            let end = |end: Option<Dbm>| end.map_or_else(|| "…".to_owned(), |x| fixed(x.0, 0));
            words.push(format!(
                "{} to {} dBm in {}",
                end(row.mean_low),
                end(row.mean_high),
                counted(row.between, "reading")
            ));
        }
        let all = row.heard + row.missed;
        if row.missed > 0 {
            words.push(format!("{} of {} missed", row.missed, counted(all, "check-in")));
        }
        if row.lost > 0 {
            words.push(match row.lost {
                1 => "supervision lost once".to_owned(),
                times => format!("supervision lost {times} times"),
            });
        }
        if words.is_empty() && all > 0 {
            words.push(format!("all {} heard", counted(all, "check-in")));
        }
        if !words.is_empty() {
            parts.push(format!("{}{at}", words.join(", ")));
        }
    }
    parts.join("; ")
}

/// What the house seems to lose: what the readings say something new of.
fn house(report: &DiagnoseReport<'_>, width: Option<u16>, text: &mut String) {
    let calibration = report.calibration;
    let spread = |of: Estimate| format!("{} ± {}", tenths(of.mean), tenths(of.sigma));
    let site = [
        "antennas, mounting, clutter".to_owned(),
        spread(calibration.site_before),
        spread(calibration.site_after),
    ];
    let constructions = calibration.constructions.iter();
    let constructions = constructions
        .map(|one| [one.name.clone(), spread(one.loss_before()), spread(one.loss_after())])
        .filter(|[_, before, after]| before != after);
    let rows: Vec<[String; 3]> = [site].into_iter().chain(constructions).collect();
    let unchanged = calibration.constructions.len() + 1 - rows.len();
    let heads = "loss in this house|as drawn dB|by the readings dB";
    let _ = writeln!(text, "\n{}", without_csv(table(width, heads, &[1, 2], rows)));
    if unchanged > 0 {
        let _ = writeln!(
            text,
            "The readings say nothing new about {}.",
            counted(unchanged, "other construction")
        );
    }
}

fn devices(report: &DiagnoseReport<'_>, width: Option<u16>, text: &mut String) {
    let heads =
        "no|name|read:1|fault/year|finding|as drawn:2|reserve dB|level dBm:3|level as drawn:4";
    let rows = report.devices().map(|(device, one)| {
        let (before, after) = (&one.before, &one.after);
        let finding = one.finding();
        let was = before.finding.word();
        [
            optional(device.number),
            device.name.clone(),
            seen(&one.read),
            Chance(after.fault_per_year).to_string(),
            finding.mark(),
            if before.finding == finding { "" } else { was }.to_owned(),
            tenths(after.shown.margin.0),
            format!("{} ± {}", fixed(after.shown.level.0, 0), tenths(after.shown.sigma.0)),
            format!("{} ± {}", fixed(before.shown.level.0, 0), fixed(before.shown.sigma.0, 0)),
        ]
    });
    let _ = writeln!(text, "\n{}", without_csv(table(width, heads, &[0, 3, 6, 7, 8], rows)));
    if report.devices().any(|(_, one)| one.finding() != one.after.finding) {
        text.push_str(
            "The finding is the worse of the forecast with the readings and the check-ins \
             themselves.\n",
        );
    }
}

/// What a narrow table advises, for a command that prints no CSV.
fn without_csv(table: String) -> String {
    table.replace("--format csv", "--format json")
}
