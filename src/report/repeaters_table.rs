//! A choice of repeaters as text for the terminal and as CSV.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use comfy_table::{CellAlignment, Table};

use super::check::DeviceRow;
use super::repeaters::{PlaceKind, RelaySearchRow, RepeatersReport, StateRow, UnheardRow};
use super::table::{chance_words, finding_mark, plain_table, trimmed};

/// The text: the answer and its proof, every device before and after, what cannot be heard, the
/// doubts and the cautions. `width` is the terminal's, if it is one.
#[must_use]
pub fn repeaters_table(report: &RepeatersReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let after = &report.after;
    let [x, y, z] = after.panel.position_m;
    let moved = match report.panel_moves_m {
        Some(far) if far > 0.0 => format!("moved {far:.2} m to"),
        _ => "at".to_owned(),
    };
    let _ = writeln!(
        text,
        "{}: link {} at {} MHz, panel \"{}\" {moved} x {x:.2} m, y {y:.2} m, height {z:.2} m\n{}{}",
        after.plan,
        after.model.link,
        after.model.frequency_mhz,
        after.panel.id,
        after.model.calibration_line(),
        verdict(report)
    );
    for repeater in &report.new_repeaters {
        let [x, y, z] = repeater.position_m;
        let outlet =
            repeater.outlet.as_ref().map(|outlet| format!(" at {outlet}")).unwrap_or_default();
        let capacity =
            repeater.capacity.map(|capacity| format!(" of at most {capacity}")).unwrap_or_default();
        let carries = match repeater.carries.len() {
            0 => "stands by in case another fails".to_owned(),
            1 => format!("carries 1 device{capacity}"),
            more => format!("carries {more} devices{capacity}"),
        };
        let _ = writeln!(
            text,
            "  {}{outlet}, {}: x {x:.2} m, y {y:.2} m, height {z:.2} m; {carries}",
            repeater.id, repeater.level_name
        );
    }
    let _ = writeln!(text, "\n{}", trimmed(&states(report, width).to_string()));
    for row in &report.unheard {
        let _ = writeln!(text, "\n{}", why_unheard(report, row));
    }
    if let Some(hint) = hint(report) {
        let _ = writeln!(text, "\n{hint}");
    }
    if !after.roams.is_empty() {
        text.push('\n');
    }
    for roam in &after.roams {
        let _ = writeln!(
            text,
            "{}: will work in {:.0} % of {:.0} m².",
            roam.name,
            roam.share * 100.0,
            roam.area_m2
        );
    }
    text.push('\n');
    for warning in &after.warnings {
        let _ = writeln!(text, "note: {warning}");
    }
    for caution in &after.cautions {
        let _ = writeln!(text, "{caution}");
    }
    text
}

/// The answer in a sentence or two, with its proof.
fn verdict(report: &RepeatersReport) -> String {
    let (count, missing) = (report.new_repeaters.len(), report.unheard.len());
    let devices = report.search.devices;
    let needed = match count {
        0 => "no new repeater".to_owned(),
        1 => "1 new repeater".to_owned(),
        more => format!("{more} new repeaters"),
    };
    let mut text = match (missing, devices.saturating_sub(missing)) {
        (0, 1) => format!("The 1 device needs {needed}"),
        (0, all) => format!("The {all} devices need {needed}"),
        (_, 0) => format!("{missing} of {devices} devices cannot be made sound"),
        (_, 1) => {
            format!(
                "{missing} of {devices} devices cannot be made sound; the other 1 needs {needed}"
            )
        }
        (_, rest) => format!(
            "{missing} of {devices} devices cannot be made sound; the other {rest} need {needed}"
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
    let chance = chance_words(report.chance_of_any_fault);
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
            chance_words(proof.chance_at_least)
        );
    }
    text
}

