//! One device's link as text for the terminal.

use std::fmt::Write as _;

use super::ExplainReport;
use crate::json::{position, rounded};
use crate::table::{caution_lines, counted, fixed, margin_words, notes, table, tenths};
use explain::{Action, HopBudget, Item, LEAST_SHARE, Line, NoHelp, NoiseNeed, Remedy};
use forecast::{Direction, Finding};
use units::Chance;
use words::Words;

/// Most repeaters in the table; all are in the JSON.
const MOST_REPEATERS: usize = 3;

/// The text: the ledger, the paths, what would help, the doubts and the cautions. `width` is the
/// terminal's, if it is one.
#[must_use]
pub fn explain_table(report: &ExplainReport<'_>, width: Option<u16>) -> String {
    let mut text = String::new();
    let told = report.told;
    let (result, device) = (&told.result, &told.result.device);
    let number = device.number.map(|n| format!("{n}, ")).unwrap_or_default();
    let room = device.room.as_ref();
    let room = room.map(|room| format!(" in {room}")).unwrap_or_default();
    let [x, y, z] = position(device).map(|at| fixed(at, 2));
    let _ = writeln!(
        text,
        "{}: {} ({number}{}){room} at x {x} m, y {y} m, height {z} m, link {} at {} MHz",
        report.site.plan.name,
        device.name,
        device.id,
        result.link.name,
        rounded(result.link.frequency.mhz())
    );
    let over = match (&result.via, told.onward_fault_per_year) {
        (Some(via), Some(onward)) => format!(
            "over {via}, whose own way to the panel fails with a chance of {} a year",
            Chance(onward)
        ),
        _ => format!("straight to panel \"{}\"", report.site.panel.device.id),
    };
    let _ = writeln!(
        text,
        "{}: {}, chance of a fault in a year {}. It goes {over}.",
        result.finding.mark(),
        margin_words(result.hop.ledger.margin_db.0),
        Chance(result.fault_per_year)
    );
    let p10 = tenths(result.hop.margin_p10.0);
    let margin = format!("margin; nine in ten such devices have more than {p10} dB");
    let lines = ledger(&told.budget, margin, width);
    let _ = writeln!(text, "\n{lines}\n{}", spread(&told.budget));
    let _ = writeln!(text, "\n{}", paths(&told.budget, width));
    others(&told.budget, &mut text);
    if let Some(budget) = &told.to_panel {
        let distance = tenths(budget.hop.distance.0);
        let _ = writeln!(text, "\nStraight to the panel, {distance} m, it would have:");
        let chance = Chance(budget.hop.fault_per_year);
        let margin = format!("margin; chance of a fault in a year {chance}");
        let _ = writeln!(text, "\n{}", ledger(budget, margin, width));
    }
    help(report, width, &mut text);
    null(report, &mut text);
    text.push('\n');
    notes(&report.warnings, &mut text);
    caution_lines(&Words::default(), &mut text);
    text
}

/// The ledger of a hop with its two sums, the last of which is named `margin`.
fn ledger(budget: &HopBudget, margin: String, width: Option<u16>) -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    for line in &budget.lines {
        if line.item == Item::LevelNeeded {
            let received = tenths(budget.hop.ledger.received_dbm.0);
            rows.push(vec![String::new(), format!("level received, {received} dBm")]);
        }
        rows.push(vec![signed(line.adds.0), line_words(line, budget)]);
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
    table(width, "dB|what|angle|slab|excess", &[0, 2, 3, 4], rows)
}

/// Decibels with their sign.
fn signed(value: f64) -> String {
    format!("{:+.1}", rounded(value))
}

