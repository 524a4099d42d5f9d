//! What the hand-over says, in the words of a language.

use serde::Serialize;

use super::{HandoverReport, up};
use crate::json::rounded;
use crate::table::{fixed, tenths};
use crate::whereabouts::Places;
use diagnose::Seen;
use diagnose::readings::{Column, SheetRow};
use job::schedule::{Concern, Matter, Role, TestRow, TestStep};
use plan::Plan;
use words::Words;

/// What is easily forgotten at a hand-over.
pub(super) fn reminders(words: &Words) -> [String; 4] {
    [
        words.handover_remember_enrol(),
        words.handover_remember_battery(),
        words.handover_remember_station(),
        words.handover_remember_monthly(),
    ]
}

pub(super) fn yes_no(words: &Words, yes: bool) -> String {
    if yes { words.answer_yes() } else { words.answer_no() }
}

/// A sort of device on the test sheet, how one is tried and what to see.
#[must_use]
pub fn step_words(words: &Words, step: TestStep) -> (String, String) {
    match step {
        TestStep::Sensor(sort) => (term(words, "tried", sort), term(words, "step", sort)),
        other => (term(words, "tried", other), term(words, "step", other)),
    }
}

pub(super) fn seconds(seconds: f64) -> String {
    format!("{seconds:.0} s")
}

/// What stands above a file of readings that is to be filled in.
pub(super) fn readings_head(report: &HandoverReport) -> Vec<String> {
    let words = &report.words;
    let mut head = vec![
        words.test_head(&report.plan.name, &report.date),
        words.test_head_write(),
        words.test_head_doors(),
        words.test_head_hash(),
    ];
    // The reader of readings takes the scale from this line.
    head.extend(report.bars.as_ref().map(|scale| {
        let edge = |bars| match scale.seen(bars) {
            Some(Seen::Between { low: Some(low), .. }) => Some(low.0.to_string()),
            _ => None,
        };
        let edges: Vec<String> = (1..=scale.most()).filter_map(edge).collect();
        format!("bars: {}", edges.join(", "))
    }));
    head
}

/// From which reading a device passes, with bars where the panel shows them.
pub(super) fn pass(report: &HandoverReport, row: &TestRow) -> String {
    let (words, level) = (&report.words, decibels(row.pass.0));
    match report.pass_bars(row) {
        None => words.test_pass(&level),
        Some(1) => words.test_pass_one_bar(&level),
        Some(bars) => words.test_pass_bars(&level, &bars.to_string()),
    }
}

/// What was read of a device, and when.
pub(super) fn entry(words: &Words, entry: &SheetRow) -> String {
    let shown = [Column::Level, Column::Bars, Column::Percent].into_iter().filter_map(|column| {
        let figure = entry.cell(column)?.replace('-', "\u{2212}");
        // Where somebody wrote more than a figure, it says what it is.
        let is_bare = figure.ends_with(|end: char| end.is_ascii_digit() || end == '.');
        Some(match column {
            Column::Bars if figure == "1" => words.test_bar(),
            Column::Bars if is_bare => words.test_bars(&figure),
            Column::Level if is_bare => format!("{figure} dBm"),
            Column::Percent if is_bare => format!("{figure} %"),
            _ => figure,
        })
    });
    let shown: Vec<String> = shown.collect();
    // What shows a level was heard.
    let heard = entry.is(Column::Heard).filter(|_| shown.is_empty());
    let heard = heard.map(|heard| if heard { words.test_heard() } else { words.test_missed() });
    let time = [Column::Date, Column::Time].into_iter().filter_map(|column| entry.cell(column));
    let time = time.map(|time| time.replace('T', " ").chars().take(16).collect::<String>());
    shown.into_iter().chain(heard).chain(time).collect::<Vec<_>>().join(", ")
}

/// Whole decibels with a minus sign.
pub(super) fn decibels(value: f64) -> String {
    fixed(value, 0).replace('-', "\u{2212}")
}

/// What stands above a device's line. It begins with words of its own, so that no device's name is
/// taken for something that the reader of readings knows.
pub(super) fn readings_line(report: &HandoverReport, row: &TestRow) -> String {
    let (words, device) = (&report.words, &row.result.device);
    let number = device.number.map_or_else(
        || words.test_line_no_number(),
        |number| words.test_line_number(&number.to_string()),
    );
    let level = decibels(row.expected.level.0);
    // A plain minus and plain blanks: people search and sort these files.
    let plain = |text: String| text.replace('\u{a0}', " ").replace('\u{2212}', "-");
    words.test_line(&number, &device.name, &plain(level), &plain(pass(report, row)))
}

