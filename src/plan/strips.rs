//! The walls of a level as strips, and how their ends meet.

use geo::{Coord, Line, LineString, Point, Polygon, Rect};
use rstar::primitives::GeomWithData;
use rstar::{AABB, RTree, RTreeObject as _};

use super::{Level, Plan, Wall};

/// A wall divides a level if it reaches at least so far above the floor, metres (our own choice:
/// above the eyes; what is lower is a counter or a screen).
pub(super) const DIVIDES_UP_TO_M: f64 = 1.8;

/// A wall divides a level if it begins at most so far above the floor, metres (our own choice: a
/// beam or a lintel does not).
pub(super) const DIVIDES_FROM_M: f64 = 1.0;

/// Thickness of a wall of which nothing is known, metres (our own choice, no source).
pub(super) const USUAL_THICKNESS_M: f64 = 0.1;

/// Least thickness that counts, metres: a film closes a room, too.
pub(super) const LEAST_THICKNESS_M: f64 = 0.02;

/// Most pairs of strips whose boxes touch, on one level: a level with more has no inside. A
/// building of twenty thousand walls has some eighty thousand; it bounds the time that a hostile
/// plan can cost.
pub(super) const MOST_MEETINGS: usize = 400_000;

/// Sum over the strips of a level of the square of how many each touches, above which they crowd: a
/// building of twenty thousand walls has half of it, a star of a hundred walls all of it.
const DENSE: usize = 1_000_000;

/// Most walls that one end of a wall is held against: far beyond any building, it bounds the time.
pub(super) const MOST_NEAR: usize = 400;

/// How far to each side of a gap to look for what it parts, metres beyond half of the wall.
pub(super) const BESIDE_M: f64 = 0.05;

/// Ends nearer than this to a wall touch it, metres.
pub(super) const TOUCH_M: f64 = 1e-6;

/// Widest gap between walls that counts as closed, metres: a hand's breadth, which is how far a
/// wall drawn by hand may stop short (our own choice).
pub const GAP_M: f64 = 0.2;

/// Widest gap taken for a way in, metres: a single garage door (common practice, no source).
pub const DOORWAY_M: f64 = 2.5;

/// The thickness of a built-in construction by its name, metres.
pub type Thickness<'a> = dyn Fn(&str) -> Option<f64> + 'a;

/// A gap through which the outside comes into a building.
#[derive(Debug, Clone, PartialEq)]
pub struct Gap {
    /// Its middle, metres.
    pub middle: Coord<f64>,
    /// Its width between the walls' faces, metres.
    pub width_m: f64,
    /// Index in [`Plan::walls`] of the wall whose end is free.
    pub wall: usize,
    /// Index of the wall on the other side of the gap; it may be the same.
    pub other: usize,
}

/// Whether a wall divides a level: a person can neither see over it nor walk under it.
pub(super) fn divides(wall: &Wall, level: &Level) -> bool {
    let height_m = level.ceiling_m - level.floor_m;
    wall.top_m >= level.floor_m + DIVIDES_UP_TO_M.min(0.75 * height_m)
        && wall.base_m <= level.floor_m + DIVIDES_FROM_M.min(0.75 * height_m)
}

pub(super) fn thickness_of(plan: &Plan, wall: &Wall, known: &Thickness<'_>) -> f64 {
    let own = || plan.constructions.get(&wall.construction)?.thickness_mm();
    let said_m = wall.thickness_mm.or_else(own).map(|mm| mm / 1e3);
    let thickness_m = said_m.or_else(|| known(&wall.construction)).unwrap_or(USUAL_THICKNESS_M);
    thickness_m.max(LEAST_THICKNESS_M)
}

#[derive(Debug, Clone, Copy)]
pub(super) struct Strip {
    pub(super) wall: usize,
    pub(super) segment: usize,
    pub(super) line: Line<f64>,
    pub(super) half_m: f64,
}

impl Strip {
    pub(super) fn along(&self) -> Coord<f64> {
        let run = self.line.delta();
        run / run.x.hypot(run.y)
    }

