//! Where the panel may hang and where not, and the ways to it: ticks and hatched strips on wall
//! faces, outlets, walks and wires. Ranked spots are pins and have a file of their own.

use super::DrawError;
use super::canvas::{Canvas, Point, Surface};
use super::page::{Layout, View};
use super::picture::Picture;
use super::ramp::{ACCENT, INK, PAPER};
use super::rect::Rect;

/// A place on a wall's face where the panel may hang.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SpotMark {
    /// Where the panel would hang, metres.
    pub position: [f64; 2],
    /// Direction from the wall into the room, of any length; zero if there is none.
    pub facing: [f64; 2],
    /// Its place in the order of merit, the best being 1: drawn as a numbered pin. A spot without
    /// one, or with one beyond [`MOST_PINS`], is drawn as a small tick.
    pub rank: Option<u32>,
    /// Short text beside a ranked spot. Parts that are divided by " · " may come to stand under one
    /// another.
    pub label: String,
}

impl SpotMark {
    /// The number in its pin, if it has one.
    pub(super) fn pin(&self) -> Option<u32> {
        self.rank.filter(|&rank| rank <= MOST_PINS)
    }
}

/// Spots of a worse rank get no pin: so many would hide the plan.
pub const MOST_PINS: u32 = 40;

/// A piece of wall face where the panel may not hang.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ForbiddenMark {
    /// The line of the face, metres; fewer than two points are not drawn.
    pub line: Vec<[f64; 2]>,
    /// Direction from the wall into the room, of any length: the strip is hatched on that side. Zero
    /// for a strip across the line.
    pub facing: [f64; 2],
    /// Why, in a few words; each reason is listed once in the legend.
    pub reason: String,
}

/// What a line on the plan is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LineKind {
    /// The way of a person, from an entry to a spot.
    #[default]
    Walk,
    /// The wire from an outlet to a spot.
    Wire,
}

/// A line on the plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LineMark {
    /// Its corners in order, metres; fewer than two are not drawn.
    pub points: Vec<[f64; 2]>,
    /// What it is.
    pub kind: LineKind,
    /// Short text beside it; may be empty.
    pub label: String,
}

/// Depth of a forbidden strip, pixels at size 1.
const STRIP: f64 = 9.0;

/// Nearer than this, pixels at size 1, one tick is drawn for two spots.
const TICKS_APART: f64 = 4.0;

/// A direction on the plan as a unit vector on the picture; none if it is zero.
pub(super) fn heading([x, y]: [f64; 2]) -> Option<[f64; 2]> {
    let length = x.hypot(y);
    (length > 1e-9).then(|| [x / length, -y / length])
}

/// Points of the plan on the picture.
pub(super) fn places(points: &[[f64; 2]], view: &View) -> Vec<Point> {
    points.iter().map(|&point| view.place(point)).collect()
}

