//! Where the panel may hang and where not: ticks, hatched strips, outlets, walks and wires.

use crate::base::{ACCENT, Canvas, INK, PAPER, Point, Rect, View, along, arrow, distance, heading};
use crate::picture::{ForbiddenMark, LineKind, Picture};

/// Depth of a forbidden strip, pixels at size 1.
const STRIP: f64 = 9.0;

/// Nearer than this, pixels at size 1, one tick is drawn for two spots.
const TICKS_APART: f64 = 4.0;

/// The strip's quadrilaterals, one for each straight piece, from the face into the room.
pub(crate) fn strips(mark: &ForbiddenMark, view: &View) -> Vec<[Point; 4]> {
    let depth = STRIP * view.size;
    let line = view.places(&mark.line);
    let pieces = line.windows(2).filter(|pair| pair[0] != pair[1]);
    pieces
        .map(|pair| {
            let (a, b) = (pair[0], pair[1]);
            let length = distance(b, a);
            let across = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
            let (from, to) = match heading(mark.facing) {
                Some([x, y]) if across[0] * x + across[1] * y < 0.0 => (0.0, -depth),
                Some(_) => (0.0, depth),
                None => (-depth / 2.0, depth / 2.0),
            };
            let at = |p: Point, by: f64| [p[0] + across[0] * by, p[1] + across[1] * by];
            [at(a, from), at(b, from), at(b, to), at(a, to)]
        })
        .collect()
}

/// Draws one piece of a forbidden strip: close strokes across it, slanted, with the face ruled.
pub(crate) fn draw_strip(canvas: &mut Canvas, corners: &[Point; 4], size: f64) {
    let [a, b, c, d] = *corners;
    canvas.polygon(corners, PAPER);
    let length = distance(b, a);
    let along = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
    let depth = distance(d, a);
    let across = [(d[0] - a[0]) / depth, (d[1] - a[1]) / depth];
    let at = |run: f64, off: f64| {
        [a[0] + along[0] * run + across[0] * off, a[1] + along[1] * run + across[1] * off]
    };
    // Strokes lean by the strip's depth and are cut off where the strip ends.
    let step = 5.5 * size;
    for stroke in 0..((length + depth) / step).clamp(0.0, 5000.0) as u32 {
        let foot = step * (f64::from(stroke) + 0.5);
        let (from, to) = ((foot - length).max(0.0), depth.min(foot));
        canvas.line(&[at(foot - from, from), at(foot - to, to)], 1.4 * size, INK);
    }
    canvas.line(&[a, b], 1.2 * size, INK);
    canvas.line(&[d, c], 1.2 * size, INK);
}

/// Draws the tick of a spot: a short stroke from the face into the room.
pub(crate) fn draw_tick(canvas: &mut Canvas, place: Point, towards: Option<[f64; 2]>, size: f64) {
    let Some([x, y]) = towards else {
        canvas.disc(place, 2.6 * size, PAPER);
        return canvas.disc(place, 1.6 * size, ACCENT);
    };
    let tick = |from: f64, to: f64| {
        [from, to].map(|run| [place[0] + x * run * size, place[1] + y * run * size])
    };
    canvas.line(&tick(0.0, 7.5), 3.4 * size, PAPER);
    canvas.line(&tick(0.0, 7.0), 1.6 * size, ACCENT);
}

/// Draws an outlet: a small square box with two slots.
pub(crate) fn draw_outlet(canvas: &mut Canvas, place: Point, size: f64) {
    let [x, y] = place;
    let square = |side: f64| Rect::around(place, side * size, side * size);
    canvas.rectangle(square(19.0), PAPER);
    canvas.rectangle(square(16.0), INK);
    canvas.rectangle(square(12.4), PAPER);
    for side in [-2.5, 2.5] {
        let slot = [[x + side * size, y - 3.6 * size], [x + side * size, y + 3.6 * size]];
        canvas.line(&slot, 2.0 * size, INK);
    }
}

/// Radius of an outlet's mark, pixels at size 1.
pub(crate) const OUTLET: f64 = 11.0;

/// Draws a line: a walk in dashes with arrow heads along it, a wire in dash and dot.
pub(crate) fn draw_line(canvas: &mut Canvas, points: &[Point], kind: LineKind, size: f64) {
    match kind {
        LineKind::Walk => {
            canvas.line(points, 5.5 * size, PAPER);
            canvas.dashed(points, &[11.0 * size, 6.0 * size], 2.8 * size, ACCENT);
            for (tip, direction) in along(points, 64.0 * size) {
                let head = arrow(tip, direction, 12.0 * size, 6.5 * size);
                canvas.rimmed_polygon(&head, 2.4 * size, ACCENT);
            }
        }
        LineKind::Wire => {
            canvas.line(points, 5.2 * size, PAPER);
            let pattern = [14.0, 4.0, 3.0, 4.0].map(|run| run * size);
            canvas.dashed(points, &pattern, 2.6 * size, INK);
        }
        LineKind::Dimension => {
            canvas.line(points, 4.4 * size, PAPER);
            canvas.line(points, 1.4 * size, INK);
            for pair in points.windows(2) {
                let length = distance(pair[0], pair[1]).max(1e-9);
                let across =
                    [-(pair[1][1] - pair[0][1]) / length, (pair[1][0] - pair[0][0]) / length];
                for [x, y] in pair {
                    let [dx, dy] = across.map(|part| part * 6.0 * size);
                    canvas.line(&[[x - dx, y - dy], [x + dx, y + dy]], 1.4 * size, INK);
                }
            }
        }
    }
}

/// Draws the forbidden strips. They go under the walls, which then cut them off at corners.
pub(crate) fn draw_strips(canvas: &mut Canvas, picture: &Picture, view: &View) {
    for mark in &picture.forbidden {
        for strip in strips(mark, view) {
            draw_strip(canvas, &strip, view.size);
        }
    }
}

pub(crate) fn draw(canvas: &mut Canvas, picture: &Picture, view: &View) {
    let mut last: Option<Point> = None;
    for spot in picture.spots.iter().filter(|spot| spot.pin().is_none()) {
        let place = view.place(spot.position);
        let near = |other: Point| distance(other, place) < TICKS_APART * view.size;
        if !last.is_some_and(near) {
            draw_tick(canvas, place, heading(spot.facing), view.size);
            last = Some(place);
        }
    }
    // Wires first: a walk over a wire is the rarer and the more wanted.
    for kind in [LineKind::Dimension, LineKind::Wire, LineKind::Walk] {
        for line in picture.lines.iter().filter(|line| line.kind == kind) {
            if line.points.len() > 1 {
                draw_line(canvas, &view.places(&line.points), kind, view.size);
            }
        }
    }
    for &outlet in &picture.outlets {
        draw_outlet(canvas, view.place(outlet), view.size);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const VIEW: View = View { scale: 10.0, zero: [0.0, 100.0], size: 1.0, middle: [0.0; 2] };

    #[test]
    fn a_strip_lies_on_the_side_that_it_faces() {
        for (facing, upper) in [([0.0, 2.0], true), ([0.0, -0.1], false)] {
            let mark = ForbiddenMark {
                line: vec![[0.0, 5.0], [4.0, 5.0], [4.0, 5.0]],
                facing,
                reason: String::new(),
            };
            let strips = strips(&mark, &VIEW);
            assert_eq!(strips.len(), 1, "a piece of no length is left out");
            assert_eq!(strips[0][0], [0.0, 50.0]);
            assert_eq!(strips[0][3][1] < 50.0, upper);
        }
    }
}
