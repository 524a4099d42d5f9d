//! Rooms: the spaces that walls close off, derived from the walls and named.

use std::collections::BTreeMap;

use geo::{
    Area, BooleanOps, BoundingRect, Contains, Coord, Distance, Euclidean, InteriorPoint,
    Intersects, LineString, MultiPolygon, Point, Polygon, Rect, unary_union,
};
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree, RTreeObject as _};

use super::{Construction, Device, DeviceKind, Layer, Plan, Wall};

/// A wall divides rooms if it reaches at least so far above the floor, metres (our own choice: above the
/// eyes; what is lower is a counter or a screen).
const DIVIDES_UP_TO_M: f64 = 1.8;

/// A wall divides rooms if it begins at most so far above the floor, metres (our own choice: a beam or a lintel
/// does not).
const DIVIDES_FROM_M: f64 = 1.0;

/// Thickness of a wall of which nothing is known, metres (our own choice, no source).
const USUAL_THICKNESS_M: f64 = 0.1;

/// Least thickness that counts, metres: a film closes a room, too.
const LEAST_THICKNESS_M: f64 = 0.02;

/// Most pairs of strips whose boxes touch, on one level: a level with more gives no rooms. A building of
/// twenty thousand walls has some eighty thousand; it bounds the time that a hostile plan can cost.
const MOST_MEETINGS: usize = 400_000;

/// Least area of a room, square metres: what is smaller is a shaft, or the cavity between two walls (our own
/// choice).
pub const LEAST_ROOM_M2: f64 = 0.3;

/// Farthest that a device may hang from a room and still be in it, metres: in a wall, on the middle line of a
/// thick one (our own choice).
const REACH_M: f64 = 0.25;

/// Rooms whose distances differ by no more are equally near, metres: rounding does not decide between two sides
/// of one wall (our own choice).
const SAME_OFF_M: f64 = 1e-6;

/// The name of a room, as the plan gives it with a feature.
#[derive(Debug, Clone, PartialEq)]
pub struct RoomName {
    /// Feature id.
    pub id: String,
    /// Level number.
    pub level: i32,
    /// What people call the room.
    pub name: String,
    /// A place in the room, metres.
    pub at: Coord<f64>,
}

/// A space that walls close off.
#[derive(Debug, Clone, PartialEq)]
pub struct Room {
    /// `room-1`, `room-2`, …: by level, then from left to right, then from front to back.
    pub id: String,
    /// What people call it, if the plan says so.
    pub name: Option<String>,
    /// Level number.
    pub level: i32,
    /// Its outline along the faces of its walls, with holes for what stands free in it.
    pub outline: Polygon<f64>,
    /// Area between the faces, square metres.
    pub area_m2: f64,
}

/// The rooms of a plan.
#[derive(Debug, Clone, Default)]
pub struct Rooms {
    rooms: Vec<Room>,
    index: BTreeMap<i32, RTree<GeomWithData<Rect<f64>, usize>>>,
}

