//! What is done in which order, and what is programmed.

use super::HandoverReport;
use super::words::{self, term};
use crate::blocks::{cell, columns, dash, heading, note, number, paragraph, table};
use document::{Block, Cell, Form};

/// The steps of the day, each with a box to tick.
pub(super) fn order(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    let steps = (1..).map_while(|step| words.term("order", &step.to_string()));
    let rows = steps.map(|step| [Cell::Tick, cell(step)]);
    let columns = columns(&words.handover_order_heads(), "c0.5 l8.0");
    vec![heading(2, words.handover_order()), table(columns, rows)]
}

/// What a factory default wipes, what may stay, and every device with a box to tick when it is
/// enrolled again.
pub(super) fn take_over(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    let Some(all) = report.taken_over() else { return Vec::new() };
    let before = ["model", "account", "zones", "users", "outputs", "code"];
    let before = before.iter().filter_map(|what| words.term("takeover", what));
    let rows = all.iter().map(|one| {
        let stays = match one.kept {
            None => Cell::Tick,
            Some(true) => cell(words.takeover_kept()),
            Some(false) => cell(words.takeover_new()),
        };
        [number(one.number), cell(&one.name), stays, Cell::Tick]
    });
    let mut blocks = vec![
        heading(2, words.takeover_title()),
        paragraph(words.takeover_wipes()),
        paragraph(words.takeover_keep()),
        heading(3, words.takeover_note()),
    ];
    blocks.extend(before.map(|label| Block::Form(Form::Lines { label, count: 1 })));
    blocks.push(heading(3, words.takeover_devices()));
    blocks.push(table(columns(&words.takeover_heads(), "r0.5 l4.0 c1.5 c1.5"), rows));
    blocks
}

/// The zones, with what the panel does when each trips.
pub(super) fn zones(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    let layout = "r0.5 l2.2 l1.8 l1.1 l1.5 l1.2 r1.1";
    let rows = report.zones.iter().map(|zone| {
        let device = &zone.result.device;
        let role = zone.role.map(|role| {
            let mark = if zone.role_is_proposed { " ?" } else { "" };
            format!("{}{mark}", term(words, "zone", role))
        });
        [
            number(device.number),
            cell(&device.name),
            dash(role),
            dash(zone.response.map(|response| term(words, "response", response))),
            dash(zone.active.map(|active| term(words, "active", active))),
            cell(words::yes_no(words, device.supervised)),
            dash(zone.entry_delay_s.map(words::seconds)),
        ]
    });
    let zones = table(columns(&words.handover_zone_heads(), layout), rows);
    let mut blocks = vec![heading(2, words.handover_zones()), zones];
    blocks.extend(words::numbers(report).into_iter().map(note));
    blocks.push(note(words.handover_zones_text()));
    blocks
}

/// Every device with the boxes that are filled in while it is enrolled.
pub(super) fn every_device(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    let layout = "r0.5 l2.2 l1.7 l1.2 l1.2 c0.9 l1.2";
    let rows = report.results().map(|result| {
        let device = &result.device;
        [
            number(device.number),
            cell(&device.name),
            device.serial.as_ref().map_or(Cell::Blank, cell),
            Cell::Blank,
            Cell::Blank,
            Cell::Tick,
            Cell::Blank,
        ]
    });
    let columns = columns(&words.handover_program_heads(), layout);
    vec![heading(2, words.handover_program()), table(columns, rows)]
}

/// Who may do what; never a code.
pub(super) fn people(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    let who = ["installer", "owner", "user", "user", "user", "duress"];
    let text = |group, who| words.term(group, who).unwrap_or_default();
    let rows = who.map(|who| {
        [cell(text("who", who)), cell(text("may", who)), Cell::Blank, Cell::Blank, Cell::Tick]
    });
    let columns = columns(&words.handover_people_heads(), "l1.1 l3.6 l2.2 l1.0 c0.9");
    vec![
        heading(2, words.handover_people()),
        table(columns, rows),
        note(words.handover_people_text()),
    ]
}
