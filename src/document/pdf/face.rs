//! Colours and type, and letters: which glyph stands for a character, how wide a text is, where its
//! lines end.

use std::ops::Range;

use krilla::text::{Font, GlyphId, KrillaGlyph};
use unicode_linebreak::{BreakOpportunity, linebreaks};

use super::error::PdfError;

/// Stands for a character that the font lacks (U+FFFD, the Unicode replacement character).
const REPLACEMENT: char = '\u{FFFD}';

/// The two weights.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Face {
    Regular,
    Bold,
}

/// How a text is set: face, size and distance of the lines in points, colour.
#[derive(Debug, Clone, Copy)]
pub(super) struct Style {
    pub(super) face: Face,
    pub(super) size: f32,
    pub(super) leading: f32,
    pub(super) colour: [u8; 3],
}

// Colours, red green blue. Each text colour has more than 4.5 : 1 on white and on the fills below
// (WCAG 2.1, success criterion 1.4.3; the ratios are computed in a test of the parent module).
pub(super) const INK: [u8; 3] = [28, 36, 43];
pub(super) const MUTED: [u8; 3] = [77, 88, 98];
pub(super) const ACCENT: [u8; 3] = [27, 77, 92];
pub(super) const RULE: [u8; 3] = [190, 199, 206];
pub(super) const HEAD_FILL: [u8; 3] = [230, 237, 240];
pub(super) const GROUP_FILL: [u8; 3] = [244, 247, 248];
pub(super) const NOTICE_FILL: [u8; 3] = [255, 248, 230];
pub(super) const STAMP: [u8; 3] = [156, 28, 18];
pub(super) const NOTICE_RULE: [u8; 3] = [176, 112, 0];

pub(super) const fn style(face: Face, size: f32, leading: f32, colour: [u8; 3]) -> Style {
    Style { face, size, leading, colour }
}

pub(super) const BODY: Style = style(Face::Regular, 9.5, 14.0, INK);
pub(super) const STRONG: Style = style(Face::Bold, 9.5, 14.0, INK);
pub(super) const SMALL: Style = style(Face::Regular, 8.0, 11.5, MUTED);
pub(super) const LABEL: Style = style(Face::Bold, 8.5, 12.0, INK);
/// The lines at the head and the foot of the page.
pub(super) const RUNNING: Style = style(Face::Regular, 7.5, 10.0, MUTED);

/// A line of text, ready to be drawn.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) text: String,
    pub(super) glyphs: Vec<KrillaGlyph>,
    /// Without the spaces at its end, points.
    pub(super) width: f32,
    pub(super) style: Style,
}

/// The fonts of a document.
pub(super) struct Fonts([Typeface; 2]);

struct Typeface {
    font: Font,
    tables: ttf_parser::Face<'static>,
    units_per_em: f32,
}

impl Typeface {
    fn new(bytes: &'static [u8]) -> Result<Self, PdfError> {
        let font = Font::new(bytes.into(), 0).ok_or(PdfError::Font)?;
        let tables = ttf_parser::Face::parse(bytes, 0).map_err(|_| PdfError::Font)?;
        let units_per_em = f32::from(tables.units_per_em());
        Ok(Self { font, tables, units_per_em })
    }

    /// How much closer (negative) or wider apart two glyphs stand, font units.
    fn kerning(&self, left: ttf_parser::GlyphId, right: ttf_parser::GlyphId) -> i16 {
        let Some(kern) = self.tables.tables().kern else {
            return 0;
        };
        kern.subtables
            .into_iter()
            .filter(|table| table.horizontal && !table.variable)
            .find_map(|table| table.glyphs_kerning(left, right))
            .unwrap_or(0)
    }

    /// One glyph for each character, in the order of the text; advances in parts of the size.
    fn shape(&self, text: &str) -> Vec<KrillaGlyph> {
        let mut glyphs: Vec<KrillaGlyph> = Vec::with_capacity(text.len());
        let mut last = None;
        for (start, character) in text.char_indices() {
            if invisible(character) {
                continue;
            }
            let id = self
                .tables
                .glyph_index(character)
                .or_else(|| self.tables.glyph_index(REPLACEMENT))
                .unwrap_or_default();
            if let (Some(left), Some(before)) = (last, glyphs.last_mut()) {
                before.x_advance += f32::from(self.kerning(left, id)) / self.units_per_em;
            }
            let advance = self.tables.glyph_hor_advance(id).unwrap_or(0);
            glyphs.push(KrillaGlyph::new(
                GlyphId::new(u32::from(id.0)),
                f32::from(advance) / self.units_per_em,
                0.0,
                0.0,
                0.0,
                start..start + character.len_utf8(),
                None,
            ));
            last = Some(id);
        }
        glyphs
    }
}

