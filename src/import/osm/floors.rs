//! Names of rooms, flights of stairs, and the floors between levels.

use geo::orient::{Direction, Orient};
use geo::{
    BoundingRect, ConvexHull, Coord, InteriorPoint, Intersects, Line, LineString, MultiPoint,
    MultiPolygon, Polygon, Simplify, Validation, unary_union,
};

use super::cover::{along, length_m};
use super::element::Shape;
use super::notes::{LEFT_OUT, MEASURE, TAKEN};
use super::site::{Part, Site, Thing, millimetre, piece};
use super::walls::middle;
use crate::{FLOOR, What};

/// Most positions of the spaces of a level whose union is worked out; beyond, the floor is the hull
/// around them (our own choice: crossing outlines cost time with the square of this).
const MAX_UNION_POSITIONS: usize = 2_000;
/// Most corners of a floor.
const MAX_FLOOR_CORNERS: usize = 1_000;
/// Most flights that are looked for inside a space (our own choice; it bounds the time).
const MAX_FLIGHTS: usize = 200;
/// How far the steps begin from the ends of the space that they stand in, metres (our own choice).
const LANDING_M: f64 = 0.3;

impl Site<'_> {
    /// Adds the names of rooms.
    pub(super) fn rooms(&mut self) {
        let mut named = Vec::new();
        for (number, area) in self.areas(&[Part::Room, Part::Corridor, Part::Area]) {
            let Some(thing) = self.things.get(number) else {
                continue;
            };
            let Some((name, within)) = thing.tags.called().zip(area.interior_point()) else {
                continue;
            };
            for &level in &thing.levels {
                let at = geo::Point::new(millimetre(within.x()), millimetre(within.y()));
                let mut room = piece(&name, level, at.into(), What::Room);
                room.name = Some(name.clone());
                named.push(room);
            }
        }
        self.pieces.extend(named);
    }

    /// Adds flights of stairs.
    pub(super) fn stairs(&mut self) {
        let things = std::mem::take(&mut self.things);
        for thing in &things {
            let within = matches!(thing.part, Part::Room | Part::Corridor | Part::Area)
                && (thing.tags.is("stairs")
                    || thing.tags.has("room", &["stairs"])
                    || thing.tags.has("highway", &["steps"]));
            // Steps that are drawn inside say better where one walks than the space around them.
            let drawn = |area: &Polygon<f64>| {
                let lines = things.iter().filter(|other| other.part == Part::Steps);
                lines.take(MAX_FLIGHTS).any(|other| {
                    let at = other.shape.positions();
                    let middle = at.get(at.len() / 2).copied().unwrap_or_default();
                    area.intersects(&geo::Point(middle)) && !other.levels.is_disjoint(&thing.levels)
                })
            };
            let better = |shape: &Shape| match shape {
                Shape::Area(areas) => areas.iter().any(drawn),
                _ => false,
            };
            if thing.part == Part::Steps || (within && !better(&thing.shape)) {
                self.flight(thing);
            }
        }
        self.things = things;
    }

    fn flight(&mut self, thing: &Thing) {
        let known: Vec<i32> =
            thing.levels.iter().copied().filter(|level| self.storey(*level).is_some()).collect();
        let line = match &thing.shape {
            Shape::Line(line) => Some(line.clone()),
            Shape::Area(areas) => areas.iter().next().and_then(walked),
            Shape::Node(_) => None,
        };
        let line = line.filter(|line| {
            let rise = line.0.first().zip(line.0.last());
            rise.is_some_and(|(from, to)| length_m(Line::new(*from, *to)) >= 0.1)
        });
        let (Some(line), true) = (line, known.len() >= 2) else {
            self.notes.tell(
                LEFT_OUT,
                thing.about.clone(),
                "was left out: stairs need a line and two levels that the map has",
                "tag them with both levels, as in level=0;1",
            );
            return;
        };
        let down = thing.tags.has("incline", &["down"])
            || thing.tags.get("incline").is_some_and(|up| up.starts_with('-'));
        if matches!(thing.shape, Shape::Area(_)) {
            self.notes.tell(
                TAKEN,
                "stairs drawn as an area",
                "were taken to rise along their longer middle, from left to right",
                "turn their line in the plan, where they rise the other way",
            );
        }
        let line = if down { line.0.into_iter().rev().collect() } else { line };
        for pair in known.windows(2) {
            let &[from, to] = pair else { continue };
            let name = thing.tags.called();
            let mut flight = piece(
                name.as_deref().unwrap_or("stairs"),
                from,
                line.clone().into(),
                What::Stairs { to: Some(to) },
            );
            flight.name = thing.tags.get("name").and(name);
            self.pieces.push(flight);
        }
    }

    /// Adds the floor of every level above the lowest.
    pub(super) fn floors(&mut self) {
        let numbers: Vec<i32> = self.storeys.iter().skip(1).map(|level| level.number).collect();
        for level in numbers {
            let spaces = self.areas(&[Part::Room, Part::Corridor, Part::Area]);
            let mut areas: Vec<Polygon<f64>> = spaces
                .into_iter()
                .filter(|(number, _)| {
                    let thing = self.things.get(*number);
                    thing.is_some_and(|thing| thing.levels.contains(&level))
                })
                .map(|(_, area)| area.clone())
                .collect();
            if areas.is_empty() {
                // Walls alone, or a building of many levels: its outline is all there is.
                let outlines = self.areas(&[Part::Building]);
                areas.extend(outlines.into_iter().map(|(_, area)| area.clone()));
            }
            let (floors, guessed) = union(&areas);
            if guessed {
                self.notes.tell(
                    TAKEN,
                    format!("floor of level {level}"),
                    "was taken as the hull around its rooms: their outlines cross or are too many",
                    "draw the slab in the plan",
                );
            }
            if floors.0.is_empty() {
                self.notes.tell(
                    LEFT_OUT,
                    format!("floor of level {level}"),
                    "was left out: nothing on it has an outline",
                    "draw a slab into the plan",
                );
            }
            for area in floors {
                self.notes.tell(
                    MEASURE,
                    "floors between levels",
                    format!("were taken as {FLOOR}"),
                    "correct \"construction\" of the slabs in the plan",
                );
                let what = What::Slab { construction: FLOOR.to_owned() };
                let id = format!("floor-{level}");
                self.pieces.push(piece(&id, level, area.into(), what));
            }
        }
    }
}

