//! Where walls touch, and the marks on them between which a wire is led.
//!
//! A mark is a place along a sheet at which a wire may turn. Between two neighbouring marks a sheet
//! has the same openings all along, so a vertical piece of wire can be slid from one to the other
//! without making the run longer; that is why turning at marks alone misses no shortest run.
//! Where sheets run along one another (storeys over one another, a wall drawn in two overlapping
//! pieces) a mark of one is a mark of the other too, for the same reason.

use std::collections::VecDeque;

use plan::ON_WALL_TOLERANCE_M;
use rstar::primitives::{GeomWithData, Line};
use rstar::{AABB, RTree};

use super::sheet::{AT_SLAB_M, Sheet, gap_m};

/// Most pairs of wall segments that are looked at: far beyond any site, it bounds the time that a
/// hostile plan can cost.
const MAX_PAIRS: usize = 8_000_000;

/// Most marks, for the same reason.
const MAX_MARKS: usize = 1_000_000;

/// Walls of one level that come this near to one another touch, metres.
pub(super) const TOUCH_M: f64 = ON_WALL_TOLERANCE_M;

/// Walls of neighbouring levels whose centre lines lie this near to one another in plan stand over
/// one another, metres (common sense, no source: walls of different thickness with one face flush).
const STACKED_M: f64 = 0.15;

/// More walls lie together than any site has.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "too many walls touch one another for wires to be led along them: see whether walls are drawn many times over"
)]
pub struct TooDense;

/// Places closer than this are one, metres.
const SAME_M: f64 = 1e-10;

/// A ceiling and the floor above it may be this far apart, metres (common sense, no source): more
/// is a void and no slab, in which no wall carries the wire.
const DEEPEST_SLAB_M: f64 = 1.0;

/// The line of a sheet and its number, in the spatial index of its storey.
pub(super) type Placed = GeomWithData<Line<[f64; 2]>, usize>;

