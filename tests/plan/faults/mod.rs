//! What the plan reader promises: every fault is reported at its place with a way to fix it,
//! sound plans are read as the format says, and no input whatever does harm.

mod calibration;
pub(crate) mod edit;
mod file;
mod geometry;
mod hostile;
mod names;
mod promises;
mod properties;
mod reading;
mod shipped;
mod site;
mod stairs;
pub(crate) mod support;
