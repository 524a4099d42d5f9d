//! Where something hangs, as an installer says it: room, wall, the nearest fixed thing on that
//! wall's face, left or right of it as one faces the wall, and the height.

use geo::{Coord, Point};
use rstar::AABB;

use super::rooms::{Room, Rooms};
use super::strips::{GAP_M, Strip, StripIndex, Thickness, indexed, strips};
use super::{Device, DeviceKind, Opening, Plan};

/// Farthest that something may hang off a wall's face and still be on it, metres (our own choice).
const ON_WALL_M: f64 = 0.5;

/// How far beyond a face the room behind it is looked for, metres: farther than [`Rooms::at`]
/// reaches, so that the room on this side of a thin sheet is not found behind it.
const INTO_ROOM_M: f64 = 0.26;

/// Two pieces of wall are one face if they run on so straight (sine of the angle) and so flush,
/// metres (our own choice).
const STRAIGHT_ON: f64 = 0.02;
const FLUSH_M: f64 = 0.03;

/// Farthest that a landmark is worth naming, metres: a tape measure's length (our own choice).
const TAPE_M: f64 = 5.0;

/// An opening that begins at most so far above the floor is a door, metres (our own choice).
const DOOR_SILL_M: f64 = 0.3;

/// Nearest things within so much of each other are equally near, metres: then a frame is easier
/// to measure from than a corner.
const SAME_M: f64 = 0.02;

/// Where something hangs.
#[derive(Debug, Clone, PartialEq)]
pub struct Whereabouts {
    /// The level's name, where the plan has walls on several.
    pub level: Option<String>,
    /// The room, if it has a name.
    pub room: Option<String>,
    /// Whether it is outside, where the level has rooms to be outside of.
    pub is_outside: bool,
    /// The wall that it hangs on, if one is near.
    pub wall: Option<OnWall>,
    /// Where no room has a name: the nearest other device that stays where it is, and how far it
    /// is in plan, metres.
    pub near: Option<(String, f64)>,
    /// Height above the level's floor, metres.
    pub height_m: f64,
}

/// A place on a wall.
#[derive(Debug, Clone, PartialEq)]
pub struct OnWall {
    /// The wall's feature id.
    pub id: String,
    /// Where this side of the wall looks, with up on the plan as north.
    pub faces: Compass,
    /// What the other side of the wall looks into.
    pub behind: Behind,
    /// The nearest fixed thing on this face, if one is within reach of a tape.
    pub beside: Option<Beside>,
}

/// What the other side of a wall looks into.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Behind {
    /// Another room, by its name.
    Room(String),
    /// A room without a name.
    Unnamed,
    /// The same space again, be it a room or the outside.
    Same,
    /// The outside.
    Outside,
}

/// A direction on the plan, up being north.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Compass {
    /// Up.
    North,
    /// Up and right.
    NorthEast,
    /// Right.
    East,
    /// Down and right.
    SouthEast,
    /// Down.
    South,
    /// Down and left.
    SouthWest,
    /// Left.
    West,
    /// Up and left.
    NorthWest,
}

impl Compass {
    const ROUND: [Self; 8] = [
        Self::East,
        Self::NorthEast,
        Self::North,
        Self::NorthWest,
        Self::West,
        Self::SouthWest,
        Self::South,
        Self::SouthEast,
    ];

    /// The nearest of the eight to a direction.
    #[must_use]
    pub fn of(direction: Coord<f64>) -> Self {
        let eighths = direction.y.atan2(direction.x) / std::f64::consts::FRAC_PI_4;
        Self::ROUND[eighths.round().rem_euclid(8.0) as usize % 8]
    }

    /// The other way.
    #[must_use]
    pub fn opposite(self) -> Self {
        let own = Self::ROUND.iter().position(|one| *one == self);
        Self::ROUND[(own.unwrap_or(0) + 4) % 8]
    }

    /// The word for it, as messages are named: `north`, `north-east`.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::North => "north",
            Self::NorthEast => "north-east",
            Self::East => "east",
            Self::SouthEast => "south-east",
            Self::South => "south",
            Self::SouthWest => "south-west",
            Self::West => "west",
            Self::NorthWest => "north-west",
        }
    }
}

