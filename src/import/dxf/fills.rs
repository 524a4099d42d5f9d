//! Filled areas and wide lines on layers of walls: their edges are faces, and wide lines are walls.

use std::collections::{BTreeMap, BTreeSet};

use geo::Line;

use super::faces::{Face, Kind, pairs};
use crate::line::{along, around, askew, index, length, seen_from};

/// Thinnest and thickest wall that a filled area or a wide line makes, metres (our own choice).
const THICKNESS_M: std::ops::RangeInclusive<f64> = 0.05..=0.6;
/// An edge nearer than this to a line of a wall is the same face, metres (our own choice).
const SAME_M: f64 = 0.01;
/// The sine of the largest angle between them.
const SAME_WAY: f64 = 0.01;
/// Shorter rests of an edge are dropped, metres.
const SHORTEST_M: f64 = 0.01;
/// Most looks at a neighbour (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 2_000_000;

/// A straight edge of a filled area.
pub(super) struct Edge {
    /// Which area it belongs to.
    pub(super) fill: usize,
    /// Whether the area lies to the left of it.
    pub(super) left: bool,
    pub(super) face: Face,
}

/// The faces of walls with the edges of filled areas: each edge as far as no line is drawn there,
/// no like edge is known and nothing filled lies on its other side, too. Areas that are wider than
/// walls are none. Gives how many were left out.
pub(super) fn with_fills(faces: &mut Vec<Face>, mut edges: Vec<Edge>) -> usize {
    let mut sizes: BTreeMap<usize, (f64, f64)> = BTreeMap::new();
    for Edge { fill, left, face } in &edges {
        let line = face.line;
        let twice = line.start.x * line.end.y - line.start.y * line.end.x;
        let (area, edge_m) = sizes.entry(*fill).or_default();
        *area += if *left { twice / 2.0 } else { -twice / 2.0 };
        *edge_m += length(line);
    }
    // A strip has twice its area as thickness for each metre of its edge.
    let is_wall = |&(area, edge_m): &(f64, f64)| THICKNESS_M.contains(&(2.0 * area / edge_m));
    let before = sizes.len();
    sizes.retain(|_, size| is_wall(size));
    edges.retain(|edge| sizes.contains_key(&edge.fill));
    let lines = faces.len();
    let all = faces.iter().map(|face| face.line).chain(edges.iter().map(|edge| edge.face.line));
    let by_place = index(all);
    let (mut looks, mut kept) = (0, Vec::new());
    for (number, edge) in edges.iter().enumerate() {
        let line = edge.face.line;
        let mut covered: Vec<(f64, f64)> = Vec::new();
        for found in by_place.locate_in_envelope_intersecting(&around(line, SAME_M)) {
            looks += 1;
            if looks > MOST_LOOKS {
                break;
            }
            let other = match found.data.checked_sub(lines) {
                None => faces[found.data].line,
                Some(other) => {
                    let other = &edges[other];
                    let along = edge.face.line.delta();
                    let same_way = along.x * other.face.line.dx() + along.y * other.face.line.dy();
                    let same_side = (edge.left == other.left) == (same_way > 0.0);
                    if found.data - lines == number || (same_side && found.data - lines > number) {
                        continue;
                    }
                    other.face.line
                }
            };
            let (from, off) = seen_from(line, other.start);
            let (to, then_off) = seen_from(line, other.end);
            if off.abs().max(then_off.abs()) <= SAME_M && askew(line, other) <= SAME_WAY {
                covered.push((from.min(to), from.max(to)));
            }
        }
        covered.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (mut at, whole) = (0.0, length(line));
        for (from, to) in covered.into_iter().chain([(whole, whole)]) {
            if from.min(whole) - at >= SHORTEST_M {
                let line = Line::new(along(line, at), along(line, from.min(whole)));
                kept.push(Face { line, ..edge.face });
            }
            at = to.max(at);
        }
    }
    faces.extend(kept);
    before - sizes.len()
}

/// Lines as wide as walls are walls; but where those of a layer run in pairs, as faces do, they
/// are faces that were drawn with a broad pen.
pub(super) fn wide_lines(faces: &mut [Face]) {
    let wide = |face: &Face| match face.kind {
        Kind::Wide(thick) => Some(thick),
        _ => None,
    };
    for face in faces.iter_mut() {
        if wide(face).is_some_and(|thick| !THICKNESS_M.contains(&thick)) {
            face.kind = Kind::Line;
        }
    }
    if faces.iter().all(|face| wide(face).is_none()) {
        return;
    }
    let as_lines: Vec<Face> = faces
        .iter()
        .filter(|face| wide(face).is_some())
        .map(|face| Face { kind: Kind::Line, ..*face })
        .collect();
    let mut paired_m: BTreeMap<usize, f64> = BTreeMap::new();
    let mut drawn_m: BTreeMap<usize, f64> = BTreeMap::new();
    for face in &as_lines {
        *drawn_m.entry(face.group).or_default() += length(face.line);
    }
    for pair in pairs(&as_lines, (*THICKNESS_M.start(), *THICKNESS_M.end())) {
        *paired_m.entry(as_lines[pair.a].group).or_default() += 2.0 * pair.overlap_m;
    }
    for face in faces.iter_mut().filter(|face| wide(face).is_some()) {
        let paired = paired_m.get(&face.group).is_some_and(|m| 2.0 * m >= drawn_m[&face.group]);
        if paired {
            face.kind = Kind::Line;
        }
    }
}

/// Each face once.
pub(super) fn without_doubles(faces: &mut Vec<Face>) {
    #[expect(clippy::cast_possible_truncation, reason = "within kilometres")]
    let key = |face: &Face| {
        let mm = |metres: f64| (metres * 1e3).round() as i64;
        let ends = [face.line.start, face.line.end].map(|at| (mm(at.x), mm(at.y)));
        (face.group, ends[0].min(ends[1]), ends[0].max(ends[1]))
    };
    let mut seen = BTreeSet::new();
    faces.retain(|face| seen.insert(key(face)));
}
