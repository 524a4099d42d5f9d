//! Gaps between the ends of walls, and what is drawn in them.
//!
//! A wall that stops before the next one in line, or before the face of one that crosses its way,
//! leaves a gap. What is drawn there says what it is, whatever its layer is called: the swing of a
//! leaf is a door, lines along it are panes or sliding leaves, nothing is a doorway. A wall whose
//! face runs on past the gap has a recess there and no opening.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Line};

use super::axes::{Axis, crossing, stands};
use super::layers::Use;
use super::marks::{Mark, Marks, Swing};
use super::openings::{LEAF_M, SWING_DEG};
use super::sheet::Sheet;
use crate::line::{LineIndex, along, around, askew, index, length, seen_from};

/// Narrowest and widest gap that is taken for an opening, metres (our own choice: a pane beside a
/// door, a double garage leaf).
const GAP_M: (f64, f64) = (0.25, 4.0);
/// Narrowest gap that is a doorway or recess, metres (our own choice).
const DOORWAY_M: f64 = 0.5;
/// A shorter piece of wall is a pillar of a front, with room before it and no doorway that is
/// wider than this, metres (our own choice).
const STUB_M: (f64, f64) = (0.4, 1.5);
/// Sine of the largest angle between walls of one line: five degrees.
const IN_LINE: f64 = 0.087;
/// Sine of the least angle at which a wall crosses another's way: ten degrees.
const ACROSS: f64 = 0.17;
/// How far beside the end of a gap its jamb, hinge or pane may be drawn, metres (our own choice).
const FRAME_M: f64 = 0.25;
/// How far outside the faces of the wall, metres (our own choice).
const BESIDE_M: f64 = 0.2;
/// An end nearer than this to another wall meets it, metres (our own choice).
const MEETS_M: f64 = 0.12;
/// Share of a gap that panes must cover (our own choice).
const COVERED: f64 = 0.6;
/// The same of lines whose layer or block says what they are.
const COVERED_NAMED: f64 = 0.3;
/// Most looks at a neighbour in all (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 2_000_000;

/// A gap in a wall.
pub(super) struct Gap {
    pub(super) axis: usize,
    /// From jamb to jamb along the axis, metres.
    pub(super) from: f64,
    pub(super) to: f64,
    /// How far the wall is drawn out to close it: to the middle of a crossing wall.
    pub(super) reach: (f64, f64),
    /// How long the wall is that ends at it.
    wall_m: f64,
}

impl Gap {
    /// What to make of it, if anything: the space before a stub of wall is nothing, and what is
    /// too narrow for a doorway is wall, unless something is drawn in it.
    pub(super) fn made<'m>(&self, filled: &Filled<'m>) -> Option<Option<(Use, Option<&'m str>)>> {
        let wide = self.to - self.from;
        let is_stub = self.wall_m < STUB_M.0;
        match filled.meant {
            Some((Use::Door | Use::Window | Use::Panes, _)) => Some(filled.meant),
            _ if is_stub && (wide > STUB_M.1 || wide < DOORWAY_M) => None,
            _ if wide < DOORWAY_M => Some(None),
            meant => Some(meant),
        }
    }
}

/// What a gap holds, and which marks say so.
pub(super) struct Filled<'m> {
    /// Nothing for a recess: the wall runs on there.
    pub(super) meant: Option<(Use, Option<&'m str>)>,
    pub(super) used: BTreeSet<usize>,
}

/// What lies ahead of the end of a wall.
#[derive(Clone, Copy)]
pub(super) struct Ahead {
    /// To its face or end, metres.
    pub(super) off_m: f64,
    /// To where the wall must be drawn out.
    pub(super) reach_m: f64,
}

