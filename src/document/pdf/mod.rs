//! A document as PDF, set here and written by the crate `krilla`.
//!
//! The letters are those of `DejaVu Sans`, which the program carries; of each face only the letters
//! that occur are put into the file. What the font lacks appears as U+FFFD. Text runs from left to
//! right, and letters are not joined: Arabic, Hebrew and Indic scripts are not set as they should
//! be. The file is tagged (headings, lists, tables, words for the pictures) and has a list of
//! contents.
//!
//! The same document gives the same bytes: the only date in it is that of the document.

mod error;
mod face;
mod flow;
mod pages;
mod paint;
mod table;

use krilla::destination::XyzDestination;
use krilla::error::KrillaError;
use krilla::geom::Point;
use krilla::metadata::{DateTime, Metadata};
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::tagging::ArtifactType as Outside;
use krilla::{Document as Writer, SerializeSettings};

use super::{Block, Document, Paper, clean};
pub use error::PdfError;
use face::{ACCENT, Fonts, RULE, RUNNING};
use flow::Flow;
use pages::paginate;
use paint::{Mark, paint};

/// Left and right of the text, points (20 mm: room for punching holes).
const SIDE: f32 = 56.7;
/// Above and below the text, points.
const TOP: f32 = 62.0;
const BOTTOM: f32 = 64.0;
/// Upper edge of the line at the head; that of the rule at the foot, from the lower edge.
const HEAD_AT: f32 = 30.0;
const FOOT_AT: f32 = 46.0;

impl Paper {
    /// Width and height, points (1/72 inch).
    fn points(self) -> (f32, f32) {
        match self {
            Self::A4 => (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0),
            Self::Letter => (612.0, 792.0),
        }
    }
}

/// The document as the bytes of a PDF.
///
/// # Errors
/// [`PdfError::Picture`] where a picture is no PNG.
pub fn pdf(document: &Document, paper: Paper) -> Result<Vec<u8>, PdfError> {
    write(document, paper, SerializeSettings::default())
}

/// The pieces of a document for sheets of a size.
fn flowed<'f>(
    document: &Document,
    (width, height): (f32, f32),
    fonts: &'f Fonts,
) -> Result<Flow<'f>, PdfError> {
    let mut flow = Flow::new(fonts, width - 2.0 * SIDE, height - TOP - BOTTOM);
    set(&mut flow, &document.blocks)?;
    Ok(flow)
}

fn set(flow: &mut Flow<'_>, blocks: &[Block]) -> Result<(), PdfError> {
    for (number, block) in blocks.iter().enumerate() {
        let first = flow.pieces.len();
        match block {
            Block::Table { caption, columns, rows } => {
                table::set(flow, caption.as_deref(), columns, rows);
            }
            Block::Together(blocks) => {
                let scale = shrunk(flow, blocks)?;
                let before = std::mem::replace(&mut flow.shrunk, scale);
                set(flow, blocks)?;
                flow.shrunk = before;
                let end = flow.pieces.len().saturating_sub(1);
                let all_but_last = flow.pieces.get_mut(first..end).unwrap_or_default();
                all_but_last.iter_mut().for_each(|piece| piece.keep = true);
            }
            _ => flow.block(block)?,
        }
        if leads_to_figures(block, blocks.get(number + 1..).unwrap_or_default()) {
            flow.keep_from(first);
        }
    }
    Ok(())
}

/// How much smaller pictures are set so that blocks fit on one page; 1 where they fit, or where
/// even pictures half as large would not do it.
fn shrunk(flow: &Flow<'_>, blocks: &[Block]) -> Result<f32, PdfError> {
    /// Smaller, the names in a picture are too small to read (our own choice).
    const LEAST: f32 = 0.5;
    let mut scale = 1.0;
    // Words below a narrower picture take more lines: another look or two.
    for _ in 0..4 {
        let mut trial = Flow::new(flow.fonts, flow.width, flow.height);
        trial.shrunk = scale;
        set(&mut trial, blocks)?;
        let beyond = trial.used() - trial.height;
        if beyond <= 0.0 {
            return Ok(scale);
        }
        // A hair more than needed, for rounding.
        scale *= 1.0 - (beyond + 0.5) / trial.pictures.max(1.0);
        if scale < LEAST {
            break;
        }
    }
    Ok(1.0)
}

/// Whether pictures come after a paragraph, perhaps after others, or their key after pictures.
fn leads_to_figures(block: &Block, after: &[Block]) -> bool {
    if let (Block::Figures(_), Some(Block::Figures(next))) = (block, after.first()) {
        return next.iter().all(|figure| figure.caption.is_empty());
    }
    let is_paragraph = |block: &Block| matches!(block, Block::Paragraph { .. });
    let next = after.iter().find(|block| !is_paragraph(block));
    is_paragraph(block) && matches!(next, Some(Block::Figures(_)))
}

