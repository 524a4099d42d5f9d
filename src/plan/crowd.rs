//! A bound on how many walls lie over one another: what is worked out later takes a time with it.

use rstar::RTreeObject as _;

use super::frame::Frame;
use super::limits::MAX_WALLS_OVER_WALLS;
use super::openings::WallIndex;

impl Frame<'_> {
    /// Whether the walls can be worked with; if not, that is a fault of the whole plan.
    ///
    /// What is counted is how many boxes around pieces of walls meet, each with itself, too: more
    /// than walls that touch, but soon counted.
    pub(super) fn check_crowd(&mut self, walls: &WallIndex, at: usize) -> bool {
        let over = walls.iter().flat_map(|piece| {
            let near = walls.locate_in_envelope_intersecting(&piece.envelope());
            near.filter(|other| other.level == piece.level)
        });
        let fits = over.take(MAX_WALLS_OVER_WALLS + 1).count() <= MAX_WALLS_OVER_WALLS;
        if !fits {
            let what = format!(
                "the walls are over one another {MAX_WALLS_OVER_WALLS} times and more, as in no \
                 building"
            );
            let fix = "keep only walls: leave out hatching, furniture, dimensions and walls that \
                       are drawn more than once";
            self.faults.fault(at, None, || (what, fix));
        }
        fits
    }
}
