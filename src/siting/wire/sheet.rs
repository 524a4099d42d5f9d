//! One straight piece of wall as the sheet on which a wire may lie.
//!
//! A place on a sheet is (s, z): metres along the centre line from the segment's start, and height
//! above the plan's zero. Openings are holes in it.

use geo::Coord;
use plan::{Level, MIN_SEGMENT_M, Plan};

/// Room that a wire needs between itself and the edge of an opening that it passes over or under,
/// metres (common sense, no source).
const CLEARANCE_M: f64 = 0.01;

/// A wall ends at its ceiling or floor if no more than this is missing, metres (common sense).
pub(super) const AT_SLAB_M: f64 = 0.05;

/// Lengths below this are rounding, metres.
pub(super) const ROUNDING_M: f64 = 1e-6;

/// How far to either side of a vertical piece there must be wall on one side, metres: the shortest
/// segment of a plan.
const PROBE_M: f64 = MIN_SEGMENT_M;

#[derive(Debug, Clone, Copy)]
struct Hole {
    from_m: f64,
    to_m: f64,
    base_m: f64,
    top_m: f64,
    /// The largest `to_m` of this and all earlier holes.
    farthest_m: f64,
}

impl Hole {
    fn blocks_height(&self, z: f64) -> bool {
        self.base_m - CLEARANCE_M < z && z < self.top_m + CLEARANCE_M
    }

    fn blocks_between(&self, low: f64, high: f64) -> bool {
        high.min(self.top_m) - low.max(self.base_m) > ROUNDING_M
    }
}

/// A segment of a wall, from its lower to its upper line.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    /// Place of the level among the levels in ascending order of their floors.
    pub(super) storey: usize,
    pub(super) level: i32,
    pub(super) start: Coord<f64>,
    /// Unit vector from start to end.
    pub(super) along: Coord<f64>,
    pub(super) length_m: f64,
    /// The lower line: the level's floor, or the wall's base where that is higher.
    pub(super) low_m: f64,
    /// The upper line: the level's ceiling, or the wall's top where that is lower.
    pub(super) high_m: f64,
    /// Whether the wall reaches the level's ceiling, so that a wire can leave it upwards.
    pub(super) ends_at_ceiling: bool,
    /// Whether the wall stands on the level's floor, so that a wire can leave it downwards.
    pub(super) ends_at_floor: bool,
    /// Ascending by `from_m`.
    holes: Vec<Hole>,
}

impl Sheet {
    pub(super) fn at(&self, s: f64) -> Coord<f64> {
        self.start + self.along * s
    }

    pub(super) fn end(&self) -> Coord<f64> {
        self.at(self.length_m)
    }

    /// The foot of a point on the segment, and how far the point lies off it, metres.
    pub(super) fn see(&self, point: Coord<f64>) -> (f64, f64) {
        let to = point - self.start;
        let s = (to.x * self.along.x + to.y * self.along.y).clamp(0.0, self.length_m);
        (s, gap_m(point, self.at(s)))
    }

    /// The places along the sheet where its openings begin and end.
    pub(super) fn jambs(&self) -> impl Iterator<Item = f64> {
        self.holes.iter().flat_map(|hole| [hole.from_m, hole.to_m])
    }

    /// Holes that reach into the stretch from a to b by more than a margin.
    fn holes_in(&self, a: f64, b: f64, margin: f64) -> impl Iterator<Item = &Hole> {
        let (a, b) = (a.min(b) + margin, a.max(b) - margin);
        let begun = self.holes.partition_point(|hole| hole.from_m < b);
        self.holes[..begun]
            .iter()
            .rev()
            .take_while(move |hole| hole.farthest_m > a)
            .filter(move |hole| hole.to_m > a)
    }

    /// Whether a wire can lie straight from a to b at height z.
    pub(super) fn is_clear_across(&self, a: f64, b: f64, z: f64) -> bool {
        !self.holes_in(a, b, ROUNDING_M).any(|hole| hole.blocks_height(z))
    }

    /// Places just beside s where the sheet goes on.
    fn sides(&self, s: f64) -> impl Iterator<Item = f64> {
        let (left, right) = (s - PROBE_M, s + PROBE_M);
        let left = (left >= 0.0).then_some(left);
        let right = (right <= self.length_m).then_some(right);
        let only = (left.is_none() && right.is_none()).then_some(s);
        [left, right, only].into_iter().flatten()
    }

