//! The hand-over as a document for people.

use std::collections::BTreeSet;

use super::words::{self, term};
use super::{BatteryFigures, HandoverReport, up};
use crate::blocks::{cell, columns, heading, note, paragraph, table};
use crate::json::{position, rounded};
use crate::table::{cautions, fixed, tenths};
use document::{Block, Cell, Document, Form};
use forecast::{DeviceResult, Finding};

/// The document of a hand-over: schedule, delays, battery, and the test sheet on a page of its own.
#[must_use]
pub fn handover_document(report: &HandoverReport) -> Document {
    let words = &report.words;
    let notice = |title, lines: &[String]| Block::Notice { title, lines: lines.to_vec() };
    let mut blocks = vec![
        heading(1, words.handover_title()),
        Block::Facts(facts(report)),
        notice(words.handover_remember(), &words::reminders(words)),
        notice(words.handover_caution(), &cautions(words)),
    ];
    if !report.warnings.is_empty() {
        blocks.push(heading(2, words.handover_doubts()));
        blocks.push(Block::List(report.warnings.clone()));
    }
    blocks.push(heading(2, words.handover_zones()));
    blocks.push(zone_table(report));
    blocks.extend(words::numbers(report).into_iter().map(note));
    blocks.push(note(words.handover_zones_text()));
    blocks.push(heading(2, words.handover_heard()));
    blocks.push(heard_table(report));
    if !report.others.is_empty() {
        blocks.push(heading(2, words.handover_others()));
        blocks.push(other_table(report));
    }
    if !report.portables.is_empty() {
        blocks.push(heading(2, words.handover_portables()));
        blocks.push(portable_table(report));
    }
    blocks.push(heading(2, words.delay_title()));
    blocks.extend(delays(report));
    blocks.push(heading(2, words.battery_title()));
    match &report.battery {
        Some(row) => {
            blocks.push(Block::Facts(battery(report, row)));
            blocks.push(note(words.battery_text()));
        }
        None => blocks.push(paragraph(words.battery_none())),
    }
    blocks.push(heading(3, words.codes_title()));
    blocks.push(requirement_table(report));
    blocks.push(note(words.codes_text()));
    blocks.push(Block::PageBreak);
    blocks.extend(tests(report));
    Document {
        title: format!("{}: {}", words.handover_title(), report.plan.name),
        language: words.language.tag().to_owned(),
        author: String::new(),
        date: report.date.clone(),
        footer: words.handover_footer(),
        page_of: words.page_of(),
        blocks,
    }
}

fn facts(report: &HandoverReport) -> Vec<(String, String)> {
    let (words, panel, model) = (&report.words, &report.panel, &report.model);
    let state = |finding| {
        let results = report.zones.iter().map(|zone| &zone.result).chain(&report.others);
        results.filter(|result| result.finding == finding).count().to_string()
    };
    let [x, y, _] = position(panel).map(|at| words.plain(fixed(at, 2)));
    let frequency = words.plain(model.frequency_mhz);
    vec![
        (words.quote_site(), report.plan.name.clone()),
        (words.quote_date(), report.date.clone()),
        (
            words.handover_panel(),
            words.handover_panel_at(&panel.name, &report.level(panel), &x, &y),
        ),
        (words.handover_link(), words.handover_link_at(&model.link, &frequency)),
        (words.handover_devices(), (report.zones.len() + report.others.len()).to_string()),
        (
            words.handover_state(),
            words.handover_state_counts(
                &state(Finding::Sound),
                &state(Finding::Thin),
                &state(Finding::Failing),
            ),
        ),
    ]
}

fn number(number: Option<u32>) -> Cell {
    number.map_or_else(|| cell("–"), |number| Cell::Strong(number.to_string()))
}

fn dash(text: Option<String>) -> Cell {
    cell(text.unwrap_or_else(|| "–".to_owned()))
}

/// Whole decibels with a minus sign.
fn decibels(value: f64) -> String {
    fixed(value, 0).replace('-', "\u{2212}")
}

