//! Rooms: the spaces that walls close off, named.

use std::collections::BTreeMap;

use geo::{
    Area, BoundingRect, Contains, Coord, Distance, Euclidean, Intersects, Point, Polygon, Rect,
};
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree};

use super::divided::{divided, drawn};
use super::inside::Inside;
use super::strips::Thickness;
use super::{Device, DeviceKind, Plan};

/// Farthest that a device may hang from a room and still be in it, metres: in a wall, on the middle
/// line of a thick one (our own choice).
const REACH_M: f64 = 0.25;

/// Rooms whose distances differ by no more are equally near, metres: rounding does not decide
/// between two sides of one wall (our own choice).
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
    /// Its outline, metres, where the plan draws one.
    pub outline: Option<Polygon<f64>>,
}

/// A space that walls close off, or that the plan draws within one or where no walls close one off.
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
    /// The rooms of a plan, between walls of true thickness: see [`Inside::new`].
    #[must_use]
    pub fn new(plan: &Plan, thickness_m: &Thickness<'_>) -> Self {
        Self::within(plan, &Inside::of_levels(plan, thickness_m))
    }

    /// The rooms of a plan of whose levels the inside is known, level by level. A space whose
    /// parts are drawn as rooms, without walls between them, is divided as they are drawn.
    ///
    /// A room's name is that of the first [`RoomName`] in it, else the room that most devices in it
    /// say they are in (the first in file order among equals; a device as near to one room as to
    /// another does not count).
    #[must_use]
    pub fn within(plan: &Plan, inside: &[Inside]) -> Self {
        let levels = plan.levels.iter().zip(inside);
        let rooms = levels.flat_map(|(level, inside)| {
            let outlines = divided(inside.rooms(), &drawn(plan, level.number));
            outlines.into_iter().map(|outline| Room {
                id: String::new(),
                name: None,
                level: level.number,
                area_m2: outline.unsigned_area(),
                outline,
            })
        });
        let mut rooms: Vec<Room> = rooms.collect();
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

    /// The room at a place of a level, metres: the one that holds it, else the nearest of those
    /// within a quarter of a metre (in its wall, that is), the first of [`Self::all`] among equals.
    #[must_use]
    pub fn at(&self, level: i32, place: Coord<f64>) -> Option<&Room> {
        self.numbers_at(level, place).first().map(|number| &self.rooms[*number])
    }

    /// The nearest rooms in reach, as [`Self::all`] has them: several on the middle line of a wall.
    fn numbers_at(&self, level: i32, place: Coord<f64>) -> Vec<usize> {
        let near = AABB::from_corners(
            Point::new(place.x - REACH_M, place.y - REACH_M),
            Point::new(place.x + REACH_M, place.y + REACH_M),
        );
        let Some(index) = self.index.get(&level) else {
            return Vec::new();
        };
        let candidates = index.locate_in_envelope_intersecting(&near).map(|found| found.data);
        let off = |room: usize| Euclidean.distance(&Point(place), &self.rooms[room].outline);
        let off = candidates.map(|room| (room, off(room))).filter(|(_, off_m)| *off_m <= REACH_M);
        let mut off: Vec<(usize, f64)> = off.collect();
        let least = off.iter().map(|&(_, m)| m).fold(f64::INFINITY, f64::min);
        off.retain(|&(_, off_m)| off_m <= least + SAME_OFF_M);
        let mut numbers: Vec<usize> = off.into_iter().map(|(number, _)| number).collect();
        numbers.sort_unstable();
        numbers
    }

    /// The room that a device is in. One on the middle line of a wall between two rooms is in the
    /// one that it says it is in, else in the first of [`Self::all`]. A siren is in a room only if
    /// it hangs within its faces: many hang outside on the wall.
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
            let Some(&number) = self.numbers_at(given.level, given.at).first() else { continue };
            let room = &mut self.rooms[number];
            if room.name.is_none() && room.outline.contains(&Point(given.at)) {
                room.name = Some(given.name.clone());
            }
        }
        let mut said: BTreeMap<usize, Vec<(&str, usize)>> = BTreeMap::new();
        for device in plan.devices.iter().filter(|device| device.kind != DeviceKind::Siren) {
            // One in the middle of a wall does not tell which of the two rooms it means.
            let numbers = self.numbers_at(device.level, device.position);
            let (Some(name), &[number]) = (device.room.as_deref(), numbers.as_slice()) else {
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
