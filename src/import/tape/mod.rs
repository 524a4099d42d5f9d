//! A list of lengths from a tape measure, room by room, as a plan.
//!
//! One line says one thing; a line begins with its word, `#` begins a remark, case does not count. Lengths are
//! in the unit of `units` (`m`, `ft`) or carry their own (`3.6m`, `360cm`, `12' 6"`). Names are one word, or
//! stand in quotation marks. The front of a room is at the bottom of the plan.
//!
//! | line | says |
//! | --- | --- |
//! | `name TEXT`, `units ft`, `link NAME` | of the plan |
//! | `walls outside NAME`, `walls inside NAME` | what walls are built of |
//! | `level 1 First [floor L] [ceiling L]`, `ceiling L` | a storey begins; its height |
//! | `room NAME W x D [right-of\|left-of\|behind\|before\|above ROOM] [shift L] [flush back\|right]` | a room between the faces of its walls, flush with its neighbour's front or left |
//! | `wall ROOM SIDE NAME`, `wall ROOM ROOM NAME`, `no-wall ROOM ROOM` | a wall that is built otherwise, or not there |
//! | `door\|window\|gap ROOM SIDE\|ROOM W [at L] [entry] [open] [sill L] [head L] [NAME]` | an opening; `at` counts from the left corner, or the front one |
//! | `contact ROOM SIDE\|ROOM [at L]`, `motion ROOM back-left`, `panel ROOM left at L`, … `[height L] [number N] [role ROLE] [called NAME]` | a device: panel, keypad, siren, repeater, contact, motion, smoke, heat, co, leak, glass-break, shock; or an outlet |
//!
//! Not read: slanted and round walls, stairs, thickness of single walls (it follows from the construction;
//! an inside wall that is thicker than the others takes half of the difference from either room).

mod cursor;
mod devices;
mod list;
mod openings;
mod place;
mod rooms;
mod spaces;
mod storeys;
mod walls;

use geo::{Geometry, Point};

use self::devices::House;
use self::list::{List, Slips};
use self::openings::{Fill, OpeningLine, PlacedOpening};
use self::place::Placed;
use self::walls::Run;
use super::guess::decoded;
use super::{Draft, Guess, Piece, Settings, What, whole_file};
use input::{Diagnostic, Diagnostics};

