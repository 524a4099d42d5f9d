//! Checks of the forecast crate from outside.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "tables in the test's output")]

mod aerials;
mod calibrated;
mod crowded;
mod full_wave;
mod invariants;
mod rooms;
mod solved;
mod sums;
