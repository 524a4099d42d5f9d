//! Walks from the entries to a spot.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::sync::OnceLock;

use super::WalkMap;
use super::graph::{Graph, Tree};
use super::stand::places;
use super::storey::Storey;
use trace::{Point, norm};

/// The quickest walk from one entry to a spot.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// Id of the entry's opening.
    pub entry: String,
    /// Length in all, stairs along their slope; metres.
    pub length_m: f64,
    /// How much of it is on stairs, metres.
    pub stairs_m: f64,
    /// Time on the way, seconds.
    pub time_s: f64,
    /// The line that the person's middle takes: level and place, metres. On a flight of stairs the
    /// points carry the level that is left, its last point the level that is reached.
    pub line: Vec<(i32, Point)>,
    /// Whether the only way leads through a place narrower than the person.
    pub squeezed: bool,
}

/// Why an entry has no walk to a spot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs, reason = "the messages say it")]
pub enum NoWalk {
    #[error("the plan has no such level")]
    NoSuchLevel,
    #[error("there is no room to stand in front of any spot")]
    NoRoomToStand,
    #[error("every spot is reached only from outdoors")]
    OutOfDoors,
    #[error("it leads nowhere: both its sides are outside, or no room is behind it")]
    EntryShut,
    #[error(
        "no doors and stairs lead from it to any spot; draw the doors, and stairs as a feature \
         of kind \"stairs\""
    )]
    NoWay,
}

/// An entry that has no walk to a spot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreached {
    /// Id of the entry's opening.
    pub entry: String,
    /// Why.
    pub why: NoWalk,
}

/// The answer for one spot. Both lists are empty if the plan has no entry.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Walks {
    /// A walk for each entry that has one, in the order of [`WalkMap::entries`].
    pub walks: Vec<Walk>,
    /// The other entries.
    pub unreached: Vec<Unreached>,
}

impl Walks {
    /// The walk that takes longest; `None` if there is none.
    #[must_use]
    pub fn longest(&self) -> Option<&Walk> {
        // The first of equals, whatever the order of the entries behind it.
        self.walks.iter().rev().max_by(|a, b| a.time_s.total_cmp(&b.time_s))
    }
}

/// The shortest walks from every entry of a map.
#[derive(Debug)]
pub struct EntryWalks<'a> {
    map: &'a WalkMap,
    upright: Trees<'a>,
    squeezed: OnceLock<Option<Trees<'a>>>,
}

/// The trees of one graph.
#[derive(Debug)]
pub(super) struct Trees<'a> {
    pub graph: &'a Graph,
    /// One for each entry.
    pub trees: Vec<Option<Tree>>,
    /// For each storey, the nodes that some entry reaches.
    reached: Vec<Vec<u32>>,
}

/// How a walk ends: the time of all of it, and the last node.
type End = (f64, u32);

impl<'a> Trees<'a> {
    fn new(map: &WalkMap, graph: &'a Graph) -> Self {
        let speed = map.settings.speed_m_per_s;
        let doors = map.building.entries.iter().enumerate();
        let trees = doors.map(|(number, door)| graph.tree_of(number, door, speed)).collect();
        Self::of(map, graph, trees)
    }

    pub fn of(map: &WalkMap, graph: &'a Graph, trees: Vec<Option<Tree>>) -> Self {
        let mut reached = vec![Vec::new(); map.building.storeys.len()];
        for (number, node) in (0_u32..).zip(&graph.nodes) {
            let finite = |tree: &Tree| tree.times_s[number as usize].is_finite();
            if trees.iter().flatten().any(finite) {
                reached[node.storey].push(number);
            }
        }
        Self { graph, trees, reached }
    }

