//! A document for people, before it is set: headings, paragraphs, tables, pictures, in order; and
//! the two forms in which it is handed out, [`html`] and [`pdf`].
//!
//! It knows nothing of alarms. All text is plain: a renderer escapes what its format needs, so that
//! a name from a plan can never become markup.

mod block;
mod html;
mod pdf;

pub use block::{Align, Block, Cell, Column, Document, Figure, Form, Paper, Row, RowKind, Weight};
pub use html::html;
pub use pdf::{PdfError, pdf};

/// The text without hidden characters, with control characters as U+FFFD, which no form may hold; a
/// tabulator is a space.
fn clean(text: &str) -> String {
    text.chars()
        .filter(|character| character.is_control() || !input::is_hidden(*character))
        .map(|character| match character {
            '\n' | '\r' => character,
            '\t' => ' ',
            _ if character.is_control() => char::REPLACEMENT_CHARACTER,
            _ => character,
        })
        .collect()
}

/// How wide a column may be at most, so that all of them fit on the page: columns that need less
/// keep what they need, the others are cut to one and the same width. Infinite where all fit as
/// they are.
fn widest(needs: &[f32], page: f32) -> f32 {
    let mut sorted = needs.to_vec();
    sorted.sort_by(f32::total_cmp);
    let mut rest = page;
    for (at, need) in sorted.iter().enumerate() {
        let equal = rest / (sorted.len() - at) as f32;
        if *need > equal {
            return equal;
        }
        rest -= need;
    }
    f32::INFINITY
}

#[cfg(test)]
mod sample {
    use crate::{Align, Block, Cell, Column, Document, Row, RowKind, Weight};

    /// A document of some blocks.
    pub fn document(blocks: Vec<Block>) -> Document {
        Document {
            title: "Quote".to_owned(),
            language: "en".to_owned(),
            author: "Invented Alarms".to_owned(),
            date: "2026-11-25".to_owned(),
            footer: "Foot".to_owned(),
            page_of: "of".to_owned(),
            blocks,
        }
    }

    pub fn paragraph(text: &str) -> Block {
        Block::Paragraph { text: text.to_owned(), weight: Weight::Plain }
    }

    pub fn column(title: &str, share: f64) -> Column {
        Column { title: title.to_owned(), align: Align::Right, share }
    }

    /// A row of a text and something to fill in.
    pub fn row(kind: RowKind, text: &str) -> Row {
        Row { kind, cells: vec![Cell::Text(text.to_owned()), Cell::Tick, Cell::Blank] }
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn wide_columns_are_cut_and_narrow_ones_left_alone() {
        let cases: [(&[f32], f32, f32); 5] = [
            (&[10.0, 300.0, 90.0], 150.0, 70.0),
            (&[10.0, 300.0, 40.0], 150.0, 100.0),
            (&[30.0, 30.0], 20.0, 10.0),
            (&[10.0, 90.0], 100.0, f32::INFINITY),
            (&[], 100.0, f32::INFINITY),
        ];
        for (needs, page, widest) in cases {
            assert_eq!(super::widest(needs, page), widest, "{needs:?}");
        }
    }
}
