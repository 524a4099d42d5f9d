//! Puts each opening on its wall.
//!
//! Openings are placed after all walls are known, so the order of features does not matter.

use std::collections::BTreeSet;

use geo::{Coord, Line};
use rstar::{AABB, RTree, RTreeObject};

use super::feature::Feature;
use super::frame::{Frame, from_zero};
use super::limits::{MIN_SEGMENT_M, ON_WALL_TOLERANCE_M};
use super::measure::{apart, gap, seen};
use super::members::STATES;
use super::{Opening, Wall};
use input::shown;

/// By how much openings of one wall may overlap for rounding's sake, metres.
const OVERLAP_M: f64 = 0.001;

/// Most segments of walls around one opening: far beyond any site, for hostile files.
const MAX_SEGMENTS_AT_OPENING: usize = 1_000;

#[derive(Debug)]
pub(super) struct Loose {
    id: String,
    at: usize,
    line: Vec<Coord<f64>>,
    places: Vec<usize>,
    /// The level, where the opening names one.
    level: Option<i32>,
    construction: String,
    open: bool,
    entry: bool,
    base: Option<(f64, usize)>,
    top: Option<(f64, usize)>,
}

/// A piece of an opening on its wall.
struct Placed {
    opening: Opening,
    /// Where its first position stands.
    start_at: usize,
    /// The number of the opening that it is of.
    number: usize,
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Segment {
    wall: usize,
    index: usize,
    pub(super) level: i32,
    line: Line<f64>,
}

impl RTreeObject for Segment {
    type Envelope = AABB<[f64; 2]>;

    fn envelope(&self) -> Self::Envelope {
        let Line { start, end } = self.line;
        AABB::from_corners([start.x, start.y], [end.x, end.y])
    }
}

impl Segment {
    /// How far along the segment a point lies, metres from its start, not beyond its ends.
    fn along_m(&self, point: Coord<f64>) -> f64 {
        let seen = seen(self.line.start, self.line.end, point);
        seen.map_or(0.0, |seen| seen.along.clamp(0.0, seen.length))
    }

    /// How far the farther of two ends lies off, metres.
    fn off_m(&self, piece: Line<f64>) -> f64 {
        let off = |point| gap(self.line.start, self.line.end, point);
        off(piece.start).max(off(piece.end))
    }
}

/// Two sums of rounding must not decide whether an end lies within the tolerance.
fn within_tolerance(off_m: f64) -> bool {
    off_m <= ON_WALL_TOLERANCE_M + 1e-9
}

impl Frame<'_> {
    pub(super) fn loose_opening(&mut self, feature: &Feature<'_>) -> Option<Loose> {
        let fields = &feature.properties;
        let construction = self.construction(fields, "opening");
        let level = self.named_level(fields, "level");
        let lost = fields.value("level").is_some() && level.is_none();
        let state = fields.word("state", &STATES, &mut self.faults);
        let entry = fields.boolean("entry", &mut self.faults).unwrap_or(false);
        let mut height = |name| {
            let height = fields.height_m(name, self.unit.metres, &mut self.faults)?;
            Some((height, fields.place(name)))
        };
        let (base, top) = (height("base"), height("top"));
        let shape = feature.shape.as_ref()?;
        if lost {
            return None;
        }
        Some(Loose {
            line: shape.line()?.0.clone(),
            places: shape.places.first().cloned().unwrap_or_default(),
            id: feature.id.clone(),
            at: feature.at,
            level: level.map(|level| level.number),
            construction: construction.unwrap_or_default(),
            open: state == Some("open"),
            entry,
            base,
            top,
        })
    }

