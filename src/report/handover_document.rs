//! The hand-over as a document for people.

use std::collections::BTreeSet;

use super::blocks::{heading, note, paragraph};
use super::handover::{BatteryRow, HandoverReport, HeardBy};
use super::handover_words::{self as words, sentences, titles};
use document::{Align, Block, Cell, Column, Document, Form, Row, RowKind};

/// The document of a hand-over: schedule, delays, battery, and the test sheet on a page of its own.
#[must_use]
pub fn handover_document(report: &HandoverReport) -> Document {
    let mut blocks = vec![heading(1, titles::HANDOVER), Block::Facts(facts(report))];
    blocks.push(Block::Notice {
        title: titles::REMEMBER.to_owned(),
        lines: owned(&report.reminders),
    });
    blocks
        .push(Block::Notice { title: titles::CAUTION.to_owned(), lines: owned(&report.cautions) });
    if !report.warnings.is_empty() {
        blocks.push(heading(2, titles::DOUBTS));
        blocks.push(Block::List(report.warnings.clone()));
    }
    blocks.push(heading(2, titles::ZONES));
    blocks.push(zone_table(report));
    let numbers =
        [words::numbered(report.numbered.len()), words::free_numbers(&report.free_numbers)];
    blocks.extend(numbers.into_iter().flatten().map(note));
    blocks.push(note(sentences::ZONES));
    blocks.push(heading(2, titles::HEARD));
    blocks.push(heard_table(report));
    if !report.others.is_empty() {
        blocks.push(heading(2, titles::OTHERS));
        blocks.push(other_table(report));
    }
    if !report.portables.is_empty() {
        blocks.push(heading(2, titles::PORTABLES));
        blocks.push(portable_table(report));
    }
    blocks.push(heading(2, titles::DELAYS));
    blocks.extend(delays(report));
    blocks.push(heading(2, titles::BATTERY));
    match &report.battery {
        Some(row) => {
            blocks.push(Block::Facts(battery(row)));
            blocks.push(note(sentences::BATTERY));
        }
        None => blocks.push(paragraph(sentences::NO_BATTERY)),
    }
    blocks.push(heading(3, titles::REQUIREMENTS));
    blocks.push(requirement_table(report));
    blocks.push(note(sentences::REQUIREMENTS));
    blocks.push(Block::PageBreak);
    blocks.extend(tests(report));
    Document {
        title: format!("{}: {}", titles::HANDOVER, report.plan),
        language: "en".to_owned(),
        author: String::new(),
        date: report.date.clone(),
        footer: sentences::FOOTER.to_owned(),
        page_of: sentences::PAGE_OF.to_owned(),
        blocks,
    }
}

fn owned(lines: &[&str]) -> Vec<String> {
    lines.iter().map(|line| (*line).to_owned()).collect()
}

