//! Areas to the millimetre that a plan can hold: rings that neither cross nor touch themselves.
//!
//! The plan's reader makes the same demands, and refuses the whole plan for one bad outline; here
//! what does not meet them is left out.

use geo::{Area, BoundingRect, ConvexHull, Coord, CoordsIter, Geometry};
use geo::{LineString, LinesIter, Point, Polygon};

use crate::line::to_millimetre;
use plan::{MAX_OUTLINE_POSITIONS, hole_lies_in, rings_cross};

/// Points nearer than this are one, metres: a millimetre, and half of one for rounding.
const SAME_PLACE_M: f64 = 0.001_5;

/// Smallest area that is worth drawing, m²: one square decimetre.
const MIN_AREA_M2: f64 = 0.01;

/// A place well within an area: the middle of the widest piece of a few lines across it.
pub(crate) fn middle(area: &Polygon<f64>) -> Option<Point<f64>> {
    let bounds = area.bounding_rect()?;
    let (low, height) = (bounds.min().y, bounds.height());
    let mut widest: Option<(f64, Point<f64>)> = None;
    // The middle first, so that it wins where others are no wider.
    for share in [0.5, 0.3, 0.7, 0.15, 0.85] {
        let y = low + height * share;
        let mut crossings: Vec<f64> = area
            .lines_iter()
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

/// The area as a plan can hold it, or nothing.
pub(crate) fn sound(area: &Polygon<f64>) -> Option<Polygon<f64>> {
    let mut rings = vec![tidy(area.exterior())?];
    rings.extend(area.interiors().iter().filter_map(tidy));
    let positions: usize = rings.iter().map(CoordsIter::coords_count).sum();
    if positions > MAX_OUTLINE_POSITIONS || rings_cross(&rings) {
        return None;
    }
    let holes = rings.split_off(1);
    let whole = Polygon::new(rings.pop()?, Vec::new());
    let sound = holes.iter().all(|hole| hole_lies_in(&whole, hole));
    sound.then(|| Polygon::new(whole.exterior().clone(), holes))
}

/// A room as a plan draws it: its outline, or a place in it where the plan cannot hold that.
pub(crate) fn drawn_or_at(area: &Polygon<f64>, within: Point<f64>) -> Geometry<f64> {
    sound(area).map_or_else(|| Point(to_millimetre(within.0)).into(), Geometry::from)
}

/// A ring to the millimetre without repeated points; nothing if it encloses nothing.
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