    /// Openings on their walls; those with a fault are left out.
    pub(super) fn place_openings(
        &mut self,
        openings: &[Loose],
        walls: &[Wall],
        index: &WallIndex,
    ) -> Vec<Opening> {
        let mut placed: Vec<Placed> = Vec::new();
        let mut faulty = BTreeSet::new();
        for (number, loose) in openings.iter().enumerate() {
            let before = self.faults.count();
            let ends = loose.line.windows(2).zip(loose.places.windows(2));
            for (piece, places) in ends {
                let (&[start, end], &[start_at, end_at]) = (piece, places) else {
                    continue;
                };
                let piece = Line { start, end };
                if let Some(opening) = self.place(loose, piece, (start_at, end_at), walls, index) {
                    placed.push(Placed { opening, start_at, number });
                }
            }
            if self.faults.count() > before {
                faulty.insert(number);
            }
        }
        faulty.extend(self.check_overlaps(&placed, walls));
        placed.retain(|it| !faulty.contains(&it.number));
        placed.into_iter().map(|it| it.opening).collect()
    }

    fn place(
        &mut self,
        loose: &Loose,
        piece: Line<f64>,
        (start_at, end_at): (usize, usize),
        walls: &[Wall],
        index: &WallIndex,
    ) -> Option<Opening> {
        let near = near(piece, index);
        if near.len() > MAX_SEGMENTS_AT_OPENING {
            let what =
                format!("more than {MAX_SEGMENTS_AT_OPENING} pieces of wall are near the opening");
            let fix = "look for walls drawn more than once";
            self.faults.fault(start_at, Some(&loose.id), || (what, fix));
            return None;
        }
        let candidates = candidates(loose, piece, walls, &near);
        let mut levels: Vec<i32> = candidates.iter().map(|segment| segment.level).collect();
        levels.dedup();
        if let [lowest, _, ..] = levels.as_slice() {
            let all = levels.iter().map(i32::to_string).collect::<Vec<_>>().join(", ");
            let what = format!("the opening fits walls of levels {all}; taken as level {lowest}");
            self.faults.warning(start_at, Some(&loose.id), || (what, "say which with \"level\""));
        }
        let Some(segment) = candidates.first() else {
            self.on_no_wall(loose, piece, (start_at, end_at), walls, (index, &near));
            return None;
        };
        let (a, b) = (segment.along_m(piece.start), segment.along_m(piece.end));
        let (from_m, to_m) = if a <= b { (a, b) } else { (b, a) };
        if to_m - from_m < MIN_SEGMENT_M {
            let what = "the opening has no length along its wall";
            let fix = "draw it from jamb to jamb, along the wall's centre line";
            self.faults.fault(start_at, Some(&loose.id), || (what, fix));
            return None;
        }
        let wall = walls.get(segment.wall)?;
        let (base_m, top_m) = self.opening_span(loose, wall)?;
        Some(Opening {
            id: loose.id.clone(),
            wall: segment.wall,
            segment: segment.index,
            from_m,
            to_m,
            construction: loose.construction.clone(),
            open: loose.open,
            entry: loose.entry,
            base_m,
            top_m,
        })
    }

    /// Sill and head of an opening, cut to what its wall covers.
    fn opening_span(&mut self, loose: &Loose, wall: &Wall) -> Option<(f64, f64)> {
        let (level, unit) = (self.level(wall.level)?.clone(), self.unit);
        let base_m = loose.base.map_or(wall.base_m, |(base, _)| base);
        let top_m = loose.top.map_or(wall.top_m, |(top, _)| top);
        let base_at = loose.base.or(loose.top).map_or(loose.at, |(_, at)| at);
        let top_at = loose.top.or(loose.base).map_or(loose.at, |(_, at)| at);
        let between = |low: f64, high: f64| format!("{} to {}", unit.show(low), unit.show(high));
        let span = format!("from {}", between(base_m, top_m));
        let name = shown(&wall.id);
        let reach = between(wall.base_m, wall.top_m);
        let fix = from_zero(&level, unit);
        if base_m >= wall.top_m || top_m <= wall.base_m {
            let (at, side) =
                if base_m >= wall.top_m { (base_at, "above") } else { (top_at, "below") };
            let its_wall = format!("its wall {name}, which reaches from {reach}");
            let what = format!("the opening, {span}, is {side} {its_wall}");
            self.faults.fault(at, Some(&loose.id), || (what, fix));
            return None;
        }
        if base_m >= top_m {
            let what = format!("the opening's top is not above its base: {span}");
            self.faults.fault(top_at, Some(&loose.id), || (what, fix));
            return None;
        }
        // A millimetre of grace: feet do not convert to round metres.
        let beyond = |low: f64, high: f64| base_m < low - 0.001 || top_m > high + 0.001;
        let at = if base_m < wall.base_m || base_m < level.floor_m { base_at } else { top_at };
        if beyond(wall.base_m, wall.top_m) {
            let what = format!("the opening, {span}, reaches beyond its wall {name}, {reach}");
            let what = format!("{what}; only the part in the wall counts");
            self.faults.warning(at, Some(&loose.id), || (what, fix));
        } else if beyond(level.floor_m, level.ceiling_m) {
            let (number, reach) = (level.number, between(level.floor_m, level.ceiling_m));
            let what = format!("the opening, {span}, reaches beyond level {number}, {reach}");
            self.faults.warning(at, Some(&loose.id), || (what, fix));
        }
        Some((base_m.max(wall.base_m), top_m.min(wall.top_m)))
    }

