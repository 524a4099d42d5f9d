//! Several drawings of one sheet as the storeys of one house: laid over one another, so that as
//! much of their walls as possible stands on walls below.

use std::collections::BTreeMap;

use geo::{BoundingRect, Coord, Line, LineString, Point, Polygon, Rect, Translate};

use super::sheet::Sheet;
use crate::areas::floors;
use crate::guess::Guesses;
use crate::line::{LineIndex, along, around, askew, index, length, line_to_millimetre, seen_from};
use crate::union::root;
use crate::{CEILING_M, Draft, FLOOR, FLOOR_THICKNESS_M, Piece, What};
use plan::Level;

/// Walls nearer than this to one below stand on it, metres (our own choice).
const ON_M: f64 = 0.08;
/// How much more an outside wall counts than another (our own choice).
const OUTSIDE: f64 = 3.0;
/// Corners of each storey that are laid on one another, and how many of the shifts that most of
/// them ask for are tried (our own choice).
const CORNERS: usize = 300;
const SHIFTS: usize = 40;
/// Shifts that differ by less are one, metres (our own choice).
const SAME_M: f64 = 0.1;
/// With less of its walls on walls below, a storey may lie wrong (our own choice).
const DOUBTFUL: f64 = 0.3;
/// Most looks at a wall below (our own choice: it bounds the time of a hostile file).
const MOST_LOOKS: usize = 4_000_000;
/// Lines of stairs nearer than this belong to one flight, metres (our own choice).
const STEP_M: f64 = 0.45;
/// Lines of one flight at least, and at most of all flights (our own choice).
const STEPS: (usize, usize) = (4, 3_000);
/// Shortest and longest flight, metres (our own choice).
const FLIGHT_M: (f64, f64) = (1.5, 8.0);
/// How far the line that one walks begins from the end of its flight, metres (our own choice).
const LANDING_M: f64 = 0.3;

/// A wall of what is kept: its middle line, half its thickness, whether it is an outside one.
pub(super) struct Standing {
    pub(super) line: Line<f64>,
    pub(super) half_m: f64,
    pub(super) is_outside: bool,
}

/// The numbers of the drawings that the user stacks, from 0; or what is wrong with them.
pub(super) fn wanted(stack: &[usize], known: usize) -> Result<Vec<usize>, String> {
    if stack.len() < 2 {
        return Err("--stack needs two groups of walls or more, the lowest first".to_owned());
    }
    for (place, group) in stack.iter().enumerate() {
        if !(1..=known).contains(group) {
            return Err(format!("there is no group {group} of walls to stack"));
        }
        if stack[..place].contains(group) {
            return Err(format!("--stack names group {group} twice"));
        }
    }
    Ok(stack.iter().map(|group| group - 1).collect())
}

/// The name of a storey, counted from the ground.
fn level(number: usize) -> Level {
    let floor_m = number as f64 * (CEILING_M + FLOOR_THICKNESS_M);
    Level {
        number: i32::try_from(number).unwrap_or_default(),
        name: if number == 0 { "Ground".to_owned() } else { format!("Floor {number}") },
        floor_m,
        ceiling_m: floor_m + CEILING_M,
        is_over_air: false,
    }
}

/// What is known of the storeys on a sheet.
pub(super) struct Stack<'s> {
    pub(super) sheet: &'s Sheet,
    /// The drawings, the lowest first.
    pub(super) order: &'s [usize],
    pub(super) walls: Vec<Standing>,
    pub(super) rooms: &'s [Polygon<f64>],
    /// Lines on layers and in blocks of stairs.
    pub(super) stairs: &'s [Line<f64>],
}

