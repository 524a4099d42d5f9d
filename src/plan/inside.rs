//! What is inside a building: the one rule that rooms, spots, walks and the reader ask.
//!
//! Every wall that divides a level is a strip as thick as the wall. Where an end of a wall comes
//! within [`GAP_M`] of another wall, the gap is closed. Doors and windows lie on walls and count as
//! shut. What can then be reached from beyond all walls is outside; the walls and what they close
//! off are inside.
//!
//! A wider gap that lets the outside into a room, up to [`DOORWAY_M`], leaves the level open: what
//! lies behind it still counts as inside, and the gap is named, so that nobody loses half a house
//! unawares.

use geo::{
    Area, BooleanOps, BoundingRect, Contains, ConvexHull, Coord, Distance, Euclidean,
    InteriorPoint, Intersects, Line, LineString, MultiPoint, MultiPolygon, Point, Polygon, Rect,
    unary_union,
};
use rstar::primitives::GeomWithData;
use rstar::{AABB, Envelope as _, RTree, RTreeObject as _};

use super::{Construction, Layer, Level, Plan, Wall};

/// Widest gap between walls that counts as closed, metres: a hand's breadth, which is how far a
/// wall drawn by hand may stop short (our own choice).
pub const GAP_M: f64 = 0.2;

/// Widest gap that is taken for a way in drawn without an opening, metres: a single garage door
/// (common practice, no source).
pub const DOORWAY_M: f64 = 2.5;

/// A gap wider than a double door, metres (common practice, no source), may be the open side of a
/// porch or a bay.
const DOUBLE_DOOR_M: f64 = 1.5;

/// What a wider gap must open to be named, square metres: more than a porch (our own choice).
const MORE_THAN_A_PORCH_M2: f64 = 6.0;

/// Least area of a room, square metres: what is smaller is a shaft, or the cavity between two walls
/// (our own choice).
pub const LEAST_ROOM_M2: f64 = 0.3;

/// A wall divides a level if it reaches at least so far above the floor, metres (our own choice:
/// above the eyes; what is lower is a counter or a screen).
const DIVIDES_UP_TO_M: f64 = 1.8;

/// A wall divides a level if it begins at most so far above the floor, metres (our own choice: a
/// beam or a lintel does not).
const DIVIDES_FROM_M: f64 = 1.0;

/// Thickness of a wall of which nothing is known, metres (our own choice, no source).
const USUAL_THICKNESS_M: f64 = 0.1;

/// Least thickness that counts, metres: a film closes a room, too.
const LEAST_THICKNESS_M: f64 = 0.02;

/// Most pairs of strips whose boxes touch, on one level: a level with more has no inside. A
/// building of twenty thousand walls has some eighty thousand; it bounds the time that a hostile
/// plan can cost.
const MOST_MEETINGS: usize = 400_000;

/// Most walls that one end of a wall is held against: far beyond any building, it bounds the time.
const MOST_NEAR: usize = 400;

/// How far to each side of a gap to look for what it parts, metres beyond half of the wall.
const BESIDE_M: f64 = 0.05;

/// Ends nearer than this to a wall touch it, metres.
const TOUCH_M: f64 = 1e-6;

/// The thickness of a built-in construction by its name, metres.
pub type Thickness<'a> = dyn Fn(&str) -> Option<f64> + 'a;

/// A gap through which the outside comes into a building.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Its middle, metres.
    pub middle: Coord<f64>,
    /// Its width between the walls' faces, metres.
    pub width_m: f64,
    /// Index in [`Plan::walls`] of the wall whose end is free.
    pub wall: usize,
    /// Index of the wall on the other side of the gap; it may be the same.
    pub other: usize,
}

/// The inside of one level.
#[derive(Debug, Clone, Default)]
pub struct Inside {
    /// What walls close off, however small, along the faces of the walls.
    spaces: Vec<Polygon<f64>>,
    /// The sides of all that can be reached from beyond the walls.
    outside: RTree<Line<f64>>,
    /// The sides of `spaces`.
    closed_off: RTree<Line<f64>>,
    /// Round the middle lines of all walls; nothing where there are none.
    hull: Option<Polygon<f64>>,
    gaps: Vec<Gap>,
}