/// How many devices were numbered, and which numbers are free.
pub(super) fn numbers(report: &HandoverReport) -> Vec<String> {
    let words = &report.words;
    let mut lines = Vec::new();
    match report.numbered.len() {
        0 => {}
        1 => lines.push(words.handover_numbered_one()),
        many => lines.push(words.handover_numbered_many(&many.to_string())),
    }
    let runs = report.free_numbers.iter().map(|(first, last)| {
        if first == last { first.to_string() } else { format!("{first}–{last}") }
    });
    let runs: Vec<String> = runs.collect();
    if !runs.is_empty() {
        lines.push(words.handover_free_numbers(&runs.join(", ")));
    }
    lines
}

/// What stands above the table.
pub(super) fn headline(report: &HandoverReport) -> String {
    report.words.handover_headline(
        &report.plan.name,
        &report.date,
        &report.zones.len().to_string(),
        &report.panel.name,
        &report.level(&report.panel),
        &report.model.link,
    )
}

/// Numbers, delays and battery in a few lines.
pub(super) fn summary(report: &HandoverReport) -> Vec<String> {
    let words = &report.words;
    let mut lines = numbers(report);
    if let (Some(entry), Some(exit)) = (report.delays.entry_s, report.delays.exit_s) {
        lines.push(words.delay_both(&format!("{entry:.0}"), &format!("{exit:.0}")));
    }
    if let Some(battery) = &report.battery {
        let input = &battery.input;
        let lasts = input.rated.zip(battery.lasts).map(|(rated, lasts)| {
            words.battery_short_lasts(&words.plain(rated.0), &words.plain(tenths(lasts.standby.0)))
        });
        lines.push(words.battery_short(
            &up(words, battery.needed),
            &words.plain(input.standby.0),
            &words.plain(rounded(input.load.alarm_time.0 * 60.0)),
            &words.plain(input.temperature.0),
            &words.plain(input.age.0),
            &lasts.unwrap_or_default(),
        ));
    }
    lines
}

/// The word of a group for a term of the schedule, by the name under which the term is serialised.
pub(super) fn term(words: &Words, group: &str, of: impl Serialize) -> String {
    let name = serde_json::to_value(of).unwrap_or_default();
    let name = name.as_str().unwrap_or_default();
    words.term(group, name).unwrap_or_else(|| name.to_owned())
}

/// What is wrong or doubtful with a schedule, and how to correct it; lengths in the plan's unit.
#[must_use]
pub fn concern_words(words: &Words, plan: &Plan, concerns: &[Concern]) -> Vec<String> {
    let places = Places::new(plan);
    concerns.iter().map(|concern| said(words, &places, concern)).collect()
}

pub(super) fn said(words: &Words, places: &Places<'_>, concern: &Concern) -> String {
    let name = match concern.matter {
        // What is said is that no device of its own is there.
        Matter::EntryWithoutDevice(_) => &places.opening_by_rooms(words, &concern.name),
        _ => &concern.name,
    };
    let proposed = |proposal: &Option<Role>| match proposal {
        Some(role) => words.concern_suits(role.word()),
        None => words.concern_give_role(),
    };
    match &concern.matter {
        Matter::NumberTwice { number, first } => {
            words.concern_number_twice(name, first, &number.to_string())
        }
        Matter::LifeUnsupervised(role) => words.concern_life_unsupervised(name, role.word()),
        Matter::RoleAgainstDevice { never, role, sort, suits } => {
            let (sort, role) = (term(words, "sort", sort), role.word());
            if *never {
                words.concern_role_against_device(name, &sort, role, &proposed(suits))
            } else {
                words.concern_odd_role(name, role, &sort, &proposed(suits))
            }
        }
        Matter::NoRole(proposal) => words.concern_no_role(name, &proposed(proposal)),
        Matter::UnknownRole { word, proposal } => {
            words.concern_unknown_role(name, word, &proposed(proposal))
        }
        Matter::RoleOnOther(other) => {
            let kind = words.term("kind", other.word()).unwrap_or_default();
            words.concern_role_on_other(name, &kind)
        }
        Matter::NoNumber => words.concern_no_number(name),
        Matter::FarFromEntry(Some(near)) => {
            let distance = words.length(places.lengths().run(near.distance_m));
            words.concern_far_from_entry(name, &places.opening(words, &near.entry), &distance)
        }
        Matter::FarFromEntry(None) => words.concern_no_entry(name),
        Matter::EntryWithoutDevice(Some(instant)) => words.concern_instant_entry(name, instant),
        Matter::EntryWithoutDevice(None) => words.concern_bare_entry(name),
        Matter::NothingDelayed => words.concern_nothing_delayed(),
        Matter::Unsupervised => words.concern_unsupervised(name),
    }
}
