//! Changes to the *text* of a plan: the panel moved, repeaters added, devices numbered, a
//! calibration written down, any feature moved, given another shape or other properties, added or
//! taken out; all else byte for byte.
//!
//! A plan may hold what drillonce does not know: kinds and properties of other programs, a layout
//! that somebody likes, numbers spelt in their own way. So a change is spliced into the text at
//! the places of the values that it touches; nothing else is written anew.

mod added;
mod backdrop;
mod calibrate;
mod error;
mod levels;
mod listing;
mod number;
mod point;
mod properties;
mod shape;

use std::collections::BTreeSet;

use geo::Coord;

use super::feature::Named;
use super::fields::Fields;
use super::frame::Frame;
use super::layout::Node;
use super::members::MAX_CAPACITY;
use super::splice::{Splice, spliced};
use super::{
    Backdrop, Calibration, Construction, Device, DeviceKind, Diagnostic, Layer, LinkChoice, Plan,
    Severity, Vocabulary, read, source,
};
pub use error::EditError;
use input::Diagnostics;
use input::json::Value;
use levels::Storey;
use listing::Listing;
use point::Place;

/// One change to a plan.
///
/// An id is what the feature goes by in a [`Plan`]: its own, or its kind and its number among all
/// of that kind. What has neither, or has the id of one before it, goes by `#` and its place in the
/// list of features, from 1: `#17`.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Hangs the panel elsewhere: the plan's first panel, which keeps all its other properties; if
    /// there is none, a panel with the id `panel` is added.
    MovePanel {
        /// Number of the level.
        level: i32,
        /// Where it hangs, metres.
        position: Coord<f64>,
        /// Height above that level's floor, metres.
        height_above_floor_m: f64,
    },
    /// Adds a repeater after all other features.
    AddRepeater {
        /// Its id; if that is taken, `-2`, `-3`, … is put behind it.
        id: String,
        /// Its name for people.
        name: String,
        /// Number of the level.
        level: i32,
        /// Where it hangs, metres.
        position: Coord<f64>,
        /// Height above that level's floor, metres.
        height_above_floor_m: f64,
        /// How many sensors it can pass on, from 1 to [`super::MAX_CAPACITY`], if that is said.
        capacity: Option<u32>,
    },
    /// Writes down what readings showed, in place of what was written down before.
    Calibrate(Calibration),
    /// Puts a picture under the plan in place of the one that was there, or takes it away.
    Backdrop(Option<Backdrop>),
    /// Moves a feature that is drawn as a point.
    Move {
        /// Its id; see [`Change`].
        id: String,
        /// Where it shall be, metres.
        position: Coord<f64>,
        /// Number of the level, if that changes.
        level: Option<i32>,
        /// Height above that level's floor, metres, if that changes.
        height_above_floor_m: Option<f64>,
    },
    /// Gives a line, or the outer ring of an outline, other corners; holes stay.
    Shape {
        /// Its id; see [`Change`].
        id: String,
        /// All its corners in order, metres: two or more of a line, three or more of a ring, whose
        /// first may be given again at the end.
        corners: Vec<Coord<f64>>,
    },
    /// Sets properties of a feature, or takes them out. Where features without an id of their own
    /// would go by another one for a new `kind`, theirs is written down.
    Set {
        /// Its id; see [`Change`].
        id: String,
        /// Each property's name with its value as JSON text, which is written as it is given:
        /// lengths are in the plan's unit, as in the file. Nothing takes the property out. Of two
        /// of one name the last counts.
        properties: Vec<(String, Option<String>)>,
    },
    /// Adds a feature after all others.
    Add {
        /// The `GeoJSON` feature, its coordinates in metres. Its properties are written as they
        /// are given: lengths in them are in the plan's unit, as in the file. If its id is taken,
        /// `-2`, `-3`, … is put behind it. A `bbox` is left out.
        feature: String,
    },
    /// Takes a feature out. Where others without an id of their own would go by another one now,
    /// theirs is written down.
    Remove {
        /// Its id; see [`Change`].
        id: String,
    },
    /// Adds a level behind the others. Where there was only one, what names no level names that one
    /// from now on.
    AddLevel {
        /// Its number, which no other has.
        number: i32,
        /// What people call it; its number where nothing is given.
        name: Option<String>,
        /// Height of its floor above the plan's zero, metres.
        floor_m: f64,
        /// Height of its ceiling above the plan's zero, metres.
        ceiling_m: f64,
    },
    /// Says what a level is called and how high it is; what is not given stays.
    SetLevel {
        /// Its number.
        number: i32,
        /// What people call it.
        name: Option<String>,
        /// Height of its floor above the plan's zero, metres.
        floor_m: Option<f64>,
        /// Height of its ceiling above the plan's zero, metres.
        ceiling_m: Option<f64>,
    },
    /// Gives a device its number in the panel, in place of the one that it has.
    Number {
        /// Id of the device.
        id: String,
        /// Its number, from 0 to [`super::MAX_NUMBER`].
        number: u32,
    },
}

