//! From the blocks of a document to pieces that stand below each other.

use std::num::NonZeroU16;

use krilla::image::Image;
use krilla::tagging::{ListNumbering, Tag};

use super::error::PdfError;
use super::face::{
    ACCENT, BODY, Face, Fonts, INK, LABEL, Line, MUTED, NOTICE_FILL, NOTICE_RULE, RULE, SMALL,
    STAMP, STRONG, Style, style,
};
use super::pages::Piece;
use super::paint::{Ink, Mark, Part, Structure, frame};
use crate::block::{ABREAST, in_rows};
use crate::{Block, Figure, Form, Weight};

/// Room between blocks, points.
const GAP: f32 = 9.0;
/// Between pictures, and between places to sign, points.
const GUTTER: f32 = 14.0;
/// Highest that pictures are, as a share of the page (our own choice).
const HIGHEST: f32 = 0.56;
/// Room for writing by hand on a ruled line, points (8 mm, common practice for handwriting).
const WRITING: f32 = 22.7;

/// Collects pieces.
pub(super) struct Flow<'a> {
    pub(super) fonts: &'a Fonts,
    /// Width and height of the text on a page, points.
    pub(super) width: f32,
    pub(super) height: f32,
    pub(super) pieces: Vec<Piece>,
    /// Heads of tables, to be repeated.
    pub(super) heads: Vec<Piece>,
    pub(super) structure: Structure,
    /// By how much pictures are set smaller than the page allows, and how high they are together.
    pub(super) shrunk: f32,
    pub(super) pictures: f32,
    new_page: bool,
}

impl<'a> Flow<'a> {
    pub(super) fn new(fonts: &'a Fonts, width: f32, height: f32) -> Self {
        Self {
            fonts,
            width,
            height,
            pieces: Vec::new(),
            heads: Vec::new(),
            structure: Structure::default(),
            shrunk: 1.0,
            pictures: 0.0,
            new_page: false,
        }
    }

    pub(super) fn push(&mut self, mut piece: Piece) {
        piece.new_page = std::mem::take(&mut self.new_page);
        self.pieces.push(piece);
    }

    /// The next piece stays with the last one.
    fn keep_last(&mut self) {
        if let Some(last) = self.pieces.last_mut() {
            last.keep = true;
        }
    }

    /// Pieces from a number on stay with what follows them, unless they are many lines.
    pub(super) fn keep_from(&mut self, first: usize) {
        /// More lines are no few words about a picture (our own choice).
        const FEW: usize = 6;
        let new = self.pieces.get_mut(first..).unwrap_or_default();
        if new.len() <= FEW {
            new.iter_mut().for_each(|piece| piece.keep = true);
        }
    }

    /// How high the pieces are on one page, points.
    pub(super) fn used(&self) -> f32 {
        let heights = self.pieces.iter().enumerate();
        heights.map(|(at, piece)| piece.height + if at == 0 { 0.0 } else { piece.gap }).sum()
    }

    /// The mark of a line whose upper edge is at `top`.
    pub(super) fn text(&self, line: Line, x: f32, top: f32, part: Option<Part>) -> Mark {
        Mark { x, y: top + self.fonts.baseline(line.style), ink: Ink::Line(line), part }
    }

    /// Adds the marks of lines under one another from `top` on; returns where they end.
    pub(super) fn column(
        &self,
        marks: &mut Vec<Mark>,
        lines: Vec<Line>,
        [x, mut top]: [f32; 2],
        part: Part,
    ) -> f32 {
        for line in lines {
            let leading = line.style.leading;
            marks.push(self.text(line, x, top, Some(part)));
            top += leading;
        }
        top
    }

    /// A new entry of a list: its label and its body.
    fn item(&mut self, list: Part) -> [Part; 2] {
        let item = self.structure.add(Some(list), Tag::LI);
        [self.structure.add(Some(item), Tag::Lbl), self.structure.add(Some(item), Tag::LBody)]
    }

