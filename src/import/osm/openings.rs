//! Doors and windows, put on the walls that they lie on.

use geo::{Coord, Line, LineString};
use rstar::Envelope as _;

use super::cover::Index;
use super::element::{Shape, middle};
use super::faces::SAME_FACE_M;
use super::map::{IndoorMap, Part, Thing, index};
use super::materials::{Place, construction};
use super::notes::{LEFT_OUT, MEASURE, TAKEN};
use crate::line::{along, around, distance, length, line_to_millimetre, millimetre, seen_from};
use crate::{DOOR, HEAD_M, Piece, PlanPoint, SILL_M, What};

/// Width of a door about which nobody says anything, metres (common practice, no source).
const DOOR_M: f64 = 0.9;
/// Width of a window about which nobody says anything, metres (common practice, no source).
const WINDOW_M: f64 = 1.2;
/// Widths that are read, metres (our own choice).
const WIDTHS_M: std::ops::RangeInclusive<f64> = 0.2..=20.0;
/// Narrowest opening that is kept where a wall is short, metres (our own choice).
const NARROWEST_M: f64 = 0.3;
/// How far off a wall an opening may lie, metres: as far as a plan allows.
const OFF_M: f64 = 0.05;

#[derive(Clone, Copy)]
enum Drawn {
    /// At a point, with its width, and whether a tag says that.
    At(Coord<f64>, f64, bool),
    Along(Line<f64>),
}

type Placed = Vec<(i32, Line<f64>)>;

/// A place on a wall: which, and from where to where along it, metres.
#[derive(Clone, Copy)]
struct Spot {
    run: usize,
    from_m: f64,
    to_m: f64,
}

