//! Which stretches of a line other walls run along.

use std::cell::Cell;

use geo::Line;

use crate::line::{LineIndex, along, around, index, length, seen_from};

/// Most walls that are looked at around one line: it bounds the time that a hostile file can cost.
const MAX_LOOKS: usize = 900;

pub(super) struct Index {
    /// The level of each wall, and where it runs.
    walls: Vec<(i32, Line<f64>)>,
    tree: LineIndex,
    looks: Cell<usize>,
}

/// Most walls that are looked at in all: a hundred around each wall of the largest plan. Only a
/// hostile file has more in one another's way; what is asked later finds nothing.
const MAX_ALL_LOOKS: usize = 2_000_000;

impl Index {
    pub(super) fn of(walls: impl IntoIterator<Item = (i32, Line<f64>)>) -> Self {
        let walls: Vec<_> = walls.into_iter().collect();
        let tree = index(walls.iter().map(|(_, line)| *line));
        Self { walls, tree, looks: Cell::new(MAX_ALL_LOOKS) }
    }

    /// Numbers of the walls around a line, ascending.
    pub(super) fn around(&self, line: Line<f64>, reach_m: f64) -> Vec<usize> {
        let found = self.tree.locate_in_envelope_intersecting(&around(line, reach_m));
        let most = MAX_LOOKS.min(self.looks.get());
        let mut found: Vec<usize> = found.take(most).map(|near| near.data).collect();
        self.looks.set(self.looks.get().saturating_sub(found.len()));
        found.sort_unstable();
        found
    }

    /// Where walls of its level run along a line within reach: from and to along it, how far left
    /// of it in the mean, metres, and the number of the wall.
    pub(super) fn covered(
        &self,
        line: Line<f64>,
        level: i32,
        reach_m: f64,
    ) -> Vec<(f64, f64, f64, usize)> {
        let length_m = length(line);
        let mut covered = Vec::new();
        for number in self.around(line, reach_m) {
            let (on, wall) = self.walls[number];
            if on != level {
                continue;
            }
            let (from, to) = (seen_from(line, wall.start), seen_from(line, wall.end));
            let near = from.1.abs() <= reach_m && to.1.abs() <= reach_m;
            let (low, high) = (from.0.min(to.0).max(0.0), from.0.max(to.0).min(length_m));
            // A wall that only crosses the line, or stands on it, covers nothing of it.
            let beside = high - low > 0.05 && (from.1 - to.1).abs() < 0.2 * (from.0 - to.0).abs();
            if near && beside {
                covered.push((low, high, (from.1 + to.1) / 2.0, number));
            }
        }
        covered
    }

    /// The stretches of a line along which no wall of its level runs within reach, in order. What
    /// is shorter than `least_m` is no stretch, unless the line is bare from end to end.
    pub(super) fn bare(
        &self,
        line: Line<f64>,
        level: i32,
        (reach_m, least_m): (f64, f64),
    ) -> Vec<Line<f64>> {
        let mut covered = self.covered(line, level, reach_m);
        if covered.is_empty() {
            return vec![line];
        }
        covered.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut bare = Vec::new();
        let mut done_m = 0.0_f64;
        let covered = covered.into_iter().map(|(from, to, ..)| (from, to));
        for (from, to) in covered.chain([(length(line), length(line))]) {
            if from - done_m >= least_m {
                bare.push(Line::new(along(line, done_m), along(line, from)));
            }
            done_m = done_m.max(to);
        }
        bare
    }
}
