//! From elements to an indoor map in metres: what each stands for, on which levels, and the draft
//! of it.

use std::collections::BTreeSet;

use geo::{BoundingRect, Coord, Intersects, Line, MultiPoint, Polygon, Rect};

use super::cover::Index;
use super::element::{Element, Shape, Tags};
use super::levels::{Heights, Levels, levels};
use super::notes::{LEFT_OUT, Notes, TAKEN};
use super::{Bad, MAX_ELEMENTS, MAX_POSITIONS};
use crate::line::to_millimetre;
use crate::{Draft, LocalFrame, Piece, Settings};
use plan::{Level, MAX_EXTENT_M, MAX_FEATURES, quoted};

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Part {
    /// A room: walls around it.
    Room,
    /// A corridor: walls against rooms and the outside.
    Corridor,
    Area,
    Wall,
    Door,
    Window,
    Building,
    /// A flight of stairs that is no space of its own.
    Steps,
    Level,
}

pub(super) struct Thing {
    pub(super) part: Part,
    pub(super) about: String,
    pub(super) tags: Tags,
    pub(super) shape: Shape,
    /// Levels, ascending; none where the tags name none.
    pub(super) levels: BTreeSet<i32>,
}

/// What becomes of an indoor map while the draft is made.
pub(super) struct IndoorMap<'s> {
    pub(super) settings: &'s Settings,
    pub(super) notes: Notes,
    pub(super) storeys: Vec<Level>,
    pub(super) pieces: Vec<Piece>,
    pub(super) runs: Vec<Run>,
}

/// A straight stretch of wall that is in the draft.
#[derive(Clone, Copy, PartialEq)]
pub(super) struct Run {
    pub(super) level: i32,
    pub(super) line: Line<f64>,
    pub(super) outside: bool,
    /// How far off its other face was drawn, metres; 0 where it was drawn as a line.
    pub(super) gap_m: f64,
    pub(super) piece: usize,
    /// Lower and upper edge above the plan's zero, metres.
    pub(super) base_m: f64,
    pub(super) top_m: f64,
}

pub(super) fn index(runs: &[Run]) -> Index {
    Index::of(runs.iter().map(|run| (run.level, run.line)))
}

pub(super) fn draft(
    mut elements: Vec<Element>,
    mut notes: Notes,
    settings: &Settings,
) -> Result<Draft, Bad> {
    // Both forms hold elements in orders of their own; the draft has but one.
    elements.sort_by_key(Element::order);
    let elements = elements.into_iter();
    let used = elements.filter_map(|element| Some((part(&element, &mut notes)?, element)));
    let used: Vec<(Part, Element)> = used.collect();
    let mut things = in_metres(used, &mut notes)?;
    let storeys = storeys(&mut things, &mut notes);
    let mut map = IndoorMap { settings, notes, storeys, pieces: Vec::new(), runs: Vec::new() };
    map.walls(&things)?;
    map.openings(&things);
    map.rooms(&things);
    map.stairs(&things);
    map.floors(&things);
    let positions = |piece: &Piece| match &piece.shape {
        geo::Geometry::LineString(line) => line.0.len(),
        geo::Geometry::Polygon(area) => area.exterior().0.len() + area.interiors().len() * 4,
        _ => 2,
    };
    if map.pieces.iter().map(positions).sum::<usize>() > plan::MAX_POSITIONS {
        return Err(Bad::whole("the map has too many positions for a plan", EXPORT_LESS));
    }
    let (levels, pieces, guesses) = (map.storeys, map.pieces, map.notes.guesses());
    Ok(Draft { levels, pieces, guesses, ..Draft::default() })
}

const EXPORT_LESS: &str = "export the building alone, without its surroundings";

