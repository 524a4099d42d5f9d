//! Doors, windows and gaps: their lines, and where on a wall they come to lie.

use geo::Line;

use super::cursor::{Cursor, Slip};
use super::list::{List, RoomSide, Slips, WallOf, known_name, shown};
use super::place::Placed;
use super::walls::{Run, which_runs};
use crate::{DOOR, HEAD_M, SILL_M, WINDOW};
use plan::quoted;

/// Lowest opening from sill to head, metres (our own choice: a slip of the thumb stands out).
const LOWEST_M: f64 = 0.01;

/// What fills a hole in a wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fill {
    Door,
    Window,
    Gap,
}

impl Fill {
    /// Its word.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Door => "door",
            Self::Window => "window",
            Self::Gap => "gap",
        }
    }
}

/// A door, window or gap as listed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct OpeningLine {
    pub(super) line: usize,
    pub(super) fill: Fill,
    pub(super) of: WallOf,
    pub(super) width_m: f64,
    /// From the corner of the room that is named first: the left one of a front or back wall, the front one
    /// of others.
    pub(super) at_m: Option<f64>,
    pub(super) entry: bool,
    pub(super) open: bool,
    pub(super) construction: Option<String>,
    /// Above the floor, metres.
    pub(super) sill_m: Option<f64>,
    /// Above the floor, metres.
    pub(super) head_m: Option<f64>,
}

/// An opening on its wall.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlacedOpening {
    /// Index of its line.
    pub(super) listed: usize,
    /// Index of its run of wall.
    pub(super) run: usize,
    /// From end to end on the run's middle line.
    pub(super) line: Line<f64>,
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
    if !(0.1..=20.0).contains(&width_m) {
        return Err(Slip {
            column,
            what: format!("a {word} {} m wide is not from 0.1 to 20 m", shown(width_m)),
            mend: "check the unit and the point".to_owned(),
        });
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
        return Err(cursor.slip(
            format!(
                "the sill, {} m, is not below the head, {} m",
                shown(opening.sill()),
                shown(opening.head())
            ),
            "both count from the floor",
        ));
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
        return Err(cursor.slip(
            "which wall?",
            "write the room and front, right, back or left; or the two rooms on its sides",
        ));
    }
    Ok(WallOf::Between(room, cursor.name()?))
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

    /// What fills it.
    pub(super) fn construction(&self) -> &str {
        let usual = if self.fill == Fill::Window { WINDOW } else { DOOR };
        self.construction.as_deref().unwrap_or(usual)
    }
}

/// Puts every opening on its wall; those that do not fit are faults.
pub(super) fn place_openings(
    list: &List,
    placed: &[Placed],
    runs: &[Run],
    slips: &mut Slips<'_>,
) -> Vec<PlacedOpening> {
    let mut found: Vec<PlacedOpening> = Vec::new();
    for (listed, opening) in list.openings.iter().enumerate() {
        let Some((room, candidates)) =
            which_runs(&opening.of, list, placed, runs, opening.line, slips)
        else {
            continue;
        };
        match fitting(opening, &placed[room], &candidates, runs) {
            Ok((run, from, to)) => {
                let line = runs[run].piece(from, to);
                let other = found.iter().find(|other| {
                    other.run == run && {
                        let (start, end) = runs[run].span_of(other.line);
                        from.max(start) < to.min(end) - 0.001
                    }
                });
                if let Some(other) = other {
                    let first = list.openings.get(other.listed).map_or(0, |first| first.line);
                    slips.say(
                        opening.line,
                        format!(
                            "this {} overlaps the {} of line {first}",
                            opening.fill.word(),
                            list.openings[other.listed].fill.word()
                        ),
                        "say where each begins with at; a door between two rooms is listed once",
                    );
                    continue;
                }
                found.push(PlacedOpening { listed, run, line });
            }
            Err((what, mend)) => slips.say(opening.line, what, mend),
        }
    }
    found
}

/// The run on which an opening fits, with its ends along it.
fn fitting(
    opening: &OpeningLine,
    room: &Placed,
    candidates: &[usize],
    runs: &[Run],
) -> Result<(usize, f64, f64), (String, String)> {
    /// Two sums of rounding must not decide whether a door fits.
    const HAIR_M: f64 = 1e-6;
    let width_m = opening.width_m;
    let word = opening.fill.word();
    if let Some(at_m) = opening.at_m {
        let corner = candidates.first().map_or(0.0, |&run| room.inner_corner(runs[run].is_level()));
        let (from, to) = (corner + at_m, corner + at_m + width_m);
        let fits = candidates.iter().copied().find(|&run| {
            let (start, end) = runs[run].clear;
            from >= start - HAIR_M && to <= end + HAIR_M
        });
        return fits.map(|run| (run, from, to)).ok_or_else(|| {
            let pieces: Vec<String> = candidates
                .iter()
                .map(|&run| {
                    let (start, end) = runs[run].clear;
                    format!("{} to {}", shown(start - corner), shown(end - corner))
                })
                .collect();
            (
                format!(
                    "from {} to {} m the {word} does not lie on one wall",
                    shown(at_m),
                    shown(at_m + width_m)
                ),
                format!(
                    "walls run from {} m there, measured from the room's corner",
                    pieces.join(", and from ")
                ),
            )
        });
    }
    // In the middle of the longest wall.
    let length = |run: usize| runs[run].clear.1 - runs[run].clear.0;
    let longest = candidates
        .iter()
        .copied()
        .reduce(|best, run| if length(run) > length(best) + HAIR_M { run } else { best });
    let Some(run) = longest.filter(|&run| length(run) >= width_m - HAIR_M) else {
        let longest = longest.map_or(0.0, length);
        return Err((
            format!(
                "the {word} is {} m wide, but its wall is only {} m long",
                shown(width_m),
                shown(longest)
            ),
            "check the width, and the sizes of the rooms".to_owned(),
        ));
    };
    let (start, end) = runs[run].clear;
    let from = (start + end - width_m) / 2.0;
    Ok((run, from, from + width_m))
}

/// A room by its name, whatever the case.
pub(super) fn find_room(list: &List, name: &str) -> Option<usize> {
    list.by_name.get(&name.to_lowercase()).copied()
}

/// A room by its name, or a fault.
pub(super) fn room_named(
    list: &List,
    name: &str,
    line: usize,
    slips: &mut Slips<'_>,
) -> Option<usize> {
    let found = find_room(list, name);
    if found.is_none() {
        let known = list.rooms.iter().map(|room| room.name.as_str());
        let near = plan::nearest(name, known.clone());
        let near = near.map_or_else(
            || "every room has a line of its own: room NAME WIDTH x DEPTH".to_owned(),
            |near| format!("did you mean {}?", quoted(near)),
        );
        slips.say(line, format!("there is no room {}", quoted(name)), near);
    }
    found
}
