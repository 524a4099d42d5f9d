//! The scale bar under the plan.

use crate::base::{Canvas, INK, PAPER, Rect, Type, View};
use crate::picture::Picture;
use units::Lengths;

/// Draws a bar of a round length, about a fifth of the plan's width.
pub(crate) fn draw(canvas: &mut Canvas, picture: &Picture, view: &View, plan: &Rect) {
    let size = view.size;
    let unit = picture.length_unit.metres();
    let target = plan.width() / 5.0 / (view.scale * unit);
    let decade = 10_f64.powf(target.log10().floor());
    let length = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|digit| digit * decade)
        .find(|length| *length <= target)
        .unwrap_or(decade);
    let caption = match picture.length_unit {
        Lengths::Metric => format!("{} m", round(length)),
        Lengths::Feet => format!("{} ft ({} m)", round(length), round(length * unit)),
    };
    let length = length * unit * view.scale;
    let kind = Type::regular(14.0 * size);
    let [x, y] = [plan.x0, plan.y1 + 16.0 * size];
    // Four alternating quarters, so that parts of the length can be read off as well.
    let high = 7.0 * size;
    canvas.rectangle(Rect { x0: x, y0: y, x1: x + length, y1: y + high }, INK);
    for quarter in [1.0, 3.0] {
        let inner = Rect {
            x0: x + length * quarter / 4.0,
            y0: y + 1.5 * size,
            x1: x + length * (quarter + 1.0) / 4.0 - if quarter > 2.0 { 1.5 * size } else { 0.0 },
            y1: y + high - 1.5 * size,
        };
        canvas.rectangle(inner, PAPER);
    }
    canvas.write(&caption, [x + length + 10.0 * size, y + 9.0 * size], kind, INK);
}

/// Three significant figures at the most, without trailing zeros.
fn round(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let unit = 10_f64.powf(2.0 - value.abs().log10().floor());
    (value * unit).round() / unit
}
