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

use std::sync::OnceLock;

use geo::{
    Area, BooleanOps, BoundingRect, Contains, ConvexHull, Coord, Distance, Euclidean,
    InteriorPoint, Intersects, Line, LineString, MultiPoint, MultiPolygon, Point, Polygon, Rect,
    unary_union,
};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, Envelope as _, RTree};

use super::strips::{Bridge, Crowd, DOORWAY_M, GAP_M, Gap, Joints, Thickness, indexed, strips};
use super::{Level, Plan};

/// What is wider than a double door, metres (common practice, no source), may be a porch or a bay.
const DOUBLE_DOOR_M: f64 = 1.5;

/// What a wider gap must open to be named, square metres: more than a porch (our own choice).
const MORE_THAN_A_PORCH_M2: f64 = 6.0;

/// Least area of a room, square metres: less is a shaft or the cavity of a wall (our own choice).
pub const LEAST_ROOM_M2: f64 = 0.3;

/// The inside of one level.
#[derive(Debug, Clone, Default)]
pub struct Inside {
    /// What walls close off, however small, along the faces of the walls.
    spaces: Vec<Polygon<f64>>,
    /// The sides of all that can be reached from beyond the walls.
    outside: Sides,
    /// The sides of `spaces`.
    closed_off: Sides,
    /// Round the middle lines of all walls; nothing where there are none.
    hull: Option<Polygon<f64>>,
    gaps: Vec<Gap>,
    is_tangle: bool,
}