    /// The quickest end at a place for each entry that is asked for.
    pub fn ends(
        &self,
        storey: &Storey,
        number: usize,
        p: Point,
        speed_m_per_s: f64,
        asked: &[bool],
    ) -> Vec<Option<End>> {
        let near: Vec<(f64, u32)> = self.reached[number]
            .iter()
            .filter_map(|&node| {
                let from = &self.graph.nodes[node as usize];
                from.leads_to(p).then(|| (norm(p - from.at) / speed_m_per_s, node))
            })
            .collect();
        let mut in_view: Vec<Option<bool>> = vec![None; near.len()];
        let mut quickest = |tree: &Tree| {
            // In the order of the whole time as if all were in view: the first that is, is best.
            let mut queue: BinaryHeap<Reverse<(u64, usize)>> = near
                .iter()
                .enumerate()
                .filter_map(|(i, (last_s, node))| {
                    let time_s = tree.times_s[*node as usize] + last_s;
                    // Positive numbers sort as their bits do.
                    time_s.is_finite().then(|| Reverse((time_s.to_bits(), i)))
                })
                .collect();
            while let Some(Reverse((bits, i))) = queue.pop() {
                let node = near[i].1;
                let from = self.graph.nodes[node as usize].at;
                // Asked from the spot, since walls near it stop most lines.
                let seen = in_view[i]
                    .get_or_insert_with(|| storey.index.is_clear(p, from, self.graph.radius_m));
                if *seen {
                    return Some((f64::from_bits(bits), node));
                }
            }
            None
        };
        let pairs = self.trees.iter().zip(asked);
        pairs
            .map(|(tree, asked)| tree.as_ref().filter(|_| *asked).and_then(&mut quickest))
            .collect()
    }

    /// The whole walk from an entry that ends so.
    fn walk(&self, map: &WalkMap, entry: usize, end: End, place: (i32, Point)) -> Option<Walk> {
        let door = map.building.entries.get(entry)?;
        let tree = self.trees.get(entry)?.as_ref()?;
        let first = (map.building.storeys[door.storey].level, door.doorway.middle);
        let nodes = nodes_to(tree, end.1);
        Some(walk_along(map, self.graph, &door.id, first, &nodes, place))
    }
}

/// The nodes of a tree from the first to one of them.
pub(super) fn nodes_to(tree: &Tree, last: u32) -> Vec<u32> {
    let before = |node: &u32| Some(tree.before[*node as usize]).filter(|before| before != node);
    let mut nodes: Vec<u32> = std::iter::successors(Some(last), before).collect();
    nodes.reverse();
    nodes
}

/// The walk from a place along nodes to another.
pub(super) fn walk_along(
    map: &WalkMap,
    graph: &Graph,
    entry: &str,
    first: (i32, Point),
    nodes: &[u32],
    last: (i32, Point),
) -> Walk {
    let level_of = |storey: usize| map.building.storeys[storey].level;
    let mut line = vec![first];
    let (mut flat_m, mut stairs_m) = (0.0, 0.0);
    let mut go = |line: &mut Vec<(i32, Point)>, level: i32, to: Point, on_stairs: bool| {
        let step = line.last().map_or(0.0, |(_, from)| norm(to - *from));
        if !on_stairs {
            flat_m += step;
        }
        if step > 0.0 || line.last().is_none_or(|(from, _)| *from != level) {
            line.push((level, to));
        }
    };
    let mut previous = None;
    for &number in nodes {
        let node = graph.nodes[number as usize];
        let flight = previous.and_then(|p| graph.flights.get(&(p, number)));
        if let Some(flight) = flight.and_then(|f| map.building.flights.get(*f)) {
            let mut steps = flight.line.clone();
            let mut levels = flight.storeys.map(level_of);
            if flight.storeys[1] != node.storey {
                steps.reverse();
                levels.reverse();
            }
            let end = steps.len().saturating_sub(1);
            for (i, &step) in steps.iter().enumerate() {
                let level = if i == end { levels[1] } else { levels[0] };
                go(&mut line, level, step, i > 0);
            }
            stairs_m += flight.length_m;
        }
        go(&mut line, level_of(node.storey), node.at, false);
        previous = Some(number);
    }
    go(&mut line, last.0, last.1, false);
    let speeds = &map.settings;
    Walk {
        entry: entry.to_owned(),
        length_m: flat_m + stairs_m,
        stairs_m,
        time_s: flat_m / speeds.speed_m_per_s + stairs_m / speeds.stairs_speed_m_per_s,
        line,
        squeezed: graph.radius_m < speeds.half_width_m,
    }
}

