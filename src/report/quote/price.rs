//! The price table.

use rust_decimal::Decimal;

use super::devices::sort_word;
use super::input::Quote;
use crate::blocks::{cell, columns, heading, note, row};
use document::{Align, Block, Cell, Column, Row, RowKind};
use job::pricing::{Business, Line, TaxOn};
use words::Words;

/// The price table with its notes; where there are no prices, room to write them.
pub(super) fn prices(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let business = quote.business;
    let taxed = business.filter(|business| business.tax.on == TaxOn::Lines);
    let taxed = taxed.filter(|_| quote.sheet.sums.is_some());
    let mut columns = columns(&words.quote_price_heads(), "l5.0 r1.4 r2.2 r2.4");
    columns.extend(taxed.map(|business| {
        let title = tax_name(words, business);
        Column { title, align: Align::Right, share: 2.0 }
    }));
    let mut rows: Vec<Row> = quote
        .sheet
        .lines
        .iter()
        .map(|line| row(line_cells(words, business, line, taxed.is_some())))
        .collect();
    rows.extend(sums(quote, columns.len()));
    let mut blocks =
        vec![heading(2, words.quote_prices()), Block::Table { caption: None, columns, rows }];
    if let (Some(business), Some(_)) = (business, quote.sheet.sums) {
        let tax = &business.tax;
        blocks.push(note(match tax.on {
            TaxOn::Total => words.quote_tax_on_total(&tax.name),
            TaxOn::Lines => words.quote_tax_on_lines(&tax.name),
        }));
        blocks.push(note(words.quote_rounding(&business.currency.code)));
    }
    blocks
}

/// What a line is for, in the customer's words.
pub(super) fn line_name(words: &Words, line: &Line) -> String {
    match &line.description {
        Some(description) => description.clone(),
        None if line.items.is_empty() => words.quote_labour(),
        None => {
            let own = || line.items.first().cloned().unwrap_or_default();
            sort_word(words, &line.items).unwrap_or_else(own)
        }
    }
}

pub(super) fn tax_name(words: &Words, business: &Business) -> String {
    format!("{} {}", business.tax.name, words.percent(business.tax.rate))
}

fn line_cells(
    words: &Words,
    business: Option<&Business>,
    line: &Line,
    with_tax: bool,
) -> Vec<Cell> {
    let name = line_name(words, line);
    let places = business.map_or(2, |business| business.currency.decimals);
    let amount = |value: Decimal| cell(words.exact(value, places));
    let mut cells = vec![cell(name), cell(words.exact(line.quantity, 0))];
    match line.price {
        Some(price) => {
            cells.extend([amount(price.unit), amount(price.amount)]);
            if with_tax {
                cells.push(price.tax.map_or(Cell::Blank, amount));
            }
        }
        None => cells.extend([Cell::Blank, Cell::Blank]),
    }
    cells
}

fn sums(quote: &Quote<'_>, columns: usize) -> Vec<Row> {
    let words = quote.words;
    let tax =
        quote.business.map_or_else(|| words.quote_tax(), |business| tax_name(words, business));
    let values = match (quote.business, quote.sheet.sums) {
        (Some(business), Some(sums)) => {
            let currency = &business.currency;
            [sums.subtotal, sums.tax, sums.total]
                .map(|value| Cell::Strong(words.money(value, currency.decimals, &currency.code)))
        }
        _ => [Cell::Blank, Cell::Blank, Cell::Blank],
    };
    let names = [words.quote_subtotal(), tax, words.quote_total()];
    let rows = names.into_iter().zip(values).map(|(name, value)| {
        let mut cells = vec![cell(name), cell(""), cell(""), value];
        cells.resize(columns, cell(""));
        Row { kind: RowKind::Total, cells }
    });
    rows.collect()
}