    pub(super) fn block(&mut self, block: &Block) -> Result<(), PdfError> {
        match block {
            Block::Heading { level, text } => self.heading(*level, text),
            Block::Paragraph { text, weight } => {
                let style = match weight {
                    Weight::Plain => BODY,
                    Weight::Strong => STRONG,
                    Weight::Small => SMALL,
                    Weight::Large => style(Face::Bold, 19.0, 25.0, ACCENT),
                };
                let part = self.structure.add(None, Tag::P);
                let lines = self.fonts.lines(text, style, self.width);
                self.lines(lines, 0.0, GAP, part);
            }
            Block::List(entries) => self.list(entries),
            Block::Facts(facts) => self.facts(facts),
            Block::Notice { title, lines } => self.notice(title, lines),
            Block::Figures(figures) => {
                let rows = in_rows(figures);
                let count = rows.len();
                for (number, row) in rows.enumerate() {
                    if number > 0 {
                        self.keep_last();
                    }
                    self.figures(row, count)?;
                }
            }
            Block::Form(Form::Signatures(labels)) => {
                for row in labels.chunks(ABREAST) {
                    self.signatures(row);
                }
            }
            Block::Form(Form::Lines { label, count }) => self.ruled(label, *count),
            Block::Stamp(text) => self.stamp(text),
            Block::PageBreak => self.new_page = true,
            // Tables have a module of their own, and what holds others is taken apart before.
            Block::Table { .. } | Block::Together(_) => {}
        }
        Ok(())
    }

    /// Lines below each other: the first two and the last two stay together.
    fn lines(&mut self, lines: Vec<Line>, x: f32, gap: f32, part: Part) {
        let count = lines.len();
        for (number, line) in lines.into_iter().enumerate() {
            let height = line.style.leading;
            let mark = self.text(line, x, 0.0, Some(part));
            let gap = if number == 0 { gap } else { 0.0 };
            self.push(Piece { keep: tied(number, count), ..Piece::new(height, gap, vec![mark]) });
        }
    }

    fn heading(&mut self, level: u8, text: &str) {
        let (style, gap) = match level {
            0 | 1 => (style(Face::Bold, 21.0, 27.0, ACCENT), 18.0),
            2 => (style(Face::Bold, 13.5, 18.0, ACCENT), 22.0),
            _ => (style(Face::Bold, 10.5, 15.0, INK), 15.0),
        };
        let words = crate::clean(text);
        let number = NonZeroU16::MIN.saturating_add(u16::from(level.clamp(1, 3)) - 1);
        let tag = Tag::Hn(number, Some(words.clone()));
        let part = self.structure.add(None, tag);
        let first = self.pieces.len();
        let lines = self.fonts.lines(text, style, self.width);
        self.lines(lines, 0.0, gap, part);
        self.pieces.iter_mut().skip(first).for_each(|piece| piece.keep = true);
        if level <= 1 {
            // A short rule below the title of the whole.
            let rule = vec![Mark::fill(0.0, 0.0, 64.0, 2.5, ACCENT)];
            self.push(Piece { keep: true, ..Piece::new(3.0, 5.0, rule) });
        }
        if let Some(piece) = self.pieces.get_mut(first) {
            piece.bookmark = Some((level.clamp(1, 3), words));
        }
    }

    fn list(&mut self, entries: &[String]) {
        const INDENT: f32 = 14.0;
        if entries.is_empty() {
            return;
        }
        let list = self.structure.add(None, Tag::L(ListNumbering::Disc));
        for (number, entry) in entries.iter().enumerate() {
            let [label, body] = self.item(list);
            let lines = self.fonts.lines(entry, BODY, self.width - INDENT);
            let first = self.pieces.len();
            self.lines(lines, INDENT, if number == 0 { GAP } else { 3.0 }, body);
            // No entry stands alone on a page, neither the first nor the last.
            if tied(number, entries.len()) {
                self.keep_from(first);
            }
            let dot = self.fonts.one_line("•", BODY, INDENT);
            let dot = self.text(dot, 3.0, 0.0, Some(label));
            if let Some(piece) = self.pieces.get_mut(first) {
                piece.marks.insert(0, dot);
            }
        }
    }

