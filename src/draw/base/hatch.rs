//! Hatching.

use crate::base::geometry::{Point, edges};

/// Slanted lines that fill the inside of rings (even-odd rule), `spacing` pixels apart across the
/// line; falling to the right if `falling`, else rising.
pub(crate) fn hatch(rings: &[Vec<Point>], spacing: f64, falling: bool) -> Vec<[Point; 2]> {
    let slope = if falling { 1.0 } else { -1.0 };
    // All lines are y = slope · x + number · rise.
    let rise = spacing * std::f64::consts::SQRT_2;
    let number = |point: &Point| (point[1] - slope * point[0]) / rise;
    let mut crossings: Vec<(i64, f64)> = Vec::new();
    for ring in rings {
        for (a, b) in edges(ring) {
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
