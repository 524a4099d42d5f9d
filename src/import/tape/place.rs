//! Where the rooms come to lie: each beside another, until all have a place.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Polygon, polygon};

use super::list::{Beside, List, Notes, RoomLine, RoomSide};
use crate::guess::Guesses;

/// Edges that miss by less than this are put together, metres (our own choice: a tape held askew).
const CLOSE_M: f64 = 0.06;
/// Widest that all rooms together may be, metres: what a plan bears, less the outside walls.
const WIDEST_M: f64 = plan::MAX_EXTENT_M - 10.0;
/// Rooms may reach into one another by so much for rounding's sake, metres.
const HAIR_M: f64 = 1e-6;

/// A room with its place. The rectangle runs along the middle of inside walls, metres.
#[derive(Clone, PartialEq)]
pub(super) struct Placed {
    pub(super) level: i32,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) front: f64,
    pub(super) back: f64,
    /// Half of an inside wall, metres: as far lies the inner face from the rectangle.
    pub(super) half_m: f64,
}

impl Placed {
    pub(super) fn outline(&self) -> Polygon<f64> {
        polygon![
            (x: self.left, y: self.front),
            (x: self.right, y: self.front),
            (x: self.right, y: self.back),
            (x: self.left, y: self.back),
        ]
    }

    pub(super) fn middle(&self) -> Coord<f64> {
        Coord { x: (self.left + self.right) / 2.0, y: (self.front + self.back) / 2.0 }
    }

    /// Where the inner face of its left, or front, wall is: from there an opening's place counts.
    pub(super) fn inner_corner(&self, runs_level: bool) -> f64 {
        self.half_m + if runs_level { self.left } else { self.front }
    }

    /// Where its wall on a side runs: x of the left and right ones, y of the others.
    pub(super) const fn edge(&self, side: RoomSide) -> f64 {
        match side {
            RoomSide::Front => self.front,
            RoomSide::Right => self.right,
            RoomSide::Back => self.back,
            RoomSide::Left => self.left,
        }
    }

    /// Between its inner faces, left to right and front to back.
    pub(super) fn inside(&self) -> ((f64, f64), (f64, f64)) {
        let half = self.half_m;
        ((self.left + half, self.right - half), (self.front + half, self.back - half))
    }

    fn overlap(&self, other: &Self) -> (f64, f64) {
        (
            self.right.min(other.right) - self.left.max(other.left),
            self.back.min(other.back) - self.front.max(other.front),
        )
    }
}

/// Places every room, in the order of the list; nothing if some cannot be placed.
pub(super) fn place_rooms(list: &List, half_m: f64, notes: &mut Notes) -> Option<Vec<Placed>> {
    let by: Vec<Option<usize>> =
        list.rooms.iter().map(|room| placed_by(list, room, notes)).collect();
    let mut places: Vec<Option<Placed>> = vec![None; list.rooms.len()];
    // From every room along those that it is placed by, until one that has a place.
    for start in 0..list.rooms.len() {
        let mut way = Vec::new();
        let mut on_way = BTreeSet::new();
        let mut here = start;
        while places[here].is_none() {
            if !on_way.insert(here) {
                tell_loop(list, &way, here, notes);
                return None;
            }
            way.push(here);
            match by[here] {
                Some(next) => here = next,
                None => break,
            }
        }
        for &room in way.iter().rev() {
            let base = by[room].and_then(|base| places[base].clone());
            places[room] = rectangle(&list.rooms[room], base.as_ref(), half_m);
            if places[room].is_none() && base.is_some() {
                too_far(list, &list.rooms[room], notes);
            }
        }
    }
    let mut placed: Vec<Placed> = places.into_iter().collect::<Option<_>>()?;
    let mut sound = true;
    sound &= first_rooms(list, &by, notes);
    sound &= within_bounds(list, &placed, notes);
    close_gaps(list, &mut placed, &mut notes.guesses);
    sound &= no_overlap(list, &placed, notes);
    sound.then_some(placed)
}

fn too_far(list: &List, room: &RoomLine, notes: &mut Notes) {
    let what = format!("with {} the plan is over {} wide", room.name, list.shown(WIDEST_M));
    notes.say(room.line, what, "check units, sizes and shifts; a plan holds one site");
}

/// No plan is wider than its reader bears.
fn within_bounds(list: &List, placed: &[Placed], notes: &mut Notes) -> bool {
    let lowest = |of: fn(&Placed) -> f64| placed.iter().map(of).fold(f64::INFINITY, f64::min);
    let highest = |of: fn(&Placed) -> f64| placed.iter().map(of).fold(f64::NEG_INFINITY, f64::max);
    let wide = highest(|place| place.right) - lowest(|place| place.left);
    let deep = highest(|place| place.back) - lowest(|place| place.front);
    if wide.max(deep) <= WIDEST_M {
        return true;
    }
    let off = |place: &Placed| place.left.abs().max(place.front.abs());
    let rooms = list.rooms.iter().zip(placed);
    let farthest = rooms.max_by(|a, b| off(a.1).total_cmp(&off(b.1)));
    if let Some((room, _)) = farthest {
        too_far(list, room, notes);
    }
    false
}

fn placed_by(list: &List, room: &RoomLine, notes: &mut Notes) -> Option<usize> {
    let beside = room.beside.as_ref()?;
    let other = list.room_named(&beside.room, room.line, notes)?;
    let level = list.rooms[other].level;
    let name = &list.rooms[other].name;
    if beside.side.is_some() && level != room.level {
        let what = format!("{name} is on level {level}, not on level {}", room.level);
        let fix = "place a room beside one of its own level, or above one of the level below";
        notes.say(room.line, what, fix);
    }
    if beside.side.is_none() && level == room.level {
        let fix = "above is for another storey; on one level write behind, before, \
                    right-of or left-of";
        notes.say(room.line, format!("{name} is on the same level"), fix);
    }
    Some(other)
}

