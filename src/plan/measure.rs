//! Sums with points and lines in the plan's own unit.

use geo::{Coord, Distance, Euclidean};

use super::unit::thousandths;

/// Where a point lies, seen from a line with two ends.
pub(super) struct Seen {
    /// How far along the line: below zero before its first end, beyond `length` after its last.
    pub(super) along: f64,
    /// How far off the line without end.
    pub(super) off: f64,
    pub(super) length: f64,
}

pub(super) fn apart(a: Coord<f64>, b: Coord<f64>) -> f64 {
    Euclidean.distance(a, b)
}

/// A point seen from the line from `a` to `b`; nothing if that has no length.
pub(super) fn seen(a: Coord<f64>, b: Coord<f64>, point: Coord<f64>) -> Option<Seen> {
    let length = apart(a, b);
    if length <= 0.0 || !length.is_finite() {
        return None;
    }
    let (run, to) = (b - a, point - a);
    Some(Seen {
        along: (to.x * run.x + to.y * run.y) / length,
        off: ((to.y * run.x - to.x * run.y) / length).abs(),
        length,
    })
}

/// How far a point lies from the line that ends at `a` and `b`.
pub(super) fn gap(a: Coord<f64>, b: Coord<f64>, point: Coord<f64>) -> f64 {
    match seen(a, b, point) {
        Some(seen) if seen.along < 0.0 => apart(a, point),
        Some(seen) if seen.along > seen.length => apart(b, point),
        Some(seen) => seen.off,
        None => apart(a, point),
    }
}

/// The point of the line from `a` to `b` at a distance along it.
pub(super) fn at(a: Coord<f64>, b: Coord<f64>, along: f64) -> Coord<f64> {
    let length = apart(a, b);
    if length <= 0.0 {
        return a;
    }
    a + (b - a) * (along / length)
}

/// Where two lines without end cross, and the sine of the angle between them; nothing where they
/// are parallel or a line has no length.
pub(super) fn crossing(
    (a, b): (Coord<f64>, Coord<f64>),
    (c, d): (Coord<f64>, Coord<f64>),
) -> Option<(Coord<f64>, f64)> {
    let (run, other, to) = (b - a, d - c, c - a);
    let cross = run.x * other.y - run.y * other.x;
    let sine = (cross / (run.x.hypot(run.y) * other.x.hypot(other.y))).abs();
    if !sine.is_finite() || sine < 1e-9 {
        return None;
    }
    let share = (to.x * other.y - to.y * other.x) / cross;
    Some((a + run * share, sine))
}

pub(super) fn rounded(point: Coord<f64>) -> Coord<f64> {
    Coord { x: thousandths(point.x), y: thousandths(point.y) }
}
