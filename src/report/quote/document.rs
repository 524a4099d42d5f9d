//! A quote for the customer, as a document: what goes where, whether it will be heard, what it
//! costs.
//!
//! The pages for the customer have no decibels and no word of the trade that a home owner does not
//! know; the technical appendix has the whole ledger.

use super::devices::devices;
use super::input::{Quote, figure};
use super::ledger::ledger;
use super::price::prices;
use super::signal::{coverage, places};
use crate::blocks::{heading, paragraph};
use document::{Block, Document, Form};

/// The quote as a document.
#[must_use]
pub fn quote(quote: &Quote<'_>) -> Document {
    let words = quote.words;
    let plan = quote.site.plan;
    let mut blocks = cover(quote);
    blocks.push(Block::PageBreak);
    blocks.extend(places(quote));
    blocks.extend(coverage(quote));
    blocks.extend(devices(quote));
    blocks.extend(prices(quote));
    blocks.extend(closing(quote));
    blocks.push(Block::PageBreak);
    blocks.extend(ledger(quote));
    Document {
        title: format!("{}: {}", words.quote_title(), plan.name),
        language: words.language.tag().to_owned(),
        author: quote.business.map(|b| b.name.clone()).unwrap_or_default(),
        date: quote.date.to_string(),
        footer: words.quote_footer(&plan.name, &words.date(quote.date)),
        page_of: words.page_of(),
        blocks,
    }
}

/// The first page: no decibels, no pictures but the logo.
fn cover(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let mut blocks = Vec::new();
    let logo = quote.business.and_then(|business| Some((business.logo.as_ref()?, &business.name)));
    blocks.extend(logo.map(|(logo, name)| {
        Block::Figures(vec![figure(logo, words.quote_logo(name), String::new())])
    }));
    blocks.push(heading(1, words.quote_title()));
    let mut facts = vec![
        (words.quote_site(), quote.site.plan.name.clone()),
        (words.quote_date(), words.date(quote.date)),
    ];
    if let Some(business) = quote.business {
        let until = quote.date.after(business.validity_days);
        facts.push((words.quote_valid_until(), words.date(until)));
    }
    let devices = Quote::asked(quote.with).count();
    facts.push((words.quote_devices_count(), devices.to_string()));
    if let (Some(business), Some(sums)) = (quote.business, quote.sheet.sums) {
        let currency = &business.currency;
        let total = words.money(sums.total, currency.decimals, &currency.code);
        facts.push((words.quote_price_total(), total));
    }
    blocks.push(Block::Facts(facts));
    blocks.push(heading(3, words.quote_in_short()));
    blocks.push(paragraph(in_short(quote)));
    blocks.extend(left_over(quote));
    blocks.extend(incomplete(quote));
    blocks.push(heading(3, words.quote_installer()));
    match quote.business {
        Some(business) => {
            let mut facts = vec![
                (words.quote_name(), business.name.clone()),
                (words.quote_address(), business.address.join(", ")),
            ];
            for (label, value) in [
                (words.quote_licence(), &business.licence),
                (words.quote_phone(), &business.phone),
                (words.quote_email(), &business.email),
            ] {
                facts.extend(value.clone().map(|value| (label, value)));
            }
            blocks.push(Block::Facts(facts));
        }
        None => {
            blocks
                .push(Block::Form(Form::Lines { label: words.quote_installer_blank(), count: 3 }));
        }
    }
    blocks.push(Block::Form(Form::Lines { label: words.quote_customer(), count: 3 }));
    blocks
}

/// Whether a repeater is needed, in a sentence or two.
fn in_short(quote: &Quote<'_>) -> String {
    let words = quote.words;
    let missing = Quote::missing(quote.bare()).len().to_string();
    let count = Quote::asked(quote.with).count().to_string();
    let repeaters = quote.repeaters().count();
    if !Quote::missing(quote.with).is_empty() {
        words.quote_short_left()
    } else if repeaters == 0 {
        words.quote_short_none()
    } else if Quote::missing(quote.bare()).is_empty() {
        words.quote_short_reserve()
    } else if repeaters == 1 {
        words.quote_short_needed(&missing, &count)
    } else {
        words.quote_short_needed_many(&missing, &count, &repeaters.to_string())
    }
}

/// What will not be heard, so that nobody signs without knowing.
fn left_over(quote: &Quote<'_>) -> Option<Block> {
    let words = quote.words;
    let left = Quote::missing(quote.with);
    let mut lines: Vec<String> = left
        .iter()
        .map(|result| {
            let device = &result.device;
            words.quote_left_device(&device.name, quote.level_name(device.level))
        })
        .collect();
    lines.push(words.quote_left_mend());
    (!left.is_empty()).then(|| Block::Notice { title: words.quote_left_title(), lines })
}

/// What is still to be filled in by hand.
fn incomplete(quote: &Quote<'_>) -> Option<Block> {
    let words = quote.words;
    let mut lines = Vec::new();
    if quote.business.is_none() {
        lines.push(words.quote_incomplete_business());
    }
    if quote.sheet.sums.is_none() {
        lines.push(words.quote_incomplete_prices());
    }
    (!lines.is_empty()).then(|| Block::Notice { title: words.quote_incomplete(), lines })
}

/// What the quote assumes and leaves out, what to keep in mind, and the signatures.
fn closing(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let mut blocks = vec![
        heading(2, words.quote_assumes()),
        Block::List(vec![
            words.quote_assumes_plan(),
            words.quote_assumes_test(),
            words.quote_assumes_outlet(),
            words.quote_assumes_later(),
        ]),
        heading(2, words.quote_excludes()),
        Block::List(vec![
            words.quote_excludes_mains(),
            words.quote_excludes_walls(),
            words.quote_excludes_monitoring(),
            words.quote_excludes_portable(),
            words.quote_excludes_permits(),
        ]),
    ];
    let terms = quote.business.map(|business| business.terms.clone());
    if let Some(terms) = terms.filter(|terms| !terms.is_empty()) {
        blocks.push(heading(2, words.quote_terms()));
        blocks.push(Block::List(terms));
    }
    blocks.push(Block::Notice {
        title: words.quote_cautions(),
        lines: vec![
            words.quote_caution_life(),
            words.quote_caution_drill(),
            words.quote_caution_alarm(),
        ],
    });
    blocks.push(heading(3, words.quote_accepted()));
    blocks.push(Block::Form(Form::Signatures(vec![
        words.quote_sign_customer(),
        words.quote_sign_installer(),
    ])));
    blocks
}
