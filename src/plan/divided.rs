//! Spaces divided into the rooms that are drawn in them without walls between: a kitchen that is
//! open to the living room.

use geo::orient::{Direction, Orient};
use geo::{Area, BooleanOps, Contains, Coord, CoordsIter, Euclidean, Length, MultiPolygon};
use geo::{Point, Polygon};

use super::Plan;

/// Rooms that are drawn divide a space if they cover at least so much of it together, and a room
/// stands on its own if no more than the rest of it is in others (our own choice: less is a mark).
const COVERED: f64 = 0.6;
/// A part as narrow as this is what is left between outlines and walls, metres (our own choice).
const SLIVER_M: f64 = 0.5;
/// Smallest part that is a room, m² (our own choice).
const LEAST_M2: f64 = 0.5;
/// Most corners of what divides one space: cutting costs time with each of them.
const MAX_CORNERS: usize = 2_000;

/// A room as it is drawn: a place in it, and its outline.
pub(super) type Drawn<'p> = (Coord<f64>, &'p Polygon<f64>);

/// The rooms of a level that are drawn as outlines.
pub(super) fn drawn(plan: &Plan, level: i32) -> Vec<Drawn<'_>> {
    let here = plan.room_names.iter().filter(|room| room.level == level);
    here.filter_map(|room| Some((room.at, room.outline.as_ref()?))).collect()
}

/// The outlines of rooms: spaces that walls close off, divided by the rooms that are drawn in them,
/// and rooms that are drawn where walls close off nothing.
pub(super) fn divided<'i>(
    spaces: impl Iterator<Item = &'i Polygon<f64>>,
    drawn: &[Drawn<'_>],
) -> Vec<Polygon<f64>> {
    let mut free: Vec<Drawn<'_>> = drawn.to_vec();
    let mut rooms = Vec::new();
    for space in spaces {
        let (within, others): (Vec<_>, Vec<_>) =
            free.into_iter().partition(|(at, _)| space.contains(&Point(*at)));
        free = others;
        rooms.extend(parts(space, &within).unwrap_or_else(|| vec![space.clone()]));
    }
    if !within_bounds(rooms.iter().chain(free.iter().map(|(_, outline)| *outline))) {
        return rooms;
    }
    for (_, outline) in free {
        let whole = MultiPolygon::from(outline.orient(Direction::Default));
        let common = |room: &Polygon<f64>| whole.intersection(room).unsigned_area();
        let taken_m2: f64 = rooms.iter().map(common).sum();
        if taken_m2 <= (1.0 - COVERED) * outline.unsigned_area() {
            let left = whole.difference(&MultiPolygon::from(rooms.clone()));
            rooms.extend(left.into_iter().filter(is_room).take(1));
        }
    }
    rooms
}

fn within_bounds<'p>(outlines: impl Iterator<Item = &'p Polygon<f64>>) -> bool {
    outlines.map(CoordsIter::coords_count).sum::<usize>() <= MAX_CORNERS
}

/// The parts of a space; nothing if the rooms that are drawn in it do not divide it.
fn parts(space: &Polygon<f64>, within: &[Drawn<'_>]) -> Option<Vec<Polygon<f64>>> {
    let outlines = || within.iter().map(|(_, outline)| *outline);
    if within.len() < 2 || !within_bounds(outlines().chain([space])) {
        return None;
    }
    let mut rest = MultiPolygon::from(space.orient(Direction::Default));
    let mut parts = Vec::new();
    for outline in outlines() {
        let outline = MultiPolygon::from(outline.orient(Direction::Default));
        parts.extend(rest.intersection(&outline).into_iter().filter(is_room));
        rest = rest.difference(&outline);
    }
    let covered = rest.unsigned_area() <= (1.0 - COVERED) * space.unsigned_area();
    parts.extend(rest.into_iter().filter(is_room));
    (covered && parts.len() >= 2).then_some(parts)
}

/// Whether a part is more than what is left beside a wall.
fn is_room(part: &Polygon<f64>) -> bool {
    let area_m2 = part.unsigned_area();
    // As wide as a strip of its area and length round about.
    area_m2 >= LEAST_M2 && 2.0 * area_m2 >= SLIVER_M * Euclidean.length(part.exterior())
}
