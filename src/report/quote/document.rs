//! A quote for the customer, as a document: what is protected, what it costs and why a repeater is
//! needed on the first page; then what goes where, the price, and what is signed.
//!
//! The pages for the customer have no decibels and no word of the trade that a home owner does not
//! know; the technical appendix, where it is wanted, has the whole ledger.

use super::devices::{devices, protects};
use super::input::{Quote, figure};
use super::ledger::ledger;
use super::places::places;
use super::price::prices;
use super::signal::{argument, key, on_cover, other_levels, pair, plan, roams};
use crate::blocks::{heading, note, paragraph};
use document::{Block, Document, Form, Weight};
use words::Words;

/// The quote as a document.
#[must_use]
pub fn quote(quote: &Quote<'_>) -> Document {
    let words = quote.words;
    let site = &quote.site.plan.name;
    let (mut title, mut footer) = (
        format!("{}: {site}", words.quote_title()),
        words.quote_footer(site, quote.number, &words.date(quote.date)),
    );
    if quote.is_draft() {
        title = words.quote_draft_of(&title);
        footer = words.quote_draft_of(&footer);
    }
    let mut blocks = vec![Block::Together(cover(quote)), Block::PageBreak];
    blocks.extend(devices(quote));
    blocks.extend(places(quote));
    blocks.extend(roams(quote));
    blocks.extend(other_levels(quote));
    blocks.extend(prices(quote));
    blocks.extend(conditions(quote));
    blocks.push(Block::Together(closing(quote)));
    if quote.appendix {
        blocks.push(Block::PageBreak);
        blocks.extend(ledger(quote));
    }
    Document {
        title,
        language: words.language.tag().to_owned(),
        author: quote.business.map(|b| b.name.clone()).unwrap_or_default(),
        date: quote.date.to_string(),
        footer,
        page_of: words.page_of(),
        blocks,
    }
}

/// The first page: who offers what to whom, the plan, the price, and why a repeater is needed.
fn cover(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let mut blocks = Vec::new();
    let logo = quote.business.and_then(|business| Some((business.logo.as_ref()?, &business.name)));
    blocks.extend(logo.map(|(logo, name)| {
        Block::Figures(vec![figure(logo, words.quote_logo(name), String::new())])
    }));
    blocks.extend(quote.is_draft().then(|| Block::Stamp(words.quote_draft())));
    blocks.push(heading(1, words.quote_title()));
    blocks.push(strong(quote.site.plan.name.clone()));
    blocks.push(note(reference(quote)));
    blocks.extend(protects(quote).map(paragraph));
    blocks.extend(left_over(quote));
    blocks.extend(incomplete(quote));
    let shown = on_cover(quote);
    blocks.extend(shown.map(|pictures| plan(quote, pictures)));
    match quote.sheet.sums.and_then(|sums| quote.money(sums.total)) {
        Some(total) => blocks.push(Block::Paragraph {
            text: words.quote_price_large(&total),
            weight: Weight::Large,
        }),
        None => {
            let label = words.quote_price_total();
            blocks.push(Block::Form(Form::Lines { label, count: 1 }));
        }
    }
    blocks.push(strong(argument(quote)));
    if let Some(pictures) = shown {
        blocks.extend(pair(quote, pictures));
        blocks.push(key(quote, pictures));
    }
    blocks
}

fn strong(text: String) -> Block {
    Block::Paragraph { text, weight: Weight::Strong }
}

/// Number, day and validity of the quote, and below who makes it.
fn reference(quote: &Quote<'_>) -> String {
    let words = quote.words;
    let date = words.date(quote.date);
    let mut text = match quote.valid_until {
        Some(until) => words.quote_reference_until(quote.number, &date, &words.date(until)),
        None => words.quote_reference(quote.number, &date),
    };
    if let Some(business) = quote.business {
        let licence = business.licence.as_deref().map(|number| words.quote_licence(number));
        let address = std::iter::once(&business.name).chain(&business.address).cloned();
        let rest = [licence, business.phone.clone(), business.email.clone()];
        for line in [address.collect::<Vec<_>>(), rest.into_iter().flatten().collect()] {
            text.push('\n');
            text.push_str(&line.join(" · "));
        }
    }
    text
}

/// What will not be heard, so that nobody signs without knowing.
pub(super) fn left_over(quote: &Quote<'_>) -> Option<Block> {
    let words = quote.words;
    let left = Quote::missing(quote.with);
    // All in one paragraph: a long list would drive plan and price off the first page.
    let names: Vec<String> = left
        .iter()
        .map(|result| {
            let device = &result.device;
            words.quote_left_device(&device.name, quote.level_name(device.level))
        })
        .collect();
    let lines = vec![names.join(", "), words.quote_left_fix()];
    (!left.is_empty()).then(|| Block::Notice { title: words.quote_left_title(), lines })
}

/// What is still to be filled in by hand.
pub(super) fn incomplete(quote: &Quote<'_>) -> Option<Block> {
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

/// What the quote assumes.
pub(super) fn assumed(words: &Words) -> Vec<String> {
    vec![
        words.quote_assumes_plan(),
        words.quote_assumes_test(),
        words.quote_assumes_outlet(),
        words.quote_assumes_later(),
    ]
}

/// What to keep in mind whatever is bought.
pub(super) fn cautions(words: &Words) -> Block {
    let lines =
        vec![words.quote_caution_life(), words.quote_caution_drill(), words.quote_caution_alarm()];
    Block::Notice { title: words.quote_cautions(), lines }
}

/// What the quote assumes and leaves out, and the installer's own terms.
fn conditions(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let mut blocks = vec![
        heading(2, words.quote_assumes()),
        Block::List(assumed(words)),
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
    blocks
}

/// What to keep in mind, and the signatures; nobody signs a draft.
fn closing(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let mut blocks = vec![cautions(words)];
    if quote.is_draft() {
        blocks.push(strong(words.quote_draft_unsigned()));
        return blocks;
    }
    blocks.push(heading(3, words.quote_accepted()));
    if quote.business.is_none() {
        let label = words.quote_installer_blank();
        blocks.push(Block::Form(Form::Lines { label, count: 3 }));
    }
    blocks.push(Block::Form(Form::Lines { label: words.quote_customer(), count: 2 }));
    blocks.push(Block::Form(Form::Signatures(vec![
        words.quote_sign_customer(),
        words.quote_sign_installer(),
    ])));
    blocks
}