/// What an element is to us; nothing for what is not read.
fn part(element: &Element, notes: &mut Notes) -> Option<Part> {
    let tags = &element.tags;
    let is_area = matches!(element.shape, Shape::Area(_));
    let indoor = tags.get("indoor").unwrap_or_default();
    let (what, why) = match indoor {
        "wall" if matches!(element.shape, Shape::Node(_)) => (
            "indoor=wall",
            "a point is not a \
                                                                              wall",
        ),
        "wall" => return Some(Part::Wall),
        "room" if is_area => return Some(Part::Room),
        "corridor" if is_area => return Some(Part::Corridor),
        "area" if is_area => return Some(Part::Area),
        "room" | "corridor" | "area" => (&*format!("indoor={indoor}"), "its outline is not closed"),
        "level" => return Some(Part::Level),
        "door" => return Some(Part::Door),
        "window" => return Some(Part::Window),
        "column" => ("indoor=column", "columns are not read"),
        _ if tags.get("door").is_some() || tags.is("entrance") => return Some(Part::Door),
        _ if tags.is("window") => return Some(Part::Window),
        _ if tags.has("highway", &["elevator"]) => ("highway=elevator", "elevators are not read"),
        _ if tags.has("highway", &["steps"]) => return Some(Part::Steps),
        _ if is_area && tags.is("room") => return Some(Part::Room),
        _ if is_area && tags.is("building") => return Some(Part::Building),
        _ if tags.is("building:part") => ("building:part", "only whole buildings are read"),
        "" | "yes" | "no" => return None,
        other => (&*format!("indoor={}", quoted(other)), "this kind of space is not known"),
    };
    let fix = "draw it in the plan if it matters";
    notes.tell(LEFT_OUT, what, format!("was left out: {why}"), fix);
    None
}

fn around(positions: impl Iterator<Item = Coord<f64>>) -> Option<Rect<f64>> {
    MultiPoint::from_iter(positions).bounding_rect()
}

pub(super) const SPACES: [Part; 3] = [Part::Room, Part::Corridor, Part::Area];
const INDOORS: [Part; 4] = [Part::Room, Part::Corridor, Part::Area, Part::Wall];
/// How far from what is indoors something belongs to it: degrees, some 10 m (our own choice).
const BESIDE_DEG: f64 = 1e-4;

/// What is used in metres, with its levels. A map often holds the buildings around as well: what
/// lies apart from everything indoors is no part of the site.
fn in_metres(mut used: Vec<(Part, Element)>, notes: &mut Notes) -> Result<Vec<Thing>, Bad> {
    let any_space = used.iter().any(|(part, _)| INDOORS.contains(part));
    let core = |part: Part| {
        if any_space { INDOORS.contains(&part) } else { part == Part::Building }
    };
    let first = used.iter().find(|(part, _)| core(*part));
    let Some(middle) = first.and_then(|(_, element)| element.shape.positions().first().copied())
    else {
        let what = "the map holds no building: no indoor room, corridor, area or wall, and no \
                    outline";
        let fix = "export a building with tags such as indoor=room and indoor=wall";
        return Err(Bad::whole(what, fix));
    };
    // On the far side of the 180th meridian longitudes go on counting.
    let onward =
        |at: Coord<f64>| Coord { x: at.x - 360.0 * ((at.x - middle.x) / 360.0).round(), y: at.y };
    for (_, element) in &mut used {
        element.shape = element.shape.map(onward);
    }
    let within = used.iter().filter(|(part, _)| core(*part));
    let Some(core_box) = around(within.flat_map(|(_, element)| element.shape.positions())) else {
        return Err(Bad::whole("the map holds no positions", EXPORT_LESS));
    };
    let beside = Coord { x: BESIDE_DEG, y: BESIDE_DEG };
    let core_around = Rect::new(core_box.min() - beside, core_box.max() + beside);
    let (kept, apart): (Vec<_>, Vec<_>) = used.into_iter().partition(|(part, element)| {
        let own = around(element.shape.positions().into_iter());
        core(*part) || own.is_some_and(|own| own.intersects(&core_around))
    });
    for (part, _) in apart {
        if part == Part::Building {
            let taken = "were left out: nothing is mapped inside them";
            notes.tell(LEFT_OUT, "other buildings", taken, "export one building at a time");
        }
    }
    let all = kept.iter().flat_map(|(_, element)| element.shape.positions());
    let corner = around(all).unwrap_or(core_box).min();
    let frame = LocalFrame::at(corner.x, corner.y);
    // To the millimetre, as the plan is written: what is sound here is sound there.
    let local = |at: Coord<f64>| to_millimetre(frame.local(at.x, at.y));
    let (mut things, mut budget) = (Vec::new(), 0_usize);
    for (part, element) in kept {
        let Levels { numbers, halves, unread } = levels(&element.tags);
        if halves > 0 {
            let fix = "move what is on them in the plan";
            notes.tell(TAKEN, "half levels", "were rounded down", fix);
        }
        if unread > 0 {
            let taken = "was left out on a level that is not a number from −20 to 80";
            let fix = "tag it with level=0 for the ground floor, 1 for the next above";
            notes.tell(LEFT_OUT, element.about(), taken, fix);
            if numbers.is_empty() {
                continue;
            }
        }
        let shape = element.shape.map(local);
        budget += shape.positions().len() * numbers.len().max(1);
        if budget > 2 * MAX_POSITIONS || things.len() > MAX_ELEMENTS {
            return Err(Bad::whole("the map is too large", EXPORT_LESS));
        }
        let (about, tags) = (element.about(), element.tags);
        things.push(Thing { part, about, tags, shape, levels: numbers });
    }
    let all = around(things.iter().flat_map(|thing| thing.shape.positions()));
    if all.is_some_and(|all| !(all.width() <= MAX_EXTENT_M && all.height() <= MAX_EXTENT_M)) {
        let what = format!("what the map has indoors is more than {MAX_EXTENT_M} m across");
        return Err(Bad::whole(what, EXPORT_LESS));
    }
    Ok(things)
}

