//! Walls by their axes and layers, or by the footprints of their bodies.

use std::collections::BTreeMap;

use geo::{Area, Coord, Line, LinesIter, Simplify};

use super::links::Links;
use super::materials::{Made, made};
use super::notes::{Notes, Weight};
use super::shape::Body;
use super::space::{Frame, Space};
use super::storeys::{NEAR_FLOOR_M, Storeys};
use crate::dxf::faces::{Face, Kind, Piece, paired};
use crate::line::{distance, length, seen_from};
use plan::Diagnostic;

/// Thinnest and thickest wall that is believed, metres (our own choice).
const THICKNESS_M: (f64, f64) = (0.005, 2.0);
/// Shortest piece of a wall, metres.
const SHORTEST_M: f64 = 0.05;
/// A footprint fills at least so much of the rectangle around it, or it is no straight wall.
const LEAST_FILLED: f64 = 0.5;
/// A straight wall is at least so many times as long as thick; a stub may be shorter.
const LONG: f64 = 1.0;
/// What is finer in a footprint is not looked at, metres; and most sides of one.
const FINEST_M: f64 = 0.002;
const MAX_SIDES: usize = 1_000;
/// Ends of chords nearer than so much of the wall's thickness are one (our own choice).
const JOINT: f64 = 0.2;
/// Narrowest panel of a curtain wall, and how far one stands beside another at most, metres; and
/// most of them (our own choice).
const NARROWEST_M: f64 = 0.3;
const BESIDE_M: f64 = 0.15;
const MAX_PANELS: usize = 2_000;
/// Most pieces of one wall.
const MAX_PIECES: usize = 200;

/// A wall of the model.
pub(super) struct Wall {
    pub(super) number: u32,
    /// Its centre line, a piece after the other, metres.
    pub(super) lines: Vec<Line<f64>>,
    /// How thick it is, where that is known.
    pub(super) thickness_m: Option<f64>,
    /// From where to where it reaches above the plan's zero, where that is known.
    pub(super) heights: Option<(f64, f64)>,
    pub(super) made: Made,
    /// Whether its first layer is on the left of its centre line, where the model says it.
    pub(super) first_is_left: Option<bool>,
    pub(super) is_external: Option<bool>,
    pub(super) is_curtain: bool,
    /// The storey that it is in.
    pub(super) home: Option<usize>,
}

/// The centre lines of a wall, and how thick it is, where that is known.
type Centred = (Vec<Line<f64>>, Option<f64>);

/// Reads every wall and curtain wall.
pub(super) fn read(
    space: &mut Space<'_, '_>,
    links: &Links,
    storeys: &Storeys,
    notes: &mut Notes,
) -> Result<Vec<Wall>, Diagnostic> {
    let mut walls = Vec::new();
    for kind in ["IFCWALL", "IFCCURTAINWALL"] {
        let numbers: Vec<u32> = space.model.all(kind).collect();
        for number in numbers {
            let Some(product) = space.product(number)? else { continue };
            let body = space.whole_body(&product, links)?;
            let made = made(space.model, links, number, space.metres);
            let axis = space.axis(product.shape);
            let axis: Vec<Coord<f64>> = axis
                .into_iter()
                .map(|at| product.frame.place(at))
                .map(|at| Coord { x: at[0], y: at[1] })
                .collect();
            let mut lines: Vec<Line<f64>> =
                axis.windows(2).map(|pair| Line::new(pair[0], pair[1])).collect();
            lines.retain(|line| length(*line) >= 1e-3);
            let by_axis = lines.iter().map(|line| length(*line)).sum::<f64>() >= SHORTEST_M;
            let found = if by_axis {
                Some(centred(lines, &body, &made, &product.frame))
            } else if let Some((line, thickness_m)) = straight(&body) {
                Some((vec![line], Some(thickness_m)))
            } else if kind == "IFCCURTAINWALL" {
                panels(space, links, number)?
            } else {
                bent(&body)
            };
            let at = Some((space.model, number));
            let Some((mut lines, thickness_m)) = found else {
                let taken = if body.points.is_empty() {
                    "were left out, because they have neither an axis nor a body that is read"
                } else {
                    "were left out, because they have no axis and no footprint like a wall's"
                };
                let fix = "draw them in the plan";
                notes.tell(Weight::Missing, ("walls", taken, fix), at);
                continue;
            };
            lines.truncate(MAX_PIECES);
            if !by_axis && !body.points.is_empty() && kind == "IFCWALL" {
                let taken = "have no axis; the middle of their footprint was taken";
                let fix = "nothing to do if they are where they should be";
                notes.tell(Weight::Expected, ("walls", taken, fix), at);
            }
            if thickness_m.is_none() {
                let taken = "have no thickness: neither layers nor a body say it";
                let fix = "set \"thickness_mm\" in the plan where 0.1 m matters";
                notes.tell(Weight::Measure, ("walls", taken, fix), at);
            }
            let zero_m = storeys.zero_m;
            let first_is_left = made
                .offset
                .filter(|_| by_axis)
                .map(|(_, side)| (side > 0.0) != is_left(&product.frame, &lines));
            walls.push(Wall {
                number,
                lines,
                first_is_left,
                thickness_m,
                heights: body.heights().map(|(low, high)| (low - zero_m, high - zero_m)),
                made,
                is_external: links.is_external(number),
                is_curtain: kind == "IFCCURTAINWALL",
                home: storeys.home(links, number),
            });
        }
    }
    Ok(walls)
}

