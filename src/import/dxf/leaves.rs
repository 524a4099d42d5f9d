//! Doors that stand in no wall that was found: between two pillars, beside a side light, at the end
//! of a short piece of wall. A leaf with its swing is the surest sign of a drawing, so it gets the
//! piece of wall in which it shuts, if another wall stands ahead on both sides.

use std::collections::BTreeSet;

use geo::{Coord, Line};

use super::axes::{Axis, stands};
use super::gaps::seen;
use super::layers::{Role, Use};
use super::marks::{Marks, Swing};
use super::openings::Placed;
use crate::line::{LineIndex, along, around, askew, index, length, seen_from};

/// How far from a jamb the next wall may stand, metres (our own choice: a pane beside the door).
const AHEAD_M: f64 = 1.0;
/// A shut leaf is no farther than this from the middle of its wall, metres (our own choice).
const FACE_M: f64 = 0.15;
/// Sine of the largest angle between a shut leaf and its wall: five degrees.
const IN_LINE: f64 = 0.087;
/// The leaves of a double door meet within this, metres (our own choice).
const MEET_M: f64 = 0.15;
/// A door whose middle is nearer than this to that of another opening is that one, metres.
const SAME_M: f64 = 0.5;
/// Thickest wall that is made for a door, metres (our own choice).
const MADE_M: f64 = 0.15;
/// Most looks at a neighbour in all (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 1_000_000;

struct Walls<'a> {
    axes: &'a [Axis],
    stands: Vec<(usize, usize, Line<f64>)>,
    index: LineIndex,
    looks: usize,
}

/// A wall ahead of a jamb: its axis, how far off it is, and whether it is in line.
struct Next {
    axis: usize,
    reach_m: f64,
    in_line: bool,
}

impl Walls<'_> {
    fn next(&mut self, way: Line<f64>) -> Option<Next> {
        let ray = Line::new(way.end, way.end + way.delta() * (AHEAD_M / length(way)));
        let mut best: Option<(f64, Next)> = None;
        for found in self.index.locate_in_envelope_intersecting(&around(ray, 2.0 * FACE_M)) {
            self.looks += 1;
            if self.looks > MOST_LOOKS {
                return None;
            }
            let (axis, _, line) = self.stands[found.data];
            let Some(ahead) = seen(ray, FACE_M, line, self.axes[axis].half_m()) else { continue };
            if ahead.off_m <= AHEAD_M && best.as_ref().is_none_or(|best| ahead.off_m < best.0) {
                let in_line = askew(ray, line) < IN_LINE;
                best = Some((ahead.off_m, Next { axis, reach_m: ahead.reach_m, in_line }));
            }
        }
        best.map(|best| best.1)
    }
}

/// Adds the walls of such doors. Gives the openings, each with its role; the caller numbers them.
pub(super) fn own_walls<'m>(
    axes: &mut Vec<Axis>,
    marks: &'m Marks<'_>,
    used: &BTreeSet<usize>,
    openings: &[Placed],
) -> Vec<(Placed, Role<'m>)> {
    let line_of = |it: &Placed| {
        let line = axes[it.axis].line;
        Line::new(along(line, it.from), along(line, it.to))
    };
    let mut known: Vec<Line<f64>> = openings.iter().map(line_of).collect();
    let left = marks.swings().iter().filter(|swing| !used.contains(&swing.key));
    let swings: Vec<&Swing<'_>> = left.filter(|swing| marks.is_door(swing)).collect();
    let hinges = index(swings.iter().map(|swing| Line::new(swing.hinge, swing.hinge)));
    let stands = stands(axes);
    let by_place = index(stands.iter().map(|stand| stand.2));
    let mut found = Vec::new();
    let mut walls = Walls { axes, stands, index: by_place, looks: 0 };
    for swing in &swings {
        for end in swing.ends.into_iter().filter(|end| !marks.stands_open_at(swing, *end)) {
            let far = other_leaf(swing, end, &swings, &hinges).unwrap_or(end);
            let shut = Line::new(swing.hinge, far);
            let middle = (shut.start + shut.end) * 0.5;
            let is_known = |other: &Line<f64>| {
                let off = (other.start + other.end) * 0.5 - middle;
                off.x.hypot(off.y) < SAME_M.max(length(shut) / 2.0) && askew(*other, shut) < 0.5
            };
            if known.iter().any(is_known) {
                break;
            }
            let back = Line::new(shut.end, shut.start);
            let (Some(ahead), Some(behind)) = (walls.next(shut), walls.next(back)) else {
                continue;
            };
            known.push(shut);
            found.push((shut, ahead, behind, swing.role.1));
            break;
        }
    }
    let place = |(shut, ahead, behind, made): (Line<f64>, Next, Next, Option<&'m str>)| {
        let in_line = [&ahead, &behind].into_iter().find(|next| next.in_line).map(|it| it.axis);
        let axis = in_line.unwrap_or_else(|| {
            let of = &axes[ahead.axis];
            let (group, thickness_m) = (of.group, of.thickness_m.map(|thick| thick.min(MADE_M)));
            axes.push(Axis { line: shut, group, thickness_m, spans: Vec::new() });
            axes.len() - 1
        });
        let line = axes[axis].line;
        let at = |place| seen_from(line, place).0;
        let (p, q) = (at(shut.start), at(shut.end));
        let turn = (q - p).signum();
        axes[axis].add(p - turn * behind.reach_m, q + turn * ahead.reach_m);
        (Placed { axis, from: p.min(q), to: p.max(q), sign: 0 }, (Use::Door, made))
    };
    let placed = found.into_iter().map(place).collect();
    axes.iter_mut().for_each(Axis::settle);
    placed
}

/// The hinge of the second leaf of a double door, where the leaf that ends here meets one.
fn other_leaf(
    swing: &Swing<'_>,
    end: Coord<f64>,
    swings: &[&Swing<'_>],
    hinges: &LineIndex,
) -> Option<Coord<f64>> {
    let near = |a: Coord<f64>, b: Coord<f64>| length(Line::new(a, b));
    let leaf = near(swing.hinge, end);
    let around = around(Line::new(end, end), leaf + MEET_M);
    let others = hinges.locate_in_envelope_intersecting(&around).take(100);
    let others = others.map(|found| swings[found.data]).filter(|other| {
        other.ends.iter().any(|at| near(*at, end) <= MEET_M)
            && (near(other.hinge, swing.hinge) - 2.0 * leaf).abs() <= 2.0 * MEET_M
    });
    others.map(|other| other.hinge).min_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)))
}
