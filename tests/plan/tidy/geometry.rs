//! Where the walls of a plan are, to compare two plans.

use std::collections::BTreeMap;

use geo::{Coord, Distance, Euclidean, Line, Point};
use plan::Plan;

/// All segments of walls by level and construction.
pub fn by_make(plan: &Plan) -> BTreeMap<(i32, String), Vec<Line<f64>>> {
    let mut all: BTreeMap<(i32, String), Vec<Line<f64>>> = BTreeMap::new();
    for wall in &plan.walls {
        let key = (wall.level, wall.construction.clone());
        all.entry(key).or_default().extend(wall.line.lines());
    }
    all
}

/// Points along segments, a few centimetres apart, ends included.
fn along(segments: &[Line<f64>]) -> impl Iterator<Item = Coord<f64>> + '_ {
    segments.iter().flat_map(|segment| {
        let pieces = 40;
        (0..=pieces)
            .map(move |i| segment.start + segment.delta() * (f64::from(i) / f64::from(pieces)))
    })
}

/// How far a point of some segments lies from the nearest of others, at most, metres.
fn farthest(some: &[Line<f64>], others: &[Line<f64>]) -> f64 {
    let off = |point: Coord<f64>| {
        let others = others.iter();
        others.map(|other| Euclidean.distance(&Point(point), other)).fold(f64::INFINITY, f64::min)
    };
    along(some).map(off).fold(0.0, f64::max)
}

/// The Hausdorff distance between the walls of two plans, each construction of each level for
/// itself, metres.
pub fn hausdorff_m(one: &Plan, other: &Plan) -> f64 {
    let (one, other) = (by_make(one), by_make(other));
    let empty = Vec::new();
    let keys = one.keys().chain(other.keys());
    keys.map(|key| {
        let (a, b) = (one.get(key).unwrap_or(&empty), other.get(key).unwrap_or(&empty));
        farthest(a, b).max(farthest(b, a))
    })
    .fold(0.0, f64::max)
}

/// The same between all walls of the one and all walls of the other, whatever they are built of,
/// metres.
pub fn hausdorff_of_all_m(one: &Plan, other: &Plan) -> f64 {
    let all = |plan: &Plan| -> Vec<Line<f64>> {
        plan.walls.iter().flat_map(|wall| wall.line.lines()).collect()
    };
    let (a, b) = (all(one), all(other));
    farthest(&a, &b).max(farthest(&b, &a))
}