/// The text of a plan with changes made to it, one after the other.
///
/// `plan` is what [`read`] made of `text`; it gives the unit and the levels. Lengths are written in
/// the plan's own unit, rounded to a thousandth of it; a number that already says the same stays as
/// it is spelt. A `level` is written only if the feature has one or the plan has several. A `bbox`
/// of the feature is brought in line; one of the whole plan is left as it is. New features follow
/// the last one and are laid out like it.
///
/// # Errors
/// [`EditError`]. What is returned has been read again: it is a sound plan with just these changes.
/// Names of constructions and the like that the plan does not use yet are not known here:
/// [`edited_leniently`] takes them.
pub fn edited(text: &str, plan: &Plan, changes: &[Change]) -> Result<String, EditError> {
    let mut text = sound(text)?.to_owned();
    let vocabulary = names_in(plan);
    let (metres_per_unit, levels) = (plan.metres_per_unit, plan.levels.clone());
    let mut sheet = Plan { metres_per_unit, levels, ..Plan::default() };
    for change in changes {
        text = made(&text, sheet.clone(), std::slice::from_ref(change))?;
        let reading = read("", text.as_bytes(), &vocabulary).map_err(refused)?;
        if !change.is_made(&reading.plan, &sheet) {
            return Err(EditError::NotThisPlan);
        }
        sheet.levels = reading.plan.levels;
    }
    Ok(text)
}

/// The same for a plan that may have faults, before the changes and after them: openings may be
/// off their walls, constructions unknown. Unit and levels are taken from the text.
///
/// # Errors
/// [`EditError`]: a change cannot be made, or the text would be beyond the limits of a file. What
/// is returned is JSON, but no more is known of it: see [`super::read_leniently`].
pub fn edited_leniently(text: &str, changes: &[Change]) -> Result<String, EditError> {
    let text = sound(text)?;
    let text = made(text, sheet(text), changes)?;
    let mut faults = Diagnostics::new("");
    let is_sound = source::checked_bytes(text.as_bytes(), &mut faults).is_ok();
    if is_sound { Ok(text) } else { Err(refused(faults.finish(&text).0)) }
}

/// A text without a byte-order mark, if it is JSON within the limits.
fn sound(text: &str) -> Result<&str, EditError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let is_sound = source::is_sound(text, &mut Diagnostics::new(""));
    is_sound.then_some(text).ok_or(EditError::NotThisPlan)
}

/// What a change must know of a plan: its unit and its levels, and nothing else.
fn sheet(text: &str) -> Plan {
    let vocabulary = Vocabulary::default();
    let mut frame = Frame::new(&vocabulary, Diagnostics::new(""));
    let top = Fields::quietly(Value::whole(text));
    frame.read_units(&top);
    frame.read_levels(&top);
    Plan { metres_per_unit: frame.unit.metres, levels: frame.levels, ..Plan::default() }
}

fn refused(faults: Vec<Diagnostic>) -> EditError {
    let fault = faults.into_iter().find(|fault| fault.severity == Severity::Error);
    fault.map_or(EditError::NotThisPlan, |fault| EditError::Refused(Box::new(fault)))
}

