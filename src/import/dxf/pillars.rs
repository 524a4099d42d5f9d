//! Walls that end at the faces of a column: they run on into it, and so meet within it. Where the
//! column of a corner is not drawn, the two ends before it do.

use geo::{BoundingRect, Coord, Line, Rect};

use super::axes::{Axis, crossing, stands};
use super::columns::Column;
use crate::line::{along, around, askew, distance, index, length, seen_from};

/// The end of a wall this near to a column meets it, metres (our own choice).
const MEETS_M: f64 = 0.15;
/// Two ends so near to the corner that they make meet there, metres (our own choice: a pillar).
const CORNER_M: f64 = 0.6;
/// Sine of the least angle at which two walls cross: ten degrees.
const ACROSS: f64 = 0.17;
/// Most looks at a wall in all (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 1_000_000;

/// Draws the ends of walls at columns on to the middle of the column, or to where they cross
/// another wall in it, whichever is farther.
pub(super) fn join(axes: &mut [Axis], columns: &[Column]) {
    let stands = stands(axes);
    let by_place = index(stands.iter().map(|one| one.2));
    let mut looks = 0;
    let mut moves: Vec<(usize, f64, f64)> = Vec::new();
    for column in columns {
        let Some(own) = column.outline.bounding_rect() else { continue };
        let own = wider(own, MEETS_M);
        let reach = around(Line::new(own.min(), own.max()), 0.0);
        let near = by_place.locate_in_envelope_intersecting(&reach).map(|found| found.data);
        let near: Vec<usize> = near.take(20).collect();
        for &number in &near {
            let (axis, span, line) = stands[number];
            for (end, turn) in [(line.start, -1.0), (line.end, 1.0)] {
                looks += 1;
                if looks > MOST_LOOKS || !holds(own, end) {
                    continue;
                }
                let (at, _) = seen_from(axes[axis].line, end);
                let (middle, _) = seen_from(axes[axis].line, column.middle);
                let crossings = near.iter().filter_map(|other| {
                    let (other, _, line) = stands[*other];
                    let crosses = other != axis && askew(axes[axis].line, line) > ACROSS;
                    let place = crossing(axes[axis].line, line).filter(|_| crosses)?;
                    holds(own, along(axes[axis].line, place)).then_some(place)
                });
                let ahead = |place: &f64| (place - at) * turn;
                let farthest = std::iter::once(middle)
                    .chain(crossings)
                    .max_by(|a, b| ahead(a).total_cmp(&ahead(b)));
                let here = axes[axis].spans[span];
                let is_end = (at - here.0).abs().min((at - here.1).abs()) < 1e-6;
                if let Some(place) = farthest.filter(|place| is_end && ahead(place) > 1e-6) {
                    moves.push((axis, at, place));
                }
            }
        }
    }
    for (axis, at, place) in moves {
        axes[axis].add(at, place);
    }
    axes.iter_mut().for_each(Axis::settle);
}

/// Draws two ends that stand free before a corner on to it.
pub(super) fn meet(axes: &mut [Axis]) {
    let stands = stands(axes);
    let by_place = index(stands.iter().map(|one| one.2));
    let mut looks = 0;
    // The end of a wall: its axis, its place along it, and which way is on.
    let mut ends: Vec<(usize, f64, f64, Coord<f64>)> = Vec::new();
    for (own, &(axis, _, line)) in stands.iter().enumerate() {
        for (end, turn) in [(line.start, -1.0), (line.end, 1.0)] {
            let reach = axes[axis].half_m() + MEETS_M + 0.3;
            let near =
                by_place.locate_in_envelope_intersecting(&around(Line::new(end, end), reach));
            let is_met = near.take(50).any(|found| {
                looks += 1;
                let (other, _, line) = stands[found.data];
                let off_m = distance(line, seen_from(line, end));
                found.data != own && off_m <= axes[other].half_m() + MEETS_M
            });
            if !is_met && length(line) >= CORNER_M && looks <= MOST_LOOKS {
                ends.push((axis, seen_from(axes[axis].line, end).0, turn, end));
            }
        }
    }
    let by_end = index(ends.iter().map(|one| Line::new(one.3, one.3)));
    let mut moves: Vec<(usize, f64, f64)> = Vec::new();
    for &(axis, at, turn, end) in &ends {
        let near = around(Line::new(end, end), CORNER_M);
        let ahead = |axis: usize, other: usize, at: f64, turn: f64| {
            let place = crossing(axes[axis].line, axes[other].line)?;
            let slack = axes[other].half_m() + MEETS_M;
            (-slack..=CORNER_M).contains(&((place - at) * turn)).then_some(place)
        };
        let others = by_end.locate_in_envelope_intersecting(&near).take(50);
        let corners = others.filter_map(|found| {
            let (other, there, onwards, _) = ends[found.data];
            let crosses = other != axis && askew(axes[axis].line, axes[other].line) > 0.5;
            let place = ahead(axis, other, at, turn).filter(|_| crosses)?;
            ahead(other, axis, there, onwards).map(|_| place)
        });
        let nearest = corners.min_by(|a, b| (a - at).abs().total_cmp(&(b - at).abs()));
        moves.extend(nearest.filter(|place| (place - at) * turn > 0.0).map(|it| (axis, at, it)));
    }
    for (axis, at, place) in moves {
        axes[axis].add(at, place);
    }
    axes.iter_mut().for_each(Axis::settle);
}

fn wider(one: Rect<f64>, by: f64) -> Rect<f64> {
    let by = Coord { x: by, y: by };
    Rect::new(one.min() - by, one.max() + by)
}

fn holds(one: Rect<f64>, at: Coord<f64>) -> bool {
    let within = |at: f64, low: f64, high: f64| at >= low && at <= high;
    within(at.x, one.min().x, one.max().x) && within(at.y, one.min().y, one.max().y)
}
