//! Finding room for labels: the cheapest candidate that is free, in order of weight, and then
//! exchanges that lower the sum of costs. No randomness: equal input gives equal places.

use crate::base::{Point, Rect};
use crate::parts::candidates::candidates;
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
    /// Size of text and marks.
    pub size: f64,
}

/// Room left round a label, pixels at size 1.
pub(crate) const ROOM: f64 = 3.0;

/// Cost of no place at all, for a weight of 1.
const UNPLACED: f64 = 400.0;

/// Beyond this many labels only the greedy choice is made.
const EXCHANGE_UP_TO: usize = 300;

/// Places the labels; `None` for those that found no room. No two places collide.
pub(crate) fn search(wanted: &[Wanted], ground: &Ground) -> Vec<Option<Spot>> {
    let candidates: Vec<Vec<Spot>> = wanted.iter().map(|label| candidates(label, ground)).collect();
    let mut order: Vec<usize> = (0..wanted.len()).collect();
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

/// Whether two straight lines cross.
pub(crate) fn cross([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let side = |p: Point, q: Point, r: Point| {
        (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
    };
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ground(frame: Rect, discs: Vec<(Point, f64)>) -> Ground {
        let walls = Cover::new(frame, 4.0);
        Ground { frame, discs, boxes: Vec::new(), walls, size: 1.0 }
    }

    fn label(anchor: Point) -> Wanted {
        let forms = vec![[100.0, 30.0], [40.0, 14.0]];
        Wanted { anchor, radius: 10.0, area: None, forms, weight: 1.0 }
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
