//! Rooms as enclosures: what closes them, and which rooms lie beyond it.
//!
//! A wave that is thrown to and fro in a room meets all of its faces, whatever way it takes. What
//! it meets is known by area alone: so much of a surface, with such a room beyond it, or the
//! outside.

use std::cell::Cell;

use geo::{Area, BooleanOps, BoundingRect, Contains, Distance, Euclidean, Intersects, Polygon};
use rayon::prelude::*;
use rstar::{AABB, RTree};

use super::floors::Floors;
use super::grid::Grid;
use super::index::{Boxed, boxed};
use super::plane::Point;
use super::screen::{AIR, Floor, Screen, SurfaceId};
use plan::{Inside, Level, Plan};

/// Longest piece of a wall of which one place says which rooms it parts, metres.
const PIECE_M: f64 = 0.25;

/// Most pieces of one stretch of a wall: a longer one is taken in longer pieces.
const MOST_PIECES: f64 = 64.0;

/// How far from a wall's face a room is looked for, metres: beyond rounding.
const BESIDE_M: f64 = 0.03;

/// Farthest that a place may be from a room and still be in it, metres: in its wall, that is.
const REACH_M: f64 = 0.25;

/// Farthest that a slab lies above the ceiling which it carries, metres.
const SLAB_GAP_M: f64 = 0.5;

/// Farthest that heights differ which are the same, metres.
const SAME_HEIGHT_M: f64 = 0.05;

/// Most slabs that are cut to pieces of rooms in all: far beyond any building, it bounds the time
/// that a hostile plan can cost.
const MOST_CUTS: usize = 50_000;

/// Slabs that cover all of a room but for this part of its area cover it.
const SAME_SHARE: f64 = 1e-6;

/// Overlaps of less are two outlines that touch, square metres.
const LEAST_OVERLAP_M2: f64 = 1e-6;

/// So much of one surface in a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Face {
    /// What it is of.
    pub surface: SurfaceId,
    /// The enclosure behind it, an index into [`Enclosures::all`]; `None` for the outside.
    pub beyond: Option<u32>,
    /// Its area, square metres.
    pub area_m2: f64,
    /// The normal of an upright face, one for both its sides; `None` for a floor or a ceiling.
    pub normal: Option<Point>,
    /// Which side of the surface looks into the room, 0 that of its first layer or 1 the other.
    pub side: usize,
}

/// One room and its faces.
#[derive(Debug, Clone, PartialEq)]
pub struct Enclosure {
    /// Height of its floor, metres above the plan's zero.
    pub floor_m: f64,
    /// Height of its ceiling, metres above the plan's zero.
    pub ceiling_m: f64,
    /// Its outline, along the faces of its walls.
    pub outline: Polygon<f64>,
    /// What closes it: one for each surface and room beyond, in their order.
    pub faces: Vec<Face>,
}

/// The rooms of a plan as enclosures.
#[derive(Debug, Clone, Default)]
pub struct Enclosures {
    all: Vec<Enclosure>,
    index: RTree<Boxed>,
}

/// What boxes meet that about an outline, by their numbers, in order.
fn meeting(index: &RTree<Boxed>, outline: &Polygon<f64>) -> Vec<u32> {
    let Some(rect) = outline.bounding_rect() else { return Vec::new() };
    let around = AABB::from_corners(rect.min().into(), rect.max().into());
    let found = index.locate_in_envelope_intersecting(&around).map(|found| found.data);
    let mut found: Vec<u32> = found.collect();
    found.sort_unstable();
    found
}

impl Enclosures {
    /// Those of a plan, level by level, with what its screens and floors close them with. Walls
    /// learn from the rooms on which side their first layer is.
    #[must_use]
    pub(super) fn new(
        plan: &Plan,
        inside: &[Inside],
        screens: &mut [Screen],
        floors: &Floors,
    ) -> Self {
        let rooms = plan.levels.iter().zip(inside).flat_map(|(level, inside)| {
            inside.rooms().map(|outline| Enclosure {
                floor_m: level.floor_m,
                ceiling_m: level.ceiling_m,
                outline: outline.clone(),
                faces: Vec::new(),
            })
        });
        let all: Vec<Enclosure> = rooms.collect();
        let boxes = all.iter().zip(0u32..);
        let boxes = boxes.map(|(room, id)| boxed(&room.outline.exterior().0, REACH_M, id));
        let mut found = Self { index: RTree::bulk_load(boxes.collect()), all };
        let mut closed = Closed(vec![Vec::new(); found.all.len()]);
        for screen in screens.iter_mut().filter(|screen| screen.block.is_none()) {
            found.stand(screen, &plan.levels, &mut closed);
        }
        found.cover(floors, &mut closed);
        for (room, faces) in found.all.iter_mut().zip(closed.0) {
            room.faces = gathered(faces);
        }
        found
    }

