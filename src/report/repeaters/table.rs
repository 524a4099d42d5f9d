//! A choice of repeaters as text for the terminal and as CSV.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde_json::json;

use super::{PlaceKind, RepeatersReport, SearchRow, UnheardRow};
use crate::check::{DeviceRow, StateRow};
use crate::csv;
use crate::json::{rounded, value};
use crate::table::{
    caution_lines, counted, fitted, fixed, notes, optional, table, tenths, works_in,
};
use forecast::DeviceResult;
use units::Chance;
use words::Words;

/// The text: the answer and its proof, every device before and after, what cannot be sound, the
/// doubts and the cautions. `width` is the terminal's, if it is one.
#[must_use]
pub fn repeaters_table(report: &RepeatersReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let after = &report.after;
    let moved = match report.panel_moves_m {
        Some(far) if rounded(far) > 0.0 => format!(" moved {} to", after.lengths.tape(far)),
        _ => ":".to_owned(),
    };
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel{moved} {}\n{}{}",
        after.plan,
        after.model.link,
        after.model.frequency_mhz,
        after.panel_place,
        after.model.calibration_line(),
        verdict(report)
    );
    for repeater in &report.new_repeaters {
        let outlet = repeater.outlet.as_ref().map_or("", |_| ", at the outlet there");
        let capacity =
            repeater.capacity.map(|capacity| format!(" of at most {capacity}")).unwrap_or_default();
        let carries = match repeater.carries.len() {
            0 => "stands by in case another fails".to_owned(),
            some => format!("carries {}{capacity}", counted(some, "device")),
        };
        let _ = writeln!(text, "  {}: {}{outlet}; {carries}", repeater.id, repeater.place);
    }
    if let Some(place) = &report.panel_alone {
        let _ = writeln!(
            text,
            "No repeater is needed with the panel at this spot: {place}. `drillonce place` \
             compares the spots."
        );
    }
    let _ = writeln!(text, "\n{}", states(report, width));
    for rows in grouped(&report.unheard) {
        let _ = writeln!(text, "\n{}", why_unheard(report, &rows));
    }
    if let Some(hint) = hint(report) {
        let _ = writeln!(text, "\n{hint}");
    }
    if !after.forecast.roams.is_empty() {
        text.push('\n');
    }
    for roam in &after.forecast.roams {
        let works = works_in(&Words::default(), true, roam, after.lengths);
        let _ = writeln!(text, "{}: {works}.", roam.roam.name);
    }
    text.push('\n');
    notes(&after.warnings, &mut text);
    caution_lines(&Words::default(), &mut text);
    fitted(text, width)
}

/// The answer in a few sentences, with its proof.
fn verdict(report: &RepeatersReport) -> String {
    let count = report.new_repeaters.len();
    let devices = report.search.devices;
    let names = |thin: bool| -> Vec<&str> {
        let rows = report.unheard.iter().filter(|row| row.is_thin == thin);
        rows.map(|row| row.name.as_str()).collect()
    };
    let (thin, failing) = (names(true), names(false));
    let with = match count {
        0 => "without a new repeater".to_owned(),
        some => format!("with {}", counted(some, "new repeater")),
    };
    let rest = devices - thin.len() - failing.len();
    let mut parts = Vec::new();
    if rest == devices {
        parts.push(format!("Every device is sound {with}"));
    } else if rest > 0 {
        parts.push(format!("{} of {devices} devices are sound {with}", rest));
    }
    if report.search.lose_one && rest > 0 {
        parts.push("any one repeater may fail".to_owned());
    }
    let words = Words::default();
    if !thin.is_empty() {
        let verb = if thin.len() == 1 { "is" } else { "are" };
        parts.push(format!("{} {verb} thin at best", words.names(&thin)));
    }
    if !failing.is_empty() {
        let verb = if failing.len() == 1 { "stays" } else { "stay" };
        parts.push(format!(
            "{} {verb} failing, whatever the number of repeaters",
            words.names(&failing)
        ));
    }
    let mut text = parts.join("; ") + ".";
    if rest + thin.len() == 0 {
        return text;
    }
    let proof = &report.proof;
    let chance = Chance(report.chance_of_any_fault);
    let among = if failing.is_empty() { "" } else { " among the others" };
    if proof.best {
        if count > 0 {
            let _ = write!(
                text,
                " This is the minimum, in the best place ({} compared).",
                places(report)
            );
        }
        let _ = write!(text, " Chance of any fault in a year{among}: {chance}.");
    } else {
        let least = match proof.at_least {
            _ if count == 0 => String::new(),
            0 => "; perhaps none is needed".to_owned(),
            least if least < count => format!("; perhaps {least} would do"),
            _ => "; fewer are not enough".to_owned(),
        };
        let _ = write!(
            text,
            " The search ran out of time, so a better choice may exist{least}. Chance of any fault \
             in a year{among}: {chance}; with as many repeaters it cannot fall below {}.",
            Chance(proof.chance_at_least)
        );
    }
    text
}

fn places(report: &RepeatersReport) -> String {
    let SearchRow { candidates, panel_places, .. } = report.search;
    let repeaters = format!("{} for a repeater", counted(candidates, "place"));
    if panel_places == 1 {
        repeaters
    } else {
        format!("{repeaters} and {panel_places} for the panel")
    }
}

