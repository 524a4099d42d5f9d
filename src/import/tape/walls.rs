//! Walls of rooms that have their place: what two share is one inside wall, the rest outside walls.

use std::collections::BTreeMap;

use geo::{Coord, Line};

use super::list::{List, Notes, RoomSide, WallOf};
use super::place::Placed;
use crate::{Outline, Settings, Side, sides};

/// Places nearer than this are one, metres: rounding, nothing else.
const HAIR_M: f64 = 1e-6;
/// Shortest wall, metres: rounded to a millimetre, as in a plan, it must not come to nothing.
const SHORTEST_M: f64 = 0.002;

pub(super) struct Run {
    pub(super) level: i32,
    /// The rooms on its sides: one for an outside wall, two for an inside one.
    pub(super) rooms: Vec<usize>,
    /// From end to end on its middle, to the right or to the back.
    pub(super) line: Line<f64>,
    /// What of it lies between the faces of the walls at its ends: x, or y, in metres.
    pub(super) clear: (f64, f64),
    pub(super) construction: String,
    /// From end to end, metres; below zero while the walls at its ends have passed one another.
    length_m: f64,
}

impl Run {
    pub(super) fn is_level(&self) -> bool {
        is_level(self.line)
    }

    /// A piece of it from x to x, or y to y.
    pub(super) fn piece(&self, from: f64, to: f64) -> Line<f64> {
        let Coord { x, y } = self.line.start;
        laid(self.is_level(), if self.is_level() { y } else { x }, from, to)
    }

    /// From where to where such a piece reaches.
    pub(super) fn span_of(&self, piece: Line<f64>) -> (f64, f64) {
        if self.is_level() { (piece.start.x, piece.end.x) } else { (piece.start.y, piece.end.y) }
    }
}

fn is_level(line: Line<f64>) -> bool {
    line.dx().abs() > line.dy().abs()
}

/// The line from x to x at an y, or from y to y at an x.
fn laid(is_level: bool, off: f64, from: f64, to: f64) -> Line<f64> {
    let at = |along| if is_level { Coord { x: along, y: off } } else { Coord { x: off, y: along } };
    Line::new(at(from), at(to))
}

/// A corner as a key: rounded far below a hair.
fn key(level: i32, at: Coord<f64>) -> (i32, i64, i64) {
    #[expect(clippy::cast_possible_truncation, reason = "within two kilometres")]
    let whole = |metres: f64| (metres / HAIR_M).round() as i64;
    (level, whole(at.x), whole(at.y))
}

/// The room that a line names first, and the runs that it means.
type Meant = (usize, Vec<usize>);

/// A list with its rooms in their places, and the walls around them.
pub(super) struct Walls<'l> {
    pub(super) list: &'l List,
    pub(super) placed: &'l [Placed],
    pub(super) runs: Vec<Run>,
}

/// All walls. Outside walls are pushed out until their inner faces bound the rooms as measured, if
/// they are thicker than inside walls; every end reaches the wall that it meets.
pub(super) fn walls<'l>(
    list: &'l List,
    placed: &'l [Placed],
    settings: &Settings,
    notes: &mut Notes,
) -> Walls<'l> {
    let outlines: Vec<Outline> =
        placed.iter().map(|place| Outline { level: place.level, area: place.outline() }).collect();
    let outside = list.outside.as_deref().unwrap_or_else(|| settings.outside());
    let inside = list.inside.as_deref().unwrap_or_else(|| settings.inside());
    let runs = sides(&outlines, HAIR_M).into_iter().map(|side| {
        let construction = if side.owners.len() == 1 { outside } else { inside };
        run(side, placed, construction)
    });
    let mut walls = Walls { list, placed, runs: runs.collect() };
    for wall in &list.walls {
        let Some(construction) = &wall.construction else { continue };
        for run in walls.which(&wall.of, wall.line, notes).into_iter().flat_map(|(_, runs)| runs) {
            walls.runs[run].construction.clone_from(construction);
        }
    }
    let runs = &mut walls.runs;
    let pushed: Vec<f64> = runs.iter().map(|run| across(run, placed, settings)).collect();
    let mut at_corner: BTreeMap<(i32, i64, i64), Vec<usize>> = BTreeMap::new();
    for (number, run) in runs.iter().enumerate() {
        for end in [run.line.start, run.line.end] {
            at_corner.entry(key(run.level, end)).or_default().push(number);
        }
    }
    let reach = |number: usize, end: Coord<f64>, grow: bool| {
        let run = &runs[number];
        let met = at_corner.get(&key(run.level, end)).into_iter().flatten();
        let met = met.filter(|&&other| runs[other].is_level() != run.is_level());
        let places = met.map(|&other| pushed[other]);
        let own = if run.is_level() { end.x } else { end.y };
        // The farthest of the walls that it meets, so that it leaves no gap to any.
        let farthest = if grow { places.reduce(f64::max) } else { places.reduce(f64::min) };
        farthest.unwrap_or(own)
    };
    let moved = |(number, run): (usize, &Run)| {
        let (from, to) = (reach(number, run.line.start, false), reach(number, run.line.end, true));
        laid(run.is_level(), pushed[number], from, to)
    };
    let lines: Vec<Line<f64>> = runs.iter().enumerate().map(moved).collect();
    for (run, line) in runs.iter_mut().zip(lines) {
        // Where an outside wall is thicker than inside walls, it takes from the room at an inner
        // corner.
        let (from, to) = run.span_of(line);
        run.line = line;
        run.clear = (run.clear.0.max(from), run.clear.1.min(to));
        run.length_m = to - from;
    }
    // The walls at its ends have met: in a slit between rooms, or where rooms share less than a
    // wall.
    runs.retain(|run| run.length_m >= SHORTEST_M);
    walls
}