    /// All of them.
    #[must_use]
    pub fn all(&self) -> &[Enclosure] {
        &self.all
    }

    /// The enclosure at a place, an index into [`Self::all`]: the one that holds it, else the
    /// nearest of those within a quarter of a metre (in its wall, that is), the first among equals.
    #[must_use]
    pub fn at(&self, place: Point, height: f64) -> Option<u32> {
        let mut nearest: Option<(f64, u32)> = None;
        for id in self.about(place, height) {
            let outline = &self.all[id as usize].outline;
            if outline.intersects(&place) {
                return Some(id);
            }
            let off_m = Euclidean.distance(&geo::Point(place), outline);
            let nearer = nearest.is_none_or(|(least, first)| {
                (off_m, id) < (least - f64::EPSILON, first) || (off_m <= least && id < first)
            });
            if off_m <= REACH_M && nearer {
                nearest = Some((off_m, id));
            }
        }
        nearest.map(|(_, id)| id)
    }

    /// The enclosure at every cell of a grid, row by row, as [`Self::at`] has it.
    #[must_use]
    pub fn over(&self, grid: &Grid) -> Vec<Option<u32>> {
        let mut cells = vec![Held::ByNone; grid.columns * grid.rows];
        let is_there = |room: &Enclosure| room.is_at(grid.height);
        for (room, id) in self.all.iter().zip(0u32..).filter(|(room, _)| is_there(room)) {
            let Some(rect) = room.outline.bounding_rect() else { continue };
            let row = |y: f64| ((y - grid.origin.y) / grid.cell).max(0.0) as usize;
            for row in row(rect.min().y)..grid.rows.min(row(rect.max().y) + 1) {
                let y = grid.centre(0, row).y;
                // Where the outline crosses the row, two by two.
                let rings =
                    std::iter::once(room.outline.exterior()).chain(room.outline.interiors());
                let lines = rings.flat_map(|ring| ring.lines());
                let crossed = lines.filter(|line| (line.start.y > y) != (line.end.y > y));
                let mut at: Vec<f64> =
                    crossed.map(|line| line.start.x + (y - line.start.y) / line.slope()).collect();
                at.sort_by(f64::total_cmp);
                for pair in at.chunks_exact(2) {
                    let column = |x: f64| ((x - grid.origin.x) / grid.cell).max(0.0);
                    let (from, to) = (column(pair[0]).ceil(), column(pair[1]).floor() + 1.0);
                    let to = (to as usize).min(grid.columns);
                    let held = cells[row * grid.columns..][..to].iter_mut().skip(from as usize);
                    held.for_each(|cell| cell.take(id));
                }
            }
        }
        let found = cells.into_par_iter().enumerate().map(|(number, held)| match held {
            Held::By(id) => Some(id),
            _ => self.at(grid.centre(number % grid.columns, number / grid.columns), grid.height),
        });
        found.collect()
    }

    /// The one that holds a place.
    fn holding(&self, place: Point, height: f64) -> Option<u32> {
        let mut about = self.about(place, height);
        about.find(|id| self.all[*id as usize].outline.intersects(&place))
    }

    fn about(&self, place: Point, height: f64) -> impl Iterator<Item = u32> {
        let found = self.index.locate_all_at_point(&[place.x, place.y]).map(|found| found.data);
        found.filter(move |id| self.all[*id as usize].is_at(height))
    }

