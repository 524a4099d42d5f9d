//! The lines of rooms, openings and devices, from their first word on.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use super::cursor::{Cursor, Slip};
use super::list::{
    Beside, DeviceLine, Fill, OpeningLine, RoomLine, RoomSide, Spot, StairsLine, WallOf,
};
use plan::{MAX_NUMBER, ROLES, nearest, quoted};

/// Most rooms (our own choice).
pub(super) const MAX_ROOMS: usize = 2_000;
/// Widest and deepest room, metres (our own choice: a hall of this size is no job for a list).
const MAX_ROOM_M: f64 = 200.0;
/// Narrowest room, metres (our own choice: a shaft).
const LEAST_ROOM_M: f64 = 0.3;
/// Narrowest and widest opening, metres (our own choice: a hatch, the gate of a hall).
const WIDTHS_M: RangeInclusive<f64> = 0.1..=20.0;
/// Lowest opening from sill to head, metres (our own choice: a slip of the thumb stands out).
const LOWEST_M: f64 = 0.01;
/// What may stand behind the place of a device; no room has such a name without quotation marks.
const WORDS: [&str; 8] = ["", "at", "height", "number", "no", "role", "called", "mount"];

pub(super) fn known_name(
    cursor: &mut Cursor,
    known: &[String],
    what: &str,
) -> Result<String, Slip> {
    let column = cursor.column();
    let word = cursor.word().to_lowercase();
    if known.contains(&word) {
        return Ok(word);
    }
    let near = nearest(&word, known.iter().map(String::as_str));
    let near = near.map_or_else(String::new, |near| format!("did you mean {near}? "));
    let what = match word.as_str() {
        "" => format!("the name of a {what} is missing"),
        word => format!("the {what} {} is not known", quoted(word)),
    };
    Err(Slip::new(column, what, format!("{near}`drillonce catalogue` lists every name")))
}

/// Reads the rest of a line that begins with `room`; `names` are the rooms so far, with lines.
pub(super) fn room_line(
    line: usize,
    level: i32,
    cursor: &mut Cursor,
    names: &mut BTreeMap<String, usize>,
) -> Result<RoomLine, Slip> {
    let column = cursor.column();
    let name = cursor.name()?;
    if RoomSide::of(&name.to_lowercase()).is_some() {
        let what = format!("{} is a side of a room, not a name", quoted(&name));
        return Err(Slip::new(column, what, "use another name, such as \"Front room\""));
    }
    if let Some(first) = names.get(&name.to_lowercase()) {
        let what = format!("line {first} already has a room {}", quoted(&name));
        let fix = "give each room its own name, such as Bath-2";
        return Err(Slip::new(column, what, fix));
    }
    if names.len() >= MAX_ROOMS {
        let what = format!("the list has more than {MAX_ROOMS} rooms");
        return Err(cursor.slip(what, "write one list per building"));
    }
    let sizes = cursor.column();
    let (width_m, depth_m) = cursor.size()?;
    for size in [width_m, depth_m] {
        if !(LEAST_ROOM_M..=MAX_ROOM_M).contains(&size) {
            let what = format!("a room cannot be {} wide or deep", cursor.shown(size));
            let [least, most] = [LEAST_ROOM_M, MAX_ROOM_M].map(|limit| cursor.shown(limit));
            let fix = format!("check the unit and the decimal point: {least} to {most} are read");
            return Err(Slip::new(sizes, what, fix));
        }
    }
    let beside = beside(cursor)?;
    names.insert(name.to_lowercase(), line);
    Ok(RoomLine { line, name, level, width_m, depth_m, beside })
}

