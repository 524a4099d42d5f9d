//! One device's link as text for the terminal.

use std::fmt::Write as _;

use comfy_table::{CellAlignment, Table};

use super::explain::{ExplainReport, HopRow, LedgerRow, RemedyDetail, RemedyRow};
use super::explain_words::{remedy_words, vain_words};
use super::table::{chance_words, finding_mark, margin_words, plain_table, trimmed};
use forecast::{Direction, Finding};

/// Most repeaters in the table; all are in the JSON.
const MOST_REPEATERS: usize = 3;

/// The text: the ledger, the paths, what would help, the doubts and the cautions. `width` is the
/// terminal's, if it is one.
#[must_use]
pub fn explain_table(report: &ExplainReport, width: Option<u16>) -> String {
    let mut text = String::new();
    let device = &report.sensor;
    let number = device.number.map(|n| format!("{n}, ")).unwrap_or_default();
    let room = device.room.as_ref();
    let room = room.map(|room| format!(" in {room}")).unwrap_or_default();
    let [x, y, z] = device.position_m;
    let _ = writeln!(
        text,
        "{}: {} ({number}{}){room} at x {x:.2} m, y {y:.2} m, height {z:.2} m, link {} at {} MHz",
        report.plan, device.name, device.id, device.link, device.frequency_mhz
    );
    let over = match (&device.via, report.onward_fault_per_year) {
        (Some(via), Some(onward)) => format!(
            "over {via}, whose own way to the panel fails with a chance of {} a year",
            chance_words(onward)
        ),
        _ => format!("straight to panel \"{}\"", report.panel.id),
    };
    let _ = writeln!(
        text,
        "{}: {}, chance of a fault in a year {}. It goes {over}.",
        finding_mark(device.finding),
        margin_words(device.margin_db),
        chance_words(device.fault_per_year)
    );
    let ends = [
        format!("level received, {:.1} dBm", device.received_dbm),
        format!("margin; nine in ten such devices have more than {:.1} dB", device.margin_p10_db),
    ];
    let lines =
        ledger(&report.hop, device.direction, device.distance_m, device.margin_db, ends, width);
    let _ = writeln!(text, "\n{}\n{}", trimmed(&lines.to_string()), spread(&report.hop));
    let _ = writeln!(text, "\n{}", trimmed(&paths(&report.hop, width).to_string()));
    others(&report.hop, &mut text);
    if let Some(row) = &report.to_panel {
        let _ = writeln!(text, "\nStraight to the panel, {:.1} m, it would have:", row.distance_m);
        let ends = [
            format!("level received, {:.1} dBm", row.received_dbm),
            format!("margin; chance of a fault in a year {}", chance_words(row.fault_per_year)),
        ];
        let lines = ledger(&row.hop, row.direction, row.distance_m, row.margin_db, ends, width);
        let _ = writeln!(text, "\n{}", trimmed(&lines.to_string()));
    }
    help(report, width, &mut text);
    null(report, &mut text);
    text.push('\n');
    for warning in &report.warnings {
        let _ = writeln!(text, "note: {warning}");
    }
    for caution in &report.cautions {
        let _ = writeln!(text, "{caution}");
    }
    text
}