/// The gaps of walls, in order of their axes. Two drawings on one sheet share none. And the ends
/// of walls ahead of which nothing stands.
pub(super) fn gaps(axes: &[Axis], sheet: &Sheet) -> (Vec<Gap>, Vec<Coord<f64>>) {
    let stands = stands(axes);
    let index = index(stands.iter().map(|(_, _, line)| *line));
    let mut looks = 0;
    let drawing: Vec<Option<usize>> = stands.iter().map(|one| sheet.at(one.2)).collect();
    let (mut found, mut loose): (Vec<Gap>, Vec<Coord<f64>>) = Default::default();
    let mut known: BTreeMap<(i64, i64), Vec<Line<f64>>> = BTreeMap::new();
    for (own, &(axis, span, line)) in stands.iter().enumerate() {
        for at_end in [true, false] {
            let way = if at_end { line } else { Line::new(line.end, line.start) };
            let near = Near { axes, stands: &stands, index: &index, drawing: &drawing };
            let Some(ahead) = near.ahead(own, way, &mut looks) else {
                loose.push(way.end);
                continue;
            };
            if !(GAP_M.0..=GAP_M.1).contains(&ahead.off_m) {
                loose.extend((ahead.off_m > MEETS_M).then_some(way.end));
                continue;
            }
            let here = axes[axis].spans[span];
            let (at, turn) = if at_end { (here.1, 1.0) } else { (here.0, -1.0) };
            let put = |off_m: f64| (at.min(at + turn * off_m), at.max(at + turn * off_m));
            let ((from, to), reach) = (put(ahead.off_m), put(ahead.reach_m));
            let own_line = axes[axis].line;
            let gap = Line::new(along(own_line, from), along(own_line, to));
            if is_new(gap, &mut known) {
                found.push(Gap { axis, from, to, reach, wall_m: length(line) });
            }
        }
    }
    (found, loose)
}

/// Whether no gap is known at a place; both ends of one see the same.
fn is_new(gap: Line<f64>, known: &mut BTreeMap<(i64, i64), Vec<Line<f64>>>) -> bool {
    /// Gaps with middles so near are one, metres.
    const SAME_M: f64 = 0.4;
    let middle = (gap.start + gap.end) * 0.5;
    #[expect(clippy::cast_possible_truncation, reason = "within kilometres")]
    let (x, y) = ((middle.x / SAME_M).floor() as i64, (middle.y / SAME_M).floor() as i64);
    let beside = (-1..=1).flat_map(|dx| (-1..=1).map(move |dy| (x + dx, y + dy)));
    let same = |other: &Line<f64>| {
        let off = (other.start + other.end) * 0.5 - middle;
        off.x.hypot(off.y) < SAME_M && askew(*other, gap) < 0.5
    };
    let is_known = { beside }.filter_map(|key| known.get(&key)).flatten().any(same);
    if !is_known {
        known.entry((x, y)).or_default().push(gap);
    }
    !is_known
}

struct Near<'a> {
    axes: &'a [Axis],
    stands: &'a [(usize, usize, Line<f64>)],
    index: &'a LineIndex,
    /// Number of the drawing on the sheet to which each belongs.
    drawing: &'a [Option<usize>],
}

impl Near<'_> {
    /// The nearest wall ahead of the end of one that stands, seen along it.
    fn ahead(&self, own: usize, way: Line<f64>, looks: &mut usize) -> Option<Ahead> {
        let long = length(way);
        let half = self.axes[self.stands[own].0].half_m();
        let ray = Line::new(way.end, way.end + way.delta() * ((GAP_M.1 + 0.5) / long));
        let mut nearest: Option<Ahead> = None;
        for found in self.index.locate_in_envelope_intersecting(&around(ray, half + MEETS_M)) {
            *looks += 1;
            let (other, _, line) = self.stands[found.data];
            if *looks > MOST_LOOKS {
                return nearest;
            }
            if own == found.data || self.drawing[own] != self.drawing[found.data] {
                continue;
            }
            let other_half = self.axes[other].half_m();
            let Some(ahead) = seen(ray, half, line, other_half) else { continue };
            if nearest.is_none_or(|nearest| ahead.off_m < nearest.off_m) {
                nearest = Some(ahead);
            }
        }
        nearest
    }
}

