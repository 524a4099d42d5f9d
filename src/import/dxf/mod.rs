//! Drawings in the Drawing Interchange Format (DXF), as text or binary.
//!
//! What becomes what (in the drawing: in the plan):
//! - `LINE`, `LWPOLYLINE`, `POLYLINE` (with bulges), `ARC` on layers of walls: two that run beside
//!   one another, 40 to 600 mm apart, are the faces of a wall: its middle line with its thickness;
//!   arcs in pieces that are at most 5 mm off
//! - `HATCH`, `SOLID`, `TRACE`, `3DFACE` on layers of walls: their edges are faces, as far as no
//!   line is drawn there and nothing filled is on the other side (see `fills`); what is wider than
//!   walls is left out
//! - `ELLIPSE`, `SPLINE`, `MLINE`: their lines, curves in chords (see `curves`); where chords, or
//!   the short lines of a polyline, are parts of a circle: arcs (see `rounds`)
//! - polylines as wide as walls: walls, unless they run in pairs as faces do
//! - one line alone: a wall of unknown thickness if the layer has no double lines, or if it is at
//!   least 1 m long, the user mapped its layer, and no wall runs beside it; or if it closes off a
//!   room, by itself or in a run round corners (see `lone`); else it is left out
//! - `INSERT` with scale, rotation, mirroring, rows and columns, one in another: its block, put
//!   there; what is on layer 0 in it takes over the insert's layer
//! - ends at the face of another wall: drawn to its middle, so that corners and T joints close
//! - a gap of less than 0.5 m between the ends of walls: wall
//! - a gap of 0.5 to 4 m between the ends of walls, or from an end to the face of a crossing wall:
//!   an opening, by what any layer or block draws there (see `gaps`)
//! - arcs and lines on layers or in blocks of doors and windows over unbroken wall: an opening over
//!   the stretch of wall that they cover, of a door where the leaf lies when shut
//! - the same of leaves that stand in no wall: a piece of wall of their own (see `leaves`)
//! - lines between the faces, from jamb to jamb: panes of a window (see `panes`)
//! - groups of walls more than 1.5 m apart: drawings of their own on one sheet (see `sheet`), of
//!   which the one that is most a floor plan is read
//! - ends at the face of a column: drawn on into it (see `pillars`)
//! - circles and rectangles on layers and in blocks of columns, and those of 0.1 to 1 m that stand
//!   free on layers of walls: columns (see `columns`)
//! - `TEXT`, `MTEXT`, `ATTRIB` in a closed room: its name, if it is the largest there that may be
//!   one (see `names`)
//! - `$INSUNITS`, `$MEASUREMENT`: the unit, unless it makes no house of the walls and leaves (see
//!   `scale`)
//!
//! What a layer or block holds the user says, else its name, else how its lines run (see `shapes`).
//! Layers that are switched off or frozen are left out; lines with dashes or dots are no walls. Not
//! read: other circles, regions, bodies in space, measures, paper space, references to other files,
//! colours, heights. All is put on one level, unless the user stacks drawings (see `stack`).

mod axes;
mod build;
mod columns;
mod curves;
mod drawing;
mod entity;
pub(crate) mod faces;
mod fills;
mod gaps;
mod groups;
mod layers;
mod leaves;
mod lone;
mod marks;
mod names;
mod notes;
mod openings;
mod panes;
mod pillars;
pub(crate) mod rounds;
mod scale;
mod seen;
mod shapes;
mod sheet;
mod stack;
mod strokes;
mod trade;
mod view;

use std::collections::BTreeSet;

use geo::{Coord, Line};

use self::axes::{Axis, axes, belongs, close_corners, reaches, stands};
use self::build::House;
use self::drawing::{Drawing, USUAL_M, corners, long};
pub(crate) use self::faces::Kind;
use self::faces::{Face, Paired, Piece, WallGroup, paired, pieces_across, short_pieces};
pub(super) use self::groups::{BINARY, Groups};
use self::layers::{Role, Roles, Use, roles};
use self::lone::Lone;
use self::marks::Marks;
use self::openings::{Placed, Sign, place_openings};
use self::sheet::Sheet;
use self::strokes::strokes;
pub(crate) use self::strokes::{Body, Drawn, Round, Stroke, Strokes, Written};
use self::view::View;
use crate::guess::{Guesses, MOST_PLACES, PlanPoint};
use crate::line::{LineIndex, along, around, askew, length, seen_from};
use crate::{Draft, Settings, whole_file};
use plan::{Diagnostic, MAX_EXTENT_M};

