//! Whether the outline of a slab, an obstacle or an area is a polygon that one can build.

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Area, BoundingRect, Contains, ConvexHull, Coord, CoordsIter, Intersects, Line};
use geo::{LineString, Polygon, Rect};

use super::limits::{MAX_OUTLINE_POSITIONS, MIN_SEGMENT_M};
use super::measure::apart;
use super::shape::Shape;
use super::unit::thousandths;
use input::Diagnostics;

/// Smallest area of an outline, m²: one square centimetre.
const MIN_AREA_M2: f64 = 1e-4;

struct Edge {
    line: Line<f64>,
    around: Rect<f64>,
    ring: usize,
    index: usize,
    /// Edges of its ring.
    of: usize,
}

/// The checked outline without repeated points, or nothing after noting what is wrong.
pub(super) fn checked(
    shape: &Shape,
    metres_per_unit: f64,
    feature: &str,
    faults: &mut Diagnostics,
) -> Option<Polygon<f64>> {
    let geo::Geometry::Polygon(polygon) = &shape.geometry else {
        return None;
    };
    let rings: Vec<&LineString<f64>> =
        std::iter::once(polygon.exterior()).chain(polygon.interiors()).collect();
    let feature = Some(feature);
    if polygon.coords_count() > MAX_OUTLINE_POSITIONS {
        let what = format!("the outline has more than {MAX_OUTLINE_POSITIONS} positions");
        let fix = "simplify it; a centimetre is fine enough";
        faults.fault(shape.place(0, 0), feature, || (what, fix));
        return None;
    }
    let before = faults.count();
    for (number, ring) in rings.iter().enumerate() {
        let given = shape.places.get(number).map_or(0, Vec::len);
        if given != ring.0.len() {
            // `geo` closed what the file left open.
            let what = "the outline is not closed";
            let fix = "repeat the first position at the end of each ring";
            faults.fault(shape.place(number, given.saturating_sub(1)), feature, || (what, fix));
        } else if given < 4 {
            let what = "an outline needs at least three corners";
            let fix = "give [[x, y], [x, y], [x, y], the first again]";
            faults.fault(shape.place(number, 0), feature, || (what, fix));
        }
    }
    if faults.count() > before {
        return None;
    }
    let rings = rings.into_iter().map(without_repeats).collect::<Vec<_>>();
    let edges = edges(&rings);
    for (number, ring) in rings.iter().enumerate() {
        // By the hull, for the two lobes of an outline that crosses itself may cancel out.
        let area = ring.convex_hull().unsigned_area();
        if ring.0.len() < 4 || area < MIN_AREA_M2 {
            let what = "the outline encloses no area";
            let fix = "give three or more corners that are not in line";
            faults.fault(shape.place(number, 0), feature, || (what, fix));
        }
    }
    if faults.count() > before {
        return None;
    }
    if let Some((first, second, near)) = crossing(&edges) {
        let at = shape.place(second.ring, index_in_file(shape, second));
        let other = shape.place(first.ring, index_in_file(shape, first));
        let (x, y) = (thousandths(near.x / metres_per_unit), thousandths(near.y / metres_per_unit));
        let (what, fix) = if first.ring == second.ring {
            ("the outline crosses itself", "give the corners in order round the outline")
        } else {
            ("two rings of the outline cross", "keep every hole inside the first ring")
        };
        let what = format!("{what} near ({x}, {y})");
        faults.fault_with_other(at, other, feature, || (what, fix));
        return None;
    }
    let mut rings = rings.into_iter();
    let outer = Polygon::new(rings.next()?, Vec::new());
    let holes: Vec<LineString<f64>> = rings.collect();
    for (number, hole) in holes.iter().enumerate() {
        if !hole_lies_in(&outer, hole) {
            let words = ("a hole is outside the outline", "the first ring is the outer one");
            faults.fault(shape.place(number + 1, 0), feature, || words);
        }
    }
    (faults.count() == before).then(|| Polygon::new(outer.exterior().clone(), holes))
}

