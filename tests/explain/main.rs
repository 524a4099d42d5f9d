//! One device's link in full: that the ledger adds up, that every remedy is what the model says of
//! the changed plan, which device is meant, and what is printed.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "tables in the test's output")]

mod asked;
mod ledger;
mod moved;
mod promised;

use fixtures::{PLANS, shipped, site, site_with};

/// Whether two numbers agree to 1e-9, relative where they are large.
fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()))
}
