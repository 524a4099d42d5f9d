//! A document for people, before it is set: headings, paragraphs, tables, pictures, in order; and
//! the two forms in which it is handed out, [`html`] and [`pdf`].
//!
//! It knows nothing of alarms. All text is plain: a renderer escapes what its format needs, so that
//! a name from a plan can never become markup.

mod block;
mod columns;
mod html;
mod pdf;

pub use block::{Align, Block, Cell, Column, Document, Figure, Form, Paper, Row, RowKind, Weight};
pub use html::html;
pub use pdf::{PdfError, pdf};

/// The text with control characters, which neither form may hold, as U+FFFD; a tabulator is a
/// space.
fn clean(text: &str) -> String {
    text.chars()
        .map(|character| match character {
            '\n' | '\r' => character,
            '\t' => ' ',
            '\u{FFFE}' | '\u{FFFF}' => char::REPLACEMENT_CHARACTER,
            _ if character.is_control() => char::REPLACEMENT_CHARACTER,
            _ => character,
        })
        .collect()
}

#[cfg(test)]
mod sample {
    use crate::{Block, Document, Weight};

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
}
