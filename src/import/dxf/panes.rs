//! Windows that are drawn on a wall whose faces run on: panes between the faces, from one line
//! across the wall to the next.

use geo::{Coord, Line};

use super::axes::{Axis, reaches};
use super::faces::Face;
use super::layers::Use;
use super::marks::Marks;
use super::openings::Placed;
use crate::line::{around, askew, index, length, seen_from};

/// Narrowest and widest window that is looked for, metres (our own choice).
const WIDE_M: (f64, f64) = (0.4, 4.5);
/// Thinnest and thickest wall that has one, metres (our own choice).
const THIN_M: f64 = 0.08;
const THICK_M: f64 = 0.6;
/// A pane is at least so far within the faces, metres: less is a face or plaster.
const WITHIN_M: f64 = 0.015;
/// Sine of the largest angle between a pane and its wall: two degrees.
const IN_LINE: f64 = 0.035;
/// A line across the wall stands this near to the end of a pane, metres (our own choice).
const JAMB_M: f64 = 0.06;
/// Share of the wall's thickness that it crosses at least (our own choice).
const ACROSS: f64 = 0.7;
/// What ends so near to another opening is the wall beside it, metres (our own choice).
const APART_M: f64 = 0.1;
/// Most lines near one that are looked at.
const MOST_NEAR: usize = 200;
/// Most looks at a neighbour in all (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 2_000_000;

/// Windows in walls where no opening is known yet; the caller numbers them.
pub(super) fn windows(axes: &[Axis], marks: &Marks<'_>, known: &[Placed]) -> Vec<Placed> {
    let by_place = reaches(axes);
    let mut looks = 0;
    let mut found: Vec<Placed> = Vec::new();
    for mark in marks.lines() {
        let line = mark.line;
        if !matches!(mark.role.0, Use::Other | Use::Wall)
            || !(WIDE_M.0..=WIDE_M.1).contains(&length(line))
        {
            continue;
        }
        for near in by_place.locate_in_envelope_intersecting(&around(line, 0.0)) {
            looks += 1;
            if looks > MOST_LOOKS {
                return Vec::new();
            }
            let axis = &axes[near.data];
            let Some((from, to)) = pane(axis, line) else { continue };
            let is_free = |other: &Placed| {
                other.axis != near.data || from > other.to + APART_M || to < other.from - APART_M
            };
            let has_jamb = |at: f64| {
                marks.lines_near(line, JAMB_M + 0.3).any(|jamb| is_jamb(axis, jamb.line, at))
            };
            if known.iter().all(is_free) && has_jamb(from) && has_jamb(to) {
                found.push(Placed { axis: near.data, from, to, sign: 0 });
            }
        }
    }
    found.sort_by(|a, b| a.axis.cmp(&b.axis).then(a.from.total_cmp(&b.from)));
    // The panes of one window, and leaves side by side, are one; walls that are all panes are none.
    let mut joined: Vec<Placed> = Vec::new();
    for pane in found {
        match joined.last_mut() {
            Some(last) if last.axis == pane.axis && pane.from < last.to + JAMB_M => {
                last.to = last.to.max(pane.to);
            }
            _ => joined.push(pane),
        }
    }
    joined.retain(|window| window.to - window.from <= WIDE_M.1);
    joined
}

/// Faces without panes: lines between two others, from the middle of one short line across a wall
/// to that of the next. A wall between two pillars has no lines beside it.
pub(super) fn without_panes(faces: Vec<Face>) -> Vec<Face> {
    let by_place = index(faces.iter().map(|face| face.line));
    let mut looks = 0;
    let mut near = |line: Line<f64>, reach_m: f64, is_found: &dyn Fn(Line<f64>) -> bool| {
        let there = by_place.locate_in_envelope_intersecting(&around(line, reach_m));
        there.take(MOST_NEAR).map(|found| faces[found.data].line).any(|line| {
            looks += 1;
            looks <= MOST_LOOKS && is_found(line)
        })
    };
    let mut is_pane = |line: Line<f64>| {
        if !(WIDE_M.0..=WIDE_M.1).contains(&length(line)) {
            return false;
        }
        // How far to both sides the line across goes on which an end stands.
        let sides = std::cell::Cell::new((0.0, 0.0));
        let mut at_jamb = |end: Coord<f64>| {
            near(Line::new(end, end), JAMB_M, &|jamb| {
                let (at, off) = seen_from(jamb, end);
                let (low, high) = (at, length(jamb) - at);
                let is_jamb = askew(jamb, line) > 0.95
                    && length(jamb) <= THICK_M
                    && off.abs() <= JAMB_M / 2.0
                    && low.min(high) >= WITHIN_M;
                let (p, q) = (seen_from(line, jamb.start).1, seen_from(line, jamb.end).1);
                if is_jamb {
                    sides.set((p.min(q), p.max(q)));
                }
                is_jamb
            })
        };
        if !(at_jamb(line.start) && at_jamb(line.end)) {
            return false;
        }
        let (low, high) = sides.get();
        let mut runs_beside = |wanted: f64| {
            near(line, THICK_M, &|face| {
                let ((p, off), (q, then_off)) =
                    (seen_from(line, face.start), seen_from(line, face.end));
                let along = p.max(q).min(length(line)) - p.min(q).max(0.0);
                let is_off = (off - wanted).abs().max((then_off - wanted).abs()) <= 0.02;
                is_off && along >= 0.8 * length(line)
            })
        };
        runs_beside(low) && runs_beside(high)
    };
    let panes: Vec<bool> = faces.iter().map(|face| is_pane(face.line)).collect();
    faces.into_iter().zip(panes).filter(|(_, pane)| !pane).map(|(face, _)| face).collect()
}

/// From where to where along a wall a line runs between its faces.
fn pane(axis: &Axis, line: Line<f64>) -> Option<(f64, f64)> {
    let half = axis.thickness_m.filter(|thick| *thick >= THIN_M)? / 2.0;
    let ((p, off), (q, then_off)) =
        (seen_from(axis.line, line.start), seen_from(axis.line, line.end));
    let (from, to) = (p.min(q), p.max(q));
    let is_within = off.abs().max(then_off.abs()) <= half - WITHIN_M;
    let stands = axis.spans.iter().any(|(start, end)| *start < from && to < *end);
    (askew(axis.line, line) <= IN_LINE && is_within && stands).then_some((from, to))
}

/// Whether a line crosses a wall at a place along it.
fn is_jamb(axis: &Axis, line: Line<f64>, at: f64) -> bool {
    let ((p, off), (q, then_off)) =
        (seen_from(axis.line, line.start), seen_from(axis.line, line.end));
    let half = axis.half_m();
    let crossed = off.max(then_off).min(half) - off.min(then_off).max(-half);
    askew(axis.line, line) > 0.95
        && ((p + q) / 2.0 - at).abs() <= JAMB_M
        && crossed >= 2.0 * ACROSS * half
}