impl Inside {
    /// Finds the inside of a level. A wall's own [`Wall::thickness_mm`] and the layers of the
    /// plan's own constructions go before `thickness_m`.
    #[must_use]
    pub fn new(plan: &Plan, level: &Level, thickness_m: &Thickness<'_>) -> Self {
        let strips = strips(plan, level, thickness_m);
        let corners = strips.iter().flat_map(|strip| [strip.line.start, strip.line.end]);
        let corners: MultiPoint<f64> = corners.collect::<Vec<_>>().into();
        if corners.0.is_empty() || is_tangle(&strips) {
            return Self::default();
        }
        let joints = Joints::of(plan, &strips);
        let mut solid: Vec<Polygon<f64>> = strips
            .iter()
            .map(|strip| strip.outline(joints.longer(strip)))
            .chain(joints.closed.iter().map(|bridge| bridge.outline()))
            .collect();
        let mut ground = Ground::of(&solid);
        let mut gaps = Vec::new();
        // Narrow ones first: a wide one may lead into the same room.
        for (widest_m, least_m2) in
            [(DOUBLE_DOOR_M, LEAST_ROOM_M2), (DOORWAY_M, MORE_THAN_A_PORCH_M2)]
        {
            for bridge in ground.ways_in(&joints.open, widest_m, &solid, least_m2) {
                solid.push(bridge.outline());
                gaps.push(bridge.gap());
            }
            if !gaps.is_empty() {
                ground = Ground::of(&solid);
            }
        }
        gaps.sort_by_key(|gap| gap.wall);
        Self {
            outside: RTree::bulk_load(sides(ground.outside.iter())),
            closed_off: RTree::bulk_load(sides(ground.spaces.iter())),
            spaces: ground.spaces,
            hull: Some(corners.convex_hull()),
            gaps,
        }
    }

    /// The inside of every level of a plan, in the order of its levels.
    #[must_use]
    pub fn of_levels(plan: &Plan, thickness_m: &Thickness<'_>) -> Vec<Self> {
        plan.levels.iter().map(|level| Self::new(plan, level, thickness_m)).collect()
    }

    /// Whether walls close off anything; if not, the outline has a wide gap, or there are no walls.
    #[must_use]
    pub fn is_closed(&self) -> bool {
        !self.spaces.is_empty()
    }

    /// Whether a place is inside the building, its walls included; nothing is where walls close off
    /// nothing.
    #[must_use]
    pub fn holds(&self, place: Coord<f64>) -> bool {
        let ground = self.outside.root().envelope();
        self.is_closed() && ground.contains_point(&Point(place)) && !is_within(&self.outside, place)
    }

    /// Whether a place has no wall on some side: it is not inside or, where walls close off
    /// nothing, it lies beyond the hull of all of them. Nothing does on a level without walls.
    #[must_use]
    pub fn is_outside_every_wall(&self, place: Coord<f64>) -> bool {
        let beyond = |hull: &Polygon<f64>| !hull.intersects(&Point(place));
        if self.is_closed() { !self.holds(place) } else { self.hull.as_ref().is_some_and(beyond) }
    }

    /// Whether a place lies in a wall.
    #[must_use]
    pub fn is_in_wall(&self, place: Coord<f64>) -> bool {
        self.holds(place) && !is_within(&self.closed_off, place)
    }

    /// The rooms: what walls close off, along their faces, at least [`LEAST_ROOM_M2`] each.
    pub fn rooms(&self) -> impl Iterator<Item = &Polygon<f64>> {
        self.spaces.iter().filter(|space| space.unsigned_area() >= LEAST_ROOM_M2)
    }

    /// The gaps wider than [`GAP_M`] by which the level is open, in the order of the walls.
    #[must_use]
    pub fn gaps(&self) -> &[Gap] {
        &self.gaps
    }
}

/// Whether a wall divides a level: a person can neither see over it nor walk under it.
fn divides(wall: &Wall, level: &Level) -> bool {
    let height_m = level.ceiling_m - level.floor_m;
    wall.top_m >= level.floor_m + DIVIDES_UP_TO_M.min(0.75 * height_m)
        && wall.base_m <= level.floor_m + DIVIDES_FROM_M.min(0.75 * height_m)
}

