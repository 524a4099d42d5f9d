//! Drawings in the Drawing Interchange Format (DXF), as text or binary.
//!
//! What becomes what (in the drawing: in the plan):
//! - `LINE`, `LWPOLYLINE`, `POLYLINE` (with bulges), `ARC` on layers of walls: two that run beside
//!   one another, 40 to 600 mm apart, are the faces of a wall: its middle line with its thickness;
//!   arcs in pieces that are at most 5 mm off
//! - `HATCH`, `SOLID`, `TRACE`, `3DFACE` on layers of walls: their edges are faces, as far as no
//!   line is drawn there and nothing filled is on the other side (see `fills`); what is wider than
//!   walls is left out
//! - `ELLIPSE`, `SPLINE`, `MLINE`: their lines, curves in chords (see `curves`)
//! - polylines as wide as walls: walls, unless they run in pairs as faces do
//! - one line alone: a wall of unknown thickness if the layer has no double lines, or if it is at
//!   least 1 m long, the user mapped its layer, and no wall runs beside it; else it is left out
//! - `INSERT` with scale, rotation, mirroring, rows and columns, one in another: its block, put
//!   there; what is on layer 0 in it takes over the insert's layer
//! - ends at the face of another wall: drawn to its middle, so that corners and T joints close
//! - a gap of 0.5 to 4 m between the ends of walls, or from an end to the face of a crossing wall:
//!   an opening, by what any layer or block draws there (see `gaps`)
//! - arcs and lines on layers or in blocks of doors and windows over unbroken wall: an opening over
//!   the stretch of wall that they cover, of a door where the leaf lies when shut
//! - groups of walls more than 1.5 m apart: drawings of their own on one sheet (see `sheet`)
//! - circles and rectangles on layers and in blocks of columns, and those of 0.1 to 1 m that stand
//!   free on layers of walls: columns (see `columns`)
//! - `TEXT`, `MTEXT`, `ATTRIB` in a closed room: its name, if it is the largest there that may be
//!   one (see `names`)
//! - `$INSUNITS`, `$MEASUREMENT`: the unit
//!
//! What a layer or block holds the user says, else its name, else, if no name says walls, how its
//! lines run. Layers that are switched off or frozen are left out. Not read: other
//! circles, regions, bodies in space, measures, paper space, references to other files, line types
//! and colours, heights. All is put on one level, unless the user stacks drawings (see `stack`).

mod axes;
mod build;
mod columns;
mod curves;
mod entity;
mod faces;
mod fills;
mod gaps;
mod groups;
mod layers;
mod marks;
mod names;
mod notes;
mod openings;
mod scale;
mod sheet;
mod stack;
mod strokes;
mod trade;
mod view;

use std::collections::{BTreeMap, BTreeSet};

use geo::{BoundingRect, Coord, Line, MultiPoint, Rect};

use self::axes::{Axis, axes, belongs, close_corners, reaches, stands};
use self::build::House;
use self::faces::{Face, Kind, Paired, Piece, WallGroup, paired, pieces_across, short_pieces};
pub(super) use self::groups::BINARY;
use self::layers::{Role, Roles, Use, roles};
use self::marks::{Mark, Marks, Swing};
use self::openings::{LEAF_M, Placed, SWING_DEG, Sign, place_openings};
use self::sheet::Sheet;
use self::strokes::{Body, Drawn, Round, Stroke, Strokes, flattened, strokes};
use self::view::View;
use crate::guess::Guesses;
use crate::line::{LineIndex, around, askew, length, seen_from};
use crate::{Draft, Settings, whole_file};
use plan::{Diagnostic, MAX_EXTENT_M};

