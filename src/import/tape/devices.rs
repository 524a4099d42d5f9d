//! Devices and outlets of a list.

use std::collections::BTreeMap;

use geo::{Coord, Geometry, Point};

use super::cursor::{Cursor, Slip};
use super::list::{List, RoomSide, Slips, USUAL_CEILING_M, WallOf, shown};
use super::openings::{Fill, PlacedOpening, room_named};
use super::place::Placed;
use super::walls::{Run, is_on, which_runs};
use crate::{BELOW_HEAD_M, Guess, Piece, What};
use plan::{DeviceKind, Level, MAX_NUMBER, ROLES, nearest, quoted};

/// How far before the face of its wall a device hangs, metres (our own choice: so that it counts to its room).
const BEFORE_FACE_M: f64 = 0.03;

/// What may stand behind the place of a device; nothing there is a room's name without quotation marks.
const WORDS: [&str; 7] = ["", "at", "height", "number", "no", "role", "called"];

/// Where in a room a device hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Spot {
    Middle,
    Wall(RoomSide),
    Corner(RoomSide, RoomSide),
}

/// A device or outlet as listed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct DeviceLine {
    pub(super) line: usize,
    pub(super) sort: String,
    pub(super) room: String,
    /// The room on the other side of a contact's door or window, where the line names it.
    pub(super) other: Option<String>,
    /// Nothing where the line does not say it.
    pub(super) spot: Option<Spot>,
    pub(super) at_m: Option<f64>,
    pub(super) height_m: Option<f64>,
    pub(super) number: Option<u32>,
    pub(super) role: Option<String>,
    pub(super) name: Option<String>,
}

/// Reads the rest of a line that begins with a sort of device.
pub(super) fn device_line(
    line: usize,
    sort: &str,
    cursor: &mut Cursor,
) -> Result<DeviceLine, Slip> {
    let mut device = DeviceLine {
        line,
        sort: sort.to_owned(),
        room: cursor.name()?,
        other: None,
        spot: None,
        at_m: None,
        height_m: None,
        number: None,
        role: None,
        name: None,
    };
    let word = cursor.peek_word();
    if let Some(spot) = spot(&word) {
        cursor.word();
        device.spot = Some(spot);
    } else if sort == "contact" && !WORDS.contains(&word.as_str()) {
        device.other = Some(cursor.name()?);
    } else if ["contact", "outlet", "panel"].contains(&sort) {
        let mend = if sort == "contact" {
            "write front, right, back or left after the room, or the room on the other side"
        } else {
            "write front, right, back or left after the room"
        };
        return Err(cursor.slip(format!("on which wall is the {sort}?"), mend));
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
                return Err(Slip {
                    column,
                    what: format!("{} is no number of a device", quoted(&word)),
                    mend: format!("give a whole number up to {MAX_NUMBER}"),
                });
            };
            device.number = Some(number);
        } else if cursor.takes("role") {
            device.role = Some(role(cursor)?);
        } else if cursor.takes("called") {
            device.name = Some(cursor.name()?);
        } else {
            let word = cursor.peek_word();
            return Err(cursor.slip(
                format!("{} is not understood here", quoted(&word)),
                "after the wall there may be at, height, number, role and called \"Name\"",
            ));
        }
    }
    let on_wall = device.other.is_some() || matches!(device.spot, Some(Spot::Wall(_)));
    if device.at_m.is_some() && !on_wall {
        return Err(cursor.slip(
            "at counts along a wall, and no wall is named",
            "write front, right, back or left after the room",
        ));
    }
    Ok(device)
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
    Err(Slip {
        column,
        what: format!("{} is no role", quoted(&word)),
        mend: format!("{near}Known: {}", ROLES.join(", ")),
    })
}

/// A wall, a corner such as `back-left`, or the middle.
fn spot(word: &str) -> Option<Spot> {
    if word == "middle" {
        return Some(Spot::Middle);
    }
    if let Some(side) = RoomSide::of(word) {
        return Some(Spot::Wall(side));
    }
    let (first, second) = word.split_once('-')?;
    let (first, second) = (RoomSide::of(first)?, RoomSide::of(second)?);
    let is_deep = |side| matches!(side, RoomSide::Front | RoomSide::Back);
    match (is_deep(first), is_deep(second)) {
        (true, false) => Some(Spot::Corner(second, first)),
        (false, true) => Some(Spot::Corner(first, second)),
        _ => None,
    }
}

