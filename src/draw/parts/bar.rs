//! The colour bar of the legend.

use crate::base::{Align, Canvas, FRAME, INK, QUIET, Rect, Type, clean};
use crate::parts::areas::Hatching;
use crate::parts::bands::Bands;
use crate::parts::decibels::level;
use crate::parts::field::draw_contour;
use crate::picture::{Finding, Picture};

/// Room for the sample of a line of the legend, pixels at size 1.
pub(crate) const SAMPLE: f64 = 70.0;

/// Draws the colour bar: bands, decibels on its left, the findings and thresholds on its right.
pub(crate) fn draw_bar(pen: &mut Canvas, bands: &Bands, picture: &Picture, rect: Rect, size: f64) {
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
    let strongest = bands.ink(bands.edges_db.len());
    pen.polygon(&[[left, top], [middle, top - point], [right, top]], strongest);
    pen.polygon(&[[left, bottom], [middle, bottom + point], [right, bottom]], bands.ink(0));
    for (index, pair) in bands.edges_db.windows(2).enumerate() {
        let band = Rect { x0: left, y0: height_of(pair[1]), x1: right, y1: height_of(pair[0]) };
        pen.rectangle(band, bands.ink(index + 1));
    }
    let thresholds = bands.thresholds;
    let failing = height_of(thresholds.failing_below_db);
    let sound = height_of(thresholds.sound_from_db);
    let end = [[right, bottom], [middle, bottom + point], [left, bottom]];
    let foot = [&[[left, failing], [right, failing]], end.as_slice()].concat();
    Hatching::of(picture).draw(pen, &[foot], size);
    let head = [[left, top], [middle, top - point], [right, top]];
    let outline = [head, end].concat();
    pen.outline(&outline, size, FRAME);

    let small = Type::regular(12.5 * size);
    let lift = small.lift();
    // Two lines of text must not run into one another when the thresholds are close.
    let apart = (16.0 * size - (failing - sound)).max(0.0) / 2.0;
    for (margin, y, shift, above) in [
        (thresholds.failing_below_db, failing, apart, Finding::Thin),
        (thresholds.sound_from_db, sound, -apart, Finding::Sound),
    ] {
        let bold = Type::bold(13.5 * size);
        let tick = [[left - 8.0 * size, y], [right + 8.0 * size, y]];
        draw_contour(pen, &tick, above, size);
        let at = [left - 12.0 * size, y + shift + lift];
        pen.text(&level(margin), at, bold, Align::Right, INK);
    }
    let ticks = bands
        .edges_db
        .iter()
        .filter(|edge| **edge != thresholds.failing_below_db && **edge != thresholds.sound_from_db);
    let mut last = f64::INFINITY;
    for &edge in ticks {
        let y = height_of(edge);
        let near = (y - failing).abs().min((y - sound).abs()) < 17.0 * size + apart;
        pen.line(&[[left - 4.0 * size, y], [left, y]], size, FRAME);
        if near || last - y < 30.0 * size {
            continue;
        }
        last = y;
        pen.text(&level(edge), [left - 12.0 * size, y + lift], small, Align::Right, QUIET);
    }
    let word = Type::bold(14.0 * size);
    let lift = word.lift();
    let x = right + 14.0 * size;
    let between = (failing + sound) / 2.0;
    let high = ((top + sound) / 2.0).min(between - 17.0 * size);
    let low = ((bottom + failing) / 2.0).max(between + 17.0 * size);
    let findings = [Finding::Sound, Finding::Thin, Finding::Failing];
    let words = picture.field_words.each_ref().map(|word| clean(word));
    for ((finding, own), y) in findings.into_iter().zip(&words).zip([high, between, low]) {
        let text = if own.is_empty() { finding.word() } else { own };
        pen.write(&word.fit(text, rect.x1 - x), [x, y + lift], word, INK);
    }
    pen.write("hatched", [x, low + lift + 17.0 * size], small, QUIET);
}
