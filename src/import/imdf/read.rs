//! From the members of an archive to its features.

use std::collections::BTreeMap;

use geo::Polygon;

use super::archive::Archive;
use super::categories::{Leaf, Matter, Space, leaf, room_name, space};
use super::member::{Feature, Member};
use super::notes::{Notes, Why};
use super::venue::{Floor, MAX_CORNERS, Opening, Unit, Venue};
use crate::whole_file;
use plan::Diagnostic;

/// Highest and lowest storey that is believed (our own choice: the highest house has fewer).
const MOST_STOREYS: f64 = 300.0;

/// What is read while levels are known by their ids.
struct Reader<'a, 'b> {
    archive: &'a mut Archive<'b>,
    notes: &'a mut Notes,
    /// Index of each level that is read, by its id; nothing for one under the sky.
    by_id: BTreeMap<String, Option<usize>>,
    venue: Venue,
}

impl Venue {
    /// Reads an archive, in degrees; or everything that is ill-formed in it.
    pub(super) fn read(
        archive: &mut Archive<'_>,
        notes: &mut Notes,
    ) -> Result<Self, Vec<Diagnostic>> {
        let file = archive.place("");
        let file = file.trim_end_matches('/').to_owned();
        let mut reader = Reader { archive, notes, by_id: BTreeMap::new(), venue: Self::default() };
        reader.venue();
        reader.floors();
        reader.units();
        reader.fixtures();
        reader.openings();
        reader.unread();
        let venue = reader.venue;
        std::mem::take(&mut notes.faults).finish()?;
        if venue.floors.is_empty() {
            let what = "the archive has no level within a building".to_owned();
            let fix = "level.geojson needs one with \"outdoor\": false";
            return Err(vec![whole_file(&file, what, fix)]);
        }
        if venue.corners() > MAX_CORNERS {
            let what = format!("levels and units have more than {MAX_CORNERS} corners together");
            let fix =
                "export one building alone, or simplify its outlines; a centimetre is fine enough";
            return Err(vec![whole_file(&file, what, fix)]);
        }
        venue.in_metres(&file)
    }
}