/// What a sort of device is in a plan: its kind, sort, role and usual height above the floor, metres; a negative
/// height counts down from the ceiling. (Common practice, no source.)
fn facts(sort: &str) -> (DeviceKind, Option<&'static str>, Option<&'static str>, f64) {
    match sort {
        "panel" => (DeviceKind::Panel, None, None, 1.5),
        "keypad" => (DeviceKind::Keypad, None, None, 1.4),
        "siren" => (DeviceKind::Siren, None, None, 2.2),
        "repeater" => (DeviceKind::Repeater, None, None, 0.3),
        "motion" => (DeviceKind::Sensor, Some("motion"), Some("interior"), 2.2),
        "smoke" => (DeviceKind::Sensor, Some("smoke"), Some("fire"), -0.05),
        "heat" => (DeviceKind::Sensor, Some("heat"), Some("fire"), -0.05),
        "co" => (DeviceKind::Sensor, Some("co"), Some("carbon-monoxide"), 1.5),
        "leak" => (DeviceKind::Sensor, Some("leak"), Some("24-hour"), 0.05),
        "glass-break" => (DeviceKind::Sensor, Some("glass-break"), Some("perimeter"), 2.0),
        "shock" => (DeviceKind::Sensor, Some("shock"), Some("perimeter"), 1.2),
        _ => (DeviceKind::Sensor, Some("contact"), Some("perimeter"), 1.9),
    }
}

/// A number in the panel belongs to one device.
pub(super) fn check_numbers(devices: &[DeviceLine], slips: &mut Slips<'_>) {
    let mut taken: BTreeMap<u32, usize> = BTreeMap::new();
    for device in devices.iter().filter(|device| device.sort != "outlet") {
        let Some(number) = device.number else {
            continue;
        };
        if let Some(first) = taken.get(&number) {
            slips.say(
                device.line,
                format!("number {number} is taken by the device of line {first}"),
                "give each device a number of its own, or none",
            );
        } else {
            taken.insert(number, device.line);
        }
    }
}

/// What was taken of devices because no line says it.
pub(super) fn told(devices: &[DeviceLine], guesses: &mut Vec<Guess>) {
    let mut tell = |about: &str, taken: &str, mend: &str, pieces: usize| {
        if pieces > 0 {
            guesses.push(Guess::new(about, taken, mend, pieces));
        }
    };
    let sensors = || {
        let sensors = devices.iter().filter(|device| device.sort != "outlet");
        sensors.filter(|device| facts(&device.sort).1.is_some())
    };
    tell(
        "places of devices",
        "put into the middle of their room, or of their wall",
        "say where: motion Hall back-left, keypad Hall left at 1.2",
        devices
            .iter()
            .filter(|device| match device.spot {
                None => true,
                Some(Spot::Wall(_)) => device.sort != "contact" && device.at_m.is_none(),
                Some(_) => false,
            })
            .count(),
    );
    tell(
        "heights of devices",
        "taken as usual for their sort: a contact just below the head, motion at 2.2 m, smoke at the ceiling",
        "height 1.5",
        devices.iter().filter(|device| device.height_m.is_none()).count(),
    );
    tell(
        "roles of sensors",
        "taken by their sort; a contact on an entry is entry-exit, on another outside wall perimeter, else interior",
        "role interior",
        sensors().filter(|device| device.role.is_none()).count(),
    );
}

/// What the devices are hung on.
#[derive(Debug)]
pub(super) struct House<'h> {
    /// The name of the space that each room is part of.
    pub(super) names: &'h [String],
    pub(super) list: &'h List,
    pub(super) placed: &'h [Placed],
    pub(super) runs: &'h [Run],
    pub(super) openings: &'h [PlacedOpening],
    pub(super) levels: &'h [Level],
}

/// Hangs a device; a fault if it has no place.
pub(super) fn hang(device: &DeviceLine, house: &House<'_>, slips: &mut Slips<'_>) -> Option<Piece> {
    let room = room_named(house.list, &device.room, device.line, slips)?;
    let place = &house.placed[room];
    let name = &house.list.rooms[room].name;
    let level = house.levels.iter().find(|level| level.number == place.level);
    let ceiling_m = level.map_or(USUAL_CEILING_M, |level| level.ceiling_m - level.floor_m);
    let (kind, sort, role, usual_m) = facts(&device.sort);
    let usual_m = if usual_m < 0.0 { ceiling_m + usual_m } else { usual_m };
    let mut hung = Hung {
        at: spot_of(device, place, slips)?,
        height_m: usual_m.min(ceiling_m),
        role,
        mount: None,
        name: format!("{name} {}", device.sort),
    };
    if device.sort == "contact" {
        hung = contact(device, room, house, slips)?;
    }
    let height_m = device.height_m.unwrap_or(hung.height_m);
    if height_m > ceiling_m + 1e-9 {
        slips.say(
            device.line,
            format!(
                "a height of {} m is above the ceiling, {} m",
                shown(height_m),
                shown(ceiling_m)
            ),
            "heights count from the floor of the room",
        );
        return None;
    }
    let what = if device.sort == "outlet" {
        What::Outlet { height_m: device.height_m }
    } else {
        What::Device {
            kind,
            height_m: Some(height_m),
            device: sort.map(str::to_owned),
            role: device.role.clone().or_else(|| hung.role.map(str::to_owned)),
            number: device.number,
            room: house.names.get(room).cloned(),
            mount: hung.mount.map(str::to_owned),
            supervised: None,
        }
    };
    let own_name = device.name.clone().unwrap_or(hung.name);
    let is_outlet = matches!(what, What::Outlet { .. });
    Some(Piece {
        id: own_name.clone(),
        name: (!is_outlet || device.name.is_some()).then_some(own_name),
        level: place.level,
        shape: Geometry::Point(Point(hung.at)),
        what,
    })
}

