//! What stands in the way on a level: pieces of wall and obstacles, as closed rings; and which
//! openings a person can walk through.

use std::collections::BTreeMap;

use super::settings::WalkSettings;
use forecast::{class_of, thickness};
use plan::{Level, Opening, Plan, Wall};
use radio::ConstructionClass;
use trace::{Point, cross, dot, left_of, norm};

/// Obstacles that end below this height over the floor are reached over, metres (common practice,
/// no source: a panel hangs at about 1.5 m).
const ARM_M: f64 = 1.2;

/// Highest threshold that is stepped over, metres above a floor (common practice, no source).
const MAX_STEP_M: f64 = 0.15;

/// Lowest head of a doorway, metres above the floor (common practice, no source: old and low doors
/// are about this high).
const MIN_HEAD_M: f64 = 1.8;

/// Rounding left over by feet turned into metres.
const FEET_M: f64 = 1e-6;

/// A wall thinner than this is a line, metres.
const THIN_M: f64 = 1e-6;

/// A closed outline, its inside to the left; two points are a line that stands by itself.
#[derive(Debug, Clone)]
pub(super) struct Ring {
    pub points: Vec<Point>,
    /// Whether nobody reaches through or over it.
    pub stops_arms: bool,
    /// Whether it is a piece of wall.
    pub wall: bool,
}

impl Ring {
    pub fn sides(&self) -> impl Iterator<Item = (Point, Point)> {
        let next = self.points.iter().cycle().skip(1);
        self.points.iter().copied().zip(next.copied())
    }

    /// An outline of any sense of rotation, closed or not; `None` for less than two points.
    fn outline(points: &[Point], stops_arms: bool) -> Option<Self> {
        let mut ring: Vec<Point> = Vec::with_capacity(points.len());
        for &p in points {
            if ring.last().is_none_or(|last| norm(p - *last) > THIN_M) {
                ring.push(p);
            }
        }
        while ring.len() > 1 && norm(ring[0] - ring[ring.len() - 1]) <= THIN_M {
            ring.pop();
        }
        let origin = *ring.first()?;
        let twice_area: f64 =
            ring.windows(2).map(|pair| cross(pair[0] - origin, pair[1] - origin)).sum();
        if twice_area < 0.0 {
            ring.reverse();
        }
        (ring.len() > 1).then_some(Self { points: ring, stops_arms, wall: false })
    }
}

/// A place on a wall where an opening is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Doorway {
    /// Its middle on the wall's centre line.
    pub middle: Point,
    /// Unit vector across the wall, to the left of its line.
    pub across: Point,
    /// Half of its width, metres.
    pub half_gap_m: f64,
    /// Half of the wall's thickness, metres.
    pub half_thickness_m: f64,
}

impl Doorway {
    /// Where an opening is; `None` if its wall or segment is not in the plan.
    pub fn of(plan: &Plan, opening: &Opening) -> Option<Self> {
        let wall = plan.walls.get(opening.wall)?;
        let a = *wall.line.0.get(opening.segment)?;
        let b = *wall.line.0.get(opening.segment + 1)?;
        let length = norm(b - a);
        if length <= THIN_M {
            return None;
        }
        let along = (b - a) / length;
        Some(Self {
            middle: a + along * f64::midpoint(opening.from_m, opening.to_m),
            across: left_of(along),
            half_gap_m: 0.5 * (opening.to_m - opening.from_m).max(0.0),
            half_thickness_m: half_thickness_m(plan, wall),
        })
    }
}

pub(super) fn half_thickness_m(plan: &Plan, wall: &Wall) -> f64 {
    0.5 * thickness(plan, &wall.construction).0.max(0.0)
}

/// Whether something between two heights is in the way of a person on a level.
pub(super) fn in_the_way(base_m: f64, top_m: f64, level: &Level, settings: &WalkSettings) -> bool {
    base_m < level.floor_m + settings.highest_m && top_m > level.floor_m + settings.lowest_m
}

/// Whether an opening that can be walked through is a gap for those on a level.
pub(super) fn is_gap_on(plan: &Plan, opening: &Opening, level: &Level) -> bool {
    let own = plan.walls.get(opening.wall).is_some_and(|wall| wall.level == level.number);
    own || spans_a_person(opening, level.floor_m)
}

