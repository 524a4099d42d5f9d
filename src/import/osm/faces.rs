//! Rooms drawn to the faces of their walls: two sides with a wall's thickness between are one wall.

use std::cell::Cell;

use geo::{Contains, Line, Point};

use super::cover::Index;
use crate::line::{along, length};
use crate::{Outline, Side};

/// How far from a wall another may run, or the building's outline, and still be its other face,
/// metres (our own choice: a thick outside wall).
pub(super) const SAME_FACE_M: f64 = 0.6;

/// Sides of one owner, of which others of another owner may be the other face.
pub(super) struct Faces<'s> {
    sides: &'s [Side],
    outlines: &'s [Outline],
    index: Index,
    /// How many corners may still be looked at to tell inside from outside.
    looks: Cell<usize>,
}

/// Most corners of outlines that are looked at: far beyond any building, it bounds the time that a
/// hostile file can cost. Faces found later count as walls of their own.
const MAX_LOOKS: usize = 20_000_000;

pub(super) struct Stretch {
    pub(super) line: Line<f64>,
    /// How far off its other face is, metres, where it has one.
    pub(super) gap_m: Option<f64>,
}

/// How far off the other face is, metres, and whether that one is the wall.
type Kind = (f64, bool);

/// Most other faces of one side that are looked at (our own choice).
const MAX_FACES: usize = 100;

impl<'s> Faces<'s> {
    pub(super) fn of(sides: &'s [Side], outlines: &'s [Outline]) -> Self {
        let index = Index::of(sides.iter().map(|side| (side.level, side.line)));
        Self { sides, outlines, index, looks: Cell::new(MAX_LOOKS) }
    }

    /// The stretches of a side that are walls. Where it is the other face of an earlier side that
    /// `walled` says is a wall, that one is the wall, and there is none here.
    pub(super) fn stretches(&self, number: usize, walled: &dyn Fn(&Side) -> bool) -> Vec<Stretch> {
        let side = &self.sides[number];
        let whole = Stretch { line: side.line, gap_m: None };
        let &[owner] = side.owners.as_slice() else { return vec![whole] };
        let long = length(side.line);
        let found = self.index.covered(side.line, side.level, SAME_FACE_M);
        let faces: Vec<(f64, f64, f64, bool)> = found
            .into_iter()
            .take(MAX_FACES)
            .filter_map(|(low, high, off_m, other)| {
                let face = &self.sides[other];
                let &[of] = face.owners.as_slice() else { return None };
                // A cupboard drawn within a room has no wall in common with it.
                let middle = along(side.line, (low + high) / 2.0);
                let run = side.line.delta() / long;
                let left = geo::Coord { x: -run.y, y: run.x };
                let between = Point(middle + left * (off_m / 2.0));
                let inside = |of: usize| {
                    // Without looks left it counts as inside, and so as no other face.
                    let area = &self.outlines[of].area;
                    let left = self.looks.get().checked_sub(area.exterior().0.len());
                    self.looks.set(left.unwrap_or(0));
                    left.is_none() || area.contains(&between)
                };
                let faces = of != owner && !inside(of) && !inside(owner);
                faces.then(|| (low, high, off_m.abs(), other < number && walled(face)))
            })
            .collect();
        if faces.is_empty() {
            return vec![whole];
        }
        let mut cuts: Vec<f64> = faces.iter().flat_map(|face| [face.0, face.1]).collect();
        cuts.extend([0.0, long]);
        cuts.sort_by(f64::total_cmp);
        cuts.dedup_by(|a, b| *a - *b < 0.01);
        // What each piece between two cuts is: bare, a wall with another face, or that other face.
        let mut pieces: Vec<(f64, f64, Option<Kind>)> = Vec::new();
        for ends in cuts.windows(2) {
            let &[from, to] = ends else { continue };
            let middle = (from + to) / 2.0;
            let here = faces.iter().filter(|face| face.0 < middle && middle < face.1);
            let kind = here.fold(None, |kind: Option<Kind>, face| {
                let (gap_m, other) = kind.unwrap_or((face.2, false));
                Some((gap_m.min(face.2), other || face.3))
            });
            // A short bare piece is where the wall between two other rooms meets this one.
            let before = pieces.last().and_then(|piece| piece.2);
            let short = kind.is_none() && to - from < SAME_FACE_M;
            let kind = if short { before } else { kind };
            match pieces.last_mut() {
                Some(last) if last.2.map(|k| k.1) == kind.map(|k| k.1) => last.1 = to,
                _ => pieces.push((from, to, kind)),
            }
        }
        let walls = pieces.into_iter().filter(|(.., kind)| !kind.is_some_and(|(_, other)| other));
        let walls = walls.map(|(from, to, kind)| Stretch {
            line: Line::new(along(side.line, from), along(side.line, to)),
            gap_m: kind.map(|(gap_m, _)| gap_m),
        });
        walls.collect()
    }
}
