//! Which stretches of a line other walls run along.

use std::cell::Cell;

use geo::Line;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::site::Run;

/// Most walls that are looked at around one line: it bounds the time that a hostile file can cost.
const MAX_LOOKS: usize = 900;

/// Walls by place.
#[derive(Debug)]
pub(super) struct Index {
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
    /// How many walls may still be looked at.
    looks: Cell<usize>,
}

/// Most walls that are looked at in all: a hundred around each wall of the largest plan. Only a hostile
/// file has more in one another's way; what is asked later finds nothing.
const MAX_ALL_LOOKS: usize = 2_000_000;

impl Index {
    /// Of all walls there are.
    pub(super) fn of(runs: &[Run]) -> Self {
        let boxes = runs.iter().enumerate().map(|(number, run)| {
            let (a, b) = (run.line.start, run.line.end);
            GeomWithData::new(Rectangle::from_corners([a.x, a.y], [b.x, b.y]), number)
        });
        Self { tree: RTree::bulk_load(boxes.collect()), looks: Cell::new(MAX_ALL_LOOKS) }
    }

    /// Numbers of the walls around a line, ascending.
    pub(super) fn around(&self, line: Line<f64>, reach_m: f64) -> Vec<usize> {
        let low = [line.start.x.min(line.end.x) - reach_m, line.start.y.min(line.end.y) - reach_m];
        let high = [line.start.x.max(line.end.x) + reach_m, line.start.y.max(line.end.y) + reach_m];
        let found = self.tree.locate_in_envelope_intersecting(&AABB::from_corners(low, high));
        let mut found: Vec<usize> =
            found.take(MAX_LOOKS.min(self.looks.get())).map(|near| near.data).collect();
        self.looks.set(self.looks.get().saturating_sub(found.len()));
        found.sort_unstable();
        found
    }

    /// Where walls of its level run along a line within reach: from and to along it, how far left of it
    /// in the mean, metres, and the number of the wall.
    pub(super) fn covered(
        &self,
        line: Line<f64>,
        level: i32,
        runs: &[Run],
        reach_m: f64,
    ) -> Vec<(f64, f64, f64, usize)> {
        let length_m = length_m(line);
        let mut covered = Vec::new();
        for number in self.around(line, reach_m) {
            let Some(run) = runs.get(number).filter(|run| run.level == level) else {
                continue;
            };
            let (from, to) = (seen(line, run.line.start), seen(line, run.line.end));
            let near = from.1.abs() <= reach_m && to.1.abs() <= reach_m;
            let (low, high) = (from.0.min(to.0).max(0.0), from.0.max(to.0).min(length_m));
            // A wall that only crosses the line, or stands on it, covers nothing of it.
            let along = high - low > 0.05 && (from.1 - to.1).abs() < 0.2 * (from.0 - to.0).abs();
            if near && along {
                covered.push((low, high, (from.1 + to.1) / 2.0, number));
            }
        }
        covered
    }

    /// The stretches of a line along which no wall of its level runs within reach, in order. What is
    /// shorter than `least_m` is no stretch, unless the line is bare from end to end.
    pub(super) fn bare(
        &self,
        line: Line<f64>,
        level: i32,
        runs: &[Run],
        (reach_m, least_m): (f64, f64),
    ) -> Vec<Line<f64>> {
        let length_m = length_m(line);
        let mut covered = self.covered(line, level, runs, reach_m);
        if covered.is_empty() {
            return vec![line];
        }
        covered.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut bare = Vec::new();
        let mut done_m = 0.0_f64;
        let covered = covered.into_iter().map(|(from, to, ..)| (from, to));
        for (from, to) in covered.chain([(length_m, length_m)]) {
            if from - done_m >= least_m {
                bare.push(Line::new(along(line, done_m, length_m), along(line, from, length_m)));
            }
            done_m = done_m.max(to);
        }
        bare
    }
}

/// How long a line is, metres.
pub(super) fn length_m(line: Line<f64>) -> f64 {
    let run = line.delta();
    run.x.hypot(run.y)
}

/// A point so many metres along a line of this length.
pub(super) fn along(line: Line<f64>, at_m: f64, length_m: f64) -> geo::Coord<f64> {
    line.start + line.delta() * (at_m / length_m)
}

/// How far along a line a point lies, and how far left of it, metres.
pub(super) fn seen(line: Line<f64>, point: geo::Coord<f64>) -> (f64, f64) {
    let (run, to) = (line.delta(), point - line.start);
    let length = run.x.hypot(run.y);
    ((to.x * run.x + to.y * run.y) / length, (run.x * to.y - run.y * to.x) / length)
}