/// A single line shorter than this is no wall, metres (our own choice).
const LONE_WALL_M: f64 = 1.0;
/// A single line with a wall so near beside it is a part of that one, metres (our own choice).
const BESIDE_M: f64 = 0.7;

/// Reads a drawing as a draft.
///
/// # Errors
/// Faults of the file (no drawing, torn groups, too many entities), of its blocks (inserted into
/// one another in a circle), of the map (a layer that is not there), of the layers (none holds
/// walls) and of the size (wider than a plan may be).
pub fn draft(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Diagnostic>> {
    let groups = groups::groups(name, bytes)?;
    of_strokes(name, &groups, &strokes(name, &groups)?, settings)
}

/// The draft of lines and arcs wherever they were read; faults as those of [`draft`].
pub(crate) fn of_strokes(
    name: &str,
    groups: &Groups,
    drawn: &Strokes,
    settings: &Settings,
) -> Result<Draft, Vec<Diagnostic>> {
    let mut guesses = Guesses::default();
    let leaf = scale::leaf(&drawn.strokes);
    let shapes = shapes::Shapes { drawn, groups, settings, leaf };
    let likely = |roles: &Roles, layers: &[usize]| shapes.likely_walls(roles, layers);
    let roles = roles(name, drawn, &groups.hidden, settings, &likely, &mut guesses)?;
    let is_wall = |stroke: &&Stroke| roles.of(stroke).0 == Use::Wall;
    let Some(corners) = corners(drawn.strokes.iter().filter(is_wall)) else {
        let fix = "map another layer: --map LAYER=brick-half";
        return Err(vec![whole_file(name, "the layers of walls hold no lines", fix)]);
    };
    let low = corners.min();
    // How much of the walls comes in pairs, as walls are thick, tells units of like size apart.
    let looks_like_walls = |metres: f64| {
        let trial = Drawing::new(drawn, &roles, metres, low);
        let faces = trial.faces(None).0;
        let pieces = paired(&faces).pieces.into_iter();
        // Thicker ones are old walls of stone, or a unit that is too long.
        let worth = |piece: Piece| match piece.thickness_m {
            Some(thick_m) if USUAL_M.contains(&thick_m) => length(piece.line),
            Some(thick_m) if thick_m > *USUAL_M.end() => 0.5 * length(piece.line),
            _ => 0.0,
        };
        let thick_m: f64 = pieces.map(worth).sum();
        // Of a plan of single lines, how much of them closes off rooms.
        let walls_m =
            if thick_m > 0.0 || !roles.any_by_shape() { thick_m } else { shapes::bound(&faces).0 };
        walls_m / metres
    };
    let size = corners.width().max(corners.height());
    let (lines, longest) = long(drawn.strokes.iter().filter(is_wall));
    let size = scale::Size { across: size, lines, longest, leaf };
    let metres = scale::metres_per_unit(groups, settings, &size, &looks_like_walls, &mut guesses);
    let size = size.across;
    let size_m = size * metres;
    if size_m > MAX_EXTENT_M {
        let what = format!(
            "the walls are {size_m:.0} m across; a plan is at most {MAX_EXTENT_M} m across"
        );
        let fix = "give the unit with --unit, or leave out the layer that is far off";
        return Err(vec![whole_file(name, what, fix)]);
    }
    let mut drawing = Drawing::new(drawn, &roles, metres, low);
    let view = View {
        strokes: drawn,
        roles: &roles,
        metres,
        lines: &|drawn| drawing.lines(drawn),
        local: &|at| drawing.local(at),
    };
    let (labels, stairs) = (view.labels(&groups.hidden), view.stairs());
    let columns;
    (columns, drawing.in_columns) = columns::columns(&view);
    let marks = drawing.marks();
    let (faces, wall_groups, lost_fills) = drawing.faces(Some(&marks));
    let about = "filled areas on layers of walls";
    guesses.add(about, "left out: wider than walls", "draw their walls in the plan", lost_fills);
    let found = paired(&faces);
    let mut axes = axes(&pieces(&found, &faces, &wall_groups, &mut guesses));
    pillars::join(&mut axes, &columns);
    pillars::meet(&mut axes);
    let lines: Vec<Line<f64>> = stands(&axes).iter().map(|one| one.2).collect();
    let sheet = Sheet::of(&lines, drawn.apart_m);
    let (mut openings, mut roles, used) = in_gaps(&mut axes, &sheet, &marks);
    let (shapes, more): (Vec<Sign>, Vec<Role<'_>>) =
        drawing.signs(&marks, &used).into_iter().unzip();
    let (mut placed, mut lost_swings) = place_openings(&axes, &shapes, &openings);
    placed.iter_mut().for_each(|opening| opening.sign += roles.len());
    roles.extend(more);
    for opening in &placed {
        axes[opening.axis].add(opening.from, opening.to);
    }
    openings.append(&mut placed);
    for (opening, role) in leaves::own_walls(&mut axes, &marks, &used, &openings) {
        let middle = along(axes[opening.axis].line, (opening.from + opening.to) / 2.0);
        let off = |swing: &Coord<f64>| length(Line::new(middle, *swing));
        let nearest = (0..lost_swings.len())
            .min_by(|a, b| off(&lost_swings[*a]).total_cmp(&off(&lost_swings[*b])));
        nearest.map(|number| lost_swings.remove(number));
        openings.push(Placed { sign: roles.len(), ..opening });
        roles.push(role);
    }
    for window in panes::windows(&axes, &marks, &openings) {
        openings.push(Placed { sign: roles.len(), ..window });
        roles.push((Use::Panes, None));
    }
    let doors = marks.swings().iter().filter(|swing| marks.is_door(swing));
    let hinges: Vec<Coord<f64>> = doors.map(|swing| swing.hinge).collect();
    let corners_closed = close_corners(&mut axes);
    let (_, loose_ends) = gaps::gaps(&axes, &sheet);
    let house = House {
        axes: &axes,
        groups: &wall_groups,
        openings: &openings,
        roles: &roles,
        settings,
        sheet: &sheet,
        loose_ends: &loose_ends,
        hinges: &hinges,
        labels: &labels,
        columns: &columns,
        stairs: &stairs,
    };
    let wrong = |what| vec![whole_file(name, what, "choose one of the drawings that are listed")];
    let mut draft = house.draft(&mut guesses).map_err(wrong)?;
    notes::report(groups, drawn, lost_swings, corners_closed, &mut guesses);
    draft.guesses = guesses.0;
    draft.original = seen::originals(&drawing, &groups.hidden, &draft.pieces, settings);
    Ok(draft)
}

/// Closes the gaps of walls. Gives the openings in them, what each stands for, and the keys of the
/// marks that say so.
fn in_gaps<'m>(
    axes: &mut [Axis],
    sheet: &Sheet,
    marks: &'m Marks<'_>,
) -> (Vec<Placed>, Vec<Role<'m>>, BTreeSet<usize>) {
    let (mut openings, mut roles, mut used) = (Vec::new(), Vec::new(), BTreeSet::new());
    for gap in gaps::gaps(axes, sheet).0 {
        let filled = gaps::filled(&gap, &axes[gap.axis], marks);
        let Some(made) = gap.made(&filled) else { continue };
        axes[gap.axis].add(gap.reach.0, gap.reach.1);
        used.extend(filled.used);
        if let Some(role) = made {
            openings.push(Placed { axis: gap.axis, from: gap.from, to: gap.to, sign: roles.len() });
            roles.push(role);
        }
    }
    axes.iter_mut().for_each(Axis::settle);
    (openings, roles, used)
}

/// Pieces of wall: what was paired, and what stands for a wall by itself.
fn pieces(
    found: &Paired,
    faces: &[Face],
    groups: &[WallGroup],
    guesses: &mut Guesses,
) -> Vec<Piece> {
    let mut pieces = found.pieces.clone();
    let (mut paired_m, mut drawn_m) = (vec![0.0; groups.len()], vec![0.0; groups.len()]);
    for piece in &found.pieces {
        paired_m[piece.group] += length(piece.line);
    }
    for face in faces {
        drawn_m[face.group] += length(face.line);
    }
    // A layer with hardly any double line is drawn with one line a wall.
    let is_single = |group: usize| paired_m[group] < 0.1 * drawn_m[group];
    let walls = axes(&pieces);
    let near = reaches(&walls);
    let goes_on = |piece: &Piece| {
        let around = around(piece.line, 0.5);
        let mut beside = near.locate_in_envelope_intersecting(&around);
        beside.any(|found| belongs(piece, &walls[found.data]))
    };
    pieces.extend(short_pieces(&found.single, &goes_on));
    // One face on each of two layers, where no wall is yet.
    let is_free = |piece: &Piece| {
        groups[piece.group].construction.is_none() && !has_wall_beside(piece.line, &walls, &near)
    };
    let across = pieces_across(&found.single, &is_free);
    let joined = axes(&across);
    let near_joined = reaches(&joined);
    pieces.extend(across);
    let lone = Lone::new(&found.single, LONE_WALL_M, &walls, &near);
    let has_beside = |line| has_wall_beside(line, &walls, &near);
    let in_runs = lone.in_runs(&has_beside);
    let is_wall = |&(number, face): &(usize, &Face)| {
        let long = length(face.line) >= LONE_WALL_M;
        let of = &groups[face.group];
        let closes = || !of.by_shape && lone.closes(face.line);
        let by_itself = (!of.by_shape && in_runs[number])
            || (long && (of.mapped || closes()) && !has_beside(face.line));
        let is_face = || beside(face.line, &joined, &near_joined, Axis::half_m);
        let may = face.kind == Kind::Line && (is_single(face.group) || by_itself);
        may && !is_face()
    };
    let single = found.single.iter().enumerate().filter(is_wall).map(|(_, face)| face);
    pieces.extend(single.map(|&Face { line, group, .. }| Piece { line, thickness_m: None, group }));
    let alone = pieces.iter().filter(|piece| piece.thickness_m.is_none()).count();
    let dropped = found.single.len() - alone;
    let taken = "taken as the middle of walls";
    let pieces = shapes::in_network(pieces, &|group| groups[group].by_shape);
    // Where each wall is one line, no number on one of them says anything.
    let marked = alone <= MOST_PLACES;
    let singles = pieces.iter().filter(|piece| marked && piece.thickness_m.is_none());
    let singles = singles.map(|Piece { line, .. }| (line.start + line.end) * 0.5);
    let fix = "map the layer to a construction or to none";
    guesses.add_all("single lines", taken, fix, alone, singles.map(PlanPoint::ground));
    let about = "lines of walls without a partner";
    let taken = "left out: jambs, ends and third faces of walls";
    let fix = "draw both faces of each wall, or map a layer of middle lines";
    guesses.add(about, taken, fix, dropped);
    pieces
}

/// Whether a wall runs beside a line, near enough for the line to be a part of it.
fn has_wall_beside(line: Line<f64>, walls: &[Axis], near: &LineIndex) -> bool {
    beside(line, walls, near, |_| BESIDE_M)
}

/// Whether a wall runs beside a line, so far off at most.
fn beside(
    line: Line<f64>,
    walls: &[Axis],
    near: &LineIndex,
    most_m: impl Fn(&Axis) -> f64,
) -> bool {
    let middle = (line.start + line.end) * 0.5;
    let around = around(Line::new(middle, middle), BESIDE_M);
    near.locate_in_envelope_intersecting(&around).any(|found| {
        let axis = &walls[found.data];
        let (at, off) = seen_from(axis.line, middle);
        askew(axis.line, line) < 0.1
            && off.abs() < most_m(axis) + 0.02
            && axis.spans.iter().any(|(from, to)| (*from..=*to).contains(&at))
    })
}