    /// Notes that an opening is on no wall, and which one comes nearest.
    fn on_no_wall(
        &mut self,
        loose: &Loose,
        piece: Line<f64>,
        (start_at, end_at): (usize, usize),
        walls: &[Wall],
        (index, near): (&WallIndex, &[Segment]),
    ) {
        let touched = |point| {
            let point = Line { start: point, end: point };
            candidates(loose, point, walls, near).first().copied()
        };
        let unit = self.unit;
        let (start, end) = (touched(piece.start), touched(piece.end));
        let at = if start.is_some() { end_at } else { start_at };
        let name = |wall: usize| walls.get(wall).map_or_else(String::new, |wall| shown(&wall.id));
        let on_level = loose.level.map_or_else(String::new, |level| format!(" of level {level}"));
        self.faults.fault(at, Some(&loose.id), || {
            if let (Some(start), Some(end)) = (start, end) {
                let (first, last) = (name(start.wall), name(end.wall));
                let what = if start.wall == end.wall {
                    format!("the opening is not on one segment of {first}")
                } else {
                    format!("the opening begins on {first} and ends on {last}")
                };
                let fix = "end it where the segment ends, or draw one opening per segment";
                return (what, fix.to_owned());
            }
            let all = index.iter();
            let on_level_too =
                all.filter(|segment| loose.level.is_none_or(|level| segment.level == level));
            let off = on_level_too.map(|segment| (segment.off_m(piece), segment.wall));
            let what = format!("the opening is on no wall{on_level}:");
            match off.min_by(|a, b| a.0.total_cmp(&b.0).then_with(|| name(a.1).cmp(&name(b.1)))) {
                None => (
                    format!("{what} there is none"),
                    "draw the wall through, with the opening on it".to_owned(),
                ),
                Some((off_m, wall)) => (
                    format!("{what} the nearest, {}, is {} away", name(wall), unit.show(off_m)),
                    format!(
                        "draw the wall through, with both ends of the opening on its centre line, \
                         within {}",
                        unit.show(ON_WALL_TOLERANCE_M)
                    ),
                ),
            }
        });
    }

    /// Two openings at one place of a wall leave open which of them fills it: the later one in the
    /// file has a fault. Gives the numbers of those; the others do not overlap.
    fn check_overlaps(&mut self, placed: &[Placed], walls: &[Wall]) -> BTreeSet<usize> {
        let mut faulty = BTreeSet::new();
        let mut order: Vec<&Placed> = placed.iter().collect();
        order.sort_by(|one, other| {
            let (a, b) = (&one.opening, &other.opening);
            let (a_key, b_key) = ((a.wall, a.segment), (b.wall, b.segment));
            let along = a_key.cmp(&b_key).then(a.from_m.total_cmp(&b.from_m));
            along.then(one.start_at.cmp(&other.start_at))
        });
        for (index, one) in order.iter().enumerate() {
            let a = &one.opening;
            let beside = |b: &Opening| {
                (b.wall, b.segment) == (a.wall, a.segment) && b.from_m < a.to_m - OVERLAP_M
            };
            let later = order.iter().skip(index + 1).take_while(|other| beside(&other.opening));
            for other in later {
                let b = &other.opening;
                let clash = b.base_m < a.top_m - OVERLAP_M && a.base_m < b.top_m - OVERLAP_M;
                if faulty.contains(&one.number) {
                    break;
                }
                if !clash || faulty.contains(&other.number) {
                    continue;
                }
                let (first, second) =
                    if one.start_at < other.start_at { (one, other) } else { (other, one) };
                faulty.insert(second.number);
                let (at, first_at) = (second.start_at, first.start_at);
                let id = Some(second.opening.id.as_str());
                self.faults.fault_with_other(at, first_at, id, || {
                    let wall = shown(&walls[a.wall].id);
                    let what =
                        format!("the opening overlaps {} on {wall}", shown(&first.opening.id));
                    (what, "draw openings side by side or one above the other")
                });
            }
        }
        faulty
    }
}

