//! Outlines of rooms as walls: what two rooms share is one wall.

use geo::{Line, Polygon};

/// The outline of a room or other space.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Number of its level.
    pub level: i32,
    /// Its edge, metres, with holes.
    pub area: Polygon<f64>,
}

/// A straight piece of wall, with the rooms on its sides.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// Number of its level.
    pub level: i32,
    /// From end to end, metres.
    pub line: Line<f64>,
    /// Which outlines it belongs to, ascending: one for an outside wall, two for a wall between rooms.
    pub owners: Vec<usize>,
}

/// The sides of outlines, each once, as long as they run straight between the same owners.
///
/// Corners nearer to one another, or to an edge, than the tolerance in metres are taken for one place,
/// so that rooms drawn by hand share their walls. The order follows level and then place, and does not depend on
/// anything else.
#[must_use]
pub fn sides(outlines: &[Outline], tolerance_m: f64) -> Vec<Side> {
    let _ = (outlines, tolerance_m);
    Vec::new()
}
