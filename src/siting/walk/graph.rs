//! The visibility graph of one width of person, and the shortest walks from each entry.

use std::collections::BTreeMap;

use pathfinding::directed::dfs::dfs_reach;
use pathfinding::directed::dijkstra::dijkstra_all;
use rayon::prelude::*;

use super::corner::{Corner, corners_of};
use super::index::Index;
use super::ring::Doorway;
use super::settings::{MAX_CORNERS, WalkError, WalkSettings};
use super::stand::places;
use super::storey::{Building, EntryDoor};
use trace::{Point, norm};

/// Step at which a place beside a doorway is looked for, and how often, metres.
const STEP_M: f64 = 0.05;
const STEPS: u32 = 20;

/// A place where a walk may bend, begin or change level.
#[derive(Debug, Clone, Copy)]
pub(super) struct Node {
    pub storey: usize,
    pub at: Point,
    /// `None` where a walk may bend any way.
    pub corner: Option<Corner>,
}

impl Node {
    /// Whether a shortest walk can go on from here to a point.
    #[inline]
    pub fn leads_to(&self, p: Point) -> bool {
        self.corner.is_none_or(|corner| corner.is_tangent(p - self.at))
    }
}

/// All that a person of one width can walk along.
#[derive(Debug, Clone)]
pub(super) struct Graph {
    pub radius_m: f64,
    pub nodes: Vec<Node>,
    /// Neighbours of each node, and the time to each in nanoseconds: whole numbers add up the same
    /// in any order.
    ways: Vec<Vec<(u32, u64)>>,
    /// Which flight joins two nodes.
    pub flights: BTreeMap<(u32, u32), usize>,
    /// Where a walk from each entry begins, clear of the doorway; `None` if there is no room.
    pub starts: Vec<Option<u32>>,
}

/// The quickest walks from one entry or place to every node.
#[derive(Debug, Clone)]
pub(super) struct Tree {
    /// Seconds from the beginning; infinite if there is no way.
    pub times_s: Vec<f64>,
    /// The node before; the node itself if it is the first, and where there is no way.
    pub before: Vec<u32>,
}

impl Graph {
    pub fn new(
        building: &Building,
        settings: &WalkSettings,
        radius_m: f64,
    ) -> Result<Self, WalkError> {
        let mut made = Maker { building, settings, nodes: Vec::new(), joined: Vec::new() };
        for (number, storey) in building.storeys.iter().enumerate() {
            let corners = corners_of(&storey.index, radius_m);
            made.nodes.extend(corners.into_iter().map(|corner| Node {
                storey: number,
                at: corner.at,
                corner: Some(corner),
            }));
            WalkError::unless_at_most("corners to walk round", made.nodes.len(), MAX_CORNERS)?;
            made.add_narrow_doorways(number, radius_m);
        }
        let flights = made.add_flights(radius_m);
        let beside: Vec<Vec<u32>> =
            building.entries.iter().map(|entry| made.add_entry(entry, radius_m)).collect();
        WalkError::unless_at_most("corners to walk round", made.nodes.len(), MAX_CORNERS)?;
        let Maker { nodes, joined, .. } = made;

        let mut ways = seen(building, &nodes, radius_m, settings.speed_m_per_s);
        for (a, b, time) in joined {
            ways[a as usize].push((b, time));
            ways[b as usize].push((a, time));
        }
        let sizes = sizes_of_parts(&ways);
        // Indoors is the side from which more of the building can be walked.
        let size = |node: &&u32| sizes[**node as usize];
        // Of equals the first.
        let inside = |list: &Vec<u32>| list.iter().rev().max_by_key(size).copied();
        let starts = beside.iter().map(inside).collect();
        Ok(Self { radius_m, nodes, ways, flights, starts })
    }

    /// The quickest walks from an entry; `None` if it has no start.
    pub fn tree_of(&self, entry: usize, door: &EntryDoor, speed_m_per_s: f64) -> Option<Tree> {
        let start = (*self.starts.get(entry)?)?;
        let first_m = norm(self.nodes[start as usize].at - door.doorway.middle);
        Some(self.tree(&[(start, nanoseconds(first_m, speed_m_per_s))]))
    }

    /// The quickest walks from a place with room on a storey.
    pub fn tree_from(&self, number: usize, index: &Index, p: Point, speed_m_per_s: f64) -> Tree {
        let first: Vec<(u32, u64)> = (0_u32..)
            .zip(&self.nodes)
            .filter(|(_, node)| {
                node.storey == number
                    && node.leads_to(p)
                    && index.is_clear(p, node.at, self.radius_m)
            })
            .map(|(id, node)| (id, nanoseconds(norm(node.at - p), speed_m_per_s)))
            .collect();
        self.tree(&first)
    }

    /// The quickest walks from a place of which only the first nodes and the times to them count.
    fn tree(&self, first: &[(u32, u64)]) -> Tree {
        const HERE: u32 = u32::MAX;
        let found = dijkstra_all(&HERE, |node| {
            let ways = self.ways.get(*node as usize);
            ways.map_or(first, Vec::as_slice).iter().copied()
        });
        let mut tree = Tree {
            times_s: vec![f64::INFINITY; self.nodes.len()],
            before: (0_u32..).take(self.nodes.len()).collect(),
        };
        for (node, slot) in (0_u32..).zip(&mut tree.times_s) {
            if let Some((before, time)) = found.get(&node) {
                *slot = seconds(*time);
                if *before != HERE {
                    tree.before[node as usize] = *before;
                }
            }
        }
        tree
    }
}

/// Collects nodes and the ways between them that are not straight lines in full view.
struct Maker<'a> {
    building: &'a Building,
    settings: &'a WalkSettings,
    nodes: Vec<Node>,
    joined: Vec<(u32, u32, u64)>,
}

