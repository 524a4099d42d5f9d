//! Finding room for labels: the cheapest candidate that is free, in order of weight, and then
//! exchanges that lower the sum of costs. No randomness: equal input gives equal places.

use crate::base::{Point, Rect, distance};
use crate::parts::cover::Cover;

/// A label that wants a place.
#[derive(Debug, Clone)]
pub(crate) struct Wanted {
    /// The middle of what it belongs to.
    pub anchor: Point,
    /// Radius of what it belongs to; a label keeps off it.
    pub radius: f64,
    /// If it belongs to an area, its box: the label may then lie inside.
    pub area: Option<Rect>,
    /// The outline that the label must stay in, such as a room's; empty for none.
    pub within: Vec<Point>,
    /// Width and height of each form of the label, the fullest first.
    pub forms: Vec<[f64; 2]>,
    /// How much it matters that the label is placed, and placed well.
    pub weight: f64,
}

/// A place for a label.
#[derive(Debug, Clone)]
pub(crate) struct Spot {
    /// Which form.
    pub form: usize,
    /// The label's box.
    pub rect: Rect,
    /// The line from the mark to the label, if they are not side by side.
    pub leader: Option<[Point; 2]>,
    /// Box round label and leader.
    pub reach: Rect,
    pub cost: f64,
}

/// What labels must keep off, and what they would rather keep off.
#[derive(Debug)]
pub(crate) struct Ground {
    /// Labels stay within.
    pub frame: Rect,
    /// Round marks: never covered.
    pub discs: Vec<(Point, f64)>,
    /// Boxes that are never covered.
    pub boxes: Vec<Rect>,
    /// Walls and obstacles: covered if there is no better place.
    pub walls: Cover,
    /// Pieces of walks: covered only if there is no other place.
    pub walks: Vec<[Point; 2]>,
    /// Size of text and marks.
    pub size: f64,
}

/// Room left round a label, pixels at size 1.
const ROOM: f64 = 3.0;

/// Cost of no place at all, for a weight of 1.
const UNPLACED: f64 = 400.0;

/// Cost of a label on a walk: dearer than any other place, cheaper than none.
const ON_WALK: f64 = 300.0;

/// Beyond this many labels only the greedy choice is made.
const EXCHANGE_UP_TO: usize = 300;

/// Most labels for which room is looked for, the heaviest: no picture holds so many.
const MOST_LABELS: usize = 2_000;

/// Places the labels; `None` for those that found no room. No two places collide.
pub(crate) fn search(wanted: &[Wanted], ground: &Ground) -> Vec<Option<Spot>> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|&one, &other| wanted[other].weight.total_cmp(&wanted[one].weight));
    order.truncate(MOST_LABELS);
    let mut candidates: Vec<Vec<Spot>> = vec![Vec::new(); wanted.len()];
    for &label in &order {
        candidates[label] = places_for(&wanted[label], ground);
    }
    order.sort_by(|&one, &other| {
        wanted[other]
            .weight
            .total_cmp(&wanted[one].weight)
            .then(candidates[one].len().cmp(&candidates[other].len()))
            .then(one.cmp(&other))
    });
    let room = ROOM * ground.size;
    let mut state = State {
        candidates: &candidates,
        neighbours: neighbours(&candidates, room),
        weights: wanted.iter().map(|label| label.weight).collect(),
        chosen: vec![None; wanted.len()],
        room,
    };
    for &label in &order {
        state.chosen[label] = state.best(label);
    }
    if wanted.len() <= EXCHANGE_UP_TO {
        for _ in 0..4 {
            let mut changed = false;
            for &label in &order {
                changed |= state.improve(label);
            }
            if !changed {
                break;
            }
        }
    }
    state
        .chosen
        .iter()
        .zip(&candidates)
        .map(|(chosen, spots)| chosen.and_then(|index| spots.get(index).cloned()))
        .collect()
}

