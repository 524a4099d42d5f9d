//! The carried font: registering it, measuring text, and making text fit.
//!
//! `DejaVu` Sans and its bold come from the crate `dejavu` (2.37). The crate's own code is MIT or
//! Apache-2.0; the font files are under the Bitstream Vera and Arev licences, `DejaVu`'s changes
//! being in the public domain. `FONT-LICENCE.txt` in the crate says what that asks of us.

use std::sync::OnceLock;

use plotters::style::{FontStyle, register_font};
use ttf_parser::Face;

use crate::base::error::DrawError;
use input::is_hidden;

/// The name under which the font is registered. It is also what the SVG asks its viewer for, hence
/// a list of families: Verdana has nearly the same widths.
pub(crate) const FAMILY: &str = "DejaVu Sans, Verdana, sans-serif";

/// Line height over ascender plus descender of `DejaVu` Sans: (1901 + 483) / 2048 units per em,
/// read from the font's `hhea` table. The raster back end scales glyphs by this height, not by the
/// em.
pub(crate) const HEIGHT_PER_EM: f64 = 2384.0 / 2048.0;

/// Height of capitals over the em, 1493 / 2048, from the font's outline of H.
pub(crate) const CAPITALS_PER_EM: f64 = 1493.0 / 2048.0;

/// Registers the font; later calls do nothing.
pub(crate) fn register() -> Result<(), DrawError> {
    static DONE: OnceLock<bool> = OnceLock::new();
    let done = *DONE.get_or_init(|| {
        register_font(FAMILY, FontStyle::Normal, dejavu::sans::regular()).is_ok()
            && register_font(FAMILY, FontStyle::Bold, dejavu::sans::bold()).is_ok()
            && Type::regular(1.0).face().is_some()
            && Type::bold(1.0).face().is_some()
    });
    if done { Ok(()) } else { Err(DrawError::Font) }
}

/// Which end of a text its place names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Align {
    Left,
    Middle,
    Right,
}

/// How a piece of text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Type {
    /// Size of the em, pixels.
    pub em: f64,
    pub bold: bool,
}

impl Type {
    pub const fn regular(em: f64) -> Self {
        Self { em, bold: false }
    }

    pub const fn bold(em: f64) -> Self {
        Self { em, bold: true }
    }

    pub const fn style(self) -> FontStyle {
        if self.bold { FontStyle::Bold } else { FontStyle::Normal }
    }