/// One spatial index a storey.
pub(super) fn index(sheets: &[Sheet], storeys: usize) -> Vec<RTree<Placed>> {
    let mut placed = vec![Vec::new(); storeys];
    for (number, sheet) in sheets.iter().enumerate() {
        let [from, to] = [sheet.start, sheet.end()].map(|p| [p.x, p.y]);
        placed[sheet.storey].push(Placed::new(Line::new(from, to), number));
    }
    placed.into_iter().map(RTree::bulk_load).collect()
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Mark {
    pub(super) sheet: usize,
    pub(super) s: f64,
}

/// Two marks, by their places in [`Marks::all`], between which a wire can pass.
#[derive(Debug, Clone, Copy)]
pub(super) struct Joint {
    pub(super) one: usize,
    pub(super) other: usize,
    /// Whether the second lies on the storey above the first.
    pub(super) is_upwards: bool,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Contact {
    pub(super) one: Mark,
    pub(super) other: Mark,
    is_upwards: bool,
}

/// A stretch over which two sheets run along one another: from (here, there) to (here, there).
#[derive(Debug, Clone, Copy)]
struct Overlap {
    other: usize,
    here: (f64, f64),
    there: (f64, f64),
    /// Storeys from this sheet to the other: −1, 0 or 1.
    up: i8,
}

impl Overlap {
    /// The place on the other sheet that goes with one on this.
    fn across(&self, s: f64) -> Option<f64> {
        let (from, to) = self.here;
        if s < from.min(to) - SAME_M || s > from.max(to) + SAME_M {
            return None;
        }
        Some(self.there.0 + (s - from) / (to - from) * (self.there.1 - self.there.0))
    }
}

/// All places where sheets touch, in a fixed order.
pub(super) fn contacts(
    sheets: &[Sheet],
    trees: &[RTree<Placed>],
) -> Result<Vec<Contact>, TooDense> {
    let mut found = Vec::new();
    let mut pairs = 0_usize;
    for (number, sheet) in sheets.iter().enumerate() {
        let (a, b) = (sheet.start, sheet.end());
        for is_upwards in [false, true] {
            let tolerance = if is_upwards { STACKED_M } else { TOUCH_M };
            let Some(tree) = trees.get(sheet.storey + usize::from(is_upwards)) else {
                continue;
            };
            let grown = tolerance * 1.01 + SAME_M;
            let around = AABB::from_corners(
                [a.x.min(b.x) - grown, a.y.min(b.y) - grown],
                [a.x.max(b.x) + grown, a.y.max(b.y) + grown],
            );
            let mut near = Vec::new();
            for placed in tree.locate_in_envelope_intersecting(&around) {
                pairs += 1;
                if pairs > MAX_PAIRS {
                    return Err(TooDense);
                }
                if is_upwards || placed.data > number {
                    near.push(placed.data);
                }
            }
            near.sort_unstable();
            for other in near {
                let second = &sheets[other];
                if is_upwards && !stands_under(sheet, second) {
                    continue;
                }
                for (s, u) in touches(sheet, second, tolerance) {
                    found.push(Contact {
                        one: Mark { sheet: number, s },
                        other: Mark { sheet: other, s: u },
                        is_upwards,
                    });
                }
                if found.len() > MAX_MARKS / 2 {
                    return Err(TooDense);
                }
            }
        }
    }
    Ok(found)
}

/// Whether only a slab lies between the upper line of one sheet and the lower line of the other.
fn stands_under(low: &Sheet, high: &Sheet) -> bool {
    let gap = high.low_m - low.high_m;
    (-AT_SLAB_M..=DEEPEST_SLAB_M).contains(&gap) && low.ends_at_ceiling && high.ends_at_floor
}

/// Where two sheets cross or come within a tolerance of one another's ends: (s, u) along each.
fn touches(p: &Sheet, q: &Sheet, tolerance: f64) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = Vec::new();
    let mut note = |s: f64, u: f64| {
        let is_new = |&(a, b): &(f64, f64)| (a - s).abs() > SAME_M || (b - u).abs() > SAME_M;
        if found.iter().all(is_new) {
            found.push((s, u));
        }
    };
    let limit = tolerance + 1e-9;
    for (s, end) in [(0.0, p.start), (p.length_m, p.end())] {
        let (u, off) = q.see(end);
        if off <= limit {
            note(s, u);
        }
    }
    for (u, end) in [(0.0, q.start), (q.length_m, q.end())] {
        let (s, off) = p.see(end);
        if off <= limit {
            note(s, u);
        }
    }
    let sine = p.along.x * q.along.y - p.along.y * q.along.x;
    if sine.abs() > 1e-9 {
        let to = q.start - p.start;
        let s = (to.x * q.along.y - to.y * q.along.x) / sine;
        let u = (to.x * p.along.y - to.y * p.along.x) / sine;
        if (0.0..=p.length_m).contains(&s) && (0.0..=q.length_m).contains(&u) {
            note(s, u);
        }
    }
    found
}

/// The marks of all sheets and the joints between them.
#[derive(Debug, Default)]
pub(super) struct Marks {
    pub(super) all: Vec<Mark>,
    pub(super) joints: Vec<Joint>,
}

impl Marks {
    /// Marks at the ends and jambs of every sheet, at every contact, and at `extra` places; the
    /// extra ones come first in [`Marks::all`], in their order.
    pub(super) fn new(
        sheets: &[Sheet],
        contacts: &[Contact],
        extra: &[Mark],
    ) -> Result<Self, TooDense> {
        let overlaps = overlaps(sheets, contacts);
        let mut marks = Self { all: extra.to_vec(), joints: Vec::new() };
        for (sheet, body) in sheets.iter().enumerate() {
            let places = [0.0, body.length_m].into_iter();
            let jambs = body.jambs().map(|s| s.clamp(0.0, body.length_m));
            marks.all.extend(places.chain(jambs).map(|s| Mark { sheet, s }));
        }
        for contact in contacts {
            let one = marks.all.len();
            marks.all.extend([contact.one, contact.other]);
            marks.joints.push(Joint { one, other: one + 1, is_upwards: contact.is_upwards });
        }
        for origin in 0..marks.all.len() {
            marks.spread(origin, &overlaps)?;
        }
        Ok(marks)
    }

    /// Carries a mark over to every sheet that runs along its own, and on from there.
    fn spread(&mut self, origin: usize, overlaps: &[Vec<Overlap>]) -> Result<(), TooDense> {
        let mut seen = vec![self.all[origin].sheet];
        let mut waiting = VecDeque::from([origin]);
        while let Some(here) = waiting.pop_front() {
            let mark = self.all[here];
            for overlap in &overlaps[mark.sheet] {
                let Some(s) = overlap.across(mark.s) else {
                    continue;
                };
                if seen.contains(&overlap.other) {
                    continue;
                }
                if self.all.len() >= MAX_MARKS {
                    return Err(TooDense);
                }
                seen.push(overlap.other);
                let there = self.all.len();
                self.all.push(Mark { sheet: overlap.other, s });
                waiting.push_back(there);
                let (one, other) = if overlap.up < 0 { (there, here) } else { (here, there) };
                self.joints.push(Joint { one, other, is_upwards: overlap.up != 0 });
            }
        }
        Ok(())
    }
}

/// The stretches over which sheets run along one another, sheet by sheet.
///
/// Two sheets that come within the tolerance at two places lie within it all the way between:
/// the distance from a line is convex.
fn overlaps(sheets: &[Sheet], contacts: &[Contact]) -> Vec<Vec<Overlap>> {
    let mut found = vec![Vec::new(); sheets.len()];
    for pair in contacts.chunk_by(|a, b| {
        (a.one.sheet, a.other.sheet, a.is_upwards) == (b.one.sheet, b.other.sheet, b.is_upwards)
    }) {
        // Of several at one place, the one with the least gap.
        let gap = |contact: &Contact| between_m(sheets, contact.one, contact.other);
        let by_place = |a: &Contact, b: &Contact| a.one.s.total_cmp(&b.one.s);
        let by_gap = |a: &Contact, b: &Contact| gap(a).total_cmp(&gap(b));
        let first = pair.iter().min_by(|a, b| by_place(a, b).then_with(|| by_gap(a, b)));
        let last = pair.iter().max_by(|a, b| by_place(a, b).then_with(|| by_gap(b, a)));
        let (Some(from), Some(to)) = (first, last) else {
            continue;
        };
        let tolerance = if from.is_upwards { STACKED_M } else { TOUCH_M };
        let (here, there) = ((from.one.s, to.one.s), (from.other.s, to.other.s));
        // Shorter ones are a corner that is drawn past itself.
        if here.1 - here.0 <= 2.0 * tolerance || (there.1 - there.0).abs() <= tolerance {
            continue;
        }
        let up = i8::from(from.is_upwards);
        let ways = [
            (from.one.sheet, from.other.sheet, here, there, up),
            (from.other.sheet, from.one.sheet, there, here, -up),
        ];
        for (sheet, other, here, there, up) in ways {
            found[sheet].push(Overlap { other, here, there, up });
        }
    }
    found
}

/// Distance in plan between two marks, metres.
pub(super) fn between_m(sheets: &[Sheet], one: Mark, other: Mark) -> f64 {
    gap_m(sheets[one.sheet].at(one.s), sheets[other.sheet].at(other.s))
}