/// Works out the storeys, and gives what names no level the lowest that is used, or level 0.
fn storeys(things: &mut [Thing], notes: &mut Notes) -> Vec<Level> {
    let mut numbers = BTreeSet::new();
    let mut heights = Heights::default();
    for thing in &*things {
        match thing.part {
            part if INDOORS.contains(&part) => {
                numbers.extend(&thing.levels);
                // A hall through two storeys says nothing about the height of either.
                if let (true, Some(&only)) = (thing.levels.len() == 1, thing.levels.first())
                    && part != Part::Wall
                {
                    heights.room(only, &thing.tags);
                }
            }
            Part::Level => {
                for level in &thing.levels {
                    heights.room(*level, &thing.tags);
                    if let Some(name) = thing.tags.get("name") {
                        let name = name.chars().filter(|c| !c.is_control()).take(80).collect();
                        heights.names.insert(*level, name);
                    }
                }
            }
            Part::Building => heights.building(&thing.tags),
            _ => {}
        }
    }
    if numbers.is_empty() {
        let storeys = things.iter().filter(|thing| thing.part == Part::Building);
        let storeys = storeys.filter_map(|thing| thing.tags.metres("building:levels"));
        let most = storeys.fold(1.0, f64::max);
        numbers = (0..=80).filter(|level| f64::from(*level) < most).collect();
    }
    let fallback = if numbers.contains(&0) { 0 } else { numbers.first().copied().unwrap_or(0) };
    for thing in things {
        if INDOORS.contains(&thing.part) && thing.levels.is_empty() {
            thing.levels.insert(fallback);
            numbers.insert(fallback);
            let taken = format!("were put on level {fallback}");
            notes.tell(TAKEN, "rooms and walls without a level", taken, "tag them with level");
        }
    }
    heights.stack(&numbers, notes)
}

impl IndoorMap<'_> {
    pub(super) fn storey(&self, number: i32) -> Option<&Level> {
        self.storeys.iter().find(|level| level.number == number)
    }

    /// Adds a piece; a fault if there are more than a plan holds.
    pub(super) fn add(&mut self, piece: Piece) -> Result<(), Bad> {
        if self.pieces.len() >= MAX_FEATURES {
            let what = format!("the map gives more than {MAX_FEATURES} walls and other pieces");
            return Err(Bad::whole(what, EXPORT_LESS));
        }
        self.pieces.push(piece);
        Ok(())
    }
}

pub(super) fn areas<'t>(
    things: &'t [Thing],
    wanted: &[Part],
) -> Vec<(&'t Thing, &'t Polygon<f64>)> {
    let things = things.iter().filter(|thing| wanted.contains(&thing.part));
    let areas = things.filter_map(|thing| match &thing.shape {
        Shape::Area(areas) => Some(areas.iter().map(move |area| (thing, area))),
        _ => None,
    });
    areas.flatten().collect()
}