/// What else could be tried where some device is not sound.
fn hint(report: &RepeatersReport) -> Option<String> {
    let search = &report.search;
    let mut options = Vec::new();
    if search.hops == 1 {
        options.push("--hops 2 (two repeaters in a row)");
    }
    if !search.anywhere {
        options.push("--anywhere (repeaters away from outlets)");
    }
    if search.panel_places == 1 {
        options.push("--move-panel (another panel spot as well)");
    }
    (!report.unheard.is_empty() && !options.is_empty())
        .then(|| format!("Also worth a try: {}.", options.join(", ")))
}

/// Every device as it is now, by its id.
fn before(report: &RepeatersReport) -> BTreeMap<&str, &DeviceResult> {
    report.before.iter().map(|row| (row.device.id.as_str(), row)).collect()
}

fn states(report: &RepeatersReport, width: Option<u16>) -> String {
    let before = before(report);
    let heads = "no|name|fault/year|now|fault/year|then|reserve dB:1|via";
    let state = |row: &DeviceResult| [Chance(row.fault_per_year).to_string(), row.finding.mark()];
    let rows = report.after.rows().map(|row| {
        let now = before.get(row.device.id.as_str()).map_or_else(
            || {
                let missing = if report.before.is_empty() { "no panel" } else { "not there" };
                ["", missing].map(str::to_owned)
            },
            |now| state(now),
        );
        let device = [optional(row.device.number), row.device.name.clone()];
        let reserve = tenths(row.hop.ledger.margin_db.0);
        let way = [reserve, chain(report, row)];
        device.into_iter().chain(now).chain(state(row)).chain(way)
    });
    table(width, heads, &[0, 2, 4, 6], rows)
}

/// The whole way of a device: the repeaters in order, or the panel.
fn chain(report: &RepeatersReport, row: &DeviceResult) -> String {
    let Some(first) = &row.via else {
        return "panel".to_owned();
    };
    let next = report.after.rows().find(|other| other.device.id == *first);
    match next.and_then(|next| next.via.as_ref()) {
        Some(second) => format!("{first}, {second}"),
        None => first.clone(),
    }
}

/// Devices that are not sound for one cause: the same wall on the same best way.
fn grouped(unheard: &[UnheardRow]) -> Vec<Vec<&UnheardRow>> {
    let cause = |row: &UnheardRow| {
        (row.is_thin, row.best_over.clone(), row.wall.as_ref().map(|wall| wall.feature.clone()))
    };
    let mut groups: Vec<Vec<&UnheardRow>> = Vec::new();
    for row in unheard {
        match groups.iter_mut().find(|group| cause(group[0]) == cause(row)) {
            Some(group) => group.push(row),
            None => groups.push(vec![row]),
        }
    }
    groups
}

fn why_unheard(report: &RepeatersReport, rows: &[&UnheardRow]) -> String {
    let names: Vec<String> = rows
        .iter()
        .map(|row| {
            let number = row.number.map(|n| format!("{n} ")).unwrap_or_default();
            // What is thin is served as the table says; the way that is best for it alone may not
            // be the one that serves all best.
            let served = report.after.rows().find(|then| row.is_thin && then.device.id == row.id);
            let chance = served.map_or(row.fault_per_year, |then| then.fault_per_year);
            format!("{number}{} ({})", row.name, Chance(chance))
        })
        .collect();
    let [first, ..] = rows else { return String::new() };
    let mut text = format!("Not sound at best: {}.", names.join(", "));
    let _ = match (&first.best_over, &first.place) {
        _ if first.is_thin => Ok(()),
        (Some(over), Some(at)) => {
            let repeater = match first.best_over_kind {
                Some(PlaceKind::Repeater) => over.clone(),
                Some(PlaceKind::Outlet) => "a repeater at the outlet".to_owned(),
                _ => "a repeater".to_owned(),
            };
            write!(text, " The best path is over {repeater} ({at}).")
        }
        _ => write!(text, " The best path is straight to the panel."),
    };
    let hop = match &first.best_over {
        Some(_) if first.is_thin => " on the best path",
        Some(_) => " on the weaker hop",
        None => "",
    };
    let _ = match &first.wall {
        Some(wall) => write!(
            text,
            " What costs most{hop}: {} ({}), {} dB.",
            wall.feature,
            wall.construction,
            fixed((wall.slab + wall.excess).0, 0)
        ),
        None => write!(text, " Nothing is in the way{hop}: it is too far."),
    };
    let _ = write!(
        text,
        " Sound means below {} a year.",
        Chance(report.after.model.model.findings.sound_below)
    );
    text
}

const COLUMNS: &str = concat!(
    "id=/then/id number=/then/number name=/then/name kind=/then/kind ",
    "supervised=/then/supervised before_margin_db=/now/margin_db ",
    "before_fault_per_year=/now/fault_per_year before_finding=/now/finding ",
    "before_via=/now/via margin_db=/then/margin_db fault_per_year=/then/fault_per_year ",
    "finding=/then/finding via=/then/via",
);

/// Every device before and after as CSV with a header line.
#[must_use]
pub fn repeaters_csv(report: &RepeatersReport) -> String {
    let before = before(report);
    let changes = report.after.rows().map(|then| {
        let now = before.get(then.device.id.as_str()).map(|now| value(&StateRow(now)));
        json!({"now": now, "then": value(&DeviceRow(then))})
    });
    csv::written(COLUMNS, changes)
}
