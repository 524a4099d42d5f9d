//! Columns: circles and squares on layers and in blocks of columns, and those that stand free on
//! layers of walls.

use std::collections::BTreeSet;
use std::ops::Range;

use geo::{BoundingRect, Centroid, Coord, Line, Polygon};

use super::axes::Axis;
use super::layers::Use;
use super::strokes::Spot;
use super::view::View;
use crate::areas::sound;
use crate::columns::{COLUMN_FACE, WIDEST_M, column};
use crate::guess::Guesses;
use crate::line::{LineIndex, around, index, length, seen_from};
use crate::{LEAVE_OUT, Piece};

/// Thinnest column, and widest on a layer of walls, metres (our own choice).
const SIZE_M: (f64, f64) = (0.1, 1.0);
/// How much longer than wide a square on a layer of walls may be (our own choice).
const SQUARE: f64 = 1.3;
/// What stands nearer than this to a wall is a part of it, metres (our own choice).
const FREE_M: f64 = 0.05;
/// Outlines whose middles are nearer than this are one column, metres (our own choice).
const SAME_M: f64 = 0.1;
/// Most that are looked at (our own choice: it bounds the time of a hostile file).
const MOST: usize = 5_000;

/// A column, in metres of the plan.
pub(super) struct Column {
    pub(super) outline: Polygon<f64>,
    pub(super) middle: Coord<f64>,
    wide_m: f64,
    construction: Option<String>,
}

/// The columns of a drawing, and the strokes that they are drawn with on layers of walls.
pub(super) fn columns(drawing: &View<'_>) -> (Vec<Column>, BTreeSet<usize>) {
    let squares = squares(drawing);
    let spots = drawing.strokes.spots.iter().chain(&squares);
    let (mut columns, mut own) = (Vec::<Column>::new(), BTreeSet::new());
    let mut walls: Option<(Vec<Numbered>, LineIndex)> = None;
    for spot in spots.take(MOST) {
        let (meant, construction) = drawing.roles.at(spot.layer, spot.block);
        if !matches!(meant, Use::Column | Use::Wall) || construction == Some(LEAVE_OUT) {
            continue;
        }
        let Some((outline, long_m, wide_m)) = shaped(drawing, spot) else { continue };
        let most_m = if meant == Use::Column { WIDEST_M } else { SIZE_M.1.min(SQUARE * wide_m) };
        if wide_m < SIZE_M.0 || long_m > most_m {
            continue;
        }
        let (Some(middle), Some(whole)) = (outline.centroid(), outline.bounding_rect()) else {
            continue;
        };
        if meant == Use::Wall {
            let (lines, by_place) = walls.get_or_insert_with(|| {
                let lines = wall_lines(drawing);
                let by_place = index(lines.iter().map(|one| one.1));
                (lines, by_place)
            });
            // What is drawn within it belongs to it.
            let reach = around(Line::new(whole.min(), whole.max()), FREE_M);
            let near = by_place.locate_in_envelope_intersecting(&reach).map(|at| lines[at.data]);
            let within = |line: Line<f64>| {
                [line.start, line.end].into_iter().all(|at| {
                    let (low, high) = (whole.min(), whole.max());
                    let inside =
                        |at: f64, low: f64, high: f64| at >= low - 0.01 && at <= high + 0.01;
                    inside(at.x, low.x, high.x) && inside(at.y, low.y, high.y)
                })
            };
            let (inner, others): (Vec<_>, Vec<_>) = near.partition(|one| within(one.1));
            if !others.is_empty() {
                continue;
            }
            own.extend(inner.into_iter().map(|one| one.0));
            own.extend(Range::clone(&spot.strokes));
        }
        let middle = middle.0;
        let same = |one: &&mut Column| length(Line::new(one.middle, middle)) < SAME_M;
        let construction = construction.map(str::to_owned);
        let found = Column { outline, middle, wide_m, construction };
        match columns.iter_mut().find(same) {
            Some(known) if known.wide_m >= wide_m => {}
            Some(known) => *known = found,
            None => columns.push(found),
        }
    }
    (columns, own)
}

