//! Hatching, and the polygons that are hatched or outlined: obstacles and roam areas.

use super::DrawError;
use super::canvas::{Canvas, Point, Surface};
use super::page::Layout;
use super::picture::Picture;
use super::ramp::{INK, Ink, PAPER};

const OBSTACLE: Ink = Ink { rgb: [205, 205, 210], alpha: 1.0 };

/// How the region in which a sensor would be failing is hatched.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hatching {
    /// Between the lines, pixels at size 1.
    pub spacing: f64,
    /// Width of the lines, pixels at size 1.
    pub width: f64,
    pub ink: Ink,
}

impl Hatching {
    /// The hatching of a picture: lighter on a map of spots, most of which may be hatched.
    pub fn of(picture: &Picture) -> Self {
        if picture.sites() {
            Self { spacing: 18.0, width: 1.3, ink: PAPER.at(0.5) }
        } else {
            Self { spacing: 11.0, width: 1.5, ink: PAPER.at(0.75) }
        }
    }
}

/// Slanted lines that fill the inside of rings (even-odd rule), `spacing` pixels apart across the
/// line; falling to the right if `falling`, else rising.
pub(super) fn hatch(rings: &[Vec<Point>], spacing: f64, falling: bool) -> Vec<[Point; 2]> {
    let slope = if falling { 1.0 } else { -1.0 };
    // All lines are y = slope · x + number · rise.
    let rise = spacing * std::f64::consts::SQRT_2;
    let number = |point: &Point| (point[1] - slope * point[0]) / rise;
    let mut crossings: Vec<(i64, f64)> = Vec::new();
    for ring in rings {
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            let (mut from, mut to) = ((number(a), a[0]), (number(b), b[0]));
            if from.0 > to.0 {
                std::mem::swap(&mut from, &mut to);
            }
            // Half open, so that a line through a shared corner meets one of the two edges.
            let first = from.0.ceil() as i64;
            let mut line = first;
            while (line as f64) < to.0 {
                let share = (line as f64 - from.0) / (to.0 - from.0);
                crossings.push((line, from.1 + (to.1 - from.1) * share));
                line += 1;
            }
        }
    }
    crossings.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
    let mut lines = Vec::new();
    for group in crossings.chunk_by(|one, other| one.0 == other.0) {
        for pair in group.chunks_exact(2) {
            let (number, from) = pair[0];
            let to = pair[1].1;
            if to - from > 1.0 {
                let place = |x: f64| [x, slope * x + number as f64 * rise];
                lines.push([place(from), place(to)]);
            }
        }
    }
    lines
}

/// Draws an obstacle given in pixels.
pub(super) fn draw_obstacle<S: Surface>(
    canvas: &mut Canvas<S>,
    corners: &[Point],
    size: f64,
) -> Result<(), DrawError> {
    canvas.outline(corners, 4.0 * size, PAPER)?;
    canvas.polygon(corners, OBSTACLE)?;
    let rings = [corners.to_vec()];
    for falling in [true, false] {
        for line in hatch(&rings, 8.0 * size, falling) {
            canvas.line(&line, size, INK.at(0.45))?;
        }
    }
    canvas.outline(corners, 1.5 * size, INK)
}

/// Draws the outline of a roam area given in pixels.
pub(super) fn draw_roam<S: Surface>(
    canvas: &mut Canvas<S>,
    corners: &[Point],
    size: f64,
) -> Result<(), DrawError> {
    let closed: Vec<Point> = corners.iter().chain(corners.first()).copied().collect();
    canvas.line(&closed, 4.5 * size, PAPER)?;
    canvas.dashed(&closed, (3.0 * size, 5.0 * size), 2.5 * size, INK)
}

/// Draws roam areas and obstacles.
pub(super) fn draw<S: Surface>(
    canvas: &mut Canvas<S>,
    picture: &Picture,
    layout: &Layout,
) -> Result<(), DrawError> {
    let size = layout.view.size;
    for (areas, obstacles) in [(&picture.roams, false), (&picture.obstacles, true)] {
        for area in areas.iter().filter(|area| area.outline.len() > 2) {
            let corners: Vec<Point> =
                area.outline.iter().map(|&corner| layout.view.place(corner)).collect();
            if obstacles {
                draw_obstacle(canvas, &corners, size)?;
            } else {
                draw_roam(canvas, &corners, size)?;
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatching_stays_inside_and_out_of_the_hole() {
        let square = vec![[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]];
        let hole = vec![[20.0, 20.0], [80.0, 20.0], [80.0, 80.0], [20.0, 80.0]];
        let lines = hatch(&[square, hole], 5.0, true);
        assert!(lines.len() > 20);
        for [from, to] in lines {
            let [x, y] = [(from[0] + to[0]) / 2.0, (from[1] + to[1]) / 2.0];
            assert!((0.0..=100.0).contains(&x) && (0.0..=100.0).contains(&y));
            let within = |value: f64| value > 20.0 && value < 80.0;
            assert!(!(within(x) && within(y)), "a line in the hole at {x}, {y}");
        }
    }
}