impl Stack<'_> {
    /// Puts the pieces of a draft of one level on levels of their own.
    pub(super) fn lay(&self, draft: &mut Draft, guesses: &mut Guesses) {
        let storey = |at: Coord<f64>| {
            let drawing = self.sheet.at(Line::new(at, at))?;
            self.order.iter().position(|own| *own == drawing)
        };
        let middle = |line: Line<f64>| (line.start + line.end) * 0.5;
        let count = self.order.len();
        let mut lines: Vec<Vec<(Line<f64>, f64)>> = vec![Vec::new(); count];
        let mut areas: Vec<Vec<Polygon<f64>>> = vec![Vec::new(); count];
        let mut steps: Vec<Vec<Line<f64>>> = vec![Vec::new(); count];
        for wall in &self.walls {
            if let Some(at) = storey(middle(wall.line)) {
                lines[at].push((wall.line, if wall.is_outside { OUTSIDE } else { 1.0 }));
                areas[at].extend(strip(wall));
            }
        }
        for &line in self.stairs.iter().take(STEPS.1) {
            if let Some(at) = storey(middle(line)) {
                lines[at].push((line, 1.0));
                steps[at].push(line);
            }
        }
        for room in self.rooms {
            let at = room.bounding_rect().and_then(|whole| storey(whole.center()));
            at.into_iter().for_each(|at| areas[at].push(room.clone()));
        }
        // The lowest begins at zero.
        let low = self.order.first().map(|ground| self.sheet.boxes()[*ground].min());
        let mut shifts = vec![low.unwrap_or_default() * -1.0];
        for at in 1..count {
            let (shift, share) = shift(&lines[at - 1], &lines[at]);
            let fix = "compare the storeys in the picture of the plan; --group N reads one alone";
            let taken = format!(
                "laid over group {} by its walls: {:.0} % of them stand on walls there{}",
                self.order[at - 1] + 1,
                share * 100.0,
                if share < DOUBTFUL { ", too few to be sure" } else { "" }
            );
            guesses.add(format!("group {}", self.order[at] + 1), taken, fix, 1);
            shifts.push(shifts[at - 1] + shift);
        }
        draft.levels = (0..count).map(level).collect();
        draft.pieces.retain_mut(|piece| {
            let place = piece.shape.bounding_rect().and_then(|whole| storey(whole.center()));
            place.is_some_and(|at| {
                move_up(piece, &draft.levels[at], shifts[at]);
                true
            })
        });
        let mut arriving: Vec<Rect<f64>> = Vec::new();
        for at in 1..count {
            let moved: Vec<Polygon<f64>> =
                areas[at].iter().map(|area| area.translate(shifts[at].x, shifts[at].y)).collect();
            let number = draft.levels[at].number;
            draft.pieces.extend(floors(&moved).0.into_iter().map(|area| {
                let what = What::Slab { construction: FLOOR.to_owned() };
                Piece::new(format!("floor {number}"), number, area, what)
            }));
            let flights = |of: usize| -> Vec<Rect<f64>> {
                let own = flights(&steps[of]).into_iter();
                own.map(|flight| flight.translate(shifts[of].x, shifts[of].y)).collect()
            };
            let both = (flights(at - 1), flights(at));
            let (stairs, used) = self.stairs(number, (&both.0, &both.1), &arriving, guesses);
            draft.pieces.extend(stairs);
            arriving = used;
        }
        let floors = count - 1;
        let taken = format!("taken as {FLOOR}, {FLOOR_THICKNESS_M} m thick, without stairwells");
        let fix = "correct \"construction\" of the slabs in the plan";
        guesses.add("floors between storeys", taken, fix, floors);
        let taken = format!("{count}, each {CEILING_M} m high");
        guesses.add("levels", taken, "change \"levels\" in the plan", count);
    }

    /// Stairs up to a level, each with its box: where both storeys draw them, else where the lower
    /// does and they are none that arrive there, else where the upper does.
    fn stairs(
        &self,
        to: i32,
        (below, above): (&[Rect<f64>], &[Rect<f64>]),
        arriving: &[Rect<f64>],
        guesses: &mut Guesses,
    ) -> (Vec<Piece>, Vec<Rect<f64>>) {
        let meets = |one: &Rect<f64>, others: &[Rect<f64>]| {
            others.iter().any(|other| overlap_m2(one, other) > 0.5)
        };
        let mut flights: Vec<Rect<f64>> =
            below.iter().filter(|one| meets(one, above)).copied().collect();
        if flights.is_empty() {
            // Those that come up from the storey below lead no further.
            flights.extend(below.iter().filter(|one| !meets(one, arriving)));
        }
        if flights.is_empty() {
            flights.extend(above);
        }
        let taken = "taken to rise along their length, from left to right or from below upwards";
        let fix = "reverse or bend their line in the plan where they rise otherwise";
        guesses.add("stairs", taken, fix, flights.len());
        let none = "none are drawn on a layer of stairs: the walk to the panel stays on one storey";
        guesses.add("stairs", none, "draw stairs in the plan", usize::from(flights.is_empty()));
        let piece = |flight: &Rect<f64>| {
            let (low, high, middle) = (flight.min(), flight.max(), flight.center());
            let whole = match flight.width() >= flight.height() {
                true => Line::new((low.x, middle.y), (high.x, middle.y)),
                false => Line::new((middle.x, low.y), (middle.x, high.y)),
            };
            let long = length(whole);
            let walked = Line::new(along(whole, LANDING_M), along(whole, long - LANDING_M));
            let what = What::Stairs { to: Some(to) };
            Piece::new("stairs", to - 1, line_to_millimetre(walked), what)
        };
        (flights.iter().map(piece).collect(), flights)
    }
}

