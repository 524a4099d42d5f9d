//! What the caller fills in, and the check of its numbers.

pub(crate) mod extent;
pub(crate) mod links;
pub(crate) mod paths;
pub(crate) mod plan;
pub(crate) mod siting;

pub(crate) use extent::{check, extent};
pub(crate) use links::{Link, LinkEnd};
pub(crate) use paths::{CrossingMark, PathMark};
pub(crate) use plan::{
    DeviceKind, DeviceMark, Field, LengthUnit, OpeningMark, Picture, Size, Thresholds, WallClass,
    WallMark,
};
pub(crate) use siting::{ForbiddenMark, LineKind, MOST_PINS, SpotMark};
pub(crate) use units::Finding;