/// The line that a person walks on stairs that fill an area.
fn walked(area: &Polygon<f64>) -> Option<LineString<f64>> {
    let (line, _) = middle(area)?;
    let length = length_m(line);
    let margin = LANDING_M.min(length / 4.0);
    let ends = [margin, length - margin].map(|at_m| {
        let at = along(line, at_m, length);
        Coord { x: millimetre(at.x), y: millimetre(at.y) }
    });
    ends.iter()
        .all(|at| at.x.is_finite() && at.y.is_finite())
        .then(|| LineString::new(ends.to_vec()))
}

/// The union of areas, each part sound as an outline of a plan; and whether one had to be a hull.
fn union(areas: &[Polygon<f64>]) -> (MultiPolygon<f64>, bool) {
    let positions: usize = areas.iter().map(|area| area.exterior().0.len()).sum();
    if positions > MAX_UNION_POSITIONS || !areas.iter().all(Validation::is_valid) {
        let all: Vec<Coord<f64>> =
            areas.iter().flat_map(|area| area.exterior().0.iter().copied()).collect();
        let hull = rounded(&MultiPoint::from(all).convex_hull());
        let floors: Vec<Polygon<f64>> = Some(hull).filter(has_room).into_iter().collect();
        let guessed = !floors.is_empty();
        return (MultiPolygon::new(floors), guessed);
    }
    let mut guessed = false;
    let mut floors = Vec::new();
    // The union goes by the way in which rings run, which files are free in.
    let areas: Vec<Polygon<f64>> =
        areas.iter().map(|area| area.orient(Direction::Default)).collect();
    for part in unary_union(&areas) {
        let part = rounded(&part.simplify(0.01));
        if !has_room(&part) {
            continue;
        }
        let corners = part.exterior().0.len();
        if corners <= MAX_FLOOR_CORNERS && part.interiors().len() <= 50 && part.is_valid() {
            floors.push(part);
        } else {
            guessed = true;
            floors.push(rounded(&part.convex_hull()));
        }
    }
    floors.retain(has_room);
    (MultiPolygon::new(floors), guessed)
}

/// Whether an outline encloses enough to be a floor: a thin sliver between rooms does not.
fn has_room(area: &Polygon<f64>) -> bool {
    use geo::Area;
    area.exterior().0.len() >= 4
        && area.unsigned_area() >= 0.05
        && area
            .bounding_rect()
            .is_some_and(|around| around.width() >= 0.1 && around.height() >= 0.1)
}

fn rounded(area: &Polygon<f64>) -> Polygon<f64> {
    let ring = |ring: &LineString<f64>| -> LineString<f64> {
        let mut points: Vec<Coord<f64>> =
            ring.coords().map(|at| Coord { x: millimetre(at.x), y: millimetre(at.y) }).collect();
        points.dedup();
        LineString::new(points)
    };
    let holes = area.interiors().iter().map(ring);
    let holes = holes.filter(|hole| has_room(&Polygon::new(hole.clone(), Vec::new())));
    Polygon::new(ring(area.exterior()), holes.collect())
}
