//! Units that are drawn to the faces of their walls: what lies between two of them is one wall.

use std::collections::BTreeMap;

use geo::Line;

use crate::Side;
use crate::line::{around, index, length, seen_from};

/// Widest gap between two units that is one wall, metres (our own choice: old masonry).
const WIDEST_M: f64 = 0.5;
/// Shortest side that is looked at, metres.
const SHORTEST_M: f64 = 0.5;
/// Most looks at a side beside another: it bounds the time that a hostile file can cost.
const MAX_LOOKS: usize = 1_000_000;

/// How wide the gaps between units are, metres, where more length of wall is drawn as a gap than as
/// an edge that two units share; nothing where units share their edges.
///
/// Nine tenths of the gaps, by their length, are no wider. `counts` says which owners are spaces
/// with walls.
pub(super) fn typical(sides: &[Side], counts: impl Fn(usize) -> bool) -> Option<f64> {
    // Sides that belong to one unit alone, with its number.
    let mut levels: BTreeMap<i32, Vec<(Line<f64>, usize)>> = BTreeMap::new();
    let mut shared_m = 0.0;
    for side in sides {
        match side.owners.as_slice() {
            [owner] if counts(*owner) => {
                levels.entry(side.level).or_default().push((side.line, *owner));
            }
            [] | [_] => {}
            _ => shared_m += length(side.line),
        }
    }
    let mut looks = MAX_LOOKS;
    let mut gaps: Vec<(f64, f64)> = Vec::new();
    for faces in levels.into_values() {
        let index = index(faces.iter().map(|(line, _)| *line));
        for &(line, owner) in faces.iter().filter(|(line, _)| length(*line) >= SHORTEST_M) {
            let mut narrowest = f64::INFINITY;
            for near in index.locate_in_envelope_intersecting(&around(line, WIDEST_M)) {
                looks = looks.saturating_sub(1);
                if looks == 0 {
                    return None;
                }
                let other = faces.get(near.data).filter(|(_, other)| *other != owner);
                if let Some(gap_m) = other.and_then(|(other, _)| gap(line, *other)) {
                    narrowest = narrowest.min(gap_m);
                }
            }
            if narrowest < WIDEST_M {
                gaps.push((narrowest, length(line)));
            }
        }
    }
    // Each gap is seen from both its faces.
    let facing_m = gaps.iter().map(|(_, long_m)| long_m).sum::<f64>() / 2.0;
    if facing_m <= shared_m {
        return None;
    }
    gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut so_far_m = 0.0;
    let most = gaps.iter().find(|(_, long_m)| {
        so_far_m += long_m / 2.0;
        so_far_m >= 0.9 * facing_m
    });
    most.or(gaps.last()).map(|(gap_m, _)| *gap_m)
}

/// How far apart two lines are that run side by side for at least half of the shorter one.
fn gap(line: Line<f64>, other: Line<f64>) -> Option<f64> {
    let long = length(line);
    let (a, a_off_m) = seen_from(line, other.start);
    let (b, b_off_m) = seen_from(line, other.end);
    let beside_m = a.max(b).min(long) - a.min(b).max(0.0);
    // As good as parallel, and on one side.
    let parallel = (a_off_m - b_off_m).abs() <= 0.05 * length(other) && a_off_m * b_off_m > 0.0;
    let enough = beside_m >= 0.5 * long.min(length(other));
    let gap_m = (a_off_m.abs() + b_off_m.abs()) / 2.0;
    (parallel && enough && gap_m <= WIDEST_M).then_some(gap_m)
}