impl Rooms {
    /// Derives the rooms of a plan.
    ///
    /// Every wall that divides is a strip as thick as the wall and longer at either end by half of that, so that
    /// corners close; what the strips leave free within them are the rooms. So a gap up to about a wall's thickness
    /// closes, a wider one joins two rooms, a door or window closes with its wall, and a wall that ends in
    /// a room divides nothing. `thickness_m` is that of a built-in construction; a wall's own
    /// [`Wall::thickness_mm`] and the layers of the plan's own constructions go before it.
    ///
    /// A room's name is that of the first [`RoomName`] in it, else the room that most devices in it say they are in
    /// (the first in file order among equals; a device as near to one room as to another does not count).
    #[must_use]
    pub fn new(plan: &Plan, thickness_m: &dyn Fn(&str) -> Option<f64>) -> Self {
        let mut rooms = Vec::new();
        for level in &plan.levels {
            let divides = |wall: &&Wall| {
                wall.level == level.number
                    && wall.top_m
                        >= level.floor_m
                            + DIVIDES_UP_TO_M.min(0.75 * (level.ceiling_m - level.floor_m))
                    && wall.base_m <= level.floor_m + DIVIDES_FROM_M
            };
            let walls = plan.walls.iter().filter(divides);
            let strips = walls.flat_map(|wall| strips(plan, wall, thickness_m)).collect();
            rooms.extend(spaces(strips).into_iter().map(|outline| Room {
                id: String::new(),
                name: None,
                level: level.number,
                area_m2: outline.unsigned_area(),
                outline,
            }));
        }
        rooms.sort_by(|a, b| {
            let corner = |room: &Room| {
                room.outline.bounding_rect().map_or((0.0, 0.0), |r| (r.min().x, r.min().y))
            };
            let ((ax, ay), (bx, by)) = (corner(a), corner(b));
            a.level.cmp(&b.level).then(ax.total_cmp(&bx)).then(ay.total_cmp(&by))
        });
        let mut index: BTreeMap<i32, Vec<GeomWithData<Rect<f64>, usize>>> = BTreeMap::new();
        for (number, room) in rooms.iter_mut().enumerate() {
            room.id = format!("room-{}", number + 1);
            if let Some(rect) = room.outline.bounding_rect() {
                index.entry(room.level).or_default().push(GeomWithData::new(rect, number));
            }
        }
        let index = index.into_iter();
        let mut rooms = Self {
            rooms,
            index: index.map(|(level, boxes)| (level, RTree::bulk_load(boxes))).collect(),
        };
        rooms.name(plan);
        rooms
    }

    /// All rooms: by level, then from left to right.
    #[must_use]
    pub fn all(&self) -> &[Room] {
        &self.rooms
    }

    /// The room at a place of a level, metres: the one that holds it, else the nearest of those within a
    /// quarter of a metre (in its wall, that is), the first of [`Self::all`] among equals.
    #[must_use]
    pub fn at(&self, level: i32, place: Coord<f64>) -> Option<&Room> {
        self.number_at(level, place).and_then(|number| self.rooms.get(number))
    }

    fn number_at(&self, level: i32, place: Coord<f64>) -> Option<usize> {
        self.numbers_at(level, place).first().copied()
    }

    /// The nearest rooms in reach, in the order of [`Self::all`]: two or more on the middle line of a wall.
    fn numbers_at(&self, level: i32, place: Coord<f64>) -> Vec<usize> {
        let near = AABB::from_corners(
            Point::new(place.x - REACH_M, place.y - REACH_M),
            Point::new(place.x + REACH_M, place.y + REACH_M),
        );
        let Some(index) = self.index.get(&level) else {
            return Vec::new();
        };
        let candidates = index.locate_in_envelope_intersecting(&near);
        let mut off: Vec<(usize, f64)> = candidates
            .filter_map(|found| {
                let room = self.rooms.get(found.data)?;
                let off_m = Euclidean.distance(&Point(place), &room.outline);
                (off_m <= REACH_M).then_some((found.data, off_m))
            })
            .collect();
        let least = off.iter().map(|&(_, m)| m).fold(f64::INFINITY, f64::min);
        off.retain(|&(_, off_m)| off_m <= least + SAME_OFF_M);
        let mut numbers: Vec<usize> = off.into_iter().map(|(number, _)| number).collect();
        numbers.sort_unstable();
        numbers
    }

    /// The room that a device is in. One on the middle line of a wall between two rooms is in the one that it
    /// says it is in, else in the first of [`Self::all`]. A siren is in a room only if it hangs within its faces:
    /// many hang outside on the wall.
    #[must_use]
    pub fn of(&self, device: &Device) -> Option<&Room> {
        let numbers = self.numbers_at(device.level, device.position);
        let inside = |room: &&Room| {
            device.kind != DeviceKind::Siren || room.outline.intersects(&Point(device.position))
        };
        let rooms = numbers.iter().filter_map(|&number| self.rooms.get(number));
        let mut rooms = rooms.filter(inside);
        let said = rooms.clone().find(|room| device.room.is_some() && room.name == device.room);
        said.or_else(|| rooms.next())
    }