/// A place measured from a fixed thing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beside {
    /// The thing.
    pub landmark: Landmark,
    /// On which side of it, as one faces the wall.
    pub side: Side,
    /// How far from its edge, metres; zero over an opening.
    pub distance_m: f64,
    /// The edge that it is measured from, metres, on the wall's face.
    pub edge: Coord<f64>,
}

/// Something on a wall's face that stays where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Landmark {
    /// The frame of a door, or a doorway.
    Door,
    /// The frame of a window.
    Window,
    /// Where another wall meets the face.
    Corner,
    /// Where the wall ends.
    End,
}

/// A side, as one faces the wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Side {
    /// On the left of it.
    Left,
    /// On the right of it.
    Right,
    /// Between its edges.
    Within,
}

/// Finds the whereabouts of places in one plan.
#[derive(Debug)]
pub struct Surroundings<'a> {
    plan: &'a Plan,
    rooms: &'a Rooms,
    levels: Vec<(Vec<Strip>, StripIndex)>,
    /// The openings of each wall.
    openings: Vec<Vec<&'a Opening>>,
}

/// A wall's face seen from the room: where it is, and which way is right.
struct Face {
    /// The foot of the place on the middle line.
    foot: Coord<f64>,
    out: Coord<f64>,
    right: Coord<f64>,
    half_m: f64,
}

impl Face {
    /// How far right of the place something is, and how far out from the middle line.
    fn of(&self, at: Coord<f64>) -> (f64, f64) {
        let to = at - self.foot;
        (dot(to, self.right), dot(to, self.out))
    }
}

impl<'a> Surroundings<'a> {
    /// The walls of a plan, with the thickness of constructions by their names.
    #[must_use]
    pub fn new(plan: &'a Plan, rooms: &'a Rooms, thickness_m: &Thickness<'_>) -> Self {
        let level = |level| {
            let strips = strips(plan, level, thickness_m);
            let index = indexed(&strips);
            (strips, index)
        };
        let mut openings = vec![Vec::new(); plan.walls.len()];
        for opening in &plan.openings {
            openings[opening.wall].push(opening);
        }
        Self { plan, rooms, levels: plan.levels.iter().map(level).collect(), openings }
    }

    /// Where a place is, its height above the plan's zero, metres.
    #[must_use]
    pub fn of(&self, level: i32, place: Coord<f64>, height_m: f64) -> Whereabouts {
        let number = self.plan.levels.iter().position(|known| known.number == level);
        let known = number.map(|number| &self.plan.levels[number]);
        let floor_m = known.map_or(0.0, |level| level.floor_m);
        let storeys = self.levels.iter().filter(|(strips, _)| !strips.is_empty()).count();
        let name = known.filter(|_| storeys > 1).map(|level| level.name.clone());
        let wall = number.and_then(|number| self.on_wall(number, place));
        let here = wall.as_ref().map_or_else(|| self.rooms.at(level, place), |(room, _)| *room);
        let wall = wall.map(|(_, wall)| wall);
        let room = here.and_then(|room| room.name.clone());
        let other = wall.as_ref().is_some_and(|wall| matches!(wall.behind, Behind::Room(_)));
        let near = if room.is_none() && !other { self.near(level, place) } else { None };
        let is_outside = here.is_none() && self.rooms.all().iter().any(|room| room.level == level);
        Whereabouts { level: name, room, is_outside, wall, near, height_m: height_m - floor_m }
    }

