//! What the lines of a list say, before anything is placed.

use std::collections::BTreeMap;

use super::cursor::Slip;
use crate::guess::Guesses;
use crate::{DOOR, DraftUnit, HEAD_M, SILL_M, WINDOW};
use input::{Diagnostic, MAX_LISTED, did_you_mean, quoted};
use units::Length;

/// A side of a room, as the plan is drawn: the front at the bottom.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum RoomSide {
    Front,
    Right,
    Back,
    Left,
}

impl RoomSide {
    pub(super) fn of(word: &str) -> Option<Self> {
        Some(match word {
            "front" => Self::Front,
            "right" => Self::Right,
            "back" => Self::Back,
            "left" => Self::Left,
            _ => return None,
        })
    }
}

/// A wall that is not built like the others, or not there.
pub(super) struct WallLine {
    pub(super) line: usize,
    pub(super) of: WallOf,
    /// Nothing for no wall.
    pub(super) construction: Option<String>,
}

pub(super) enum WallOf {
    Side(String, RoomSide),
    Between(String, String),
}

#[derive(Clone, Default, PartialEq)]
pub(super) struct LevelLine {
    pub(super) line: usize,
    pub(super) number: i32,
    pub(super) name: String,
    pub(super) floor_m: Option<f64>,
    pub(super) ceiling_m: Option<f64>,
}

#[derive(Default)]
pub(super) struct List {
    pub(super) name: String,
    pub(super) unit: DraftUnit,
    pub(super) link: Option<String>,
    pub(super) outside: Option<String>,
    pub(super) inside: Option<String>,
    /// Construction of the floors between storeys, where a line says it.
    pub(super) floors: Option<String>,
    pub(super) stairs: Vec<StairsLine>,
    pub(super) levels: Vec<LevelLine>,
    pub(super) rooms: Vec<RoomLine>,
    /// Index of each room by its name in small letters.
    pub(super) by_name: BTreeMap<String, usize>,
    pub(super) walls: Vec<WallLine>,
    pub(super) openings: Vec<OpeningLine>,
    pub(super) devices: Vec<DeviceLine>,
}

impl List {
    /// A length for a message, in the unit of the list.
    pub(super) fn shown(&self, metres: f64) -> Length {
        self.unit.lengths().fine(metres)
    }

    pub(super) fn find_room(&self, name: &str) -> Option<usize> {
        self.by_name.get(&name.to_lowercase()).copied()
    }

    pub(super) fn room_named(&self, name: &str, line: usize, notes: &mut Notes) -> Option<usize> {
        let found = self.find_room(name);
        if found.is_none() {
            let near = did_you_mean(name, self.rooms.iter().map(|room| room.name.as_str()));
            let fix = "give it a line: room NAME WIDTH x DEPTH";
            let what = format!("there is no room {}", quoted(name));
            notes.say(line, what, near.unwrap_or_else(|| fix.to_owned()));
        }
        found
    }
}

pub(super) struct Beside {
    /// The room that it is placed by.
    pub(super) room: String,
    /// On which side of that one; nothing for right above it.
    pub(super) side: Option<RoomSide>,
    /// Shifted to the back, or to the right, metres.
    pub(super) shift_m: f64,
    /// Whether it is flush with the far corner (back or right) and not with the near one.
    pub(super) flush_far: bool,
}

pub(super) struct RoomLine {
    pub(super) line: usize,
    pub(super) name: String,
    pub(super) level: i32,
    /// Left to right between the faces of walls, metres.
    pub(super) width_m: f64,
    /// Front to back between the faces of walls, metres.
    pub(super) depth_m: f64,
    pub(super) beside: Option<Beside>,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    Door,
    Window,
    Gap,
}

impl Fill {
    pub(super) const fn word(self) -> &'static str {
        ["door", "window", "gap"][self as usize]
    }
}

pub(super) struct OpeningLine {
    pub(super) line: usize,
    pub(super) fill: Fill,
    pub(super) of: WallOf,
    pub(super) width_m: f64,
    /// From the left, or the front, corner of the room that is named first.
    pub(super) at_m: Option<f64>,
    pub(super) entry: bool,
    pub(super) open: bool,
    pub(super) construction: Option<String>,
    /// Above the floor, metres.
    pub(super) sill_m: Option<f64>,
    /// Above the floor, metres.
    pub(super) head_m: Option<f64>,
}

impl OpeningLine {
    /// Height of the sill above the floor, metres.
    pub(super) fn sill(&self) -> f64 {
        let usual = if self.fill == Fill::Window { SILL_M } else { 0.0 };
        self.sill_m.unwrap_or(usual)
    }

    /// Height of the head above the floor, metres.
    pub(super) fn head(&self) -> f64 {
        self.head_m.unwrap_or(HEAD_M)
    }

    pub(super) fn construction(&self) -> &str {
        let usual = if self.fill == Fill::Window { WINDOW } else { DOOR };
        self.construction.as_deref().unwrap_or(usual)
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Spot {
    Middle,
    Wall(RoomSide),
    Corner(RoomSide, RoomSide),
}

#[derive(Clone, Default, PartialEq)]
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
    pub(super) mount: Option<String>,
}

/// A flight of stairs along a wall of a room, up to the next level.
pub(super) struct StairsLine {
    pub(super) line: usize,
    pub(super) room: String,
    pub(super) side: RoomSide,
    /// Across and along the wall, metres.
    pub(super) width_m: f64,
    pub(super) length_m: f64,
    /// From the left, or the front, corner; `None` begins in it.
    pub(super) at_m: Option<f64>,
    /// Whether one climbs towards that corner and not away from it.
    pub(super) is_reversed: bool,
}

#[derive(Default)]
pub(super) struct Notes {
    pub(super) file: String,
    pub(super) faults: Vec<Diagnostic>,
    pub(super) guesses: Guesses,
}

impl Notes {
    /// Notes what is wrong in a line; the column is 0 for the whole line.
    pub(super) fn note(&mut self, line: usize, slip: Slip) {
        if self.faults.len() < MAX_LISTED {
            let place = (line, slip.column.max(1));
            self.faults.push(Diagnostic::at(&self.file, place, slip.what, slip.fix));
        }
    }

    /// Notes what is wrong with a whole line.
    pub(super) fn say(&mut self, line: usize, what: impl Into<String>, fix: impl Into<String>) {
        self.note(line, Slip::new(1, what.into(), fix.into()));
    }

    /// What was assumed; all faults in order of place, if there are any.
    pub(super) fn finish(mut self) -> Result<Guesses, Vec<Diagnostic>> {
        self.faults.sort_by_key(|fault| (fault.line, fault.column));
        if self.faults.is_empty() { Ok(self.guesses) } else { Err(self.faults) }
    }
}
