//! Whether every sensor of a wireless alarm will be heard, before a hole is drilled.

pub mod draw;
pub mod plan;
pub mod radio;
pub mod units;
