//! A list of lengths from a tape measure, room by room, as a plan.
//!
//! One line says one thing; a line begins with its word, `#` begins a remark, case does not count.
//! Lengths are in the unit of `units` (`m`, `ft`) or carry their own (`3.6m`, `360cm`, `12' 6"`).
//! Names are one word, or stand in quotation marks. The front of a room is at the bottom of the
//! plan.
//!
//! What a line says:
//! - `name TEXT`, `units ft`, `link NAME`: of the plan
//! - `walls outside NAME`, `walls inside NAME`: what walls are built of
//! - `level 1 First [floor L] [ceiling L]`, `ceiling L`: a storey begins; its height
//! - `room NAME W x D [right-of|left-of|behind|before|above ROOM] [shift L] [flush back|right]`: a
//!   room between the faces of its walls, flush with its neighbour's front or left
//! - `wall ROOM SIDE NAME`, `wall ROOM ROOM NAME`, `no-wall ROOM ROOM`: a wall that is built
//!   otherwise, or not there
//! - `door|window|gap ROOM SIDE|ROOM W [at L] [entry] [open] [sill L] [head L] [NAME]`: an opening;
//!   `at` counts from the left corner, or the front one
//! - `contact ROOM SIDE|ROOM [at L]`, `motion ROOM back-left`, `panel ROOM left at L`, … `[height
//!   L] [number N] [role ROLE] [mount NAME] [called NAME]`: a device: panel, keypad, siren,
//!   repeater, contact, motion, smoke, heat, co, leak, glass-break, shock; or an outlet
//! - `floors NAME`: what the floors between storeys are built of
//! - `stairs ROOM SIDE [W x L] [at L] [reversed]`: a flight along a wall, up to the next level
//!
//! Not read: slanted and round walls, thickness of single walls (it follows from the
//! construction; an inside wall that is thicker than the others takes half of the difference from
//! either room).

mod cursor;
mod devices;
mod lines;
mod list;
mod openings;
mod parts;
mod place;
mod spaces;
mod storeys;
mod walls;

use std::collections::BTreeMap;

use geo::Point;

use self::cursor::Cursor;
use self::devices::House;
pub use self::devices::{DeviceSort, SORTS};
use self::list::{Fill, List, Notes, OpeningLine, RoomLine};
use self::openings::PlacedOpening;
use self::place::Placed;
use self::walls::{Run, Walls};
use crate::guess::{Guesses, decoded};
use crate::{Draft, HEAD_M, Piece, PlanPoint, SILL_M, Settings, What, whole_file};
use input::{Diagnostic, Diagnostics};
use units::Lengths;

