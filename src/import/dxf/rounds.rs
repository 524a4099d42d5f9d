//! Straight lines and parts of circles; and those that are drawn as many short lines.

use geo::{Coord, Line};

use super::entity::{Corner, xy};
use crate::line::length;

/// What was drawn: a straight line, or a part of a circle from end to end.
#[derive(Clone, Copy, PartialEq)]
pub(crate) struct Drawn {
    pub(crate) start: Coord<f64>,
    pub(crate) end: Coord<f64>,
    pub(crate) round: Option<Round>,
    /// Whether it is a piece of a curve that is no part of a circle.
    pub(crate) is_chord: bool,
}

impl Drawn {
    pub(crate) const fn line(start: Coord<f64>, end: Coord<f64>) -> Self {
        Self { start, end, round: None, is_chord: false }
    }

    pub(crate) const fn arc(start: Coord<f64>, end: Coord<f64>, round: Round) -> Self {
        Self { start, end, round: Some(round), is_chord: false }
    }
}

#[derive(Clone, Copy, PartialEq)]
pub(crate) struct Round {
    pub(crate) middle: Coord<f64>,
    /// How far round it goes, degrees, -360 to 360; counter-clockwise counts up.
    pub(crate) sweep_deg: f64,
}

/// How far a curve may be off its circle, as a share of the radius (our own choice).
pub(crate) const OFF: f64 = 0.01;
/// Short lines turn by at most so much from one to the next, degrees (our own choice: a corner of
/// eight turns by 45).
const TURN_DEG: f64 = 31.0;
/// At least so many short lines make an arc, and it goes so far round, degrees (our own choice).
const LEAST: (usize, f64) = (4, 40.0);
/// A polyline with so many corners that it may hold an arc, as lines and arcs; nothing of others
/// and of one with bulges or a width.
pub(super) fn of_corners(corners: &[Corner]) -> Vec<Drawn> {
    let is_plain = |corner: &Corner| corner.bulge.abs() < 1e-6 && corner.width == (0.0, 0.0);
    if corners.len() <= LEAST.0 || !corners.iter().all(is_plain) {
        return Vec::new();
    }
    let mut all = Vec::new();
    lines(&mut corners.iter().map(|corner| corner.at).collect(), &mut all);
    if all.iter().any(|one| one.round.is_some()) { all } else { Vec::new() }
}

/// The line from a corner to the next, round if the corner has a bulge.
pub(super) fn bulged(corner: Corner, end: Coord<f64>) -> Drawn {
    let Corner { at: start, bulge, .. } = corner;
    if bulge.abs() < 1e-6 {
        return Drawn::line(start, end);
    }
    let chord = end - start;
    let off = (1.0 - bulge * bulge) / (4.0 * bulge);
    let middle = start + chord * 0.5 + xy(-chord.y, chord.x) * off;
    Drawn::arc(start, end, Round { middle, sweep_deg: (4.0 * bulge.atan()).to_degrees() })
}

/// The middle of the circle through three points.
pub(crate) fn middle(a: Coord<f64>, b: Coord<f64>, c: Coord<f64>) -> Option<Coord<f64>> {
    let (p, q) = (b - a, c - a);
    let cross = 2.0 * (p.x * q.y - p.y * q.x);
    let (pp, qq) = (p.x * p.x + p.y * p.y, q.x * q.x + q.y * q.y);
    // Nearly in line: no circle of any use.
    (cross.abs() > 1e-3 * pp.max(qq)).then(|| {
        let off = Coord { x: q.y * pp - p.y * qq, y: p.x * qq - q.x * pp };
        a + off / cross
    })
}

/// How far it is round a middle from one place to another, degrees, the shorter way.
pub(crate) fn turn_deg(middle: Coord<f64>, from: Coord<f64>, to: Coord<f64>) -> f64 {
    let (p, q) = (from - middle, to - middle);
    (p.x * q.y - p.y * q.x).atan2(p.x * q.x + p.y * q.y).to_degrees()
}

/// Adds an arc, as a part of the one before if it goes on round the same middle.
pub(crate) fn push_arc(all: &mut Vec<Drawn>, arc: Drawn) {
    if let (Some(last), Some(round)) = (all.last_mut(), arc.round)
        && let Some(before) = &mut last.round
    {
        let radius = length(Line::new(round.middle, arc.start));
        let near = |a: Coord<f64>, b: Coord<f64>| length(Line::new(a, b)) < 2.0 * OFF * radius;
        let goes_on = near(last.end, arc.start)
            && near(before.middle, round.middle)
            && before.sweep_deg * round.sweep_deg > 0.0;
        if goes_on {
            before.sweep_deg = (before.sweep_deg + round.sweep_deg).clamp(-360.0, 360.0);
            last.end = arc.end;
            return;
        }
    }
    all.push(arc);
}

/// Takes the corners of a run of straight lines; short ones that bend round alike are an arc.
pub(crate) fn lines(run: &mut Vec<Coord<f64>>, all: &mut Vec<Drawn>) {
    let corners = std::mem::take(run);
    let mut from = 0;
    while from + 1 < corners.len() {
        if let Some((to, arc)) = arc_of_lines(&corners[from..]) {
            push_arc(all, arc);
            from += to;
        } else {
            all.push(Drawn::line(corners[from], corners[from + 1]));
            from += 1;
        }
    }
}

/// The arc with which a run of corners begins, and the corner where it ends.
fn arc_of_lines(corners: &[Coord<f64>]) -> Option<(usize, Drawn)> {
    let least = LEAST.0;
    let first = corners.get(..=least)?;
    let middle = middle(first[0], first[least / 2], first[least])?;
    let radius = length(Line::new(middle, first[0]));
    let step = turn_deg(middle, first[0], first[1]);
    let mut sweep_deg = 0.0;
    let mut to = 0;
    for pair in corners.windows(2) {
        let turned = turn_deg(middle, pair[0], pair[1]);
        let off = (length(Line::new(middle, pair[1])) - radius).abs();
        let goes_on = turned * step > 0.0
            && turned.abs() <= TURN_DEG
            && off <= OFF * radius
            && f64::abs(sweep_deg + turned) <= 360.5;
        if !goes_on {
            break;
        }
        sweep_deg += turned;
        to += 1;
    }
    let is_arc = to >= least && f64::abs(sweep_deg) >= LEAST.1;
    let round = Some(Round { middle, sweep_deg: sweep_deg.clamp(-360.0, 360.0) });
    is_arc.then(|| (to, Drawn { start: corners[0], end: corners[to], round, is_chord: false }))
}