    fn name(&mut self, plan: &Plan) {
        for given in &plan.room_names {
            // A name stands in its room, not in a wall beside it.
            let Some(number) = self.number_at(given.level, given.at) else {
                continue;
            };
            let room = &mut self.rooms[number];
            if room.name.is_none() && room.outline.contains(&Point(given.at)) {
                room.name = Some(given.name.clone());
            }
        }
        let mut said: BTreeMap<usize, Vec<(&str, usize)>> = BTreeMap::new();
        let telling = plan.devices.iter().filter(|device| device.kind != DeviceKind::Siren);
        for device in telling {
            let Some(name) = device.room.as_deref() else {
                continue;
            };
            // One in the middle of a wall does not tell which of the two rooms it means.
            let [number] = self.numbers_at(device.level, device.position)[..] else {
                continue;
            };
            let names = said.entry(number).or_default();
            match names.iter_mut().find(|(known, _)| *known == name) {
                Some((_, count)) => *count += 1,
                None => names.push((name, 1)),
            }
        }
        for (number, names) in said {
            let most = names.iter().map(|(_, count)| *count).max();
            let first = names.iter().find(|(_, count)| Some(*count) == most);
            let room = &mut self.rooms[number];
            if room.name.is_none() {
                room.name = first.map(|(name, _)| (*name).to_owned());
            }
        }
    }
}

/// How thick a wall is, metres.
fn thickness_of(plan: &Plan, wall: &Wall, known: &dyn Fn(&str) -> Option<f64>) -> f64 {
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

/// A rectangle over each segment of a wall.
fn strips<'p>(
    plan: &'p Plan,
    wall: &'p Wall,
    known: &dyn Fn(&str) -> Option<f64>,
) -> impl Iterator<Item = Polygon<f64>> + use<'p> {
    let half = thickness_of(plan, wall, known) / 2.0;
    wall.line.lines().filter_map(move |line| {
        let run = line.delta();
        let length = run.x.hypot(run.y);
        if length <= 0.0 {
            return None;
        }
        let along = Coord { x: run.x / length, y: run.y / length } * half;
        let beside = Coord { x: -along.y, y: along.x };
        let (start, end) = (line.start - along, line.end + along);
        let ring = vec![start - beside, end - beside, end + beside, start + beside];
        Some(Polygon::new(LineString::new(ring), Vec::new()))
    })
}

/// Whether far more strips touch one another than in any building.
fn is_tangle(strips: &[Polygon<f64>]) -> bool {
    let boxes: Vec<Rect<f64>> = strips.iter().filter_map(BoundingRect::bounding_rect).collect();
    let index = RTree::bulk_load(boxes);
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

/// What strips leave free within them.
fn spaces(strips: Vec<Polygon<f64>>) -> Vec<Polygon<f64>> {
    let Some(bounds) = MultiPolygon::new(strips.clone()).bounding_rect() else {
        return Vec::new();
    };
    if is_tangle(&strips) {
        return Vec::new();
    }
    let round = Coord { x: 1.0, y: 1.0 };
    let ground = Rect::new(bounds.min() - round, bounds.max() + round).to_polygon();
    let corner = Point(bounds.min() - round * 0.5);
    let free = ground.difference(&unary_union(&strips));
    free.into_iter()
        .filter(|space| space.unsigned_area() >= LEAST_ROOM_M2 && !space.contains(&corner))
        .collect()
}

/// A place within an outline that stands for it; nothing for one without area.
pub(super) fn place_in(outline: &Polygon<f64>) -> Option<Coord<f64>> {
    outline.interior_point().map(|point| point.0)
}
