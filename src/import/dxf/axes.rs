//! Pieces of wall on one straight line as one wall, with corners closed.

use std::collections::BTreeMap;

use geo::{Coord, Line};

use super::faces::Piece;
use crate::line::{LineIndex, along, around, askew, index, length, seen_from};

/// Pieces that miss one line by less than this lie on it, metres (our own choice).
const ON_LINE_M: f64 = 0.03;
/// Pieces of one wall differ in thickness by at most this, metres (our own choice: plaster).
const SAME_THICKNESS_M: f64 = 0.04;
/// Sine of the largest angle between pieces of one wall: a third of a degree.
const SAME_WAY: f64 = 0.006;
/// Half a turn in such steps.
const HALF_TURN: i64 = 524;
/// A gap up to this within a wall closes, metres (our own choice: no door is so narrow).
pub(super) const CLOSE_GAP_M: f64 = 0.12;
/// Thickness of a wall of one line, for its corners, metres (our own choice).
const USUAL_M: f64 = 0.1;
/// How much farther than half of both walls an end may be from its corner, metres (own choice).
const SLACK_M: f64 = 0.06;
/// Ends nearer to one another than this meet already, metres: those of the pieces of a round wall.
const MEET_M: f64 = 0.002;
/// Pieces of a round wall miss one another by at most this, metres (our own choice: the faces of a
/// wall 0.4 m thick in steps of eleven degrees).
const ROUND_M: f64 = 0.05;
/// Most looks at a neighbour in all (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 4_000_000;

pub(super) struct Axis {
    /// Its first piece: places along it are metres from this one's start.
    pub(super) line: Line<f64>,
    pub(super) group: usize,
    pub(super) thickness_m: Option<f64>,
    /// Where walls stand, ascending, apart from one another.
    pub(super) spans: Vec<(f64, f64)>,
}

impl Axis {
    pub(super) fn half_m(&self) -> f64 {
        self.thickness_m.unwrap_or(USUAL_M) / 2.0
    }

    pub(super) fn add(&mut self, from: f64, to: f64) {
        self.spans.push((from.min(to), from.max(to)));
    }

    /// Puts stretches in order and together.
    pub(super) fn settle(&mut self) {
        self.spans.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let mut joined: Vec<(f64, f64)> = Vec::with_capacity(self.spans.len());
        for &(from, to) in &self.spans {
            match joined.last_mut() {
                Some(last) if from <= last.1 + CLOSE_GAP_M => last.1 = last.1.max(to),
                _ => joined.push((from, to)),
            }
        }
        self.spans = joined;
    }
}

/// An index of axes, each from its first wall to its last.
pub(super) fn reaches(axes: &[Axis]) -> LineIndex {
    index(axes.iter().map(|axis| {
        let ends = axis.spans.first().zip(axis.spans.last());
        let (first, last) = ends.map_or((0.0, 0.0), |(first, last)| (first.0, last.1));
        Line::new(along(axis.line, first), along(axis.line, last))
    }))
}

/// A key under which pieces of one line are found: group, direction and distance from the zero.
fn key(group: usize, line: Line<f64>) -> (usize, i64, i64) {
    let angle = line.dy().atan2(line.dx()).rem_euclid(std::f64::consts::PI);
    let middle = (line.start + line.end) * 0.5;
    let off = -middle.x * angle.sin() + middle.y * angle.cos();
    #[expect(clippy::cast_possible_truncation, reason = "angles, and places within kilometres")]
    let whole = |number: f64| number.round() as i64;
    (group, whole(angle / SAME_WAY), whole(off / ON_LINE_M))
}

/// Pieces on one line together, the longest first.
pub(super) fn axes(pieces: &[Piece]) -> Vec<Axis> {
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by(|&a, &b| {
        length(pieces[b].line).total_cmp(&length(pieces[a].line)).then(a.cmp(&b))
    });
    let mut axes: Vec<Axis> = Vec::new();
    let mut known: BTreeMap<(usize, i64, i64), Vec<usize>> = BTreeMap::new();
    for number in order {
        let piece = &pieces[number];
        let (group, angle, off) = key(piece.group, piece.line);
        let keys = [angle, angle - 1, angle + 1].into_iter().flat_map(|angle| {
            // Half a turn on, the same direction lies on the other side of the zero.
            let wrapped = angle.rem_euclid(HALF_TURN);
            let side = if wrapped == angle { 1 } else { -1 };
            [off, off - 1, off + 1].map(|off| (group, wrapped, side * off))
        });
        let mut beside = keys.filter_map(|key| known.get(&key)).flatten().copied();
        let found = beside.find(|&axis| belongs(piece, &axes[axis]));
        let axis = found.unwrap_or_else(|| {
            let (line, thickness_m) = (piece.line, piece.thickness_m);
            axes.push(Axis { line, group, thickness_m, spans: Vec::new() });
            known.entry((group, angle, off)).or_default().push(axes.len() - 1);
            axes.len() - 1
        });
        let line = axes[axis].line;
        axes[axis].add(seen_from(line, piece.line.start).0, seen_from(line, piece.line.end).0);
    }
    axes.iter_mut().for_each(Axis::settle);
    axes
}