/// How far a flattened arc may be off, metres.
const SAGITTA_M: f64 = 0.005;
/// Thickness of most walls, metres (our own choice).
const USUAL_M: std::ops::RangeInclusive<f64> = 0.05..=0.45;
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
    let drawn = strokes(name, &groups)?;
    let mut guesses = Guesses::default();
    let likely =
        |roles: &Roles, layers: &[usize]| likely_walls(&drawn, roles, layers, &groups, settings);
    let roles = roles(name, &drawn, &groups.hidden, settings, &likely, &mut guesses)?;
    let is_wall = |stroke: &&Stroke| roles.of(stroke).0 == Use::Wall;
    let Some(corners) = corners(drawn.strokes.iter().filter(is_wall)) else {
        let fix = "map another layer: --map LAYER=brick-half";
        return Err(vec![whole_file(name, "the layers of walls hold no lines", fix)]);
    };
    let low = corners.min();
    // How much of the walls comes in pairs, as walls are thick, tells units of like size apart.
    let looks_like_walls = |metres: f64| {
        let trial = Drawing::new(&drawn, &roles, metres, low);
        let pieces = paired(&trial.faces(None).0).pieces.into_iter();
        let thick = pieces.filter(|piece| piece.thickness_m.is_some_and(|m| USUAL_M.contains(&m)));
        thick.map(|piece| length(piece.line)).sum::<f64>() / metres
    };
    let size = corners.width().max(corners.height());
    let size = scale::Size { across: size, lines: long(drawn.strokes.iter().filter(is_wall)) };
    let metres = scale::metres_per_unit(&groups, settings, &size, &looks_like_walls, &mut guesses);
    let size = size.across;
    let size_m = size * metres;
    if size_m > MAX_EXTENT_M {
        let what = format!(
            "the walls are {size_m:.0} m across; a plan is at most {MAX_EXTENT_M} m across"
        );
        let fix = "give the unit with --unit, or leave out the layer that is far off";
        return Err(vec![whole_file(name, what, fix)]);
    }
    let mut drawing = Drawing::new(&drawn, &roles, metres, low);
    let view = View {
        strokes: &drawn,
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
    let sheet = Sheet::of(&stands(&axes).iter().map(|one| one.2).collect::<Vec<_>>());
    let (mut openings, mut roles, used) = in_gaps(&mut axes, &sheet, &marks);
    let (shapes, more): (Vec<Sign>, Vec<Role<'_>>) =
        drawing.signs(&marks, &used).into_iter().unzip();
    let (mut placed, lost_swings) = place_openings(&axes, &shapes, &openings);
    placed.iter_mut().for_each(|opening| opening.sign += roles.len());
    roles.extend(more);
    for opening in &placed {
        axes[opening.axis].add(opening.from, opening.to);
    }
    openings.append(&mut placed);
    axes.iter_mut().for_each(Axis::settle);
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
        labels: &labels,
        columns: &columns,
        stairs: &stairs,
    };
    let wrong = |what| vec![whole_file(name, what, "choose one of the drawings that are listed")];
    let mut draft = house.draft(&mut guesses).map_err(wrong)?;
    notes::report(&groups, &drawn, lost_swings, corners_closed, &mut guesses);
    draft.guesses = guesses.0;
    Ok(draft)
}