/// Whether the second axis of a wall's frame, along which its layers lie, is to the left of its
/// lines.
fn is_left(frame: &Frame, lines: &[Line<f64>]) -> bool {
    let first = lines.first().map_or(Coord::zero(), Line::delta);
    let [_, y, _] = frame.axes;
    first.x * y[1] - first.y * y[0] >= 0.0
}

/// An axis moved to the middle of its wall; and how thick the wall is.
fn centred(lines: Vec<Line<f64>>, body: &Body, made: &Made, frame: &Frame) -> Centred {
    let by_layers_m = made.thickness_m();
    let believed = |thick_m: f64| (THICKNESS_M.0..=THICKNESS_M.1).contains(&thick_m);
    let (mut shift_m, mut thickness_m) = (0.0, Some(by_layers_m).filter(|it| believed(*it)));
    if let Some((at, side)) = made.offset.filter(|_| thickness_m.is_some()) {
        let to_left = if is_left(frame, &lines) { 1.0 } else { -1.0 };
        shift_m = (at + side * by_layers_m / 2.0) * to_left;
    }
    // The body shows best where the wall is.
    if let [line] = lines.as_slice() {
        let off = body.points.iter().map(|at| seen_from(*line, Coord { x: at[0], y: at[1] }).1);
        let low = off.clone().fold(f64::INFINITY, f64::min);
        let high = off.fold(f64::NEG_INFINITY, f64::max);
        let agrees = thickness_m.is_none_or(|it| (high - low - it).abs() <= (0.1 * it).max(0.02));
        if low < high && believed(high - low) && agrees {
            shift_m = (low + high) / 2.0;
            thickness_m = Some(high - low);
        }
    }
    let moved = lines.into_iter().map(|line| {
        let left = Coord { x: -line.dy(), y: line.dx() } / length(line);
        Line::new(line.start + left * shift_m, line.end + left * shift_m)
    });
    (moved.collect(), thickness_m)
}

/// The centre line and thickness of a body that is long and straight in plan.
fn straight(body: &Body) -> Option<(Line<f64>, f64)> {
    let [a, b, c, d] = body.rectangle()?;
    let (first, second) = (length(Line::new(a, b)), length(Line::new(b, c)));
    let line = if first < second {
        Line::new((a + b) / 2.0, (c + d) / 2.0)
    } else {
        Line::new((b + c) / 2.0, (d + a) / 2.0)
    };
    let (thick_m, long_m) = (first.min(second), first.max(second));
    let (footprint, _) = body.footprint();
    let filled = footprint.unsigned_area() >= LEAST_FILLED * thick_m * long_m;
    let is_wall = (THICKNESS_M.0..=THICKNESS_M.1).contains(&thick_m)
        && long_m >= SHORTEST_M.max(LONG * thick_m);
    (is_wall && (filled || thick_m <= 0.5)).then_some((line, thick_m))
}

