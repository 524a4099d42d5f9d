//! The technical appendix: every decibel.

use super::devices::{mark, signal_word, via_name};
use super::input::Quote;
use crate::blocks::{cell, columns, first_only, heading, note, paragraph, row};
use document::{Block, Cell, RowKind};
use forecast::{Adding, DeviceResult};
use siting::cover::Proof;
use units::Db;

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
    let adding = match model.adding {
        Adding::Waves => words.ledger_adding_waves(),
        Adding::Powers => words.ledger_adding_powers(),
    };
    facts.extend([
        (words.ledger_reflections(), model.reflections.to_string()),
        (words.ledger_adding(), adding),
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
    (heads, layout): (&str, &str),
    results: &[&DeviceResult],
    cells: impl Fn(&DeviceResult) -> [String; 6],
) -> Block {
    let rows = results.iter().map(|result| {
        let names = [mark(quote, &result.device), result.device.name.clone()];
        row(names.into_iter().chain(cells(result)).map(cell))
    });
    let columns = columns(heads, layout);
    Block::Table { caption: Some(caption), columns, rows: rows.collect() }
}

fn paths(quote: &Quote<'_>, results: &[&DeviceResult]) -> Block {
    let words = quote.words;
    let lengths = quote.site.plan.lengths();
    let db = |value: Db| words.number(value.0, 1);
    let layout = "l1.0 l3.6 l2.8 r2.0 r2.0 r2.0 r2.0 r2.0";
    let heads = words.ledger_path_heads();
    table(quote, words.ledger_paths(), (&heads, layout), results, |result| {
        let hop = &result.hop;
        [
            via_name(quote, result),
            words.length(lengths.run(hop.distance.0)),
            db(hop.free_space),
            db(hop.direct_loss - hop.free_space),
            db(hop.direct_loss),
            db(hop.path_loss),
        ]
    })
}

fn budget(quote: &Quote<'_>, results: &[&DeviceResult]) -> Block {
    let words = quote.words;
    let layout = "l1.0 l3.6 r2.0 r2.0 r2.0 r2.0 r2.0 r2.0";
    let heads = words.ledger_budget_heads();
    table(quote, words.ledger_budget(), (&heads, layout), results, |result| {
        let ledger = &result.hop.ledger;
        let decibels = [
            ledger.eirp_dbm.0,
            result.hop.path_loss.0,
            ledger.antenna_gain_db.0,
            (ledger.mount_loss_db + ledger.aerial_loss_db).0,
            ledger.site_offset_db.0,
            ledger.received_dbm.0,
        ];
        decibels.map(|value| words.number(value, 1))
    })
}

fn outcome(quote: &Quote<'_>, results: &[&DeviceResult]) -> Block {
    let words = quote.words;
    let layout = "l1.0 l3.6 r2.0 r2.0 r2.0 r2.0 r2.0 l2.8";
    let heads = words.ledger_result_heads();
    table(quote, words.ledger_result(), (&heads, layout), results, |result| {
        let ledger = &result.hop.ledger;
        [
            words.number(ledger.received_dbm.0, 1),
            words.number(ledger.level_needed_dbm.0, 1),
            words.number(ledger.margin_db.0, 1),
            words.number(result.hop.margin_p10.0, 1),
            words.chance(result.fault_per_year),
            signal_word(words, result.finding),
        ]
    })
}

/// What each direct path crosses, device by device.
fn crossings(quote: &Quote<'_>, results: &[&DeviceResult]) -> Block {
    let words = quote.words;
    let columns = columns(&words.ledger_crossing_heads(), "l3.0 l3.0 r1.8 r1.5 r1.5 r1.5");
    let db = |value: Db| words.number(value.0, 1);
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
                db(crossing.slab),
                db(crossing.excess),
                db(crossing.slab + crossing.excess),
            ];
            rows.push(row(cells.map(cell)));
        }
    }
    Block::Table { caption: Some(words.ledger_crossings()), columns, rows }
}
