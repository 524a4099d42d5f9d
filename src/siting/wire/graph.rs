//! The graph of all ways along walls, and one search over it from all outlets at once.
//!
//! A vertex is a mark of a sheet at one height; edges run along the sheet's upper and lower lines,
//! up and down at a mark, from one sheet to another that touches it, and through a slab. Dijkstra's
//! algorithm is the crate `pathfinding`'s.

use std::collections::HashMap;

use pathfinding::directed::dijkstra::dijkstra_all;

use super::contact::{Mark, Marks, between_m};
use super::sheet::Sheet;

/// Heights closer than this are one, metres.
const SAME_HEIGHT_M: f64 = 1e-10;

/// A length as a whole number that can be ordered and added without rounding, and below it what
/// decides between equal lengths: first the outlet's place in the plan, then floors drilled.
///
/// Lengths count in picometres. 10⁶ km in them times 2⁴⁰ is 10³³, well within 128 bits; the sum of
/// all walls of the largest plan is less.
pub(super) type Cost = u128;

const PICOMETRE: Cost = 1 << 40;
const OUTLET: Cost = 1 << 20;
const FLOOR: Cost = 1;

pub(super) fn length(metres: f64) -> Cost {
    Cost::from((metres.min(1e6) * 1e12).round() as u64) * PICOMETRE
}

pub(super) fn start(outlet: usize) -> Cost {
    outlet as Cost * OUTLET
}

/// A vertex: a mark at a height.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    pub(super) mark: Mark,
    pub(super) z: f64,
}

/// The graph, searched.
#[derive(Debug, Default)]
pub(super) struct Graph {
    /// Ascending by sheet, place and height.
    pub(super) vertices: Vec<Vertex>,
    /// Of each sheet: where its stops stand in `stops`.
    of_sheet: Vec<std::ops::Range<usize>>,
    /// Of each stop: its place along the sheet and where its vertices stand.
    pub(super) stops: Vec<Stop>,
    edges: Vec<Vec<(usize, Cost)>>,
    /// Of each vertex that can be reached: the one before (none at an outlet: a number beyond all)
    /// and the cost.
    reached: HashMap<usize, (usize, Cost)>,
}

/// A place along a sheet with vertices at several heights.
#[derive(Debug, Clone)]
pub(super) struct Stop {
    pub(super) s: f64,
    pub(super) vertices: std::ops::Range<usize>,
}

impl Graph {
    /// Builds the graph; `sources` are outlets as (place among [`Marks::all`], height, place among
    /// the plan's outlets).
    pub(super) fn new(sheets: &[Sheet], marks: &Marks, sources: &[(usize, f64, usize)]) -> Self {
        let mut graph = Self::default();
        let stop_of = graph.place_stops(sheets, marks);
        let heights = heights(sheets, marks, sources, &stop_of, &graph.stops);
        graph.place_vertices(sheets, heights);
        graph.lead_along(sheets);
        graph.lead_across(sheets, marks, &stop_of);
        let starts = sources.iter().filter_map(|&(mark, z, outlet)| {
            Some((graph.vertex(stop_of[mark], z)?, start(outlet)))
        });
        let starts: Vec<(usize, Cost)> = starts.collect();
        graph.search(starts);
        graph
    }

    /// Merges marks at one place into stops; returns each mark's stop.
    fn place_stops(&mut self, sheets: &[Sheet], marks: &Marks) -> Vec<usize> {
        let mut order: Vec<(usize, Mark)> = marks.all.iter().copied().enumerate().collect();
        order.sort_by(|(_, a), (_, b)| a.sheet.cmp(&b.sheet).then(a.s.total_cmp(&b.s)));
        let mut stop_of = vec![0; marks.all.len()];
        let mut last: Option<Mark> = None;
        self.of_sheet = vec![0..0; sheets.len()];
        for (number, mark) in order {
            let is_same =
                last.is_some_and(|last| last.sheet == mark.sheet && mark.s - last.s <= 1e-10);
            if !is_same {
                last = Some(mark);
                let range = &mut self.of_sheet[mark.sheet];
                if range.start == range.end {
                    range.start = self.stops.len();
                }
                range.end = self.stops.len() + 1;
                self.stops.push(Stop { s: mark.s, vertices: 0..0 });
            }
            stop_of[number] = self.stops.len() - 1;
        }
        stop_of
    }

    fn place_vertices(&mut self, sheets: &[Sheet], mut heights: Vec<(usize, f64)>) {
        heights.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        heights.dedup_by(|b, a| a.0 == b.0 && b.1 - a.1 <= SAME_HEIGHT_M);
        let mut next = heights.into_iter().peekable();
        for sheet in 0..sheets.len() {
            for number in self.of_sheet[sheet].clone() {
                let stop = &mut self.stops[number];
                let first = self.vertices.len();
                while let Some((_, z)) = next.next_if(|(stop, _)| *stop == number) {
                    let mark = Mark { sheet, s: stop.s };
                    self.vertices.push(Vertex { mark, z });
                }
                stop.vertices = first..self.vertices.len();
            }
        }
        self.edges = vec![Vec::new(); self.vertices.len()];
    }

