//! What the caller fills in, and the check of its numbers.

mod extent;
pub(crate) mod plan;

pub(crate) use extent::{check, extent};
pub(crate) use plan::*;
pub(crate) use units::Finding;