/// Puts a piece on a level, heights with it.
fn move_up(piece: &mut Piece, level: &Level, shift: Coord<f64>) {
    piece.level = level.number;
    piece.shape.translate_mut(shift.x, shift.y);
    if let What::Opening { base_m, top_m, .. } = &mut piece.what {
        for height in [base_m, top_m].into_iter().flatten() {
            *height += level.floor_m;
        }
    }
}

/// The ground that a wall stands on, with both of its corners.
fn strip(wall: &Standing) -> Option<Polygon<f64>> {
    let long = length(wall.line);
    let run = wall.line.delta() / long;
    let side = Coord { x: -run.y, y: run.x } * wall.half_m;
    let (start, end) = (wall.line.start - run * wall.half_m, wall.line.end + run * wall.half_m);
    let ring = vec![start - side, end - side, end + side, start + side];
    (long > 0.01).then(|| Polygon::new(LineString::new(ring), Vec::new()))
}

fn overlap_m2(a: &Rect<f64>, b: &Rect<f64>) -> f64 {
    let along = |low: f64, high: f64, from: f64, to: f64| (high.min(to) - low.max(from)).max(0.0);
    along(a.min().x, a.max().x, b.min().x, b.max().x)
        * along(a.min().y, a.max().y, b.min().y, b.max().y)
}

/// How a storey is moved so that most of its lines, by their weights, run on lines below, and the
/// share of them that do.
fn shift(below: &[(Line<f64>, f64)], own: &[(Line<f64>, f64)]) -> (Coord<f64>, f64) {
    let by_place = index(below.iter().map(|one| one.0));
    let mut looks = 0;
    let mut best = (Coord { x: 0.0, y: 0.0 }, -1.0, 0.0);
    for shift in shifts(below, own) {
        let on = own.iter().map(|(line, weight)| {
            weight * covered_m(line.translate(shift.x, shift.y), below, &by_place, &mut looks)
        });
        let on: f64 = on.sum();
        // Of equals the one whose box lies best over the other.
        let boxes = boxed(below).zip(boxed(own).map(|own| own.translate(shift.x, shift.y)));
        let over = boxes.map_or(0.0, |(a, b)| overlap_m2(&a, &b).sqrt());
        if on + 0.5 * over > best.1 {
            best = (shift, on + 0.5 * over, on);
        }
    }
    let whole: f64 = own.iter().map(|(line, weight)| weight * length(*line)).sum();
    (best.0, if whole > 0.0 { (best.2 / whole).min(1.0) } else { 0.0 })
}

fn boxed(lines: &[(Line<f64>, f64)]) -> Option<Rect<f64>> {
    let ends = lines.iter().flat_map(|(line, _)| [line.start, line.end]);
    LineString::from_iter(ends).bounding_rect()
}

