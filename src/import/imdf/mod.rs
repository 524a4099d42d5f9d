//! Archives of the OGC Indoor Mapping Data Format 1.0 as plans.
//!
//! The format is the OGC community standard 20-094, version 1.0.0, at
//! <https://docs.ogc.org/cs/20-094/index.html>: a ZIP archive of `manifest.json` and a `GeoJSON`
//! collection for each type of feature, in degrees of WGS 84. What is said of it here was looked up
//! in its pages "Reference" (archives, features), "Manifest", "Building", "Footprint", "Level",
//! "Unit", "Opening" and "Fixture", as far as a search showed them; the lists of categories (page
//! "Categories"), the members of a door, and how occupants lead to units by anchors, were seen only
//! as libraries repeat them.
//!
//! What becomes what (in the archive: in the plan):
//! - venue: `name`: the title
//! - level: `ordinal`, `name`: a level of that number; levels of several buildings at one ordinal
//!   are one
//! - level: outline: the floor slab, on every level but the lowest, with holes for units
//!   `opentobelow`; the outer wall where no unit is drawn on the level
//! - footprint `ground`: the outline of a level of its building that has none
//! - unit: outline: walls: what two units share is one wall. None between two ways (`walkway`,
//!   `ramp`, `steps`, `platform`, …), none round `terrace`, `road`, `vegetation`, `unenclosedarea`
//! - unit: `name`, else that of its occupant, else `category`: the name of a room; ways that run
//!   into one another are one room
//! - unit of `structure`, `column`, `brick`, `concrete`, `drywall`, `glass`, `wood`; fixture
//!   `wall`: a wall on the centre line if it is a strip with four corners, else an obstacle
//! - opening: line, `door`: an opening of each wall that it lies on, within 5 cm; without a door,
//!   or with one of type `open`, nothing fills it
//!
//! Where most units are drawn to the faces of their walls, so that gaps as wide as the walls lie
//! between them, each gap is one wall, and openings may lie as far off it.
//!
//! Walls at most half a metre from the level's outline are outside walls. The format gives no
//! heights and no materials of walls: both are guesses. The user maps what doors are made of by the
//! door's material (`glass`), and solid units and fixtures by `unit.` or `fixture.` and the
//! category (`unit.glass`).
//!
//! Not read: address, amenity, building (but for the ids in levels and footprints), detail,
//! geofence, kiosk, relationship (so no stairs), section, fixtures but walls, extensions of the
//! format; of features, restriction, accessibility, access control, hours, `alt_name`; levels that
//! are outdoors, with everything on them. Members with other names, and archives in the archive,
//! are not opened.

mod archive;
mod categories;
mod floors;
mod gaps;
mod member;
mod notes;
mod openings;
mod read;
mod solids;
mod strips;
mod venue;
mod walls;

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use self::archive::Archive;
use self::notes::Notes;
use self::venue::{Venue, floor_m};
use crate::{CEILING_M, Draft, FLOOR_THICKNESS_M, Settings, whole_file};
use plan::{Diagnostic, Level, MAX_LEVELS, quoted, tame};

/// Reads an archive as a draft.
///
/// # Errors
/// Faults of the archive (no ZIP archive, encrypted, damaged, of more than 64 MiB unpacked, without
/// a manifest), of its members (not JSON, no features, broken geometry) and of the site (no level
/// in a building, wider than 2 km).
pub fn draft(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Diagnostic>> {
    let mut archive = Archive::open(name, bytes).map_err(|fault| vec![fault])?;
    let mut notes = Notes::default();
    check_manifest(&mut archive, &mut notes).map_err(|fault| vec![fault])?;
    let venue = Venue::read(&mut archive, &mut notes)?;
    let levels = levels(name, &venue, &mut notes)?;
    let drawn = walls::draw(&venue, settings, &mut notes);
    openings::draw(&venue, &drawn, settings, &mut notes);
    solids::draw_obstacles(&venue, settings, &mut notes);
    floors::draw(&venue, &mut notes);
    notes.pieces.extend(drawn.rooms);
    note_others(&archive, &mut notes);
    let (name, pieces) = (venue.name.unwrap_or_default(), std::mem::take(&mut notes.pieces));
    Ok(Draft { name, levels, pieces, guesses: notes.guesses(), ..Draft::default() })
}

/// The manifest says that this is an archive of the format, and of which version.
fn check_manifest(archive: &mut Archive<'_>, notes: &mut Notes) -> Result<(), Diagnostic> {
    let place = archive.place("manifest.json");
    let text = archive.text("manifest.json")?.unwrap_or_default();
    let fix = "write {\"version\": \"1.0.0\", \"created\": \"…\", \"language\": \"en\"}";
    let manifest: Value = serde_json::from_str(&text).map_err(|error| {
        let what = format!("not JSON: {}", tame(&error.to_string()));
        Diagnostic::at(&place, (error.line(), error.column()), what, fix)
    })?;
    let Some(version) = manifest.get("version").and_then(Value::as_str) else {
        return Err(whole_file(&place, "the manifest gives no version", fix));
    };
    // Page "Manifest": "1.0.0" is the only version so far.
    let known = version == "1.0" || version.starts_with("1.0.");
    let taken = format!("version {} was read as 1.0.0", quoted(version));
    let fix = "check the plan against the building, or export version 1.0.0";
    notes.guesses.add("manifest.json", taken, fix, usize::from(!known));
    Ok(())
}

fn levels(file: &str, venue: &Venue, notes: &mut Notes) -> Result<Vec<Level>, Vec<Diagnostic>> {
    let mut names: BTreeMap<i32, Vec<&str>> = BTreeMap::new();
    for floor in &venue.floors {
        let names = names.entry(floor.ordinal).or_default();
        let name = floor.name.as_deref().filter(|name| !names.contains(name) && names.len() < 3);
        names.extend(name);
    }
    if names.len() > MAX_LEVELS {
        let what = format!("the archive has {} levels, a plan at most {MAX_LEVELS}", names.len());
        return Err(vec![whole_file(file, what, "export part of it")]);
    }
    let taken = format!(
        "the format gives no heights: every storey was taken as {CEILING_M} m high, with \
         {FLOOR_THICKNESS_M} m from its ceiling to the next floor"
    );
    let fix = "measure them and correct \"levels\" in the plan";
    notes.guesses.add("heights", taken, fix, names.len());
    let levels = names.into_iter().map(|(number, names)| {
        let floor_m = floor_m(number);
        let name = if names.is_empty() { format!("level {number}") } else { names.join(" / ") };
        Level { number, name, floor_m, ceiling_m: floor_m + CEILING_M, is_over_air: false }
    });
    Ok(levels.collect())
}

/// Says which members were not even opened.
fn note_others(archive: &Archive<'_>, notes: &mut Notes) {
    let opened = "venue level footprint unit fixture opening \
                  anchor occupant detail kiosk section relationship";
    let is_opened = |name: &&str| match name.strip_suffix(".geojson") {
        Some(name) => opened.split(' ').any(|opened| opened == name),
        None => *name == "manifest.json",
    };
    let others: BTreeSet<&str> = archive.names().filter(|name| !is_opened(name)).collect();
    let mut shown: Vec<String> = others.iter().take(6).map(|name| quoted(name)).collect();
    if others.len() > shown.len() {
        shown.push(format!("{} more", others.len() - shown.len()));
    }
    let about = "other members";
    let taken = format!("were not read: {}", shown.join(", "));
    notes.unread.add(about, taken, "nothing to do: they hold no walls", others.len());
}