impl Inside {
    /// Finds the inside of a level. A wall's own `Wall::thickness_mm` and the layers of the
    /// plan's own constructions go before `thickness_m`.
    #[must_use]
    pub fn new(plan: &Plan, level: &Level, thickness_m: &Thickness<'_>) -> Self {
        let strips = strips(plan, level, thickness_m);
        let corners = strips.iter().flat_map(|strip| [strip.line.start, strip.line.end]);
        let corners: MultiPoint<f64> = corners.collect::<Vec<_>>().into();
        let index = indexed(&strips);
        let crowd = Crowd::of(&index);
        if corners.0.is_empty() || crowd == Crowd::Tangle {
            return Self { is_tangle: crowd == Crowd::Tangle, ..Self::default() };
        }
        let joints = Joints::of(plan, &strips, &index);
        let walls = strips.iter().map(|strip| strip.outline(joints.longer(strip)));
        let mut solid: Vec<Polygon<f64>> =
            walls.chain(joints.closed.iter().map(Bridge::outline)).collect();
        if crowd == Crowd::Dense {
            solid = united(solid);
        }
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
            outside: ground.outside.unwrap_or_default(),
            closed_off: Sides::of(ground.spaces.iter()),
            spaces: ground.spaces,
            hull: Some(corners.convex_hull()),
            gaps,
            is_tangle: false,
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

    /// Whether more walls touch one another than are gone through, so that nothing is known.
    #[must_use]
    pub fn is_tangle(&self) -> bool {
        self.is_tangle
    }

    /// Whether a place is inside the building, walls included; none is where they close off none.
    #[must_use]
    pub fn holds(&self, place: Coord<f64>) -> bool {
        let ground = self.outside.index().root().envelope();
        self.is_closed()
            && ground.contains_point(&Point(place))
            && !is_within(self.outside.index(), place)
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
        self.holds(place) && !is_within(self.closed_off.index(), place)
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

/// The union of pieces, half by half.
///
/// Where very many walls cross at one place, nearly all crossings of their sides lie within the
/// union: it has few sides itself, and so have the unions of some of them. All at once each of the
/// crossings, as many as the square of the walls, would be cut and sorted, again and again.
fn united(mut pieces: Vec<Polygon<f64>>) -> Vec<Polygon<f64>> {
    const AT_ONCE: usize = 8;
    if pieces.len() > AT_ONCE {
        let others = pieces.split_off(pieces.len() / 2);
        pieces = [united(pieces), united(others)].concat();
    }
    unary_union(&pieces).0
}

/// The ground of a level that no wall stands on.
struct Ground {
    /// The sides of what hangs together with what is beyond all walls; `None` without walls.
    outside: Option<Sides>,
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
        Self { outside: outside.first().map(|one| Sides::of(std::iter::once(one))), spaces }
    }

    /// The gaps that, shut, would close off a room: one of each pair of ends that face one another.
    fn ways_in(
        &self,
        gaps: &[Bridge],
        widest_m: f64,
        solid: &[Polygon<f64>],
        least_m2: f64,
    ) -> Vec<Bridge> {
        let mut found: Vec<Bridge> = Vec::new();
        let mut known: RTree<GeomWithData<Point<f64>, f64>> = RTree::new();
        for bridge in gaps.iter().filter(|bridge| bridge.width_m <= widest_m) {
            let middle = Point(bridge.middle());
            let near = known.locate_within_distance(middle, GAP_M * GAP_M);
            let is_like = |one: &GeomWithData<_, f64>| (one.data - bridge.width_m).abs() < GAP_M;
            if self.is_outside(middle.0) && !near.into_iter().any(is_like) {
                found.push(*bridge);
                known.insert(GeomWithData::new(middle, bridge.width_m));
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
        let rooms = shut.spaces.iter().filter(opened).filter_map(|room| {
            let bounds = room.bounding_rect()?;
            let (low, high) = (bounds.min().into(), bounds.max().into());
            Some(GeomWithData::new(Rectangle::<[f64; 2]>::from_corners(low, high), room))
        });
        let rooms = RTree::bulk_load(rooms.collect());
        found.retain(|bridge| {
            let [one, other] = bridge.sides();
            let leads = |from: Coord<f64>, to: Coord<f64>| {
                let mut there = rooms.locate_all_at_point(&[to.x, to.y]);
                shut.is_outside(from) && there.any(|room| room.data.contains(&Point(to)))
            };
            leads(one, other) || leads(other, one)
        });
        found
    }

    fn is_outside(&self, place: Coord<f64>) -> bool {
        self.outside.as_ref().is_none_or(|outside| is_within(outside.index(), place))
    }
}

/// Sides of outlines, indexed when a place is first asked about.
#[derive(Debug, Clone, Default)]
struct Sides {
    lines: Vec<Line<f64>>,
    index: OnceLock<RTree<Line<f64>>>,
}

impl Sides {
    fn of<'p>(outlines: impl Iterator<Item = &'p Polygon<f64>>) -> Self {
        let rings = outlines.flat_map(|it| std::iter::once(it.exterior()).chain(it.interiors()));
        Self { lines: rings.flat_map(LineString::lines).collect(), index: OnceLock::new() }
    }

    fn index(&self) -> &RTree<Line<f64>> {
        self.index.get_or_init(|| RTree::bulk_load(self.lines.clone()))
    }
}

/// Whether a place lies within outlines: a ray to the right crosses an odd number of their sides.
fn is_within(sides: &RTree<Line<f64>>, place: Coord<f64>) -> bool {
    let far = sides.root().envelope().upper().x().max(place.x);
    let ray = AABB::from_corners(Point(place), Point::new(far, place.y));
    let crossed = sides.locate_in_envelope_intersecting(&ray).filter(|side| {
        let is_up = side.start.y <= side.end.y;
        let (low, high) = if is_up { (side.start, side.end) } else { (side.end, side.start) };
        let (run, to) = (high - low, place - low);
        low.y <= place.y && place.y < high.y && run.x * to.y - run.y * to.x > 0.0
    });
    crossed.count() % 2 == 1
}

/// How far a place is from the middle lines of a level's own walls, metres; infinite without any.
#[must_use]
pub fn distance_to_walls_m(plan: &Plan, level: i32, place: Coord<f64>) -> f64 {
    let walls = plan.walls.iter().filter(|wall| wall.level == level);
    walls.map(|wall| Euclidean.distance(&Point(place), &wall.line)).fold(f64::INFINITY, f64::min)
}
