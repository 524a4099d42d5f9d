//! The carried font: registering it, measuring text, and making text fit.
//!
//! `DejaVu` Sans and its bold come from the crate `dejavu` (2.37). The crate's own code is MIT or
//! Apache-2.0; the font files are under the Bitstream Vera and Arev licences, `DejaVu`'s changes being
//! in the public domain. `FONT-LICENCE.txt` beside this file says what that asks of us.

use std::sync::OnceLock;

use plotters::style::{FontStyle, register_font};

use super::DrawError;
use super::glyphs::Glyphs;
use super::picture::Thresholds;

/// The name under which the font is registered. It is also what the SVG asks its viewer for, hence
/// a list of families: Verdana has nearly the same widths.
pub(super) const FAMILY: &str = "DejaVu Sans, Verdana, sans-serif";

/// Line height over ascender plus descender of `DejaVu` Sans: (1901 + 483) / 2048 units per em, read
/// from the font's `hhea` table. The raster back end scales glyphs by this height, not by the em.
pub(super) const HEIGHT_PER_EM: f64 = 2384.0 / 2048.0;

/// Height of capitals over the em, 1493 / 2048, from the font's outline of H.
pub(super) const CAPITALS_PER_EM: f64 = 1493.0 / 2048.0;

/// Registers the font; later calls do nothing.
pub(super) fn register() -> Result<(), DrawError> {
    static DONE: OnceLock<bool> = OnceLock::new();
    let done = *DONE.get_or_init(|| {
        register_font(FAMILY, FontStyle::Normal, dejavu::sans::regular()).is_ok()
            && register_font(FAMILY, FontStyle::Bold, dejavu::sans::bold()).is_ok()
            && Type::regular(1.0).glyphs().is_some()
            && Type::bold(1.0).glyphs().is_some()
    });
    if done { Ok(()) } else { Err(DrawError::Font) }
}

/// How a piece of text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Type {
    /// Size of the em, pixels.
    pub em: f64,
    /// Whether it is bold.
    pub bold: bool,
}

impl Type {
    /// Regular text.
    pub const fn regular(em: f64) -> Self {
        Self { em, bold: false }
    }

    /// Bold text.
    pub const fn bold(em: f64) -> Self {
        Self { em, bold: true }
    }

    /// The font's style.
    pub const fn style(self) -> FontStyle {
        if self.bold { FontStyle::Bold } else { FontStyle::Normal }
    }

    /// Metrics of the glyphs.
    pub fn glyphs(self) -> Option<&'static Glyphs> {
        static REGULAR: OnceLock<Option<Glyphs>> = OnceLock::new();
        static BOLD: OnceLock<Option<Glyphs>> = OnceLock::new();
        if self.bold {
            BOLD.get_or_init(|| Glyphs::read(dejavu::sans::bold())).as_ref()
        } else {
            REGULAR.get_or_init(|| Glyphs::read(dejavu::sans::regular())).as_ref()
        }
    }

    /// Width of a text, pixels.
    pub fn width(self, text: &str) -> f64 {
        self.em * self.glyphs().map_or(0.6 * text.len() as f64, |glyphs| glyphs.width(text))
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
        let (mut fits, mut fails) = (0, letters.len() + 1);
        while fails - fits > 1 {
            let middle = (fits + fails) / 2;
            if self.width(&cut(middle)) <= width {
                fits = middle;
            } else {
                fails = middle;
            }
        }
        cut(fits.min(letters.len()))
    }

    /// The text broken into lines of at most `width`, and at most `lines` of them; what is left over
    /// is cut with an ellipsis.
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

/// Text that may be shown and may stand in XML: control characters become spaces, characters that
/// turn the direction of writing or are not allowed in XML 1.0 are left out, ends are trimmed.
pub(super) fn clean(text: &str) -> String {
    let shown: String = text
        .chars()
        .filter(|letter| {
            !matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fffe}' | '\u{ffff}')
        })
        .map(|letter| if letter.is_control() { ' ' } else { letter })
        .collect();
    shown.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A margin as it is written on the picture: signed, with a true minus, in whole decibels; in tenths
/// within 1 dB of a threshold, so that rounding does not carry it across.
pub(super) fn margin(margin_db: f64, thresholds: Thresholds) -> String {
    let near = |threshold: f64| (margin_db - threshold).abs() < 1.0;
    if near(thresholds.failing_below_db) || near(thresholds.sound_from_db) {
        return signed((margin_db * 10.0).round() / 10.0);
    }
    decibels(margin_db)
}

/// A level of the colour bar or of a contour line: signed, in tenths if it is not whole.
pub(super) fn level(margin_db: f64) -> String {
    signed((margin_db * 10.0).round() / 10.0)
}

/// Signed whole decibels, with a true minus.
fn decibels(margin_db: f64) -> String {
    if margin_db.is_nan() {
        return "no margin".to_owned();
    }
    if margin_db.is_infinite() {
        return if margin_db > 0.0 { "+∞ dB" } else { "−∞ dB" }.to_owned();
    }
    signed(margin_db.round())
}

fn signed(margin_db: f64) -> String {
    if margin_db < 0.0 {
        format!("−{} dB", -margin_db)
    } else if margin_db > 0.0 {
        format!("+{margin_db} dB")
    } else {
        "0 dB".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
        assert_eq!(decibels(-9.4), "−9 dB");
        assert_eq!(decibels(-0.3), "0 dB");
        assert_eq!(decibels(f64::INFINITY), "+∞ dB");
        let thresholds = Thresholds { failing_below_db: 4.0, sound_from_db: 13.0 };
        assert_eq!(margin(3.62, thresholds), "+3.6 dB");
        assert_eq!(margin(8.62, thresholds), "+9 dB");
        assert_eq!(margin(f64::NAN, thresholds), "no margin");
    }
}