fn zone_table(report: &HandoverReport) -> Block {
    let words = &report.words;
    let layout = "r0.5 l2.0 l1.9 l1.0 l1.4 l1.1 l1.1 l1.1 r0.9";
    let rows = report.zones.iter().map(|zone| {
        let device = &zone.result.device;
        let role = zone.role.map(|role| {
            let mark = if zone.role_is_proposed { " ?" } else { "" };
            format!("{}{mark}", term(words, "zone", role))
        });
        [
            number(device.number),
            cell(&device.name),
            cell(&zone.place),
            dash(device.device.clone()),
            dash(role),
            dash(zone.response.map(|response| term(words, "response", response))),
            cell(words::yes_no(words, device.supervised)),
            dash(zone.active.map(|active| term(words, "active", active))),
            dash(zone.entry_delay_s.map(words::seconds)),
        ]
    });
    table(columns(&words.handover_zone_heads(), layout), rows)
}

/// Link, margin, finding and way of a device.
fn heard_cells(report: &HandoverReport, result: &DeviceResult) -> [Cell; 4] {
    let words = &report.words;
    let finding = term(words, "finding", result.finding);
    [
        cell(&result.link.name),
        cell(words.plain(tenths(result.hop.ledger.margin_db.0))),
        match result.finding {
            Finding::Sound => cell(finding),
            _ => Cell::Strong(finding),
        },
        cell(result.via.as_ref().unwrap_or(&report.panel.id)),
    ]
}

fn heard_table(report: &HandoverReport) -> Block {
    let words = &report.words;
    let layout = "r0.5 l2.5 l1.2 r1.0 l1.0 l1.2";
    let rows = report.zones.iter().map(|zone| {
        let device = &zone.result.device;
        let cells = [number(device.number), cell(&device.name)];
        cells.into_iter().chain(heard_cells(report, &zone.result))
    });
    table(columns(&words.handover_heard_heads(), layout), rows)
}

fn other_table(report: &HandoverReport) -> Block {
    let words = &report.words;
    let layout = "r0.5 l1.9 l1.7 l1.0 l1.1 l1.1 r0.9 l0.9 l1.1";
    let rows = report.others.iter().map(|result| {
        let device = &result.device;
        let cells = [
            number(device.number),
            cell(&device.name),
            cell(report.plan.place_of(device)),
            cell(words.term("kind", device.kind.word()).unwrap_or_default()),
            cell(words::yes_no(words, device.supervised)),
        ];
        cells.into_iter().chain(heard_cells(report, result))
    });
    table(columns(&words.handover_other_heads(), layout), rows)
}

fn portable_table(report: &HandoverReport) -> Block {
    let words = &report.words;
    let layout = "l2.5 l1.0 l0.7 r1.0";
    let rows = report.portables.iter().map(|result| {
        [
            cell(&result.roam.name),
            cell(&result.link.name),
            cell(words::yes_no(words, result.roam.worn)),
            cell(format!("{:.0} %", result.percent())),
        ]
    });
    table(columns(&words.handover_portable_heads(), layout), rows)
}

fn delays(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    let delays = &report.delays;
    if delays.entries.is_empty() {
        return vec![paragraph(words.delay_no_walk())];
    }
    let layout = "l2.0 r1.0 r1.0 r1.0 r1.0";
    let rows = delays.entries.iter().map(|entry| {
        [
            cell(&entry.walk.entry),
            cell(words.plain(tenths(entry.walk.length_m))),
            cell(fixed(entry.walk.time_s, 0)),
            cell(fixed(entry.delay.needed_s, 0)),
            cell(fixed(entry.delay.proposed_s, 0)),
        ]
    });
    let limits = &delays.limits.limits;
    let set = |name: String, delay: Option<f64>, [least, most]: [u32; 2]| {
        let delay = delay.map_or_else(|| "–".to_owned(), words::seconds);
        let (least, most) = (least.to_string(), most.to_string());
        (name, words.delay_limits(&delay, &least, &most, &words.delay_source()))
    };
    vec![
        table(columns(&words.delay_heads(), layout), rows),
        Block::Facts(vec![
            set(words.delay_entry(), delays.entry_s, [limits.entry_least_s, limits.entry_most_s]),
            set(words.delay_exit(), delays.exit_s, [limits.exit_least_s, limits.exit_most_s]),
        ]),
        note(words.delay_text()),
    ]
}