fn tell_loop(list: &List, way: &[usize], again: usize, notes: &mut Notes) {
    let from = way.iter().position(|&room| room == again).unwrap_or(0);
    let circle: Vec<&RoomLine> = way.iter().skip(from).map(|&room| &list.rooms[room]).collect();
    let mut names: Vec<String> =
        circle.iter().take(6).map(|room| format!("{} (line {})", room.name, room.line)).collect();
    if circle.len() > names.len() {
        names.push("…".to_owned());
    }
    names.extend(circle.first().map(|room| room.name.clone()));
    let first = circle.iter().map(|room| room.line).min().unwrap_or(0);
    let what = format!("these rooms are placed by each other in a circle: {}", names.join(" by "));
    notes.say(first, what, "place one room of each level by itself, and the others from it");
}

/// The rectangle of a room beside another, or at the zero without one.
fn rectangle(room: &RoomLine, base: Option<&Placed>, half_m: f64) -> Option<Placed> {
    let (width, depth) = (room.width_m + 2.0 * half_m, room.depth_m + 2.0 * half_m);
    let (left, front) = match (&room.beside, base) {
        (None, _) => (0.0, 0.0),
        (Some(_), None) => return None,
        (Some(beside), Some(base)) => corner(beside, base, width, depth),
    };
    let place =
        Placed { level: room.level, left, right: left + width, front, back: front + depth, half_m };
    (place.left.abs().max(place.front.abs()) < WIDEST_M).then_some(place)
}

/// The front left corner of a room of this size beside another.
fn corner(beside: &Beside, base: &Placed, width: f64, depth: f64) -> (f64, f64) {
    let shift = beside.shift_m;
    let along_x = if beside.flush_far { base.right - width } else { base.left } + shift;
    let along_y = if beside.flush_far { base.back - depth } else { base.front } + shift;
    match beside.side {
        Some(RoomSide::Right) => (base.right, along_y),
        Some(RoomSide::Left) => (base.left - width, along_y),
        Some(RoomSide::Back) => (along_x, base.back),
        Some(RoomSide::Front) => (along_x, base.front - depth),
        None => (base.left + shift, base.front),
    }
}

/// Only one room of a level may stand alone.
fn first_rooms(list: &List, by: &[Option<usize>], notes: &mut Notes) -> bool {
    let mut alone: BTreeMap<i32, &RoomLine> = BTreeMap::new();
    let mut sound = true;
    for (room, by) in list.rooms.iter().zip(by) {
        if by.is_some() {
            continue;
        }
        if let Some(first) = alone.get(&room.level) {
            sound = false;
            let fix = format!("write right-of {}, behind {0} or the like", first.name);
            notes.say(room.line, format!("the list does not say where {} is", room.name), fix);
        } else {
            alone.insert(room.level, room);
        }
    }
    sound
}

/// Puts edges together that all but meet: those of later rooms to those of earlier ones.
fn close_gaps(list: &List, placed: &mut [Placed], guesses: &mut Guesses) {
    // Where each edge was, and where it is now: what was in one place stays in one place.
    let mut known: BTreeMap<(i32, bool), Vec<(f64, f64)>> = BTreeMap::new();
    for (room, place) in list.rooms.iter().zip(placed) {
        let mut worst: f64 = 0.0;
        let level = place.level;
        for (is_x, edge) in [
            (true, &mut place.left),
            (true, &mut place.right),
            (false, &mut place.front),
            (false, &mut place.back),
        ] {
            let edges = known.entry((level, is_x)).or_default();
            let was = *edge;
            let same = edges.iter().find(|(other, _)| (other - was).abs() < HAIR_M);
            if let Some(&(_, now)) = same {
                *edge = now;
            } else {
                let off = |other: f64| (other - was).abs();
                let standing = edges.iter().map(|(_, now)| *now);
                let near = standing.min_by(|a, b| off(*a).total_cmp(&off(*b)));
                *edge = near.filter(|near| off(*near) < CLOSE_M).unwrap_or(was);
                edges.push((was, *edge));
            }
            worst = worst.max((*edge - was).abs());
        }
        let about = format!("line {}, room {}", room.line, room.name);
        let taken = format!("one side was moved by {} to meet another", list.shown(worst));
        let fix = "if that is too much, measure again: sizes of neighbours must add up";
        guesses.add(about, taken, fix, usize::from(worst > 0.001));
    }
}

/// No two rooms of a level may lie in one place.
fn no_overlap(list: &List, placed: &[Placed], notes: &mut Notes) -> bool {
    let mut order: Vec<usize> = (0..placed.len()).collect();
    order.sort_by(|&a, &b| placed[a].left.total_cmp(&placed[b].left));
    let mut sound = true;
    for (at, &first) in order.iter().enumerate() {
        for &second in &order[at + 1..] {
            if placed[second].left >= placed[first].right - HAIR_M {
                break;
            }
            if placed[first].level != placed[second].level {
                continue;
            }
            let (wide, deep) = placed[first].overlap(&placed[second]);
            if wide > HAIR_M && deep > HAIR_M {
                sound = false;
                let early = &list.rooms[first.min(second)];
                let late = &list.rooms[first.max(second)];
                let (name, line) = (&early.name, early.line);
                let by = [wide, deep].map(|size| list.shown(size));
                let over = format!("{name} (line {line}) by {} x {}", by[0], by[1]);
                let what = format!("{} overlaps {over}", late.name);
                let fix = "check the sizes; shift moves a room along its neighbour, flush aligns \
                            it with the far corner";
                notes.say(late.line, what, fix);
            }
        }
    }
    sound
}