/// Whether an opening is a way through, as far as the plan tells.
///
/// It is if, over the floor of some level, its foot is at most 0.15 m and its head at least
/// 1.8 m high, and it either stands open or its leaf is no pane of glass (class
/// [`ConstructionClass::Glass`] or [`ConstructionClass::CoatedGlass`]). So doors of timber, steel
/// or with glazing are ways through even if closed, and so is a curtain or a leaf of the user's own
/// making; a pane that reaches the floor is a window unless it stands open. Whether the opening
/// leads out of the building does not matter here: [`super::WalkMap`] finds that out.
#[must_use]
pub fn passable_by_default(plan: &Plan, opening: &Opening) -> bool {
    let high_enough = plan.levels.iter().any(|level| spans_a_person(opening, level.floor_m));
    let pane = matches!(
        class_of(plan, &opening.construction),
        ConstructionClass::Glass | ConstructionClass::CoatedGlass
    );
    high_enough && (opening.open || !pane)
}

/// Whether an opening's foot and head leave room for a person on a floor of this height.
fn spans_a_person(opening: &Opening, floor_m: f64) -> bool {
    opening.base_m <= floor_m + MAX_STEP_M + FEET_M
        && opening.top_m >= floor_m + MIN_HEAD_M - FEET_M
}

/// All that is in the way on a level, with the openings at `gaps` cut out of their walls.
///
/// A wall is a rectangle round each segment of its line, cut off square at its free ends and at the
/// jambs; where segments meet it is longer by half its thickness, which fills the corner.
pub(super) fn rings_of(
    plan: &Plan,
    level: &Level,
    settings: &WalkSettings,
    gaps: &[&Opening],
) -> Vec<Ring> {
    let mut cuts: BTreeMap<(usize, usize), Vec<(f64, f64)>> = BTreeMap::new();
    for opening in gaps {
        let place = (opening.wall, opening.segment);
        cuts.entry(place).or_default().push((opening.from_m, opening.to_m));
    }
    for list in cuts.values_mut() {
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
    }
    let standing: Vec<(usize, &Wall)> = plan
        .walls
        .iter()
        .enumerate()
        .filter(|(_, wall)| in_the_way(wall.base_m, wall.top_m, level, settings))
        .collect();
    let ends = shared_ends(&standing);
    let meets = |p: Point| ends.get(&key(p)).is_some_and(|count| *count > 1);

    let mut rings = Vec::new();
    for &(number, wall) in &standing {
        let half = half_thickness_m(plan, wall);
        for (segment, pair) in wall.line.0.windows(2).enumerate() {
            let [a, b] = [pair[0], pair[1]];
            let length = norm(b - a);
            if length <= THIN_M {
                continue;
            }
            let along = (b - a) / length;
            let list = cuts.get(&(number, segment)).map_or(&[][..], Vec::as_slice);
            for (from, to) in pieces(length, list) {
                let from = if from <= 0.0 && meets(a) { -half } else { from };
                let to = if to >= length && meets(b) { length + half } else { to };
                rings.push(piece(a + along * from, a + along * to, left_of(along) * half));
            }
        }
    }
    let obstacles = plan
        .obstacles
        .iter()
        .filter(|thing| in_the_way(thing.base_m, thing.top_m, level, settings));
    rings.extend(obstacles.filter_map(|thing| {
        let stops_arms = thing.top_m > level.floor_m + ARM_M;
        Ring::outline(&thing.outline.exterior().0, stops_arms)
    }));
    rings
}

/// What cuts leave of a length, as stretches.
fn pieces(length: f64, cuts: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut left = Vec::with_capacity(cuts.len() + 1);
    let mut from = 0.0;
    for &(start, end) in cuts {
        if start - from > THIN_M {
            left.push((from, start.min(length)));
        }
        from = end.max(from);
    }
    if length - from > THIN_M {
        left.push((from, length));
    }
    left
}

fn piece(a: Point, b: Point, off: Point) -> Ring {
    let points = if dot(off, off) <= THIN_M * THIN_M {
        vec![a, b]
    } else {
        vec![a - off, b - off, b + off, a + off]
    };
    Ring { points, stops_arms: true, wall: true }
}

type Key = (u64, u64);

/// The bits of a point; minus zero is zero.
fn key(p: Point) -> Key {
    ((p.x + 0.0).to_bits(), (p.y + 0.0).to_bits())
}

/// How many segments end at a point.
fn shared_ends(walls: &[(usize, &Wall)]) -> BTreeMap<Key, u32> {
    let mut ends = BTreeMap::new();
    for (_, wall) in walls {
        for pair in wall.line.0.windows(2) {
            for p in pair {
                *ends.entry(key(*p)).or_insert(0) += 1;
            }
        }
    }
    ends
}
