//! Where openings are drawn already: a plan refuses two at one place of a wall.

use geo::{Distance, Euclidean, Line};
use rstar::{AABB, RTree, RTreeObject};

use crate::line::{along, around, length, line_to_millimetre, seen_from};

/// Openings nearer than this to one another are on one wall, metres.
const SAME_WALL_M: f64 = 0.01;
/// By how much two openings of one wall may overlap for rounding's sake, metres.
const OVERLAP_M: f64 = 0.000_5;
/// An opening is cut where others overlap it if so much of it is left (our own choice: more is the
/// same opening twice).
const LEAST_LEFT: f64 = 0.6;

#[derive(Clone, Copy)]
struct Hole {
    level: i32,
    line: Line<f64>,
    heights: (f64, f64),
}

impl RTreeObject for Hole {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        around(self.line, 0.0)
    }
}

/// The openings so far.
#[derive(Default)]
pub(crate) struct Taken(RTree<Hole>);

impl Taken {
    /// Takes a place on a level, from sill to head; or says that an opening is there already.
    pub(crate) fn take(&mut self, level: i32, line: Line<f64>, heights: (f64, f64)) -> bool {
        let is_free = self.over(level, line, heights).next().is_none();
        if is_free {
            self.0.insert(Hole { level, line, heights });
        }
        is_free
    }

    /// Takes what others leave of a place, cut at its ends; or says that they leave too little.
    pub(crate) fn take_rest(
        &mut self,
        level: i32,
        line: Line<f64>,
        heights: (f64, f64),
    ) -> Option<Line<f64>> {
        let long = length(line);
        let (mut from, mut to) = (0.0_f64, long);
        for (a, b) in self.over(level, line, heights) {
            if a + b < long { from = from.max(b) } else { to = to.min(a) }
        }
        if to - from < LEAST_LEFT * long {
            return None;
        }
        let rest = line_to_millimetre(Line::new(along(line, from), along(line, to)));
        let rest = if from > 0.0 || to < long { rest } else { line };
        self.take(level, rest, heights).then_some(rest)
    }

    /// From where to where along a line others overlap it.
    fn over(
        &self,
        level: i32,
        line: Line<f64>,
        heights: (f64, f64),
    ) -> impl Iterator<Item = (f64, f64)> {
        let near = self.0.locate_in_envelope_intersecting(&around(line, SAME_WALL_M));
        { near }.filter_map(move |other| {
            let (a, _) = seen_from(line, other.line.start);
            let (b, _) = seen_from(line, other.line.end);
            let overlaps = other.level == level
                && other.heights.0 < heights.1
                && heights.0 < other.heights.1
                && Euclidean.distance(&other.line, &line) <= SAME_WALL_M
                && a.min(b) < length(line) - OVERLAP_M
                && a.max(b) > OVERLAP_M;
            overlaps.then_some((a.min(b), a.max(b)))
        })
    }
}
