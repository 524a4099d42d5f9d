//! Checks of the siting crate from outside.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "tables in the test's output")]

mod cover;
mod order;
mod plans;
mod power_run;
mod relays;
mod spots;
mod walking;