fn beside(cursor: &mut Cursor) -> Result<Option<Beside>, Slip> {
    let side = match cursor.peek_word().as_str() {
        "right-of" => Some(RoomSide::Right),
        "left-of" => Some(RoomSide::Left),
        "behind" => Some(RoomSide::Back),
        "before" => Some(RoomSide::Front),
        "above" => None,
        "" => return Ok(None),
        other => {
            let what = format!("{} does not say where the room is", quoted(other));
            let fix = "write right-of, left-of, behind (above it on the plan), before, or above \
                        (a storey up), and a room";
            return Err(cursor.slip(what, fix));
        }
    };
    cursor.word();
    let room = cursor.name()?;
    let mut beside = Beside { room, side, shift_m: 0.0, flush_far: false };
    loop {
        if cursor.takes("flush") {
            let word = cursor.peek_word();
            beside.flush_far = match (word.as_str(), side) {
                ("back", Some(RoomSide::Left | RoomSide::Right))
                | ("right", Some(RoomSide::Front | RoomSide::Back)) => true,
                ("front", Some(RoomSide::Left | RoomSide::Right))
                | ("left", Some(RoomSide::Front | RoomSide::Back)) => false,
                _ => {
                    let fix = "rooms side by side are flush front or back, rooms one behind the \
                                other flush left or right";
                    return Err(cursor.slip("flush with which side?", fix));
                }
            };
            cursor.word();
        } else if cursor.takes("shift") {
            cursor.column();
            let back = cursor.takes("-");
            let negative = back || cursor.peek_word().starts_with('-');
            if negative && !back {
                cursor.skip_minus();
            }
            let length = cursor.length("the shift")?;
            beside.shift_m = if negative { -length } else { length };
        } else {
            return Ok(Some(beside));
        }
    }
}

/// Reads the rest of a line that begins with `door`, `window` or `gap`.
pub(super) fn opening_line(
    line: usize,
    word: &str,
    cursor: &mut Cursor,
    constructions: &[String],
) -> Result<OpeningLine, Slip> {
    let fill = match word {
        "door" => Fill::Door,
        "window" => Fill::Window,
        _ => Fill::Gap,
    };
    let of = wall_of(cursor)?;
    let column = cursor.column();
    let width_m = cursor.length("the width")?;
    if !WIDTHS_M.contains(&width_m) {
        let what = format!("a {word} cannot be {} wide", cursor.shown(width_m));
        let [least, most] = [WIDTHS_M.start(), WIDTHS_M.end()].map(|limit| cursor.shown(*limit));
        let fix = format!("check the unit and the decimal point: {least} to {most} are read");
        return Err(Slip::new(column, what, fix));
    }
    let mut opening = OpeningLine {
        line,
        fill,
        of,
        width_m,
        at_m: None,
        entry: false,
        open: fill == Fill::Gap,
        construction: None,
        sill_m: None,
        head_m: None,
    };
    while !cursor.is_done() {
        if cursor.takes("at") {
            opening.at_m = Some(cursor.length("the place")?);
        } else if cursor.takes("entry") {
            opening.entry = true;
        } else if cursor.takes("open") {
            opening.open = true;
        } else if cursor.takes("sill") {
            opening.sill_m = Some(cursor.length("the sill")?);
        } else if cursor.takes("head") {
            opening.head_m = Some(cursor.length("the head")?);
        } else {
            opening.construction = Some(known_name(cursor, constructions, "construction")?);
        }
    }
    if opening.sill() + LOWEST_M > opening.head() {
        let (sill, head) = (cursor.shown(opening.sill()), cursor.shown(opening.head()));
        let what = format!("the sill, {sill}, is not below the head, {head}");
        return Err(cursor.slip(what, "measure both from the floor"));
    }
    Ok(opening)
}

/// A wall: a room and its side, or two rooms.
pub(super) fn wall_of(cursor: &mut Cursor) -> Result<WallOf, Slip> {
    let room = cursor.name()?;
    if let Some(side) = RoomSide::of(&cursor.peek_word()) {
        cursor.word();
        return Ok(WallOf::Side(room, side));
    }
    if cursor.is_done() || cursor.is_number() {
        let fix = "write the room and front, right, back or left; or the two rooms on its sides";
        return Err(cursor.slip("which wall?", fix));
    }
    Ok(WallOf::Between(room, cursor.name()?))
}

