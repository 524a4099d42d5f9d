//! Drawing the chart.

use crate::base::{ACCENT, Align, Canvas, FRAME, INK, Ink, PAPER, Point, QUIET, Rect, Type, hatch};
use crate::pages::tradeoff::chart::{Chart, Dot, LIMIT_EM, LIMIT_ROW, Limit};
use crate::pages::tradeoff::classes::Reach;
use crate::parts::axis::draw_grid;
use crate::parts::pins::draw_pin;

impl Chart {
    pub(crate) fn draw(&self, canvas: &mut Canvas) {
        let size = self.size;
        draw_grid(canvas, &self.plot, [&self.across, &self.up], size);
        if let Some(limit) = &self.limit {
            draw_hatching(canvas, &self.plot, limit.y, size);
            draw_limit_line(canvas, [self.plot.x0, self.plot.x1], limit.y, size);
        }
        if self.steps.len() > 1 {
            draw_steps(canvas, &self.steps, size);
        }
        let (pinned, loose): (Vec<&Dot>, Vec<&Dot>) =
            self.points.iter().partition(|dot| dot.pin.is_some());
        for dot in loose {
            draw_dot(canvas, dot.at, dot.reach, dot.unbeaten, size);
        }
        if let Some(limit) = &self.limit {
            draw_limit_words(canvas, limit, size);
        }
        for mark in self.marks.iter().rev() {
            draw_pin(canvas, mark, size);
        }
        // Over the pins' tips, so that the shape can be seen.
        for dot in pinned {
            draw_dot(canvas, dot.at, dot.reach, dot.unbeaten, size);
        }
        canvas.outline(&self.plot.corners(), 1.3 * size, INK);
        canvas.append(self.front.clone());
    }
}

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

fn draw_limit_words(canvas: &mut Canvas, limit: &Limit, size: f64) {
    canvas.rectangle(limit.label, PAPER.at(0.9));
    let kind = Type::bold(LIMIT_EM * size);
    for (count, line) in limit.lines.iter().enumerate() {
        let base = limit.label.y0 + (LIMIT_ROW * count as f64 + 17.0) * size;
        let at = [limit.label.x0 + 6.0 * size, base];
        canvas.text(line, at, kind, Align::Left, INK);
    }
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