/// Every name that a plan uses: what its text must know to be read again.
fn names_in(plan: &Plan) -> Vocabulary {
    let constructions = plan
        .walls
        .iter()
        .map(|wall| &wall.construction)
        .chain(plan.openings.iter().map(|opening| &opening.construction))
        .chain(plan.slabs.iter().map(|slab| &slab.construction))
        .chain(plan.obstacles.iter().map(|obstacle| &obstacle.construction));
    let layers = plan.constructions.values().flat_map(|own| match own {
        Construction::Layers(layers) => layers.as_slice(),
        Construction::Measured(_) => &[],
    });
    let materials = layers.filter_map(|layer| match layer {
        Layer::Bulk { material, .. } => Some(material),
        Layer::Film { .. } => None,
    });
    let links = plan
        .link
        .iter()
        .chain(plan.devices.iter().filter_map(|device| device.link.as_ref()))
        .chain(plan.roams.iter().filter_map(|roam| roam.link.as_ref()))
        .filter_map(|link: &LinkChoice| link.like.as_ref());
    let mounts = plan.devices.iter().filter_map(|device| device.mount.as_ref());
    Vocabulary {
        constructions: once_each(constructions),
        materials: once_each(materials),
        links: once_each(links),
        mounts: once_each(mounts),
        ..Vocabulary::default()
    }
}

fn once_each<'n>(names: impl Iterator<Item = &'n String>) -> Vec<String> {
    let names: BTreeSet<&String> = names.collect();
    names.into_iter().cloned().collect()
}

/// The text with changes made. Those that stay within a feature of their own are made together.
fn made(text: &str, mut now: Plan, changes: &[Change]) -> Result<String, EditError> {
    let mut text = text.to_owned();
    let mut rest = changes;
    while let Some((first, others)) = rest.split_first() {
        let listing = Listing::of(&text)?;
        let mut touched = BTreeSet::new();
        let mut splices = Vec::new();
        while let Some((change, others)) = rest.split_first() {
            let Some(feature) = change.stays_within(&listing)? else { break };
            if !touched.insert(feature.fields.at) {
                break;
            }
            splices.extend(change.within(feature, &text, &now)?);
            rest = others;
        }
        if touched.is_empty() {
            text = first.alone(&listing, &now)?;
            if first.is_of_levels() {
                now.levels = sheet(&text).levels;
            }
            rest = others;
        } else {
            text = spliced(&text, splices);
        }
    }
    Ok(text)
}

impl Change {
    /// The feature in which a change stays, so that no other one is touched or goes by another id;
    /// nothing if it is not of that sort.
    fn stays_within<'l, 't>(
        &self,
        listing: &'l Listing<'t>,
    ) -> Result<Option<&'l Named<'t>>, EditError> {
        match self {
            Self::Move { id, .. } | Self::Shape { id, .. } => listing.find_full(id).map(Some),
            Self::Set { id, properties } if properties.iter().all(|(name, _)| name != "kind") => {
                listing.find_full(id).map(Some)
            }
            _ => Ok(None),
        }
    }

    fn within(
        &self,
        feature: &Named<'_>,
        text: &str,
        sheet: &Plan,
    ) -> Result<Vec<Splice>, EditError> {
        match self {
            Self::Move { position, level, height_above_floor_m, .. } => {
                let place = Place::of(sheet, *level, *position, *height_above_floor_m)?;
                place.splices(text, feature, sheet)
            }
            Self::Shape { corners, .. } => shape::splices(text, feature, corners, sheet),
            Self::Set { properties, .. } => properties::splices(text, feature, properties),
            _ => Ok(Vec::new()),
        }
    }

