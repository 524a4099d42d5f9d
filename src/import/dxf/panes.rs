//! Windows that are drawn on a wall whose faces run on: panes between the faces, from one line
//! across the wall to the next.

use geo::Line;

use super::axes::{Axis, reaches};
use super::layers::Use;
use super::marks::Marks;
use super::openings::Placed;
use crate::line::{around, askew, length, seen_from};

/// Narrowest and widest window that is looked for, metres (our own choice).
const WIDE_M: (f64, f64) = (0.4, 4.5);
/// Thinnest wall that has one, metres (our own choice).
const THIN_M: f64 = 0.08;
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