/// A side of outlines as a run that goes right or back.
fn run(side: Side, placed: &[Placed], construction: &str) -> Run {
    let Line { start, end } = side.line;
    let forward = if is_level(side.line) { start.x < end.x } else { start.y < end.y };
    let line = if forward { side.line } else { Line::new(end, start) };
    let half_m = side.owners.first().map_or(0.0, |&room| placed[room].half_m);
    let (from, to) =
        if is_level(line) { (line.start.x, line.end.x) } else { (line.start.y, line.end.y) };
    Run {
        level: side.level,
        rooms: side.owners,
        line,
        clear: (from + half_m, to - half_m),
        construction: construction.to_owned(),
        length_m: to - from,
    }
}

/// Where the middle of a run comes to lie: y of one that runs left to right, else x.
fn across(run: &Run, placed: &[Placed], settings: &Settings) -> f64 {
    let line = run.line;
    let at = if run.is_level() { line.start.y } else { line.start.x };
    let [room] = run.rooms.as_slice() else { return at };
    let place = &placed[*room];
    let (low, high) =
        if run.is_level() { (place.front, place.back) } else { (place.left, place.right) };
    let outwards = settings.thickness_m(&run.construction) / 2.0 - place.half_m;
    if (at - low).abs() < (at - high).abs() { at - outwards } else { at + outwards }
}

impl Walls<'_> {
    /// The runs that a line means, with the room that it names first; a fault if there are none.
    pub(super) fn which(&self, of: &WallOf, line: usize, notes: &mut Notes) -> Option<Meant> {
        let numbers = |fits: &dyn Fn(&Run) -> bool| {
            (0..self.runs.len()).filter(|number| fits(&self.runs[*number])).collect::<Vec<_>>()
        };
        match of {
            WallOf::Side(room, side) => {
                let room = self.list.room_named(room, line, notes)?;
                let on_side =
                    |run: &Run| run.rooms.contains(&room) && is_on(run, &self.placed[room], *side);
                Some((room, numbers(&on_side)))
            }
            WallOf::Between(first, second) => {
                let first = self.list.room_named(first, line, notes);
                let second = self.list.room_named(second, line, notes);
                let (first, second) = (first?, second?);
                let chosen = numbers(&|run| {
                    run.rooms.contains(&first) && run.rooms.contains(&second) && first != second
                });
                if chosen.is_empty() {
                    let name = |room: usize| &self.list.rooms[room].name;
                    let what = format!("{} and {} share no wall", name(first), name(second));
                    let fix = "check where the rooms are, or name one room and its side";
                    notes.say(line, what, fix);
                    return None;
                }
                Some((first, chosen))
            }
        }
    }
}

pub(super) fn is_on(run: &Run, place: &Placed, side: RoomSide) -> bool {
    let level_side = matches!(side, RoomSide::Front | RoomSide::Back);
    // Runs may have been pushed out already, never by as much as half the room.
    let (at, both) = if level_side {
        (run.line.start.y, place.front + place.back)
    } else {
        (run.line.start.x, place.left + place.right)
    };
    let edge = place.edge(side);
    run.is_level() == level_side && (at - edge).abs() < (at - (both - edge)).abs()
}