/// The quickest walk between two places, upright; see [`WalkMap::between`].
pub(super) fn between(map: &WalkMap, from: (i32, Point), to: (i32, Point)) -> Option<Walk> {
    let storeys = &map.building.storeys;
    let number_of = |level: i32| storeys.iter().position(|storey| storey.level == level);
    let (start, end) = (number_of(from.0)?, number_of(to.0)?);
    let (graph, speed) = (&map.graph, map.settings.speed_m_per_s);
    let has_room = |number: usize, p: Point| storeys[number].index.has_room(p, graph.radius_m);
    if !has_room(start, from.1) || !has_room(end, to.1) {
        return None;
    }
    let index = &storeys[start].index;
    if start == end && index.is_clear(from.1, to.1, graph.radius_m) {
        return Some(walk_along(map, graph, "", from, &[], to));
    }
    let trees = vec![Some(graph.tree_from(start, index, from.1, speed))];
    let trees = Trees::of(map, graph, trees);
    let ends = trees.ends(&storeys[end], end, to.1, speed, &[true]);
    let (_, node) = (*ends.first()?)?;
    let nodes = nodes_to(trees.trees.first()?.as_ref()?, node);
    Some(walk_along(map, graph, "", from, &nodes, to))
}

impl<'a> EntryWalks<'a> {
    pub(super) fn new(map: &'a WalkMap) -> Self {
        Self { map, upright: Trees::new(map, &map.graph), squeezed: OnceLock::new() }
    }

    /// The quickest walk from every entry to a spot.
    ///
    /// `facing` is the unit normal of the wall's face that the spot is on, away from the wall; the
    /// spot may lie on the face or on the wall's centre line. Without it, the person stands on the
    /// spot itself, if there is room, or as near as there is.
    #[must_use]
    pub fn to(&self, level: i32, target: Point, facing: Option<Point>) -> Walks {
        let building = &self.map.building;
        let count = building.entries.len();
        let mut walks: Vec<Option<Walk>> = vec![None; count];
        let mut asked: Vec<bool> = vec![true; count];
        let found = building.storeys.iter().position(|s| s.level == level);
        let why = if let Some(number) = found {
            let mut why =
                self.search(&self.upright, number, target, facing, &mut asked, &mut walks);
            // A narrower person stands no less out of doors.
            if asked.contains(&true)
                && why != NoWalk::OutOfDoors
                && let Some(squeezed) = self.squeezed()
            {
                why = self.search(squeezed, number, target, facing, &mut asked, &mut walks);
            }
            why
        } else {
            NoWalk::NoSuchLevel
        };
        let mut answer = Walks::default();
        for (number, walk) in walks.into_iter().enumerate() {
            match walk {
                Some(walk) => answer.walks.push(walk),
                None => answer.unreached.push(Unreached {
                    entry: building.entries[number].id.clone(),
                    why: if self.is_shut(number) { NoWalk::EntryShut } else { why },
                }),
            }
        }
        answer
    }

    /// Looks for walks of those entries that are still asked for; returns why those that are left
    /// have none.
    fn search(
        &self,
        trees: &Trees<'_>,
        number: usize,
        target: Point,
        facing: Option<Point>,
        asked: &mut [bool],
        walks: &mut [Option<Walk>],
    ) -> NoWalk {
        let storey = &self.map.building.storeys[number];
        if !storey.index.covers(target) {
            return NoWalk::OutOfDoors;
        }
        let settings = &self.map.settings;
        let radius_m = trees.graph.radius_m;
        // Arms do not grow when the body turns: the reach is from the upright person's edge.
        let reach_m = settings.reach_m + settings.half_width_m - radius_m;
        let mut why = NoWalk::NoRoomToStand;
        for p in places(&storey.index, target, facing, radius_m, reach_m) {
            if storey.outside.is_out(p) {
                if why == NoWalk::NoRoomToStand {
                    why = NoWalk::OutOfDoors;
                }
                continue;
            }
            why = NoWalk::NoWay;
            let ends = trees.ends(storey, number, p, settings.speed_m_per_s, asked);
            let mut any = false;
            for (entry, end) in ends.into_iter().enumerate() {
                let Some(end) = end else { continue };
                walks[entry] = trees.walk(self.map, entry, end, (storey.level, p));
                asked[entry] = walks[entry].is_none();
                any = true;
            }
            if any {
                break;
            }
        }
        why
    }

    fn squeezed(&self) -> Option<&Trees<'a>> {
        let made = self.squeezed.get_or_init(|| Some(Trees::new(self.map, self.map.squeezed()?)));
        made.as_ref()
    }

    /// Whether an entry has no start, however narrow the person.
    fn is_shut(&self, entry: usize) -> bool {
        let has_none = |trees: &Trees<'_>| trees.trees.get(entry).is_none_or(Option::is_none);
        has_none(&self.upright) && self.squeezed().is_none_or(has_none)
    }
}