/// The layer, of some without a name that says anything, whose lines look most like the faces of
/// walls: at least a third of them run in pairs, for eight metres together and two ways.
fn likely_walls(
    drawn: &Strokes,
    roles: &Roles,
    layers: &[usize],
    groups: &groups::Groups,
    settings: &Settings,
) -> Option<usize> {
    /// Most layers and most lines of one that are looked at (our own choice: it bounds the time).
    const MOST: (usize, usize) = (6, 20_000);
    let mut best: Option<(f64, usize)> = None;
    for &layer in layers.iter().take(MOST.0) {
        let on_layer = |stroke: &&Stroke| stroke.layer == layer;
        let count = drawn.strokes.iter().filter(on_layer).count();
        let own = roles.with_walls(layer);
        let corners = corners(drawn.strokes.iter().filter(on_layer));
        let Some(corners) = corners.filter(|_| count <= MOST.1) else { continue };
        let across = corners.width().max(corners.height());
        let lines = long(drawn.strokes.iter().filter(on_layer));
        let size = scale::Size { across, lines };
        let pairs = |metres: f64| {
            let faces = Drawing::new(drawn, &own, metres, corners.min()).faces(None).0;
            let is_wall = |piece: &Piece| {
                length(piece.line) >= 0.5
                    && piece.thickness_m.is_some_and(|thick| USUAL_M.contains(&thick))
            };
            let walls: Vec<Piece> = paired(&faces).pieces.into_iter().filter(is_wall).collect();
            (walls, faces.iter().map(|face| length(face.line)).sum::<f64>())
        };
        let sum = |walls: &[Piece]| walls.iter().map(|wall| length(wall.line)).sum::<f64>();
        let share = |metres: f64| sum(&pairs(metres).0) / metres;
        let mut unsaid = Guesses::default();
        let metres = scale::metres_per_unit(groups, settings, &size, &share, &mut unsaid);
        let (walls, drawn_m) = pairs(metres);
        let walls_m = sum(&walls);
        let two_ways = walls.iter().any(|wall| askew(wall.line, walls[0].line) > 0.9);
        let looks = walls_m >= 8.0 && 2.0 * walls_m >= drawn_m / 3.0 && two_ways;
        if looks && best.is_none_or(|(most_m, _)| walls_m > most_m) {
            best = Some((walls_m, layer));
        }
    }
    best.map(|(_, layer)| layer)
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
        if gap.is_too_narrow(&filled) {
            continue;
        }
        axes[gap.axis].add(gap.reach.0, gap.reach.1);
        used.extend(filled.used);
        if let Some(role) = filled.meant {
            openings.push(Placed { axis: gap.axis, from: gap.from, to: gap.to, sign: roles.len() });
            roles.push(role);
        }
    }
    axes.iter_mut().for_each(Axis::settle);
    (openings, roles, used)
}

/// How long lines are together, in the drawing's unit, arcs as their chords.
fn long<'s>(strokes: impl Iterator<Item = &'s Stroke>) -> f64 {
    strokes.map(|stroke| length(Line::new(stroke.drawn.start, stroke.drawn.end))).sum()
}

fn corners<'s>(strokes: impl Iterator<Item = &'s Stroke>) -> Option<Rect<f64>> {
    let pieces = strokes.flat_map(|stroke| flattened(stroke.drawn, 0.0, 0.0));
    MultiPoint::from_iter(pieces.flat_map(|(start, end)| [start, end])).bounding_rect()
}

struct Drawing<'d> {
    strokes: &'d Strokes,
    roles: &'d Roles,
    metres: f64,
    low: Coord<f64>,
    /// The least and largest radius of arcs round each middle, in the drawing's unit.
    radii: BTreeMap<(i64, i64), (f64, f64)>,
    /// Strokes on layers of walls with which columns are drawn.
    in_columns: BTreeSet<usize>,
}

/// The middle of an arc, to a centimetre.
fn middle_key(middle: Coord<f64>, metres: f64) -> (i64, i64) {
    #[expect(clippy::cast_possible_truncation, reason = "a key: what is cut off does no harm")]
    let whole = |at: f64| (at * metres * 100.0).round() as i64;
    (whole(middle.x), whole(middle.y))
}

impl<'d> Drawing<'d> {
    fn new(strokes: &'d Strokes, roles: &'d Roles, metres: f64, low: Coord<f64>) -> Self {
        let mut radii: BTreeMap<(i64, i64), (f64, f64)> = BTreeMap::new();
        for Drawn { start, round, .. } in strokes.strokes.iter().map(|stroke| stroke.drawn) {
            if let Some(Round { middle, .. }) = round {
                let radius = length(Line::new(middle, start));
                let known = radii.entry(middle_key(middle, metres)).or_insert((radius, radius));
                *known = (known.0.min(radius), known.1.max(radius));
            }
        }
        Self { strokes, roles, metres, low, radii, in_columns: BTreeSet::new() }
    }

    fn local(&self, at: Coord<f64>) -> Coord<f64> {
        (at - self.low) * self.metres
    }