/// How thick a wall is, metres.
fn thickness_of(plan: &Plan, wall: &Wall, known: &Thickness<'_>) -> f64 {
    let own = plan.constructions.get(&wall.construction);
    let layers_m = own.and_then(|own| match own {
        Construction::Layers(layers) => {
            let bulk = layers.iter().filter_map(|layer| match layer {
                Layer::Bulk { thickness_mm, .. } => Some(*thickness_mm),
                Layer::Film { .. } => None,
            });
            Some(bulk.sum::<f64>() / 1e3)
        }
        Construction::Measured(_) => None,
    });
    let thickness_m = wall
        .thickness_mm
        .map(|mm| mm / 1e3)
        .or(layers_m)
        .or_else(|| known(&wall.construction))
        .unwrap_or(USUAL_THICKNESS_M);
    thickness_m.max(LEAST_THICKNESS_M)
}

/// One segment of a wall.
#[derive(Debug, Clone, Copy)]
struct Strip {
    wall: usize,
    segment: usize,
    line: Line<f64>,
    half_m: f64,
}

impl Strip {
    fn along(&self) -> Coord<f64> {
        let run = self.line.delta();
        run / run.x.hypot(run.y)
    }

    /// The rectangle over it, longer by so much at its start and end, metres.
    fn outline(&self, (before_m, after_m): (f64, f64)) -> Polygon<f64> {
        let along = self.along();
        let beside = Coord { x: -along.y, y: along.x } * self.half_m;
        let (start, end) = (self.line.start - along * before_m, self.line.end + along * after_m);
        let ring = vec![start - beside, end - beside, end + beside, start + beside];
        Polygon::new(LineString::new(ring), Vec::new())
    }

    /// The nearest place on its middle line, and how far a place is from the wall's body, metres.
    fn nearest(&self, place: Coord<f64>) -> (Coord<f64>, f64) {
        let (along, to) = (self.along(), place - self.line.start);
        let length = self.line.delta().x.hypot(self.line.delta().y);
        let (t, s) = (to.x * along.x + to.y * along.y, to.y * along.x - to.x * along.y);
        let beyond = (-t).max(t - length).max(0.0);
        let off_m = beyond.hypot((s.abs() - self.half_m).max(0.0));
        (self.line.start + along * t.clamp(0.0, length), off_m)
    }

    fn envelope(&self, round_m: f64) -> AABB<Point<f64>> {
        let rect = Rect::new(self.line.start, self.line.end);
        let round = Coord { x: 1.0, y: 1.0 } * (self.half_m + round_m);
        AABB::from_corners(Point(rect.min() - round), Point(rect.max() + round))
    }
}

/// The strips of all walls that divide a level.
fn strips(plan: &Plan, level: &Level, known: &Thickness<'_>) -> Vec<Strip> {
    let walls = plan.walls.iter().enumerate().filter(|(_, wall)| divides(wall, level));
    let of_wall = |(number, wall): (usize, &'_ Wall)| {
        let half_m = thickness_of(plan, wall, known) / 2.0;
        let lines: Vec<Line<f64>> = wall.line.lines().collect();
        lines.into_iter().enumerate().filter_map(move |(segment, line)| {
            let has_length = line.start != line.end;
            has_length.then_some(Strip { wall: number, segment, line, half_m })
        })
    };
    walls.flat_map(of_wall).collect()
}

/// Whether far more strips touch one another than in any building.
fn is_tangle(strips: &[Strip]) -> bool {
    let boxes = strips.iter().map(|strip| GeomWithData::new(rect_of(strip.envelope(0.0)), ()));
    let index = RTree::bulk_load(boxes.collect());
    let mut meetings = 0;
    for strip in index.iter() {
        meetings += index
            .locate_in_envelope_intersecting(&strip.envelope())
            .take(MOST_MEETINGS + 1 - meetings)
            .count();
        if meetings > MOST_MEETINGS {
            return true;
        }
    }
    false
}

fn rect_of(envelope: AABB<Point<f64>>) -> Rect<f64> {
    Rect::new(envelope.lower().0, envelope.upper().0)
}

/// From an end of a wall across a gap to another wall.
#[derive(Debug, Clone, Copy)]
struct Bridge {
    strip: Strip,
    width_m: f64,
    other: usize,
}

impl Bridge {
    fn outline(&self) -> Polygon<f64> {
        self.strip.outline((0.0, 0.0))
    }

    /// Places just to its left and right.
    fn sides(&self) -> [Coord<f64>; 2] {
        let along = self.strip.along();
        let beside = Coord { x: -along.y, y: along.x } * (self.strip.half_m + BESIDE_M);
        [self.middle() + beside, self.middle() - beside]
    }

