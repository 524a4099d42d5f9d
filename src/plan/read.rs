//! From the bytes of a file to a plan, or to everything that is wrong with it.

use std::path::Path;

use super::as_written::as_written;
use super::build::Built;
use super::feature::Feature;
use super::fields::Fields;
use super::frame::Frame;
use super::inside::Inside;
use super::members::PLAN;
use super::openings::wall_index;
use super::shape::{Extent, TYPES};
use super::{LinkChoice, MAX_FILE_BYTES, Plan, Vocabulary, source};
use input::json::{Sort, Value};
use input::{Diagnostic, Diagnostics, diagnostic::merged, file_bytes, fix_name, one_line, quoted};

/// A plan that can be used, and what is doubtful in it.
#[derive(Debug, Clone)]
pub struct Reading {
    /// The checked plan.
    pub plan: Plan,
    /// Warnings, in order of place; at most [`super::MAX_LISTED`] and one that counts the others.
    pub warnings: Vec<Diagnostic>,
}

/// Reads a plan from the bytes of a `GeoJSON` file, in any encoding that [`input::decoded`] reads.
///
/// `source_name` is the file's name: it stands in every fault, and without its folder and ending
/// it is the plan's title if the plan has no `name`.
///
/// Where the file format leaves something open:
/// - a member that is `null` counts as absent;
/// - a feature without an `id` gets its kind and its number among all features of that kind in
///   file order, from 1: `wall-1`, `wall-2`, …; a number as id becomes its text;
/// - a feature without a `level` belongs to the plan's only level. With several levels, an opening
///   goes to the level on whose wall it lies, if need be by its `base` and `top`, and if it still
///   may be on several, to the lowest with a warning; `mountable` and `outlet` go to the lowest
///   with a warning; for anything else it is a fault;
/// - `stairs` without `to` lead to the next level above; none there is a fault;
/// - `base` and `top` are measured from the plan's zero like `floor` and `ceiling`; `height` is
///   measured from the level's floor;
/// - each segment of an opening's line becomes an [`super::Opening`] of its own with the same id,
///   cut to the height of its wall;
/// - features of an unknown kind are warned about and left out.
///
/// # Errors
/// All faults and warnings in order of place, if there is at least one fault: of each severity
/// the first [`super::MAX_LISTED`] and one that counts the others. No input makes it panic, and
/// the limits ([`super::MAX_FILE_BYTES`] and the others) bound the memory that any input costs.
pub fn read(
    source_name: &str,
    text: &[u8],
    vocabulary: &Vocabulary,
) -> Result<Reading, Vec<Diagnostic>> {
    read_text(source_name, text, vocabulary, true)
}

/// Reads a plan that may still have no sensor: a house as drawn, before anything is hung in it.
///
/// # Errors
/// As [`read`], but for that one fault.
pub fn read_house(
    source_name: &str,
    text: &[u8],
    vocabulary: &Vocabulary,
) -> Result<Reading, Vec<Diagnostic>> {
    read_text(source_name, text, vocabulary, false)
}

fn read_text(
    source_name: &str,
    text: &[u8],
    vocabulary: &Vocabulary,
    needs_sensors: bool,
) -> Result<Reading, Vec<Diagnostic>> {
    let mut faults = Diagnostics::new(source_name);
    let text = match source::checked_bytes(text, &mut faults) {
        Ok(text) => text,
        Err(text) => {
            let (faults, warnings) = faults.finish(&text);
            return Err(merged(faults, warnings));
        }
    };
    let mut frame = Frame::new(vocabulary, faults);
    frame.needs_sensors = needs_sensors;
    let parts = frame.read_parts(Value::whole(&text));
    let plan = parts.map(|parts| {
        let built = frame.built(&parts, |_| true);
        titled(frame.completed(&parts, built), &text, source_name)
    });
    let plan = plan.unwrap_or_default();
    let any_fault = frame.faults.any_fault();
    let (faults, warnings) = frame.faults.finish(&text);
    if any_fault { Err(merged(faults, warnings)) } else { Ok(Reading { plan, warnings }) }
}

/// Reads a plan from a file, of which never more than [`super::MAX_FILE_BYTES`] are read.
///
/// # Errors
/// As [`read`]; a file that is missing, unreadable, too large or not a regular file is a fault
/// without a place.
pub fn read_file(path: &Path, vocabulary: &Vocabulary) -> Result<Reading, Vec<Diagnostic>> {
    let bytes = file_bytes(path, MAX_FILE_BYTES, "a GeoJSON file", source::PLAN_TOO_LARGE);
    read(&path.display().to_string(), &bytes.map_err(|fault| vec![*fault])?, vocabulary)
}

/// A plan with the file's name for its title, if it has none, and with names as they are written.
pub(super) fn titled(mut plan: Plan, text: &str, source_name: &str) -> Plan {
    if plan.name.is_empty() {
        plan.name = title_of(source_name);
    }
    plan.as_written = as_written(text, source_name);
    plan
}