    /// What was drawn as straight lines in metres.
    fn lines(&self, drawn: Drawn) -> Vec<Line<f64>> {
        let same = |round: Round| self.radii.get(&middle_key(round.middle, self.metres));
        let like = drawn.round.and_then(same).map_or(0.0, |(_, largest)| *largest);
        flattened(drawn, SAGITTA_M / self.metres, like)
            .into_iter()
            .map(|(start, end)| Line::new(self.local(start), self.local(end)))
            .filter(|line| length(*line) > 1e-4)
            .collect()
    }

    /// The faces of walls; a group is one layer, or all layers mapped to one construction.
    /// The swings of leaves are none, nor are leaves, nor filled areas wider than walls: of these
    /// it gives how many.
    fn faces(&self, marks: Option<&Marks<'_>>) -> (Vec<Face>, Vec<WallGroup>, usize) {
        let mut groups: Vec<WallGroup> = Vec::new();
        let mut numbers: BTreeMap<(Option<&str>, Option<usize>), usize> = BTreeMap::new();
        let (mut faces, mut edges) = (Vec::new(), Vec::new());
        let leaves = marks.map(Marks::all_leaves).unwrap_or_default();
        for (number, stroke) in self.strokes.strokes.iter().enumerate() {
            let (Use::Wall, construction) = self.roles.of(stroke) else { continue };
            let is_column = self.in_columns.contains(&number);
            if is_column || self.swing(stroke).is_some() || leaves.contains(&number) {
                continue;
            }
            let of_layer = construction.is_none().then_some(stroke.layer);
            let group = *numbers.entry((construction, of_layer)).or_insert_with(|| {
                groups.push(WallGroup {
                    layer: self.strokes.layers[stroke.layer].clone(),
                    construction: construction.map(str::to_owned),
                    mapped: self.roles.is_mapped(stroke.layer),
                });
                groups.len() - 1
            });
            let is_round = stroke.drawn.round.is_some() || stroke.drawn.is_chord;
            let face = |line, kind| Face { line, group, is_round, kind };
            let lines = self.lines(stroke.drawn).into_iter();
            match stroke.body {
                Body::Fill { number: fill, left } => edges.extend(lines.map(|line| {
                    let face = face(line, Kind::Fill);
                    fills::Edge { fill, left, face }
                })),
                Body::Wide(width) => {
                    let kind = Kind::Wide(width * self.metres);
                    faces.extend(lines.map(|line| face(line, kind)));
                }
                Body::Line => {
                    faces.extend(lines.map(|line| face(line, Kind::Line)));
                }
            }
        }
        fills::wide_lines(&mut faces);
        fills::without_doubles(&mut faces);
        let lost_fills = fills::with_fills(&mut faces, edges);
        (faces, groups, lost_fills)
    }

    /// The swing of a leaf, if a stroke can be one: hinge, radius in metres and how far round. An
    /// arc with another round the same middle is a face of a round wall.
    fn swing(&self, stroke: &Stroke) -> Option<(Coord<f64>, f64)> {
        let is_line = !matches!(stroke.body, Body::Fill { .. });
        let Round { middle, sweep_deg } = stroke.drawn.round.filter(|_| is_line)?;
        let (least, largest) = *self.radii.get(&middle_key(middle, self.metres))?;
        let radius = length(Line::new(middle, stroke.drawn.start)) * self.metres;
        let is_wall = self.roles.of(stroke).0 == Use::Wall;
        let is_round_wall = is_wall && (largest - least) * self.metres > 0.03;
        let is_swing = (SWING_DEG.0..=SWING_DEG.1).contains(&sweep_deg.abs())
            && (LEAF_M.0..=LEAF_M.1).contains(&radius);
        (is_swing && !is_round_wall).then(|| (self.local(middle), sweep_deg))
    }