/// For each label the others that any of its spots could collide with.
fn neighbours(candidates: &[Vec<Spot>], room: f64) -> Vec<Vec<usize>> {
    let reaches: Vec<Option<Rect>> = candidates
        .iter()
        .map(|spots| spots.iter().map(|spot| spot.reach).reduce(|one, other| one.union(&other)))
        .collect();
    let meets = |one: Option<Rect>, other: Option<Rect>| {
        one.zip(other).is_some_and(|(one, other)| one.grown(room).overlaps(&other))
    };
    (0..candidates.len())
        .map(|label| {
            let others = (0..candidates.len()).filter(|&other| other != label);
            others.filter(|&other| meets(reaches[label], reaches[other])).collect()
        })
        .collect()
}

struct State<'a> {
    candidates: &'a [Vec<Spot>],
    neighbours: Vec<Vec<usize>>,
    weights: Vec<f64>,
    chosen: Vec<Option<usize>>,
    room: f64,
}

impl State<'_> {
    fn spot(&self, label: usize) -> Option<&Spot> {
        self.chosen[label].and_then(|index| self.candidates[label].get(index))
    }

    fn cost(&self, label: usize) -> f64 {
        self.weights[label] * self.spot(label).map_or(UNPLACED, |spot| spot.cost)
    }

    /// The least that a label can cost.
    fn least(&self, label: usize) -> f64 {
        self.weights[label] * self.candidates[label].first().map_or(UNPLACED, |spot| spot.cost)
    }

    /// The other labels that a spot of `label` collides with.
    fn rivals(&self, label: usize, spot: &Spot) -> impl Iterator<Item = usize> {
        self.neighbours[label].iter().copied().filter(move |&other| {
            self.spot(other).is_some_and(|placed| collide(spot, placed, self.room))
        })
    }

    /// The cheapest spot that collides with none.
    fn best(&self, label: usize) -> Option<usize> {
        self.candidates[label].iter().position(|spot| self.rivals(label, spot).next().is_none())
    }

    /// Tries to lower the sum of costs by moving one label, and those in its way with it.
    fn improve(&mut self, label: usize) -> bool {
        let before = self.cost(label);
        let candidates = self.candidates;
        for (index, spot) in candidates[label].iter().enumerate() {
            if self.weights[label] * spot.cost >= before - 1e-9 {
                break;
            }
            let rivals: Vec<usize> = self.rivals(label, spot).take(3).collect();
            // A gain must be possible even if the rivals found places free of cost.
            let least: f64 = rivals.iter().map(|&rival| self.least(rival) - self.cost(rival)).sum();
            if rivals.len() > 2 || self.weights[label] * spot.cost + least >= before - 1e-6 {
                continue;
            }
            let old: Vec<(usize, Option<usize>)> = std::iter::once(label)
                .chain(rivals.iter().copied())
                .map(|one| (one, self.chosen[one]))
                .collect();
            let old_cost: f64 = old.iter().map(|&(one, _)| self.cost(one)).sum();
            for &rival in &rivals {
                self.chosen[rival] = None;
            }
            self.chosen[label] = Some(index);
            for &rival in &rivals {
                self.chosen[rival] = self.best(rival);
            }
            let new_cost: f64 = old.iter().map(|&(one, _)| self.cost(one)).sum();
            if new_cost < old_cost - 1e-6 {
                return true;
            }
            for (one, chosen) in old {
                self.chosen[one] = chosen;
            }
        }
        false
    }
}

/// Whether two placed labels, with their leaders, get in each other's way.
fn collide(one: &Spot, other: &Spot, room: f64) -> bool {
    let meets = |rect: &Rect, leader: &Option<[Point; 2]>| {
        leader.is_some_and(|[from, to]| rect.grown(1.0).meets(from, to))
    };
    if !one.reach.grown(room).overlaps(&other.reach) {
        return false;
    }
    one.rect.grown(room).overlaps(&other.rect)
        || meets(&one.rect, &other.leader)
        || meets(&other.rect, &one.leader)
        || matches!((one.leader, other.leader), (Some(a), Some(b)) if cross(a, b))
}

