//! The commonest blocks of a document.

use document::{Align, Block, Cell, Column, Row, RowKind, Weight};

pub(crate) fn heading(level: u8, text: impl Into<String>) -> Block {
    Block::Heading { level, text: text.into() }
}

pub(crate) fn paragraph(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into(), weight: Weight::Plain }
}

/// A paragraph in small print.
pub(crate) fn note(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into(), weight: Weight::Small }
}

/// Columns with these heads, divided by `|`. The layout has a word for each: where its cells stand
/// (`l`, `c` or `r`), and its share of the width.
pub(crate) fn columns(heads: &str, layout: &str) -> Vec<Column> {
    let column = |(title, layout): (&str, &str)| {
        let (align, share) = layout.split_at(1);
        let align = match align {
            "r" => Align::Right,
            "c" => Align::Centre,
            _ => Align::Left,
        };
        Column { title: title.to_owned(), align, share: share.parse().unwrap_or(1.0) }
    };
    heads.split('|').zip(layout.split_whitespace()).map(column).collect()
}

/// A table without a caption, all rows of one kind.
pub(crate) fn table(
    columns: Vec<Column>,
    rows: impl IntoIterator<Item = impl IntoIterator<Item = Cell>>,
) -> Block {
    Block::Table { caption: None, columns, rows: rows.into_iter().map(row).collect() }
}

pub(crate) fn row(cells: impl IntoIterator<Item = Cell>) -> Row {
    Row { kind: RowKind::Plain, cells: cells.into_iter().collect() }
}

/// A row with its first cell alone filled: `columns` cells in all.
pub(crate) fn first_only(kind: RowKind, first: Cell, columns: usize) -> Row {
    let mut cells = vec![first];
    cells.resize(columns, cell(""));
    Row { kind, cells }
}

pub(crate) fn cell(text: impl Into<String>) -> Cell {
    Cell::Text(text.into())
}

/// A device's number; a dash where it has none.
pub(crate) fn number(number: Option<u32>) -> Cell {
    number.map_or_else(|| cell("–"), |number| Cell::Strong(number.to_string()))
}

/// A text; a dash where there is none.
pub(crate) fn dash(text: Option<String>) -> Cell {
    cell(text.unwrap_or_else(|| "–".to_owned()))
}