    /// All that may stand in a gap of a wall.
    fn marks(&self) -> Marks<'d> {
        let (mut swings, mut lines) = (Vec::new(), Vec::new());
        for (number, stroke) in self.strokes.strokes.iter().enumerate() {
            let role = self.roles.of(stroke);
            // A fill says no more than the lines round it.
            if role.0 == Use::Notes || matches!(stroke.body, Body::Fill { .. }) {
                continue;
            }
            let key = stroke.key(number);
            if let Some((hinge, sweep_deg)) = self.swing(stroke) {
                let ends = [self.local(stroke.drawn.start), self.local(stroke.drawn.end)];
                swings.push(Swing { hinge, ends, sweep_deg, role, key });
            } else if stroke.drawn.round.is_none() {
                let lines_of = self.lines(stroke.drawn).into_iter();
                lines.extend(lines_of.map(|line| Mark { line, role, key, stroke: number }));
            }
        }
        Marks::new(swings, lines)
    }

    /// Doors and windows as drawn that no gap has used, each with its role. Of an insert with arcs
    /// the arcs count, of one without all of its lines together.
    fn signs<'m>(&self, marks: &'m Marks<'d>, used: &BTreeSet<usize>) -> Vec<(Sign, Role<'m>)> {
        let mut signs = Vec::new();
        let mut with_swing = BTreeSet::new();
        for swing in marks.swings() {
            let is_named = matches!(swing.role.0, Use::Door | Use::DoorOrWindow);
            if !is_named || used.contains(&swing.key) {
                continue;
            }
            with_swing.insert(swing.key);
            let [start, end] = swing.ends;
            // It is shut where no leaf is drawn.
            let turned = marks.stands_open_at(swing, start) && !marks.stands_open_at(swing, end);
            let ends = if turned { [end, start] } else { [start, end] };
            let sign = Sign::Swing { hinge: swing.hinge, ends, sweep_deg: swing.sweep_deg };
            signs.push((sign, (Use::Door, swing.role.1)));
        }
        let mut inserts: BTreeMap<usize, (Vec<Line<f64>>, Role<'d>)> = BTreeMap::new();
        for (number, stroke) in self.strokes.strokes.iter().enumerate() {
            let role = match self.roles.of(stroke) {
                (Use::DoorOrWindow, made) => (Use::Window, made),
                role @ (Use::Door | Use::Window, _) => role,
                _ => continue,
            };
            let key = stroke.key(number);
            if used.contains(&key) || with_swing.contains(&key) || self.swing(stroke).is_some() {
                continue;
            }
            let lines = self.lines(stroke.drawn);
            if stroke.insert.is_some() {
                inserts.entry(key).or_insert_with(|| (Vec::new(), role)).0.extend(lines);
            } else {
                // Each by itself: a leaf that stands open lies in no wall.
                signs.extend(lines.into_iter().map(|line| (Sign::Lines(vec![line]), role)));
            }
        }
        let whole = inserts.into_values().filter(|(lines, _)| !lines.is_empty());
        signs.extend(whole.map(|(lines, role)| (Sign::Lines(lines), role)));
        signs
    }
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
    let is_wall = |face: &&Face| {
        let long = length(face.line) >= LONE_WALL_M;
        let by_itself =
            long && groups[face.group].mapped && !has_wall_beside(face.line, &walls, &near);
        let is_face = || beside(face.line, &joined, &near_joined, Axis::half_m);
        let may = face.kind == Kind::Line && (is_single(face.group) || by_itself);
        may && !is_face()
    };
    let single = found.single.iter().filter(is_wall);
    pieces.extend(single.map(|&Face { line, group, .. }| Piece { line, thickness_m: None, group }));
    let alone = pieces.iter().filter(|piece| piece.thickness_m.is_none()).count();
    let dropped = found.single.len() - alone;
    let taken = "taken as the middle of walls";
    guesses.add("single lines", taken, "map the layer to a construction or to none", alone);
    let about = "lines of walls without a partner";
    let taken = "left out: jambs, ends and third faces of walls";
    guesses.add(
        about,
        taken,
        "draw both faces of each wall, or map a layer of middle \
                               lines",
        dropped,
    );
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