    fn vertex(&self, stop: usize, z: f64) -> Option<usize> {
        let mut own = self.stops[stop].vertices.clone();
        own.find(|&vertex| (self.vertices[vertex].z - z).abs() <= SAME_HEIGHT_M)
    }

    fn link(&mut self, one: usize, other: usize, cost: Cost) {
        self.edges[one].push((other, cost));
        self.edges[other].push((one, cost));
    }

    /// Edges within each sheet: along its two lines, and up and down at its stops.
    fn lead_along(&mut self, sheets: &[Sheet]) {
        for (number, sheet) in sheets.iter().enumerate() {
            let range = self.of_sheet[number].clone();
            for stop in range.clone() {
                let here = self.stops[stop].clone();
                for upper in here.vertices.skip(1) {
                    let (a, b) = (self.vertices[upper - 1].z, self.vertices[upper].z);
                    if sheet.is_clear_up(here.s, a, b) {
                        self.link(upper - 1, upper, length(b - a));
                    }
                }
                if stop + 1 >= range.end {
                    continue;
                }
                let there = self.stops[stop + 1].s;
                for z in [sheet.low_m, sheet.high_m] {
                    let ends = (self.vertex(stop, z), self.vertex(stop + 1, z));
                    if let (Some(one), Some(other)) = ends
                        && sheet.is_clear_across(here.s, there, z)
                    {
                        self.link(one, other, length(there - here.s));
                    }
                }
            }
        }
    }

    fn lead_across(&mut self, sheets: &[Sheet], marks: &Marks, stop_of: &[usize]) {
        for joint in &marks.joints {
            let (one, other) = (marks.all[joint.one], marks.all[joint.other]);
            let (a, b) = (&sheets[one.sheet], &sheets[other.sheet]);
            let (one_stop, other_stop) = (stop_of[joint.one], stop_of[joint.other]);
            let gap = between_m(sheets, one, other);
            if joint.is_upwards {
                let ends = (self.vertex(one_stop, a.high_m), self.vertex(other_stop, b.low_m));
                if let (Some(below), Some(above)) = ends {
                    let cost = length(gap) + length((b.low_m - a.high_m).abs()) + FLOOR;
                    self.link(below, above, cost);
                }
                continue;
            }
            for z in [a.low_m, a.high_m, b.low_m, b.high_m] {
                let ends = (self.vertex(one_stop, z), self.vertex(other_stop, z));
                if let (Some(one), Some(other)) = ends {
                    self.link(one, other, length(gap));
                }
            }
        }
    }

    fn search(&mut self, starts: Vec<(usize, Cost)>) {
        self.edges.push(starts);
        let edges = std::mem::take(&mut self.edges);
        let root = self.vertices.len();
        self.reached = dijkstra_all(&root, |vertex| edges[*vertex].iter().copied());
    }

    /// What the way to a vertex costs, if there is one.
    pub(super) fn cost(&self, vertex: usize) -> Option<Cost> {
        self.reached.get(&vertex).map(|(_, cost)| *cost)
    }

    /// The vertices on the way from an outlet to a vertex, outlet first.
    pub(super) fn way_to(&self, vertex: usize) -> Vec<Vertex> {
        let before = |here: &usize| self.reached.get(here).map(|(before, _)| *before);
        let way = std::iter::successors(Some(vertex), before);
        let mut way: Vec<Vertex> = way.map_while(|here| self.vertices.get(here).copied()).collect();
        way.reverse();
        way
    }

    /// The outlet at which the way to a vertex of this cost begins: 20 bits, and a plan has at most
    /// 20,000 outlets.
    pub(super) const fn outlet(cost: Cost) -> usize {
        ((cost / OUTLET) % (PICOMETRE / OUTLET)) as usize
    }

    /// The stops of a sheet on either side of a place: the last at or before, the first after.
    pub(super) fn stops_beside(&self, sheet: usize, s: f64) -> impl Iterator<Item = &Stop> {
        let stops = &self.stops[self.of_sheet[sheet].clone()];
        let after = stops.partition_point(|stop| stop.s <= s);
        let before = after.checked_sub(1).and_then(|at| stops.get(at));
        before.into_iter().chain(stops.get(after))
    }
}

/// Heights at which each stop needs a vertex: its sheet's lines, those of the sheets that touch it
/// there, and its outlets.
fn heights(
    sheets: &[Sheet],
    marks: &Marks,
    sources: &[(usize, f64, usize)],
    stop_of: &[usize],
    stops: &[Stop],
) -> Vec<(usize, f64)> {
    let mut found = Vec::with_capacity(stops.len() * 2);
    for (mark, stop) in marks.all.iter().zip(stop_of) {
        let sheet = &sheets[mark.sheet];
        found.extend([(*stop, sheet.low_m), (*stop, sheet.high_m)]);
    }
    for joint in marks.joints.iter().filter(|joint| !joint.is_upwards) {
        for (here, there) in [(joint.one, joint.other), (joint.other, joint.one)] {
            let sheet = |mark: usize| &sheets[marks.all[mark].sheet];
            let lines = [sheet(there).low_m, sheet(there).high_m];
            let inside = lines.into_iter().filter(|z| sheet(here).spans(*z));
            found.extend(inside.map(|z| (stop_of[here], z)));
        }
    }
    found.extend(sources.iter().map(|&(mark, z, _)| (stop_of[mark], z)));
    found
}
