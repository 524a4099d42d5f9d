//! One device's link as text for the terminal.

use std::fmt::Write as _;

use super::ExplainReport;
use super::remedies::{WORTH_DOING, advice, remedy_words, shown};
use super::way::cost_words;
use crate::json::rounded;
use crate::table::{
    caution_lines, counted, fitted, fixed, margin_words, notes, numbered, table, tenths,
};
use explain::{Action, HopBudget, Item, LEAST_SHARE, Line, NoHelp, NoiseNeed, Remedy};
use forecast::{Direction, Finding};
use units::{Chance, Lengths};
use words::Words;

/// A line of the ledger with less is left out, dB; all are in the JSON.
const LEAST_LINE: f64 = 0.05;

/// The text: what can be done, the chance of a fault, what costs most, the ledger, the paths, the
/// doubts and the cautions. `width` is the terminal's, if it is one.
#[must_use]
pub fn explain_table(report: &ExplainReport<'_>, width: Option<u16>) -> String {
    let (mut text, words) = (String::new(), Words::default());
    let told = report.told;
    let (result, device) = (&told.result, &told.result.device);
    let _ = writeln!(
        text,
        "{}: {} ({}), {}, link {} at {} MHz",
        report.site.plan.name,
        numbered(device),
        device.id,
        report.places.of(&words, device),
        result.link.name,
        rounded(result.link.frequency.mhz())
    );
    help(report, width, &mut text);
    let over = match (&result.via, told.onward_fault_per_year) {
        (Some(via), Some(onward)) => {
            format!(
                "It goes over {via}, whose own chance of a fault in a year is {}",
                Chance(onward)
            )
        }
        _ => "It goes straight to the panel".to_owned(),
    };
    let _ = writeln!(
        text,
        "\nChance of a fault in a year: {}, {}; {}. {over}.",
        Chance(result.fault_per_year),
        result.finding.word(),
        margin_words(&words, result.hop.ledger.margin_db.0),
    );
    let _ = writeln!(text, "{}", cost_words(&words, &told.budget));
    let p10 = result.hop.margin_p10.0;
    let margin = if p10 < 0.0 {
        format!("reserve; one in ten such devices is over {}", margin_words(&words, p10))
    } else {
        format!("reserve; nine in ten such devices have over {} dB", tenths(p10))
    };
    let lines = ledger(&told.budget, margin, report.lengths(), width);
    let _ = writeln!(text, "\n{lines}\n{}", spread(&told.budget));
    let _ = writeln!(text, "\n{}", paths(&told.budget, report.lengths(), width));
    others(&told.budget, &mut text);
    if let Some(budget) = &told.to_panel {
        let distance = report.lengths().run(budget.hop.distance.0);
        let _ = writeln!(text, "\nStraight to the panel, {distance}, it would have:");
        let chance = Chance(budget.hop.fault_per_year);
        let margin = format!("reserve; chance of a fault in a year {chance}");
        let _ = writeln!(text, "\n{}", ledger(budget, margin, report.lengths(), width));
        let _ = writeln!(text, "{}", cost_words(&words, budget));
    }
    null(report, &mut text);
    text.push('\n');
    notes(&report.warnings, &mut text);
    caution_lines(&words, &mut text);
    fitted(text, width)
}

/// The ledger of a hop with its two sums, the last of which is named `margin`.
fn ledger(budget: &HopBudget, margin: String, lengths: Lengths, width: Option<u16>) -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for line in &budget.lines {
        if line.item == Item::LevelNeeded {
            let received = tenths(budget.hop.ledger.received_dbm.0);
            rows.push(vec![String::new(), format!("level received, {received} dBm")]);
        }
        if line.crossing.is_none() && line.adds.0.abs() < LEAST_LINE {
            continue;
        }
        rows.push(vec![signed(line.adds.0), line_words(line, budget, lengths)]);
        if let (Some(crossing), Some(row)) = (&line.crossing, rows.last_mut()) {
            row.extend([
                format!("{}°", fixed(crossing.incidence_deg, 0)),
                tenths(crossing.slab.0),
                tenths(crossing.excess.0),
            ]);
        }
    }
    let margin_db = budget.hop.ledger.margin_db;
    rows.push(vec![signed(margin_db.0), margin]);
    table(width, "dB|what|angle:1|slab dB:1|excess dB:1", &[0, 2, 3, 4], rows)
}