/// Where and how a device hangs.
#[derive(Debug)]
struct Hung {
    at: Coord<f64>,
    height_m: f64,
    role: Option<&'static str>,
    mount: Option<&'static str>,
    name: String,
}

/// The place in the room.
fn spot_of(device: &DeviceLine, place: &Placed, slips: &mut Slips<'_>) -> Option<Coord<f64>> {
    let before = place.half_m + BEFORE_FACE_M;
    let edge = |side: RoomSide| match side {
        RoomSide::Front | RoomSide::Left => place.edge(side) + before,
        RoomSide::Back | RoomSide::Right => place.edge(side) - before,
    };
    let middle = Coord { x: (place.left + place.right) / 2.0, y: (place.front + place.back) / 2.0 };
    let Some(Spot::Wall(side)) = device.spot else {
        return Some(match device.spot {
            Some(Spot::Corner(across, deep)) => Coord { x: edge(across), y: edge(deep) },
            _ => middle,
        });
    };
    let level = matches!(side, RoomSide::Front | RoomSide::Back);
    let (corner, usual) = if level {
        (place.inner_corner(true), middle.x)
    } else {
        (place.inner_corner(false), middle.y)
    };
    let along = device.at_m.map_or(usual, |at_m| corner + at_m);
    let length = if level { place.right - place.left } else { place.back - place.front }
        - 2.0 * place.half_m;
    if device.at_m.is_some_and(|at_m| at_m > length + 1e-6) {
        slips.say(
            device.line,
            format!("the wall is only {} m long", shown(length)),
            "at counts from the left corner of a front or back wall, from the front corner of others",
        );
        return None;
    }
    Some(if level { Coord { x: along, y: edge(side) } } else { Coord { x: edge(side), y: along } })
}

/// A contact sits at the far end of a door or window of its wall, on the room's side.
fn contact(
    device: &DeviceLine,
    room: usize,
    house: &House<'_>,
    slips: &mut Slips<'_>,
) -> Option<Hung> {
    let of = match (&device.other, device.spot) {
        (Some(other), _) => WallOf::Between(device.room.clone(), other.clone()),
        (None, Some(Spot::Wall(side))) => WallOf::Side(device.room.clone(), side),
        _ => {
            slips.say(
                device.line,
                "on which wall is the contact?",
                "write front, right, back or left after the room, or the room on the other side",
            );
            return None;
        }
    };
    let (_, walls) = which_runs(&of, house.list, house.placed, house.runs, device.line, slips)?;
    let on_wall: Vec<&PlacedOpening> = house
        .openings
        .iter()
        .filter(|opening| {
            walls.contains(&opening.run) && house.list.openings[opening.listed].fill != Fill::Gap
        })
        .collect();
    let place = &house.placed[room];
    let off = |opening: &PlacedOpening| {
        let run = &house.runs[opening.run];
        let corner = place.inner_corner(run.is_level());
        let (from, to) = run.span_of(opening.line);
        let at = device.at_m.map_or(0.0, |at_m| corner + at_m);
        (from - at).max(at - to).max(0.0)
    };
    let near = match (device.at_m, on_wall.as_slice()) {
        (None, [only]) => Some(*only),
        (Some(_), all) => all
            .iter()
            .copied()
            .filter(|opening| off(opening) < 0.5)
            .min_by(|a, b| off(a).total_cmp(&off(b))),
        _ => None,
    };
    let Some(opening) = near else {
        let (what, mend) = if on_wall.is_empty() {
            (
                "there is no door or window in that wall",
                "list the door or window first: door ROOM front 0.9",
            )
        } else {
            (
                "it is not clear which door or window is meant",
                "say where it is with at, as in the line of the door or window",
            )
        };
        slips.say(device.line, what, mend);
        return None;
    };
    let listed = &house.list.openings[opening.listed];
    let run = &house.runs[opening.run];
    let inwards = if is_on(run, place, RoomSide::Front) {
        Coord { x: 0.0, y: 1.0 }
    } else if is_on(run, place, RoomSide::Back) {
        Coord { x: 0.0, y: -1.0 }
    } else if is_on(run, place, RoomSide::Left) {
        Coord { x: 1.0, y: 0.0 }
    } else {
        Coord { x: -1.0, y: 0.0 }
    };
    let is_outside = run.rooms.len() == 1;
    let role = match (listed.entry, is_outside) {
        (true, _) => "entry-exit",
        (false, true) => "perimeter",
        (false, false) => "interior",
    };
    Some(Hung {
        at: opening.line.end + inwards * 0.1,
        height_m: (listed.head() - BELOW_HEAD_M).max(listed.sill()),
        role: Some(role),
        mount: Some("frame"),
        name: format!("{} {}", house.list.rooms[room].name, listed.fill.word()),
    })
}
