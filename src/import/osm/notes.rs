//! What is reported of a map, most important first.

pub(super) use crate::guess::Tally as Notes;

/// What was left out: most important, for it may be missed in the plan.
pub(super) const LEFT_OUT: u8 = 0;
/// What was taken for what.
pub(super) const TAKEN: u8 = 1;
/// Measures about which the file says nothing.
pub(super) const MEASURE: u8 = 2;
