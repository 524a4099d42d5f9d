//! Constructions of the plan's own.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde_json::json;

use super::Anything;
use crate::constructions::{MAX_LAYERS, MAX_LOSS_DB, MAX_THICKNESS_MM};
use crate::json::MAX_MEMBERS;

/// A decimal number above zero as the reader takes it from a member's name; its range is not for a
/// pattern to say.
const FREQUENCY: &str = r"^\+?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$";

/// The name of a construction: a built-in one (`drillonce catalogue` lists them) or one of the plan's own
/// `constructions`.
#[derive(JsonSchema)]
pub(super) struct ConstructionName(String);

/// A construction of your own: either its layers, or its measured loss.
#[derive(JsonSchema)]
#[schemars(rename = "Construction", untagged)]
pub(super) enum OwnConstruction {
    /// Known by its layers, from which the loss is computed.
    Layered(LayeredConstruction),
    /// Known by its measured loss.
    Measured(MeasuredConstruction),
}

/// A construction that is known by its layers.
#[derive(JsonSchema)]
pub(super) struct LayeredConstruction {
    /// The layers in order from one face to the other, 1 to 50.
    #[schemars(length(min = 1, max = MAX_LAYERS))]
    layers: Vec<LayerEntry>,
    /// Not allowed beside layers.
    loss_db: Option<Absent>,
    /// A remark. Not used.
    name: Option<Anything>,
}

/// A construction that is known by its measured loss.
#[derive(JsonSchema)]
pub(super) struct MeasuredConstruction {
    /// Loss in dB, 0 to 300, at each frequency in MHz, 1 to 100000: `{"868.3": 9.5}`. Between two
    /// frequencies it is interpolated.
    #[schemars(extend(
        "minProperties" = 1,
        "maxProperties" = MAX_MEMBERS,
        "propertyNames" = json!({"pattern": FREQUENCY}),
    ))]
    loss_db: BTreeMap<String, Loss>,
    /// Not allowed beside a measured loss.
    layers: Option<Absent>,
    /// A remark. Not used.
    name: Option<Anything>,
}

/// Loss at this frequency, dB: how much weaker the signal is behind.
#[derive(JsonSchema)]
#[schemars(inline, extend("minimum" = 0, "maximum" = MAX_LOSS_DB))]
struct Loss(f64);

/// A member that must not be there, or be null.
#[derive(JsonSchema)]
#[schemars(inline)]
struct Absent;

/// One layer: a material with its thickness, or a thin conducting film.
#[derive(JsonSchema)]
#[schemars(rename = "Layer", untagged)]
enum LayerEntry {
    /// A material of a thickness.
    Bulk(BulkLayer),
    /// A film that conducts.
    Film(FilmLayer),
}

/// A layer of a material.
#[derive(JsonSchema)]
struct BulkLayer {
    /// What the layer is made of.
    material: MaterialName,
    /// Thickness in millimetres, whatever the plan's unit: above zero, at most 5000.
    #[schemars(extend("exclusiveMinimum" = 0, "maximum" = MAX_THICKNESS_MM))]
    thickness_mm: f64,
    /// Not allowed beside a thickness.
    sheet_resistance_ohm: Option<Absent>,
}

/// A thin conducting film: the foil of a board, the coating of a pane. What carries it is a layer of its
/// own.
#[derive(JsonSchema)]
struct FilmLayer {
    /// Sheet resistance, ohm per square: above zero.
    #[schemars(extend("exclusiveMinimum" = 0))]
    sheet_resistance_ohm: f64,
    /// What the film is made of. Not used.
    material: Option<String>,
    /// Not allowed beside a sheet resistance.
    thickness_mm: Option<Absent>,
}

/// The name of a material; `drillonce catalogue --sources` lists them.
#[derive(JsonSchema)]
pub(super) struct MaterialName(String);