fn places(report: &RepeatersReport) -> String {
    let RelaySearchRow { candidates, panel_places, .. } = report.search;
    let plural = |count: usize| if count == 1 { "" } else { "s" };
    let repeaters = format!("{candidates} place{} for a repeater", plural(candidates));
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

fn states(report: &RepeatersReport, width: Option<u16>) -> Table {
    let before: BTreeMap<&str, &StateRow> =
        report.before.iter().map(|row| (row.id.as_str(), row)).collect();
    let mut table = plain_table(width);
    table.set_header([
        "no",
        "name",
        "now dB",
        "fault/year",
        "now",
        "via",
        "then dB",
        "fault/year",
        "then",
        "via",
    ]);
    let via = |via: &Option<String>| via.clone().unwrap_or_else(|| "panel".to_owned());
    for row in report.after.rows() {
        let now = before.get(row.id.as_str());
        let missing = || {
            if report.before.is_empty() { "no panel".to_owned() } else { "not there".to_owned() }
        };
        table.add_row([
            row.number.map(|n| n.to_string()).unwrap_or_default(),
            row.name.clone(),
            now.map_or_else(String::new, |now| format!("{:.1}", now.margin_db)),
            now.map_or_else(String::new, |now| chance_words(now.fault_per_year)),
            now.map_or_else(missing, |now| finding_mark(now.finding).to_owned()),
            now.map_or_else(String::new, |now| via(&now.via)),
            format!("{:.1}", row.margin_db),
            chance_words(row.fault_per_year),
            finding_mark(row.finding).to_owned(),
            chain(report, row),
        ]);
    }
    for number in [0, 2, 3, 6, 7] {
        if let Some(column) = table.column_mut(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

/// The whole way of a device: the repeaters in order, or the panel.
fn chain(report: &RepeatersReport, row: &DeviceRow) -> String {
    let Some(first) = &row.via else {
        return "panel".to_owned();
    };
    let next = report.after.rows().find(|other| other.id == *first);
    match next.and_then(|next| next.via.as_ref()) {
        Some(second) => format!("{first}, {second}"),
        None => first.clone(),
    }
}

fn why_unheard(report: &RepeatersReport, row: &UnheardRow) -> String {
    let number = row.number.map(|n| format!(" ({n})")).unwrap_or_default();
    let mut text = format!("{}{number} cannot be made sound: its best way ", row.name);
    let to_panel = against_need(row.to_panel_db);
    let _ = match (&row.best_over, row.to_repeater_db) {
        (Some(over), Some(first)) => {
            let at = match (row.best_over_kind, row.best_over_position_m) {
                (Some(PlaceKind::Repeater), _) => over.clone(),
                // A spot that is no outlet has no name that anybody knows.
                (Some(PlaceKind::Spot), Some([x, y, z])) => {
                    format!("a repeater at x {x:.2} m, y {y:.2} m, height {z:.2} m")
                }
                _ => format!("a repeater at {over}"),
            };
            let first = against_need(first);
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
        chance_words(row.fault_per_year),
        chance_words(report.after.model.model.findings.sound_below)
    );
    let hop = if row.best_over.is_some() { "on the weaker hop" } else { "on it" };
    let _ = match &row.wall {
        Some(wall) => write!(
            text,
            " What costs most {hop} is {} ({}), {:.0} dB.",
            wall.feature, wall.construction, wall.loss_db
        ),
        None => write!(text, " No wall or floor is in the way {hop}: it is too far."),
    };
    text
}

/// A margin in words.
fn against_need(margin_db: f64) -> String {
    if margin_db < 0.0 {
        format!("{:.1} dB short of what is needed", -margin_db)
    } else {
        format!("{margin_db:.1} dB over what is needed")
    }
}

const HEADER: [&str; 13] = [
    "id",
    "number",
    "name",
    "kind",
    "supervised",
    "before_margin_db",
    "before_fault_per_year",
    "before_finding",
    "before_via",
    "margin_db",
    "fault_per_year",
    "finding",
    "via",
];

/// Every device before and after as CSV with a header line.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub fn repeaters_csv(report: &RepeatersReport) -> Result<String, csv::Error> {
    let before: BTreeMap<&str, &StateRow> =
        report.before.iter().map(|row| (row.id.as_str(), row)).collect();
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEADER)?;
    for row in report.after.rows() {
        let now = before.get(row.id.as_str());
        writer.write_record([
            row.id.clone(),
            row.number.map(|n| n.to_string()).unwrap_or_default(),
            row.name.clone(),
            row.kind.to_owned(),
            row.supervised.to_string(),
            now.map(|now| now.margin_db.to_string()).unwrap_or_default(),
            now.map(|now| now.fault_per_year.to_string()).unwrap_or_default(),
            now.map(|now| now.finding.word().to_owned()).unwrap_or_default(),
            now.and_then(|now| now.via.clone()).unwrap_or_default(),
            row.margin_db.to_string(),
            row.fault_per_year.to_string(),
            row.finding.word().to_owned(),
            row.via.clone().unwrap_or_default(),
        ])?;
    }
    let bytes = writer.into_inner().map_err(|e| csv::Error::from(e.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