    /// The rectangle over it, longer by so much at its start and end, metres.
    pub(super) fn outline(&self, (before_m, after_m): (f64, f64)) -> Polygon<f64> {
        let along = self.along();
        let beside = Coord { x: -along.y, y: along.x } * self.half_m;
        let (start, end) = (self.line.start - along * before_m, self.line.end + along * after_m);
        let ring = vec![start - beside, end - beside, end + beside, start + beside];
        Polygon::new(LineString::new(ring), Vec::new())
    }

    /// The nearest place on its middle line, and how far a place is from the wall's body, metres.
    pub(super) fn nearest(&self, place: Coord<f64>) -> (Coord<f64>, f64) {
        let (along, to) = (self.along(), place - self.line.start);
        let length = self.line.delta().x.hypot(self.line.delta().y);
        let (t, s) = (to.x * along.x + to.y * along.y, to.y * along.x - to.x * along.y);
        let beyond = (-t).max(t - length).max(0.0);
        let off_m = beyond.hypot((s.abs() - self.half_m).max(0.0));
        (self.line.start + along * t.clamp(0.0, length), off_m)
    }

    fn rect(&self) -> Rect<f64> {
        let rect = Rect::new(self.line.start, self.line.end);
        let round = Coord { x: 1.0, y: 1.0 } * self.half_m;
        Rect::new(rect.min() - round, rect.max() + round)
    }
}

pub(super) fn strips(plan: &Plan, level: &Level, known: &Thickness<'_>) -> Vec<Strip> {
    let walls = plan.walls.iter().enumerate().filter(|(_, wall)| divides(wall, level));
    let of_wall = |(number, wall): (usize, &'_ Wall)| {
        let half_m = thickness_of(plan, wall, known) / 2.0;
        let lines: Vec<Line<f64>> = wall.line.lines().collect();
        lines.into_iter().enumerate().filter_map(move |(segment, line)| {
            let has_length = line.start != line.end;
            has_length.then_some(Strip { wall: number, segment, line, half_m })
        })
    };
    walls.flat_map(of_wall).collect()
}

/// Strips by place: the box round each, with its number.
pub(super) type StripIndex = RTree<GeomWithData<Rect<f64>, usize>>;

pub(super) fn indexed(strips: &[Strip]) -> StripIndex {
    let boxed = |(number, strip): (usize, &Strip)| GeomWithData::new(strip.rect(), number);
    RTree::bulk_load(strips.iter().enumerate().map(boxed).collect())
}

/// How the strips of a level touch one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Crowd {
    /// As in any building.
    Usual,
    /// Very many at one place.
    Dense,
    /// More than are gone through.
    Tangle,
}

impl Crowd {
    pub(super) fn of(index: &StripIndex) -> Self {
        let (mut meetings, mut squares) = (0, 0);
        for strip in index.iter() {
            let met = index.locate_in_envelope_intersecting(&strip.envelope());
            let met = met.take(MOST_MEETINGS + 1 - meetings).count();
            meetings += met;
            squares += met * met;
            if meetings > MOST_MEETINGS {
                return Self::Tangle;
            }
        }
        if squares > DENSE { Self::Dense } else { Self::Usual }
    }
}

/// From an end of a wall across a gap to another wall.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bridge {
    pub(super) strip: Strip,
    pub(super) width_m: f64,
    pub(super) other: usize,
}

impl Bridge {
    pub(super) fn outline(&self) -> Polygon<f64> {
        self.strip.outline((0.0, 0.0))
    }

    /// Places just to its left and right.
    pub(super) fn sides(&self) -> [Coord<f64>; 2] {
        let along = self.strip.along();
        let beside = Coord { x: -along.y, y: along.x } * (self.strip.half_m + BESIDE_M);
        [self.middle() + beside, self.middle() - beside]
    }

    pub(super) fn middle(&self) -> Coord<f64> {
        // The middle of what is free, not of the way to the other wall's middle line.
        self.strip.line.start + self.strip.along() * (self.width_m / 2.0)
    }