impl Maker<'_> {
    fn add(&mut self, storey: usize, at: Point) -> u32 {
        self.nodes.push(Node { storey, at, corner: None });
        (self.nodes.len() - 1) as u32
    }

    /// How narrow a person can become in a doorway.
    fn slim_m(&self, doorway: &Doorway) -> f64 {
        // A hair less than the gap, so that it fits.
        (0.5 * self.settings.half_width_m).min(0.999 * doorway.half_gap_m)
    }

    /// A way along the axis of each doorway that is too narrow for the disc.
    fn add_narrow_doorways(&mut self, number: usize, radius_m: f64) {
        let storey = &self.building.storeys[number];
        for doorway in &storey.doorways {
            if storey.index.has_room(doorway.middle, radius_m) {
                continue;
            }
            let slim_m = self.slim_m(doorway);
            let ends = [1.0, -1.0]
                .map(|side| beside(&storey.index, doorway, side, doorway.middle, radius_m, slim_m));
            if let [Some(a), Some(b)] = ends {
                let time = nanoseconds(norm(b - a), self.settings.speed_m_per_s);
                let (a, b) = (self.add(number, a), self.add(number, b));
                self.joined.push((a, b, time));
            }
        }
    }

    /// A way over each flight, from where there is room at one end to where there is at the other.
    fn add_flights(&mut self, radius_m: f64) -> BTreeMap<(u32, u32), usize> {
        let mut flights = BTreeMap::new();
        for (number, flight) in self.building.flights.iter().enumerate() {
            let Some(ends) = flight.ends() else { continue };
            let feet = [0, 1].map(|i| {
                let index = &self.building.storeys[flight.storeys[i]].index;
                places(index, ends[i], None, radius_m, self.settings.reach_m).next()
            });
            let [Some(a), Some(b)] = feet else { continue };
            let flat = norm(a - ends[0]) + norm(b - ends[1]);
            let time = nanoseconds(flat, self.settings.speed_m_per_s)
                + nanoseconds(flight.length_m, self.settings.stairs_speed_m_per_s);
            let (a, b) = (self.add(flight.storeys[0], a), self.add(flight.storeys[1], b));
            self.joined.push((a, b, time));
            flights.insert((a, b), number);
            flights.insert((b, a), number);
        }
        flights
    }

    /// A place on each side of an entry that is not out of doors.
    fn add_entry(&mut self, entry: &EntryDoor, radius_m: f64) -> Vec<u32> {
        let doorway = &entry.doorway;
        let slim_m = 0.5 * self.settings.half_width_m;
        let mut found = Vec::new();
        for &side in &entry.sides {
            // The door itself is shut: the line begins clear of its inner face.
            let clear_m = doorway.half_thickness_m + slim_m + 1e-6;
            let from = doorway.middle + doorway.across * (side * clear_m);
            let index = &self.building.storeys[entry.storey].index;
            if let Some(p) = beside(index, doorway, side, from, radius_m, slim_m) {
                found.push(self.add(entry.storey, p));
            }
        }
        found
    }
}

/// The nearest place with room on the axis of a doorway, on one side of it.
fn beside(
    index: &Index,
    doorway: &Doorway,
    side: f64,
    from: Point,
    radius_m: f64,
    slim_m: f64,
) -> Option<Point> {
    (0..=STEPS)
        .map(|step| doorway.half_thickness_m + radius_m + STEP_M * f64::from(step))
        .map(|off| doorway.middle + doorway.across * (side * off))
        .find(|p| index.has_room(*p, radius_m))
        .filter(|p| index.is_clear(from, *p, slim_m))
}

/// Straight ways between nodes of one storey that see one another.
fn seen(
    building: &Building,
    nodes: &[Node],
    radius_m: f64,
    speed_m_per_s: f64,
) -> Vec<Vec<(u32, u64)>> {
    let onwards: Vec<Vec<(u32, u64)>> = nodes
        .par_iter()
        .enumerate()
        .map(|(i, node)| {
            let index = &building.storeys[node.storey].index;
            let later = nodes.iter().zip(0_u32..).skip(i + 1);
            later
                .filter(|(other, _)| {
                    other.storey == node.storey
                        && node.leads_to(other.at)
                        && other.leads_to(node.at)
                        && index.is_clear(node.at, other.at, radius_m)
                })
                .map(|(other, j)| (j, nanoseconds(norm(other.at - node.at), speed_m_per_s)))
                .collect()
        })
        .collect();
    let mut ways: Vec<Vec<(u32, u64)>> = vec![Vec::new(); nodes.len()];
    for ((i, list), from) in onwards.iter().enumerate().zip(0_u32..) {
        for &(to, time) in list {
            ways[i].push((to, time));
            ways[to as usize].push((from, time));
        }
    }
    ways
}

/// For each node, the number of nodes that hang together with it.
fn sizes_of_parts(ways: &[Vec<(u32, u64)>]) -> Vec<usize> {
    let mut sizes = vec![0; ways.len()];
    for start in (0_u32..).take(ways.len()) {
        if sizes[start as usize] == 0 {
            let next = |node: &u32| ways[*node as usize].iter().map(|(to, _)| *to);
            let part: Vec<u32> = dfs_reach(start, next).collect();
            for node in &part {
                sizes[*node as usize] = part.len();
            }
        }
    }
    sizes
}

fn nanoseconds(length_m: f64, speed_m_per_s: f64) -> u64 {
    (length_m / speed_m_per_s * 1e9).round() as u64
}

fn seconds(nanoseconds: u64) -> f64 {
    nanoseconds as f64 * 1e-9
}