    /// The nearest device of a level that is not at a place itself; a panel or a repeater may move.
    fn near(&self, level: i32, place: Coord<f64>) -> Option<(String, f64)> {
        let stays = |device: &&Device| {
            let moves = matches!(device.kind, DeviceKind::Panel | DeviceKind::Repeater);
            device.level == level && !moves
        };
        let devices = self.plan.devices.iter().filter(stays).map(|device| {
            let to = device.position - place;
            (device.name.clone(), to.x.hypot(to.y))
        });
        devices.filter(|(_, off_m)| *off_m > SAME_M).min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The wall at a place, and the room on this side of it.
    fn on_wall(&self, number: usize, place: Coord<f64>) -> Option<(Option<&Room>, OnWall)> {
        let (strips, index) = &self.levels[number];
        let level = self.plan.levels[number].number;
        let near = within(index, place, place, ON_WALL_M);
        let off = near.map(|number| (strips[number].nearest(place).1, number));
        let nearest = off.min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let (_, strip) = nearest.filter(|(off_m, _)| *off_m <= ON_WALL_M)?;
        let strip = &strips[strip];
        let along = strip.along();
        let left = Coord { x: -along.y, y: along.x };
        let foot = strip.nearest(place).0;
        let beyond_m = strip.half_m + INTO_ROOM_M;
        let is_in = |side: f64| self.rooms.at(level, foot + left * (side * beyond_m)).is_some();
        let across_m = dot(place - foot, left);
        // In the middle of the wall: the side that looks into a room, the left one for choice.
        let side = if across_m.abs() > 1e-6 {
            across_m.signum()
        } else if is_in(1.0) || !is_in(-1.0) {
            1.0
        } else {
            -1.0
        };
        let out = left * side;
        // Who faces the wall looks against `out`.
        let face = Face { foot, out, right: Coord { x: -out.y, y: out.x }, half_m: strip.half_m };
        let here = self.rooms.at(level, foot + out * beyond_m);
        let there = self.rooms.at(level, foot - out * beyond_m);
        let behind = match there {
            other if here.map(|room| &room.id) == other.map(|room| &room.id) => Behind::Same,
            None => Behind::Outside,
            Some(room) => room.name.clone().map_or(Behind::Unnamed, Behind::Room),
        };
        let beside = self.beside(strips, index, &face);
        let id = self.plan.walls[strip.wall].id.clone();
        Some((here, OnWall { id, faces: Compass::of(out), behind, beside }))
    }

    /// The nearest fixed thing on a face, to the left or the right of its foot.
    fn beside(&self, strips: &[Strip], index: &StripIndex, face: &Face) -> Option<Beside> {
        let reach = face.right * TAPE_M;
        let near: Vec<&Strip> =
            within(index, face.foot - reach, face.foot + reach, face.half_m + FLUSH_M)
                .map(|number| &strips[number])
                .collect();
        let mut found: Vec<(f64, Landmark)> = Vec::new();
        // What runs on straight and flush is the same face; what else comes up to it is a corner.
        let mut runs: Vec<(f64, f64)> = Vec::new();
        for strip in near {
            let (start, end) = (face.of(strip.line.start), face.of(strip.line.end));
            let along = strip.along();
            let is_straight = dot(along, face.out).abs() < STRAIGHT_ON;
            if is_straight && (start.1 + strip.half_m - face.half_m).abs() < FLUSH_M {
                runs.push((start.0.min(end.0), start.0.max(end.0)));
                found.extend(self.frames(strip).flat_map(|(landmark, from, to)| {
                    let edges = [face.of(from).0, face.of(to).0];
                    let (left, right) = (edges[0].min(edges[1]), edges[0].max(edges[1]));
                    let is_over = left <= 0.0 && right >= 0.0;
                    if is_over {
                        vec![(0.0, landmark)]
                    } else {
                        vec![(left, landmark), (right, landmark)]
                    }
                }));
            } else {
                let corners = corners(strip, face);
                runs.extend(flush_end(strip, face).filter(|_| corners.is_empty()));
                found.extend(corners);
            }
        }
        let (left, right) = whole_run(&mut runs);
        found.retain(|(at, _)| *at >= left - GAP_M && *at <= right + GAP_M);
        // Where a wall ends at another, the other's face is the corner.
        found.extend([left, right].map(|at| (at, Landmark::End)));
        let hides = |at: f64, other: f64| other * at > 0.0 && other.abs() < at.abs() - SAME_M;
        let first = |(at, landmark): &(f64, Landmark)| {
            let corners = found.iter().filter(|(_, other)| *other == Landmark::Corner);
            !corners.clone().any(|(other, _)| hides(*at, *other))
                && (*landmark != Landmark::End
                    || !corners.clone().any(|(other, _)| other * at > 0.0))
        };
        let nearest = found.iter().filter(|thing| first(thing)).min_by(|a, b| {
            let step = |at: f64| (at.abs() / SAME_M).round() as i64;
            step(a.0).cmp(&step(b.0)).then(a.1.cmp(&b.1)).then(a.0.total_cmp(&b.0))
        });
        let &(at, landmark) = nearest.filter(|(at, _)| at.abs() <= TAPE_M)?;
        let side = match (landmark, at) {
            (Landmark::Door | Landmark::Window, 0.0) => Side::Within,
            (_, at) if at > 0.0 => Side::Left,
            _ => Side::Right,
        };
        let edge = face.foot + face.right * at + face.out * face.half_m;
        Some(Beside { landmark, side, distance_m: at.abs(), edge })
    }

    /// The doors and windows of a piece of wall, from jamb to jamb.
    fn frames(
        &self,
        strip: &Strip,
    ) -> impl Iterator<Item = (Landmark, Coord<f64>, Coord<f64>)> + use<'_> {
        let (wall, segment) = (strip.wall, strip.segment);
        let own = self.openings[wall].iter().filter(move |opening| opening.segment == segment);
        own.filter_map(move |opening| {
            let line = self.plan.opening_line(opening)?;
            let level = self.plan.level(self.plan.walls[wall].level)?;
            let is_door = opening.base_m <= level.floor_m + DOOR_SILL_M;
            let landmark = if is_door { Landmark::Door } else { Landmark::Window };
            Some((landmark, line.start, line.end))
        })
    }
}

