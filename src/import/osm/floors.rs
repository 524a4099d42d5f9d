//! Names of rooms, flights of stairs, and the floors between levels.

use geo::{InteriorPoint, Intersects, Line, LineString, Point, Polygon};

use super::element::{Shape, middle};
use super::map::{IndoorMap, Part, SPACES, Thing, areas};
use super::notes::{LEFT_OUT, MEASURE, TAKEN};
use crate::areas::{drawn_or_at, floors};
use crate::line::{along, length, line_to_millimetre};
use crate::{FLOOR, Piece, What};

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
            let (floors, guessed) = floors(&outlines);
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