/// Reads a list as a draft.
///
/// # Errors
/// All faults, each with its line: words and names that are not known, rooms in a circle or on top
/// of one another, openings that do not fit their wall, devices without a place.
pub fn draft(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Diagnostic>> {
    let (text, doubt) = decoded(name, bytes)?;
    let guesses = Guesses(Vec::from_iter(doubt));
    let mut notes = Notes { file: name.to_owned(), guesses, ..Notes::default() };
    let list = lines::lines(&text, settings, &mut notes);
    if list.rooms.is_empty() {
        let fix = "write one per line: room Hall 2.0 x 5.0, room Kitchen 3.6 x 4.2 right-of Hall";
        notes.say(1, "the list has no room", fix);
        notes.finish()?;
        return Ok(Draft::default());
    }
    let inside = list.inside.as_deref().unwrap_or_else(|| settings.inside());
    let half_m = settings.thickness_m(inside) / 2.0;
    let levels = storeys::levels(&list, &mut notes);
    let Some(placed) = place::place_rooms(&list, half_m, &mut notes) else {
        notes.finish()?;
        // Only a room beyond all bounds has no place and no fault of its own yet.
        let what = "a room cannot be placed".to_owned();
        return Err(vec![whole_file(name, what, "check the sizes and shifts of the rooms")]);
    };
    let walls = walls::walls(&list, &placed, settings, &mut notes);
    let openings = openings::place_openings(&walls, &mut notes);
    let gone = gone(&walls, &openings, &mut notes);
    let spaces = spaces::spaces(&list, &walls.runs, &gone);
    let names = spaces::names(&list, &spaces);
    spaces::report(&spaces, &names, &mut notes.guesses);
    let metal = &settings.known.vocabulary.metal;
    let house = House { names: &names, walls: &walls, openings: &openings, levels: &levels, metal };
    let devices = list.devices.iter();
    let hung: Vec<Piece> =
        devices.filter_map(|device| devices::hang(device, &house, &mut notes)).collect();
    storeys::check_heads(&list, &levels, &mut notes);
    devices::check_numbers(&list.devices, &mut notes);
    let outside = list.outside.as_deref().unwrap_or_else(|| settings.outside());
    let slabs = storeys::slabs(&list, &placed, &levels, outside, &mut notes);
    let stairs = storeys::stairs(&list, &placed);
    let mut guesses = notes.finish()?;
    let points: BTreeMap<usize, PlanPoint> = openings
        .iter()
        .map(|PlacedOpening { listed, run, line }| {
            let at = (line.start + line.end) * 0.5;
            (*listed, PlanPoint { level: walls.runs[*run].level, at })
        })
        .collect();
    let openings = opening_pieces(&walls, &openings, &levels);
    let rooms = room_pieces(&walls, &spaces, &names);
    let pieces = [wall_pieces(&walls, &gone), openings, slabs, stairs, rooms, hung].concat();
    report(&list, &points, settings, &mut guesses);
    devices::report(&list.devices, list.unit.lengths(), &mut guesses);
    let (name, unit, link) = (list.name, list.unit, list.link);
    Ok(Draft { name, unit, link, levels, pieces, guesses: guesses.0, ..Draft::default() })
}

/// A length that somebody typed, metres; a number alone is in the unit.
///
/// # Errors
/// What is wrong with it, and how to write one.
pub fn length_m(text: &str, unit: Lengths) -> Result<f64, String> {
    let mut cursor = Cursor::new(text, unit.metres());
    let read = cursor.length("it").and_then(|metres| match cursor.is_done() {
        true => Ok(metres),
        false => Err(cursor.slip("more follows the length", "give one length")),
    });
    read.map_err(|slip| format!("{}; {}", slip.what, slip.fix))
}

/// Whether a text's first line that is no remark begins as a line of a list does.
pub(super) fn begins_like_one(text: &[u8]) -> bool {
    let text = input::decoded(text, &mut Diagnostics::new("")).unwrap_or_default();
    let mut words = text.lines().filter_map(|line| line.split_whitespace().next());
    let first = words.find(|word| !word.starts_with('#'));
    first.is_some_and(|word| lines::known_word(&word.to_lowercase()).is_some())
}

fn gone(walls: &Walls<'_>, openings: &[PlacedOpening], notes: &mut Notes) -> Vec<bool> {
    let mut gone = vec![false; walls.runs.len()];
    for wall in walls.list.walls.iter().filter(|wall| wall.construction.is_none()) {
        for run in walls.which(&wall.of, wall.line, notes).into_iter().flat_map(|(_, runs)| runs) {
            gone[run] = true;
            if let Some(opening) = openings.iter().find(|opening| opening.run == run) {
                let line = walls.list.openings[opening.listed].line;
                let what = format!("line {} says that there is no wall", wall.line);
                notes.say(line, what, "take one of the two lines out");
            }
        }
    }
    gone
}

fn rooms_of(list: &List, run: &Run) -> String {
    let names = run.rooms.iter().map(|&room| list.rooms[room].name.as_str());
    names.collect::<Vec<_>>().join(" ")
}

fn wall_pieces(Walls { list, runs, .. }: &Walls<'_>, gone: &[bool]) -> Vec<Piece> {
    let walls = runs.iter().zip(gone).filter(|(_, gone)| !**gone);
    let wall = |run: &Run| {
        let what = What::wall(run.construction.clone());
        Piece::new(rooms_of(list, run), run.level, run.line, what)
    };
    walls.map(|(run, _)| wall(run)).collect()
}

fn opening_pieces(
    Walls { list, runs, .. }: &Walls<'_>,
    openings: &[PlacedOpening],
    levels: &[plan::Level],
) -> Vec<Piece> {
    let pieces = openings.iter().map(|opening| {
        let (listed, run) = (&list.openings[opening.listed], &runs[opening.run]);
        let level = levels.iter().find(|level| level.number == run.level);
        let floor_m = level.map_or(0.0, |level| level.floor_m);
        let what = What::Opening {
            construction: listed.construction().to_owned(),
            entry: listed.entry,
            open: listed.open,
            base_m: (listed.sill() > 0.0).then(|| floor_m + listed.sill()),
            top_m: Some(floor_m + listed.head()),
        };
        let id = format!("{} {}", rooms_of(list, run), listed.fill.word());
        Piece::new(id, run.level, opening.line, what)
    });
    pieces.collect()
}

fn room_pieces(walls: &Walls<'_>, spaces: &[usize], names: &[String]) -> Vec<Piece> {
    let rooms = walls.list.rooms.iter().zip(walls.placed).zip(names).enumerate();
    let firsts = rooms.filter(|(number, _)| spaces.get(*number) == Some(number));
    let piece = |(room, place): (&RoomLine, &Placed), name: &String| {
        let (id, middle) = (format!("room {name}"), Point(place.middle()));
        Piece::new(id, room.level, middle, What::Room).named(Some(name.clone()))
    };
    firsts.map(|(_, (room, name))| piece(room, name)).collect()
}

fn report(
    list: &List,
    points: &BTreeMap<usize, PlanPoint>,
    settings: &Settings,
    guesses: &mut Guesses,
) {
    let mm = |construction: &str| settings.thickness_m(construction) * 1e3;
    let (outside, inside) = (settings.outside(), settings.inside());
    let taken = format!("taken as {outside}, {:.0} mm", mm(outside));
    guesses.add(
        "outside walls",
        taken,
        "write walls outside NAME",
        usize::from(list.outside.is_none()),
    );
    let taken = format!("taken as {inside}, {:.0} mm", mm(inside));
    guesses.add(
        "inside walls",
        taken,
        "write walls inside NAME",
        usize::from(list.inside.is_none()),
    );
    for (fill, fix) in [
        (Fill::Door, "end the line with the leaf's construction: door-hollow, door-steel, …"),
        (Fill::Window, "end the line with the pane's construction: glass-triple-coated, …"),
    ] {
        let all = list.openings.iter().filter(|opening| opening.fill == fill);
        let plain: Vec<_> = all.clone().filter(|opening| opening.construction.is_none()).collect();
        if let Some(first) = plain.first() {
            let taken = format!("taken as {}", first.construction());
            guesses.add(format!("{}s", fill.word()), taken, fix, plain.len());
        }
        let mut nowhere: Vec<PlanPoint> = Vec::new();
        for (listed, opening) in list.openings.iter().enumerate() {
            if opening.fill == fill && opening.at_m.is_none() {
                nowhere.extend(points.get(&listed));
            }
        }
        let about = format!("{}s without a place", fill.word());
        let taken = "put in the middle of their wall";
        let fix = format!("say where they begin: at {}", list.unit.lengths().typed(0.6));
        guesses.add_at(about, taken, &fix, nowhere);
    }
    let open_height = |opening: &&OpeningLine| {
        let no_sill = opening.fill == Fill::Window && opening.sill_m.is_none();
        no_sill || opening.head_m.is_none()
    };
    let heights = list.openings.iter().filter(open_height).count();
    let lengths = list.unit.lengths();
    let (head, sill) = (lengths.tape(HEAD_M), lengths.tape(SILL_M));
    let taken = format!("heads taken at {head}, sills of windows at {sill}");
    let fix = format!("write sill {} head {}", lengths.typed(1.1), lengths.typed(2.1));
    guesses.add("heights of openings", taken, &fix, heights);
}
