//! Where walls have their corners and ends, and their segments, to be found by place.

use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};

use geo::Coord;
use rstar::primitives::GeomWithData;
use rstar::{AABB, Envelope, RTree, RTreeObject, SelectionFunction};

use super::super::measure::apart;
use super::drawing::Drawing;

/// Most ends or segments that are looked at around a place: it bounds the time of a hostile file.
pub(super) const CROWD: usize = 300;

/// Most pairs of segments that come near each other: so many for each of them, and so many more. In
/// a house a wall meets five others or so, a corridor's wall its partitions.
const MOST_PAIRS: (usize, usize) = (20, 20_000);

/// A place where at least one wall has a position.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) level: i32,
    pub(super) place: Coord<f64>,
    /// Wall and index of every position there, in file order.
    pub(super) ends: Vec<(usize, usize)>,
    pub(super) degree: usize,
}

impl Node {
    pub(super) fn walls(&self) -> BTreeSet<usize> {
        self.ends.iter().map(|end| end.0).collect()
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Segment {
    pub(super) wall: usize,
    pub(super) index: usize,
    pub(super) level: i32,
    pub(super) a: Coord<f64>,
    pub(super) b: Coord<f64>,
}

impl RTreeObject for Segment {
    type Envelope = AABB<[f64; 3]>;

    fn envelope(&self) -> Self::Envelope {
        let z = f64::from(self.level);
        AABB::from_corners([self.a.x, self.a.y, z], [self.b.x, self.b.y, z])
    }
}

/// A node's number at its place in the index.
type Pin = GeomWithData<[f64; 3], usize>;

fn pin(node: usize, level: i32, place: Coord<f64>) -> Pin {
    Pin::new([place.x, place.y, f64::from(level)], node)
}

#[derive(Debug, Clone)]
pub(super) struct Net {
    /// In file order of their first position.
    pub(super) nodes: Vec<Node>,
    pins: RTree<Pin>,
    segments: RTree<Segment>,
    tangled: OnceCell<bool>,
}

pub(super) fn around(level: i32, a: Coord<f64>, b: Coord<f64>, reach: f64) -> AABB<[f64; 3]> {
    let z = f64::from(level);
    AABB::from_corners(
        [a.x.min(b.x) - reach, a.y.min(b.y) - reach, z],
        [a.x.max(b.x) + reach, a.y.max(b.y) + reach, z],
    )
}

/// Boxes within reach of a line: far fewer than those near its own box, if it slants.
struct Along {
    around: AABB<[f64; 3]>,
    a: Coord<f64>,
    b: Coord<f64>,
    reach: f64,
}

impl Along {
    fn comes_near(&self, envelope: &AABB<[f64; 3]>) -> bool {
        if !self.around.intersects(envelope) {
            return false;
        }
        let run = self.b - self.a;
        let length = run.x.hypot(run.y);
        if length <= 0.0 {
            return true;
        }
        let ([west, south, _], [east, north, _]) = (envelope.lower(), envelope.upper());
        let side = |x: f64, y: f64| ((y - self.a.y) * run.x - (x - self.a.x) * run.y) / length;
        let sides = [side(west, south), side(east, south), side(east, north), side(west, north)];
        // A hair more, so that rounding does not decide.
        let reach = self.reach + 1e-6;
        !(sides.iter().all(|side| *side > reach) || sides.iter().all(|side| *side < -reach))
    }
}

impl SelectionFunction<Segment> for Along {
    fn should_unpack_parent(&self, envelope: &AABB<[f64; 3]>) -> bool {
        self.comes_near(envelope)
    }

    fn should_unpack_leaf(&self, leaf: &Segment) -> bool {
        self.comes_near(&leaf.envelope())
    }
}

/// All segments of walls that are still there, in file order.
pub(super) fn segments(drawing: &Drawing<'_>) -> Vec<Segment> {
    let mut segments = Vec::new();
    for (number, wall) in drawing.walls.iter().enumerate() {
        let Some(level) = wall.level.filter(|_| !wall.gone) else {
            continue;
        };
        let pieces = wall.pieces().enumerate();
        segments.extend(pieces.map(|(index, (a, b))| Segment { wall: number, index, level, a, b }));
    }
    segments
}

impl Net {
    pub(super) fn of(drawing: &Drawing<'_>) -> Self {
        let mut nodes: Vec<Node> = Vec::new();
        let mut by_place = BTreeMap::new();
        for (number, wall) in drawing.walls.iter().enumerate() {
            let Some(level) = wall.level.filter(|_| !wall.gone) else {
                continue;
            };
            for (index, point) in wall.points.iter().enumerate() {
                let key = (level, point.place.x.to_bits(), point.place.y.to_bits());
                let node = *by_place.entry(key).or_insert_with(|| {
                    nodes.push(Node { level, place: point.place, ends: Vec::new(), degree: 0 });
                    nodes.len() - 1
                });
                let node: &mut Node = &mut nodes[node];
                node.ends.push((number, index));
                let inner = index > 0 && index + 1 < wall.points.len();
                node.degree += if inner { 2 } else { 1 };
            }
        }
        let pins = nodes.iter().enumerate();
        let pins = pins.map(|(number, node)| pin(number, node.level, node.place));
        Self {
            pins: RTree::bulk_load(pins.collect()),
            nodes,
            segments: RTree::bulk_load(segments(drawing)),
            tangled: OnceCell::new(),
        }
    }

    /// The nodes within reach of a place, nearest first; nothing if they are too many.
    pub(super) fn nodes_near(
        &self,
        level: i32,
        place: Coord<f64>,
        reach: f64,
    ) -> Option<Vec<(f64, usize)>> {
        let found = self.pins.locate_in_envelope_intersecting(&around(level, place, place, reach));
        let mut near: Vec<(f64, usize)> = found
            .map(|pin| (apart(self.nodes[pin.data].place, place), pin.data))
            .filter(|(off, _)| *off <= reach)
            .take(CROWD + 1)
            .collect();
        if near.len() > CROWD {
            return None;
        }
        near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Some(near)
    }

    /// The segments whose box comes within reach of the line between two points, in file order;
    /// nothing if they are more than `most`.
    pub(super) fn segments_near(
        &self,
        level: i32,
        ends: (Coord<f64>, Coord<f64>),
        reach: f64,
        most: usize,
    ) -> Option<Vec<Segment>> {
        let found = self.near(level, ends, reach);
        let mut near: Vec<Segment> = found.take(most.saturating_add(1)).copied().collect();
        if near.len() > most {
            return None;
        }
        near.sort_by_key(|segment| (segment.wall, segment.index));
        Some(near)
    }

    fn near(
        &self,
        level: i32,
        (a, b): (Coord<f64>, Coord<f64>),
        reach: f64,
    ) -> impl Iterator<Item = &Segment> {
        let around = around(level, a, b, reach);
        self.segments.locate_with_selection_function(Along { around, a, b, reach })
    }

    /// Whether too many segments lie within the tolerance of one another to compare them all.
    pub(super) fn is_tangled(&self, snap: f64) -> bool {
        *self.tangled.get_or_init(|| {
            let most = MOST_PAIRS.0 * self.segments.size() + MOST_PAIRS.1;
            let near = |it: &Segment| self.near(it.level, (it.a, it.b), snap);
            self.segments.iter().flat_map(near).take(most + 1).count() > most
        })
    }

    /// Says that a node hangs elsewhere now. Its segments stay where they were.
    pub(super) fn move_node(&mut self, number: usize, to: Coord<f64>) {
        let node = &mut self.nodes[number];
        self.pins.remove(&pin(number, node.level, node.place));
        self.pins.insert(pin(number, node.level, to));
        node.place = to;
    }
}
