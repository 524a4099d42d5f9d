//! Checks of the command crate from outside.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "tables in the test's output")]

mod calibrated;
mod diagnose;
mod explain;
mod handover;
mod house_rules;
mod program;
mod quote;
mod readme;
mod rendered;
mod run;
