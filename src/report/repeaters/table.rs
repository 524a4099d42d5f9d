//! A choice of repeaters as text for the terminal and as CSV.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde_json::json;

use super::{PlaceKind, RepeatersReport, SearchRow, UnheardRow};
use crate::check::{DeviceRow, StateRow};
use crate::csv;
use crate::json::{position, rounded, value};
use crate::table::{
    caution_lines, counted, fixed, margin_words, notes, optional, table, tenths, via, works_in,
};
use forecast::DeviceResult;
use units::Chance;
use words::Words;

/// The text: the answer and its proof, every device before and after, what cannot be heard, the
/// doubts and the cautions. `width` is the terminal's, if it is one.
#[must_use]
pub fn repeaters_table(report: &RepeatersReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let after = &report.after;
    let [x, y, z] = position(&after.panel).map(|at| fixed(at, 2));
    let moved = match report.panel_moves_m {
        Some(far) if rounded(far) > 0.0 => format!("moved {} m to", fixed(far, 2)),
        _ => "at".to_owned(),
    };
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel \"{}\" {moved} x {x} m, y {y} m, height {z} m\n{}{}",
        after.plan,
        after.model.link,
        after.model.frequency_mhz,
        after.panel.id,
        after.model.calibration_line(),
        verdict(report)
    );
    for repeater in &report.new_repeaters {
        let [x, y, z] = repeater.position_m.map(|at| fixed(at, 2));
        let outlet =
            repeater.outlet.as_ref().map(|outlet| format!(" at {outlet}")).unwrap_or_default();
        let capacity =
            repeater.capacity.map(|capacity| format!(" of at most {capacity}")).unwrap_or_default();
        let carries = match repeater.carries.len() {
            0 => "stands by in case another fails".to_owned(),
            some => format!("carries {}{capacity}", counted(some, "device")),
        };
        let _ = writeln!(
            text,
            "  {}{outlet}, {}: x {x} m, y {y} m, height {z} m; {carries}",
            repeater.id, repeater.level_name
        );
    }
    let _ = writeln!(text, "\n{}", states(report, width));
    for row in &report.unheard {
        let _ = writeln!(text, "\n{}", why_unheard(report, row));
    }
    if let Some(hint) = hint(report) {
        let _ = writeln!(text, "\n{hint}");
    }
    if !after.forecast.roams.is_empty() {
        text.push('\n');
    }
    for roam in &after.forecast.roams {
        let _ = writeln!(text, "{}: {}.", roam.roam.name, works_in("will work in", roam));
    }
    text.push('\n');
    notes(&after.warnings, &mut text);
    caution_lines(&Words::default(), &mut text);
    text
}

