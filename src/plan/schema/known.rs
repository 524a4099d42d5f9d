//! What the reader knows, for whoever wants to hold something against it.

use crate::calibration::{DEVICE_NUMBERS, MEMBERS, SCALE_NUMBERS};
use crate::constructions::{CONSTRUCTION_MEMBERS, LAYER_MEMBERS, LINK_MEMBERS};
use crate::feature::{FEATURE_MEMBERS, kind_rows};
use crate::frame::LEVEL_MEMBERS;
use crate::read::TOP_MEMBERS;
use crate::shape::GEOMETRY_MEMBERS;

/// A kind of feature that the reader knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KnownKind {
    /// Its word, the property `kind`.
    pub name: &'static str,
    /// The `GeoJSON` geometry types that may draw it.
    pub geometry: &'static [&'static str],
    /// Every property that it knows, `kind` among them.
    pub properties: &'static [&'static str],
}

/// Every kind of feature that the reader knows, in the order in which its messages list them.
pub fn kinds() -> impl Iterator<Item = KnownKind> {
    kind_rows().map(|(name, geometry, properties)| KnownKind { name, geometry, properties })
}

/// An object of a plan that has members of fixed names, but for a feature's properties.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holder {
    /// The file itself.
    Plan,
    /// An item of `levels`.
    Level,
    /// A `link` that is no name.
    Link,
    /// A value of `constructions`.
    Construction,
    /// An item of `layers`.
    Layer,
    /// The `calibration`.
    Calibration,
    /// A value of `constructions` in the `calibration`.
    CalibratedConstruction,
    /// A value of `devices` in the `calibration`.
    CalibratedDevice,
    /// An item of `features`.
    Feature,
    /// A feature's `geometry`.
    Geometry,
}

impl Holder {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Plan,
        Self::Level,
        Self::Link,
        Self::Construction,
        Self::Layer,
        Self::Calibration,
        Self::CalibratedConstruction,
        Self::CalibratedDevice,
        Self::Feature,
        Self::Geometry,
    ];
}

/// The names of every member that the reader knows of an object; it warns of any other.
#[must_use]
pub fn members(holder: Holder) -> Vec<&'static str> {
    match holder {
        Holder::Plan => TOP_MEMBERS.to_vec(),
        Holder::Level => LEVEL_MEMBERS.to_vec(),
        Holder::Link => LINK_MEMBERS.to_vec(),
        Holder::Construction => CONSTRUCTION_MEMBERS.to_vec(),
        Holder::Layer => LAYER_MEMBERS.to_vec(),
        Holder::Calibration => MEMBERS.to_vec(),
        Holder::CalibratedConstruction => SCALE_NUMBERS.map(|(name, _)| name).to_vec(),
        Holder::CalibratedDevice => DEVICE_NUMBERS.map(|(name, _)| name).to_vec(),
        Holder::Feature => FEATURE_MEMBERS.to_vec(),
        Holder::Geometry => GEOMETRY_MEMBERS.to_vec(),
    }
}