fn battery(report: &HandoverReport, battery: &BatteryFigures) -> Vec<(String, String)> {
    let words = &report.words;
    let plain = |value: f64| words.plain(value);
    let input = &battery.input;
    let alarm_min = rounded(input.load.alarm_time.0 * 60.0);
    let mut facts = vec![
        (words.battery_standby_load(), format!("{} mA", plain(input.load.standby.0))),
        (
            words.battery_alarm_load(),
            words.battery_alarm_load_for(&plain(input.load.alarm.0), &plain(alarm_min)),
        ),
        (
            words.battery_conditions(),
            words.battery_conditions_at(&plain(input.temperature.0), &plain(input.age.0)),
        ),
        (words.battery_required(), words.battery_required_for(&plain(input.standby.0))),
        (words.battery_needed(), format!("{} Ah", up(words, battery.needed))),
    ];
    if let Some((rated, lasts)) = input.rated.zip(battery.lasts) {
        let usable = words.plain(tenths(lasts.usable.0));
        facts.push((words.battery_fitted(), words.battery_fitted_gives(&plain(rated.0), &usable)));
        // Rounded down: nobody is promised a minute too many.
        let hours = (rounded(lasts.standby.0) * 10.0).floor() / 10.0;
        let hours = words.plain(format!("{hours:.1}"));
        facts.push((words.battery_lasts(), words.battery_lasts_for(&hours)));
    }
    facts
}

fn requirement_table(report: &HandoverReport) -> Block {
    let words = &report.words;
    let layout = "l1.5 l2.2 r0.9 r0.7 r0.7 r0.9 l2.5";
    let rows = report.requirements.iter().map(|(required, needed_ah)| {
        [
            cell(required.document),
            cell(term(words, "code", required.code)),
            cell(words.plain(required.standby_h)),
            dash(required.alarm_min.map(|minutes| words.plain(minutes))),
            dash(required.factor.map(|factor| words.plain(format!("{factor:.2}")))),
            dash(needed_ah.map(|ah| up(words, ah))),
            cell(term(words, "source", required.code)),
        ]
    });
    table(columns(&words.codes_heads(), layout), rows)
}

fn tests(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    let layout = "r0.5 l2.1 l2.0 c0.6 c0.8 c0.7 l1.1 r0.9 r1.6 l1.3";
    let rows = report.tests.iter().map(|row| {
        let (result, expected) = (&row.result, &row.expected);
        let [level, low, high] =
            [expected.level, expected.low, expected.high].map(|level| decibels(level.0));
        [
            number(result.device.number),
            cell(&result.device.name),
            cell(report.plan.place_of(&result.device)),
            Cell::Tick,
            Cell::Tick,
            Cell::Tick,
            cell(result.via.as_ref().unwrap_or(&report.panel.id)),
            cell(level),
            cell(format!("{low}\u{a0}…\u{a0}{high}")),
            Cell::Blank,
        ]
    });
    let steps: BTreeSet<_> = report.tests.iter().map(|row| row.step).collect();
    let steps = steps.into_iter().map(|step| words::step(words, step));
    vec![
        heading(2, words.test_title()),
        paragraph(words.test_text()),
        table(columns(&words.test_heads(), layout), rows),
        note(words.test_read_back()),
        heading(3, words.test_steps()),
        Block::Facts(steps.collect()),
        Block::Form(Form::Lines { label: words.test_notes(), count: 2 }),
        heading(3, words.test_sign()),
        Block::Form(Form::Signatures(vec![
            words.test_sign_installer(),
            words.test_sign_customer(),
        ])),
    ]
}
