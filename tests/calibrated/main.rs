//! A plan that holds what readings told of the house: what it changes in the forecast, and what not.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod forecast;
mod surfaces;
mod told;

use std::path::Path;

use drillonce::budget::vocabulary;
use drillonce::plan::{Calibration, Plan, read_file};
use drillonce::units::Db;

/// A shipped plan.
fn shipped(name: &str) -> Plan {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("floorplans/{name}.geojson"));
    read_file(&path, &vocabulary()).unwrap().plan
}

/// A calibration that changes nothing: the panel where it hangs, the usual site, no scales.
fn nothing_told(plan: &Plan) -> Calibration {
    let panel = plan.panel().unwrap();
    Calibration {
        panel: panel.id.clone(),
        level: panel.level,
        position: panel.position,
        height_m: panel.height_m,
        site_offset: Db(6.0),
        site_sigma: Db(4.0),
        constructions: Default::default(),
        devices: Default::default(),
    }
}
