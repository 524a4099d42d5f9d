//! Checks of the command crate from outside.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]
#![allow(clippy::print_stdout, reason = "tables in the test's output")]

mod calibrated;
mod campaign;
mod diagnose;
mod encodings;
mod explain;
mod guides;
mod handover;
mod house_rules;
mod program;
mod quote;
mod rendered;
mod run;
mod serve;
mod tables;
mod taken;
