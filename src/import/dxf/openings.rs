//! Doors and windows of a drawing on the walls in which they lie.

use std::collections::BTreeMap;

use geo::{Coord, Line};

use super::axes::{Axis, reaches};
use crate::line::{LineIndex, around, askew, length, seen_from};

/// Narrowest and widest leaf of a door, metres (our own choice).
pub(super) const LEAF_M: (f64, f64) = (0.45, 2.6);
/// Narrowest and widest opening, metres (our own choice).
const OPENING_M: (f64, f64) = (0.3, 8.0);
/// How far round the swing of a door is drawn, degrees (our own choice).
pub(super) const SWING_DEG: (f64, f64) = (10.0, 130.0);
/// The swing of less is a door only if its leaf is drawn, too, degrees: a door that stands ajar.
pub(super) const AJAR_DEG: f64 = 20.0;
/// How far outside the faces of its wall an opening may be drawn, metres (our own choice).
const BESIDE_M: f64 = 0.12;
/// How far from the end of a wall an opening in a gap may begin, metres (our own choice: a frame).
const FRAME_M: f64 = 0.3;
/// Sine of the largest angle between an opening and its wall: five degrees.
const ASKEW: f64 = 0.087;

/// A door or window as drawn, metres.
pub(super) enum Sign {
    /// The swing of a door: hinge, and the two ends of its arc, the one at which it is shut first
    /// where that is known.
    Swing { hinge: Coord<f64>, ends: [Coord<f64>; 2], sweep_deg: f64 },
    /// Lines; of one insert, or by themselves.
    Lines(Vec<Line<f64>>),
}

pub(super) struct Placed {
    pub(super) axis: usize,
    pub(super) from: f64,
    pub(super) to: f64,
    /// Which of the caller's signs it is.
    pub(super) sign: usize,
}

struct Walls<'a> {
    axes: &'a [Axis],
    index: LineIndex,
}

/// Most looks at a wall for one sign (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 400;

impl<'a> Walls<'a> {
    fn new(axes: &'a [Axis]) -> Self {
        Self { axes, index: reaches(axes) }
    }

    /// The axis on which a line lies, with its ends along it: the one whose middle is nearest. The
    /// ends of walls must stand at both of its ends, or a wall run through.
    fn under(&self, line: Line<f64>) -> Option<(usize, f64, f64)> {
        let near = around(line, 0.3 + BESIDE_M);
        let mut best: Option<(f64, usize, f64, f64)> = None;
        for found in self.index.locate_in_envelope_intersecting(&near).take(MOST_LOOKS) {
            let axis = &self.axes[found.data];
            if askew(axis.line, line) > ASKEW {
                continue;
            }
            let (p, off) = seen_from(axis.line, line.start);
            let (q, then_off) = seen_from(axis.line, line.end);
            let off_m = off.abs().max(then_off.abs());
            let (from, to) = (p.min(q), p.max(q));
            let stands =
                |at: f64| axis.spans.iter().any(|(a, b)| at > a - FRAME_M && at < b + FRAME_M);
            if off_m <= axis.half_m() + BESIDE_M
                && stands(from)
                && stands(to)
                && best.is_none_or(|(least, number, ..)| (off_m, found.data) < (least, number))
            {
                best = Some((off_m, found.data, from, to));
            }
        }
        best.map(|(_, axis, from, to)| (axis, from, to))
    }

    fn place(&self, sign: &Sign) -> Option<(usize, f64, f64)> {
        match sign {
            Sign::Swing { hinge, ends, sweep_deg } => {
                let leaf = length(Line::new(*hinge, ends[0]));
                let swings = (SWING_DEG.0..=SWING_DEG.1).contains(&sweep_deg.abs());
                if !swings || !(LEAF_M.0..=LEAF_M.1).contains(&leaf) {
                    return None;
                }
                // Shut, the leaf lies in the wall.
                ends.iter().find_map(|end| self.under(Line::new(*hinge, *end)))
            }
            Sign::Lines(lines) => self.place_lines(lines),
        }
    }

    /// The stretch of a wall that the lines within its faces cover, from the first end to the last.
    fn place_lines(&self, lines: &[Line<f64>]) -> Option<(usize, f64, f64)> {
        let mut covered: BTreeMap<usize, (f64, f64, f64)> = BTreeMap::new();
        for line in lines.iter().filter(|line| length(**line) >= OPENING_M.0 / 2.0) {
            if let Some((axis, from, to)) = self.under(*line) {
                let stretch = covered.entry(axis).or_insert((from, to, 0.0));
                stretch.0 = stretch.0.min(from);
                stretch.1 = stretch.1.max(to);
                stretch.2 += to - from;
            }
        }
        let most = covered.into_iter().max_by(|a, b| a.1.2.total_cmp(&b.1.2).then(b.0.cmp(&a.0)));
        most.map(|(axis, (from, to, _))| (axis, from, to))
    }
}

/// Puts signs on their walls, where no gap holds an opening already. Those that lie on none, or are
/// no opening's size, are left out; of those that lie over one another the first counts, the others
/// are joined to it. Gives besides the hinges of swings that lie on no wall.
pub(super) fn place_openings(
    axes: &[Axis],
    signs: &[Sign],
    in_gaps: &[Placed],
) -> (Vec<Placed>, Vec<Coord<f64>>) {
    let walls = Walls::new(axes);
    let mut by_axis: BTreeMap<usize, Vec<Placed>> = BTreeMap::new();
    let mut lost = Vec::new();
    let mut taken: BTreeMap<usize, Vec<(f64, f64)>> = BTreeMap::new();
    for gap in in_gaps {
        taken.entry(gap.axis).or_default().push((gap.from, gap.to));
    }
    let is_free = |axis: usize, from: f64, to: f64| {
        let mut there = taken.get(&axis).into_iter().flatten();
        !there.any(|gap| from < gap.1 - 0.05 && to > gap.0 + 0.05)
    };
    for (sign, drawn) in signs.iter().enumerate() {
        if let Some((axis, from, to)) = walls.place(drawn) {
            if !is_free(axis, from, to) {
                continue;
            }
            by_axis.entry(axis).or_default().push(Placed { axis, from, to, sign });
        } else if let Sign::Swing { hinge, .. } = drawn {
            lost.push(*hinge);
        }
    }
    let mut placed = Vec::new();
    for (_, mut on_axis) in by_axis {
        on_axis.sort_by(|a, b| {
            a.from.total_cmp(&b.from).then(a.to.total_cmp(&b.to)).then(a.sign.cmp(&b.sign))
        });
        let mut joined: Vec<Placed> = Vec::new();
        for opening in on_axis {
            match joined.last_mut() {
                // Two leaves that share a jamb stay two.
                Some(last) if opening.from < last.to - 0.05 => {
                    last.to = last.to.max(opening.to);
                    last.sign = last.sign.min(opening.sign);
                }
                last => {
                    let from = last.map_or(opening.from, |last| opening.from.max(last.to));
                    joined.push(Placed { from, ..opening });
                }
            }
        }
        let width = |opening: &Placed| opening.to - opening.from;
        joined.retain(|opening| (OPENING_M.0..=OPENING_M.1).contains(&width(opening)));
        placed.append(&mut joined);
    }
    (placed, lost)
}