    fn middle(&self) -> Coord<f64> {
        // The middle of what is free, not of the way to the other wall's middle line.
        self.strip.line.start + self.strip.along() * (self.width_m / 2.0)
    }

    fn gap(&self) -> Gap {
        Gap {
            middle: self.middle(),
            width_m: self.width_m,
            wall: self.strip.wall,
            other: self.other,
        }
    }
}

/// How the ends of walls meet other walls.
#[derive(Debug, Default)]
struct Joints {
    /// Wall and whether at its end, of ends that touch no wall.
    loose: Vec<(usize, bool)>,
    /// Last segment of each wall on the level.
    last: Vec<usize>,
    closed: Vec<Bridge>,
    open: Vec<Bridge>,
}

impl Joints {
    fn of(plan: &Plan, strips: &[Strip]) -> Self {
        let boxes: Vec<_> = strips
            .iter()
            .enumerate()
            .map(|(number, strip)| GeomWithData::new(rect_of(strip.envelope(0.0)), number))
            .collect();
        let index = RTree::bulk_load(boxes);
        let mut joints = Self { last: vec![0; plan.walls.len()], ..Self::default() };
        for strip in strips {
            joints.last[strip.wall] = joints.last[strip.wall].max(strip.segment);
        }
        for strip in strips {
            let wall = &plan.walls[strip.wall];
            let ends = [
                (strip.segment == 0, strip.line.start, strip.along() * -1.0, false),
                (strip.segment == joints.last[strip.wall], strip.line.end, strip.along(), true),
            ];
            for (is_end, place, ahead, at_end) in ends {
                if is_end && !(wall.line.is_closed() && wall.line.0.len() > 3) {
                    joints.meet(strips, &index, strip, place, ahead, at_end);
                }
            }
        }
        joints
    }

    /// Notes what an end of a wall meets.
    fn meet(
        &mut self,
        strips: &[Strip],
        index: &RTree<GeomWithData<Rect<f64>, usize>>,
        strip: &Strip,
        place: Coord<f64>,
        ahead: Coord<f64>,
        at_end: bool,
    ) {
        let round = Coord { x: DOORWAY_M, y: DOORWAY_M };
        let near = AABB::from_corners(Point(place - round), Point(place + round));
        let others = index.locate_in_envelope_intersecting(&near).take(MOST_NEAR);
        let mut met: Vec<(f64, usize, Coord<f64>)> = others
            .filter_map(|found| strips.get(found.data).map(|other| (found.data, other)))
            .filter(|(_, other)| {
                other.wall != strip.wall || other.segment.abs_diff(strip.segment) > 1
            })
            .map(|(number, other)| {
                let (foot, off_m) = other.nearest(place);
                (off_m, number, foot)
            })
            .filter(|(off_m, ..)| *off_m <= DOORWAY_M)
            .collect();
        met.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let bridge = |&(width_m, number, foot): &(f64, usize, Coord<f64>)| Bridge {
            strip: Strip { line: Line::new(place, foot), ..*strip },
            width_m,
            other: strips[number].wall,
        };
        match met.first() {
            Some((off_m, ..)) if *off_m <= TOUCH_M => return,
            Some(nearest) if nearest.0 <= GAP_M => self.closed.push(bridge(nearest)),
            nearest => self.open.extend(nearest.map(bridge)),
        }
        // Straight on, within some 20 degrees: the other jamb, where a side wall is nearer.
        let is_ahead = |to: &&(f64, usize, Coord<f64>)| {
            let way = to.2 - place;
            to.0 > GAP_M && way.x * ahead.x + way.y * ahead.y >= 0.94 * way.x.hypot(way.y)
        };
        self.open.extend(met.iter().skip(1).find(is_ahead).map(bridge));
        self.loose.push((strip.wall, at_end));
    }

    /// By how much a strip is longer than drawn at its start and end, metres: by half its thickness
    /// where it meets another, so that corners close.
    fn longer(&self, strip: &Strip) -> (f64, f64) {
        let is_loose = |end: bool| self.loose.binary_search(&(strip.wall, end)).is_ok();
        let before = strip.segment == 0 && is_loose(false);
        let after = self.last.get(strip.wall) == Some(&strip.segment) && is_loose(true);
        let half = |loose: bool| if loose { 0.0 } else { strip.half_m };
        (half(before), half(after))
    }
}

