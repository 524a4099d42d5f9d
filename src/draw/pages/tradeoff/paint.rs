//! What the chart and its key draw alike: dots, the limit and the steps.

use crate::base::{ACCENT, Canvas, FRAME, INK, Ink, PAPER, Point, QUIET, Rect, hatch};
use crate::pages::tradeoff::classes::Reach;

/// Hatches the part of the plot above the line.
pub(crate) fn draw_hatching(canvas: &mut Canvas, plot: &Rect, y: f64, size: f64) {
    let above = Rect { y1: y.max(plot.y0), ..*plot };
    for line in hatch(&[above.corners().to_vec()], 18.0 * size, true) {
        canvas.line(&line, 1.2 * size, FRAME.at(0.45));
    }
}

pub(crate) fn draw_limit_line(canvas: &mut Canvas, [from, to]: [f64; 2], y: f64, size: f64) {
    let line = [[from, y], [to, y]];
    canvas.rimmed_line(&line, [4.5 * size, 2.5 * size], INK);
}

pub(crate) fn draw_steps(canvas: &mut Canvas, steps: &[Point], size: f64) {
    canvas.line(steps, 4.0 * size, PAPER);
    canvas.dashed(steps, [7.0 * size, 4.0 * size], 2.0 * size, ACCENT);
}

/// Draws one spot: its shape says how long the wire is, its filling that no other beats it.
pub(crate) fn draw_dot(canvas: &mut Canvas, at: Point, reach: Reach, unbeaten: bool, size: f64) {
    if unbeaten {
        draw_shape(canvas, at, reach, 9.0 * size, PAPER);
        draw_shape(canvas, at, reach, 7.0 * size, ACCENT);
    } else {
        draw_shape(canvas, at, reach, 5.6 * size, QUIET);
        draw_shape(canvas, at, reach, 4.0 * size, PAPER);
    }
}

/// Shapes of about one area.
fn draw_shape(canvas: &mut Canvas, [x, y]: Point, reach: Reach, radius: f64, ink: Ink) {
    match reach {
        Reach::Near => canvas.disc([x, y], radius, ink),
        Reach::Middle => canvas.rectangle(Rect::around([x, y], 1.8 * radius, 1.8 * radius), ink),
        Reach::Far => {
            let (wide, high) = (1.25 * radius, 1.1 * radius);
            let corners =
                [[x - wide, y + high * 0.85], [x + wide, y + high * 0.85], [x, y - high * 1.15]];
            canvas.polygon(&corners, ink);
        }
        Reach::Untold => {
            let reach = 1.3 * radius;
            let corners = [[x, y - reach], [x + reach, y], [x, y + reach], [x - reach, y]];
            canvas.polygon(&corners, ink);
        }
    }
}