/// Whether a closed ring lies within an outline, which it may touch.
pub fn hole_lies_in(outer: &Polygon<f64>, hole: &LineString<f64>) -> bool {
    let middle = |edge: Line<f64>| geo::Point((edge.start + edge.end) / 2.0);
    hole.points().all(|corner| outer.intersects(&corner))
        && hole.lines().any(|edge| outer.contains(&middle(edge)))
}

/// The corner of the file at which an edge starts: repeats were taken out, so by its coordinates.
fn index_in_file(shape: &Shape, edge: &Edge) -> usize {
    let geo::Geometry::Polygon(polygon) = &shape.geometry else {
        return 0;
    };
    let ring = std::iter::once(polygon.exterior()).chain(polygon.interiors()).nth(edge.ring);
    let mut corners = ring.into_iter().flat_map(|ring| &ring.0).enumerate().skip(edge.index);
    corners.find(|(_, corner)| **corner == edge.line.start).map_or(0, |(number, _)| number)
}

fn without_repeats(ring: &LineString<f64>) -> LineString<f64> {
    let mut kept: Vec<Coord<f64>> = Vec::with_capacity(ring.0.len());
    for &corner in &ring.0 {
        if kept.last().is_none_or(|last| apart(*last, corner) >= MIN_SEGMENT_M) {
            kept.push(corner);
        }
    }
    // The ring ends where it begins, even if the last corner but one came too near to that.
    if let (Some(&first), Some(&last)) = (kept.first(), kept.last())
        && first != last
    {
        if kept.len() > 1 && apart(first, last) < MIN_SEGMENT_M {
            kept.pop();
        }
        kept.push(first);
    }
    LineString::new(kept)
}

fn edges(rings: &[LineString<f64>]) -> Vec<Edge> {
    let of_ring = |(ring, line): (usize, &'_ LineString<f64>)| {
        let (of, lines) = (line.0.len().saturating_sub(1), line.lines().collect::<Vec<_>>());
        lines.into_iter().enumerate().map(move |(index, line)| {
            let around = line.bounding_rect();
            Edge { line, around, ring, index, of }
        })
    };
    let mut edges: Vec<Edge> = rings.iter().enumerate().flat_map(of_ring).collect();
    edges.sort_by(|a, b| a.around.min().x.total_cmp(&b.around.min().x));
    edges
}

/// Whether closed rings cross or touch, each or one another, where those of an outline must not.
pub fn rings_cross(rings: &[LineString<f64>]) -> bool {
    crossing(&edges(rings)).is_some()
}

/// Two edges that cross or touch where they must not, the earlier in the file first, and where they
/// do. The sweep from left to right stops at the first such pair: a tangle has very many.
fn crossing(edges: &[Edge]) -> Option<(&Edge, &Edge, Coord<f64>)> {
    for (number, a) in edges.iter().enumerate() {
        let (low, high) = (a.around.min(), a.around.max());
        let later = edges.get(number + 1..).unwrap_or_default();
        for b in later.iter().take_while(|b| b.around.min().x <= high.x) {
            let apart_in_y = high.y < b.around.min().y || b.around.max().y < low.y;
            if let Some(near) = meeting(a, b).filter(|_| !apart_in_y) {
                let in_order = (a.ring, a.index) < (b.ring, b.index);
                return Some(if in_order { (a, b, near) } else { (b, a, near) });
            }
        }
    }
    None
}

/// Where two edges meet, if they must not meet there.
///
/// Neighbours share their corner; rings may touch in single points (RFC 7946 leaves it to simple
/// features, where rings may do so).
fn meeting(a: &Edge, b: &Edge) -> Option<Coord<f64>> {
    let same_ring = a.ring == b.ring;
    let apart = a.index.abs_diff(b.index);
    let neighbours = same_ring && (apart == 1 || apart + 1 == a.of);
    match line_intersection(a.line, b.line)? {
        LineIntersection::SinglePoint { .. } if neighbours => None,
        LineIntersection::SinglePoint { intersection, is_proper } => {
            (same_ring || is_proper).then_some(intersection)
        }
        LineIntersection::Collinear { intersection } => {
            // Touching end to end in one line is a meeting of length zero.
            let in_a_point = intersection.start == intersection.end;
            (!in_a_point || (same_ring && !neighbours)).then_some(intersection.start)
        }
    }
}
