//! The hand-over as a document for people.

use std::collections::BTreeSet;

use super::words::{self, term};
use super::{BatteryFigures, HandoverReport, mounting, programming, up};
use crate::blocks::{cell, columns, dash, heading, note, number, paragraph, table};
use crate::json::rounded;
use crate::table::{cautions, fixed, tenths};
use diagnose::readings::Column;
use document::{Block, Cell, Document, Form};
use forecast::{DeviceResult, Finding};
use job::pricing::Image;
use job::schedule::TestRow;

/// The document of a hand-over: plan, order of work, mounting, programming, delays, battery, and
/// the test sheet on a page of its own. The pictures show a level each.
#[must_use]
pub fn handover_document(report: &HandoverReport, pictures: &[(i32, Image)]) -> Document {
    let words = &report.words;
    let mut blocks = vec![
        heading(1, words.handover_title()),
        Block::Facts(facts(report)),
        Block::Notice { title: words.handover_caution(), lines: cautions(words).to_vec() },
    ];
    // Faults of a file, in English and with lines and columns, are not for this sheet.
    let of_plan = match report.doubts.len() {
        0 => None,
        1 => Some(words.concern_plan_one()),
        many => Some(words.concern_plan_many(&many.to_string())),
    };
    let doubts: Vec<String> = of_plan.into_iter().chain(report.warnings.clone()).collect();
    if !doubts.is_empty() {
        blocks.push(heading(2, words.handover_doubts()));
        blocks.push(Block::List(doubts));
    }
    blocks.extend(programming::order(report));
    blocks.extend(programming::take_over(report));
    blocks.extend(mounting::plan(report, pictures));
    blocks.extend(mounting::sheet(report));
    blocks.extend(programming::zones(report));
    blocks.push(heading(2, words.delay_title()));
    blocks.extend(delays(report));
    if let Some(row) = &report.battery {
        blocks.push(heading(2, words.battery_title()));
        blocks.push(Block::Facts(battery(report, row)));
        blocks.push(note(words.battery_text()));
        blocks.push(heading(3, words.codes_title()));
        blocks.push(requirement_table(report));
        blocks.push(note(words.codes_text()));
    }
    blocks.extend(programming::people(report));
    // Last, so that a page never holds nothing but a note.
    blocks.extend(programming::every_device(report));
    if !report.portables.is_empty() {
        blocks.push(heading(3, words.handover_portables()));
        blocks.push(portable_table(report));
    }
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
    let state =
        |finding| report.results().filter(|result| result.finding == finding).count().to_string();
    let place = report.spot(panel).map_or_else(|| report.level(panel), |spot| spot.place.clone());
    let frequency = words.plain(model.frequency_mhz);
    vec![
        (words.quote_site(), report.plan.name.clone()),
        (words.quote_date(), report.date.clone()),
        (words.handover_panel(), format!("{}: {place}", panel.name)),
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

fn portable_table(report: &HandoverReport) -> Block {
    let words = &report.words;
    let layout = "l2.5 l1.1 l0.7 r1.0 l1.8";
    let rows = report.portables.iter().map(|result| {
        [
            cell(&result.roam.name),
            cell(&result.link.name),
            cell(words::yes_no(words, result.roam.worn)),
            cell(format!("{:.0} %", result.percent())),
            Cell::Blank,
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
            cell(report.entries.get(&entry.walk.entry).unwrap_or(&entry.walk.entry)),
            cell(words.length(report.plan.lengths().tape(entry.walk.length_m))),
            cell(fixed(entry.walk.time_s, 0)),
            cell(fixed(entry.delay.needed_s, 0)),
            cell(fixed(entry.delay.proposed_s, 0)),
        ]
    });
    let limits = &delays.limits.limits;
    let set = |name: String, delay: Option<f64>, [least, most]: [u32; 2]| {
        let delay = delay.map_or_else(|| "–".to_owned(), words::seconds);
        let (least, most) = (least.to_string(), most.to_string());
        (name, words.delay_limits(&delay, &least, &most))
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
    let layout = "l1.7 l3.2 r0.9 r0.9 r0.7 r0.9";
    let rows = report.requirements.iter().map(|(required, needed_ah)| {
        [
            cell(required.document),
            cell(term(words, "code", required.code)),
            cell(words.plain(required.standby_h)),
            dash(required.alarm_min.map(|minutes| words.plain(minutes))),
            dash(required.factor.map(|factor| words.plain(format!("{factor:.2}")))),
            dash(needed_ah.map(|ah| up(words, ah))),
        ]
    });
    table(columns(&words.codes_heads(), layout), rows)
}

/// A device's name and, where a repeater hears it, that its reading is taken there.
fn read_at(report: &HandoverReport, result: &DeviceResult) -> String {
    let name = &result.device.name;
    let Some(via) = &result.via else { return name.clone() };
    let repeater = report.plan.devices.iter().find(|device| device.id == *via);
    report.words.test_read_at(name, repeater.map_or(via, |repeater| &repeater.name))
}

/// What was tried at a device, or a box to tick.
fn tried(report: &HandoverReport, row: &TestRow, column: Column) -> Cell {
    let is = report.entry(row).and_then(|entry| entry.is(column));
    is.map_or(Cell::Tick, |is| cell(words::yes_no(&report.words, is)))
}

fn tests(report: &HandoverReport) -> Vec<Block> {
    let words = &report.words;
    // What was read needs more room than a figure by hand.
    let layout = match report.sheet.is_empty() {
        true => "r0.5 l2.6 c0.7 c0.9 c0.9 r1.6 r1.0 r1.7 l1.0",
        false => "r0.5 l2.2 c0.7 c0.9 c0.9 r1.5 r1.0 r1.5 l1.7",
    };
    let rows = report.tests.iter().map(|row| {
        let result = &row.result;
        [
            number(result.device.number),
            cell(read_at(report, result)),
            tried(report, row, Column::Trips),
            tried(report, row, Column::Restores),
            tried(report, row, Column::Tamper),
            match (result.finding, words.chance(result.fault_per_year).replace(' ', "\u{a0}")) {
                (Finding::Sound, chance) => cell(chance),
                (_, chance) => Cell::Strong(chance),
            },
            cell(words::decibels(row.expected.level.0)),
            Cell::Strong(words::pass(report, row)),
            report.entry(row).map_or(Cell::Blank, |entry| cell(words::entry(words, entry))),
        ]
    });
    let steps: BTreeSet<_> = report.tests.iter().map(|row| row.step).collect();
    let steps = steps.into_iter().map(|step| {
        let (tried, seen) = words::step_words(words, step);
        [cell(tried), cell(seen)]
    });
    vec![
        heading(2, words.test_title()),
        paragraph(words.test_text()),
        table(columns(&words.test_heads(), layout), rows),
        heading(3, words.test_sign()),
        Block::Form(Form::Signatures(vec![
            words.test_sign_installer(),
            words.test_sign_customer(),
        ])),
        // After the signatures, which would otherwise stand alone on a page at times.
        heading(3, words.test_steps()),
        table(columns(&words.test_step_heads(), "l1.6 l6.4"), steps),
    ]
}
