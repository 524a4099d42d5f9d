//! A contact at every door and window that leads outside, for a draft that has none.

use std::collections::BTreeSet;

use geo::{Coord, Geometry, Line, Point};

use super::line::length;
use super::{BELOW_HEAD_M, Draft, Guess, HEAD_M, Piece, SILL_M, What};
use plan::DeviceKind;

/// Certainly beside the middle of a wall, metres: more than half of a thick one (our own choice).
const BESIDE_M: f64 = 0.45;
/// How far inside the middle of its wall a contact sits, metres (common practice, no source).
const INSIDE_M: f64 = 0.1;
/// A device nearer than this to an opening serves it already, metres (our own choice).
const SERVED_M: f64 = 0.6;

/// What is round an opening, asked of the caller.
pub struct Surroundings<'a> {
    /// Whether a place on a level, metres, lies inside the building.
    pub indoors: &'a dyn Fn(i32, Coord<f64>) -> bool,
    /// Whether a construction is metal: a contact on it costs 10 dB.
    pub is_metal: &'a dyn Fn(&str) -> bool,
    /// Name of the room at a place on a level, where it has one.
    pub room: &'a dyn Fn(i32, Coord<f64>) -> Option<String>,
}

impl std::fmt::Debug for Surroundings<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("Surroundings")
    }
}

struct Way {
    level: i32,
    at: Coord<f64>,
    height_m: f64,
    entry: bool,
    is_metal: bool,
    name: String,
    room: Option<String>,
}

/// Adds a contact, numbered, at every opening of the lowest storeys (all up to level 0, else the
/// lowest) that leads outside and has no device near; gives how many. Doors by which people come in
/// come first and are entry/exit, the rest perimeter; all are supervised (common practice, no
/// source).
pub fn propose_contacts(draft: &mut Draft, around: &Surroundings<'_>) -> usize {
    let lowest = draft.pieces.iter().map(|piece| piece.level).min();
    let top = lowest.unwrap_or(0).max(0);
    let (mut devices, mut taken, mut names) = (Vec::new(), BTreeSet::new(), BTreeSet::new());
    for piece in &draft.pieces {
        if let (What::Device { number, .. }, Geometry::Point(at)) = (&piece.what, &piece.shape) {
            devices.push((piece.level, at.0));
            taken.extend(*number);
        }
    }
    let mut ways: Vec<Way> = Vec::new();
    for piece in draft.pieces.iter().filter(|piece| piece.level <= top) {
        let level = draft.levels.iter().find(|level| level.number == piece.level);
        let floor_m = level.map_or(0.0, |level| level.floor_m);
        let Some(mut way) = way_out(piece, around, floor_m) else { continue };
        let serves = |level, at| level == way.level && length(Line::new(way.at, at)) < SERVED_M;
        if devices.iter().any(|&(level, at)| serves(level, at)) {
            continue;
        }
        // The second window of a room is "Kitchen window 2".
        let plain = way.name.clone();
        let mut count = 1;
        while !names.insert(way.name.clone()) {
            count += 1;
            way.name = format!("{plain} {count}");
        }
        ways.push(way);
    }
    ways.sort_by_key(|way| !way.entry);
    let added = ways.len();
    let on_metal = ways.iter().filter(|way| way.is_metal).count();
    let free = (1..).filter(|number| !taken.contains(number));
    draft.pieces.extend(ways.into_iter().zip(free).map(|(way, number)| contact(way, number)));
    if added > 0 {
        let taken = format!("put at every outside opening up to level {top}, as --contacts asks");
        let fix = "move, rename or remove them in the plan; `drillonce place` then finds a spot \
                   for the panel";
        draft.guesses.push(Guess::new("contacts", taken, fix, added));
    }
    if on_metal > 0 {
        let taken = "taken as mounted on metal, which costs 10 dB, because the leaf is metal";
        let fix = "give them \"mount\": \"frame\" if they sit beside the leaf";
        draft.guesses.push(Guess::new("contacts on metal doors", taken, fix, on_metal));
    }
    added
}

/// The opening as a way out, if one side of it lies inside and the other does not.
fn way_out(piece: &Piece, around: &Surroundings<'_>, floor_m: f64) -> Option<Way> {
    let What::Opening { construction, entry, base_m, top_m, .. } = &piece.what else { return None };
    let line = match &piece.shape {
        Geometry::Line(line) => *line,
        Geometry::LineString(line) => Line::new(*line.0.first()?, *line.0.last()?),
        _ => return None,
    };
    let (run, long) = (line.delta(), length(line));
    if long <= 0.0 {
        return None;
    }
    let beside = Coord { x: -run.y / long, y: run.x / long };
    let middle = line.start + run * 0.5;
    let (left, right) = (middle + beside * BESIDE_M, middle - beside * BESIDE_M);
    let inside = |at| (around.indoors)(piece.level, at);
    let (inner, into) = match (inside(left), inside(right)) {
        (true, false) => (left, beside),
        (false, true) => (right, beside * -1.0),
        _ => return None,
    };
    let room = (around.room)(piece.level, inner);
    let is_window = base_m.is_some_and(|base_m| base_m - floor_m > 0.3);
    let what = if is_window { "window" } else { "door" };
    let name = piece.name.clone().unwrap_or_else(|| match &room {
        Some(room) => format!("{room} {what}"),
        None if is_window => "Window".to_owned(),
        None => "Door".to_owned(),
    });
    let head_m = top_m.map_or(HEAD_M, |top_m| top_m - floor_m);
    Some(Way {
        level: piece.level,
        at: line.end + into * INSIDE_M,
        height_m: (head_m - BELOW_HEAD_M).max(SILL_M.min(head_m)),
        entry: *entry,
        is_metal: (around.is_metal)(construction),
        name,
        room,
    })
}

fn contact(way: Way, number: u32) -> Piece {
    let role = if way.entry { "entry-exit" } else { "perimeter" };
    let what = What::Device {
        kind: DeviceKind::Sensor,
        height_m: Some(way.height_m),
        device: Some("contact".to_owned()),
        role: Some(role.to_owned()),
        number: Some(number),
        room: way.room,
        mount: Some(if way.is_metal { "metal" } else { "frame" }.to_owned()),
        supervised: None,
    };
    let id = format!("contact {}", way.name);
    Piece::new(id, way.level, Point(way.at), what).named(Some(way.name))
}