    /// The font's tables; none if they cannot be read.
    fn face(self) -> Option<&'static Face<'static>> {
        static FACES: [OnceLock<Option<Face<'static>>>; 2] = [const { OnceLock::new() }; 2];
        let font = if self.bold { dejavu::sans::bold } else { dejavu::sans::regular };
        FACES[usize::from(self.bold)].get_or_init(|| Face::parse(font(), 0).ok()).as_ref()
    }

    /// Advance width and left side bearing of a letter, in em; those of the missing glyph if need
    /// be. plotters' text on a raster puts each glyph's black against the pen and so loses the room
    /// that the font leaves at the glyph's left; with the bearing each glyph can be put where it
    /// belongs.
    pub fn letter(self, letter: char) -> (f64, f64) {
        self.face().map_or((0.6, 0.0), |face| {
            let units = f64::from(face.units_per_em());
            let glyph = face.glyph_index(letter).unwrap_or_default();
            let advance = face.glyph_hor_advance(glyph).unwrap_or_default();
            let bearing = face.glyph_hor_side_bearing(glyph).unwrap_or_default();
            (f64::from(advance) / units, f64::from(bearing) / units)
        })
    }

    /// Width of a text, pixels.
    pub fn width(self, text: &str) -> f64 {
        self.em * text.chars().map(|letter| self.letter(letter).0).sum::<f64>()
    }

    /// Where a text begins that begins, is centred or ends at `x`.
    pub fn left(self, text: &str, x: f64, align: Align) -> f64 {
        match align {
            Align::Left => x,
            Align::Middle => x - self.width(text) / 2.0,
            Align::Right => x - self.width(text),
        }
    }

    /// This type, smaller if the text is wider than `room`.
    pub fn within(self, text: &str, room: f64) -> Self {
        let width = self.width(text);
        if width > room { Self { em: self.em * room / width, ..self } } else { self }
    }

    /// How far below the middle of capitals their base line lies, pixels.
    pub fn lift(self) -> f64 {
        self.em * CAPITALS_PER_EM / 2.0
    }

    /// The text as it is, or its beginning with an ellipsis, so that it is no wider than `width`.
    /// Very long texts are first cut to 400 characters.
    pub fn fit(self, text: &str, width: f64) -> String {
        let letters: Vec<char> = text.chars().take(400).collect();
        let whole: String = letters.iter().collect();
        if letters.len() == text.chars().count() && self.width(&whole) <= width {
            return whole;
        }
        let cut = |count: usize| {
            let start: String = letters.iter().take(count).collect();
            format!("{}…", start.trim_end())
        };
        let counts: Vec<usize> = (1..=letters.len()).collect();
        cut(counts.partition_point(|&count| self.width(&cut(count)) <= width))
    }

    /// The text broken into lines of at most `width`, and at most `lines` of them; what is left
    /// over is cut with an ellipsis.
    pub fn wrap(self, text: &str, width: f64, lines: usize) -> Vec<String> {
        let mut broken: Vec<String> = Vec::new();
        let mut words = text.split_whitespace().peekable();
        while let Some(word) = words.next() {
            let mut line = word.to_owned();
            while let Some(next) = words.peek() {
                let longer = format!("{line} {next}");
                if self.width(&longer) > width {
                    break;
                }
                line = longer;
                words.next();
            }
            if broken.len() + 1 == lines {
                for rest in words.by_ref().take(40) {
                    line = format!("{line} {rest}");
                }
            }
            broken.push(self.fit(&line, width));
            if broken.len() == lines {
                break;
            }
        }
        broken
    }
}

/// Text that may be shown and may stand in XML 1.0: control characters become spaces, other hidden
/// ones are left out, ends are trimmed.
pub(crate) fn clean(text: &str) -> String {
    let shown = text.chars().filter(|letter| letter.is_control() || !is_hidden(*letter));
    let shown: String = shown.map(|c| if c.is_control() { ' ' } else { c }).collect();
    shown.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Texts with a divider between them, those left out that are empty.
pub(crate) fn joined<const N: usize>(texts: [String; N], divider: &str) -> String {
    let texts: Vec<String> = texts.into_iter().filter(|text| !text.is_empty()).collect();
    texts.join(divider)
}

#[cfg(test)]
mod tests {
    use super::*;
    use plotters::style::{FontDesc, FontFamily};

    #[test]
    fn long_text_is_cut_to_fit() {
        register().expect("the carried font");
        let kind = Type::regular(14.0);
        let name = "Überwachungsmelder Hintereingang <script>alert(1)</script> & mehr";
        let cut = kind.fit(name, 120.0);
        assert!(cut.ends_with('…') && kind.width(&cut) <= 120.0, "{cut}");
        assert_eq!(kind.fit("Hall", 120.0), "Hall");
        assert_eq!(kind.fit("Hall", 0.0), "…");
        let lines = kind.wrap(&"word ".repeat(100), 200.0, 3);
        assert_eq!(lines.len(), 3);
        assert!(lines.iter().all(|line| kind.width(line) <= 200.0));
        assert!(lines[2].ends_with('…'));
    }

    #[test]
    fn text_is_made_safe() {
        assert_eq!(clean("a\u{0}b\n c\u{202e}d\u{ffff}"), "a b cd");
    }

    #[test]
    fn widths_are_those_that_plotters_measures() {
        register().expect("the carried font");
        for kind in [Type::regular(1000.0), Type::bold(1000.0)] {
            for letter in "ailMW0−…ü№≥漢".chars() {
                let text: String = [letter; 8].iter().collect();
                let size = 1000.0 * HEIGHT_PER_EM;
                let (_, (width, _)) = FontDesc::new(FontFamily::Name(FAMILY), size, kind.style())
                    .layout_box(&text)
                    .expect("a box");
                // plotters cuts to whole pixels.
                let off = kind.width(&text) - f64::from(width);
                assert!((-0.1..=1.1).contains(&off), "{letter}: {off}");
            }
        }
    }
}
