//! One device's link in full: that the ledger adds up, that every remedy is what the model says of the
//! changed plan, which device is meant, and what is printed.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod asked;
mod ledger;
mod moved;
mod printed;
mod promised;

use drillonce::budget::{LinkOverride, Model, Site, vocabulary};
use drillonce::plan::{Plan, read_file};

/// The shipped plans.
const PLANS: [&str; 6] = [
    "annexe",
    "bungalow",
    "brick-house",
    "corner-shop",
    "foil-garage",
    "workshop",
];

/// A shipped plan.
fn shipped(name: &str) -> Plan {
    read_file(path(name).as_ref(), &vocabulary()).unwrap().plan
}

fn path(name: &str) -> String {
    format!("{}/floorplans/{name}.geojson", env!("CARGO_MANIFEST_DIR"))
}

/// A plan made ready with the usual settings.
fn site(plan: &Plan) -> Site<'_> {
    site_with(plan, Model::default())
}

fn site_with(plan: &Plan, model: Model) -> Site<'_> {
    Site::new(plan, model, LinkOverride::default(), None).unwrap()
}

/// Whether two numbers agree to 1e-9, relative where they are large.
fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()))
}
