//! Everything drawn that may stand in a gap of a wall, by place: swings and straight lines of all
//! layers, each with what its layer or block says of it.

use std::collections::BTreeSet;

use geo::{Coord, Line};

use super::layers::{Role, Use};
use super::openings::AJAR_DEG;
use crate::line::{LineIndex, around, index, length};

/// A leaf drawn from its hinge ends within this of the end of its swing, metres (our own choice).
const AT_M: f64 = 0.1;
/// The same as a share of the leaf, where that is more (our own choice).
const LOOSE: f64 = 0.17;
/// Most looks at marks for one gap (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 600;

/// A part of a circle: maybe the way of a leaf.
pub(super) struct Swing<'r> {
    pub(super) hinge: Coord<f64>,
    pub(super) ends: [Coord<f64>; 2],
    pub(super) sweep_deg: f64,
    pub(super) role: Role<'r>,
    /// The insert or stroke that it belongs to.
    pub(super) key: usize,
}

/// A straight line.
pub(super) struct Mark<'r> {
    pub(super) line: Line<f64>,
    pub(super) role: Role<'r>,
    pub(super) key: usize,
    /// Number of its stroke.
    pub(super) stroke: usize,
}

pub(super) struct Marks<'r> {
    swings: Vec<Swing<'r>>,
    lines: Vec<Mark<'r>>,
    by_hinge: LineIndex,
    by_line: LineIndex,
}

impl<'r> Marks<'r> {
    pub(super) fn new(swings: Vec<Swing<'r>>, lines: Vec<Mark<'r>>) -> Self {
        let by_hinge = index(swings.iter().map(|swing| Line::new(swing.hinge, swing.hinge)));
        let by_line = index(lines.iter().map(|mark| mark.line));
        Self { swings, lines, by_hinge, by_line }
    }

    pub(super) fn swings(&self) -> &[Swing<'r>] {
        &self.swings
    }

    pub(super) fn lines(&self) -> &[Mark<'r>] {
        &self.lines
    }

    /// Whether a swing is wide enough for one without a leaf, or has one.
    pub(super) fn may_shut(&self, swing: &Swing<'r>) -> bool {
        swing.sweep_deg.abs() >= AJAR_DEG || self.leaves_of(swing).next().is_some()
    }

    /// Whether a swing is a door's: its layer or block says so, or its leaf is drawn.
    pub(super) fn is_door(&self, swing: &Swing<'r>) -> bool {
        match swing.role.0 {
            Use::Door | Use::DoorOrWindow => self.may_shut(swing),
            Use::Other | Use::Wall => self.leaves_of(swing).next().is_some(),
            _ => false,
        }
    }

    /// Swings with their hinge so near a line, with their numbers.
    pub(super) fn swings_near(
        &self,
        line: Line<f64>,
        reach_m: f64,
    ) -> impl Iterator<Item = (usize, &Swing<'r>)> {
        let near = self.by_hinge.locate_in_envelope_intersecting(&around(line, reach_m));
        near.take(MOST_LOOKS).map(|found| (found.data, &self.swings[found.data]))
    }

    pub(super) fn lines_near(
        &self,
        line: Line<f64>,
        reach_m: f64,
    ) -> impl Iterator<Item = &Mark<'r>> {
        let near = self.by_line.locate_in_envelope_intersecting(&around(line, reach_m));
        near.take(MOST_LOOKS).map(|found| &self.lines[found.data])
    }

    /// The leaf of a swing, where it is drawn: lines from the hinge to an end of its way.
    pub(super) fn leaves_of(&self, swing: &Swing<'r>) -> impl Iterator<Item = &Mark<'r>> {
        let is_leaf =
            |line: Line<f64>| swing.ends.iter().any(|end| is_from(line, swing.hinge, *end));
        let near = self.lines_near(Line::new(swing.hinge, swing.hinge), AT_M);
        near.filter(move |mark| is_leaf(mark.line))
    }

    /// The strokes of all leaves.
    pub(super) fn all_leaves(&self) -> BTreeSet<usize> {
        let leaves = self.swings.iter().flat_map(|swing| self.leaves_of(swing));
        leaves.map(|mark| mark.stroke).collect()
    }

    /// Whether a leaf is drawn at an end of a swing: it stands open there.
    pub(super) fn stands_open_at(&self, swing: &Swing<'r>, end: Coord<f64>) -> bool {
        self.leaves_of(swing).any(|mark| is_from(mark.line, swing.hinge, end))
    }
}

/// Whether a line runs from a hinge to the end of its swing; one drawn by hand may be off there.
fn is_from(line: Line<f64>, hinge: Coord<f64>, tip: Coord<f64>) -> bool {
    let off = |a: Coord<f64>, b: Coord<f64>| length(Line::new(a, b));
    let most = AT_M.max(LOOSE * off(hinge, tip));
    let runs = |a, b| off(a, hinge) < AT_M && off(b, tip) < most;
    runs(line.start, line.end) || runs(line.end, line.start)
}
