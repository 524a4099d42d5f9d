//! Faces without a partner that close off rooms: outside walls of which only the inner face is
//! drawn, thin partitions, bays.

use geo::{Coord, Line, Rect};

use super::axes::Axis;
use super::faces::{Face, Kind};
use super::shapes::MEETS_M;
use super::sheet::both;
use crate::line::{LineIndex, around, askew, index, length, seen_from};
use crate::union::root;

/// Ends nearer than this are one corner, metres (our own choice).
const CORNER_M: f64 = 0.02;
/// A run of lines round corners reaches at least so far, metres: less is a jamb or a pillar.
const RUN_M: f64 = 1.2;

/// Most of it that may have a wall beside it, as a share (our own choice).
const BESIDE: f64 = 0.4;

pub(super) struct Lone<'a> {
    faces: &'a [Face],
    walls: &'a [Axis],
    near: &'a LineIndex,
    /// The long ones, and where they are.
    lines: Vec<Line<f64>>,
    by_place: LineIndex,
}

impl<'a> Lone<'a> {
    /// Of faces beside walls, found by their place.
    pub(super) fn new(
        faces: &'a [Face],
        least_m: f64,
        walls: &'a [Axis],
        near: &'a LineIndex,
    ) -> Self {
        let lines = faces.iter().map(|face| face.line).filter(|line| length(*line) >= least_m);
        let lines: Vec<Line<f64>> = lines.collect();
        let by_place = index(lines.iter().copied());
        Self { faces, walls, near, lines, by_place }
    }

    /// Whether a line ends at walls, or at the ends of others of its kind, on both sides: so it
    /// closes off a room.
    pub(super) fn closes(&self, line: Line<f64>) -> bool {
        // The face of a recess runs on in line with its wall.
        [line.start, line.end].into_iter().all(|end| {
            self.at_wall(end, &|axis| askew(axis.line, line) > 0.1) || self.at_other(line, end)
        })
    }

    /// For each face, whether it belongs to a run of lines round corners that does so, for the most
    /// part with no wall beside it.
    pub(super) fn in_runs(&self, has_wall_beside: &dyn Fn(Line<f64>) -> bool) -> Vec<bool> {
        let ends: Vec<Coord<f64>> =
            self.faces.iter().flat_map(|face| [face.line.start, face.line.end]).collect();
        let by_place = index(ends.iter().map(|end| Line::new(*end, *end)));
        let mut above: Vec<usize> = (0..self.faces.len()).collect();
        let mut free: Vec<bool> = vec![true; ends.len()];
        for (own, end) in ends.iter().enumerate() {
            let near = around(Line::new(*end, *end), CORNER_M);
            let found = by_place.locate_in_envelope_intersecting(&near).take(4);
            let is_other = |other: &usize| {
                let (face, next) = (&self.faces[own / 2], &self.faces[other / 2]);
                own / 2 != other / 2
                    && face.group == next.group
                    && next.kind == Kind::Line
                    && !(face.is_round && next.is_round)
                    && askew(face.line, next.line) > 0.1
            };
            let others: Vec<usize> = found.map(|found| found.data).filter(is_other).collect();
            if let [other] = others.as_slice() {
                free[own] = false;
                let (a, b) = (root(&mut above, own / 2), root(&mut above, other / 2));
                above[a.max(b)] = a.min(b);
            }
        }
        let parts: Vec<usize> = (0..self.faces.len()).map(|face| root(&mut above, face)).collect();
        let mut runs = vec![Run::default(); self.faces.len()];
        for (number, (face, part)) in self.faces.iter().zip(&parts).enumerate() {
            let run = &mut runs[*part];
            run.lines += 1;
            let long = length(face.line);
            run.long_m += long;
            run.beside_m += if has_wall_beside(face.line) { long } else { 0.0 };
            let own = Rect::new(face.line.start, face.line.end);
            run.whole = Some(run.whole.map_or(own, |whole| both(whole, own)));
            let ends = [(2 * number, face.line.start), (2 * number + 1, face.line.end)];
            let at_wall =
                ends.iter().filter(|(end, at)| free[*end] && self.at_wall(*at, &|_| true));
            run.at_walls += at_wall.count();
        }
        let closes = |part: &usize| {
            let run = &runs[*part];
            let reach_m = run.whole.map_or(0.0, |whole| whole.width().hypot(whole.height()));
            let stands_free = run.beside_m <= BESIDE * run.long_m;
            run.lines > 1 && run.at_walls == 2 && reach_m >= RUN_M && stands_free
        };
        parts.iter().map(closes).collect()
    }

    /// Whether one of the walls that are asked for stands at a place.
    fn at_wall(&self, end: Coord<f64>, is_asked: &dyn Fn(&Axis) -> bool) -> bool {
        let around = around(Line::new(end, end), 0.3 + MEETS_M);
        self.near.locate_in_envelope_intersecting(&around).take(100).any(|found| {
            let axis = &self.walls[found.data];
            let (at, off) = seen_from(axis.line, end);
            let slack = axis.half_m() + MEETS_M;
            let stands = |(from, to): &(f64, f64)| (from - slack..=to + slack).contains(&at);
            is_asked(axis) && off.abs() <= slack && axis.spans.iter().any(stands)
        })
    }

    fn at_other(&self, line: Line<f64>, end: Coord<f64>) -> bool {
        let around = around(Line::new(end, end), MEETS_M);
        self.by_place.locate_in_envelope_intersecting(&around).take(100).any(|found| {
            let other = self.lines[found.data];
            let meets = |at: Coord<f64>| length(Line::new(at, end)) <= MEETS_M;
            askew(other, line) > 0.1 && (meets(other.start) || meets(other.end))
        })
    }
}

/// Lines from corner to corner.
#[derive(Clone, Copy, Default)]
struct Run {
    lines: usize,
    long_m: f64,
    /// Of this, how much has a wall beside it.
    beside_m: f64,
    whole: Option<Rect<f64>>,
    /// How many of its ends are at walls.
    at_walls: usize,
}