/// Ends of lines, and characters that only tell how others are set: no ink, no width.
fn invisible(character: char) -> bool {
    matches!(
        character,
        '\n' | '\r'
            | '\u{B}'
            | '\u{C}'
            | '\u{85}'
            | '\u{AD}'
            | '\u{200B}'..='\u{200F}'
            | '\u{2028}'..='\u{202E}'
            | '\u{2060}'..='\u{2069}'
            | '\u{FE00}'..='\u{FE0F}'
            | '\u{FEFF}'
    )
}

impl Fonts {
    /// Reads the fonts that the program carries.
    pub(super) fn new() -> Result<Self, PdfError> {
        let [regular, bold] = [dejavu::sans::regular(), dejavu::sans::bold()].map(Typeface::new);
        Ok(Self([regular?, bold?]))
    }

    const fn typeface(&self, face: Face) -> &Typeface {
        &self.0[face as usize]
    }

    pub(super) fn font(&self, face: Face) -> Font {
        self.typeface(face).font.clone()
    }

    /// How far below its upper edge a line's letters stand, points.
    pub(super) fn baseline(&self, style: Style) -> f32 {
        let face = self.typeface(style.face);
        let ascent = f32::from(face.tables.ascender()) / face.units_per_em * style.size;
        let descent = f32::from(-face.tables.descender()) / face.units_per_em * style.size;
        (style.leading - ascent - descent) / 2.0 + ascent
    }

    /// The lines of a text that are no wider than `width` points; a word that is wider is broken.
    /// At least one line, be it empty.
    pub(super) fn lines(&self, text: &str, style: Style, width: f32) -> Vec<Line> {
        let text = crate::clean(text);
        let glyphs = self.typeface(style.face).shape(&text);
        let mut lines = Vec::new();
        let mut rest = glyphs.as_slice();
        for range in ranges(&text, &glyphs, width / style.size) {
            let count = rest.partition_point(|glyph| glyph.text_range.start < range.end);
            let (own, after) = rest.split_at(count);
            rest = after;
            lines.push(line(&text, range, own, style));
        }
        if lines.is_empty() {
            lines.push(line(&text, 0..0, &[], style));
        }
        lines
    }

    /// The text on one line, its end cut off where it is wider than `width` points.
    pub(super) fn one_line(&self, text: &str, style: Style, width: f32) -> Line {
        let whole = text.split_whitespace().collect::<Vec<_>>().join(" ");
        let set = |text: &str| self.lines(text, style, f32::INFINITY).swap_remove(0);
        let line = set(&whole);
        if line.width <= width {
            return line;
        }
        let cut = |glyph: &KrillaGlyph| {
            let start = line.text.get(..glyph.text_range.start).unwrap_or_default();
            set(&format!("{}…", start.trim_end()))
        };
        let count = line.glyphs.partition_point(|glyph| cut(glyph).width <= width);
        line.glyphs.get(count.saturating_sub(1)).map_or_else(|| set(""), cut)
    }

    /// Width of the text on one line, and that of its widest part that is not broken, points.
    pub(super) fn widths(&self, text: &str, style: Style) -> (f32, f32) {
        let text = crate::clean(text);
        let glyphs = self.typeface(style.face).shape(&text);
        let mut widest_line = 0.0f32;
        let mut widest_word = 0.0f32;
        let mut line_start = 0;
        let mut word_start = 0;
        for (end, kind) in linebreaks(&text) {
            widest_word = widest_word.max(extent(&text, &glyphs, word_start..end));
            word_start = end;
            if kind == BreakOpportunity::Mandatory {
                widest_line = widest_line.max(extent(&text, &glyphs, line_start..end));
                line_start = end;
            }
        }
        (widest_line * style.size, widest_word * style.size)
    }
}

fn line(text: &str, range: Range<usize>, glyphs: &[KrillaGlyph], style: Style) -> Line {
    let own: Vec<KrillaGlyph> = glyphs
        .iter()
        .map(|glyph| {
            let mut glyph = glyph.clone();
            glyph.text_range.start -= range.start;
            glyph.text_range.end -= range.start;
            glyph
        })
        .collect();
    let text = text.get(range).unwrap_or_default().to_owned();
    let width = extent(&text, &own, 0..text.len()) * style.size;
    Line { text, glyphs: own, width, style }
}

