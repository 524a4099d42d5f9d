//! Storeys of a list: heights and floors.

use geo::{BooleanOps as _, Coord, CoordsIter as _, Line, LineString, Polygon, unary_union};

use super::list::{LevelLine, List, Notes, RoomSide, StairsLine, WallOf};
use super::place::Placed;
use crate::{CEILING_M, FLOOR, FLOOR_THICKNESS_M, FRAMED_FLOOR, Piece, What};
use plan::{Level, MAX_HEIGHT_M, MAX_OUTLINE_POSITIONS};

/// Lowest room, metres (our own choice: a crawl space).
const LOWEST_ROOM_M: f64 = 0.5;

pub(super) fn levels(list: &List, notes: &mut Notes) -> Vec<Level> {
    let mut lines: Vec<_> = list.levels.iter().collect();
    lines.sort_by_key(|level| level.number);
    let height = |level: &LevelLine| level.ceiling_m.unwrap_or(CEILING_M);
    // What lies below the ground is stacked downwards from it.
    let cellars = lines.iter().filter(|level| level.number < 0);
    let below: f64 = cellars.map(|level| height(level) + FLOOR_THICKNESS_M).sum();
    let mut next_floor_m = -below;
    let mut made: Vec<Level> = Vec::new();
    for line in &lines {
        let floor_m = line.floor_m.unwrap_or(next_floor_m);
        let ceiling_m = floor_m + height(line);
        if height(line) < LOWEST_ROOM_M || ceiling_m > MAX_HEIGHT_M {
            let (number, high) = (line.number, list.shown(height(line)));
            let what =
                format!("level {number} is {high} high, its ceiling at {}", list.shown(ceiling_m));
            notes.say(line.line, what, "measure ceiling from the level's own floor");
        }
        if floor_m < -MAX_HEIGHT_M {
            let what = format!("its floor is {} below level 0", list.shown(-floor_m));
            notes.say(line.line, what, "check the ceilings of the cellars");
        }
        if let Some(lower) = made.last()
            && lower.ceiling_m > floor_m
        {
            let (other, ceiling) = (lower.number, list.shown(lower.ceiling_m));
            let floor = list.shown(floor_m);
            let what =
                format!("its floor, {floor}, is below the ceiling of level {other}, {ceiling}");
            notes.say(line.line, what, "measure floor from the floor of level 0");
        }
        next_floor_m = ceiling_m + FLOOR_THICKNESS_M;
        made.push(Level {
            number: line.number,
            name: line.name.clone(),
            floor_m,
            ceiling_m,
            is_over_air: false,
        });
    }
    let lengths = list.unit.lengths();
    let taken = format!("taken as {} above the floor", lengths.tape(CEILING_M));
    let pieces = lines.iter().filter(|line| line.ceiling_m.is_none()).count();
    let fix = format!("write ceiling {} below the line of the level", lengths.typed(2.5));
    notes.guesses.add("ceilings", taken, &fix, pieces);
    let taken = format!("taken as {} above the ceiling below", lengths.tape(FLOOR_THICKNESS_M));
    let pieces = lines.iter().skip(1).filter(|line| line.floor_m.is_none()).count();
    let fix = format!("write level 1 First floor {}", lengths.typed(2.8));
    notes.guesses.add("floors of upper levels", taken, &fix, pieces);
    made
}

/// Openings end below their ceiling.
pub(super) fn check_heads(list: &List, levels: &[Level], notes: &mut Notes) {
    for opening in &list.openings {
        let name = match &opening.of {
            WallOf::Side(room, _) | WallOf::Between(room, _) => room,
        };
        let room = list.find_room(name).map(|room| &list.rooms[room]);
        let level = room.and_then(|room| levels.iter().find(|level| level.number == room.level));
        let height_m = level.map_or(f64::INFINITY, |level| level.ceiling_m - level.floor_m);
        if opening.head() > height_m + 1e-9 {
            let (head, ceiling) = (list.shown(opening.head()), list.shown(height_m));
            let what = format!("the head, {head}, is above the ceiling, {ceiling}");
            notes.say(opening.line, what, "give a lower head or a higher ceiling");
        }
    }
}