/// The centre lines of a footprint with corners or bends, where its sides run beside one another;
/// and how thick most of it is.
fn bent(body: &Body) -> Option<Centred> {
    let (footprint, by_hull) = body.footprint();
    if by_hull {
        return None;
    }
    let footprint = footprint.simplify(FINEST_M);
    let sides = footprint.lines_iter().filter(|side| length(*side) >= SHORTEST_M);
    let sides =
        sides.take(MAX_SIDES).map(|line| Face { line, group: 0, is_round: true, kind: Kind::Line });
    let mut pieces = paired(&sides.collect::<Vec<_>>()).pieces;
    let covers = |piece: &Piece| length(piece.line) * piece.thickness_m.unwrap_or(0.0);
    pieces.retain(|piece| length(piece.line) >= SHORTEST_M);
    pieces.sort_by(|a, b| covers(b).total_cmp(&covers(a)));
    let covered_m2: f64 = pieces.iter().map(covers).sum();
    if covered_m2 < LEAST_FILLED * footprint.unsigned_area() {
        return None;
    }
    let thickness_m = pieces.first()?.thickness_m;
    let mut lines: Vec<Line<f64>> = pieces.into_iter().map(|piece| piece.line).collect();
    lines.truncate(MAX_PIECES);
    closed(&mut lines, thickness_m.unwrap_or(0.0) * JOINT);
    Some((lines, thickness_m))
}

/// Brings ends of lines together that are no farther apart than a reach: chords of a bend.
fn closed(lines: &mut [Line<f64>], reach_m: f64) {
    for one in 0..lines.len() {
        for other in one + 1..lines.len() {
            let (mut a, mut b) = (lines[one], lines[other]);
            for end in [&mut a.start, &mut a.end] {
                for near in [&mut b.start, &mut b.end] {
                    if length(Line::new(*end, *near)) <= reach_m {
                        let middle = (*end + *near) / 2.0;
                        (*end, *near) = (middle, middle);
                    }
                }
            }
            (lines[one], lines[other]) = (a, b);
        }
    }
}

/// The lines along which the parts of a curtain wall stand, each once; and how thick the longest
/// is.
fn panels(
    space: &mut Space<'_, '_>,
    links: &Links,
    wall: u32,
) -> Result<Option<Centred>, Diagnostic> {
    let mut found = Vec::new();
    for part in links.parts.get(&wall).into_iter().flatten().take(MAX_PANELS) {
        let Some(product) = space.product(*part)? else { continue };
        let body = space.whole_body(&product, links)?;
        found.extend(straight(&body).filter(|(line, _)| length(*line) >= NARROWEST_M));
    }
    found.sort_by(|a, b| length(b.0).total_cmp(&length(a.0)));
    let mut lines: Vec<Line<f64>> = Vec::new();
    for (line, _) in &found {
        let beside = |at| {
            let is_near =
                |known: &&Line<f64>| distance(**known, seen_from(**known, at)) <= BESIDE_M;
            lines.iter().any(|known| is_near(&known))
        };
        let is_known =
            beside(line.start) && beside(line.end) && beside((line.start + line.end) / 2.0);
        if !is_known && lines.len() < MAX_PIECES {
            lines.push(*line);
        }
    }
    let thickness_m = found.first().map(|(_, thickness_m)| *thickness_m);
    Ok((!lines.is_empty()).then_some((lines, thickness_m)))
}

/// How high the walls of each storey reach.
pub(super) fn tops(walls: &[Wall], storeys: &Storeys) -> BTreeMap<usize, Vec<f64>> {
    let mut tops: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for wall in walls {
        let Some((low_m, high_m)) = wall.heights else { continue };
        let (near, off_m) = storeys.nearest(low_m);
        let home = wall.home.filter(|_| off_m > NEAR_FLOOR_M).unwrap_or(near);
        tops.entry(home).or_default().push(high_m);
    }
    tops
}