/// The segments around a piece, one more than the most at the utmost.
fn near(piece: Line<f64>, index: &WallIndex) -> Vec<Segment> {
    let reach = ON_WALL_TOLERANCE_M * 1.01;
    let (low_x, high_x) = (piece.start.x.min(piece.end.x), piece.start.x.max(piece.end.x));
    let (low_y, high_y) = (piece.start.y.min(piece.end.y), piece.start.y.max(piece.end.y));
    let envelope =
        AABB::from_corners([low_x - reach, low_y - reach], [high_x + reach, high_y + reach]);
    let found = index.locate_in_envelope_intersecting(&envelope);
    found.take(MAX_SEGMENTS_AT_OPENING + 1).copied().collect()
}

/// The segments on which both ends of a piece lie: of each level the best, ascending by level.
///
/// Of walls one over the other at its place, an opening with a height is on the one that reaches
/// there; where it names no level, only the levels with such a wall are kept.
fn candidates(loose: &Loose, piece: Line<f64>, walls: &[Wall], near: &[Segment]) -> Vec<Segment> {
    let id = |segment: &Segment| walls.get(segment.wall).map_or("", |wall| wall.id.as_str());
    let middle = match (loose.base, loose.top) {
        (Some((base, _)), Some((top, _))) => Some((base + top) / 2.0),
        (Some((base, _)), None) => Some(base + OVERLAP_M),
        (None, Some((top, _))) => Some(top - OVERLAP_M),
        (None, None) => None,
    };
    let reaches = |segment: &Segment| {
        let within = |wall: &Wall| middle.is_none_or(|it| wall.base_m <= it && it <= wall.top_m);
        walls.get(segment.wall).is_some_and(within)
    };
    let mut found: Vec<(bool, f64, Segment)> = near
        .iter()
        .filter(|segment| loose.level.is_none_or(|level| level == segment.level))
        .map(|segment| (!reaches(segment), segment.off_m(piece), *segment))
        .filter(|(_, off_m, _)| within_tolerance(*off_m))
        .collect();
    found.sort_by(|(a_misses, a_off, a), (b_misses, b_off, b)| {
        a.level
            .cmp(&b.level)
            .then(a_misses.cmp(b_misses))
            .then(a_off.total_cmp(b_off))
            .then_with(|| id(a).cmp(id(b)))
            .then(a.index.cmp(&b.index))
    });
    found.dedup_by_key(|(_, _, segment)| segment.level);
    if loose.level.is_none() && found.iter().any(|(misses, _, _)| !misses) {
        found.retain(|(misses, _, _)| !misses);
    }
    found.into_iter().map(|(_, _, segment)| segment).collect()
}

/// The straight pieces of all walls, to be found by place.
pub(super) type WallIndex = RTree<Segment>;

pub(super) fn wall_index(walls: &[Wall]) -> WallIndex {
    let of_wall = |(number, wall): (usize, &'_ Wall)| {
        let (level, lines) = (wall.level, wall.line.lines().collect::<Vec<_>>());
        let numbered = lines.into_iter().enumerate();
        numbered.map(move |(index, line)| Segment { wall: number, index, level, line })
    };
    let all = walls.iter().enumerate().flat_map(of_wall);
    let all = all.filter(|it| apart(it.line.start, it.line.end) >= MIN_SEGMENT_M);
    RTree::bulk_load(all.collect())
}
