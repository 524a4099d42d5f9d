//! The customer's quote: sums by hand, bad files, words, and the whole document of a shipped house.

mod document;
mod faults;
mod sums;

use std::fs;

use drillonce::cli::{CommandError, QuoteDocument, quote_document};
use drillonce::document::{Block, Cell, Document, Form};
use tempfile::TempDir;

/// The path of a shipped file.
fn shipped(name: &str) -> String {
    fixtures::floorplans().join(name).display().to_string()
}

/// The quote of a command line after `quote`, made but not written.
fn made(arguments: &[&str]) -> Result<QuoteDocument, CommandError> {
    quote_document(arguments)
}

/// A folder of one test's own with these files.
fn folder(files: &[(&str, &[u8])]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in files {
        fs::write(folder.path().join(name), bytes).unwrap();
    }
    folder
}

/// Every text of a document, in order.
pub fn texts(document: &Document) -> Vec<String> {
    let mut all = vec![document.title.clone(), document.footer.clone(), document.page_of.clone()];
    for block in &document.blocks {
        all.extend(block_texts(block));
    }
    all
}

fn block_texts(block: &Block) -> Vec<String> {
    let cell_text = |cell: &Cell| match cell {
        Cell::Text(text) | Cell::Strong(text) => text.clone(),
        Cell::Tick => "[ ]".to_owned(),
        Cell::Blank => "____".to_owned(),
    };
    match block {
        Block::Heading { text, .. } | Block::Paragraph { text, .. } | Block::Stamp(text) => {
            vec![text.clone()]
        }
        Block::Together(blocks) => blocks.iter().flat_map(block_texts).collect(),
        Block::List(entries) => entries.clone(),
        Block::Facts(facts) => {
            facts.iter().map(|(name, value)| format!("{name}: {value}")).collect()
        }
        Block::Notice { title, lines } => [std::slice::from_ref(title), lines].concat(),
        Block::Table { caption, columns, rows } => {
            let titles: Vec<String> = columns.iter().map(|column| column.title.clone()).collect();
            let rows = rows.iter().map(|row| {
                assert_eq!(row.cells.len(), columns.len(), "{row:?}");
                let cells: Vec<String> = row.cells.iter().map(cell_text).collect();
                cells.join(" | ").trim_end_matches(['|', ' ']).to_owned()
            });
            caption.iter().cloned().chain([titles.join(" | ")]).chain(rows).collect()
        }
        Block::Figures(figures) => {
            figures.iter().flat_map(|figure| [figure.alt.clone(), figure.caption.clone()]).collect()
        }
        Block::Form(Form::Signatures(labels)) => labels.clone(),
        Block::Form(Form::Lines { label, count }) => vec![format!("{label} ({count} lines)")],
        Block::PageBreak => vec!["-- page --".to_owned()],
    }
}