/// A floor below the rooms of every level but the lowest, with holes over the stairs.
pub(super) fn slabs(
    list: &List,
    placed: &[Placed],
    levels: &[Level],
    outside: &str,
    notes: &mut Notes,
) -> Vec<Piece> {
    // A framed house has framed floors.
    let framed = outside.contains("timber") || outside.contains("steel-frame");
    let usual = if framed { FRAMED_FLOOR } else { FLOOR };
    let construction = list.floors.as_deref().unwrap_or(usual);
    let holes = holes(list, placed, levels, notes);
    let mut slabs = Vec::new();
    for level in levels.iter().skip(1) {
        let rooms = placed.iter().filter(|room| room.level == level.number);
        let outlines: Vec<_> = rooms.map(Placed::outline).collect();
        let here = holes.iter().filter(|(above, _)| *above == level.number);
        let whole = here.fold(unary_union(&outlines), |whole, (_, hole)| whole.difference(hole));
        if whole.iter().any(|area| area.coords_count() > MAX_OUTLINE_POSITIONS) {
            let line = list.levels.iter().find(|line| line.number == level.number);
            let what = format!("its floor has more than {MAX_OUTLINE_POSITIONS} corners");
            let fix = "write one list for each part of the building";
            notes.say(line.map_or(1, |line| line.line), what, fix);
        }
        slabs.extend(whole.into_iter().map(|area| {
            let what = What::Slab { construction: construction.to_owned() };
            Piece::new(format!("floor {}", level.name), level.number, area, what)
        }));
    }
    let taken = format!("taken as {usual}");
    let unsaid = if list.floors.is_none() { slabs.len() } else { 0 };
    notes.guesses.add("floors between storeys", taken, "write floors NAME", unsaid);
    let bare = if list.stairs.is_empty() { slabs.len() } else { 0 };
    let taken =
        "none given: the floors have no stairwell, and the walk to the panel stays on one storey";
    notes.guesses.add("stairs", taken, format!("write stairs Hall left {}", flight(list)), bare);
    slabs
}

/// The usual flight in the list's unit, as one would type it.
fn flight(list: &List) -> String {
    let lengths = list.unit.lengths();
    format!("{} x {}", lengths.typed(0.9), lengths.typed(3.0))
}

/// The flight of a line of stairs: its level, its outline, and the line that a person walks up.
fn flights<'l>(
    list: &'l List,
    placed: &'l [Placed],
) -> impl Iterator<Item = (&'l StairsLine, &'l Placed, Polygon<f64>, Line<f64>)> {
    list.stairs.iter().filter_map(|stairs| {
        let place = &placed[list.find_room(&stairs.room)?];
        let is_level = matches!(stairs.side, RoomSide::Front | RoomSide::Back);
        let from = place.inner_corner(is_level) + stairs.at_m.unwrap_or(0.0);
        let to = from + stairs.length_m;
        let edge = place.edge(stairs.side);
        let inward = match stairs.side {
            RoomSide::Front | RoomSide::Left => 1.0,
            RoomSide::Back | RoomSide::Right => -1.0,
        };
        let face = edge + inward * place.half_m;
        let (near, far) = (face, face + inward * stairs.width_m);
        let middle = (near + far) / 2.0;
        let at = |along: f64, across: f64| {
            if is_level { Coord { x: along, y: across } } else { Coord { x: across, y: along } }
        };
        let ring = vec![at(from, near), at(to, near), at(to, far), at(from, far)];
        let (first, last) = if stairs.is_reversed { (to, from) } else { (from, to) };
        let outline = Polygon::new(LineString::new(ring), Vec::new());
        Some((stairs, place, outline, Line::new(at(first, middle), at(last, middle))))
    })
}

/// The holes that flights need, each with the level whose floor it is in.
fn holes(
    list: &List,
    placed: &[Placed],
    levels: &[Level],
    notes: &mut Notes,
) -> Vec<(i32, Polygon<f64>)> {
    for stairs in &list.stairs {
        list.room_named(&stairs.room, stairs.line, notes);
    }
    let mut holes = Vec::new();
    for (stairs, place, outline, _) in flights(list, placed) {
        let room = place.inside();
        let fits = outline.exterior().coords().all(|corner| {
            let (x, y) = (room.0, room.1);
            (x.0 - 1e-6..=x.1 + 1e-6).contains(&corner.x)
                && (y.0 - 1e-6..=y.1 + 1e-6).contains(&corner.y)
        });
        if !fits {
            let what = format!("the stairs reach out of {}", stairs.room);
            let fix = "check the size (width x length along the wall) and at";
            notes.say(stairs.line, what, fix);
            continue;
        }
        match levels.iter().find(|level| level.number > place.level) {
            Some(above) => holes.push((above.number, outline)),
            None => notes.say(
                stairs.line,
                "there is no level above these stairs",
                "list the level above, or take the stairs out",
            ),
        }
    }
    holes
}

/// The flights as pieces of the plan.
pub(super) fn stairs(list: &List, placed: &[Placed]) -> Vec<Piece> {
    let flights = flights(list, placed).map(|(stairs, place, _, line)| {
        let what = What::Stairs { to: None };
        Piece::new(format!("stairs {}", stairs.room), place.level, line, what)
    });
    flights.collect()
}