/// How much of a line runs on others, metres.
fn covered_m(
    line: Line<f64>,
    below: &[(Line<f64>, f64)],
    by_place: &LineIndex,
    looks: &mut usize,
) -> f64 {
    let long = length(line);
    let mut spans: Vec<(f64, f64)> = Vec::new();
    for found in by_place.locate_in_envelope_intersecting(&around(line, ON_M)) {
        *looks += 1;
        if *looks > MOST_LOOKS {
            break;
        }
        let other = below[found.data].0;
        let (from, off) = seen_from(line, other.start);
        let (to, then_off) = seen_from(line, other.end);
        if askew(line, other) < 0.02 && (off + then_off).abs() / 2.0 <= ON_M {
            spans.push((from.min(to).max(0.0), from.max(to).min(long)));
        }
    }
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut at, mut sum) = (0.0, 0.0);
    for (from, to) in spans {
        sum += (to - from.max(at)).max(0.0);
        at = to.max(at);
    }
    sum
}

/// Shifts that are worth a try: those that lay the most corners on corners, and those that lay the
/// boxes on one another.
fn shifts(below: &[(Line<f64>, f64)], own: &[(Line<f64>, f64)]) -> Vec<Coord<f64>> {
    let corners = |lines: &[(Line<f64>, f64)]| -> Vec<Coord<f64>> {
        let mut order: Vec<&(Line<f64>, f64)> = lines.iter().collect();
        order.sort_by(|a, b| (b.1 * length(b.0)).total_cmp(&(a.1 * length(a.0))));
        let heaviest = order.into_iter().take(CORNERS / 2);
        heaviest.flat_map(|(line, _)| [line.start, line.end]).collect()
    };
    #[expect(clippy::cast_possible_truncation, reason = "within kilometres")]
    let key = |by: Coord<f64>| ((by.x / SAME_M).round() as i64, (by.y / SAME_M).round() as i64);
    let mut votes: BTreeMap<(i64, i64), Vec<Coord<f64>>> = BTreeMap::new();
    let (there, here) = (corners(below), corners(own));
    for to in &there {
        for from in &here {
            votes.entry(key(*to - *from)).or_default().push(*to - *from);
        }
    }
    let mut most: Vec<_> = votes.into_iter().collect();
    most.sort_by(|a, b| b.1.len().cmp(&a.1.len()).then(a.0.cmp(&b.0)));
    let median = |of: &[Coord<f64>], which: fn(&Coord<f64>) -> f64| {
        let mut all: Vec<f64> = of.iter().map(which).collect();
        all.sort_by(f64::total_cmp);
        all[all.len() / 2]
    };
    let voted = most.iter().take(SHIFTS);
    let mut out: Vec<Coord<f64>> = voted
        .map(|(_, all)| Coord { x: median(all, |by| by.x), y: median(all, |by| by.y) })
        .collect();
    if let Some((a, b)) = boxed(below).zip(boxed(own)) {
        out.extend([a.min() - b.min(), a.max() - b.max(), a.center() - b.center()]);
    }
    out
}

/// The flights that lines on layers of stairs make, each with its box.
fn flights(steps: &[Line<f64>]) -> Vec<Rect<f64>> {
    let by_place = index(steps.iter().copied());
    let mut above: Vec<usize> = (0..steps.len()).collect();
    let mut looks = 0;
    for (number, line) in steps.iter().enumerate() {
        for found in by_place.locate_in_envelope_intersecting(&around(*line, STEP_M)) {
            looks += 1;
            if looks > MOST_LOOKS {
                return Vec::new();
            }
            let (a, b) = (root(&mut above, number), root(&mut above, found.data));
            above[a.max(b)] = a.min(b);
        }
    }
    let mut groups: BTreeMap<usize, Vec<Point<f64>>> = BTreeMap::new();
    for (number, line) in steps.iter().enumerate() {
        let own = groups.entry(root(&mut above, number)).or_default();
        own.extend([Point(line.start), Point(line.end)]);
    }
    let groups = groups.into_values().filter(|ends| ends.len() >= 2 * STEPS.0);
    let boxes = groups.filter_map(|ends| LineString::from_iter(ends).bounding_rect());
    let is_flight = |it: &Rect<f64>| {
        let (long, wide) = (it.width().max(it.height()), it.width().min(it.height()));
        (FLIGHT_M.0..=FLIGHT_M.1).contains(&long) && wide >= 0.6
    };
    boxes.filter(is_flight).collect()
}
