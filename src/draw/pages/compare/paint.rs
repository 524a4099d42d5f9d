//! Bars, marks and lines of a comparison.

use crate::base::{Canvas, DIRECT, INK, PAPER, Point, QUIET, Rect};

pub(crate) fn draw_stroke(pen: &mut Canvas, x: f64, [from, to]: [f64; 2], size: f64) {
    pen.line(&[[x, from], [x, to]], 2.6 * size, INK);
}

/// The hollow bar of a forecast before the readings: pixels of its low end, level and high end.
pub(crate) fn draw_before(pen: &mut Canvas, [low, at, high]: [f64; 3], y: f64, size: f64) {
    let half = 3.6 * size;
    let bar = |by: f64| Rect {
        x0: low.min(high) - by,
        y0: y - half - by,
        x1: high.max(low) + by,
        y1: y + half + by,
    };
    pen.rectangle(bar(0.8 * size), QUIET);
    pen.rectangle(bar(-0.6 * size), PAPER);
    let level = [[at, y - half - size], [at, y + half + size]];
    pen.line(&level, 2.6 * size, QUIET);
}

/// The filled bar of a forecast after the readings.
pub(crate) fn draw_after(pen: &mut Canvas, [low, at, high]: [f64; 3], y: f64, size: f64) {
    let half = 4.2 * size;
    let bar = Rect { x0: low.min(high), y0: y - half, x1: high.max(low), y1: y + half };
    pen.rectangle(bar.grown(size), PAPER);
    pen.rectangle(bar, DIRECT);
    pen.line(&[[at, y - half], [at, y + half]], 2.6 * size, PAPER);
}

pub(crate) fn draw_diamond(pen: &mut Canvas, [x, y]: Point, size: f64) {
    let shape = |reach: f64| {
        let run = reach * size;
        [[x - run, y], [x, y - run], [x + run, y], [x, y + run]]
    };
    pen.polygon(&shape(6.8), PAPER);
    pen.polygon(&shape(5.2), INK);
}

pub(crate) fn draw_bar(pen: &mut Canvas, [from, to]: [f64; 2], y: f64, size: f64) {
    pen.line(&[[from, y], [to, y]], 1.5 * size, INK);
}

pub(crate) fn draw_tick(pen: &mut Canvas, [x, y]: Point, size: f64) {
    pen.line(&[[x, y - 4.0 * size], [x, y + 4.0 * size]], 1.2 * size, INK);
}

/// The interval of a reading in bars; an open end has an arrow instead of a stop.
pub(crate) fn draw_interval(
    pen: &mut Canvas,
    [from, to]: [f64; 2],
    [open_below, open_above]: [bool; 2],
    y: f64,
    size: f64,
) {
    pen.line(&[[from, y], [to, y]], 1.8 * size, INK);
    for (x, open, into) in [(from, open_below, 1.0), (to, open_above, -1.0)] {
        let high = 4.4 * size;
        if open {
            let foot = x + into * 7.0 * size;
            pen.polygon(&[[x, y], [foot, y - high], [foot, y + high]], INK);
        } else {
            pen.line(&[[x, y - high], [x, y + high]], 1.8 * size, INK);
        }
    }
}

pub(crate) fn draw_cross(pen: &mut Canvas, [x, y]: Point, size: f64) {
    let arm = 4.6 * size;
    for (width, ink) in [(5.0, PAPER), (2.4, INK)] {
        for slope in [1.0, -1.0] {
            let stroke = [[x - arm, y - arm * slope], [x + arm, y + arm * slope]];
            pen.line(&stroke, width * size, ink);
        }
    }
}

pub(crate) fn draw_flag(pen: &mut Canvas, [x, y]: Point, size: f64) {
    let at = |dx: f64, dy: f64| [x + dx * size, y + dy * size];
    pen.line(&[at(-5.0, -8.0), at(-5.0, 8.0)], 2.0 * size, INK);
    pen.polygon(&[at(-5.0, -8.0), at(7.0, -3.5), at(-5.0, 1.0)], INK);
}