/// Reads the rest of a line that begins with a sort of device.
pub(super) fn device_line(
    line: usize,
    sort: &str,
    cursor: &mut Cursor,
    mounts: &[String],
) -> Result<DeviceLine, Slip> {
    let room = cursor.name()?;
    let mut device = DeviceLine { line, sort: sort.to_owned(), room, ..DeviceLine::default() };
    let word = cursor.peek_word();
    if let Some(spot) = spot(&word) {
        cursor.word();
        device.spot = Some(spot);
    } else if sort == "contact" && !WORDS.contains(&word.as_str()) {
        device.other = Some(cursor.name()?);
    } else if ["contact", "outlet", "panel"].contains(&sort) {
        let or_room = if sort == "contact" { ", or the room on the other side" } else { "" };
        let fix = format!("write front, right, back or left after the room{or_room}");
        return Err(cursor.slip(format!("on which wall is the {sort}?"), fix));
    }
    while !cursor.is_done() {
        let column = cursor.column();
        if cursor.takes("at") {
            device.at_m = Some(cursor.length("the place")?);
        } else if cursor.takes("height") {
            device.height_m = Some(cursor.length("the height")?);
        } else if cursor.takes("number") || cursor.takes("no") {
            let word = cursor.word();
            let number = word.parse().ok().filter(|number| *number <= MAX_NUMBER);
            let Some(number) = number else {
                let what = format!("{} is not a device number", quoted(&word));
                let fix = format!("give a whole number up to {MAX_NUMBER}");
                return Err(Slip::new(column, what, fix));
            };
            device.number = Some(number);
        } else if cursor.takes("role") {
            device.role = Some(role(cursor)?);
        } else if cursor.takes("called") {
            device.name = Some(cursor.name()?);
        } else if cursor.takes("mount") {
            device.mount = Some(mount(cursor, mounts)?);
        } else {
            let word = cursor.peek_word();
            let fix = "after the wall you may write at, height, number, role, mount and called \
                        \"Name\"";
            return Err(cursor.slip(format!("{} is not understood here", quoted(&word)), fix));
        }
    }
    let on_wall = device.other.is_some() || matches!(device.spot, Some(Spot::Wall(_)));
    if device.at_m.is_some() && !on_wall {
        let what = "\"at\" counts along a wall, and no wall is named";
        return Err(cursor.slip(what, "write front, right, back or left after the room"));
    }
    Ok(device)
}

/// How a device is mounted, as a plan says it.
fn mount(cursor: &mut Cursor, mounts: &[String]) -> Result<String, Slip> {
    let column = cursor.column();
    let word = cursor.word().to_lowercase();
    if mounts.contains(&word) {
        return Ok(word);
    }
    let what = format!("{} is not a known mount", quoted(&word));
    Err(Slip::new(column, what, format!("known: {}", mounts.join(", "))))
}

/// Usual width and length of a flight in plan, metres (common practice, no source: fourteen steps
/// of 25 cm less those that turn or stand under the landing).
const FLIGHT_M: (f64, f64) = (0.9, 3.0);

/// Reads the rest of a line that begins with `stairs`.
pub(super) fn stairs_line(line: usize, cursor: &mut Cursor) -> Result<StairsLine, Slip> {
    let room = cursor.name()?;
    let Some(side) = RoomSide::of(&cursor.peek_word()) else {
        let fix = "write the room and front, right, back or left: stairs Hall left 0.9 x 3.0";
        return Err(cursor.slip("along which wall do the stairs run?", fix));
    };
    cursor.word();
    let (width_m, length_m) = if cursor.is_number() { cursor.size()? } else { FLIGHT_M };
    let mut stairs =
        StairsLine { line, room, side, width_m, length_m, at_m: None, is_reversed: false };
    while !cursor.is_done() {
        if cursor.takes("at") {
            stairs.at_m = Some(cursor.length("the place")?);
        } else if cursor.takes("reversed") {
            stairs.is_reversed = true;
        } else {
            let what = format!("{} is not understood here", quoted(&cursor.peek_word()));
            return Err(cursor.slip(what, "after the size you may write at and reversed"));
        }
    }
    Ok(stairs)
}

/// What the panel does when a sensor trips, as a plan says it.
fn role(cursor: &mut Cursor) -> Result<String, Slip> {
    let column = cursor.column();
    let word = cursor.word().to_lowercase();
    if ROLES.contains(&word.as_str()) {
        return Ok(word);
    }
    let near = nearest(&word, ROLES);
    let near = near.map_or_else(String::new, |near| format!("did you mean {near}? "));
    let what = format!("{} is not a known role", quoted(&word));
    Err(Slip::new(column, what, format!("{near}Known: {}", ROLES.join(", "))))
}

/// A wall, a corner such as `back-left`, or the middle.
fn spot(word: &str) -> Option<Spot> {
    let Some((first, second)) = word.split_once('-') else {
        let side = || RoomSide::of(word).map(Spot::Wall);
        return if word == "middle" { Some(Spot::Middle) } else { side() };
    };
    let (first, second) = (RoomSide::of(first)?, RoomSide::of(second)?);
    let is_deep = |side| matches!(side, RoomSide::Front | RoomSide::Back);
    let (across, deep) = if is_deep(first) { (second, first) } else { (first, second) };
    (is_deep(deep) && !is_deep(across)).then_some(Spot::Corner(across, deep))
}