/// Squares of four lines in a row, each by itself, on layers of columns.
fn squares(drawing: &View<'_>) -> Vec<Spot> {
    let all = &drawing.strokes.strokes;
    let known: BTreeSet<usize> =
        drawing.strokes.spots.iter().map(|spot| spot.strokes.start).collect();
    let mut found = Vec::new();
    let mut at = 0;
    while let Some(four) = all.get(at..at + 4) {
        let (layer, block) = (four[0].layer, four[0].block);
        let is_one = !known.contains(&at)
            && four
                .iter()
                .all(|it| (it.layer, it.block) == (layer, block) && it.drawn.round.is_none())
            && drawing.roles.at(layer, block).0 == Use::Column
            && (0..4).all(|side| four[side].drawn.end == four[(side + 1) % 4].drawn.start);
        if is_one {
            let ring = four.iter().map(|it| it.drawn.start).collect();
            found.push(Spot { ring, layer, block, strokes: at..at + 4 });
        }
        at += if is_one { 4 } else { 1 };
    }
    found
}

/// The number of a stroke with a line of it.
type Numbered = (usize, Line<f64>);

/// Lines on layers of walls, with the numbers of their strokes.
fn wall_lines(drawing: &View<'_>) -> Vec<Numbered> {
    let strokes = drawing.strokes.strokes.iter().enumerate();
    let of_walls = strokes.filter(|(_, stroke)| drawing.roles.of(stroke).0 == Use::Wall);
    of_walls
        .flat_map(|(number, stroke)| {
            (drawing.lines)(stroke.drawn).into_iter().map(move |line| (number, line))
        })
        .collect()
}

/// A spot as an outline with its length and width, metres; nothing if it is no circle and no
/// rectangle.
fn shaped(drawing: &View<'_>, spot: &Spot) -> Option<(Polygon<f64>, f64, f64)> {
    let ring: Vec<Coord<f64>> = spot.ring.iter().map(|at| (drawing.local)(*at)).collect();
    let (a, b) = match ring.as_slice() {
        [p, q, r, s] => {
            let sides = [(p, q), (q, r), (r, s), (s, p)].map(|(from, to)| Line::new(*from, *to));
            let [a, b, c, d] = sides.map(length);
            let square = sides[0].delta() / a;
            let cosine = (square.x * sides[1].dx() + square.y * sides[1].dy()).abs() / b;
            let like = |x: f64, y: f64| (x - y).abs() <= 0.05 * x.max(y);
            (cosine < 0.1 && like(a, c) && like(b, d)).then_some((a, b))?
        }
        _ => {
            let whole = Polygon::new(ring.iter().copied().collect(), vec![]).bounding_rect()?;
            (whole.width(), whole.height())
        }
    };
    let outline = sound(&Polygon::new(ring.into_iter().collect(), vec![]))?;
    Some((outline, a.max(b), a.min(b)))
}

/// Columns that stand in what is kept, but for those that a wall holds.
pub(super) fn pieces(
    columns: &[Column],
    axes: &[Axis],
    is_kept: &dyn Fn(Coord<f64>) -> bool,
    guesses: &mut Guesses,
) -> Vec<Piece> {
    let in_wall = |column: &&Column| {
        axes.iter().any(|axis| {
            let (at, off) = seen_from(axis.line, column.middle);
            off.abs() < axis.half_m()
                && column.wide_m <= 2.0 * axis.half_m() + SIZE_M.0
                && axis.spans.iter().any(|(from, to)| (*from..=*to).contains(&at))
        })
    };
    let kept = columns.iter().filter(|column| is_kept(column.middle) && !in_wall(column));
    let pieces: Vec<Piece> = kept
        .map(|one| {
            let construction = one.construction.as_deref().unwrap_or(COLUMN_FACE);
            column(0, one.outline.clone(), construction)
        })
        .collect();
    let taken = format!("taken as obstacles, their faces of {COLUMN_FACE}");
    guesses.add("columns", taken, "--map COLUMNS=sheet-metal, or =none", pieces.len());
    pieces
}