pub(super) fn belongs(piece: &Piece, axis: &Axis) -> bool {
    let same_thickness = match (piece.thickness_m, axis.thickness_m) {
        (Some(a), Some(b)) => (a - b).abs() <= SAME_THICKNESS_M,
        (None, None) => true,
        _ => false,
    };
    let off = |at| seen_from(axis.line, at).1.abs();
    same_thickness
        && askew(piece.line, axis.line) <= SAME_WAY
        && off(piece.line.start) <= ON_LINE_M
        && off(piece.line.end) <= ON_LINE_M
}

/// Every span: its axis, its number there, and where it stands.
pub(super) fn stands(axes: &[Axis]) -> Vec<(usize, usize, Line<f64>)> {
    let of_axis = |(number, axis): (usize, &Axis)| {
        let line = axis.line;
        let spans: Vec<(f64, f64)> = axis.spans.clone();
        spans.into_iter().enumerate().map(move |(span, (from, to))| {
            (number, span, Line::new(along(line, from), along(line, to)))
        })
    };
    axes.iter().enumerate().flat_map(of_axis).collect()
}

/// Draws ends at the face of another wall, or past its middle, to the middle. Gives how many.
pub(super) fn close_corners(axes: &mut [Axis]) -> usize {
    let stands = stands(axes);
    let index = index(stands.iter().map(|(_, _, line)| *line));
    let mut looks = 0;
    let mut moves: Vec<(usize, usize, bool, f64)> = Vec::new();
    for &(axis, span, line) in &stands {
        for at_end in [false, true] {
            let end = if at_end { line.end } else { line.start };
            if let Some(place) = joint(axes, &stands, &index, (axis, span), end, &mut looks) {
                moves.push((axis, span, at_end, place));
            }
        }
    }
    let mut moved = 0;
    for (axis, span, at_end, place) in moves {
        let span = &mut axes[axis].spans[span];
        let end = if at_end { &mut span.1 } else { &mut span.0 };
        moved += usize::from((*end - place).abs() > 1e-4);
        *end = place;
    }
    for axis in axes.iter_mut() {
        axis.spans.retain(|(from, to)| to - from > 0.01);
    }
    moved
}

/// Where along its axis an end meets the middle of another wall, if it is drawn to one.
fn joint(
    axes: &[Axis],
    stands: &[(usize, usize, Line<f64>)],
    index: &LineIndex,
    (axis, span): (usize, usize),
    end: Coord<f64>,
    looks: &mut usize,
) -> Option<f64> {
    let own = &axes[axis];
    let here = seen_from(own.line, end).0;
    let reach = own.half_m() + 0.3 + SLACK_M;
    let near = around(Line::new(end, end), reach);
    let mut best: Option<f64> = None;
    for found in index.locate_in_envelope_intersecting(&near) {
        *looks += 1;
        if *looks > MOST_LOOKS {
            return best;
        }
        let (other, other_span, line) = stands[found.data];
        let meets = |at: Coord<f64>| (at - end).x.hypot((at - end).y) < MEET_M;
        if (other, other_span) != (axis, span) && (meets(line.start) || meets(line.end)) {
            return None;
        }
        // Ten degrees; what meets at less is a round wall's next piece, or one side of a bend.
        let angle = askew(own.line, line);
        let is_bend = angle < 0.17;
        if (other, other_span) == (axis, span) || angle < 0.02 {
            continue;
        }
        let Some(place) = crossing(own.line, line) else { continue };
        let slack = if is_bend { ROUND_M } else { own.half_m() + axes[other].half_m() + SLACK_M };
        let (on_other, _) = seen_from(line, along(own.line, place));
        let at_an_end = on_other.abs() < slack || (on_other - length(line)).abs() < slack;
        let on_wall = at_an_end || (!is_bend && on_other > 0.0 && on_other < length(line));
        let off = (place - here).abs();
        if on_wall && off <= slack && best.is_none_or(|best| off < (best - here).abs()) {
            best = Some(place);
        }
    }
    best
}

/// Where along the first line, metres, the second one's line crosses it.
pub(super) fn crossing(line: Line<f64>, other: Line<f64>) -> Option<f64> {
    let (run, way) = (line.delta(), other.delta());
    let cross = run.x * way.y - run.y * way.x;
    let to = other.start - line.start;
    let share = (to.x * way.y - to.y * way.x) / cross;
    (cross != 0.0 && share.is_finite()).then(|| share * length(line))
}
