//! Lines of rooms.

use std::collections::BTreeMap;

use super::cursor::{Cursor, Slip};
use super::list::{RoomSide, shown};
use plan::quoted;

/// Most rooms (our own choice).
pub(super) const MAX_ROOMS: usize = 2_000;

/// Widest and deepest room, metres (our own choice: a hall of this size is no job for a list).
const MAX_ROOM_M: f64 = 200.0;

/// Where a room stands.
#[derive(Debug, Clone, PartialEq)]
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

/// A room as measured.
#[derive(Debug, Clone, PartialEq)]
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

/// Reads the rest of a line that begins with `room`. `names` are the rooms so far, in small letters, with their lines.
pub(super) fn room_line(
    line: usize,
    level: i32,
    cursor: &mut Cursor,
    names: &mut BTreeMap<String, usize>,
) -> Result<RoomLine, Slip> {
    let column = cursor.column();
    let name = cursor.name()?;
    if RoomSide::of(&name.to_lowercase()).is_some() {
        return Err(Slip {
            column,
            what: format!("{} is a side's word and cannot be a room's name", quoted(&name)),
            mend: "write \"Front room\" or the like".to_owned(),
        });
    }
    if let Some(first) = names.get(&name.to_lowercase()) {
        return Err(Slip {
            column,
            what: format!("a room {} is there already, in line {first}", quoted(&name)),
            mend: "give each room a name of its own, Bath-2 for example".to_owned(),
        });
    }
    if names.len() >= MAX_ROOMS {
        return Err(cursor.slip(
            format!("the list has more than {MAX_ROOMS} rooms"),
            "make a list for each building",
        ));
    }
    let sizes = cursor.column();
    let (width_m, depth_m) = cursor.size()?;
    for size in [width_m, depth_m] {
        if !(0.3..=MAX_ROOM_M).contains(&size) {
            return Err(Slip {
                column: sizes,
                what: format!("a room of {} m is not from 0.3 to {MAX_ROOM_M} m", shown(size)),
                mend: "check the unit and the point".to_owned(),
            });
        }
    }
    let beside = beside(cursor)?;
    names.insert(name.to_lowercase(), line);
    Ok(RoomLine { line, name, level, width_m, depth_m, beside })
}

/// Where a room stands, if the line says it.
fn beside(cursor: &mut Cursor) -> Result<Option<Beside>, Slip> {
    let side = match cursor.peek_word().as_str() {
        "right-of" => Some(RoomSide::Right),
        "left-of" => Some(RoomSide::Left),
        "behind" => Some(RoomSide::Back),
        "before" => Some(RoomSide::Front),
        "above" => None,
        "" => return Ok(None),
        other => {
            return Err(cursor.slip(
                format!("{} says nothing of where the room is", quoted(other)),
                "write right-of, left-of, behind (above it on the plan), before, or above (a storey up), and a room",
            ));
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
                    return Err(cursor.slip(
                        "flush with which corner?",
                        "rooms side by side are flush front or back, rooms one behind the other flush left or right",
                    ));
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
