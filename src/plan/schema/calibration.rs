//! What readings told of the house.

use std::collections::BTreeMap;

use schemars::JsonSchema;

use super::{Coordinate, Height, LevelNumber};
use crate::calibration::{LOSS_DB, SCALE, SCALE_SIGMA, SIGMA_DB};
use crate::json::MAX_MEMBERS;

/// What readings taken on site told of this house. `drillonce diagnose` writes it.
#[derive(JsonSchema)]
#[schemars(rename = "Calibration")]
pub(super) struct CalibrationEntry {
    /// The id of the panel that heard the readings.
    panel: String,
    /// Where that panel hung, in the plan's unit: [x, y].
    #[schemars(length(min = 2, max = 2))]
    panel_at: Vec<Coordinate>,
    /// The level on which it hung; may be left out if the plan has one level only.
    level: Option<LevelNumber>,
    /// Its height above that level's floor, in the plan's unit; 1.5 m where it is left out.
    height: Option<Height>,
    /// Mean loss of the site that no wall explains, -60 to 60 dB.
    #[schemars(range(min = LOSS_DB.0, max = LOSS_DB.1))]
    site_offset_db: f64,
    /// Spread of that loss, 0 to 60 dB.
    #[schemars(range(min = SIGMA_DB.0, max = SIGMA_DB.1))]
    site_sigma_db: f64,
    /// What each construction loses here against the catalogue, by the construction's name.
    #[schemars(extend("maxProperties" = MAX_MEMBERS))]
    constructions: Option<BTreeMap<String, CalibratedConstruction>>,
    /// What each device loses beyond that, by the device's id.
    #[schemars(extend("maxProperties" = MAX_MEMBERS))]
    devices: Option<BTreeMap<String, CalibratedDevice>>,
}

/// How much more or less than typical a construction loses in this house.
#[derive(JsonSchema)]
struct CalibratedConstruction {
    /// Factor on all decibels of the construction, 0.05 to 5.
    #[schemars(range(min = SCALE.0, max = SCALE.1))]
    scale: f64,
    /// Standard deviation of that factor, 0 to 5.
    #[schemars(range(min = SCALE_SIGMA.0, max = SCALE_SIGMA.1))]
    sigma: f64,
}

/// What readings told of one device.
#[derive(JsonSchema)]
struct CalibratedDevice {
    /// Loss beyond walls and site as long as the panel hangs where it was read, -60 to 60 dB.
    #[schemars(range(min = LOSS_DB.0, max = LOSS_DB.1))]
    loss_db: f64,
    /// The part of it that stays wherever the panel hangs, -60 to 60 dB.
    #[schemars(range(min = LOSS_DB.0, max = LOSS_DB.1))]
    own_db: f64,
    /// Spread of the level that is left, 0 to 60 dB.
    #[schemars(range(min = SIGMA_DB.0, max = SIGMA_DB.1))]
    sigma_db: f64,
}
