//! Walls: drawn ones, the sides of rooms, and the outline of the building where neither is.

use geo::{
    Area, Contains, Coord, CoordsIter, Distance, Euclidean, Line, LineString, LinesIter, Point,
    Polygon,
};

use super::Bad;
use super::element::{Shape, Tags, middle};
use super::faces::{Faces, SAME_FACE_M};
use super::map::{IndoorMap, Part, Run, SPACES, Thing, areas, index};
use super::materials::{Place, construction};
use super::notes::{LEFT_OUT, TAKEN};
use crate::line::{length, line_to_millimetre, millimetre, to_millimetre};
use crate::{MAX_PIECES, Outline, Piece, Side, What, sides};

/// Corners that are nearer than this are one, metres: as far as an opening may lie off its wall.
const TOLERANCE_M: f64 = 0.05;
const SHORTEST_M: f64 = 0.02;
/// How far from a drawn wall a room's side may run and still be that wall, metres (our own choice).
const SAME_WALL_M: f64 = 0.25;
/// Shortest stretch of the building's outline that is a wall of its own, metres: what is shorter is
/// the corner of a thick wall (our own choice).
const STRETCH_M: f64 = SAME_FACE_M + 0.01;
/// Thickest strip that is a wall, metres, and how many times longer it is (our own choice).
const STRIP_M: (f64, f64) = (1.0, 2.0);
const MAX_BUILDING_POSITIONS: usize = 5_000;

struct Wall<'w> {
    id: &'w str,
    level: i32,
    points: Vec<Coord<f64>>,
    place: Place,
    thickness_m: Option<f64>,
    tags: Vec<&'w Tags>,
}

/// Whether a place is near the outline of a building, or outside all; nothing without any.
fn outside(buildings: &[Polygon<f64>], at: Coord<f64>) -> Option<bool> {
    let at = Point(at);
    let deep = buildings.iter().any(|building| {
        let mut rings = std::iter::once(building.exterior()).chain(building.interiors());
        building.contains(&at) && rings.all(|ring| Euclidean.distance(&at, ring) > SAME_FACE_M)
    });
    (!buildings.is_empty()).then_some(!deep)
}

