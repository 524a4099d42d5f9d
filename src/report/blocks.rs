//! The commonest blocks of a document.

use document::{Block, Weight};

pub(super) fn heading(level: u8, text: impl Into<String>) -> Block {
    Block::Heading { level, text: text.into() }
}

pub(super) fn paragraph(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into(), weight: Weight::Plain }
}

/// A paragraph in small print.
pub(super) fn note(text: impl Into<String>) -> Block {
    Block::Paragraph { text: text.into(), weight: Weight::Small }
}
