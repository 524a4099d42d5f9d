//! The colour bar of the legend.

use super::DrawError;
use super::areas::{Hatching, hatch};
use super::canvas::{Align, Canvas, Surface};
use super::field::contour_style;
use super::font::{CAPITALS_PER_EM, Type, clean, level};
use super::legend::SAMPLE;
use super::picture::{Finding, Picture};
use super::ramp::{Bands, FRAME, INK, PAPER, QUIET};
use super::rect::Rect;

/// What the colour bar says besides its numbers.
#[derive(Debug, Clone)]
pub(super) struct Captions {
    /// Words beside the three parts, the strongest margins first; empty for the finding's own.
    words: [String; 3],
    hatching: Hatching,
}

impl Captions {
    /// Those of a picture.
    pub fn of(picture: &Picture) -> Self {
        Self {
            words: picture.field_words.each_ref().map(|word| clean(word)),
            hatching: Hatching::of(picture),
        }
    }
}

/// Draws the colour bar: bands, decibels on its left, the findings and thresholds on its right.
pub(super) fn draw_bar<S: Surface>(
    canvas: &mut Canvas<S>,
    bands: &Bands,
    captions: &Captions,
    rect: Rect,
    size: f64,
) -> Result<(), DrawError> {
    let (left, right) = (rect.x0 + SAMPLE * size, rect.x0 + (SAMPLE + 34.0) * size);
    // Points at both ends say that the outer bands go on.
    let (top, bottom) = (rect.y0 + 18.0 * size, rect.y1 - 24.0 * size);
    let (least, most) = (bands.least_db(), bands.most_db());
    let height_of = |margin: f64| {
        if most > least {
            bottom - (margin - least) / (most - least) * (bottom - top)
        } else {
            bottom
        }
    };
    let middle = (left + right) / 2.0;
    let point = 13.0 * size;
    canvas.polygon(
        &[[left, top], [middle, top - point], [right, top]],
        bands.ink(bands.edges_db.len()),
    )?;
    canvas.polygon(&[[left, bottom], [middle, bottom + point], [right, bottom]], bands.ink(0))?;
    for (index, pair) in bands.edges_db.windows(2).enumerate() {
        let band = Rect { x0: left, y0: height_of(pair[1]), x1: right, y1: height_of(pair[0]) };
        canvas.rectangle(band, bands.ink(index + 1))?;
    }
    let thresholds = bands.thresholds;
    let failing = height_of(thresholds.failing_below_db);
    let sound = height_of(thresholds.sound_from_db);
    let foot = vec![
        [left, failing],
        [right, failing],
        [right, bottom],
        [middle, bottom + point],
        [left, bottom],
    ];
    for line in hatch(&[foot], captions.hatching.spacing * size, true) {
        canvas.line(&line, captions.hatching.width * size, captions.hatching.ink)?;
    }
    let outline = [
        [left, top],
        [middle, top - point],
        [right, top],
        [right, bottom],
        [middle, bottom + point],
        [left, bottom],
    ];
    canvas.outline(&outline, size, FRAME)?;

    let small = Type::regular(12.5 * size);
    let lift = small.em * CAPITALS_PER_EM / 2.0;
    // Two lines of text must not run into one another when the thresholds are close.
    let apart = (16.0 * size - (failing - sound)).max(0.0) / 2.0;
    for (margin, y, shift, above) in [
        (thresholds.failing_below_db, failing, apart, Finding::Thin),
        (thresholds.sound_from_db, sound, -apart, Finding::Sound),
    ] {
        let bold = Type::bold(13.5 * size);
        let (width, dash) = contour_style(above);
        let tick = [[left - 8.0 * size, y], [right + 8.0 * size, y]];
        canvas.line(&tick, (width + 2.0) * size, PAPER)?;
        match dash {
            Some((on, off)) => canvas.dashed(&tick, (on * size, off * size), width * size, INK)?,
            None => canvas.line(&tick, width * size, INK)?,
        }
        let at = [left - 12.0 * size, y + shift + lift];
        canvas.text(&level(margin), at, bold, Align::Right, INK)?;
    }
    let ticks = bands
        .edges_db
        .iter()
        .filter(|edge| **edge != thresholds.failing_below_db && **edge != thresholds.sound_from_db);
    let mut last = f64::INFINITY;
    for &edge in ticks {
        let y = height_of(edge);
        let near = (y - failing).abs().min((y - sound).abs()) < 17.0 * size + apart;
        canvas.line(&[[left - 4.0 * size, y], [left, y]], size, FRAME)?;
        if near || last - y < 30.0 * size {
            continue;
        }
        last = y;
        let at = [left - 12.0 * size, y + lift];
        canvas.text(&level(edge), at, small, Align::Right, QUIET)?;
    }
    let word = Type::bold(14.0 * size);
    let lift = word.em * CAPITALS_PER_EM / 2.0;
    let x = right + 14.0 * size;
    let between = (failing + sound) / 2.0;
    let high = ((top + sound) / 2.0).min(between - 17.0 * size);
    let low = ((bottom + failing) / 2.0).max(between + 17.0 * size);
    let findings = [Finding::Sound, Finding::Thin, Finding::Failing];
    for ((finding, own), y) in findings.into_iter().zip(&captions.words).zip([high, between, low]) {
        let text = if own.is_empty() { finding.word() } else { own };
        let text = word.fit(text, rect.x1 - x);
        canvas.text(&text, [x, y + lift], word, Align::Left, INK)?;
    }
    let hint = [x, low + lift + 17.0 * size];
    canvas.text("hatched", hint, small, Align::Left, QUIET)
}