/// The strip's quadrilaterals, one for each straight piece, from the face into the room.
pub(super) fn strips(mark: &ForbiddenMark, view: &View) -> Vec<[Point; 4]> {
    let depth = STRIP * view.size;
    let line = places(&mark.line, view);
    let pieces = line.windows(2).filter(|pair| pair[0] != pair[1]);
    pieces
        .map(|pair| {
            let (a, b) = (pair[0], pair[1]);
            let length = (b[0] - a[0]).hypot(b[1] - a[1]);
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
pub(super) fn draw_strip<S: Surface>(
    canvas: &mut Canvas<S>,
    corners: &[Point; 4],
    size: f64,
) -> Result<(), DrawError> {
    let [a, b, c, d] = *corners;
    canvas.polygon(corners, PAPER)?;
    let length = (b[0] - a[0]).hypot(b[1] - a[1]);
    let along = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
    let depth = (d[0] - a[0]).hypot(d[1] - a[1]);
    let across = [(d[0] - a[0]) / depth, (d[1] - a[1]) / depth];
    let at = |run: f64, off: f64| {
        [a[0] + along[0] * run + across[0] * off, a[1] + along[1] * run + across[1] * off]
    };
    // Strokes lean by the strip's depth and are cut off where the strip ends.
    let step = 5.5 * size;
    for stroke in 0..((length + depth) / step).clamp(0.0, 5000.0) as u32 {
        let foot = step * (f64::from(stroke) + 0.5);
        let (from, to) = ((foot - length).max(0.0), depth.min(foot));
        canvas.line(&[at(foot - from, from), at(foot - to, to)], 1.4 * size, INK)?;
    }
    canvas.line(&[a, b], 1.2 * size, INK)?;
    canvas.line(&[d, c], 1.2 * size, INK)
}

/// Draws the tick of a spot: a short stroke from the face into the room.
pub(super) fn draw_tick<S: Surface>(
    canvas: &mut Canvas<S>,
    place: Point,
    towards: Option<[f64; 2]>,
    size: f64,
) -> Result<(), DrawError> {
    let Some([x, y]) = towards else {
        canvas.disc(place, 2.6 * size, PAPER)?;
        return canvas.disc(place, 1.6 * size, ACCENT);
    };
    let tick = |from: f64, to: f64| {
        [from, to].map(|run| [place[0] + x * run * size, place[1] + y * run * size])
    };
    canvas.line(&tick(0.0, 7.5), 3.4 * size, PAPER)?;
    canvas.line(&tick(0.0, 7.0), 1.6 * size, ACCENT)
}

/// Draws an outlet: a small square box with two slots.
pub(super) fn draw_outlet<S: Surface>(
    canvas: &mut Canvas<S>,
    place: Point,
    size: f64,
) -> Result<(), DrawError> {
    let [x, y] = place;
    let square = |side: f64| Rect::around(place, side * size, side * size);
    canvas.rectangle(square(19.0), PAPER)?;
    canvas.rectangle(square(16.0), INK)?;
    canvas.rectangle(square(12.4), PAPER)?;
    for side in [-2.5, 2.5] {
        let slot = [[x + side * size, y - 3.6 * size], [x + side * size, y + 3.6 * size]];
        canvas.line(&slot, 2.0 * size, INK)?;
    }
    Ok(())
}

/// Radius of an outlet's mark, pixels at size 1.
pub(super) const OUTLET: f64 = 11.0;

/// Draws a line: a walk in dashes with arrow heads along it, a wire in dash and dot.
pub(super) fn draw_line<S: Surface>(
    canvas: &mut Canvas<S>,
    points: &[Point],
    kind: LineKind,
    size: f64,
) -> Result<(), DrawError> {
    match kind {
        LineKind::Walk => {
            canvas.line(points, 5.5 * size, PAPER)?;
            canvas.dashed(points, (11.0 * size, 6.0 * size), 2.8 * size, ACCENT)?;
            for (tip, [x, y]) in along(points, 64.0 * size) {
                let (long, half) = (12.0 * size, 6.5 * size);
                let foot = [tip[0] - x * long, tip[1] - y * long];
                let head = [
                    tip,
                    [foot[0] - y * half, foot[1] + x * half],
                    [foot[0] + y * half, foot[1] - x * half],
                ];
                canvas.outline(&head, 2.4 * size, PAPER)?;
                canvas.polygon(&head, ACCENT)?;
            }
            Ok(())
        }
        LineKind::Wire => {
            canvas.line(points, 5.2 * size, PAPER)?;
            let pattern = [14.0, 4.0, 3.0, 4.0].map(|run| run * size);
            canvas.patterned(points, &pattern, 2.6 * size, INK)
        }
    }
}

/// Places along a line about `spacing` apart, each with the line's direction there.
pub(super) fn along(points: &[Point], spacing: f64) -> Vec<(Point, [f64; 2])> {
    let whole = super::field::length(points);
    let count = (whole / spacing).round().clamp(1.0, 500.0);
    let step = whole / count;
    let mut found = Vec::new();
    let (mut walked, mut next) = (0.0, 0.5 * step);
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let length = (b[0] - a[0]).hypot(b[1] - a[1]);
        while length > 0.0 && next <= walked + length && found.len() < count as usize {
            let share = (next - walked) / length;
            let direction = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
            let at = [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];
            found.push((at, direction));
            next += step;
        }
        walked += length;
    }
    found
}

/// The middle of a line, by length.
pub(super) fn middle(points: &[Point]) -> Option<Point> {
    along(points, f64::INFINITY).first().map(|(place, _)| *place)
}

/// Draws the forbidden strips. They go under the walls, which then cut them off at corners.
pub(super) fn draw_strips<S: Surface>(
    canvas: &mut Canvas<S>,
    picture: &Picture,
    layout: &Layout,
) -> Result<(), DrawError> {
    let view = &layout.view;
    for mark in &picture.forbidden {
        for strip in strips(mark, view) {
            draw_strip(canvas, &strip, view.size)?;
        }
    }
    Ok(())
}

/// Draws ticks, lines and outlets.
pub(super) fn draw<S: Surface>(
    canvas: &mut Canvas<S>,
    picture: &Picture,
    layout: &Layout,
) -> Result<(), DrawError> {
    let view = &layout.view;
    let mut last: Option<Point> = None;
    for spot in picture.spots.iter().filter(|spot| spot.pin().is_none()) {
        let place = view.place(spot.position);
        let near = |other: Point| {
            (other[0] - place[0]).hypot(other[1] - place[1]) < TICKS_APART * view.size
        };
        if !last.is_some_and(near) {
            draw_tick(canvas, place, heading(spot.facing), view.size)?;
            last = Some(place);
        }
    }
    // Wires first: a walk over a wire is the rarer and the more wanted.
    for kind in [LineKind::Wire, LineKind::Walk] {
        for line in picture.lines.iter().filter(|line| line.kind == kind) {
            if line.points.len() > 1 {
                draw_line(canvas, &places(&line.points, view), kind, view.size)?;
            }
        }
    }
    for &outlet in &picture.outlets {
        draw_outlet(canvas, view.place(outlet), view.size)?;
    }
    Ok(())
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

    #[test]
    fn places_along_a_line_are_evenly_spaced() {
        let line = [[0.0, 0.0], [30.0, 0.0], [30.0, 0.0], [30.0, 50.0]];
        let found = along(&line, 20.0);
        assert_eq!(found.len(), 4);
        assert_eq!(found[0], ([10.0, 0.0], [1.0, 0.0]));
        assert_eq!(found[3], ([30.0, 40.0], [0.0, 1.0]));
        assert_eq!(middle(&line), Some([30.0, 10.0]));
        assert_eq!(middle(&[[5.0, 5.0], [5.0, 5.0]]), None);
    }
}
