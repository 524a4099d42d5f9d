//! Checks of the plan crate from outside.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "tables in the test's output")]

mod edits;
mod faults;
mod lenient;
mod rooms;
mod schema;
mod tidy;
mod whereabouts;