    /// Gives the rooms at both sides of a wall their faces, and the wall its outside.
    fn stand(&self, screen: &mut Screen, levels: &[Level], closed: &mut Closed) {
        let pieces = (screen.length / PIECE_M).ceil().clamp(1.0, MOST_PIECES);
        let along_m = screen.length / pieces;
        let off = screen.normal * (screen.half_thickness + BESIDE_M);
        let mut met = Vec::new();
        for level in levels {
            let (low, high) = (screen.base.max(level.floor_m), screen.top.min(level.ceiling_m));
            if high - low <= SAME_HEIGHT_M {
                continue;
            }
            let middle = f64::midpoint(level.floor_m, level.ceiling_m);
            for piece in 0..pieces as u32 {
                let s = (f64::from(piece) + 0.5) * along_m;
                let at = screen.point(s);
                let rooms = [at + off, at - off].map(|place| self.holding(place, middle));
                met.push((s, (low, high), rooms));
            }
        }
        let outside = met.iter().filter(|(_, _, [left, right])| left.is_some() && right.is_none());
        screen.first_layer = if 2 * outside.count() > met.len() { -1.0 } else { 1.0 };
        let first = usize::from(screen.first_layer < 0.0);
        let normal = Some(turned_up(screen.normal));
        for (s, (low, high), rooms) in met {
            let mut stands = |surface, area_m2| {
                closed.part([rooms[first], rooms[1 - first]], (surface, normal), area_m2);
            };
            let mut rest_m = high - low;
            for hole in screen.holes.iter().filter(|hole| (hole.from..hole.to).contains(&s)) {
                let open_m = (hole.top.min(high) - hole.base.max(low)).clamp(0.0, rest_m);
                rest_m -= open_m;
                stands(hole.part.surface, open_m * along_m);
            }
            stands(screen.body.surface, rest_m * along_m);
        }
    }

    /// Gives all rooms their floors and ceilings.
    fn cover(&self, floors: &Floors, closed: &mut Closed) {
        let floors = Slabs::new(floors.all());
        for (room, id) in self.all.iter().zip(0u32..) {
            let is_over = |floor: &Floor| {
                let gap = floor.height - room.ceiling_m;
                (-SAME_HEIGHT_M..=SLAB_GAP_M).contains(&gap)
            };
            let is_under = |floor: &Floor| (floor.height - room.floor_m).abs() <= SAME_HEIGHT_M;
            let is_next = |gap: f64| (-SAME_HEIGHT_M..=SLAB_GAP_M).contains(&gap);
            let (mut under_sky, mut over_ground) =
                (vec![room.outline.clone()], vec![room.outline.clone()]);
            for (both, other) in self.overlapping(room) {
                let there = &self.all[other as usize];
                if is_next(there.floor_m - room.ceiling_m) {
                    floors.over(&both, &is_over, &mut |surface, area_m2| {
                        closed.part([Some(other), Some(id)], (surface, None), area_m2);
                    });
                    under_sky = without(&under_sky, &both);
                }
                if is_next(room.floor_m - there.ceiling_m) {
                    over_ground = without(&over_ground, &both);
                }
            }
            for (left, is_met, rooms) in [
                (under_sky, &is_over as &dyn Fn(&Floor) -> bool, [None, Some(id)]),
                (over_ground, &is_under as &dyn Fn(&Floor) -> bool, [Some(id), None]),
            ] {
                for piece in &left {
                    floors.over(piece, is_met, &mut |surface, area_m2| {
                        closed.part(rooms, (surface, None), area_m2);
                    });
                }
            }
        }
    }

    /// What a room has in common with others in plan, piece by piece, with their numbers.
    fn overlapping(&self, room: &Enclosure) -> Vec<(Polygon<f64>, u32)> {
        let is_elsewhere = |id: &u32| {
            let other = &self.all[*id as usize];
            (other.floor_m - room.floor_m).abs() > SAME_HEIGHT_M
        };
        let near = meeting(&self.index, &room.outline).into_iter().filter(is_elsewhere);
        let pieces = near.flat_map(|id| {
            let both = room.outline.intersection(&self.all[id as usize].outline);
            both.into_iter().map(move |piece| (piece, id))
        });
        pieces.filter(|(piece, _)| piece.unsigned_area() > LEAST_OVERLAP_M2).collect()
    }
}

impl Enclosure {
    /// Whether a height is one of its own.
    fn is_at(&self, height: f64) -> bool {
        (self.floor_m - SAME_HEIGHT_M..=self.ceiling_m + SAME_HEIGHT_M).contains(&height)
    }
}

