//! Curves, walls and the sensor of a profile.

use crate::base::{Canvas, DIRECT, FRAME, INK, PAPER, Point, Rect};

/// The pieces of a curve between its gaps.
pub(crate) fn pieces(curve: &[[f64; 2]]) -> impl Iterator<Item = &[[f64; 2]]> {
    curve.split(|[_, dbm]| dbm.is_nan())
}

pub(crate) fn draw_curve(pen: &mut Canvas, points: &[Point], direct: bool, size: f64) {
    pen.line(points, 4.5 * size, PAPER.at(0.8));
    if direct {
        pen.dashed(points, [10.0 * size, 5.0 * size], 2.6 * size, DIRECT);
    } else {
        pen.line(points, 2.4 * size, INK);
    }
}

pub(crate) fn draw_wall(pen: &mut Canvas, bar: Rect, size: f64) {
    pen.rectangle(bar, FRAME.at(0.55));
    for x in [bar.x0, bar.x1] {
        pen.line(&[[x, bar.y0], [x, bar.y1]], size, INK);
    }
}

/// The line at the level needed: heavy, with dots over it.
pub(crate) fn draw_needed(pen: &mut Canvas, line: &[Point], size: f64) {
    pen.line(line, 6.0 * size, PAPER.at(0.85));
    pen.dashed(line, [2.5, 3.5].map(|run| run * size), 3.2 * size, INK);
}

/// The sensor's mark with its bar; `levels` are the pixels of its level and of the ends of the bar.
pub(crate) fn draw_sensor(pen: &mut Canvas, x: f64, [at, low, high]: [f64; 3], size: f64) {
    pen.line(&[[x, low], [x, high]], 6.0 * size, PAPER);
    pen.line(&[[x, low], [x, high]], 2.6 * size, INK);
    for end in [low, high] {
        let cap = [[x - 6.0 * size, end], [x + 6.0 * size, end]];
        pen.line(&cap, 2.6 * size, INK);
    }
    pen.disc([x, at], 7.5 * size, INK);
    pen.disc([x, at], 5.0 * size, PAPER);
}
