//! Where the panel may hang and which spot is best, against slow and simple ways to the same
//! answer.

mod best;
mod dice;
mod field;
mod found;
mod map;
mod mounts;
mod order;
mod shipped;

use fixtures::{NO_OVERRIDE, PLANS, shipped};
use forecast::{Model, Site};
use geo::Coord;
use plan::{Device, DeviceKind, Plan};

use crate::plans;

/// A panel of the tests' own at a place.
fn panel(level: i32, position: Coord<f64>, height_m: f64) -> Device {
    Device { level, position, height_m, ..plans::device("panel-of-the-test", DeviceKind::Panel) }
}

/// The plan made ready, its panel at a corner that plays no part.
fn site(plan: &Plan, model: Model) -> Site<'_> {
    let corner = Coord { x: 0.3, y: 0.3 };
    Site::new(plan, model, NO_OVERRIDE, Some(panel(0, corner, 1.0))).unwrap()
}

/// Checks that two levels agree to 1e-9 dB; both may be without end.
#[track_caller]
fn same_db(got: f64, want: f64, what: &str) {
    assert!(got == want || (got - want).abs() <= 1e-9, "{what}: {got} dB is not {want} dB");
}
