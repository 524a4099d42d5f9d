//! Open indoor maps: `OpenStreetMap`'s Simple Indoor Tagging, as `GeoJSON` and as OSM XML.
//!
//! Source: `OpenStreetMap` wiki, pages Simple Indoor Tagging, `Key:level` and `Key:repeat_on`
//! (which confirm the levels, lists and ranges below, and `min_level` and `max_level` of a
//! building) and the data item of `indoor=wall` (a wall that one cannot pass). What else is said of
//! the schema is from memory and not confirmed; it says so at its place.
//!
//! What becomes what:
//! - `indoor=room` and `corridor` are surrounded by walls, each wall once ([`super::sides`]);
//!   between two corridors, or a corridor and an `area`, there is none, and an `area` brings none.
//!   (A wiki page on tagging for one viewer says that corridors have no walls of their own; that
//!   their ends are closed where nothing else is mapped is our own choice.) A side with one owner
//!   is an outside wall, unless the building's outline lies farther off than 0.6 m. Two sides of
//!   different owners that run along one another within 0.6 m, with nothing between, are the faces
//!   of one wall: it stands on the first, as thick as the gap, and ends of walls that meet nothing
//!   are drawn out over such a gap.
//! - `indoor=wall` as a line is a wall. As an area it is a wall along its longer middle if it is a
//!   strip up to a metre thick and at least twice as long, else walls along its outline. A room's
//!   side within 0.25 m of it gives way to it.
//! - The outline of a `building` is outside wall wherever no other wall runs along it within 0.6 m,
//!   on every level of the map between its `min_level` and `max_level`.
//! - `door`, `entrance` and `window` nodes that lie on a wall, and lines along one, are openings.
//!   An entrance may lie 0.6 m off, for it is often drawn on the building's outline.
//! - A name, number or use of a room names it. `height` of rooms or of an `indoor=level`, or of the
//!   building with its `building:levels`, gives the storeys.
//! - `highway=steps` lines, and areas with `stairs=yes` or `room=stairs`, that name two levels or
//!   more are flights of stairs. Every level above the lowest has a floor: the union of its spaces.
//!
//! Not read, and reported where met: elevators, columns, `building:part`, relations other than
//! `type=multipolygon`, `GeometryCollection`, ways of which nodes are missing, ramps, furniture.
//! Not read and not reported: everything without one of the tags above, `bounds`, what an editor
//! marked with `action=delete`. Levels beyond −20 to 80 are left out. The schema's `level:ref`,
//! `door` kinds, `min_height` of rooms and `roof` tags are not used.

mod cover;
mod element;
mod faces;
mod floors;
mod gaps;
mod geojson;
mod levels;
mod map;
mod materials;
mod notes;
mod openings;
mod rings;
mod walls;
mod xml;

pub use materials::all as constructions_of_materials;

use geo::Coord;

use super::{Draft, Settings};
use crate::guess::decoded;
use plan::{Diagnostic, place_of_byte};

/// Most nodes, ways and relations of OSM XML, as many as features of a `GeoJSON`.
const MAX_ELEMENTS: usize = crate::collection::MAX_FEATURES;
/// Most positions of all of them.
const MAX_POSITIONS: usize = 200_000;

/// A map as `GeoJSON`. `name` is the file's.
///
/// # Errors
/// One fault: the file is not `GeoJSON`, is a plan already, is too large, or holds no building.
pub fn draft_geojson(
    name: &str,
    bytes: &[u8],
    settings: &Settings,
) -> Result<Draft, Vec<Diagnostic>> {
    let (text, doubt) = decoded(name, bytes)?;
    let elements = geojson::read(&text);
    let draft = elements.and_then(|all| map::draft(all, notes::Notes::default(), settings));
    let mut draft = draft.map_err(|bad| bad.faults(name))?;
    draft.guesses.extend(doubt);
    Ok(draft)
}

/// A map as OSM XML. `name` is the file's.
///
/// # Errors
/// One fault: the file is not OSM XML in UTF-8, declares entities, is too large, or holds no
/// building.
pub fn draft_xml(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Diagnostic>> {
    let mut notes = notes::Notes::default();
    let elements = xml::read(bytes, &mut notes);
    let draft = elements.and_then(|all| map::draft(all, notes, settings));
    draft.map_err(|bad| bad.faults(name))
}

/// What is wrong with a file, before its name is known.
struct Bad(Diagnostic);

impl Bad {
    fn whole(what: impl Into<String>, fix: &str) -> Self {
        Self(Diagnostic::at("", (0, 0), what, fix))
    }

    fn put(mut self, place: (usize, usize)) -> Self {
        (self.0.line, self.0.column) = place;
        self
    }

    /// Moves it below the place at which the text that it was found in begins.
    fn below(self, (line, column): (usize, usize)) -> Self {
        let place = match self.0.line {
            0 => (line, column),
            1 => (line, (column + self.0.column).saturating_sub(1)),
            own => (line + own - 1, self.0.column),
        };
        self.put(place)
    }

    fn of(mut self, id: &str) -> Self {
        self.0.feature = (!id.is_empty()).then(|| plan::tame(id));
        self
    }

    fn faults(self, name: &str) -> Vec<Diagnostic> {
        vec![Diagnostic { file: name.to_owned(), ..self.0 }]
    }
}

/// The text of a file, without a mark of its byte order.
fn utf8(bytes: &[u8]) -> Result<&str, Bad> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let before = String::from_utf8_lossy(&bytes[..error.valid_up_to()]);
        let bad = Bad::whole("the file is not UTF-8 text", "save it as UTF-8");
        bad.put(place_of_byte(&before, before.len()))
    })?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text))
}

/// A longitude and latitude, if they are such.
fn checked_place(longitude: Option<f64>, latitude: Option<f64>) -> Result<Coord<f64>, Bad> {
    let within = |value: Option<f64>, limit: f64| value.filter(|value| value.abs() <= limit);
    match (within(longitude, 180.0), within(latitude, 90.0)) {
        (Some(x), Some(y)) => Ok(Coord { x, y }),
        _ => {
            let fix = "export the map in WGS 84: longitude −180 to 180, latitude −90 to 90";
            Err(Bad::whole("a position is not a longitude and latitude", fix))
        }
    }
}