impl IndoorMap<'_> {
    pub(super) fn openings(&mut self, things: &[Thing]) {
        let index = index(&self.runs);
        let mut placed = Placed::new();
        for thing in things.iter().filter(|it| matches!(it.part, Part::Door | Part::Window)) {
            for drawn in drawn(thing) {
                self.opening(thing, drawn, &index, &mut placed);
            }
        }
    }

    fn opening(&mut self, thing: &Thing, drawn: Drawn, index: &Index, placed: &mut Placed) {
        let door = thing.part == Part::Door;
        let reach_m = if thing.tags.is("entrance") { SAME_FACE_M } else { OFF_M };
        let mut levels: Vec<i32> = thing.levels.iter().copied().collect();
        if levels.is_empty() {
            let all = self.storeys.iter().map(|level| level.number);
            let is_on_wall = |level: &i32| self.spot(drawn, *level, reach_m, index).is_some();
            levels.extend({ all }.find(is_on_wall));
            let taken = "were put on the lowest level with a wall there";
            self.notes.tell(TAKEN, "openings without a level", taken, "tag them with level");
        }
        let mut found = false;
        for level in levels {
            if let Some(spot) = self.spot(drawn, level, reach_m, index) {
                found = true;
                self.place(thing, drawn, spot, placed);
            }
        }
        if !found {
            let taken = format!("was left out: the {} is on no wall", word(door));
            let fix = "draw it on a wall of its level, within 0.05 m";
            self.notes.tell(LEFT_OUT, thing.about.clone(), taken, fix);
        }
    }

    /// Adds an opening at its place on a wall, if nothing is there yet.
    fn place(&mut self, thing: &Thing, drawn: Drawn, spot: Spot, placed: &mut Placed) {
        let run = self.runs[spot.run];
        let door = thing.part == Part::Door;
        let line = Line::new(along(run.line, spot.from_m), along(run.line, spot.to_m));
        let line = line_to_millimetre(line);
        let Some(floor_m) = self.storey(run.level).map(|level| level.floor_m) else { return };
        let middle = PlanPoint { level: run.level, at: (line.start + line.end) * 0.5 };
        let mut left_out = |why: &str| {
            let taken = format!("was left out: {why}");
            let (about, fix) = (thing.about.clone(), "move it, or correct the plan");
            self.notes.tell_at(LEFT_OUT, about, taken, fix, Some(middle));
        };
        if placed.iter().any(|(level, other)| *level == run.level && overlap(*other, line)) {
            left_out(&format!("the {} overlaps another opening", word(door)));
            return;
        }
        let sill_m = if door { 0.0 } else { SILL_M };
        let base_m = floor_m + thing.tags.metres("min_height").unwrap_or(sill_m).clamp(0.0, 10.0);
        let height_m = thing.tags.metres("height").filter(|m| (0.2..=10.0).contains(m));
        let top_m = height_m.map_or(floor_m + HEAD_M, |height_m| base_m + height_m);
        let (base_m, top_m) = (base_m.max(run.base_m), top_m.min(run.top_m));
        if top_m - base_m < 0.1 {
            left_out(&format!("the {} is taller than its wall", word(door)));
            return;
        }
        let place = if door { Place::Door } else { Place::Window };
        // A gap that nothing fills has no leaf to guess.
        let open = door && thing.tags.has("door", &["no"]);
        let leaf = if open {
            Some(DOOR.to_owned())
        } else {
            construction(&[&thing.tags], place, self.settings, &mut self.notes)
        };
        let Some(construction) = leaf else { return };
        let wanted_m = match drawn {
            Drawn::At(_, wide_m, said) => {
                if !said {
                    let about = format!("{}s without a width", word(door));
                    let taken = format!("were taken as {wide_m} m wide");
                    self.notes.tell(MEASURE, about, taken, "tag them with width");
                }
                wide_m
            }
            Drawn::Along(line) => length(line),
        };
        if spot.to_m - spot.from_m < wanted_m - 0.01 {
            let taken = format!("was narrowed to its wall, {:.2} m", spot.to_m - spot.from_m);
            self.notes.tell(TAKEN, thing.about.clone(), taken, "correct its ends in the plan");
        }
        let ground = self.storeys.first().map_or(0, |lowest| lowest.number.max(0));
        let way_in = match thing.tags.get("entrance") {
            Some(sort) => !["no", "emergency", "exit"].contains(&sort),
            None => run.outside && run.level == ground,
        };
        placed.push((run.level, line));
        let what = What::Opening {
            construction,
            entry: door && way_in,
            open,
            base_m: Some(millimetre(base_m)),
            top_m: Some(millimetre(top_m)),
        };
        let name = thing.tags.get("name");
        let id = name.unwrap_or(word(door));
        let piece = Piece::new(id, run.level, LineString::from(line), what);
        self.pieces.push(piece.named(name.and(thing.tags.called())));
    }

    /// The best place for an opening on the walls of a level: the nearest wall, and of those that
    /// meet there the one on which it lies farthest from the ends.
    fn spot(&self, drawn: Drawn, level: i32, reach_m: f64, index: &Index) -> Option<Spot> {
        let around = match drawn {
            Drawn::At(at, ..) => Line::new(at, at),
            Drawn::Along(line) => line,
        };
        let mut best: Option<(i64, f64, Spot)> = None;
        for number in index.around(around, SAME_FACE_M + OFF_M) {
            let run = &self.runs[number];
            if run.level != level {
                continue;
            }
            let long = length(run.line);
            let off_m = |seen| distance(run.line, seen);
            let (off, free_m, from_m, to_m) = match drawn {
                Drawn::At(at, wide_m, _) => {
                    let at = seen_from(run.line, at);
                    let half_m = wide_m.min(long) / 2.0;
                    let centre = at.0.clamp(half_m, long - half_m);
                    let free_m = at.0.min(long - at.0);
                    (off_m(at), free_m, centre - half_m, centre + half_m)
                }
                Drawn::Along(line) => {
                    let (from, to) =
                        (seen_from(run.line, line.start), seen_from(run.line, line.end));
                    let (low, high) = (from.0.min(to.0), from.0.max(to.0));
                    let free_m = low.min(long - high);
                    (off_m(from).max(off_m(to)), free_m, low.max(0.0), high.min(long))
                }
            };
            // An opening may be drawn on either face of its wall.
            if off > reach_m.max(run.gap_m + OFF_M) + 1e-9 || to_m - from_m < NARROWEST_M {
                continue;
            }
            // Walls that meet are all as near as rounding makes them: a centimetre decides.
            #[expect(clippy::cast_possible_truncation, reason = "at most 0.6 m")]
            let near = (off * 100.0) as i64;
            let spot = Spot { run: number, from_m, to_m };
            if best.is_none_or(|(other, free, _)| near < other || (near == other && free_m > free))
            {
                best = Some((near, free_m, spot));
            }
        }
        best.map(|(_, _, spot)| spot)
    }
}

fn word(door: bool) -> &'static str {
    if door { "door" } else { "window" }
}

/// Where a thing was drawn: more than once only for an area of many parts.
fn drawn(thing: &Thing) -> Vec<Drawn> {
    let said = thing.tags.metres("width").filter(|m| WIDTHS_M.contains(m));
    let usual_m = if thing.part == Part::Door { DOOR_M } else { WINDOW_M };
    match &thing.shape {
        Shape::Node(at) => vec![Drawn::At(*at, said.unwrap_or(usual_m), said.is_some())],
        Shape::Line(line) => match (line.0.first(), line.0.last()) {
            (Some(from), Some(to)) => vec![Drawn::Along(Line::new(*from, *to))],
            _ => Vec::new(),
        },
        Shape::Area(areas) => {
            areas.iter().filter_map(middle).map(|(line, _)| Drawn::Along(line)).collect()
        }
    }
}

/// Whether two openings are in one another's way, with a little grace.
fn overlap(a: Line<f64>, b: Line<f64>) -> bool {
    if !around(a, 0.2).intersects(&around(b, 0.0)) {
        return false;
    }
    let (from, to) = (seen_from(a, b.start), seen_from(a, b.end));
    let (low, high) = (from.0.min(to.0), from.0.max(to.0));
    // Those on the two sides of a corner touch, but do not lie along one another.
    let beside = from.1.abs().min(to.1.abs()) < 0.12;
    beside && low < length(a) - 0.0005 && high > 0.0005 && (from.1 - to.1).abs() < 0.15
}