fn write(
    document: &Document,
    paper: Paper,
    settings: SerializeSettings,
) -> Result<Vec<u8>, PdfError> {
    let (width, height) = paper.points();
    let fonts = Fonts::new()?;
    let flow = flowed(document, (width, height), &fonts)?;
    let mut pages = paginate(&flow.pieces, &flow.heads, flow.height);
    if pages.is_empty() {
        // A document of nothing is one page, so that the file can be opened.
        pages.push(Vec::new());
    }
    let mut writer = Writer::new_with(settings);
    let mut bookmarks = Vec::new();
    let Flow { pieces, heads, mut structure, .. } = flow;
    for (number, placed) in pages.iter().enumerate() {
        let settings = PageSettings::from_wh(width, height)
            .ok_or_else(|| PdfError::Write("the paper has no size".to_owned()))?;
        let mut page = writer.start_page_with(settings);
        let mut surface = page.surface();
        for (mark, outside) in running(document, &fonts, (width, height), number, pages.len()) {
            paint(&mut surface, &fonts, &mut structure, &mark, (0.0, 0.0), outside);
        }
        for placed in placed {
            let list = if placed.is_head { &heads } else { &pieces };
            let piece = &list[placed.number];
            let top = TOP + placed.top;
            if let Some((level, words)) = &piece.bookmark {
                bookmarks.push((*level, words.clone(), number, top));
            }
            for mark in &piece.marks {
                paint(&mut surface, &fonts, &mut structure, mark, (SIDE, top), Outside::Layout);
            }
        }
        surface.finish();
        page.finish();
    }
    writer.set_outline(outline(&bookmarks));
    writer.set_metadata(metadata(document));
    writer.set_tag_tree(structure.tree());
    writer.finish().map_err(|error| match error {
        KrillaError::Image(_, _, reason) => PdfError::Picture { caption: String::new(), reason },
        KrillaError::Validation(faults) => PdfError::Write(format!("{faults:?}")),
        other => PdfError::Write(other.to_string()),
    })
}

/// What stands at the head and the foot of page `number` (from 0) of `count`.
fn running(
    document: &Document,
    fonts: &Fonts,
    (width, height): (f32, f32),
    number: usize,
    count: usize,
) -> Vec<(Mark, Outside)> {
    let text = width - 2.0 * SIDE;
    let mut marks = Vec::new();
    let mut line = |words: &str, room: f32, right: bool, top: f32, outside| {
        let line = fonts.one_line(words, RUNNING, room);
        let used = line.width;
        let x = if right { SIDE + text - used } else { SIDE };
        marks.push((
            Mark { x, y: top + fonts.baseline(RUNNING), ink: paint::Ink::Line(line), part: None },
            outside,
        ));
        used
    };
    if number > 0 {
        line(&document.title, text, false, HEAD_AT, Outside::Header);
    }
    let foot = height - FOOT_AT + 5.0;
    let place = format!("{} {} {count}", number + 1, document.page_of);
    let used = line(&place, text, true, foot, Outside::Footer);
    line(&document.footer, text - used - 20.0, false, foot, Outside::Footer);
    let rule = Mark::fill(SIDE, height - FOOT_AT, text, 0.5, RULE);
    marks.push((rule, Outside::Footer));
    if number > 0 {
        let rule = Mark::fill(SIDE, HEAD_AT + 13.0, text, 0.5, ACCENT);
        marks.push((rule, Outside::Header));
    }
    marks
}

/// The list of contents: each heading inside of the last one of a lower level.
fn outline(bookmarks: &[(u8, String, usize, f32)]) -> Outline {
    let mut outline = Outline::new();
    // Headings that may still get more below them.
    let mut open: Vec<(u8, OutlineNode)> = Vec::new();
    let mut close = |open: &mut Vec<(u8, OutlineNode)>, level: u8| {
        while open.last().is_some_and(|(last, _)| *last >= level) {
            let Some((_, node)) = open.pop() else { break };
            match open.last_mut() {
                Some((_, outer)) => outer.push_child(node),
                None => outline.push_child(node),
            }
        }
    };
    for (level, words, page, top) in bookmarks {
        close(&mut open, *level);
        let place = XyzDestination::new(*page, Point::from_xy(SIDE, top - 8.0));
        let node = OutlineNode::new(words.clone(), place).with_open(*level == 1);
        open.push((*level, node));
    }
    close(&mut open, 0);
    outline
}

fn metadata(document: &Document) -> Metadata {
    let mut metadata =
        Metadata::new().title(clean(&document.title)).language(document.language.clone());
    if !document.author.is_empty() {
        metadata = metadata.authors(vec![clean(&document.author)]);
    }
    if let Some(date) = date(&document.date) {
        metadata = metadata.creation_date(date);
    }
    metadata
}

/// `YYYY-MM-DD`; none for anything else.
fn date(text: &str) -> Option<DateTime> {
    let mut parts = text.split('-').map(str::parse::<u16>);
    let (year, month, day) = (parts.next()?.ok()?, parts.next()?.ok()?, parts.next()?.ok()?);
    let month = u8::try_from(month).ok().filter(|month| (1..=12).contains(month))?;
    let day = u8::try_from(day).ok().filter(|day| (1..=31).contains(day))?;
    parts.next().is_none().then(|| DateTime::new(year).month(month).day(day))
}

#[cfg(test)]
mod tests;
