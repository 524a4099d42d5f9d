//! Which parts of a level are out of doors for a person who walks through it.

use geo::{Contains, ConvexHull, MultiPoint, Polygon};

use super::ring::Doorway;
use forecast::thickness;
use plan::{Inside, Level, Plan};
use trace::Point;

/// How far from a wall to look for a place that is clearly on one of its sides, metres.
const LOOK_M: f64 = 1.2;

/// How far apart places are tried on the way there, metres.
const STEP_M: f64 = 0.025;

/// The outside of a level with every opening shut.
#[derive(Debug, Clone)]
pub(super) struct Outside {
    inside: Inside,
    /// Where the walls do not close: what lies on these is indoors.
    floors: Vec<Polygon<f64>>,
}

impl Outside {
    /// The outside as [`Inside`] finds it, unless a doorway of `ways` has it on both of its sides
    /// or a point of `feet` lies in it: then the walls do not close.
    pub fn new(plan: &Plan, level: &Level, ways: &[Doorway], feet: &[Point]) -> Self {
        let inside = Inside::new(plan, level, &|name| Some(thickness(plan, name).0));
        let mut outside = Self { inside, floors: Vec::new() };
        let open =
            ways.iter().any(|way| [1.0, -1.0].iter().all(|side| outside.is_out_beside(way, *side)))
                || feet.iter().any(|foot| outside.is_out(*foot));
        if open {
            let slabs = plan.slabs.iter().filter(|slab| slab.level == level.number);
            // A hole for stairs is indoors.
            let whole = slabs.map(|slab| Polygon::new(slab.outline.exterior().clone(), Vec::new()));
            outside.floors = whole.collect();
            if outside.floors.is_empty() {
                let walls = plan.walls.iter().filter(|wall| wall.level == level.number);
                let corners: Vec<Point> = walls.flat_map(|wall| wall.line.0.clone()).collect();
                outside.floors.push(MultiPoint::from(corners).convex_hull());
            }
        }
        outside
    }

    /// Whether a point is out of doors; what is in a wall is not.
    pub fn is_out(&self, p: Point) -> bool {
        !self.inside.holds(p) && !self.floors.iter().any(|floor| floor.contains(&geo::Point(p)))
    }

    /// Whether the side of a doorway to the left of its wall (`side` 1) or to the right (−1) is
    /// out of doors.
    pub fn is_out_beside(&self, way: &Doorway, side: f64) -> bool {
        let mut off = way.half_thickness_m;
        while off <= way.half_thickness_m + LOOK_M {
            let p = way.middle + way.across * (side * off);
            if !self.inside.is_in_wall(p) {
                return self.is_out(p);
            }
            off += STEP_M;
        }
        false
    }
}