impl IndoorMap<'_> {
    pub(super) fn walls(&mut self, things: &[Thing]) -> Result<(), Bad> {
        let buildings = self.buildings(things);
        for thing in things.iter().filter(|thing| thing.part == Part::Wall) {
            for &level in &thing.levels {
                for (points, thickness_m) in drawn(&thing.shape) {
                    let middle = points.get(points.len() / 2).copied().unwrap_or_default();
                    // Without a building's outline nobody knows; inside is the commoner case.
                    let outside = outside(&buildings, middle).unwrap_or(false);
                    self.wall(Wall {
                        id: thing.tags.get("name").unwrap_or_default(),
                        level,
                        points,
                        place: if outside { Place::Outside } else { Place::Inside },
                        thickness_m,
                        tags: vec![&thing.tags],
                    })?;
                }
            }
        }
        let drawn = self.runs.len();
        self.sides_of_rooms(things, &buildings)?;
        self.building_outlines(things)?;
        self.close_gaps(drawn);
        Ok(())
    }

    fn buildings(&mut self, things: &[Thing]) -> Vec<Polygon<f64>> {
        let buildings = areas(things, &[Part::Building]).into_iter();
        let mut all: Vec<Polygon<f64>> = buildings.map(|(_, area)| area.clone()).collect();
        if all.iter().map(CoordsIter::coords_count).sum::<usize>() > MAX_BUILDING_POSITIONS {
            let taken =
                format!("were left out: they have more than {MAX_BUILDING_POSITIONS} corners");
            self.notes.tell(LEFT_OUT, "outlines of buildings", taken, "export one building");
            all.clear();
        }
        all
    }

    fn sides_of_rooms(&mut self, things: &[Thing], buildings: &[Polygon<f64>]) -> Result<(), Bad> {
        let mut outlines = Vec::new();
        let mut owners = Vec::new();
        for (thing, area) in areas(things, &SPACES) {
            if area.unsigned_area() < 0.01 {
                let about = thing.about.clone();
                let taken = "was left out: its outline encloses no area";
                self.notes.tell(LEFT_OUT, about, taken, "fix it in a map editor");
                continue;
            }
            for &level in &thing.levels {
                outlines.push(Outline { level, area: area.clone() });
                owners.push(thing);
            }
        }
        let index = index(&self.runs);
        let sides = sides(&outlines, TOLERANCE_M);
        if sides.len() > 4 * MAX_PIECES {
            return Err(Bad::whole("the rooms have too many corners", "simplify the map"));
        }
        let walled = |side: &Side| {
            let has = |part: Part| side.owners.iter().any(|owner| owners[*owner].part == part);
            has(Part::Room) || (side.owners.len() == 1 && has(Part::Corridor))
        };
        let faces = Faces::of(&sides, &outlines);
        for (number, side) in sides.iter().enumerate() {
            let of: Vec<_> = side.owners.iter().map(|owner| owners[*owner]).collect();
            if !walled(side) {
                let of = if of.len() == 1 { "of areas" } else { "between corridors and areas" };
                let taken = "were taken as open where no other wall is drawn";
                let fix = "draw indoor=wall where there is a wall";
                self.notes.tell(TAKEN, format!("sides {of}"), taken, fix);
                continue;
            }
            for stretch in faces.stretches(number, &walled) {
                let middle = (stretch.line.start + stretch.line.end) / 2.0;
                let faced = stretch.gap_m.is_some();
                let is_alone = of.len() == 1 && !faced;
                let outside = is_alone && outside(buildings, middle).unwrap_or(true);
                if faced {
                    let taken = "were taken to share one wall, on the face of the first";
                    let fix = "if 0.1 m matters, draw them to the middle of their walls";
                    self.notes.tell(TAKEN, "rooms drawn to the faces of their walls", taken, fix);
                }
                // What the building says of its outside goes before what a room says of its walls.
                let houses = things.iter().filter(|thing| thing.part == Part::Building);
                let house = houses.map(|house| &house.tags).take(usize::from(outside));
                let tags: Vec<&Tags> = house.chain(of.iter().map(|owner| &owner.tags)).collect();
                let line = line_to_millimetre(stretch.line);
                if length(line) < SHORTEST_M {
                    continue;
                }
                for bare in index.bare(line, side.level, (SAME_WALL_M, 0.1)) {
                    self.wall(Wall {
                        id: "",
                        level: side.level,
                        points: vec![bare.start, bare.end],
                        place: if outside { Place::Outside } else { Place::Inside },
                        thickness_m: stretch.gap_m,
                        tags: tags.clone(),
                    })?;
                }
            }
        }
        Ok(())
    }

    /// The building's outline where nothing else bounds it.
    fn building_outlines(&mut self, things: &[Thing]) -> Result<(), Bad> {
        let index = index(&self.runs);
        let numbers: Vec<i32> = self.storeys.iter().map(|level| level.number).collect();
        for thing in things.iter().filter(|thing| thing.part == Part::Building) {
            let Shape::Area(areas) = &thing.shape else { continue };
            let limit = |keys: [&str; 2]| keys.iter().find_map(|key| thing.tags.metres(key));
            let low = limit(["min_level", "building:min_level"]);
            let high = limit(["max_level", "building:max_level"]);
            let lines = areas.lines_iter().filter(|line| length(*line) >= SHORTEST_M);
            let lines: Vec<Line<f64>> = lines.collect();
            if lines.len() > MAX_BUILDING_POSITIONS {
                continue;
            }
            for &level in &numbers {
                let at = f64::from(level);
                if low.is_some_and(|low| at < low) || high.is_some_and(|high| at > high) {
                    continue;
                }
                for line in &lines {
                    for stretch in index.bare(*line, level, (SAME_FACE_M, STRETCH_M)) {
                        self.wall(Wall {
                            id: "",
                            level,
                            points: vec![stretch.start, stretch.end],
                            place: Place::Outside,
                            thickness_m: None,
                            tags: vec![&thing.tags],
                        })?;
                    }
                }
            }
        }
        Ok(())
    }

    /// Adds one wall, and what of it is straight to the runs.
    fn wall(&mut self, wall: Wall<'_>) -> Result<(), Bad> {
        let mut points: Vec<Coord<f64>> = Vec::with_capacity(wall.points.len());
        for point in wall.points.into_iter().map(to_millimetre) {
            let far = |last: &Coord<f64>| length(Line::new(*last, point)) >= SHORTEST_M;
            if points.last().is_none_or(far) {
                points.push(point);
            }
        }
        let Some(storey) = self.storey(wall.level).filter(|_| points.len() >= 2) else {
            return Ok(());
        };
        let (floor_m, ceiling_m) = (storey.floor_m, storey.ceiling_m);
        // The height of a wall that is drawn is its own; that of a room is its storey's.
        let own = wall.tags.first().filter(|tags| tags.has("indoor", &["wall"]));
        let height = |key: &str| {
            let height_m = floor_m + own?.metres(key)?;
            (height_m > floor_m + 0.05 && height_m < ceiling_m - 0.05).then(|| millimetre(height_m))
        };
        let (base_m, top_m) = (height("min_height"), height("height"));
        let base_m = base_m.filter(|base_m| *base_m < top_m.unwrap_or(ceiling_m) - 0.05);
        let tags = wall.tags;
        let Some(construction) = construction(&tags, wall.place, self.settings, &mut self.notes)
        else {
            return Ok(());
        };
        let line = LineString::new(points);
        let piece = self.pieces.len();
        self.runs.extend(line.lines().map(|line| Run {
            level: wall.level,
            line,
            outside: wall.place == Place::Outside,
            gap_m: wall.thickness_m.unwrap_or(0.0),
            piece,
            base_m: base_m.unwrap_or(floor_m),
            top_m: top_m.unwrap_or(ceiling_m),
        }));
        let what = What::Wall {
            construction,
            thickness_mm: wall.thickness_m.map(|thick| (thick * 1_000.0).round()),
            base_m,
            top_m,
        };
        if self.runs.len() > 4 * MAX_PIECES {
            return Err(Bad::whole("the walls have too many corners", "simplify the map"));
        }
        self.add(Piece::new(wall.id, wall.level, line, what))
    }
}

/// The centre lines of a drawn wall, each with its thickness in metres where it shows one.
fn drawn(shape: &Shape) -> Vec<(Vec<Coord<f64>>, Option<f64>)> {
    match shape {
        Shape::Node(_) => Vec::new(),
        Shape::Line(line) => vec![(line.0.clone(), None)],
        Shape::Area(areas) => areas
            .iter()
            .flat_map(|area| match strip(area) {
                Some((line, thick)) if area.interiors().is_empty() => {
                    vec![(vec![line.start, line.end], Some(thick))]
                }
                _ => std::iter::once(area.exterior())
                    .chain(area.interiors())
                    .map(|ring| (ring.0.clone(), None))
                    .collect(),
            })
            .collect(),
    }
}

/// The centre line and thickness of an outline that is a strip.
fn strip(area: &Polygon<f64>) -> Option<(Line<f64>, f64)> {
    let (line, thick) = middle(area)?;
    let (long, full) = (length(line), area.unsigned_area());
    let is_strip = (0.005..=STRIP_M.0).contains(&thick)
        && long >= STRIP_M.1 * thick
        && full >= 0.85 * long * thick;
    is_strip.then_some((line, thick))
}