fn line_words(line: &Line, budget: &HopBudget) -> String {
    if let Some(crossing) = &line.crossing {
        return format!("{} ({})", crossing.feature, crossing.construction);
    }
    match line.item {
        // Of a two-way device the ledger is that of the worse direction.
        Item::Eirp => match budget.hop.ledger.direction {
            Direction::Inbound => "EIRP, dBm".to_owned(),
            Direction::Outbound => format!("EIRP of {} towards it, dBm", budget.listener),
        },
        Item::FreeSpace => format!("free space over {} m", tenths(budget.hop.distance.0)),
        Item::Crossing => String::new(),
        Item::RoundEdges => "round edges and joints, through openings".to_owned(),
        Item::OtherPaths => "reflected paths".to_owned(),
        Item::NearReflections => "in step with floor, ceiling and near walls".to_owned(),
        Item::Scattered => "scattered, by other ways".to_owned(),
        Item::AntennaGain => "antenna of the panel".to_owned(),
        Item::Mount => "mount".to_owned(),
        Item::Body => "body".to_owned(),
        Item::SiteOffset => "site offset: antennas, mounting, clutter".to_owned(),
        Item::CalibratedLoss => "what readings told of this device".to_owned(),
        Item::LevelNeeded => match budget.needed_by {
            Some(NoiseNeed { floor, snr }) => format!(
                "level needed, less: noise floor {} dBm and {} dB above it",
                tenths(floor.0),
                tenths(snr.0)
            ),
            None => "level needed, less: the receiver's sensitivity".to_owned(),
        },
    }
}

/// What the static spread consists of.
fn spread(budget: &HopBudget) -> String {
    let sigma = &budget.sigma;
    let walls = if rounded(sigma.walls_db.0) > 0.05 {
        format!(", of which the walls crossed {} dB", tenths(sigma.walls_db.0))
    } else {
        String::new()
    };
    format!(
        "Static spread {} dB: shadowing {} dB{walls}, and the luck of the spot {} dB.",
        tenths(sigma.sigma_db.0),
        tenths(sigma.shadowing_db.0),
        tenths(sigma.spot_sigma_db.0)
    )
}

fn paths(budget: &HopBudget, width: Option<u16>) -> String {
    let rows = budget.paths.iter().map(|path| {
        [
            format!("{:.0} %", rounded(path.share) * 100.0),
            path.label.clone(),
            tenths(path.length_m.0),
            tenths(path.loss_db.0),
        ]
    });
    table(width, "share|path|m|loss dB", &[0, 2, 3], rows)
}

/// The paths that are not listed, in a line.
fn others(budget: &HopBudget, text: &mut String) {
    let rest = budget.rest;
    if rest.count > 0 {
        let _ = writeln!(
            text,
            "{} more {} {:.1} % of the power.",
            rest.count,
            if rest.count == 1 { "path brings" } else { "paths bring together" },
            rounded(rest.share) * 100.0
        );
    }
    if rest.scattered_share >= LEAST_SHARE {
        let _ = writeln!(
            text,
            "{:.0} % of the power is scattered and comes by ways that are not followed.",
            rounded(rest.scattered_share) * 100.0
        );
    }
}

fn help(report: &ExplainReport<'_>, width: Option<u16>, text: &mut String) {
    let remedies = &report.told.remedies;
    let mut repeaters = 0;
    let shown: Vec<&Remedy> = remedies
        .list
        .iter()
        .filter(|remedy| {
            let is_repeater = matches!(remedy.action, Action::Repeater { .. });
            repeaters += usize::from(is_repeater);
            !is_repeater || repeaters <= MOST_REPEATERS
        })
        .collect();
    if !shown.is_empty() && report.told.result.finding == Finding::Sound {
        let _ = writeln!(
            text,
            "\nIt needs no help. This is what would bring it more margin or a lower chance of a fault:"
        );
    }
    if shown.is_empty() {
        let _ = writeln!(text, "\nNothing that was tried would help.");
    } else {
        let heads = "fault/year|finding|gain dB|± dB||what would help";
        let rows = shown.iter().map(|remedy| {
            [
                Chance(remedy.fault_per_year).to_string(),
                remedy.finding.mark(),
                signed(remedy.gain_db.0),
                tenths(remedy.gain_sigma_db.0),
                if remedy.uncertain { "?" } else { "" }.to_owned(),
                remedy_words(&remedy.action),
            ]
        });
        let _ = writeln!(
            text,
            "\n{}\n? uncertain: the gain is smaller than the spread (±) of what it rests on, or the \
             move is too short to leave a null.",
            table(width, heads, &[0, 2, 3], rows)
        );
    }
    let moves =
        |remedy: &Remedy| matches!(remedy.action, Action::MoveDevice { .. } | Action::Raise { .. });
    let sort = report.told.result.device.device.as_deref();
    if sort == Some("contact") && remedies.list.iter().any(moves) {
        let _ = writeln!(
            text,
            "A contact has to stay beside its magnet: where it moves, the magnet moves, too."
        );
    }
    if repeaters > MOST_REPEATERS {
        let _ = writeln!(
            text,
            "{} more outlets would do; --format json lists them all.",
            repeaters - MOST_REPEATERS
        );
    }
    let vain: Vec<String> = remedies.vain.iter().map(vain_words).collect();
    if !vain.is_empty() {
        let _ = writeln!(text, "No help: {}.", vain.join("; "));
    }
}