/// A file's name without folder and ending, as [`one_line`] reads it.
pub fn title_of(source_name: &str) -> String {
    let stem = Path::new(source_name).file_stem().map(|stem| stem.to_string_lossy());
    one_line(&stem.unwrap_or(source_name.into())).into_owned()
}

/// What a plan's text holds, before its features become walls, devices and the like.
pub(super) struct Parts<'t> {
    top: Fields<'t>,
    name: Option<String>,
    link: Option<LinkChoice>,
    list_at: usize,
    features: Vec<Feature<'t>>,
    pub(super) extent: Extent,
}

impl Frame<'_> {
    /// Reads what the text holds; nothing where it is no list of features.
    pub(super) fn read_parts<'t>(&mut self, whole: Value<'t>) -> Option<Parts<'t>> {
        if whole.sort() != Sort::Object {
            let what = format!("not a FeatureCollection: the file holds {}", whole.described());
            let fix =
                "a plan is a GeoJSON object: {\"type\": \"FeatureCollection\", \"features\": […]}";
            self.faults.fault(whole.at, None, || (what, fix));
            return None;
        }
        let top = Fields::of(whole, &PLAN, "a plan", None, &mut self.faults)?;
        self.check_type(&top);
        self.read_units(&top);
        self.read_levels(&top);
        self.read_constructions(&top);
        let link = self.link(&top);
        let name = top.text("name", &mut self.faults);
        let list = self.feature_list(&top)?;

        let mut extent = Extent::default();
        let features = self.read_features(list, &mut extent)?;
        self.check_extent(&extent);
        Some(Parts { top, name, link, list_at: list.at, features, extent })
    }

    /// Builds the features that are used, by their place in the list.
    pub(super) fn built(&mut self, parts: &Parts<'_>, is_used: impl Fn(usize) -> bool) -> Built {
        let mut built = Built::default();
        for feature in parts.features.iter().filter(|feature| is_used(feature.number)) {
            self.build(feature, &mut built);
        }
        if self.lengths_make_sense {
            let index = wall_index(&built.plan.walls);
            self.lengths_make_sense = self.check_crowd(&index, parts.list_at);
            if self.lengths_make_sense {
                let walls = &built.plan.walls;
                built.plan.openings = self.place_openings(&built.openings, walls, &index);
            }
        }
        self.check_devices_present(parts.list_at);
        built
    }

    /// The whole plan; it is of use only if no fault was noted.
    pub(super) fn completed(&mut self, parts: &Parts<'_>, built: Built) -> Plan {
        let Built { mut plan, walls_at, devices_at, room_names_at, .. } = built;
        plan.calibration = self.read_calibration(&parts.top, &plan.devices);
        plan.backdrop = self.read_backdrop(&parts.top);
        plan.name = parts.name.clone().unwrap_or_default();
        plan.metres_per_unit = self.unit.metres;
        plan.link.clone_from(&parts.link);
        plan.levels.clone_from(&self.levels);
        plan.constructions.clone_from(&self.constructions);
        if self.lengths_make_sense {
            let vocabulary = self.vocabulary;
            let known = |construction: &str| vocabulary.thickness_m.get(construction).copied();
            let inside = Inside::of_levels(&plan, &known);
            self.check_enclosure(&plan, &inside, &walls_at, &devices_at);
            self.name_rooms(&mut plan, &inside, &room_names_at, &devices_at);
        }
        plan
    }

    fn check_type(&mut self, top: &Fields<'_>) {
        match top.text("type", &mut self.faults) {
            Some(name) if name == "FeatureCollection" => {}
            Some(name) if TYPES.contains(&name.as_str()) || name == "Feature" => {
                let what = format!("not a FeatureCollection: the file holds one {name}");
                let fix =
                    "put all features into {\"type\": \"FeatureCollection\", \"features\": […]}";
                top.fault("type", &mut self.faults, || (what, fix));
            }
            Some(name) => {
                let what = format!("not a FeatureCollection: the type is {}", quoted(&name));
                let fix = "a plan is {\"type\": \"FeatureCollection\", \"features\": […]}";
                let fix = fix_name(&name, ["FeatureCollection"], fix);
                top.fault("type", &mut self.faults, || (what, fix));
            }
            None => top.need("type", "write \"type\": \"FeatureCollection\"", &mut self.faults),
        }
    }

    fn feature_list<'t>(&mut self, top: &Fields<'t>) -> Option<Value<'t>> {
        let Some(list) = top.value("features") else {
            top.need("features", "list walls, openings and devices in it", &mut self.faults);
            return None;
        };
        if list.sort() == Sort::List {
            return Some(list);
        }
        let what = format!("\"features\" must be a list, not {}", list.described());
        top.fault("features", &mut self.faults, || (what, "write \"features\": […]"));
        None
    }
}