    fn facts(&mut self, facts: &[(String, String)]) {
        const BETWEEN: f32 = 12.0;
        if facts.is_empty() {
            return;
        }
        let name_style = Style { colour: MUTED, ..BODY };
        let widest = facts
            .iter()
            .map(|(name, _)| self.fonts.widths(name, name_style).0)
            .fold(0.0, f32::max)
            .min(self.width * 0.36);
        let value_at = widest + BETWEEN;
        let list = self.structure.add(None, Tag::L(ListNumbering::None));
        for (number, (name, value)) in facts.iter().enumerate() {
            let [label, body] = self.item(list);
            let names = self.fonts.lines(name, name_style, widest);
            let values = self.fonts.lines(value, BODY, self.width - value_at);
            // Line by line, so that a value that is longer than a page goes on on the next.
            let count = names.len().max(values.len());
            let (mut names, mut values) = (names.into_iter(), values.into_iter());
            for row in 0..count {
                let mut marks = Vec::new();
                marks.extend(names.next().map(|line| self.text(line, 0.0, 0.0, Some(label))));
                marks.extend(values.next().map(|line| self.text(line, value_at, 0.0, Some(body))));
                let gap = match (row, number) {
                    (0, 0) => GAP,
                    (0, _) => 2.0,
                    _ => 0.0,
                };
                let piece = Piece::new(BODY.leading, gap, marks);
                self.push(Piece { keep: tied(row, count), ..piece });
            }
        }
    }

    fn notice(&mut self, title: &str, sentences: &[String]) {
        const PADDING: f32 = 10.0;
        const BAR: f32 = 3.0;
        let inner = self.width - 2.0 * PADDING - BAR;
        let frame_part = self.structure.add(None, Tag::Div);
        let mut lines = Vec::new();
        let head = std::iter::once((title, STRONG));
        for (text, style) in head.chain(sentences.iter().map(|line| (line.as_str(), BODY))) {
            let part = self.structure.add(Some(frame_part), Tag::P);
            lines.extend(self.fonts.lines(text, style, inner).into_iter().map(|line| (line, part)));
        }
        // A frame that is higher than a page becomes one frame a page.
        let most = ((self.height - 2.0 * PADDING) / BODY.leading).floor().max(1.0) as usize;
        for (number, part) in lines.chunks(most).enumerate() {
            let mut top = PADDING;
            let mut text = Vec::new();
            for (line, owner) in part {
                text.push(self.text(line.clone(), BAR + PADDING, top, Some(*owner)));
                top += line.style.leading;
            }
            let height = top + PADDING;
            let mut marks = vec![Mark::fill(0.0, 0.0, self.width, height, NOTICE_FILL)];
            marks.extend(frame(0.0, 0.0, self.width, height, 0.6, NOTICE_RULE));
            marks.push(Mark::fill(0.0, 0.0, BAR, height, NOTICE_RULE));
            marks.extend(text);
            self.push(Piece::new(height, if number == 0 { 12.0 } else { 0.0 }, marks));
        }
    }

