//! Devices and outlets of a list.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Point};

use super::list::{DeviceLine, Fill, List, Notes, RoomSide, Spot, WallOf};
use super::openings::PlacedOpening;
use super::place::Placed;
use super::walls::{Walls, is_on};
use crate::guess::Guesses;
use crate::{BELOW_HEAD_M, CEILING_M, Piece, What};
use plan::{DeviceKind, Level};
use units::Lengths;

/// How far before its wall a device hangs, metres (our own choice: to count to its room).
const BEFORE_FACE_M: f64 = 0.03;

/// What a sort of device is in a plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeviceSort {
    /// Its word in a list.
    pub word: &'static str,
    /// Its kind.
    pub kind: DeviceKind,
    /// Its property `device`, if that says more than the kind.
    pub device: Option<&'static str>,
    /// Its usual role.
    pub role: Option<&'static str>,
    /// Its usual height above the floor, metres; a negative one counts down from the ceiling.
    pub height_m: f64,
}

/// The sorts of devices. (Roles and heights: common practice, no source.)
pub const SORTS: [DeviceSort; 12] = [
    sensor("contact", "perimeter", 1.9),
    sensor("motion", "interior", 2.2),
    sensor("smoke", "fire", -0.05),
    sensor("heat", "fire", -0.05),
    sensor("co", "carbon-monoxide", 1.5),
    sensor("leak", "24-hour", 0.05),
    sensor("glass-break", "perimeter", 2.0),
    sensor("shock", "perimeter", 1.2),
    bare(DeviceKind::Panel, 1.5),
    bare(DeviceKind::Keypad, 1.4),
    bare(DeviceKind::Siren, 2.2),
    bare(DeviceKind::Repeater, 0.3),
];

const fn sensor(word: &'static str, role: &'static str, height_m: f64) -> DeviceSort {
    let (device, role) = (Some(word), Some(role));
    DeviceSort { word, kind: DeviceKind::Sensor, device, role, height_m }
}

const fn bare(kind: DeviceKind, height_m: f64) -> DeviceSort {
    DeviceSort { word: kind.word(), kind, device: None, role: None, height_m }
}

/// The sort of a word; a contact where there is none.
fn facts(word: &str) -> DeviceSort {
    SORTS.into_iter().find(|sort| sort.word == word).unwrap_or(SORTS[0])
}

/// A number in the panel belongs to one device.
pub(super) fn check_numbers(devices: &[DeviceLine], notes: &mut Notes) {
    let mut taken: BTreeMap<u32, usize> = BTreeMap::new();
    for device in devices.iter().filter(|device| device.sort != "outlet") {
        let Some(number) = device.number else { continue };
        if let Some(first) = taken.get(&number) {
            let what = format!("the device of line {first} already has number {number}");
            notes.say(device.line, what, "give each device its own number, or none");
        } else {
            taken.insert(number, device.line);
        }
    }
}

/// What was taken of devices because no line says it.
pub(super) fn report(devices: &[DeviceLine], lengths: Lengths, guesses: &mut Guesses) {
    let sensors = devices.iter().filter(|device| device.sort != "outlet");
    let sensors = sensors.filter(|device| facts(&device.sort).device.is_some());
    let without_place = devices.iter().filter(|device| match device.spot {
        None => true,
        Some(Spot::Wall(_)) => device.sort != "contact" && device.at_m.is_none(),
        Some(_) => false,
    });
    let taken = "put in the middle of their room or wall";
    let fix =
        format!("say where: motion Hall back-left, keypad Hall left at {}", lengths.typed(1.2));
    guesses.add("places of devices", taken, fix, without_place.count());
    guesses.add(
        "heights of devices",
        format!(
            "usual heights: a contact just below the head, motion at {}, smoke at \
             the ceiling",
            lengths.tape(2.2)
        ),
        format!("write height {}", lengths.typed(1.5)),
        devices.iter().filter(|device| device.height_m.is_none()).count(),
    );
    guesses.add(
        "roles of sensors",
        "usual roles: a contact on an entry is entry-exit, on another outside wall perimeter, \
         else interior",
        "write role interior",
        sensors.filter(|device| device.role.is_none()).count(),
    );
}

pub(super) struct House<'h> {
    pub(super) names: &'h [String],
    pub(super) walls: &'h Walls<'h>,
    pub(super) openings: &'h [PlacedOpening],
    pub(super) levels: &'h [Level],
    /// Constructions of metal.
    pub(super) metal: &'h BTreeSet<String>,
}

/// Hangs a device; a fault if it has no place.
pub(super) fn hang(device: &DeviceLine, house: &House<'_>, notes: &mut Notes) -> Option<Piece> {
    let room = house.walls.list.room_named(&device.room, device.line, notes)?;
    let place = &house.walls.placed[room];
    let name = &house.walls.list.rooms[room].name;
    let level = house.levels.iter().find(|level| level.number == place.level);
    let ceiling_m = level.map_or(CEILING_M, |level| level.ceiling_m - level.floor_m);
    let DeviceSort { kind, device: sort, role, height_m: usual_m, .. } = facts(&device.sort);
    let usual_m = if usual_m < 0.0 { ceiling_m + usual_m } else { usual_m };
    let mut hung = Hung {
        at: spot_of(device, place, house.walls.list, notes)?,
        height_m: usual_m.min(ceiling_m),
        role,
        mount: None,
        name: format!("{name} {}", device.sort),
    };
    if device.sort == "contact" {
        hung = contact(device, room, house, notes)?;
    }
    let height_m = device.height_m.unwrap_or(hung.height_m);
    if height_m > ceiling_m + 1e-9 {
        let [height, ceiling] = [height_m, ceiling_m].map(|m| house.walls.list.shown(m));
        let what = format!("the height, {height}, is above the ceiling, {ceiling}");
        notes.say(device.line, what, "measure heights from the floor of the room");
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
            mount: device.mount.clone().or_else(|| hung.mount.map(str::to_owned)),
            supervised: None,
        }
    };
    let own_name = device.name.clone().unwrap_or(hung.name);
    let is_named = device.sort != "outlet" || device.name.is_some();
    let piece = Piece::new(own_name.clone(), place.level, Point(hung.at), what);
    Some(piece.named(is_named.then_some(own_name)))
}