    /// The text with nothing but this change made.
    fn alone(&self, listing: &Listing<'_>, sheet: &Plan) -> Result<String, EditError> {
        let text = listing.text;
        let splices = match self {
            Self::MovePanel { level, position, height_above_floor_m: height_m } => {
                let place = Place::of(sheet, Some(*level), *position, Some(*height_m))?;
                let mut features = listing.features.iter();
                match features.find(|feature| feature.kind == DeviceKind::Panel.word()) {
                    Some(panel) => place.splices(text, panel, sheet)?,
                    None => {
                        let id = listing.free_id("panel");
                        let device = device(DeviceKind::Panel, &id, "Panel", &place, None);
                        vec![listing.added(&device)]
                    }
                }
            }
            Self::AddRepeater { id, name, level, position, height_above_floor_m, capacity } => {
                let height_m = Some(*height_above_floor_m);
                let place = Place::of(sheet, Some(*level), *position, height_m)?;
                if id.trim().is_empty() {
                    return Err(EditError::NoId);
                }
                if let Some(capacity) = capacity.filter(|n| !(1..=MAX_CAPACITY).contains(n)) {
                    return Err(EditError::Capacity(capacity));
                }
                let id = listing.free_id(id.trim());
                let device = device(DeviceKind::Repeater, &id, name, &place, *capacity);
                vec![listing.added(&device)]
            }
            Self::Remove { id } => listing.removed(listing.find(id)?),
            Self::Add { feature } => vec![added::splice(listing, feature, sheet)?],
            Self::Number { id, number } => number::splices(listing, id, *number)?,
            Self::AddLevel { number, name, floor_m, ceiling_m } => {
                let (name, heights_m) = (name.as_deref(), (Some(*floor_m), Some(*ceiling_m)));
                return Storey::new(*number, name, heights_m).added(listing, sheet);
            }
            Self::SetLevel { number, name, floor_m, ceiling_m } => {
                let heights_m = (*floor_m, *ceiling_m);
                return Storey::new(*number, name.as_deref(), heights_m).set(listing, sheet);
            }
            Self::Calibrate(calibration) => return calibrate::put_into(text, sheet, calibration),
            Self::Backdrop(picture) => return backdrop::put_into(text, sheet, picture.as_ref()),
            Self::Set { id, .. } | Self::Move { id, .. } | Self::Shape { id, .. } => {
                let text = spliced(text, self.within(listing.find_full(id)?, text, sheet)?);
                let before: Vec<String> = listing.features.iter().map(|it| it.id.clone()).collect();
                let ids = Listing::of(&text)?.ids_kept(&before);
                return Ok(spliced(&text, ids));
            }
        };
        Ok(spliced(text, splices))
    }

    /// Where a device shall hang, if one shall: level, position, height above the floor in metres.
    fn place(&self) -> Option<(i32, Coord<f64>, f64)> {
        match self {
            Self::MovePanel { level, position, height_above_floor_m }
            | Self::AddRepeater { level, position, height_above_floor_m, .. } => {
                Some((*level, *position, *height_above_floor_m))
            }
            _ => None,
        }
    }

    const fn is_of_levels(&self) -> bool {
        matches!(self, Self::AddLevel { .. } | Self::SetLevel { .. })
    }

    /// Whether a plan that was read again holds the change, to a thousandth of its unit.
    fn is_made(&self, now: &Plan, before: &Plan) -> bool {
        let hangs = |device: &Device| {
            let Some((level, position, height_m)) = self.place() else { return true };
            // A number stays as it is spelt if it says the same to a thousandth.
            let near = |a: f64, b: f64| (a - b).abs() <= 0.001_001 * now.metres_per_unit;
            let floor_m = now.level(level).map_or(0.0, |level| level.floor_m);
            device.level == level
                && near(device.position.x, position.x)
                && near(device.position.y, position.y)
                && near(device.height_m, floor_m + height_m)
        };
        let mut devices = now.devices.iter();
        let is_made = match self {
            Self::Calibrate(calibration) => calibrate::is_made(calibration, now),
            Self::Backdrop(picture) => picture.is_some() == now.backdrop.is_some(),
            Self::MovePanel { .. } => now.panel().is_some_and(hangs),
            Self::AddRepeater { .. } => {
                devices.next_back().is_some_and(|it| it.kind == DeviceKind::Repeater && hangs(it))
            }
            Self::Number { id, number } => {
                devices.any(|device| device.id == *id && device.number == Some(*number))
            }
            Self::Move { .. }
            | Self::Shape { .. }
            | Self::Set { .. }
            | Self::Add { .. }
            | Self::Remove { .. } => true,
            Self::AddLevel { number, .. } | Self::SetLevel { number, .. } => {
                now.level(*number).is_some()
            }
        };
        is_made
            && (self.is_of_levels() || now.levels == before.levels)
            && now.metres_per_unit.to_bits() == before.metres_per_unit.to_bits()
    }
}

/// A new device at a place.
fn device(kind: DeviceKind, id: &str, name: &str, place: &Place, capacity: Option<u32>) -> Node {
    let (geometry, hangs) = place.members();
    let said = [("kind", Node::text(kind.word())), ("name", Node::text(name))];
    let capacity = capacity.map(|n| ("capacity", Node::Leaf(n.to_string())));
    let properties = Node::object(said.into_iter().chain(hangs).chain(capacity));
    Node::object([
        ("type", Node::text("Feature")),
        ("id", Node::text(id)),
        ("geometry", geometry),
        ("properties", properties),
    ])
}
