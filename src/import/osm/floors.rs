//! Names of rooms, flights of stairs, and the floors between levels.

use geo::orient::{Direction, Orient};
use geo::{
    Area, BoundingRect, ConvexHull, Coord, CoordsIter, InteriorPoint, Intersects, Line, LineString,
    MultiPoint, Point, Polygon, Simplify, Validation, unary_union,
};

use super::element::{Shape, middle};
use super::map::{IndoorMap, Part, SPACES, Thing, areas};
use super::notes::{LEFT_OUT, MEASURE, TAKEN};
use crate::areas::drawn_or_at;
use crate::line::{along, length, line_to_millimetre, to_millimetre};
use crate::{FLOOR, Piece, What};

/// Most positions of the spaces of a level whose union is worked out; beyond, the floor is the hull
/// around them (our own choice: crossing outlines cost time with the square of this).
const MAX_UNION_POSITIONS: usize = 2_000;
const MAX_FLOOR_CORNERS: usize = 1_000;
/// Most flights that are looked for inside a space (our own choice; it bounds the time).
const MAX_FLIGHTS: usize = 200;
/// How far the steps begin from the ends of the space that they stand in, metres (our own choice).
const LANDING_M: f64 = 0.3;

impl IndoorMap<'_> {
    pub(super) fn rooms(&mut self, things: &[Thing]) {
        for (thing, area) in areas(things, &SPACES) {
            let Some((name, within)) = thing.tags.called().zip(area.interior_point()) else {
                continue;
            };
            let shape = drawn_or_at(area, within);
            let room = |level| {
                Piece::new(&name, level, shape.clone(), What::Room).named(Some(name.clone()))
            };
            self.pieces.extend(thing.levels.iter().map(|level| room(*level)));
        }
    }

    pub(super) fn stairs(&mut self, things: &[Thing]) {
        for thing in things {
            let within = SPACES.contains(&thing.part)
                && (thing.tags.is("stairs")
                    || thing.tags.has("room", &["stairs"])
                    || thing.tags.has("highway", &["steps"]));
            // Steps that are drawn inside say better where one walks than the space around them.
            let drawn = |area: &Polygon<f64>| {
                let lines = things.iter().filter(|other| other.part == Part::Steps);
                lines.take(MAX_FLIGHTS).any(|other| {
                    let at = other.shape.positions();
                    let middle = at.get(at.len() / 2).copied().unwrap_or_default();
                    area.intersects(&Point(middle)) && !other.levels.is_disjoint(&thing.levels)
                })
            };
            let better = || matches!(&thing.shape, Shape::Area(areas) if areas.iter().any(drawn));
            if thing.part == Part::Steps || (within && !better()) {
                self.flight(thing);
            }
        }
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
            rise.is_some_and(|(from, to)| length(Line::new(*from, *to)) >= 0.1)
        });
        let (Some(line), true) = (line, known.len() >= 2) else {
            let about = thing.about.clone();
            let taken = "was left out: stairs need a line and two levels of the map";
            self.notes.tell(LEFT_OUT, about, taken, "tag them with both levels: level=0;1");
            return;
        };
        let down = thing.tags.has("incline", &["down"])
            || thing.tags.get("incline").is_some_and(|up| up.starts_with('-'));
        if matches!(thing.shape, Shape::Area(_)) {
            let taken = "were taken to rise along their length, from left to right";
            let fix = "reverse their line in the plan if they rise the other way";
            self.notes.tell(TAKEN, "stairs drawn as an area", taken, fix);
        }
        let line = if down { line.0.into_iter().rev().collect() } else { line };
        for pair in known.windows(2) {
            let &[from, to] = pair else { continue };
            let name = thing.tags.called();
            let (id, what) = (name.as_deref().unwrap_or("stairs"), What::Stairs { to: Some(to) });
            let flight = Piece::new(id, from, line.clone(), what);
            self.pieces.push(flight.named(thing.tags.get("name").and(name)));
        }
    }

    pub(super) fn floors(&mut self, things: &[Thing]) {
        let numbers: Vec<i32> = self.storeys.iter().skip(1).map(|level| level.number).collect();
        for level in numbers {
            let spaces = areas(things, &SPACES).into_iter();
            let spaces = spaces.filter(|(thing, _)| thing.levels.contains(&level));
            let mut outlines: Vec<Polygon<f64>> = spaces.map(|(_, area)| area.clone()).collect();
            if outlines.is_empty() {
                // Walls alone, or a building of many levels: its outline is all there is.
                let buildings = areas(things, &[Part::Building]).into_iter();
                outlines.extend(buildings.map(|(_, area)| area.clone()));
            }
            let (floors, guessed) = union(&outlines);
            let about = format!("floor of level {level}");
            if guessed {
                let taken = "was taken as the hull of its rooms, because their outlines cross or are too \
                     many";
                self.notes.tell(TAKEN, about.as_str(), taken, "draw the slab in the plan");
            }
            if floors.is_empty() {
                let taken = "was left out: nothing on it has an outline";
                self.notes.tell(LEFT_OUT, about, taken, "draw the slab in the plan");
            }
            for area in floors {
                let about = "floors between levels";
                let fix = "correct \"construction\" of the slabs in the plan";
                self.notes.tell(MEASURE, about, format!("were taken as {FLOOR}"), fix);
                let what = What::Slab { construction: FLOOR.to_owned() };
                self.pieces.push(Piece::new(format!("floor-{level}"), level, area, what));
            }
        }
    }
}

/// The line that a person walks on stairs that fill an area.
fn walked(area: &Polygon<f64>) -> Option<LineString<f64>> {
    let (line, _) = middle(area)?;
    let long = length(line);
    let margin = LANDING_M.min(long / 4.0);
    let walked = line_to_millimetre(Line::new(along(line, margin), along(line, long - margin)));
    let numbers = [walked.start.x, walked.start.y, walked.end.x, walked.end.y];
    numbers.iter().all(|at| at.is_finite()).then(|| walked.into())
}

/// The union of areas, each part sound as an outline of a plan; and whether one had to be a hull.
fn union(areas: &[Polygon<f64>]) -> (Vec<Polygon<f64>>, bool) {
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