    /// Pictures of equal height, as wide as the page; lower if they took over `1 / rows` of it.
    fn figures(&mut self, figures: &[Figure], rows: usize) -> Result<(), PdfError> {
        /// A row of pictures as low as this is a logo or a key: it stands at the left, is not set
        /// higher than the second figure, and never smaller where others are. Points.
        const STRIP: [f32; 2] = [80.0, 40.0];
        let mut images = Vec::new();
        for figure in figures {
            let image = Image::from_png(figure.png.clone().into(), true);
            let caption = figure.caption.clone();
            images.push(image.map_err(|reason| PdfError::Picture { caption, reason })?);
        }
        let aspects: Vec<f32> = images
            .iter()
            .map(|image| {
                let (width, height) = image.size();
                (width.max(1) as f32 / height.max(1) as f32).clamp(0.02, 50.0)
            })
            .collect();
        let together: f32 = aspects.iter().sum();
        let room = self.width - GUTTER * (figures.len().saturating_sub(1)) as f32;
        // Room for a heading and the words below stays free.
        let highest = (self.height / rows.max(1) as f32 - 90.0).min(self.height * HIGHEST);
        let mut height = (room / together.max(0.02)).min(highest.max(60.0));
        let strip = height <= STRIP[0];
        if strip {
            height = height.min(STRIP[1]);
        } else {
            height *= self.shrunk;
            self.pictures += height;
        }
        let used = height * together + self.width - room;
        let mut x = if strip { 0.0 } else { (self.width - used) / 2.0 };
        let mut marks = Vec::new();
        let mut bottom = height;
        for ((figure, image), aspect) in figures.iter().zip(images).zip(aspects) {
            let width = height * aspect;
            let group = self.structure.add(None, Tag::Div);
            let alt = crate::clean(&figure.alt);
            let part = self.structure.add(Some(group), Tag::Figure(Some(alt)));
            marks.push(Mark {
                x,
                y: 0.0,
                ink: Ink::Picture { width, height, image },
                part: Some(part),
            });
            let mut top = height + 5.0;
            // What has no words of its own, such as a logo, has no frame.
            if !figure.caption.is_empty() {
                marks.extend(frame(x, 0.0, width, height, 0.5, RULE));
                let caption = self.structure.add(Some(group), Tag::P);
                let lines = self.fonts.lines(&figure.caption, SMALL, width.max(60.0));
                top = self.column(&mut marks, lines, [x, top], caption);
            }
            bottom = bottom.max(top);
            x += width + GUTTER;
        }
        if !marks.is_empty() {
            self.push(Piece::new(bottom, 11.0, marks));
        }
        Ok(())
    }

    fn stamp(&mut self, text: &str) {
        const PADDING: f32 = 7.0;
        let kind = style(Face::Bold, 17.0, 22.0, STAMP);
        let line = self.fonts.one_line(text, kind, self.width - 2.0 * PADDING);
        let (width, height) = (line.width + 2.0 * PADDING, 22.0 + PADDING);
        let part = self.structure.add(None, Tag::P);
        let mut marks = frame(0.0, 0.0, width, height, 2.2, STAMP).to_vec();
        marks.push(self.text(line, PADDING, PADDING / 2.0, Some(part)));
        self.push(Piece { keep: true, ..Piece::new(height, GAP, marks) });
    }

    fn signatures(&mut self, labels: &[String]) {
        const ROOM: f32 = 42.0;
        let count = labels.len().max(1) as f32;
        let width = (self.width - GUTTER * (count - 1.0)) / count;
        let mut marks = Vec::new();
        let mut bottom = ROOM;
        for (number, label) in labels.iter().enumerate() {
            let x = number as f32 * (width + GUTTER);
            marks.push(Mark::fill(x, ROOM, width, 0.7, INK));
            let part = self.structure.add(None, Tag::P);
            let lines = self.fonts.lines(label, SMALL, width);
            bottom = bottom.max(self.column(&mut marks, lines, [x, ROOM + 3.0], part));
        }
        self.push(Piece::new(bottom, GAP, marks));
    }

    fn ruled(&mut self, label: &str, count: u8) {
        let part = self.structure.add(None, Tag::P);
        let lines = self.fonts.lines(label, LABEL, self.width);
        self.lines(lines, 0.0, 12.0, part);
        if count > 0 {
            self.keep_last();
        }
        for number in 0..count {
            let rule = vec![Mark::fill(0.0, WRITING - 0.6, self.width, 0.6, MUTED)];
            let keep = number == 0 && count > 1;
            self.push(Piece { keep, ..Piece::new(WRITING, 0.0, rule) });
        }
    }
}

/// Whether a line stays with the next: the first two and the last two do.
const fn tied(number: usize, count: usize) -> bool {
    number + 1 < count && (number == 0 || number + 2 == count)
}
