//! Readings that a panel shows, held against the forecast: what this house really loses, what is
//! wrong with a flaky sensor, and which test would tell most.

mod reading;
pub mod readings;

pub use reading::{Circumstance, Reading, Remark, Seen};