/// How far along a ray, that runs on from the end of a wall, another wall begins.
pub(super) fn seen(ray: Line<f64>, half: f64, line: Line<f64>, other_half: f64) -> Option<Ahead> {
    let angle = askew(ray, line);
    if angle < IN_LINE {
        let ends = [seen_from(ray, line.start), seen_from(ray, line.end)];
        let (near, far) =
            if ends[0].0 < ends[1].0 { (ends[0], ends[1]) } else { (ends[1], ends[0]) };
        let in_line = near.1.abs() <= half.max(other_half);
        return (in_line && far.0 > 0.0)
            .then(|| Ahead { off_m: near.0.max(0.0), reach_m: near.0.max(0.0) });
    }
    let place = crossing(ray, line).filter(|_| angle > ACROSS)?;
    let (on_other, _) = seen_from(line, along(ray, place));
    let slack = half + MEETS_M;
    if on_other < -slack || on_other > length(line) + slack || place < -(half + other_half) {
        return None;
    }
    Some(Ahead { off_m: (place - other_half / angle).max(0.0), reach_m: place.max(0.0) })
}

/// What is drawn in a gap.
pub(super) fn filled<'m>(gap: &Gap, axis: &Axis, marks: &'m Marks<'_>) -> Filled<'m> {
    let line = Line::new(along(axis.line, gap.from), along(axis.line, gap.to));
    let view = View { line, wide: length(line), half: axis.half_m() };
    let mut used = BTreeSet::new();
    let near = marks.swings_near(line, BESIDE_M + view.half);
    let swings = near.filter(|(_, one)| view.shuts(one) && marks.may_shut(one));
    let swings: Vec<(usize, &Swing<'_>)> = swings.collect();
    if let Some((_, first)) = swings.iter().min_by_key(|(number, _)| *number) {
        for (_, swing) in &swings {
            used.insert(swing.key);
            used.extend(marks.leaves_of(swing).map(|mark| mark.key));
        }
        let made = first.role.1.filter(|_| matches!(first.role.0, Use::Door | Use::DoorOrWindow));
        let meant = if first.role.0 == Use::Window { Use::Window } else { Use::Door };
        return Filled { meant: Some((meant, made)), used };
    }
    let near: Vec<&Mark<'_>> = marks.lines_near(line, BESIDE_M + view.half).collect();
    for meant in [Use::Door, Use::Window] {
        let said = |mark: &&&Mark<'_>| {
            mark.role.0 == meant || (mark.role.0 == Use::DoorOrWindow && meant == Use::Window)
        };
        let named: Vec<&&Mark<'_>> = near.iter().filter(said).collect();
        let stretches = named.iter().filter_map(|mark| {
            let folded = || view.folded(mark.line).filter(|_| meant == Use::Door);
            view.stretch(mark.line, BESIDE_M, 9.0).or_else(folded)
        });
        let lies = covered(stretches.collect(), view.wide) >= COVERED_NAMED * view.wide;
        let ajar = |mark: &&&&Mark<'_>| meant == Use::Door && view.is_leaf(mark.line);
        let first = named.iter().find(|mark| lies || ajar(mark));
        if let Some(first) = first {
            used.extend(named.iter().map(|mark| mark.key));
            return Filled { meant: Some((meant, first.role.1)), used };
        }
    }
    let unnamed = || near.iter().filter(|mark| matches!(mark.role.0, Use::Other | Use::Wall));
    let panes = unnamed().filter_map(|mark| view.stretch(mark.line, 0.1, 0.15));
    let meant = if covered(panes.collect(), view.wide) >= COVERED * view.wide {
        Some(Use::Panes)
    } else if unnamed().any(|mark| mark.role.0 == Use::Other && view.is_leaf(mark.line)) {
        Some(Use::Door)
    } else {
        let runs_on = |mark: &&&Mark<'_>| mark.role.0 == Use::Wall && view.runs_on(mark.line);
        Some(Use::Doorway).filter(|_| unnamed().find(runs_on).is_none())
    };
    Filled { meant: meant.map(|meant| (meant, None)), used }
}

