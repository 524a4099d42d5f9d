//! Areas to the millimetre that a plan can hold: rings that neither cross nor touch themselves.
//!
//! The plan's reader makes the same demands, and refuses the whole plan for one bad outline; here
//! what does not meet them is left out.

use geo::orient::{Direction, Orient};
use geo::{
    Area, BoundingRect, ConvexHull, Coord, CoordsIter, Geometry, LineString, LinesIter, MultiPoint,
    Point, Polygon, Simplify, Validation, unary_union,
};

use crate::line::to_millimetre;
use plan::{MAX_OUTLINE_POSITIONS, hole_lies_in, rings_cross};

/// Points nearer than this are one, metres: a millimetre, and half of one for rounding.
const SAME_PLACE_M: f64 = 0.001_5;

/// Smallest area that is worth drawing, m²: one square decimetre.
const MIN_AREA_M2: f64 = 0.01;

/// Most positions of the spaces of a level whose union is worked out; beyond, the floor is the hull
/// around them (our own choice: crossing outlines cost time with the square of this).
const MAX_UNION_POSITIONS: usize = 2_000;
const MAX_FLOOR_CORNERS: usize = 1_000;
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

/// The union of areas, each part sound as an outline of a plan; and whether one had to be a hull.
pub(crate) fn floors(areas: &[Polygon<f64>]) -> (Vec<Polygon<f64>>, bool) {
    let positions: usize = areas.iter().map(|area| area.exterior().0.len()).sum();
    if positions > MAX_UNION_POSITIONS || !areas.iter().all(Validation::is_valid) {
        let all = areas.iter().flat_map(|area| area.exterior_coords_iter());
        let hull = rounded(&MultiPoint::from_iter(all).convex_hull());
        let floors: Vec<Polygon<f64>> = Some(hull).filter(has_room).into_iter().collect();
        let guessed = !floors.is_empty();
        return (floors, guessed);
    }
    let mut guessed = false;
    // The union goes by the way in which rings run, which files are free in.
    let areas: Vec<Polygon<f64>> =
        areas.iter().map(|area| area.orient(Direction::Default)).collect();
    let parts = unary_union(&areas).into_iter().map(|part| rounded(&part.simplify(0.01)));
    let floors = parts.filter(has_room).map(|part| {
        let few = part.exterior().0.len() <= MAX_FLOOR_CORNERS && part.interiors().len() <= 50;
        if few && part.is_valid() {
            return part;
        }
        guessed = true;
        rounded(&part.convex_hull())
    });
    let floors = floors.filter(has_room).collect();
    (floors, guessed)
}

/// Whether an outline encloses enough to be a floor: a thin sliver between rooms does not.
fn has_room(area: &Polygon<f64>) -> bool {
    let around = area.bounding_rect();
    area.exterior().0.len() >= 4
        && area.unsigned_area() >= 0.05
        && around.is_some_and(|around| around.width() >= 0.1 && around.height() >= 0.1)
}

fn rounded(area: &Polygon<f64>) -> Polygon<f64> {
    let ring = |ring: &LineString<f64>| -> LineString<f64> {
        let mut points: Vec<Coord<f64>> = ring.coords().map(|at| to_millimetre(*at)).collect();
        points.dedup();
        LineString::new(points)
    };
    let holes = area.interiors().iter().map(ring);
    let holes = holes.filter(|hole| has_room(&Polygon::new(hole.clone(), Vec::new())));
    Polygon::new(ring(area.exterior()), holes.collect())
}
