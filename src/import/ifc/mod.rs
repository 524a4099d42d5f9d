//! Building models (`IFC2x3` and IFC4, ISO 16739) as STEP text (ISO 10303-21) as plans.
//!
//! What becomes what (in the model: in the plan):
//! - `IfcBuildingStorey` with a wall in it: a level, numbered from the one nearest to zero;
//!   its ceiling is the next floor less its slab, on top the height of the walls; one more where
//!   walls stand far above or below every floor
//! - `IfcWall`: a wall on every level that it covers: on its axis moved to the middle of its body
//!   or layers, else on the middle of its footprint; `IfcCurtainWall`: so, or along its panels
//! - the layers of its material: a construction of the plan's own with the same layers, as far as
//!   the names of the materials say what they are (`materials.rs`)
//! - `IfcDoor`, `IfcWindow`, and an opening that nothing fills: an opening where its
//!   `IfcOpeningElement` is cut out of the wall, else where its body is; without a relation, in the
//!   opening around it, or on the wall beside it
//! - `IfcSlab` at the height of a floor: the slab of every level but the lowest, with holes
//! - `IfcStair`: stairs, straight from foot to head; `IfcSpace`: the name of a room with its
//!   outline; `IfcColumn`: an obstacle
//!
//! Bodies are read that are extrusions of rectangles, circles and polylines (arcs as chords),
//! faceted, polygonal and triangulated, advanced ones by their corners; of what is cut or joined,
//! the first operand; mapped items.
//! The names of entities and the order of their arguments are from memory, compared with an
//! independent reader on models (see the tests).
//!
//! The user maps the name of a set of layers, or of the material of its thickest layer, to a
//! construction.
//!
//! Not read: roofs and their windows, coverings, beams, railings, ramps, furniture, curved
//! surfaces, georeferences, true north, XML and zipped models.

mod curves;
mod floors;
mod links;
mod materials;
mod notes;
mod openings;
mod shape;
mod space;
mod step;
mod storeys;
mod value;
mod walls;

use std::collections::BTreeMap;

use geo::{BoundingRect, Coord, Line, LineString, MultiPoint};

use self::floors::{Rest, slabs, thicknesses};
use self::links::Links;
use self::materials::{Constructions, Made};
use self::notes::{Notes, Weight};
use self::openings::{Openings, Stretch};
use self::space::Space;
use self::step::Model;
use self::storeys::Storeys;
use self::walls::{Wall, tops};
use crate::joints::{Strip, joined};
use crate::line::{index, length, line_to_millimetre};
use crate::{Draft, DraftUnit, LEAVE_OUT, MAX_PIECES, Piece, Settings, WINDOW, What, whole_file};
use plan::{Diagnostic, Inside, MAX_EXTENT_M, MIN_SEGMENT_M, Plan};

pub use self::materials::all as materials;

/// What every such file begins with.
const MAGIC: &[u8] = b"ISO-10303-21;";
/// Farther from its zero than this, a plan is moved to it, metres (our own choice).
const FAR_M: f64 = 1_000.0;
/// What is so far beyond all walls is no part of the building, metres (our own choice).
const BEYOND_M: f64 = 40.0;
/// How far a wall's foot or head is off the floor or ceiling before the plan says it, metres.
const OFF_M: f64 = 0.15;
/// How far beside the middle of a wall is certainly beside it, more than half of it, metres.
const BESIDE_M: f64 = 0.15;

/// Whether bytes without leading blanks are STEP text.
pub(crate) fn begins_like_one(text: &[u8]) -> bool {
    text.starts_with(MAGIC)
}