fn facts(report: &HandoverReport) -> Vec<(String, String)> {
    let devices = report.zones.len() + report.others.len();
    let state = |word| {
        let findings = report.zones.iter().map(|zone| zone.heard.finding);
        let all = findings.chain(report.others.iter().map(|other| other.heard.finding));
        all.filter(|finding| finding.word() == word).count()
    };
    let [x, y, _] = report.panel.position_m;
    let link = &report.model;
    [
        (titles::SITE, report.plan.clone()),
        (titles::DATE, report.date.clone()),
        (
            titles::PANEL,
            format!("{}, {}: x {x:.2} m, y {y:.2} m", report.panel_name, report.panel_level),
        ),
        (titles::LINK, format!("{} at {} MHz", link.link, link.frequency_mhz)),
        (titles::DEVICES, devices.to_string()),
        (
            titles::STATE,
            format!(
                "{} sound, {} thin, {} failing",
                state("sound"),
                state("thin"),
                state("failing")
            ),
        ),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .to_vec()
}

/// A column: heading, where its cells stand, its share of the width.
type Head = (&'static str, Align, f64);

fn table(heads: &[Head], rows: Vec<Vec<Cell>>) -> Block {
    Block::Table {
        caption: None,
        columns: heads
            .iter()
            .map(|(title, align, share)| Column {
                title: (*title).to_owned(),
                align: *align,
                share: *share,
            })
            .collect(),
        rows: rows.into_iter().map(|cells| Row { kind: RowKind::Plain, cells }).collect(),
    }
}

fn cell(text: impl Into<String>) -> Cell {
    Cell::Text(text.into())
}

fn number(number: Option<u32>) -> Cell {
    number.map_or_else(|| cell("–"), |number| Cell::Strong(number.to_string()))
}

fn dash(text: Option<String>) -> Cell {
    cell(text.unwrap_or_else(|| "–".to_owned()))
}

/// A whole number of decibels, with a real minus.
fn decibels(value: f64) -> String {
    format!("{value:.0}").replace('-', "\u{2212}")
}

fn zone_table(report: &HandoverReport) -> Block {
    const HEADS: [Head; 9] = [
        (titles::NUMBER, Align::Right, 0.5),
        (titles::NAME, Align::Left, 2.0),
        (titles::ROOM, Align::Left, 1.9),
        (titles::DEVICE, Align::Left, 1.0),
        (titles::ROLE, Align::Left, 1.4),
        (titles::RESPONSE, Align::Left, 1.1),
        (titles::SUPERVISED, Align::Left, 1.1),
        (titles::ACTIVE, Align::Left, 1.1),
        (titles::ENTRY_DELAY, Align::Right, 0.9),
    ];
    let rows = report.zones.iter().map(|zone| {
        let role = zone.role.map(|role| {
            let mark = if zone.role_is_proposed { " ?" } else { "" };
            format!("{}{mark}", words::role(role))
        });
        vec![
            number(zone.number),
            cell(&zone.name),
            cell(&zone.place),
            dash(zone.device.clone()),
            dash(role),
            dash(zone.response.map(|r| words::response(r).to_owned())),
            cell(words::yes_no(zone.supervised)),
            dash(zone.active.map(|a| words::active(a).to_owned())),
            dash(zone.entry_delay_s.map(words::seconds)),
        ]
    });
    table(&HEADS, rows.collect())
}

/// Margin, finding and way of a device.
fn heard_cells(heard: &HeardBy, panel: &str) -> [Cell; 4] {
    let finding = words::finding(heard.finding);
    [
        cell(&heard.link),
        cell(format!("{:.1}", heard.margin_db)),
        match heard.finding {
            forecast::Finding::Sound => cell(finding),
            _ => Cell::Strong(finding.to_owned()),
        },
        cell(heard.via.as_deref().unwrap_or(panel)),
    ]
}

fn heard_table(report: &HandoverReport) -> Block {
    const HEADS: [Head; 6] = [
        (titles::NUMBER, Align::Right, 0.5),
        (titles::NAME, Align::Left, 2.5),
        (titles::LINK, Align::Left, 1.2),
        (titles::MARGIN, Align::Right, 1.0),
        (titles::FINDING, Align::Left, 1.0),
        (titles::VIA, Align::Left, 1.2),
    ];
    let rows = report.zones.iter().map(|zone| {
        let mut cells = vec![number(zone.number), cell(&zone.name)];
        cells.extend(heard_cells(&zone.heard, &report.panel.id));
        cells
    });
    table(&HEADS, rows.collect())
}

fn other_table(report: &HandoverReport) -> Block {
    const HEADS: [Head; 9] = [
        (titles::NUMBER, Align::Right, 0.5),
        (titles::NAME, Align::Left, 1.9),
        (titles::ROOM, Align::Left, 1.7),
        (titles::KIND, Align::Left, 1.0),
        (titles::SUPERVISED, Align::Left, 1.1),
        (titles::LINK, Align::Left, 1.1),
        (titles::MARGIN, Align::Right, 0.9),
        (titles::FINDING, Align::Left, 0.9),
        (titles::VIA, Align::Left, 1.1),
    ];
    let rows = report.others.iter().map(|other| {
        let mut cells = vec![
            number(other.number),
            cell(&other.name),
            cell(&other.place),
            cell(other.kind),
            cell(words::yes_no(other.supervised)),
        ];
        cells.extend(heard_cells(&other.heard, &report.panel.id));
        cells
    });
    table(&HEADS, rows.collect())
}

fn portable_table(report: &HandoverReport) -> Block {
    const HEADS: [Head; 4] = [
        (titles::NAME, Align::Left, 2.5),
        (titles::LINK, Align::Left, 1.0),
        (titles::WORN, Align::Left, 0.7),
        (titles::WORKS_IN, Align::Right, 1.0),
    ];
    let rows = report.portables.iter().map(|roam| {
        vec![
            cell(&roam.name),
            cell(&roam.link),
            cell(words::yes_no(roam.worn)),
            cell(format!("{:.0} %", (roam.share * 100.0).floor())),
        ]
    });
    table(&HEADS, rows.collect())
}

fn delays(report: &HandoverReport) -> Vec<Block> {
    const HEADS: [Head; 5] = [
        (titles::ENTRY, Align::Left, 2.0),
        (titles::WALK, Align::Right, 1.0),
        (titles::WALK_TIME, Align::Right, 1.0),
        (titles::NEEDED, Align::Right, 1.0),
        (titles::SET, Align::Right, 1.0),
    ];
    let delays = &report.delays;
    if delays.entries.is_empty() {
        return vec![paragraph(words::NO_WALK)];
    }
    let rows = delays.entries.iter().map(|entry| {
        vec![
            cell(&entry.entry),
            cell(format!("{:.1}", entry.length_m)),
            cell(format!("{:.0}", entry.walk_s)),
            cell(format!("{:.0}", entry.needed_s)),
            cell(format!("{:.0}", entry.entry_delay_s)),
        ]
    });
    let set = |name: &str, delay: Option<f64>, [least, most]: [u32; 2]| {
        let delay = delay.map_or_else(|| "–".to_owned(), words::seconds);
        let limits = format!("{delay} ({least} to {most} s: {})", delays.source);
        (name.to_owned(), limits)
    };
    vec![
        table(&HEADS, rows.collect()),
        Block::Facts(vec![
            set(titles::ENTRY_DELAY, delays.entry_s, delays.entry_limits_s),
            set(titles::EXIT_DELAY, delays.exit_s, delays.exit_limits_s),
        ]),
        note(sentences::DELAYS),
    ]
}

fn battery(row: &BatteryRow) -> Vec<(String, String)> {
    let mut facts = vec![
        (titles::STANDBY_LOAD, format!("{} mA", row.standby_ma)),
        (titles::ALARM_LOAD, format!("{} mA for {} min", row.alarm_ma, row.alarm_min)),
        (titles::CONDITIONS, format!("{} °C, {} years old", row.temperature_c, row.age_years)),
        (titles::REQUIRED, format!("{} h of standby, then the alarm", row.required_standby_h)),
        (titles::CAPACITY_NEEDED, format!("{:.1} Ah", words::up(row.needed_ah))),
    ];
    if let (Some(rated), Some(usable), Some(hours)) = (row.rated_ah, row.usable_ah, row.standby_h) {
        let fitted = format!("{rated} Ah, of which it then gives {usable:.1} Ah");
        facts.push((titles::BATTERY_FITTED, fitted));
        // Rounded down: nobody is promised a minute too many.
        let hours = (hours * 10.0).floor() / 10.0;
        let lasts = format!("{hours:.1} h, then the alarm for its time");
        facts.push((titles::LASTS, lasts));
    }
    facts.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
}

fn requirement_table(report: &HandoverReport) -> Block {
    const HEADS: [Head; 7] = [
        (titles::DOCUMENT, Align::Left, 1.5),
        (titles::FOR_WHAT, Align::Left, 2.2),
        (titles::STANDBY, Align::Right, 0.9),
        (titles::ALARM, Align::Right, 0.7),
        (titles::FACTOR, Align::Right, 0.7),
        (titles::NEEDED_AH, Align::Right, 0.9),
        (titles::SOURCE, Align::Left, 2.5),
    ];
    let rows = report.requirements.iter().map(|required| {
        vec![
            cell(required.document),
            cell(required.for_what),
            cell(required.standby_h.to_string()),
            dash(required.alarm_min.map(|minutes| minutes.to_string())),
            dash(required.factor.map(|factor| format!("{factor:.2}"))),
            dash(required.needed_ah.map(|ah| format!("{:.1}", words::up(ah)))),
            cell(required.source),
        ]
    });
    table(&HEADS, rows.collect())
}

fn tests(report: &HandoverReport) -> Vec<Block> {
    const HEADS: [Head; 10] = [
        (titles::NUMBER, Align::Right, 0.5),
        (titles::NAME, Align::Left, 2.1),
        (titles::ROOM, Align::Left, 2.0),
        (titles::TRIPS, Align::Centre, 0.6),
        (titles::RESTORES, Align::Centre, 0.8),
        (titles::TAMPER, Align::Centre, 0.7),
        (titles::READ_AT, Align::Left, 1.1),
        (titles::EXPECTED, Align::Right, 0.9),
        (titles::RANGE, Align::Right, 1.6),
        (titles::READING, Align::Left, 1.3),
    ];
    let rows = report.tests.iter().map(|row| {
        vec![
            number(row.number),
            cell(&row.name),
            cell(&row.place),
            Cell::Tick,
            Cell::Tick,
            Cell::Tick,
            cell(row.at.as_deref().unwrap_or(&report.panel.id)),
            cell(decibels(row.expected_dbm)),
            cell(format!("{}\u{a0}…\u{a0}{}", decibels(row.low_dbm), decibels(row.high_dbm))),
            Cell::Blank,
        ]
    });
    let steps: BTreeSet<_> = report.tests.iter().map(|row| row.step).collect();
    let steps = steps
        .into_iter()
        .map(|step| (words::step_name(step).to_owned(), words::step(step).to_owned()));
    vec![
        heading(2, titles::TESTS),
        paragraph(sentences::TESTS),
        table(&HEADS, rows.collect()),
        note(sentences::READ_BACK),
        heading(3, titles::STEPS),
        Block::Facts(steps.collect()),
        Block::Form(Form::Lines { label: titles::NOTES.to_owned(), count: 2 }),
        heading(3, titles::SIGN),
        Block::Form(Form::Signatures(vec![
            titles::INSTALLER.to_owned(),
            titles::CUSTOMER.to_owned(),
        ])),
    ]
}