struct Hung {
    at: Coord<f64>,
    height_m: f64,
    role: Option<&'static str>,
    mount: Option<&'static str>,
    name: String,
}

fn spot_of(
    device: &DeviceLine,
    place: &Placed,
    list: &List,
    notes: &mut Notes,
) -> Option<Coord<f64>> {
    let before = place.half_m + BEFORE_FACE_M;
    let edge = |side: RoomSide| match side {
        RoomSide::Front | RoomSide::Left => place.edge(side) + before,
        RoomSide::Back | RoomSide::Right => place.edge(side) - before,
    };
    let middle = place.middle();
    let Some(Spot::Wall(side)) = device.spot else {
        return Some(match device.spot {
            Some(Spot::Corner(across, deep)) => Coord { x: edge(across), y: edge(deep) },
            _ => middle,
        });
    };
    let level = matches!(side, RoomSide::Front | RoomSide::Back);
    let (usual, length) = if level {
        (middle.x, place.right - place.left - 2.0 * place.half_m)
    } else {
        (middle.y, place.back - place.front - 2.0 * place.half_m)
    };
    let along = device.at_m.map_or(usual, |at_m| place.inner_corner(level) + at_m);
    if device.at_m.is_some_and(|at_m| at_m > length + 1e-6) {
        let fix = "measure at from the left corner of a front or back wall, else from the front \
                   corner";
        notes.say(device.line, format!("the wall is only {} long", list.shown(length)), fix);
        return None;
    }
    Some(if level { Coord { x: along, y: edge(side) } } else { Coord { x: edge(side), y: along } })
}

/// A contact sits at the far end of a door or window of its wall, on the room's side.
fn contact(device: &DeviceLine, room: usize, house: &House<'_>, notes: &mut Notes) -> Option<Hung> {
    let of = match (&device.other, device.spot) {
        (Some(other), _) => WallOf::Between(device.room.clone(), other.clone()),
        (None, Some(Spot::Wall(side))) => WallOf::Side(device.room.clone(), side),
        _ => {
            notes.say(
                device.line,
                "on which wall is the contact?",
                "write front, right, back or left after the room, or the room on the other side",
            );
            return None;
        }
    };
    let (_, walls) = house.walls.which(&of, device.line, notes)?;
    let listed = &house.walls.list.openings;
    let on_wall = house.openings.iter().filter(|opening| walls.contains(&opening.run));
    let on_wall = on_wall.filter(|opening| listed[opening.listed].fill != Fill::Gap);
    let on_wall: Vec<&PlacedOpening> = on_wall.collect();
    let place = &house.walls.placed[room];
    let off = |opening: &PlacedOpening| {
        let run = &house.walls.runs[opening.run];
        let corner = place.inner_corner(run.is_level());
        let (from, to) = run.span_of(opening.line);
        let at = device.at_m.map_or(0.0, |at_m| corner + at_m);
        (from - at).max(at - to).max(0.0)
    };
    let mut near = on_wall.clone();
    if device.at_m.is_some() {
        near.retain(|opening| off(opening) < 0.5);
        near.sort_by(|a, b| off(a).total_cmp(&off(b)));
        near.truncate(1);
    }
    let &[opening] = near.as_slice() else {
        let (mut what, mut fix) = (
            "this wall has more than one door or window",
            "say which with at, as in the line of the door or window",
        );
        if on_wall.is_empty() {
            what = "this wall has no door or window";
            fix = "list the door or window first: door ROOM front 0.9";
        }
        notes.say(device.line, what, fix);
        return None;
    };
    let listed = &listed[opening.listed];
    let is_metal = house.metal.contains(listed.construction());
    if is_metal && device.mount.is_none() {
        let taken = "taken as mounted on metal, which costs 10 dB, because the leaf is metal";
        notes.guesses.add("contacts on metal doors", taken, "mount frame", 1);
    }
    let run = &house.walls.runs[opening.run];
    let is_on = |side| is_on(run, place, side);
    let (x, y) = match run.is_level() {
        true if is_on(RoomSide::Front) => (0.0, 1.0),
        true => (0.0, -1.0),
        false if is_on(RoomSide::Left) => (1.0, 0.0),
        false => (-1.0, 0.0),
    };
    let is_outside = run.rooms.len() == 1;
    let role = match (listed.entry, is_outside) {
        (true, _) => "entry-exit",
        (false, true) => "perimeter",
        (false, false) => "interior",
    };
    Some(Hung {
        at: opening.line.end + Coord { x, y } * 0.1,
        height_m: (listed.head() - BELOW_HEAD_M).max(listed.sill()),
        role: Some(role),
        mount: Some(if is_metal { "metal" } else { "frame" }),
        name: format!("{} {}", house.walls.list.rooms[room].name, listed.fill.word()),
    })
}