/// The ground of a level that no wall stands on.
#[derive(Debug)]
struct Ground {
    /// What hangs together with what is beyond all walls.
    outside: Option<Polygon<f64>>,
    /// The rest.
    spaces: Vec<Polygon<f64>>,
}

impl Ground {
    fn of(solid: &[Polygon<f64>]) -> Self {
        let Some(bounds) = MultiPolygon::new(solid.to_vec()).bounding_rect() else {
            return Self { outside: None, spaces: Vec::new() };
        };
        let round = Coord { x: 1.0, y: 1.0 };
        let ground = Rect::new(bounds.min() - round, bounds.max() + round).to_polygon();
        let corner = Point(bounds.min() - round * 0.5);
        let free = ground.difference(&unary_union(solid));
        let (outside, spaces): (Vec<_>, Vec<_>) =
            free.into_iter().partition(|space| space.contains(&corner));
        Self { outside: outside.into_iter().next(), spaces }
    }

    /// The gaps by which the outside comes into what would be closed off if they were shut, one of
    /// each pair of ends that face one another.
    fn ways_in(
        &self,
        gaps: &[Bridge],
        widest_m: f64,
        solid: &[Polygon<f64>],
        least_m2: f64,
    ) -> Vec<Bridge> {
        let mut found: Vec<Bridge> = Vec::new();
        for bridge in gaps.iter().filter(|bridge| bridge.width_m <= widest_m) {
            let middle = bridge.middle();
            let is_known = |known: &Bridge| {
                let off = known.middle() - middle;
                off.x.hypot(off.y) < GAP_M && (known.width_m - bridge.width_m).abs() < GAP_M
            };
            if self.is_outside(middle) && !found.iter().any(is_known) {
                found.push(*bridge);
            }
        }
        if found.is_empty() {
            return found;
        }
        let shut: Vec<_> = found.iter().map(Bridge::outline).collect();
        let shut = Self::of(&[solid, &shut].concat());
        let opened = |space: &&Polygon<f64>| {
            let inner = space.interior_point();
            space.unsigned_area() >= least_m2 && inner.is_some_and(|p| self.is_outside(p.0))
        };
        let rooms: Vec<&Polygon<f64>> = shut.spaces.iter().filter(opened).collect();
        found.retain(|bridge| {
            let [one, other] = bridge.sides();
            let leads = |from: Coord<f64>, to: Coord<f64>| {
                shut.is_outside(from) && rooms.iter().any(|room| room.contains(&Point(to)))
            };
            leads(one, other) || leads(other, one)
        });
        found
    }

    fn is_outside(&self, place: Coord<f64>) -> bool {
        self.outside.as_ref().is_none_or(|outside| outside.contains(&Point(place)))
    }
}

/// All sides of some outlines.
fn sides<'p>(outlines: impl Iterator<Item = &'p Polygon<f64>>) -> Vec<Line<f64>> {
    outlines
        .flat_map(|outline| std::iter::once(outline.exterior()).chain(outline.interiors()))
        .flat_map(LineString::lines)
        .collect()
}

/// Whether a place lies within the outlines to which these sides belong: a ray to the right crosses
/// an odd number of them.
fn is_within(sides: &RTree<Line<f64>>, place: Coord<f64>) -> bool {
    let far = sides.root().envelope().upper().x().max(place.x);
    let ray = AABB::from_corners(Point(place), Point::new(far, place.y));
    let crossed = sides.locate_in_envelope_intersecting(&ray).filter(|side| {
        let (low, high) = if side.start.y <= side.end.y {
            (side.start, side.end)
        } else {
            (side.end, side.start)
        };
        let (run, to) = (high - low, place - low);
        low.y <= place.y && place.y < high.y && run.x * to.y - run.y * to.x > 0.0
    });
    crossed.count() % 2 == 1
}

/// How far a place is from the middle lines of a level's own walls, metres; infinite where there
/// are none.
#[must_use]
pub fn distance_to_walls_m(plan: &Plan, level: i32, place: Coord<f64>) -> f64 {
    let walls = plan.walls.iter().filter(|wall| wall.level == level);
    walls.map(|wall| Euclidean.distance(&Point(place), &wall.line)).fold(f64::INFINITY, f64::min)
}