/// Reads a model as a draft.
///
/// # Errors
/// Faults of the text (no STEP text, cut short, lists in lists), of the model (another schema than
/// that of buildings, placements that are relative to themselves, no wall, wider than 2 km).
pub fn draft(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Diagnostic>> {
    read(name, bytes, settings).map_err(|fault| vec![fault])
}

fn read(file: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Diagnostic> {
    let text = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if !begins_like_one(text.trim_ascii_start()) {
        let what = "this is not a building model as STEP text, which begins with ISO-10303-21";
        let fix = "export IFC (.ifc); unpack a zipped model first; XML is not read";
        return Err(whole_file(file, what, fix));
    }
    let model = Model::read(file, text)?;
    let mut notes = Notes::default();
    let mut space = Space::new(&model, file, settings.metres_per_unit);
    if !space.has_unit {
        let taken = "is not said; taken as metres";
        let fix = "give --unit mm, cm, m, in or ft if walls are of another size";
        notes.tell(Weight::Missing, ("unit of length", taken, fix), None);
    }
    let schema = model.schema.to_ascii_uppercase();
    // What walls, doors and spaces are made of is alike in all of these.
    if !["IFC2X", "IFC4"].iter().any(|known| schema.starts_with(known)) {
        let about = format!("schema {}", plan::quoted(&model.schema));
        let taken = "was read as IFC4";
        let fix = "check the plan, or export IFC4";
        notes.tell(Weight::Expected, (&about, taken, fix), None);
    }
    let links = Links::read(&model);
    let mut storeys = Storeys::read(file, &mut space, &links, &mut notes)?;
    let mut walls = walls::read(&mut space, &links, &storeys, &mut notes)?;
    if walls.is_empty() {
        let what = "the model holds no wall that can be read";
        let fix = "export walls as IfcWall, with their axis or an extruded body";
        return Err(whole_file(file, what, fix));
    }
    let heights: Vec<(f64, f64)> = walls.iter().filter_map(|wall| wall.heights).collect();
    let mut homes: Vec<&mut usize> = walls.iter_mut().filter_map(|it| it.home.as_mut()).collect();
    storeys.grow((&mut space, &links), &heights, &mut homes, &mut notes)?;
    let slabs = slabs(&mut space, &links, &storeys, &mut notes)?;
    storeys.ceilings(&thicknesses(&slabs), &tops(&walls, &storeys), &mut notes);
    let moved = moved(file, &walls, &mut notes)?;
    let mut stretches = stretches(&space, &walls, &storeys, moved, &mut notes);
    outside(&walls, &storeys, &mut stretches);
    let mut constructions = Constructions::default();
    let mut pieces =
        drawn(&walls, &mut stretches, &storeys, settings, &mut constructions, &mut notes);
    let openings = Openings {
        walls: &walls,
        stretches: &stretches,
        index: index(stretches.iter().map(|stretch| stretch.line)),
        storeys: &storeys,
        links: &links,
        settings,
    };
    pieces.extend(openings.draw(&mut space, moved, &mut notes)?);
    let rest = Rest { links: &links, storeys: &storeys, settings, moved };
    pieces.extend(rest.slabs(&space, &slabs, &mut constructions, &mut notes));
    pieces.extend(rest.columns(&mut space, &mut notes)?);
    pieces.extend(rest.stairs(&mut space, &mut notes)?);
    pieces.extend(rest.rooms(&mut space, &mut notes)?);
    keep_near(&mut pieces, &stretches, &mut notes);
    if model.is_exhausted() {
        let what = "the model refers to its shapes again and again, beyond all measure";
        let fix = "export the building alone, without furniture and repeated blocks";
        return Err(whole_file(file, what, fix));
    }
    let title = ["IFCBUILDING", "IFCPROJECT"].into_iter().find_map(|kind| {
        let args = model.all(kind).next().and_then(|number| model.get(number))?;
        args.text(2).or_else(|| args.text(if kind == "IFCBUILDING" { 7 } else { 5 }))
    });
    Ok(Draft {
        name: title.unwrap_or_default(),
        unit: if space.in_feet { DraftUnit::Foot } else { DraftUnit::Metre },
        levels: storeys.levels,
        constructions: constructions.own,
        pieces,
        guesses: notes.guesses(),
        ..Draft::default()
    })
}

/// How far everything is moved: nothing, or from far away to zero.
fn moved(file: &str, walls: &[Wall], notes: &mut Notes) -> Result<Coord<f64>, Diagnostic> {
    let ends = walls.iter().flat_map(|wall| &wall.lines).flat_map(|it| [it.start, it.end]);
    let around = MultiPoint::from_iter(ends).bounding_rect();
    let Some(around) = around else { return Ok(Coord::zero()) };
    let size_m = around.width().max(around.height());
    if size_m >= MAX_EXTENT_M - 100.0 || !size_m.is_finite() {
        let what = format!("the walls of the model are {:.1} km apart", size_m / 1e3);
        let fix = "export one building alone, or give the unit of the model with --unit";
        return Err(whole_file(file, what, fix));
    }
    let (low, high) = (around.min(), around.max());
    if [low.x, low.y, high.x, high.y].into_iter().all(|it| it.abs() <= FAR_M) {
        return Ok(Coord::zero());
    }
    let taken = format!("was moved to ({:.1}, {:.1}) of the model, metres", low.x, low.y);
    let fix = "nothing to do: a plan begins near its zero";
    notes.tell(Weight::Expected, ("zero of the plan", &taken, fix), None);
    Ok(Coord { x: low.x.floor(), y: low.y.floor() })
}

/// Leaves out what is far from all walls, which would make a plan wider than it may be.
fn keep_near(pieces: &mut Vec<Piece>, stretches: &[Stretch], notes: &mut Notes) {
    let ends = stretches.iter().flat_map(|it| [it.line.start, it.line.end]);
    let around = MultiPoint::from_iter(ends).bounding_rect();
    pieces.retain(|piece| {
        let (Some(here), Some(all)) = (piece.shape.bounding_rect(), around) else { return true };
        let near = here.min().x >= all.min().x - BEYOND_M
            && here.min().y >= all.min().y - BEYOND_M
            && here.max().x <= all.max().x + BEYOND_M
            && here.max().y <= all.max().y + BEYOND_M;
        if !near {
            let taken = format!("were left out, because they are {BEYOND_M} m beyond all walls");
            let fix = "draw them in the plan if they are part of the building";
            notes.tell(Weight::Missing, (piece.what.word(), &taken, fix), None);
        }
        near
    });
}

/// The pieces of every wall on every level that it covers, to the middles of those it meets.
fn stretches(
    space: &Space<'_, '_>,
    walls: &[Wall],
    storeys: &Storeys,
    moved: Coord<f64>,
    notes: &mut Notes,
) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    for (number, wall) in walls.iter().enumerate() {
        let on = match (wall.heights, wall.home) {
            (Some(heights), home) => storeys.covered(heights, home),
            (None, home) => vec![home.unwrap_or(0)],
        };
        // So many are refused for their number.
        if stretches.len() > MAX_PIECES {
            break;
        }
        if on.is_empty() {
            let taken = "were left out, because they are below or above all storeys";
            let fix = "draw them in the plan if they are no foundations or parapets";
            let at = Some((space.model, wall.number));
            notes.tell(Weight::Expected, ("walls", taken, fix), at);
        }
        for at in on {
            let level = &storeys.levels[at];
            let (low_m, high_m) = wall.heights.unwrap_or((level.floor_m, level.ceiling_m));
            let heights = (
                if low_m > level.floor_m + OFF_M { low_m } else { level.floor_m },
                if high_m < level.ceiling_m - OFF_M { high_m } else { level.ceiling_m },
            );
            if heights.1 - heights.0 < OFF_M {
                continue;
            }
            stretches.extend(wall.lines.iter().map(|line| Stretch {
                wall: number,
                at,
                line: Line::new(line.start - moved, line.end - moved),
                thickness_m: wall.thickness_m.unwrap_or(0.1),
                heights,
                is_outside: false,
                outdoors_left: None,
            }));
        }
    }
    if stretches.len() <= MAX_PIECES {
        let strips = stretches.iter().map(|stretch| Strip {
            level: i32::try_from(stretch.at).unwrap_or(0),
            line: stretch.line,
            thickness_m: stretch.thickness_m,
        });
        let lines = joined(&strips.collect::<Vec<_>>());
        for (stretch, line) in stretches.iter_mut().zip(lines) {
            stretch.line = line;
        }
    }
    for stretch in &mut stretches {
        stretch.line = line_to_millimetre(stretch.line);
    }
    stretches.retain(|stretch| length(stretch.line) >= 2.0 * MIN_SEGMENT_M);
    stretches
}

/// Which walls are outside ones: as the model says, else those with a room on just one side; and on
/// which side the outdoors are, where that matters for the order of their layers.
fn outside(walls: &[Wall], storeys: &Storeys, stretches: &mut [Stretch]) {
    let is_known = |it: &Stretch| {
        let wall = &walls[it.wall];
        let is_one_way = !wall.made.has_sides() || wall.first_is_left.is_none();
        wall.is_external.is_some_and(|external| !external || is_one_way)
    };
    let all_said = stretches.iter().all(is_known);
    let drawn = stretches.iter().map(|stretch| plan::Wall {
        id: String::new(),
        level: storeys.levels[stretch.at].number,
        construction: String::new(),
        thickness_mm: Some(stretch.thickness_m * 1e3),
        line: LineString::from(stretch.line),
        base_m: stretch.heights.0,
        top_m: stretch.heights.1,
    });
    let inside = if all_said || stretches.len() > MAX_PIECES {
        Vec::new()
    } else {
        let (levels, walls) = (storeys.levels.clone(), drawn.collect());
        Inside::of_levels(&Plan { levels, walls, ..Plan::default() }, &|_| None)
    };
    for stretch in stretches {
        let half_m = stretch.thickness_m / 2.0 + BESIDE_M;
        let long = length(stretch.line);
        let beside = Coord { x: -stretch.line.dy(), y: stretch.line.dx() } * (half_m / long);
        let holds = |at| inside.get(stretch.at).is_some_and(|inside| inside.holds(at));
        let out_to = |side: Coord<f64>| {
            let places = [0.2, 0.35, 0.5, 0.65, 0.8].into_iter();
            let places = places.map(|share| stretch.line.start + stretch.line.delta() * share);
            places.filter(|at| !holds(*at + side) && holds(*at - side)).count()
        };
        let (left, right) = (out_to(beside), out_to(-beside));
        stretch.outdoors_left = (left + right >= 3).then_some(left > right);
        let by_rooms = || left + right >= 3;
        stretch.is_outside = walls[stretch.wall].is_external.unwrap_or_else(by_rooms);
    }
}

/// The walls as pieces; what the user leaves out is no stretch any more. Layers go from outdoors
/// in, between rooms from the left of the line: where the model has them the other way round, an
/// outside wall gets them reversed, and another is drawn from its other end.
fn drawn(
    walls: &[Wall],
    stretches: &mut Vec<Stretch>,
    storeys: &Storeys,
    settings: &Settings,
    constructions: &mut Constructions,
    notes: &mut Notes,
) -> Vec<Piece> {
    let mut of: BTreeMap<(usize, bool, bool), Option<String>> = BTreeMap::new();
    let mut pieces = Vec::new();
    stretches.retain_mut(|stretch| {
        let wall = &walls[stretch.wall];
        let first_is_left = wall.first_is_left.filter(|_| wall.made.has_sides());
        let wanted = if stretch.is_outside { stretch.outdoors_left } else { Some(true) };
        let turns = first_is_left.zip(wanted).is_some_and(|(is, wanted)| is != wanted);
        if turns && !stretch.is_outside {
            stretch.line = Line::new(stretch.line.end, stretch.line.start);
        }
        let key = (stretch.wall, stretch.is_outside, turns && stretch.is_outside);
        let named = of.entry(key).or_insert_with(|| {
            let made = if key.2 { wall.made.reversed() } else { wall.made.clone() };
            named((wall, &made), stretch.is_outside, settings, constructions, notes)
        });
        let Some(construction) = named.clone() else { return false };
        let level = &storeys.levels[stretch.at];
        let (base_m, top_m) = stretch.heights;
        let what = What::Wall {
            construction,
            thickness_mm: wall.thickness_m.map(|thick_m| (thick_m * 1e3).round().max(1.0)),
            base_m: Some(base_m).filter(|it| *it > level.floor_m),
            top_m: Some(top_m).filter(|it| *it < level.ceiling_m),
        };
        pieces.push(Piece::new("", level.number, stretch.line, what));
        true
    });
    pieces
}

/// The construction of a wall; nothing if the user leaves it out.
fn named(
    (wall, made): (&Wall, &Made),
    is_outside: bool,
    settings: &Settings,
    constructions: &mut Constructions,
    notes: &mut Notes,
) -> Option<String> {
    if let Some(mapped) = made.mapped(settings) {
        return (mapped != LEAVE_OUT).then(|| mapped.to_owned());
    }
    if wall.is_curtain {
        let taken = format!("were taken as {WINDOW}, from floor to ceiling");
        let fix = "coated panes keep out far more: correct \"construction\" in the plan";
        notes.tell(Weight::Taken, ("curtain walls", &taken, fix), None);
        return Some(WINDOW.to_owned());
    }
    let thickness_m = wall.thickness_m.unwrap_or(0.0);
    let known = constructions.of(made, thickness_m, settings, notes);
    Some(known.unwrap_or_else(|| {
        let (about, option, name) = if is_outside {
            ("outside walls", "--outside", settings.outside())
        } else {
            ("inside walls", "--inside", settings.inside())
        };
        let taken = format!("without known layers were taken as {name}");
        let fix = format!("{option} CONSTRUCTION, or --map MATERIAL=CONSTRUCTION");
        notes.tell(Weight::Taken, (about, &taken, &fix), None);
        name.to_owned()
    }))
}