fn dot(a: Coord<f64>, b: Coord<f64>) -> f64 {
    a.x * b.x + a.y * b.y
}

/// The pieces of wall whose box comes near a line, by their numbers, in order.
fn within(
    index: &StripIndex,
    from: Coord<f64>,
    to: Coord<f64>,
    round_m: f64,
) -> impl Iterator<Item = usize> {
    let line = AABB::from_corners(Point(from), Point(to));
    let (low, high) = (line.lower().0, line.upper().0);
    let round = Coord { x: round_m, y: round_m };
    let near = AABB::from_corners(Point(low - round), Point(high + round));
    let mut numbers: Vec<usize> =
        index.locate_in_envelope_intersecting(&near).map(|found| found.data).collect();
    numbers.sort_unstable();
    numbers.into_iter()
}

/// Where the sides of another wall come up to a face, right of its foot.
fn corners(strip: &Strip, face: &Face) -> Vec<(f64, Landmark)> {
    let (start, end) = (face.of(strip.line.start), face.of(strip.line.end));
    let (right, out) = (end.0 - start.0, end.1 - start.1);
    let stands_out_m = face.half_m + FLUSH_M;
    let is_parallel = out.abs() < STRAIGHT_ON * right.abs();
    let beside_m = if is_parallel { strip.half_m } else { 0.0 };
    let deep_m = (start.1.min(end.1) - beside_m, start.1.max(end.1) + beside_m);
    let edges = if deep_m.0 > stands_out_m || deep_m.1 < stands_out_m {
        Vec::new()
    } else if is_parallel {
        // A thicker wall runs on from here: its end is a step in the face.
        vec![start.0, end.0]
    } else {
        let at = start.0 + right * (face.half_m - start.1) / out;
        let half_m = strip.half_m * right.hypot(out) / out.abs();
        vec![at - half_m, at + half_m]
    };
    edges.into_iter().map(|at| (at, Landmark::Corner)).collect()
}

/// The end of a wall that comes up to a face from behind: it is flush with it.
fn flush_end(strip: &Strip, face: &Face) -> Option<(f64, f64)> {
    let (start, end) = (face.of(strip.line.start), face.of(strip.line.end));
    let (near, far) = if start.1 > end.1 { (start, end) } else { (end, start) };
    let (right, out) = (far.0 - near.0, far.1 - near.1);
    let half_m = strip.half_m * right.hypot(out) / out.abs();
    (near.1 >= -FLUSH_M && out.abs() > STRAIGHT_ON).then_some((near.0 - half_m, near.0 + half_m))
}

/// The stretch of face round its foot, from pieces that touch one another.
fn whole_run(runs: &mut [(f64, f64)]) -> (f64, f64) {
    runs.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut whole: Vec<(f64, f64)> = Vec::new();
    for &(left, right) in runs.iter() {
        match whole.last_mut() {
            Some(last) if left <= last.1 + SAME_M => last.1 = last.1.max(right),
            _ => whole.push((left, right)),
        }
    }
    let own = whole.into_iter().find(|(left, right)| *left <= SAME_M && *right >= -SAME_M);
    own.unwrap_or((0.0, 0.0))
}