/// Width of a part of the text without the spaces at its end, in parts of the size.
fn extent(text: &str, glyphs: &[KrillaGlyph], range: Range<usize>) -> f32 {
    let from = glyphs.partition_point(|glyph| glyph.text_range.start < range.start);
    let part = text.get(range.clone()).unwrap_or_default();
    let end = range.start + part.trim_end().len();
    glyphs
        .iter()
        .skip(from)
        .take_while(|glyph| glyph.text_range.start < end)
        .map(|glyph| glyph.x_advance)
        .sum()
}

/// Which parts of the text make up its lines, when a line may be `width` times the size long.
///
/// As many words as fit go on a line, where words may part by the Unicode line breaking algorithm
/// (Unicode Standard Annex #14, as the crate `unicode-linebreak` has it).
fn ranges(text: &str, glyphs: &[KrillaGlyph], width: f32) -> Vec<Range<usize>> {
    // A hair's breadth: a column that was made as wide as a text must hold it.
    let width = width + 1e-3;
    let mut ranges = Vec::new();
    let mut start = 0;
    // End of what fits on the line so far.
    let mut fits = 0;
    for (end, kind) in linebreaks(text) {
        if fits > start && extent(text, glyphs, start..end) > width {
            ranges.push(start..fits);
            start = fits;
        }
        while extent(text, glyphs, start..end) > width {
            let cut = longest_part(glyphs, start..end, width);
            if cut >= end {
                break;
            }
            ranges.push(start..cut);
            start = cut;
        }
        fits = end;
        if kind == BreakOpportunity::Mandatory {
            if end > start {
                ranges.push(start..end);
            }
            start = end;
        }
    }
    ranges
}

/// Where a word that is too wide is broken: after as much as fits, but at least one character, and
/// not between a letter and a mark that stands above it.
fn longest_part(glyphs: &[KrillaGlyph], range: Range<usize>, width: f32) -> usize {
    let from = glyphs.partition_point(|glyph| glyph.text_range.start < range.start);
    let mut used = 0.0;
    for (number, glyph) in glyphs.iter().skip(from).enumerate() {
        if glyph.text_range.start >= range.end {
            break;
        }
        used += glyph.x_advance;
        if number > 0 && used > width && glyph.x_advance > 0.0 {
            return glyph.text_range.start;
        }
    }
    range.end
}

#[cfg(test)]
mod tests {
    use super::*;

    const STYLE: Style = style(Face::Regular, 10.0, 14.0, INK);

    fn fonts() -> Fonts {
        Fonts::new().expect("the fonts are part of the program")
    }

    fn set(text: &str, width: f32) -> Vec<String> {
        let lines = fonts().lines(text, STYLE, width);
        for line in &lines {
            assert!(line.width <= width + 0.02, "{}: {}", line.text, line.width);
        }
        lines.into_iter().map(|line| line.text).collect()
    }

    #[test]
    fn lines_end_between_words() {
        // "front door" in 10 pt is 52 pt wide.
        assert_eq!(set("front door", 60.0), ["front door"]);
        assert_eq!(set("front door", 40.0), ["front ", "door"]);
    }

    #[test]
    fn a_word_that_is_too_wide_is_broken_and_nothing_is_lost() {
        let word = "Donaudampfschifffahrtsgesellschaft";
        let lines = set(word, 60.0);
        assert!(lines.len() > 2, "{lines:?}");
        assert_eq!(lines.concat(), word);
        // Narrower than any letter: one letter a line, no endless loop.
        assert_eq!(fonts().lines("abc", STYLE, 0.1).len(), 3);
    }

    #[test]
    fn a_line_ends_where_the_text_says() {
        assert_eq!(set("one\ntwo", 500.0), ["one\n", "two"]);
        assert_eq!(set("", 500.0), [""]);
    }

    #[test]
    fn what_the_font_lacks_is_shown_as_lacking() {
        let fonts = fonts();
        let replaced = fonts.typeface(Face::Regular).shape("門");
        let sign = fonts.typeface(Face::Regular).shape("\u{FFFD}");
        assert_eq!(replaced[0].glyph_id, sign[0].glyph_id);
        assert_ne!(sign[0].glyph_id, GlyphId::new(0));
        assert!(replaced[0].x_advance > 0.0);
    }

    #[test]
    fn a_text_cut_off_says_so() {
        let line = fonts().one_line("a long text at the foot of the page", STYLE, 60.0);
        assert!(line.text.ends_with('…'), "{}", line.text);
        assert!(line.width <= 60.0);
    }
}
