//! Straight lines in metres: how long they are, what lies along them, which of many lie near.

use geo::{Coord, Line};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// A length to the millimetre, as a plan's text has it.
pub(crate) use plan::thousandths as millimetre;

pub(crate) fn length(line: Line<f64>) -> f64 {
    line.dx().hypot(line.dy())
}

/// How far along a line, metres from its start, and how far to its left a place lies.
pub(crate) fn seen_from(line: Line<f64>, at: Coord<f64>) -> (f64, f64) {
    let (run, to) = (line.delta(), at - line.start);
    let whole = run.x.hypot(run.y);
    ((to.x * run.x + to.y * run.y) / whole, (run.x * to.y - run.y * to.x) / whole)
}

/// How far a place, seen as by [`seen_from`], lies from the nearest point of a line, metres.
pub(crate) fn distance(line: Line<f64>, (along_m, off_m): (f64, f64)) -> f64 {
    let beyond = (-along_m).max(along_m - length(line)).max(0.0);
    off_m.abs().hypot(beyond)
}

pub(crate) fn along(line: Line<f64>, metres: f64) -> Coord<f64> {
    line.start + line.delta() * (metres / length(line))
}

/// The sine of the angle between two lines, without its sign.
pub(crate) fn askew(a: Line<f64>, b: Line<f64>) -> f64 {
    let cross = a.dx() * b.dy() - a.dy() * b.dx();
    (cross / (length(a) * length(b))).abs()
}

/// A place to the millimetre.
pub(crate) fn to_millimetre(at: Coord<f64>) -> Coord<f64> {
    Coord { x: millimetre(at.x), y: millimetre(at.y) }
}

/// A line with its ends to the millimetre.
pub(crate) fn line_to_millimetre(line: Line<f64>) -> Line<f64> {
    Line::new(to_millimetre(line.start), to_millimetre(line.end))
}

/// Lines by the boxes around them, each with its number.
pub(crate) type LineIndex = RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>;

pub(crate) fn index(lines: impl Iterator<Item = Line<f64>>) -> LineIndex {
    let boxed = lines.enumerate().map(|(number, Line { start, end })| {
        let around = Rectangle::from_corners([start.x, start.y], [end.x, end.y]);
        GeomWithData::new(around, number)
    });
    RTree::bulk_load(boxed.collect())
}

/// The box around a line, so many metres wider on every side.
pub(crate) fn around(Line { start, end }: Line<f64>, reach_m: f64) -> AABB<[f64; 2]> {
    AABB::from_corners(
        [start.x.min(end.x) - reach_m, start.y.min(end.y) - reach_m],
        [start.x.max(end.x) + reach_m, start.y.max(end.y) + reach_m],
    )
}
