//! The scale bar under the plan.

use super::DrawError;
use super::canvas::{Align, Canvas, Point, Surface};
use super::font::Type;
use super::page::View;
use super::picture::{LengthUnit, Picture};
use super::ramp::{INK, PAPER};
use super::rect::Rect;

/// The scale bar: lengths along it and their captions.
#[derive(Debug, Clone)]
pub(super) struct ScaleBar {
    pub from: Point,
    pub length: f64,
    pub caption: String,
}

/// A bar of a round length, about a fifth of the plan's width.
pub(super) fn scale_bar(picture: &Picture, view: &View, plan: &Rect) -> (ScaleBar, Rect) {
    /// Metres in a foot: exact by the international definition of 1959 (from memory).
    const FOOT_M: f64 = 0.3048;
    let unit = match picture.length_unit {
        LengthUnit::Metres => 1.0,
        LengthUnit::Feet => FOOT_M,
    };
    let target = plan.width() / 5.0 / (view.scale * unit);
    let decade = 10_f64.powf(target.log10().floor());
    let length = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|digit| digit * decade)
        .find(|length| *length <= target)
        .unwrap_or(decade);
    let caption = match picture.length_unit {
        LengthUnit::Metres => format!("{} m", round(length)),
        LengthUnit::Feet => format!("{} ft ({} m)", round(length), round(length * FOOT_M)),
    };
    let pixels = length * unit * view.scale;
    let kind = Type::regular(14.0 * view.size);
    let from = [plan.x0, plan.y1 + 16.0 * view.size];
    let rect = Rect {
        x0: from[0],
        y0: from[1] - 6.0 * view.size,
        x1: from[0] + pixels + 12.0 * view.size + kind.width(&caption),
        y1: from[1] + 14.0 * view.size,
    };
    (ScaleBar { from, length: pixels, caption }, rect)
}

/// Three significant figures at the most, without trailing zeros.
fn round(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let unit = 10_f64.powf(2.0 - value.abs().log10().floor());
    (value * unit).round() / unit
}

/// Draws the scale bar.
pub(super) fn draw<S: Surface>(
    canvas: &mut Canvas<S>,
    bar: &ScaleBar,
    size: f64,
) -> Result<(), DrawError> {
    let ScaleBar { from: [x, y], length, caption } = bar;
    // Four alternating quarters, so that parts of the length can be read off as well.
    let high = 7.0 * size;
    canvas.rectangle(Rect { x0: *x, y0: *y, x1: x + length, y1: y + high }, INK)?;
    for quarter in [1.0, 3.0] {
        let inner = Rect {
            x0: x + length * quarter / 4.0,
            y0: y + 1.5 * size,
            x1: x + length * (quarter + 1.0) / 4.0 - if quarter > 2.0 { 1.5 * size } else { 0.0 },
            y1: y + high - 1.5 * size,
        };
        canvas.rectangle(inner, PAPER)?;
    }
    let place = [x + length + 10.0 * size, y + 9.0 * size];
    canvas.text(caption, place, Type::regular(14.0 * size), Align::Left, INK)
}
