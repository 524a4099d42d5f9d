//! Widths and side bearings of the carried font's glyphs, read from its tables.
//!
//! plotters' text on a raster puts each glyph's black against the pen and so loses the room that
//! the font leaves at the glyph's left; words then fall apart. With the bearings at hand each glyph
//! can be put where it belongs, and text is measured without going through a back end.
//!
//! # References
//! The tables `head`, `hhea`, `hmtx` and `cmap` (format 12) of the OpenType specification; layouts
//! from memory, checked by the tests against widths that plotters measures.

use std::collections::BTreeMap;

/// Horizontal metrics of a font, in em.
#[derive(Debug)]
pub(super) struct Glyphs {
    /// Advance width and left side bearing by glyph number.
    metrics: Vec<(f64, f64)>,
    /// By first character of a run: its last character and the glyph number of the first.
    runs: BTreeMap<u32, (u32, u32)>,
}

impl Glyphs {
    /// Reads a font file; `None` if it is not as expected.
    pub fn read(font: &[u8]) -> Option<Self> {
        let units = f64::from(short(table(font, b"head")?, 18)?);
        let count = usize::from(short(table(font, b"hhea")?, 34)?);
        let entries = table(font, b"hmtx")?;
        let mut metrics = Vec::with_capacity(count);
        for entry in 0..count {
            let advance = short(entries, 4 * entry)?;
            let bearing = short(entries, 4 * entry + 2)?.cast_signed();
            metrics.push((f64::from(advance) / units, f64::from(bearing) / units));
        }
        // The glyphs after the last entry share its width and have only a bearing.
        let last = metrics.last()?.0;
        let mut place = 4 * count;
        while let Some(bearing) = short(entries, place) {
            metrics.push((last, f64::from(bearing.cast_signed()) / units));
            place += 2;
        }
        Some(Self { metrics, runs: characters(table(font, b"cmap")?)? })
    }

    /// Advance width and left side bearing of a character; that of the missing glyph if need be.
    pub fn character(&self, letter: char) -> (f64, f64) {
        let code = u32::from(letter);
        let glyph = self
            .runs
            .range(..=code)
            .next_back()
            .filter(|(_, (last, _))| code <= *last)
            .map_or(0, |(first, (_, glyph))| glyph + (code - first));
        self.metrics.get(glyph as usize).copied().unwrap_or_default()
    }

    /// Width of a text at an em of 1.
    pub fn width(&self, text: &str) -> f64 {
        text.chars().map(|letter| self.character(letter).0).sum()
    }
}

fn short(bytes: &[u8], at: usize) -> Option<u16> {
    let bytes = bytes.get(at..at.checked_add(2)?)?;
    Some(u16::from_be_bytes(bytes.try_into().ok()?))
}

fn long(bytes: &[u8], at: usize) -> Option<u32> {
    let bytes = bytes.get(at..at.checked_add(4)?)?;
    Some(u32::from_be_bytes(bytes.try_into().ok()?))
}

/// A table of the font by its name.
fn table<'a>(font: &'a [u8], name: &[u8; 4]) -> Option<&'a [u8]> {
    let count = usize::from(short(font, 4)?);
    let record = (0..count)
        .map(|index| 12 + 16 * index)
        .find(|&at| font.get(at..at + 4).is_some_and(|tag| tag == name))?;
    let (from, length) = (long(font, record + 8)? as usize, long(font, record + 12)? as usize);
    font.get(from..from.checked_add(length)?)
}

/// The runs of the first subtable of format 12.
fn characters(cmap: &[u8]) -> Option<BTreeMap<u32, (u32, u32)>> {
    let count = usize::from(short(cmap, 2)?);
    let subtable = (0..count)
        .filter_map(|index| long(cmap, 4 + 8 * index + 4))
        .filter_map(|offset| cmap.get(offset as usize..))
        .find(|subtable| short(subtable, 0) == Some(12))?;
    let groups = long(subtable, 12)? as usize;
    (0..groups)
        .map(|group| {
            let at = 16 + 12 * group;
            let (first, last) = (long(subtable, at)?, long(subtable, at + 4)?);
            Some((first, (last, long(subtable, at + 8)?)))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::font;
    use super::*;
    use plotters::style::{FontDesc, FontFamily, FontStyle};

    #[test]
    fn widths_are_those_that_plotters_measures() {
        font::register().expect("the carried font");
        for (bytes, style) in
            [(dejavu::sans::regular(), FontStyle::Normal), (dejavu::sans::bold(), FontStyle::Bold)]
        {
            let glyphs = Glyphs::read(bytes).expect("a font");
            for letter in "ailMW0−…ü№≥漢".chars() {
                let text: String = [letter; 8].iter().collect();
                let size = 1000.0 * font::HEIGHT_PER_EM;
                let (_, (width, _)) = FontDesc::new(FontFamily::Name(font::FAMILY), size, style)
                    .layout_box(&text)
                    .expect("a box");
                // plotters cuts to whole pixels.
                let off = glyphs.width(&text) * 1000.0 - f64::from(width);
                assert!((-0.1..=1.1).contains(&off), "{letter}: {off}");
            }
        }
    }

    #[test]
    fn broken_fonts_are_refused() {
        assert!(Glyphs::read(&[]).is_none());
        let font = dejavu::sans::regular();
        for length in [3, 11, 200, 5000] {
            assert!(Glyphs::read(&font[..length]).is_none());
        }
    }
}
