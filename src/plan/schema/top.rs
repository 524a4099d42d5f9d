//! The members of the file itself, and its levels.

use std::collections::BTreeMap;

use schemars::JsonSchema;

use super::calibration::CalibrationEntry;
use super::constructions::OwnConstruction;
use super::features::AnyFeature;
use super::link::LinkEntry;
use super::{Anything, Height, LevelNumber};
use crate::json::MAX_MEMBERS;
use crate::limits::{MAX_FEATURES, MAX_LEVELS};

/// # Plan
/// A floor plan for the forecast of radio links: a `GeoJSON` `FeatureCollection` in a local frame (x to the
/// right, y up) that says what the walls are built of and where the devices hang. A member that is null
/// counts as absent.
#[derive(JsonSchema)]
pub(super) struct PlanFile {
    /// Always `FeatureCollection`.
    r#type: CollectionType,
    /// Walls, openings, floors, devices and whatever else the plan holds, in any order.
    #[schemars(length(max = MAX_FEATURES))]
    features: Vec<AnyFeature>,
    /// The unit of every coordinate and height in this file: metres (`m`) or feet (`ft`). Metres where it
    /// is left out. Thicknesses are in millimetres whatever it says.
    units: Option<Units>,
    /// The storeys, 1 to 200. Left out, there is one: level 0, from 0 to 2.4 m.
    #[schemars(length(min = 1, max = MAX_LEVELS))]
    levels: Option<Vec<LevelEntry>>,
    /// The radio link that the sensors use: the name of a built-in one, or an object that says what to
    /// change of one. A device may have another.
    link: Option<LinkEntry>,
    /// Constructions of your own by name, beside the built-in ones that `drillonce catalogue` lists. One
    /// with the name of a built-in construction hides that.
    #[schemars(extend("maxProperties" = MAX_MEMBERS))]
    constructions: Option<BTreeMap<String, OwnConstruction>>,
    /// What readings taken on site told of this house. `drillonce diagnose` writes it.
    calibration: Option<CalibrationEntry>,
    /// The plan's title. Left out, it is the file's name.
    name: Option<String>,
    /// The bounding box that some programs write. Not used.
    bbox: Option<Anything>,
    /// Where an editor finds this schema. Not used otherwise.
    #[schemars(rename = "$schema")]
    schema: Option<Anything>,
}

#[derive(JsonSchema)]
#[schemars(inline)]
enum CollectionType {
    FeatureCollection,
}

#[derive(JsonSchema)]
#[schemars(inline, rename_all = "lowercase")]
enum Units {
    M,
    Ft,
}

/// A storey: its number, floor and ceiling. No two may overlap.
#[derive(JsonSchema)]
#[schemars(rename = "Level")]
struct LevelEntry {
    /// The number by which features name this level, -1000 to 1000; no two levels have the same.
    level: LevelNumber,
    /// What people call the level.
    name: Option<String>,
    /// Height of the floor above the plan's zero, in the plan's unit, within 1000 m.
    floor: Height,
    /// Height of the ceiling above the plan's zero, in the plan's unit, within 1000 m; above the floor.
    ceiling: Height,
}
