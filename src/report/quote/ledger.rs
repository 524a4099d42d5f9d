//! The technical appendix: every decibel.

use super::input::Quote;
use super::names::{mark, signal_word, via_name};
use crate::blocks::{cell, first_only, heading, left, note, paragraph, right, row};
use document::{Block, Cell, RowKind};
use forecast::DeviceResult;
use siting::cover::Proof;
use units::{Db, Dbm};
use words::Words;

/// The appendix.
pub(super) fn ledger(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let results: Vec<&DeviceResult> =
        quote.with.sensors.iter().chain(&quote.with.two_way).collect();
    vec![
        heading(2, words.ledger_title()),
        paragraph(words.ledger_text()),
        heading(3, words.ledger_settings()),
        Block::Facts(settings(quote)),
        paths(quote, &results),
        budget(quote, &results),
        outcome(quote, &results),
        crossings(quote, &results),
        note(words.ledger_shadow_note()),
    ]
}

fn settings(quote: &Quote<'_>) -> Vec<(String, String)> {
    let words = quote.words;
    let model = &quote.site.model;
    let decibels = |value: Db| format!("{}\u{a0}dB", words.number(value.0, 1));
    let mut facts =
        vec![(words.ledger_program(), format!("drillonce {}", env!("CARGO_PKG_VERSION")))];
    if let Ok(link) = quote.site.link(None) {
        let frequency = format!("{}\u{a0}MHz", words.number(link.frequency.mhz(), 3));
        facts.push((words.ledger_link(), link.name));
        facts.push((words.ledger_frequency(), frequency));
    }
    let findings = &model.findings;
    let (sound, thin) = (words.chance(findings.sound_below), words.chance(findings.thin_below));
    let new = quote.new.len().to_string();
    facts.extend([
        (words.ledger_reflections(), model.reflections.to_string()),
        (words.ledger_shadowing(), decibels(quote.site.clear_sigma())),
        (words.ledger_fading(), decibels(model.k_factor_db)),
        (words.ledger_wall_cap(), decibels(model.wall_cap_db)),
        (words.ledger_limits(), words.ledger_limits_value(&sound, &thin)),
        (
            words.ledger_proof(),
            match quote.proof {
                Proof::Best if quote.new.is_empty() => new,
                Proof::Best => words.ledger_proof_best(&new),
                Proof::Gap { at_least, .. } => words.ledger_proof_gap(&new, &at_least.to_string()),
            },
        ),
    ]);
    facts
}

/// A table of devices: their mark and name, and columns of numbers.
fn table(
    quote: &Quote<'_>,
    caption: String,
    titles: Vec<String>,
    results: &[&DeviceResult],
    cells: impl Fn(&DeviceResult) -> Vec<String>,
) -> Block {
    let words = quote.words;
    let mut columns =
        vec![left(words.quote_column_number(), 1.0), left(words.quote_column_device(), 3.6)];
    columns.extend(titles.into_iter().map(|title| {
        // Two of the columns are words.
        let is_words = [words.quote_column_via(), words.quote_column_signal()].contains(&title);
        if is_words { left(title, 2.8) } else { right(title, 2.0) }
    }));
    let rows = results.iter().map(|result| {
        let names = [mark(quote, &result.device), result.device.name.clone()];
        row(names.into_iter().chain(cells(result)).map(cell))
    });
    Block::Table { caption: Some(caption), columns, rows: rows.collect() }
}

fn db(words: &Words, value: Db) -> String {
    words.number(value.0, 1)
}

fn dbm(words: &Words, value: Dbm) -> String {
    words.number(value.0, 1)
}

fn paths(quote: &Quote<'_>, results: &[&DeviceResult]) -> Block {
    let words = quote.words;
    let unit = quote.site.plan.metres_per_unit;
    let titles = vec![
        words.quote_column_via(),
        words.ledger_distance(),
        words.ledger_free_space(),
        words.ledger_walls(),
        words.ledger_direct(),
        words.ledger_all_paths(),
    ];
    table(quote, words.ledger_paths(), titles, results, |result| {
        let hop = &result.hop;
        vec![
            via_name(quote, result),
            words.length(hop.distance.0, unit),
            db(words, hop.free_space),
            db(words, hop.direct_loss - hop.free_space),
            db(words, hop.direct_loss),
            db(words, hop.path_loss),
        ]
    })
}

fn budget(quote: &Quote<'_>, results: &[&DeviceResult]) -> Block {
    let words = quote.words;
    let titles = vec![
        words.ledger_eirp(),
        words.ledger_all_paths(),
        words.ledger_antenna(),
        words.ledger_mount(),
        words.ledger_site_offset(),
        words.ledger_received(),
    ];
    table(quote, words.ledger_budget(), titles, results, |result| {
        let ledger = &result.hop.ledger;
        vec![
            dbm(words, ledger.eirp_dbm),
            db(words, result.hop.path_loss),
            db(words, ledger.antenna_gain_db),
            db(words, ledger.mount_loss_db),
            db(words, ledger.site_offset_db),
            dbm(words, ledger.received_dbm),
        ]
    })
}

fn outcome(quote: &Quote<'_>, results: &[&DeviceResult]) -> Block {
    let words = quote.words;
    let titles = vec![
        words.ledger_received(),
        words.ledger_needed(),
        words.ledger_margin(),
        words.ledger_margin_p10(),
        words.ledger_fault(),
        words.quote_column_signal(),
    ];
    table(quote, words.ledger_result(), titles, results, |result| {
        let ledger = &result.hop.ledger;
        vec![
            dbm(words, ledger.received_dbm),
            dbm(words, ledger.level_needed_dbm),
            db(words, ledger.margin_db),
            db(words, result.hop.margin_p10),
            words.chance(result.fault_per_year),
            signal_word(words, result.finding),
        ]
    })
}

/// What each direct path crosses, device by device.
fn crossings(quote: &Quote<'_>, results: &[&DeviceResult]) -> Block {
    let words = quote.words;
    let columns = vec![
        left(words.ledger_feature(), 3.0),
        left(words.ledger_construction(), 3.0),
        right(words.ledger_angle(), 1.8),
        right(words.ledger_slab(), 1.5),
        right(words.ledger_excess(), 1.5),
        right(words.ledger_both(), 1.5),
    ];
    let mut rows = Vec::new();
    for result in results {
        let name = format!("{} {}", mark(quote, &result.device), result.device.name);
        rows.push(first_only(RowKind::Group, Cell::Strong(name), columns.len()));
        if result.hop.crossings.is_empty() {
            rows.push(first_only(RowKind::Plain, cell(words.ledger_clear()), columns.len()));
        }
        for crossing in &result.hop.crossings {
            let angle = format!("{}°", words.number(crossing.incidence_deg, 0));
            let cells = [
                crossing.feature.clone(),
                crossing.construction.clone(),
                angle,
                db(words, crossing.slab),
                db(words, crossing.excess),
                db(words, crossing.slab + crossing.excess),
            ];
            rows.push(row(cells.map(cell)));
        }
    }
    Block::Table { caption: Some(words.ledger_crossings()), columns, rows }
}