/// Which enclosures hold a cell.
#[derive(Debug, Clone, Copy)]
enum Held {
    ByNone,
    By(u32),
    BySeveral,
}

impl Held {
    fn take(&mut self, id: u32) {
        *self = if matches!(self, Self::ByNone) { Self::By(id) } else { Self::BySeveral };
    }
}

/// The faces of every room while they are gathered.
struct Closed(Vec<Vec<Face>>);

impl Closed {
    /// A surface between two rooms, that before its first layer and that before its last, with
    /// its normal.
    fn part(
        &mut self,
        rooms: [Option<u32>; 2],
        (surface, normal): (SurfaceId, Option<Point>),
        area_m2: f64,
    ) {
        if area_m2 <= 0.0 {
            return;
        }
        for (side, own) in rooms.iter().enumerate() {
            let beyond = rooms[1 - side];
            if let Some(faces) = own.and_then(|own| self.0.get_mut(own as usize)) {
                faces.push(Face { surface, beyond, area_m2, normal, side });
            }
        }
    }
}

/// The slabs of a plan, to be found by place.
struct Slabs<'a> {
    all: &'a [Floor],
    index: RTree<Boxed>,
    cuts: Cell<usize>,
}

impl<'a> Slabs<'a> {
    fn new(all: &'a [Floor]) -> Self {
        let boxes = all.iter().zip(0u32..);
        let boxes = boxes.map(|(floor, id)| boxed(&floor.outline.exterior().0, 0.0, id));
        Self { all, index: RTree::bulk_load(boxes.collect()), cuts: Cell::new(0) }
    }

    /// Visits what lies over a piece of a room, with its area; air where nothing does. Of slabs
    /// over one another each counts for its part.
    fn over(
        &self,
        piece: &Polygon<f64>,
        is_met: &dyn Fn(&Floor) -> bool,
        visit: &mut dyn FnMut(SurfaceId, f64),
    ) {
        let whole_m2 = piece.unsigned_area();
        let near = meeting(&self.index, piece).into_iter();
        let near = near.map(|id| &self.all[id as usize]).filter(|floor| is_met(floor));
        let near = near.take(MOST_CUTS.saturating_sub(self.cuts.get()));
        let covers: Vec<(SurfaceId, f64)> =
            near.map(|floor| (floor.part.surface, covered_m2(piece, &floor.outline))).collect();
        self.cuts.set(self.cuts.get() + covers.len());
        let sum_m2: f64 = covers.iter().map(|cover| cover.1).sum();
        let is_covered = sum_m2 > whole_m2 * (1.0 - SAME_SHARE);
        let scale = if is_covered { whole_m2 / sum_m2 } else { 1.0 };
        for (surface, area_m2) in covers {
            visit(surface, area_m2 * scale);
        }
        if !is_covered {
            visit(AIR, whole_m2 - sum_m2);
        }
    }
}

/// How much of a piece a slab covers, square metres.
fn covered_m2(piece: &Polygon<f64>, slab: &Polygon<f64>) -> f64 {
    if piece.contains(slab) {
        return slab.unsigned_area();
    }
    piece.intersection(slab).unsigned_area()
}

/// Pieces without what a polygon covers.
fn without(pieces: &[Polygon<f64>], cover: &Polygon<f64>) -> Vec<Polygon<f64>> {
    let left = pieces.iter().flat_map(|piece| piece.difference(cover));
    left.filter(|piece| piece.unsigned_area() > LEAST_OVERLAP_M2).collect()
}

/// A normal or the opposite one, the same for both.
fn turned_up(normal: Point) -> Point {
    // Nothing added takes the sign from a zero.
    let up = if (normal.y, normal.x) < (0.0, 0.0) { normal * -1.0 } else { normal };
    Point { x: up.x + 0.0, y: up.y + 0.0 }
}

/// Faces of the same surface and direction with the same room beyond as one, in order.
fn gathered(mut faces: Vec<Face>) -> Vec<Face> {
    let key = |face: &Face| {
        let normal = face.normal.map(|normal| (normal.x.to_bits(), normal.y.to_bits()));
        (face.surface, face.beyond, face.side, normal)
    };
    faces.sort_by_key(key);
    faces.dedup_by(|next, first| {
        let is_same = key(next) == key(first);
        if is_same {
            first.area_m2 += next.area_m2;
        }
        is_same
    });
    faces
}
