//! Where openings are drawn already: a plan refuses two at one place of a wall.

use geo::{Distance, Euclidean, Line};
use rstar::{AABB, RTree, RTreeObject};

use crate::line::{around, length, seen_from};

/// Openings nearer than this to one another are on one wall, metres.
const SAME_WALL_M: f64 = 0.01;
/// By how much two openings of one wall may overlap for rounding's sake, metres.
const OVERLAP_M: f64 = 0.000_5;

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
        let near = self.0.locate_in_envelope_intersecting(&around(line, SAME_WALL_M));
        let is_free = !{ near }.any(|other| {
            let (a, _) = seen_from(other.line, line.start);
            let (b, _) = seen_from(other.line, line.end);
            other.level == level
                && other.heights.0 < heights.1
                && heights.0 < other.heights.1
                && Euclidean.distance(&other.line, &line) <= SAME_WALL_M
                && a.min(b) < length(other.line) - OVERLAP_M
                && a.max(b) > OVERLAP_M
        });
        if is_free {
            self.0.insert(Hole { level, line, heights });
        }
        is_free
    }
}