/// Reads a list as a draft.
///
/// # Errors
/// All faults, each with its line: words and names that are not known, rooms in a circle or on top of one
/// another, openings that do not fit their wall, devices without a place.
pub fn draft(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Diagnostic>> {
    let (text, doubt) = decoded(name, bytes)?;
    let mut slips = Slips::new(name);
    let list = list::lines(&text, settings, &mut slips);
    if list.rooms.is_empty() {
        slips.say(
            1,
            "the list has no room",
            "write one a line: room Hall 2.0 x 5.0, room Kitchen 3.6 x 4.2 right-of Hall",
        );
        slips.finish()?;
        return Ok(Draft::default());
    }
    let mut guesses = Vec::from_iter(doubt);
    let inside = list.inside.as_deref().unwrap_or_else(|| settings.inside());
    let half_m = settings.thickness_m(inside) / 2.0;
    let levels = storeys::levels(&list, &mut guesses, &mut slips);
    let Some(placed) = place::place_rooms(&list, half_m, &mut guesses, &mut slips) else {
        slips.finish()?;
        // Only a room beyond all bounds has no place and no fault of its own yet.
        return Err(vec![whole_file(
            name,
            "some room cannot be placed".to_owned(),
            "check the sizes and shifts of the rooms",
        )]);
    };
    let runs = walls::runs(&list, &placed, settings, &mut slips);
    let openings = openings::place_openings(&list, &placed, &runs, &mut slips);
    let gone = gone(&list, &placed, &runs, &openings, &mut slips);
    let spaces = spaces::spaces(&list, &runs, &gone);
    let names = spaces::names(&list, &spaces);
    spaces::told(&spaces, &names, &mut guesses);
    let house = House {
        names: &names,
        list: &list,
        placed: &placed,
        runs: &runs,
        openings: &openings,
        levels: &levels,
    };
    let hung: Vec<Piece> = list
        .devices
        .iter()
        .filter_map(|device| devices::hang(device, &house, &mut slips))
        .collect();
    let mut draft = Draft {
        name: list.name.clone(),
        unit: list.unit,
        link: list.link.clone(),
        ..Draft::default()
    };
    storeys::check_heads(&list, &levels, &mut slips);
    devices::check_numbers(&list.devices, &mut slips);
    let slabs = storeys::slabs(&list, &placed, &levels, &mut guesses, &mut slips);
    slips.finish()?;
    draft.pieces = wall_pieces(&list, &runs, &gone);
    draft.pieces.extend(opening_pieces(&list, &runs, &openings, &levels));
    draft.pieces.extend(slabs);
    draft.pieces.extend(room_pieces(&list, &placed, &spaces, &names));
    draft.pieces.extend(hung);
    draft.levels = levels;
    told(&list, settings, &mut guesses);
    devices::told(&list.devices, &mut guesses);
    draft.guesses = guesses;
    Ok(draft)
}

/// Whether a text's first line that is no remark begins as a line of a list does.
pub(super) fn begins_like_one(text: &[u8]) -> bool {
    let Some(text) = input::decoded(text, &mut Diagnostics::new("")) else {
        return false;
    };
    let mut words = text.lines().filter_map(|line| line.split_whitespace().next());
    let first = words.find(|word| !word.starts_with('#'));
    first.is_some_and(|word| list::WORDS.contains(&word.to_lowercase().as_str()))
}

/// Which runs are no walls.
fn gone(
    list: &List,
    placed: &[Placed],
    runs: &[Run],
    openings: &[PlacedOpening],
    slips: &mut Slips<'_>,
) -> Vec<bool> {
    let mut gone = vec![false; runs.len()];
    for wall in list.walls.iter().filter(|wall| wall.construction.is_none()) {
        let Some((_, chosen)) = walls::which_runs(&wall.of, list, placed, runs, wall.line, slips)
        else {
            continue;
        };
        for run in chosen {
            gone[run] = true;
            if let Some(opening) = openings.iter().find(|opening| opening.run == run) {
                let listed = &list.openings[opening.listed];
                slips.say(
                    listed.line,
                    format!("line {} says that there is no wall", wall.line),
                    "take one of the two lines out",
                );
            }
        }
    }
    gone
}

fn wall_pieces(list: &List, runs: &[Run], gone: &[bool]) -> Vec<Piece> {
    let walls = runs.iter().zip(gone).filter(|(_, gone)| !**gone);
    walls
        .map(|(run, _)| Piece {
            id: run
                .rooms
                .iter()
                .map(|&room| list.rooms[room].name.as_str())
                .collect::<Vec<_>>()
                .join(" "),
            name: None,
            level: run.level,
            shape: Geometry::Line(run.line),
            what: What::wall(run.construction.clone()),
        })
        .collect()
}

fn opening_pieces(
    list: &List,
    runs: &[Run],
    openings: &[PlacedOpening],
    levels: &[plan::Level],
) -> Vec<Piece> {
    let pieces = openings.iter().map(|opening| {
        let listed = &list.openings[opening.listed];
        let run = &runs[opening.run];
        let level = levels.iter().find(|level| level.number == run.level);
        let floor_m = level.map_or(0.0, |level| level.floor_m);
        let rooms = run.rooms.iter().map(|&room| list.rooms[room].name.as_str());
        Piece {
            id: format!("{} {}", rooms.collect::<Vec<_>>().join(" "), listed.fill.word()),
            name: None,
            level: run.level,
            shape: Geometry::Line(opening.line),
            what: What::Opening {
                construction: listed.construction().to_owned(),
                entry: listed.entry,
                open: listed.open,
                base_m: (listed.sill() > 0.0).then(|| floor_m + listed.sill()),
                top_m: Some(floor_m + listed.head()),
            },
        }
    });
    pieces.collect()
}

fn room_pieces(list: &List, placed: &[Placed], spaces: &[usize], names: &[String]) -> Vec<Piece> {
    let rooms = list.rooms.iter().zip(placed).zip(names).enumerate();
    rooms
        .filter(|(number, _)| spaces.get(*number) == Some(number))
        .map(|(_, ((room, place), name))| Piece {
            id: format!("room {name}"),
            name: Some(name.clone()),
            level: room.level,
            shape: Geometry::Point(Point::new(
                (place.left + place.right) / 2.0,
                (place.front + place.back) / 2.0,
            )),
            what: What::Room,
        })
        .collect()
}

/// What was taken because no line says it.
fn told(list: &List, settings: &Settings, guesses: &mut Vec<Guess>) {
    let mut tell = |about: &str, taken: String, mend: &str, pieces: usize| {
        if pieces > 0 {
            guesses.push(Guess::new(about, taken, mend, pieces));
        }
    };
    let mm = |construction: &str| settings.thickness_m(construction) * 1e3;
    let (outside, inside) = (settings.outside(), settings.inside());
    tell(
        "outside walls",
        format!("taken as {outside}, {:.0} mm", mm(outside)),
        "walls outside NAME",
        usize::from(list.outside.is_none()),
    );
    tell(
        "inside walls",
        format!("taken as {inside}, {:.0} mm", mm(inside)),
        "walls inside NAME",
        usize::from(list.inside.is_none()),
    );
    for (fill, mend) in [
        (Fill::Door, "put the leaf's construction behind the door: door-hollow, door-steel, …"),
        (Fill::Window, "put the pane's construction behind the window: glass-triple-coated, …"),
    ] {
        let all = list.openings.iter().filter(|opening| opening.fill == fill);
        let plain: Vec<_> = all.clone().filter(|opening| opening.construction.is_none()).collect();
        if let Some(first) = plain.first() {
            let taken = format!("taken as {}", first.construction());
            tell(&format!("{}s", fill.word()), taken, mend, plain.len());
        }
        let nowhere = all.clone().filter(|opening| opening.at_m.is_none()).count();
        tell(
            &format!("{}s without a place", fill.word()),
            "put into the middle of their wall".to_owned(),
            "say where they begin: at 0.6",
            nowhere,
        );
    }
    let heights = list.openings.iter();
    let open_height = |opening: &&OpeningLine| {
        let no_sill = opening.fill == Fill::Window && opening.sill_m.is_none();
        no_sill || opening.head_m.is_none()
    };
    let heights = heights.filter(open_height).count();
    tell(
        "heights of openings",
        format!("heads taken at {} m, sills of windows at {} m", super::HEAD_M, super::SILL_M),
        "sill 1.1 head 2.1",
        heights,
    );
}