/// A gap from jamb to jamb, with half of its wall's thickness.
struct View {
    line: Line<f64>,
    wide: f64,
    half: f64,
}

impl View {
    fn is_in(&self, at: Coord<f64>, beside_m: f64) -> bool {
        let (p, off) = seen_from(self.line, at);
        off.abs() <= self.half + beside_m && p > -FRAME_M && p < self.wide + FRAME_M
    }

    /// Whether a leaf with this swing shuts the gap, alone or with a second one.
    fn shuts(&self, swing: &Swing<'_>) -> bool {
        let radius = length(Line::new(swing.hinge, swing.ends[0]));
        let fits = radius >= 0.3 * self.wide && radius <= 1.15 * self.wide + 0.1;
        let along_gap = |end: &Coord<f64>| {
            let reach = (seen_from(self.line, *end).0 - seen_from(self.line, swing.hinge).0).abs();
            self.is_in(*end, BESIDE_M) && reach > 0.8 * radius
        };
        (SWING_DEG.0..=SWING_DEG.1).contains(&swing.sweep_deg.abs())
            && (LEAF_M.0..=LEAF_M.1).contains(&radius)
            && fits
            && self.is_in(swing.hinge, BESIDE_M)
            && swing.ends.iter().any(along_gap)
    }

    /// From where to where a line runs along the gap, and how far it is off at most, metres.
    fn run(&self, line: Line<f64>) -> (f64, f64, f64) {
        let ((p, off), (q, then_off)) =
            (seen_from(self.line, line.start), seen_from(self.line, line.end));
        (p.min(q), p.max(q), off.abs().max(then_off.abs()))
    }

    /// The stretch of the gap along which a line runs, if it is in the wall and leaves the gap by
    /// no more than so much.
    fn stretch(&self, line: Line<f64>, beside_m: f64, beyond_m: f64) -> Option<(f64, f64)> {
        if askew(self.line, line) > IN_LINE {
            return None;
        }
        let (from, to, off) = self.run(line);
        let is_in_wall = off <= self.half + beside_m;
        (is_in_wall && from > -beyond_m && to < self.wide + beyond_m)
            .then(|| (from.max(0.0), to.min(self.wide)))
    }

    /// The stretch of the gap before which a part of a folding leaf stands.
    fn folded(&self, line: Line<f64>) -> Option<(f64, f64)> {
        let in_gap = |at| self.is_in(at, 2.0 * BESIDE_M);
        let (from, to, _) = self.run(line);
        let is_part = in_gap(line.start) && in_gap(line.end);
        is_part.then(|| (from.max(0.0), to.min(self.wide)))
    }

    /// Whether a line is a leaf that stands open: as long as the gap, from one of its jambs.
    fn is_leaf(&self, line: Line<f64>) -> bool {
        let long = length(line);
        let at_jamb = |at: Coord<f64>| {
            let (p, off) = seen_from(self.line, at);
            off.abs() <= self.half + 0.05 && (p.abs() < 0.12 || (p - self.wide).abs() < 0.12)
        };
        askew(self.line, line) > 0.34
            && long >= LEAF_M.0
            && (0.75 * self.wide..=1.15 * self.wide).contains(&long)
            && (at_jamb(line.start) != at_jamb(line.end))
    }

    /// Whether the face of a wall runs past the whole gap.
    fn runs_on(&self, line: Line<f64>) -> bool {
        let (from, to, off) = self.run(line);
        askew(self.line, line) < 0.02
            && off <= self.half + 0.02
            && from <= 0.05
            && to >= self.wide - 0.05
    }
}

/// How much of a gap some stretches cover together, metres.
fn covered(mut stretches: Vec<(f64, f64)>, wide: f64) -> f64 {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut sum, mut done) = (0.0, 0.0_f64);
    for (from, to) in stretches {
        let (from, to) = (from.max(done), to.min(wide));
        if to > from {
            sum += to - from;
            done = to;
        }
    }
    sum
}
