//! A bound on how many walls lie over one another: what is worked out later takes a time with it.

use rstar::{RTree, RTreeObject as _};

use super::Wall;
use super::frame::Frame;
use super::limits::MAX_WALLS_OVER_WALLS;
use super::openings::segments;

impl Frame<'_> {
    /// Whether the walls can be worked with; if not, that is a fault of the whole plan.
    ///
    /// What is counted is how many boxes around pieces of walls meet, each with itself, too: more
    /// than walls that touch, but soon counted.
    pub(super) fn check_crowd(&mut self, walls: &[Wall], at: usize) -> bool {
        let pieces = segments(walls);
        let index = RTree::bulk_load(pieces.clone());
        let mut room = MAX_WALLS_OVER_WALLS;
        let fits = pieces.iter().all(|piece| {
            let near = index.locate_in_envelope_intersecting(&piece.envelope());
            let here = near.filter(|other| other.level == piece.level).take(room + 1).count();
            let fits = here <= room;
            room = room.saturating_sub(here);
            fits
        });
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