/// Decibels with their sign.
fn signed(value: f64) -> String {
    format!("{:+.1}", rounded(value))
}

fn line_words(line: &Line, budget: &HopBudget, lengths: Lengths) -> String {
    if let Some(crossing) = &line.crossing {
        return format!("{} ({})", crossing.feature, crossing.construction);
    }
    match line.item {
        // Of a two-way device the ledger is that of the worse direction.
        Item::Eirp => match budget.hop.ledger.direction {
            Direction::Inbound => "radiated power (EIRP), dBm".to_owned(),
            Direction::Outbound => {
                format!("power radiated by {} towards it (EIRP), dBm", budget.listener)
            }
        },
        Item::FreeSpace => format!("free space over {}", lengths.run(budget.hop.distance.0)),
        Item::Crossing => String::new(),
        Item::RoundEdges if line.adds.0 < 0.0 => {
            "edges in the way, over half a wavelength about it".to_owned()
        }
        Item::RoundEdges => {
            "regained: edges, openings and walls grazed, half a wavelength about it".to_owned()
        }
        Item::OtherPaths => "regained: reflected paths".to_owned(),
        Item::NearReflections => "reflections in step at floor, ceiling and near walls".to_owned(),
        Item::Scattered => "regained: scattered and reflected many times".to_owned(),
        Item::AntennaGain => "antenna of the panel".to_owned(),
        Item::Mount => "mount".to_owned(),
        Item::Aerials => "how the aerials stand, against the mean".to_owned(),
        Item::Body => "body".to_owned(),
        Item::SiteOffset => "site offset: antennas, mounting, clutter".to_owned(),
        Item::CalibratedLoss => "what readings show of this device".to_owned(),
        Item::LevelNeeded => match budget.needed_by {
            Some(NoiseNeed { floor, snr }) => format!(
                "level needed: {} dBm noise floor and {} dB above it",
                tenths(floor.0),
                tenths(snr.0)
            ),
            None => "level needed: the receiver's sensitivity".to_owned(),
        },
    }
}

/// What the static spread consists of.
fn spread(budget: &HopBudget) -> String {
    let sigma = &budget.sigma;
    let walls = if rounded(sigma.walls_db.0) > 0.05 {
        format!(" ({} dB of it the walls crossed)", tenths(sigma.walls_db.0))
    } else {
        String::new()
    };
    format!(
        "Spread between such devices {} dB: {} dB from what the plan does not show{walls}, {} dB \
         from the exact spot.",
        tenths(sigma.sigma_db.0),
        tenths(sigma.shadowing_db.0),
        tenths(sigma.spot_sigma_db.0)
    )
}

fn paths(budget: &HopBudget, lengths: Lengths, width: Option<u16>) -> String {
    let rows = budget.paths.iter().map(|path| {
        [
            format!("{:.0} %", rounded(path.share) * 100.0),
            path.label.clone(),
            lengths.run(path.length_m.0).to_string(),
            tenths(path.loss_db.0),
        ]
    });
    table(width, "share|path|length|loss dB", &[0, 2, 3], rows)
}

/// The paths that are not listed, in a line.
fn others(budget: &HopBudget, text: &mut String) {
    let rest = budget.rest;
    if rest.count > 0 {
        let _ = writeln!(
            text,
            "{} more {} {:.1} % of the power.",
            rest.count,
            if rest.count == 1 { "path brings" } else { "paths together bring" },
            rounded(rest.share) * 100.0
        );
    }
    if rest.scattered_share >= LEAST_SHARE {
        let _ = writeln!(
            text,
            "{:.0} % of the power is scattered or reflected many times, and fades more as people \
             move.",
            rounded(rest.scattered_share) * 100.0
        );
    }
}