impl Reader<'_, '_> {
    /// Does something with every feature of a member, if it is there and can be read.
    fn each(&mut self, name: &'static str, mut with: impl FnMut(&mut Self, &Feature<'_>)) {
        let text = self.archive.text(name).unwrap_or_else(|fault| {
            self.notes.faults.note(fault);
            None
        });
        let Some(text) = text else { return };
        let place = self.archive.place(name);
        for feature in (Member { name, place: &place, text: &text }).features(self.notes) {
            with(self, &feature);
        }
    }

    fn venue(&mut self) {
        self.each("venue.geojson", |reader, venue| {
            if reader.venue.name.is_none() {
                reader.venue.name = venue.label("name");
            }
        });
    }

    fn floors(&mut self) {
        if !self.archive.has("level.geojson") {
            let place = self.archive.place("level.geojson");
            let fix = "export it with level.geojson";
            self.notes.faults.note(whole_file(&place, "the archive has no levels", fix));
            return;
        }
        let footprints = self.footprints();
        self.each("level.geojson", |reader, level| {
            let ordinal = level.properties["ordinal"].as_f64();
            let whole = ordinal.filter(|n| n.fract() == 0.0 && n.abs() <= MOST_STOREYS);
            let Some(ordinal) = whole else {
                let found = ordinal.map_or_else(|| "none".to_owned(), |n| n.to_string());
                let what = format!("the level's ordinal is {found}");
                let fix = "give the storey: 0 at ground level, -1 below, 1 above";
                reader.notes.faults.note(level.fault(what, fix));
                return;
            };
            if reader.by_id.contains_key(&level.id) {
                let what = "another level has the same id".to_owned();
                let fix = "export the archive again, with one id per feature";
                reader.notes.faults.note(level.fault(what, fix));
                return;
            }
            if level.properties["outdoor"] == true {
                reader.by_id.insert(level.id.clone(), None);
                level.leave_out(reader.notes, Why::Outdoors);
                return;
            }
            let drawn = level.geometry.is_some().then(|| level.areas(reader.notes));
            let mut areas = drawn.flatten().unwrap_or_default();
            let by_footprint = areas.is_empty();
            if by_footprint {
                let ids = level.list("building_ids");
                let of_these = ids.iter().filter_map(|id| footprints.get(id));
                areas = of_these.flatten().cloned().collect();
            }
            #[expect(clippy::cast_possible_truncation, reason = "a whole number within ±300")]
            let ordinal = ordinal as i32;
            let index = reader.venue.floors.len();
            reader.by_id.insert(level.id.clone(), Some(index));
            reader.venue.floors.push(Floor {
                id: level.id.clone(),
                ordinal,
                name: level.label("name").or_else(|| level.label("short_name")),
                areas,
                by_footprint,
            });
        });
    }

    /// The outlines of buildings on the ground, by the ids of the buildings.
    fn footprints(&mut self) -> BTreeMap<String, Vec<Polygon<f64>>> {
        let mut footprints: BTreeMap<String, Vec<Polygon<f64>>> = BTreeMap::new();
        self.each("footprint.geojson", |reader, footprint| {
            if footprint.text("category") != Some("ground") {
                return;
            }
            let areas = footprint.areas(reader.notes);
            for building in footprint.list("building_ids") {
                footprints.entry(building).or_default().extend(areas.iter().flatten().cloned());
            }
        });
        footprints
    }

    /// The level that a feature names; one that names none is noted.
    fn floor_of(&mut self, feature: &Feature<'_>) -> Option<usize> {
        let named = feature.text("level_id").and_then(|id| self.by_id.get(id)).copied();
        match named {
            Some(Some(index)) => return Some(index),
            Some(None) => feature.leave_out(self.notes, Why::Outdoors),
            None => feature.leave_out(self.notes, Why::NoLevel),
        }
        None
    }

    fn units(&mut self) {
        let occupants = self.occupants();
        self.each("unit.geojson", |reader, unit| {
            let Some(floor) = reader.floor_of(unit) else { return };
            let Some(areas) = unit.areas(reader.notes) else { return };
            let category = unit.text("category").unwrap_or("unspecified");
            let name = unit.label("name").or_else(|| occupants.get(&unit.id).cloned());
            let named = name.is_some();
            reader.venue.units.push(Unit {
                id: unit.id.clone(),
                member: "unit.geojson",
                space: space(category),
                name: name.unwrap_or_else(|| room_name(category)),
                named,
                floor,
                areas,
                label_at: unit.display_point(),
            });
        });
    }

    /// Who is in a unit, by the unit's id: an occupant has an anchor, and that a unit.
    fn occupants(&mut self) -> BTreeMap<String, String> {
        let mut anchors: BTreeMap<String, String> = BTreeMap::new();
        self.each("anchor.geojson", |_, anchor| {
            if let Some(unit) = anchor.text("unit_id") {
                anchors.insert(anchor.id.clone(), unit.to_owned());
            }
        });
        let mut occupants = BTreeMap::new();
        self.each("occupant.geojson", |_, occupant| {
            let unit = occupant.text("anchor_id").and_then(|id| anchors.get(id));
            if let (Some(unit), Some(name)) = (unit, occupant.label("name")) {
                // The first of several in one unit names it.
                occupants.entry(unit.clone()).or_insert(name);
            }
        });
        occupants
    }

    fn fixtures(&mut self) {
        let mut others = 0;
        self.each("fixture.geojson", |reader, fixture| {
            if fixture.text("category") != Some("wall") {
                others += 1;
                return;
            }
            let Some(floor) = reader.floor_of(fixture) else { return };
            let Some(areas) = fixture.areas(reader.notes) else { return };
            reader.venue.units.push(Unit {
                id: fixture.id.clone(),
                member: "fixture.geojson",
                space: Space::Solid(Matter::FIXTURE_WALL),
                name: fixture.label("name").unwrap_or_default(),
                named: false,
                floor,
                areas,
                label_at: None,
            });
        });
        self.not_read("fixture.geojson", others);
    }

    fn openings(&mut self) {
        self.each("opening.geojson", |reader, opening| {
            let Some(floor) = reader.floor_of(opening) else { return };
            let Some(line) = opening.line(reader.notes) else { return };
            let door = &opening.properties["door"];
            let (kind, material) = (door["type"].as_str(), door["material"].as_str());
            reader.venue.openings.push(Opening {
                id: opening.id.clone(),
                name: opening.label("name"),
                category: opening.text("category").unwrap_or_default().to_owned(),
                leaf: if door.is_object() { leaf(kind, material) } else { Leaf::None },
                material: material.map(str::to_owned),
                floor,
                line,
            });
        });
    }

    fn unread(&mut self) {
        for name in ["detail.geojson", "kiosk.geojson", "section.geojson", "relationship.geojson"] {
            // What cannot be unpacked would not be in the plan anyway: it counts as one feature.
            let place = self.archive.place(name);
            let features = match self.archive.unpacked(name) {
                Ok(None) => 0,
                Ok(Some(text)) => Member { name, place: &place, text: &text }.count(),
                Err(_) => 1,
            };
            self.not_read(name, features);
        }
    }

    fn not_read(&mut self, member: &str, features: usize) {
        let fix = "draw metal things taller than a desk as obstacles in the plan";
        self.notes.unread.add(member, "was not read", fix, features);
    }
}