pub(crate) fn cross([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let side = |p: Point, q: Point, r: Point| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

/// Gaps between a mark and its label, pixels at size 1.
const GAPS: [f64; 8] = [3.0, 10.0, 20.0, 34.0, 52.0, 76.0, 106.0, 140.0];

/// Directions tried round a mark.
const DIRECTIONS: u32 = 16;

/// From this gap on a leader line joins label and mark, pixels at size 1.
const LEADER_FROM: f64 = 9.0;

/// Candidates kept for a label.
const CANDIDATES: usize = 96;

/// What of the ground a label can come near to, wherever it is placed.
struct Near {
    discs: Vec<(Point, f64)>,
    boxes: Vec<Rect>,
}

impl Near {
    fn of(label: &Wanted, ground: &Ground) -> Self {
        let sides = label.forms.iter().map(|[width, height]| width + height);
        let gap = GAPS.into_iter().fold(ROOM, f64::max) * ground.size;
        let reach = label.radius + gap + sides.fold(0.0, f64::max);
        let own = label.within.iter().copied().chain([label.anchor]);
        let own = label.area.iter().fold(Rect::round(own), |own, area| own.union(area));
        let reach = own.grown(reach + ROOM * ground.size);
        let meets = |(centre, radius): &(Point, f64)| {
            reach.overlaps(&Rect::around(*centre, 2.0 * radius, 2.0 * radius))
        };
        Self {
            discs: ground.discs.iter().filter(|disc| meets(disc)).copied().collect(),
            boxes: ground.boxes.iter().filter(|one| reach.overlaps(one)).copied().collect(),
        }
    }
}

/// All places that a label may take by itself, the cheapest first.
fn places_for(label: &Wanted, ground: &Ground) -> Vec<Spot> {
    let near = Near::of(label, ground);
    let mut spots = Vec::new();
    for (form, &[width, height]) in label.forms.iter().enumerate() {
        let form_cost = 34.0 * form as f64;
        let mut offer = |rect: Rect, leader: Option<[Point; 2]>, cost: f64| {
            if let Some(cover) = cover(&rect, leader, label, (ground, &near)) {
                let reach = leader.iter().flatten().fold(rect, |reach, point| reach.with(*point));
                spots.push(Spot { form, rect, leader, reach, cost: cost + form_cost + cover });
            }
        };
        if !label.within.is_empty() {
            for (rect, cost) in inside(label, [width, height]) {
                offer(rect, None, cost);
            }
            continue;
        }
        if let Some(area) = label.area {
            for (step, share) in [0.0, 0.15, -0.15, 0.3, -0.3].into_iter().enumerate() {
                let [x, y] = area.middle();
                let y = y + share * area.height();
                offer(Rect::around([x, y], width, height), None, 6.0 * step as f64);
            }
        }
        // What has no extent may carry its label right upon itself.
        if label.area.is_none() && label.radius == 0.0 {
            offer(Rect::around(label.anchor, width, height), None, -25.0);
        }
        for gap in GAPS {
            for (rect, [dx, dy]) in around(label, gap * ground.size, [width, height]) {
                let from = edge(label, [dx, dy]);
                let to = rect.nearest(label.anchor);
                let apart = distance(to, from) / ground.size;
                let far = label.area.is_none() && apart > LEADER_FROM;
                let leader = far.then_some([label.anchor, to]);
                // Reading order: right is best, then left, above, below, slants last.
                let turn = if dx.abs() > 0.9 { 3.0 * f64::from(dx < 0.0) } else { 5.0 - 2.0 * dx };
                let cost = 0.9 * gap + turn + if far { 14.0 } else { 0.0 };
                offer(rect, leader, if label.area.is_some() { cost + 30.0 } else { cost });
            }
        }
    }
    spots.sort_by(|one, other| one.cost.total_cmp(&other.cost));
    // Enough of each form must be left: the short ones are what fits in a tight place.
    let share = CANDIDATES / label.forms.len().max(1);
    let mut kept = vec![0_usize; label.forms.len()];
    spots.retain(|spot| {
        kept[spot.form] += 1;
        kept[spot.form] <= share
    });
    spots
}

/// Boxes at a gap from what the label belongs to, each with the direction in which it lies: all
/// round, with the part that faces the mark at the end of the gap, and flush above and below.
fn around(label: &Wanted, gap: f64, [width, height]: [f64; 2]) -> Vec<(Rect, [f64; 2])> {
    let mut boxes = Vec::new();
    for step in 0..DIRECTIONS {
        let angle = std::f64::consts::TAU * f64::from(step) / f64::from(DIRECTIONS);
        let (dx, dy) = (angle.cos(), angle.sin());
        let from = edge(label, [dx, dy]);
        let x = from[0] + dx * gap + dx * width / 2.0;
        let y = from[1] + dy * gap + dy * height / 2.0;
        boxes.push((Rect::around([x, y], width, height), [dx, dy]));
    }
    for dy in [-1.0, 1.0] {
        let from = edge(label, [0.0, dy]);
        for slide in [-1.0, -0.5, 0.5, 1.0] {
            let x = from[0] + slide * (width / 2.0 - label.radius).max(0.0);
            let y = from[1] + dy * (gap + height / 2.0);
            boxes.push((Rect::around([x, y], width, height), [0.3 * slide, dy]));
        }
    }
    boxes
}

/// Where a ray from the label's anchor leaves what it belongs to.
fn edge(label: &Wanted, [dx, dy]: [f64; 2]) -> Point {
    let reach = match label.area {
        Some(area) => {
            let across = |half: f64, run: f64| {
                if run.abs() < 1e-9 { f64::INFINITY } else { half / run.abs() }
            };
            across(area.width() / 2.0, dx).min(across(area.height() / 2.0, dy))
        }
        None => label.radius,
    };
    [label.anchor[0] + dx * reach, label.anchor[1] + dy * reach]
}

/// Cost of what a place covers; `None` if it covers what must not be covered.
fn cover(
    rect: &Rect,
    leader: Option<[Point; 2]>,
    label: &Wanted,
    (ground, near): (&Ground, &Near),
) -> Option<f64> {
    let room = ROOM * ground.size;
    if !ground.frame.contains(&rect.grown(room)) {
        return None;
    }
    let mut cost = 0.0;
    for &(centre, radius) in &near.discs {
        if square(rect.nearest(centre), centre) < (radius + 0.3 * room).powi(2) {
            return None;
        }
        if let Some([from, to]) = leader
            && centre != label.anchor
            && off_line(centre, from, to) < radius * radius
        {
            return None;
        }
    }
    for one in &near.boxes {
        if one.grown(room).overlaps(rect) {
            return None;
        }
        if leader.is_some_and(|[from, to]| one.meets(from, to)) {
            cost += 20.0;
        }
    }
    if ground.walks.iter().any(|&[from, to]| rect.grown(room).meets(from, to)) {
        cost += ON_WALK;
    }
    Some(cost + 90.0 * ground.walls.share(rect))
}

/// Boxes of a size in the outline that a label must stay in, and what their places cost: the
/// middle of what it belongs to is best.
fn inside(label: &Wanted, [width, height]: [f64; 2]) -> Vec<(Rect, f64)> {
    /// Places tried along each side.
    const TRIED: u32 = 12;
    let bounds = Rect::round(label.within.iter().copied());
    let far = 0.5 * bounds.width().hypot(bounds.height()).max(1.0);
    let share = |step: u32| (f64::from(step) + 0.5) / f64::from(TRIED);
    let mut boxes = Vec::new();
    for (down, across) in (0..TRIED).flat_map(|down| (0..TRIED).map(move |across| (down, across))) {
        let centre =
            [bounds.x0 + share(across) * bounds.width(), bounds.y0 + share(down) * bounds.height()];
        let rect = Rect::around(centre, width, height);
        if rect.corners().iter().chain([&centre]).all(|corner| holds(&label.within, *corner)) {
            boxes.push((rect, 30.0 * distance(centre, label.anchor) / far));
        }
    }
    boxes
}

/// Whether an outline holds a point: a ray to the right crosses it an odd number of times.
fn holds(outline: &[Point], [x, y]: Point) -> bool {
    let ends = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossed = ends.filter(|([x0, y0], [x1, y1])| {
        (*y0 > y) != (*y1 > y) && x < x0 + (y - y0) / (y1 - y0) * (x1 - x0)
    });
    crossed.count() % 2 == 1
}

/// Square of the distance between two points.
fn square(one: Point, other: Point) -> f64 {
    (one[0] - other[0]).powi(2) + (one[1] - other[1]).powi(2)
}

/// Square of the distance of a point from a straight line between two points.
fn off_line(point: Point, from: Point, to: Point) -> f64 {
    let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
    let length = dx * dx + dy * dy;
    let share = if length > 0.0 {
        (((point[0] - from[0]) * dx + (point[1] - from[1]) * dy) / length).clamp(0.0, 1.0)
    } else {
        0.0
    };
    square(point, [from[0] + share * dx, from[1] + share * dy])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ground(frame: Rect, discs: Vec<(Point, f64)>) -> Ground {
        let walls = Cover::new(frame, 4.0);
        Ground { frame, discs, boxes: Vec::new(), walls, walks: Vec::new(), size: 1.0 }
    }

    fn label(anchor: Point) -> Wanted {
        let forms = vec![[100.0, 30.0], [40.0, 14.0]];
        let within = Vec::new();
        Wanted { anchor, radius: 10.0, area: None, within, forms, weight: 1.0 }
    }

    #[test]
    fn the_name_of_a_room_stays_in_it() {
        let frame = Rect { x0: 0.0, y0: 0.0, x1: 400.0, y1: 400.0 };
        // An L whose middle is outside of it.
        let l = [[0.0, 0.0], [60.0, 0.0], [60.0, 340.0], [400.0, 340.0], [400.0, 400.0]];
        let within: Vec<Point> = l.into_iter().chain([[0.0, 400.0]]).collect();
        let room = Wanted { within, radius: 0.0, ..label([200.0, 200.0]) };
        let free = search(std::slice::from_ref(&room), &ground(frame, Vec::new()));
        let spot = free[0].clone().expect("there is room");
        assert!(spot.rect.y0 >= 340.0 || spot.rect.x1 <= 60.0, "{:?}", spot.rect);
        let full = vec![([30.0, 170.0], 200.0), ([200.0, 400.0], 230.0)];
        assert!(search(&[room], &ground(frame, full))[0].is_none());
    }

    #[test]
    fn a_lone_label_stands_to_the_right() {
        let frame = Rect { x0: 0.0, y0: 0.0, x1: 400.0, y1: 400.0 };
        let spots = search(&[label([200.0, 200.0])], &ground(frame, vec![([200.0, 200.0], 10.0)]));
        let spot = spots[0].clone().expect("there is room");
        assert_eq!((spot.form, spot.leader), (0, None));
        assert!(spot.rect.x0 > 210.0);
    }

    #[test]
    fn crowded_labels_never_collide_and_some_give_way() {
        let frame = Rect { x0: 0.0, y0: 0.0, x1: 300.0, y1: 300.0 };
        let wanted: Vec<Wanted> = (0..60)
            .map(|index| {
                label([30.0 + 34.0 * f64::from(index % 8), 30.0 + 34.0 * f64::from(index / 8)])
            })
            .collect();
        let discs = wanted.iter().map(|label| (label.anchor, label.radius)).collect();
        let spots = search(&wanted, &ground(frame, discs));
        let placed: Vec<&Spot> = spots.iter().flatten().collect();
        assert!(!placed.is_empty() && placed.len() < 60);
        for (index, one) in placed.iter().enumerate() {
            assert!(frame.contains(&one.rect));
            assert!(placed[index + 1..].iter().all(|other| !one.rect.overlaps(&other.rect)));
        }
    }
}