fn help(report: &ExplainReport<'_>, width: Option<u16>, text: &mut String) {
    let (remedies, words) = (&report.told.remedies, Words::default());
    let is_sound = report.told.result.finding == Finding::Sound;
    let (shown, more) = shown(report);
    text.push_str(match (is_sound, shown.is_empty()) {
        (true, true) => "\nNothing needs to be done.\n",
        (true, false) => "\nNothing needs to be done. These would add to the reserve:\n",
        (false, true) => {
            "\nNo change at this device or the panel helps. Try `drillonce repeaters` and \
             `drillonce place`.\n"
        }
        (false, false) => "\nWhat can be done, the least work first:\n",
    });
    if !shown.is_empty() {
        let heads = "what can be done|fault/year|finding|reserve dB|gain dB|± dB:1";
        let rows = shown.iter().map(|remedy| {
            let unsure = if remedy.uncertain { " ?" } else { "" };
            [
                remedy_words(report, &words, &remedy.action),
                Chance(remedy.fault_per_year).to_string(),
                remedy.finding.mark(),
                tenths(remedy.margin_db.0),
                format!("{}{unsure}", signed(remedy.gain_db.0)),
                tenths(remedy.gain_sigma_db.0),
            ]
        });
        let lines = table(width, heads, &[1, 3, 4, 5], rows);
        let _ = writeln!(text, "\n{lines}");
        if !is_sound {
            let _ = writeln!(text, "\n{}", advice(report, &words, &shown));
        }
        if shown.iter().any(|remedy| remedy.uncertain) {
            text.push_str(
                "? The gain is uncertain: it is smaller than its spread (±), or the move is too \
                 short to get out of a null.\n",
            );
        }
    }
    let moves = |remedy: &&Remedy| {
        matches!(remedy.action, Action::MoveDevice { .. } | Action::Raise { .. })
    };
    let sort = report.told.result.device.device.as_deref();
    if sort == Some("contact") && shown.iter().any(moves) {
        text.push_str("A contact stays beside its magnet: move both.\n");
    }
    if more > 0 {
        let _ = writeln!(
            text,
            "{} would also do (--format json lists \
                                them).",
            counted(more, "more outlet")
        );
    }
    if is_sound {
        return;
    }
    let vain: Vec<String> = remedies.vain.iter().filter_map(vain_words).collect();
    if !vain.is_empty() {
        let _ = writeln!(text, "No help: {}.", vain.join("; "));
    }
    let limits = remedies.list.iter().filter(|remedy| {
        matches!(remedy.action, Action::TakeAway { upper_bound: true, .. })
            && remedy.gain_db.0 >= WORTH_DOING.0
    });
    if let Some(limit) = limits.max_by(|a, b| a.gain_db.0.total_cmp(&b.gain_db.0))
        && let Action::TakeAway { feature, construction, .. } = &limit.action
    {
        let then = margin_words(&words, limit.margin_db.0);
        let _ = writeln!(text, "Limit: if {feature} ({construction}) were removed, {then}.");
    }
}

/// How far to move out of a null.
fn null(report: &ExplainReport<'_>, text: &mut String) {
    let null = report.null();
    let lengths = report.lengths();
    let [wavelength, leaves, standing] =
        [null.wavelength_m, null.leave_null_m, null.standing_wave_m]
            .map(|length| lengths.tape(length.0));
    let _ = writeln!(
        text,
        "\nNo plan shows a null, a small spot with little signal. At {} MHz (wavelength \
         {wavelength}) a move of {leaves} gets out of it; in front of a reflecting wall the best \
         spot is {standing} from the worst.",
        rounded(report.told.result.link.frequency.mhz())
    );
}

/// What does not help, or could not be tried; `None` where that is nothing to an installer.
fn vain_words(vain: &NoHelp) -> Option<String> {
    let (what, thing) = match vain.action {
        "move" => ("moving it", "place"),
        "raise" => ("raising or lowering it", "place"),
        "move-panel" => ("moving the panel along its wall", "place"),
        "open" => ("a change to what is in the way", "change"),
        "repeater" => ("a repeater at an outlet", "place"),
        "wired-reed" => ("a wired reed switch", "place"),
        "turn" => ("turning its aerial", "change"),
        other => (other, "change"),
    };
    match vain.why {
        Some(_) if matches!(vain.action, "mount" | "turn" | "wired-reed") => None,
        Some(why) => Some(format!("{what} (not tried: {why})")),
        None => Some(format!("{what} ({} tried)", counted(vain.tried, thing))),
    }
}
