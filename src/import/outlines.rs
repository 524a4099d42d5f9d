//! Outlines of rooms as walls: what two rooms share is one wall.

use std::collections::{BTreeMap, BTreeSet};

use geo::{Coord, Line, LineString, Polygon, Simplify};
use rstar::RTree;
use rstar::primitives::GeomWithData;

use crate::line::{around, length, seen_from};

/// The outline of a room or other space.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Number of its level.
    pub level: i32,
    /// Its edge, metres, with holes.
    pub area: Polygon<f64>,
}

/// A straight piece of wall, with the rooms on its sides.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// Number of its level.
    pub level: i32,
    /// From end to end, metres.
    pub line: Line<f64>,
    /// Which outlines it belongs to, ascending: one outside, two for a wall between rooms.
    pub owners: Vec<usize>,
}

/// Most looks at a corner near an edge: far beyond any building, it bounds the time that a hostile
/// file can cost. Edges looked at later are not cut where corners of others touch them.
const MAX_LOOKS: usize = 1_000_000;

/// The sides of outlines, each once, as long as they run straight between the same owners.
///
/// Corners nearer to one another, or to an edge, than the tolerance in metres are taken for one
/// place, so that rooms drawn by hand share their walls; a side may bend by half the tolerance and
/// still count as straight. Outlines that cross one another keep crossing. The order follows the
/// level, then the owners, then the place; the result depends on the order of the outlines and on
/// nothing else.
#[must_use]
pub fn sides(outlines: &[Outline], tolerance_m: f64) -> Vec<Side> {
    let levels: BTreeSet<i32> = outlines.iter().map(|outline| outline.level).collect();
    let mut looks = MAX_LOOKS;
    let mut sides = Vec::new();
    for level in levels {
        let mut net = Net::new(tolerance_m);
        let rings = outlines.iter().enumerate();
        for (owner, outline) in rings.filter(|(_, outline)| outline.level == level) {
            let area = &outline.area;
            for ring in std::iter::once(area.exterior()).chain(area.interiors()) {
                net.add(owner, ring);
            }
        }
        for (owners, chain) in chains(&net.pieces(&mut looks), &net.corners) {
            let points: Vec<Coord<f64>> = chain.iter().map(|&corner| net.corners[corner]).collect();
            let straight = LineString::new(points).simplify(tolerance_m / 2.0);
            sides.extend(straight.lines().map(|line| Side { level, line, owners: owners.clone() }));
        }
    }
    sides
}

/// Corners and the edges between them, on one level.
struct Net {
    tolerance_m: f64,
    corners: Vec<Coord<f64>>,
    index: RTree<GeomWithData<[f64; 2], usize>>,
    /// From corner to corner, with the owner.
    edges: Vec<(usize, usize, usize)>,
}

/// A piece between two corners, the lesser first.
type Piece = (usize, usize);

impl Net {
    fn new(tolerance_m: f64) -> Self {
        Self { tolerance_m, corners: Vec::new(), index: RTree::new(), edges: Vec::new() }
    }

    /// The corner at a place: one that is there already, if it is near enough.
    fn corner(&mut self, at: Coord<f64>) -> usize {
        let place = [at.x, at.y];
        let near = self.index.nearest_neighbor_iter_with_distance_2(&place);
        let reach = self.tolerance_m * self.tolerance_m;
        if let Some((found, distance_2)) = { near }.next()
            && distance_2 <= reach
        {
            return found.data;
        }
        let corner = self.corners.len();
        self.corners.push(at);
        self.index.insert(GeomWithData::new(place, corner));
        corner
    }

    fn add(&mut self, owner: usize, ring: &LineString<f64>) {
        let mut corners: Vec<usize> = ring.coords().map(|at| self.corner(*at)).collect();
        // A ring that is not closed is closed here; one that is ends where it began.
        corners.extend(corners.first().copied());
        let steps = corners.iter().zip(corners.iter().skip(1));
        self.edges
            .extend(steps.filter(|(from, to)| from != to).map(|(from, to)| (*from, *to, owner)));
    }

    /// Every edge cut where corners touch it, each piece once, with its owners.
    fn pieces(&self, looks: &mut usize) -> BTreeMap<Piece, BTreeSet<usize>> {
        let mut pieces: BTreeMap<Piece, BTreeSet<usize>> = BTreeMap::new();
        for &(from, to, owner) in &self.edges {
            let mut last = from;
            for next in self.touching(from, to, looks).into_iter().chain([to]) {
                if next != last {
                    let piece = (last.min(next), last.max(next));
                    pieces.entry(piece).or_default().insert(owner);
                }
                last = next;
            }
        }
        pieces
    }

    /// The corners between the ends of an edge that lie on it, in order.
    fn touching(&self, from: usize, to: usize, looks: &mut usize) -> Vec<usize> {
        let edge = Line::new(self.corners[from], self.corners[to]);
        let (long, margin) = (length(edge), self.tolerance_m);
        let mut found = Vec::new();
        for near in self.index.locate_in_envelope(&around(edge, margin)) {
            if *looks == 0 {
                break;
            }
            *looks -= 1;
            let (along_m, off_m) = seen_from(edge, self.corners[near.data]);
            let beside = along_m > 0.0 && along_m < long && off_m.abs() <= margin;
            if beside && near.data != from && near.data != to {
                found.push((along_m, near.data));
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        found.into_iter().map(|(_, corner)| corner).collect()
    }
}

/// Pieces of the same owners strung together through every corner at which just two of them meet.
fn chains(
    pieces: &BTreeMap<Piece, BTreeSet<usize>>,
    corners: &[Coord<f64>],
) -> Vec<(Vec<usize>, Vec<usize>)> {
    let mut by_owners: BTreeMap<Vec<usize>, BTreeSet<Piece>> = BTreeMap::new();
    for (piece, owners) in pieces {
        let owners = owners.iter().copied().collect();
        by_owners.entry(owners).or_default().insert(*piece);
    }
    let mut chains = Vec::new();
    for (owners, mut pieces) in by_owners {
        let mut neighbours: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for &(a, b) in &pieces {
            neighbours.entry(a).or_default().push(b);
            neighbours.entry(b).or_default().push(a);
        }
        // Ends and forks first; what is left then are closed rings, which start at their lowest
        // left corner: that one is never in the middle of a straight side.
        let place = |corner: &usize| corners[*corner];
        let mut starts: Vec<usize> = neighbours.keys().copied().collect();
        starts.sort_by(|a, b| {
            let passed = |corner: &usize| neighbours[corner].len() == 2;
            let (at, other) = (place(a), place(b));
            passed(a).cmp(&passed(b)).then(at.x.total_cmp(&other.x)).then(at.y.total_cmp(&other.y))
        });
        for start in starts {
            let mut next_of = neighbours[&start].clone();
            next_of.sort_unstable();
            for first in next_of {
                if !pieces.remove(&(start.min(first), start.max(first))) {
                    continue;
                }
                let mut chain = vec![start, first];
                let (mut before, mut here) = (start, first);
                while here != start
                    && let [a, b] = neighbours[&here].as_slice()
                {
                    let next = if *a == before { *b } else { *a };
                    if !pieces.remove(&(here.min(next), here.max(next))) {
                        break;
                    }
                    chain.push(next);
                    (before, here) = (here, next);
                }
                chains.push((owners.clone(), chain));
            }
        }
    }
    chains
}
