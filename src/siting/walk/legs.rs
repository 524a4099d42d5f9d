//! The walks among the places of a round.

use rayon::prelude::*;

use super::WalkMap;
use super::graph::Graph;
use super::route::{NoWalk, Trees, nodes_to, walk_along};
use super::stand::places;
use trace::Point;

/// A place to come to: a spot on a level, and the unit normal of the wall's face that it is on, as
/// for `EntryWalks::to`.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(missing_docs, reason = "the names say it")]
pub struct Goal {
    pub level: i32,
    pub at: Point,
    pub facing: Option<Point>,
}

/// Where a round begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Start<'s> {
    /// In front of a spot.
    Spot(Goal),
    /// At an entry, by its id.
    Entry(&'s str),
}

/// The quickest walk between two places of a round, without its line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Length in all, stairs along their slope; metres.
    pub length_m: f64,
    /// How much of it is on stairs, metres.
    pub stairs_m: f64,
    /// Time on the way, seconds.
    pub time_s: f64,
}

/// The walks among a start and goals.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Legs {
    /// The goals that are reached from the start, by their number.
    pub reached: Vec<usize>,
    /// The others, and why.
    pub unreached: Vec<(usize, NoWalk)>,
    /// From the start (first row) and each goal that is reached, in their order, to all of these
    /// (columns in the same order).
    pub legs: Vec<Vec<Option<Leg>>>,
}

/// A place where somebody stands, and the walks from there.
struct Stand<'a> {
    storey: usize,
    at: Point,
    trees: Trees<'a>,
}

impl<'a> Stand<'a> {
    fn new(map: &WalkMap, graph: &'a Graph, storey: usize, at: Point) -> Self {
        let (index, speed) = (&map.building.storeys[storey].index, map.settings.speed_m_per_s);
        let tree = graph.tree_from(storey, index, at, speed);
        Self { storey, at, trees: Trees::of(map, graph, vec![Some(tree)]) }
    }

    /// Where a round begins, or why there is no such place.
    fn first(map: &WalkMap, graph: &'a Graph, start: Start<'_>) -> Result<Self, NoWalk> {
        match start {
            Start::Spot(goal) => {
                let (number, mut places) = stands(map, graph, goal)?;
                let outside = &map.building.storeys[number].outside;
                let mut why = NoWalk::NoRoomToStand;
                let found = places.find(|p| {
                    let is_out = outside.is_out(*p);
                    why = if is_out { NoWalk::OutOfDoors } else { why };
                    !is_out
                });
                found.map(|at| Self::new(map, graph, number, at)).ok_or(why)
            }
            Start::Entry(id) => {
                let mut doors = map.building.entries.iter().enumerate();
                let (number, door) = doors.find(|(_, d)| d.id == id).ok_or(NoWalk::EntryShut)?;
                let tree = graph.tree_of(number, door, map.settings.speed_m_per_s);
                let trees = Trees::of(map, graph, vec![Some(tree.ok_or(NoWalk::EntryShut)?)]);
                Ok(Self { storey: door.storey, at: door.doorway.middle, trees })
            }
        }
    }

    fn leg_to(&self, map: &WalkMap, number: usize, p: Point) -> Option<Leg> {
        let (storeys, graph) = (&map.building.storeys, self.trees.graph);
        let place = |storey: usize, at: Point| (storeys[storey].level, at);
        let index = &storeys[number].index;
        let walk = |nodes: &[u32]| {
            let (from, to) = (place(self.storey, self.at), place(number, p));
            walk_along(map, graph, "", from, nodes, to)
        };
        let walk = if self.storey == number && index.is_clear(self.at, p, graph.radius_m) {
            walk(&[])
        } else {
            let speed = map.settings.speed_m_per_s;
            let ends = self.trees.ends(&storeys[number], number, p, speed, &[true]);
            let (_, node) = (*ends.first()?)?;
            walk(&nodes_to(self.trees.trees.first()?.as_ref()?, node))
        };
        Some(Leg { length_m: walk.length_m, stairs_m: walk.stairs_m, time_s: walk.time_s })
    }

    /// The place in front of a goal that is nearest to it and can be walked to.
    fn stand_at(&self, map: &WalkMap, goal: Goal) -> Result<(usize, Point), NoWalk> {
        let (number, places) = stands(map, self.trees.graph, goal)?;
        let mut why = NoWalk::NoRoomToStand;
        for p in places {
            if map.building.storeys[number].outside.is_out(p) {
                why = if why == NoWalk::NoRoomToStand { NoWalk::OutOfDoors } else { why };
                continue;
            }
            why = NoWalk::NoWay;
            if self.leg_to(map, number, p).is_some() {
                return Ok((number, p));
            }
        }
        Err(why)
    }
}

/// The storey of a goal, and the places in front of it with room for the person of a graph.
fn stands<'m>(
    map: &'m WalkMap,
    graph: &Graph,
    goal: Goal,
) -> Result<(usize, impl Iterator<Item = Point> + 'm), NoWalk> {
    let storeys = &map.building.storeys;
    let number = storeys.iter().position(|storey| storey.level == goal.level);
    let number = number.ok_or(NoWalk::NoSuchLevel)?;
    let index = &storeys[number].index;
    if !index.covers(goal.at) {
        return Err(NoWalk::OutOfDoors);
    }
    let (radius_m, settings) = (graph.radius_m, &map.settings);
    // As for walks to a spot: arms do not grow when the body turns.
    let reach_m = settings.reach_m + settings.half_width_m - radius_m;
    Ok((number, places(index, goal.at, goal.facing, radius_m, reach_m)))
}

impl WalkMap {
    /// The quickest walks among a start and some goals; for a narrower person where only that one
    /// reaches more of them. A search for each goal.
    #[must_use]
    pub fn legs(&self, start: Start<'_>, goals: &[Goal]) -> Legs {
        let upright = legs_on(self, &self.graph, start, goals);
        if upright.unreached.is_empty() {
            return upright;
        }
        let slim = self.squeezed().map(|graph| legs_on(self, graph, start, goals));
        slim.filter(|slim| slim.reached.len() > upright.reached.len()).unwrap_or(upright)
    }
}

fn legs_on(map: &WalkMap, graph: &Graph, start: Start<'_>, goals: &[Goal]) -> Legs {
    let mut found = Legs::default();
    let first = match Stand::first(map, graph, start) {
        Ok(first) => first,
        Err(why) => {
            found.unreached = (0..goals.len()).map(|goal| (goal, why)).collect();
            return found;
        }
    };
    let mut at = vec![(first.storey, first.at)];
    for (number, goal) in goals.iter().enumerate() {
        match first.stand_at(map, *goal) {
            Ok(place) => {
                found.reached.push(number);
                at.push(place);
            }
            Err(why) => found.unreached.push((number, why)),
        }
    }
    let row = |from: usize| -> Vec<Option<Leg>> {
        let own;
        let stand = if from == 0 {
            &first
        } else {
            own = Stand::new(map, graph, at[from].0, at[from].1);
            &own
        };
        at.iter().map(|(storey, p)| stand.leg_to(map, *storey, *p)).collect()
    };
    found.legs = (0..at.len()).into_par_iter().map(row).collect();
    found
}