/// How far to move out of a null.
fn null(report: &ExplainReport<'_>, text: &mut String) {
    let null = report.null();
    let [wavelength, leaves, standing] =
        [null.wavelength_m, null.leave_null_m, null.standing_wave_m]
            .map(|length| format!("{:.0} cm", rounded(length.0) * 100.0));
    let _ = writeln!(
        text,
        "\nIf it sits in a null, which no plan shows: at {} MHz (wavelength {wavelength}) a move of \
         {leaves} leaves it; before a wall that reflects, the best spot lies {standing} from the worst.",
        rounded(report.told.result.link.frequency.mhz())
    );
}

fn remedy_words(action: &Action) -> String {
    let metres = |value: f64| fixed(value, 2);
    match action {
        Action::MoveDevice { by_m, along_wall: Some(side), on_plan, .. } => {
            let (by, side) = (metres(by_m.0), side.word());
            format!("move it {by} m to the {side} along its wall ({on_plan} on the plan)")
        }
        Action::MoveDevice { by_m, on_plan, .. } => {
            format!("move it {} m, {on_plan} on the plan", metres(by_m.0))
        }
        Action::Raise { by_m, height_m } => {
            let verb = if rounded(by_m.0) < 0.0 { "lower" } else { "raise" };
            let (by, height) = (metres(by_m.0.abs()), metres(height_m.0));
            format!("{verb} it by {by} m, to {height} m above the floor")
        }
        Action::MovePanel { to_m: [x, y], by_m, along_wall, not_sound_now, not_sound_then } => {
            format!(
                "move the panel {} m to the {} along its wall, to x {} m, y {} m; devices not \
                 sound: {not_sound_now} now, {not_sound_then} then",
                metres(by_m.0),
                along_wall.word(),
                metres(*x),
                metres(*y)
            )
        }
        Action::Open { feature, construction } => {
            format!("open {feature} ({construction}); lasts while it stands open")
        }
        Action::Replace { feature, construction, by } => {
            format!("{feature} of {by} in place of {construction}")
        }
        Action::TakeAway { feature, construction, upper_bound: false } => {
            format!("move {feature} ({construction}) out of the way")
        }
        Action::TakeAway { feature, construction, .. } => {
            format!("upper bound: no {feature} ({construction}) where the path crosses it")
        }
        Action::Repeater { outlet, onward_margin_db, .. } => {
            format!("a repeater at {outlet}, itself {}", margin_words(onward_margin_db.0))
        }
        Action::Remount { from, to } => {
            let how = if from == "metal" { "clear of the metal" } else { "on the face" };
            format!("mount it {how} (\"{to}\" in place of \"{from}\")")
        }
    }
}

/// What does not help, or could not be tried.
fn vain_words(vain: &NoHelp) -> String {
    let (what, thing) = match vain.action {
        "move" => ("moving it", "place"),
        "raise" => ("raising or lowering it", "place"),
        "move-panel" => ("moving the panel along its wall", "place"),
        "open" => ("opening, replacing or taking away what is in the way", "change"),
        "repeater" => ("a repeater at an outlet", "place"),
        "mount" => ("another mount", "change"),
        other => (other, "place"),
    };
    match vain.why {
        Some(why) => format!("{what} (not tried: {why})"),
        None => format!("{what} ({} tried)", counted(vain.tried, thing)),
    }
}
