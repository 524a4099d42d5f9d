//! Storeys of a list: heights and floors.

use geo::{CoordsIter as _, unary_union};

use super::list::{LevelLine, List, Notes, WallOf, shown};
use super::place::Placed;
use crate::{CEILING_M, FLOOR, FLOOR_THICKNESS_M, Piece, What};
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
            let (number, high, ceiling) = (line.number, shown(height(line)), shown(ceiling_m));
            let what = format!("level {number} is {high} m high, its ceiling at {ceiling} m");
            notes.say(line.line, what, "ceiling counts from the level's own floor");
        }
        if floor_m < -MAX_HEIGHT_M {
            let what = format!("its floor lies {} m below the zero", shown(-floor_m));
            notes.say(line.line, what, "check the ceilings of the cellars");
        }
        if let Some(lower) = made.last()
            && lower.ceiling_m > floor_m
        {
            let (floor, other, ceiling) = (shown(floor_m), lower.number, shown(lower.ceiling_m));
            let what = format!(
                "its floor, {floor} m, lies below the ceiling of level {other}, {ceiling} m"
            );
            notes.say(line.line, what, "floor counts from the floor of level 0");
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
    let taken = format!("taken {CEILING_M} m above the floor");
    let pieces = lines.iter().filter(|line| line.ceiling_m.is_none()).count();
    notes.guesses.add("ceilings", taken, "ceiling 2.5 below the line of the level", pieces);
    let taken = format!("taken {FLOOR_THICKNESS_M} m above the ceiling below");
    let pieces = lines.iter().skip(1).filter(|line| line.floor_m.is_none()).count();
    notes.guesses.add("floors of upper levels", taken, "level 1 First floor 2.8", pieces);
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
            let (head, ceiling) = (shown(opening.head()), shown(height_m));
            let what = format!("the head, {head} m, is above the ceiling, {ceiling} m");
            notes.say(opening.line, what, "give a lower head, or a higher ceiling");
        }
    }
}

/// A floor below the rooms of every level but the lowest.
pub(super) fn slabs(
    list: &List,
    placed: &[Placed],
    levels: &[Level],
    notes: &mut Notes,
) -> Vec<Piece> {
    let mut slabs = Vec::new();
    for level in levels.iter().skip(1) {
        let rooms = placed.iter().filter(|room| room.level == level.number);
        let outlines: Vec<_> = rooms.map(Placed::outline).collect();
        let whole = unary_union(&outlines);
        if whole.iter().any(|area| area.coords_count() > MAX_OUTLINE_POSITIONS) {
            let line = list.levels.iter().find(|line| line.number == level.number);
            let what = format!("its floor has more than {MAX_OUTLINE_POSITIONS} corners");
            let mend = "make a list for each part of the building";
            notes.say(line.map_or(1, |line| line.line), what, mend);
        }
        slabs.extend(whole.into_iter().map(|area| {
            let what = What::Slab { construction: FLOOR.to_owned() };
            Piece::new(format!("floor {}", level.name), level.number, area, what)
        }));
    }
    let taken = format!("taken as {FLOOR}, without a hole for stairs");
    let mend = "change the construction of the slabs in the plan, and cut the hole";
    notes.guesses.add("floors between storeys", taken, mend, slabs.len());
    slabs
}
