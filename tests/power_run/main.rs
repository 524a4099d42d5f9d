//! The power run: wires along walls, and what arrives at the panel.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod conductors;
mod every_route;
mod hostile;
#[path = "../bench/office.rs"]
mod office;
mod plans;
mod properties;
mod worked;
