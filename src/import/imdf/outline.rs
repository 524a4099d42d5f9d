//! Areas to the millimetre that a plan can hold: rings that neither cross nor touch themselves.
//!
//! The plan's reader makes the same demands, and refuses the whole plan for one bad outline; here what
//! does not meet them is left out.

use geo::line_intersection::{LineIntersection, line_intersection};
use geo::{Area, BoundingRect, Contains, ConvexHull, Coord};
use geo::{Intersects, Line, LineString, Point, Polygon};

use plan::MAX_OUTLINE_POSITIONS;

/// Points nearer to one another than this are one, metres: a millimetre, and half of one for rounding.
const SAME_PLACE_M: f64 = 0.001_5;

/// Smallest area that is worth drawing, m²: one square decimetre.
const MIN_AREA_M2: f64 = 0.01;

/// A place to the millimetre, as the plan's text has it.
pub(super) fn to_millimetre(at: Coord<f64>) -> Coord<f64> {
    let round = |metres: f64| (metres * 1e3).round() / 1e3 + 0.0;
    Coord { x: round(at.x), y: round(at.y) }
}

/// A place well within an area: the middle of the widest piece of a few lines from west to east through it.
pub(super) fn middle(area: &Polygon<f64>) -> Option<Point<f64>> {
    let bounds = area.bounding_rect()?;
    let (low, height) = (bounds.min().y, bounds.height());
    let mut widest: Option<(f64, Point<f64>)> = None;
    // The middle first, so that it wins where others are no wider.
    for share in [0.5, 0.3, 0.7, 0.15, 0.85] {
        let y = low + height * share;
        let rings = std::iter::once(area.exterior()).chain(area.interiors());
        let mut crossings: Vec<f64> = rings
            .flat_map(|ring| ring.lines())
            .filter(|edge| (edge.start.y <= y) != (edge.end.y <= y))
            .map(|edge| edge.start.x + edge.dx() * ((y - edge.start.y) / edge.dy()))
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let [west, east] = pair else { continue };
            if widest.is_none_or(|(wide, _)| east - west > wide * 1.01) {
                widest = Some((east - west, Point::new((west + east) / 2.0, y)));
            }
        }
    }
    widest.map(|(_, middle)| middle)
}

/// An edge of a ring.
struct Edge {
    line: Line<f64>,
    ring: usize,
    index: usize,
    /// Edges of its ring.
    of: usize,
}

/// The area as a plan can hold it, or nothing.
pub(super) fn sound(area: &Polygon<f64>) -> Option<Polygon<f64>> {
    let outer = tidy(area.exterior())?;
    let holes: Vec<LineString<f64>> = area.interiors().iter().filter_map(tidy).collect();
    let positions = outer.0.len() + holes.iter().map(|hole| hole.0.len()).sum::<usize>();
    if positions > MAX_OUTLINE_POSITIONS {
        return None;
    }
    let mut edges: Vec<Edge> = Vec::with_capacity(positions);
    for (ring, line) in std::iter::once(&outer).chain(&holes).enumerate() {
        let of = line.0.len() - 1;
        edges.extend(line.lines().enumerate().map(|(index, line)| Edge { line, ring, index, of }));
    }
    if any_meeting(&mut edges) {
        return None;
    }
    let whole = Polygon::new(outer, Vec::new());
    let inside = |hole: &LineString<f64>| {
        let middle = |edge: Line<f64>| Point((edge.start + edge.end) / 2.0);
        hole.points().all(|corner| whole.intersects(&corner))
            && hole.lines().any(|edge| whole.contains(&middle(edge)))
    };
    if !holes.iter().all(inside) {
        return None;
    }
    Some(Polygon::new(whole.exterior().clone(), holes))
}

/// A ring to the millimetre without points that repeat the one before; nothing if it encloses nothing.
fn tidy(ring: &LineString<f64>) -> Option<LineString<f64>> {
    let far = |a: Coord<f64>, b: Coord<f64>| (b.x - a.x).hypot(b.y - a.y) > SAME_PLACE_M;
    let mut kept: Vec<Coord<f64>> = Vec::with_capacity(ring.0.len());
    for at in ring.0.iter().map(|at| to_millimetre(*at)) {
        if kept.last().is_none_or(|last| far(*last, at)) {
            kept.push(at);
        }
    }
    let first = *kept.first()?;
    while kept.len() > 1 && kept.last().is_some_and(|last| !far(first, *last)) {
        kept.pop();
    }
    if kept.len() < 3 {
        return None;
    }
    kept.push(first);
    let ring = LineString::new(kept);
    (ring.convex_hull().unsigned_area() >= MIN_AREA_M2).then_some(ring)
}

/// Whether any two edges cross or touch where they must not.
fn any_meeting(edges: &mut [Edge]) -> bool {
    let low_x = |edge: &Edge| edge.line.start.x.min(edge.line.end.x);
    edges.sort_by(|a, b| low_x(a).total_cmp(&low_x(b)));
    for (number, a) in edges.iter().enumerate() {
        let right = a.line.start.x.max(a.line.end.x);
        let later = edges.get(number + 1..).unwrap_or_default().iter();
        let mut beside = later.take_while(|b| low_x(b) <= right);
        if beside.any(|b| !apart_in_y(a, b) && meet(a, b)) {
            return true;
        }
    }
    false
}

fn apart_in_y(a: &Edge, b: &Edge) -> bool {
    let span = |edge: &Edge| {
        let (a, b) = (edge.line.start.y, edge.line.end.y);
        (a.min(b), a.max(b))
    };
    let ((a_low, a_high), (b_low, b_high)) = (span(a), span(b));
    a_high < b_low || b_high < a_low
}

/// Neighbours share their corner, and rings may touch in single points; nothing else may meet.
fn meet(a: &Edge, b: &Edge) -> bool {
    let same_ring = a.ring == b.ring;
    let apart = a.index.abs_diff(b.index);
    let neighbours = same_ring && (apart == 1 || apart + 1 == a.of);
    match line_intersection(a.line, b.line) {
        None => false,
        Some(LineIntersection::SinglePoint { .. }) if neighbours => false,
        Some(LineIntersection::SinglePoint { is_proper, .. }) => same_ring || is_proper,
        Some(LineIntersection::Collinear { intersection }) => {
            let in_a_point = intersection.start == intersection.end;
            !in_a_point || (same_ring && !neighbours)
        }
    }
}