/// The answer in a sentence or two, with its proof.
fn verdict(report: &RepeatersReport) -> String {
    let (count, missing) = (report.new_repeaters.len(), report.unheard.len());
    let devices = report.search.devices;
    let needed = match count {
        0 => "no new repeater".to_owned(),
        some => counted(some, "new repeater"),
    };
    let needs = |count| if count == 1 { "needs" } else { "need" };
    let mut text = match (missing, devices.saturating_sub(missing)) {
        (0, all) => format!("The {} {} {needed}", counted(all, "device"), needs(all)),
        (_, 0) => format!("{missing} of {devices} devices cannot be made sound"),
        (_, rest) => format!(
            "{missing} of {devices} devices cannot be made sound; the other {rest} {} {needed}",
            needs(rest)
        ),
    };
    if report.search.lose_one && devices > missing {
        text.push_str(", so that any one repeater may fail");
    }
    text.push('.');
    if devices == missing {
        return text;
    }
    let proof = &report.proof;
    let chance = Chance(report.chance_of_any_fault);
    if proof.best && count > 0 {
        let _ = write!(
            text,
            " Proven best among {}: fewer cannot do it, and no other choice of as many has a lower \
             chance of any fault in a year ({chance}).",
            places(report)
        );
    } else if proof.best {
        let _ = write!(
            text,
            " The chance of any fault among them in a year is {chance}, proven the lowest without a \
             new repeater."
        );
    } else {
        let least = match proof.at_least {
            _ if count == 0 => String::new(),
            0 => "; perhaps none is needed".to_owned(),
            least if least < count => format!("; perhaps {least} would do"),
            _ => "; fewer cannot do it".to_owned(),
        };
        let _ = write!(
            text,
            " Not proven best, the time ran out{least}. The chance of any fault in a year is \
             {chance}, and with as many repeaters not below {}.",
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

/// What else could be tried where some device cannot be heard.
fn hint(report: &RepeatersReport) -> Option<String> {
    let search = &report.search;
    let mut options = Vec::new();
    if search.hops == 1 {
        options.push("--hops 2");
    }
    if !search.anywhere {
        options.push("--anywhere");
    }
    if search.panel_places == 1 {
        options.push("--move-panel");
    }
    (!report.unheard.is_empty() && !options.is_empty())
        .then(|| format!("What may help: {}.", options.join(", ")))
}

/// Every device as it is now, by its id.
fn before(report: &RepeatersReport) -> BTreeMap<&str, &DeviceResult> {
    report.before.iter().map(|row| (row.device.id.as_str(), row)).collect()
}

fn states(report: &RepeatersReport, width: Option<u16>) -> String {
    let before = before(report);
    let heads = "no|name|now dB|fault/year|now|via|then dB|fault/year|then|via";
    let state = |row: &DeviceResult, over: String| {
        [
            tenths(row.hop.ledger.margin_db.0),
            Chance(row.fault_per_year).to_string(),
            row.finding.mark(),
            over,
        ]
    };
    let rows = report.after.rows().map(|row| {
        let now = before.get(row.device.id.as_str()).map_or_else(
            || {
                let missing = if report.before.is_empty() { "no panel" } else { "not there" };
                ["", "", missing, ""].map(str::to_owned)
            },
            |now| state(now, via(now.via.as_ref())),
        );
        let device = [optional(row.device.number), row.device.name.clone()];
        device.into_iter().chain(now).chain(state(row, chain(report, row)))
    });
    table(width, heads, &[0, 2, 3, 6, 7], rows)
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

fn why_unheard(report: &RepeatersReport, row: &UnheardRow) -> String {
    let number = row.number.map(|n| format!(" ({n})")).unwrap_or_default();
    let mut text = format!("{}{number} cannot be made sound: its best way ", row.name);
    let to_panel = margin_words(row.to_panel_db.0);
    let _ = match (&row.best_over, row.to_repeater_db) {
        (Some(over), Some(first)) => {
            let at = match (row.best_over_kind, row.best_over_position_m) {
                (Some(PlaceKind::Repeater), _) => over.clone(),
                // A spot that is no outlet has no name that anybody knows.
                (Some(PlaceKind::Spot), Some(at)) => {
                    let [x, y, z] = at.map(|at| fixed(at, 2));
                    format!("a repeater at x {x} m, y {y} m, height {z} m")
                }
                _ => format!("a repeater at {over}"),
            };
            let first = margin_words(first.0);
            write!(
                text,
                "would be over {at}, {first} up to there and {to_panel} from there to the panel"
            )
        }
        _ => write!(text, "is straight to the panel, {to_panel}"),
    };
    let _ = write!(
        text,
        "; the chance of a fault in a year is then {} on the whole way, and a sound hop stays below {}.",
        Chance(row.fault_per_year),
        Chance(report.after.model.model.findings.sound_below)
    );
    let hop = if row.best_over.is_some() { "on the weaker hop" } else { "on it" };
    let _ = match &row.wall {
        Some(wall) => write!(
            text,
            " What costs most {hop} is {} ({}), {} dB.",
            wall.feature,
            wall.construction,
            fixed((wall.slab + wall.excess).0, 0)
        ),
        None => write!(text, " No wall or floor is in the way {hop}: it is too far."),
    };
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