/// The ledger of a hop with its two sums.
fn ledger(
    hop: &HopRow,
    direction: Direction,
    distance_m: f64,
    margin_db: f64,
    [received, margin]: [String; 2],
    width: Option<u16>,
) -> Table {
    let mut table = plain_table(width);
    table.set_header(["dB", "what", "angle", "slab", "excess"]);
    let mut sum = 0.0;
    for row in &hop.ledger {
        if row.line == "level-needed" {
            table.add_row(["", received.as_str()]);
        }
        sum += row.adds_db;
        let cell = |value: Option<f64>, unit: &str| {
            value.map(|value| format!("{value:.1}{unit}")).unwrap_or_default()
        };
        table.add_row([
            format!("{:+.1}", row.adds_db),
            line_words(row, hop, direction, distance_m),
            row.incidence_deg.map(|angle| format!("{angle:.0}°")).unwrap_or_default(),
            cell(row.slab_db, ""),
            cell(row.excess_db, ""),
        ]);
    }
    debug_assert!((sum - margin_db).abs() < 1e-2, "{sum} against {margin_db}");
    table.add_row([format!("{margin_db:+.1}"), margin]);
    for number in [0, 2, 3, 4] {
        if let Some(column) = table.column_mut(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

fn line_words(row: &LedgerRow, hop: &HopRow, direction: Direction, distance_m: f64) -> String {
    match row.line {
        // Of a two-way device the ledger is that of the worse direction.
        "eirp" => match direction {
            Direction::Inbound => "EIRP, dBm".to_owned(),
            Direction::Outbound => format!("EIRP of {} towards it, dBm", hop.listener),
        },
        "free-space" => format!("free space over {distance_m:.1} m"),
        "crossing" => format!(
            "{} ({})",
            row.feature.as_deref().unwrap_or_default(),
            row.construction.as_deref().unwrap_or_default()
        ),
        "round-edges" => "round edges and through openings".to_owned(),
        "other-paths" => "reflected paths".to_owned(),
        "antenna-gain" => "antenna of the panel".to_owned(),
        "mount" => "mount".to_owned(),
        "body" => "body".to_owned(),
        "site-offset" => "site offset: antennas, mounting, clutter".to_owned(),
        "calibrated-loss" => "what readings told of this device".to_owned(),
        _ => match (hop.needed_by.noise_floor_dbm, hop.needed_by.snr_needed_db) {
            (Some(floor), Some(snr)) => {
                format!("level needed, less: noise floor {floor:.1} dBm and {snr:.1} dB above it")
            }
            _ => "level needed, less: the receiver's sensitivity".to_owned(),
        },
    }
}

/// What the static spread consists of.
fn spread(hop: &HopRow) -> String {
    let sigma = &hop.sigma;
    let walls = if sigma.walls_db > 0.05 {
        format!(", of which the walls crossed {:.1} dB", sigma.walls_db)
    } else {
        String::new()
    };
    format!(
        "Static spread {:.1} dB: shadowing {:.1} dB{walls}, and the luck of the spot {:.1} dB.",
        sigma.sigma_db, sigma.shadowing_db, sigma.spot_sigma_db
    )
}

fn paths(hop: &HopRow, width: Option<u16>) -> Table {
    let mut table = plain_table(width);
    table.set_header(["share", "path", "m", "loss dB"]);
    for path in &hop.paths {
        table.add_row([
            format!("{:.0} %", path.share * 100.0),
            path.label.clone(),
            format!("{:.1}", path.length_m),
            format!("{:.1}", path.loss_db),
        ]);
    }
    for number in [0, 2, 3] {
        if let Some(column) = table.column_mut(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    table
}

/// The paths that are not listed, in a line.
fn others(hop: &HopRow, text: &mut String) {
    if hop.other_paths > 0 {
        let _ = writeln!(
            text,
            "{} more {} {:.1} % of the power.",
            hop.other_paths,
            if hop.other_paths == 1 { "path brings" } else { "paths bring together" },
            hop.other_share * 100.0
        );
    }
}

fn help(report: &ExplainReport, width: Option<u16>, text: &mut String) {
    let mut repeaters = 0;
    let shown = report.remedies.iter().filter(|row| {
        let is_repeater = matches!(row.detail, RemedyDetail::Repeater { .. });
        repeaters += usize::from(is_repeater);
        !is_repeater || repeaters <= MOST_REPEATERS
    });
    let mut table = plain_table(width);
    table.set_header(["fault/year", "finding", "gain dB", "± dB", "", "what would help"]);
    let mut any = false;
    for row in shown {
        any = true;
        table.add_row([
            chance_words(row.fault_per_year),
            finding_mark(row.finding).to_owned(),
            format!("{:+.1}", row.gain_db),
            format!("{:.1}", row.gain_sigma_db),
            if row.uncertain { "?" } else { "" }.to_owned(),
            remedy_words(row),
        ]);
    }
    for number in [0, 2, 3] {
        if let Some(column) = table.column_mut(number) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    if any && report.sensor.finding == Finding::Sound {
        let _ = writeln!(
            text,
            "\nIt needs no help. This is what would bring it more margin or a lower chance of a fault:"
        );
    }
    if any {
        let _ = writeln!(
            text,
            "\n{}\n? uncertain: the gain is smaller than the spread (±) of what it rests on, or the \
             move is too short to leave a null.",
            trimmed(&table.to_string())
        );
    } else {
        let _ = writeln!(text, "\nNothing that was tried would help.");
    }
    let moves = |row: &RemedyRow| {
        matches!(row.detail, RemedyDetail::Move { .. } | RemedyDetail::Raise { .. })
    };
    if report.device.as_deref() == Some("contact") && report.remedies.iter().any(moves) {
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
    let vain: Vec<String> = report.vain.iter().map(vain_words).collect();
    if !vain.is_empty() {
        let _ = writeln!(text, "No help: {}.", vain.join("; "));
    }
}

/// How far to move out of a null.
fn null(report: &ExplainReport, text: &mut String) {
    let null = &report.null;
    let _ = writeln!(
        text,
        "\nIf it sits in a null, which no plan shows: at {} MHz (wavelength {:.0} cm) a move of {:.0} cm \
         leaves it; before a wall that reflects, the best spot lies {:.0} cm from the worst.",
        report.sensor.frequency_mhz,
        null.wavelength_m * 100.0,
        null.leave_null_m * 100.0,
        null.standing_wave_m * 100.0
    );
}