    /// Whether a wire can lie straight up from one height to the other at s: there must be wall on
    /// one side of it at least.
    pub(super) fn is_clear_up(&self, s: f64, one: f64, other: f64) -> bool {
        let (low, high) = (one.min(other), one.max(other));
        self.sides(s)
            .any(|side| !self.holes_in(side, side, 0.0).any(|hole| hole.blocks_between(low, high)))
    }

    pub(super) fn is_solid(&self, s: f64, z: f64) -> bool {
        self.spans(z)
            && self.sides(s).any(|side| {
                !self
                    .holes_in(side, side, 0.0)
                    .any(|hole| hole.base_m + ROUNDING_M < z && z < hole.top_m - ROUNDING_M)
            })
    }

    pub(super) fn spans(&self, z: f64) -> bool {
        self.low_m - ROUNDING_M <= z && z <= self.high_m + ROUNDING_M
    }

    /// How far down and up a wire can lie straight from (s, z).
    pub(super) fn clear_heights(&self, s: f64, z: f64) -> (f64, f64) {
        let mut found = (z, z);
        for side in self.sides(s) {
            let (mut low, mut high) = (self.low_m.min(z), self.high_m.max(z));
            for hole in self.holes_in(side, side, 0.0) {
                if hole.top_m <= z + ROUNDING_M {
                    low = low.max(hole.top_m.min(z));
                } else if hole.base_m >= z - ROUNDING_M {
                    high = high.min(hole.base_m.max(z));
                } else {
                    (low, high) = (z, z);
                }
            }
            found = (found.0.min(low), found.1.max(high));
        }
        found
    }

    /// How far towards the start and the end a wire can lie straight from (s, z).
    pub(super) fn clear_stretch(&self, s: f64, z: f64) -> (f64, f64) {
        let (mut from, mut to) = (0.0_f64, self.length_m);
        for hole in self.holes.iter().filter(|hole| hole.blocks_height(z)) {
            if hole.to_m <= s + ROUNDING_M {
                from = from.max(hole.to_m.min(s));
            } else if hole.from_m >= s - ROUNDING_M {
                to = to.min(hole.from_m.max(s));
            } else {
                return (s, s);
            }
        }
        (from, to)
    }
}

/// Distance in plan, metres.
pub(super) fn gap_m(a: Coord<f64>, b: Coord<f64>) -> f64 {
    (a - b).x.hypot((a - b).y)
}

/// All sheets of a plan, wall by wall; walls of no level or outside its height have none.
pub(super) fn sheets(plan: &Plan, storeys: &[&Level]) -> Vec<Sheet> {
    let mut holes: Vec<(usize, usize, Hole)> = plan
        .openings
        .iter()
        .map(|opening| {
            let hole = Hole {
                from_m: opening.from_m,
                to_m: opening.to_m,
                base_m: opening.base_m,
                top_m: opening.top_m,
                farthest_m: opening.to_m,
            };
            (opening.wall, opening.segment, hole)
        })
        .collect();
    holes.sort_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.from_m.total_cmp(&b.2.from_m)));
    let mut sheets = Vec::new();
    for (number, wall) in plan.walls.iter().enumerate() {
        let Some(storey) = storeys.iter().position(|level| level.number == wall.level) else {
            continue;
        };
        let level = storeys[storey];
        let low_m = wall.base_m.max(level.floor_m);
        let high_m = wall.top_m.min(level.ceiling_m);
        for (segment, line) in wall.line.lines().enumerate() {
            let run = line.end - line.start;
            let length_m = run.x.hypot(run.y);
            if !(length_m >= MIN_SEGMENT_M && high_m - low_m >= MIN_SEGMENT_M) {
                continue;
            }
            let first = holes.partition_point(|hole| (hole.0, hole.1) < (number, segment));
            let mut farthest_m = f64::NEG_INFINITY;
            let own = holes[first..].iter();
            let own = own
                .take_while(|hole| (hole.0, hole.1) == (number, segment))
                .map(|(_, _, hole)| {
                    farthest_m = farthest_m.max(hole.to_m);
                    Hole { farthest_m, ..*hole }
                })
                .collect();
            sheets.push(Sheet {
                storey,
                level: wall.level,
                start: line.start,
                along: run / length_m,
                length_m,
                low_m,
                high_m,
                ends_at_ceiling: (high_m - level.ceiling_m).abs() <= AT_SLAB_M,
                ends_at_floor: (low_m - level.floor_m).abs() <= AT_SLAB_M,
                holes: own,
            });
        }
    }
    sheets
}