    pub(super) fn gap(&self) -> Gap {
        Gap {
            middle: self.middle(),
            width_m: self.width_m,
            wall: self.strip.wall,
            other: self.other,
        }
    }
}

/// How the ends of walls meet other walls.
#[derive(Debug, Default)]
pub(super) struct Joints {
    /// Wall and whether at its end, of ends that touch no wall.
    pub(super) loose: Vec<(usize, bool)>,
    /// Last segment of each wall on the level.
    pub(super) last: Vec<usize>,
    pub(super) closed: Vec<Bridge>,
    pub(super) open: Vec<Bridge>,
}

impl Joints {
    pub(super) fn of(plan: &Plan, strips: &[Strip], index: &StripIndex) -> Self {
        let mut joints = Self { last: vec![0; plan.walls.len()], ..Self::default() };
        for strip in strips {
            joints.last[strip.wall] = joints.last[strip.wall].max(strip.segment);
        }
        for strip in strips {
            let wall = &plan.walls[strip.wall];
            let ends = [
                (strip.segment == 0, strip.line.start, strip.along() * -1.0, false),
                (strip.segment == joints.last[strip.wall], strip.line.end, strip.along(), true),
            ];
            for (is_end, place, ahead, at_end) in ends {
                if is_end && !(wall.line.is_closed() && wall.line.0.len() > 3) {
                    joints.meet(strips, index, strip, place, ahead, at_end);
                }
            }
        }
        joints
    }

    pub(super) fn meet(
        &mut self,
        strips: &[Strip],
        index: &StripIndex,
        strip: &Strip,
        place: Coord<f64>,
        ahead: Coord<f64>,
        at_end: bool,
    ) {
        let is_other =
            |other: &Strip| other.wall != strip.wall || other.segment.abs_diff(strip.segment) > 1;
        let within = |round_m: f64| {
            let round = Coord { x: round_m, y: round_m };
            let near = AABB::from_corners(Point(place - round), Point(place + round));
            index.locate_in_envelope_intersecting(&near).take(MOST_NEAR)
        };
        // Nearly all ends touch a wall: no need to look farther.
        let touches = |other: &Strip| is_other(other) && other.nearest(place).1 <= TOUCH_M;
        if within(TOUCH_M).any(|found| touches(&strips[found.data])) {
            return;
        }
        let others = within(DOORWAY_M).map(|found| found.data);
        let others = others.filter(|number| is_other(&strips[*number])).map(|number| {
            let (foot, off_m) = strips[number].nearest(place);
            (off_m, number, foot)
        });
        let mut met: Vec<(f64, usize, Coord<f64>)> =
            others.filter(|(off_m, ..)| *off_m <= DOORWAY_M).collect();
        met.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let bridge = |&(width_m, number, foot): &(f64, usize, Coord<f64>)| Bridge {
            strip: Strip { line: Line::new(place, foot), ..*strip },
            width_m,
            other: strips[number].wall,
        };
        match met.first() {
            Some(nearest) if nearest.0 <= GAP_M => self.closed.push(bridge(nearest)),
            nearest => self.open.extend(nearest.map(bridge)),
        }
        // Straight on, within some 20 degrees: the other jamb, where a side wall is nearer.
        let is_ahead = |to: &&(f64, usize, Coord<f64>)| {
            let way = to.2 - place;
            to.0 > GAP_M && way.x * ahead.x + way.y * ahead.y >= 0.94 * way.x.hypot(way.y)
        };
        self.open.extend(met.iter().skip(1).find(is_ahead).map(bridge));
        self.loose.push((strip.wall, at_end));
    }

    /// By how much a strip is longer than drawn at its start and end, metres: by half its thickness
    /// where it meets another, so that corners close.
    pub(super) fn longer(&self, strip: &Strip) -> (f64, f64) {
        let is_loose = |end: bool| self.loose.binary_search(&(strip.wall, end)).is_ok();
        let before = strip.segment == 0 && is_loose(false);
        let after = self.last.get(strip.wall) == Some(&strip.segment) && is_loose(true);
        let half = |loose: bool| if loose { 0.0 } else { strip.half_m };
        (half(before), half(after))
    }
}
