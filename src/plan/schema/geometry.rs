//! Geometry, by what it may draw.

use schemars::JsonSchema;

use super::Coordinate;
use crate::limits::{MAX_OUTLINE_POSITIONS, MAX_POSITIONS};
use crate::shape::MAX_ORDINATES;

/// Fewest positions of a ring: three corners and the first again.
const FEWEST_OF_RING: usize = 4;

/// A position in the plan's unit: [x, y], x to the right and y up, within 100 km of the plan's zero. Further
/// coordinates are not used.
#[derive(JsonSchema)]
struct Position(#[schemars(length(min = 2, max = MAX_ORDINATES))] Vec<Coordinate>);

/// A ring: corners in the order in which one walks round, the first again at the end.
#[derive(JsonSchema)]
struct Ring(#[schemars(length(min = FEWEST_OF_RING, max = MAX_OUTLINE_POSITIONS))] Vec<Position>);

/// A point.
#[derive(JsonSchema)]
pub(super) struct PointGeometry {
    /// Always `Point`.
    r#type: PointType,
    /// Where it is.
    coordinates: Position,
    /// The bounding box that some programs write. Not used.
    bbox: Option<Vec<f64>>,
}

/// A line of two or more positions.
#[derive(JsonSchema)]
pub(super) struct LineGeometry {
    /// Always `LineString`.
    r#type: LineType,
    /// The line from end to end: [[x, y], [x, y], …].
    #[schemars(length(min = 2, max = MAX_POSITIONS))]
    coordinates: Vec<Position>,
    /// The bounding box that some programs write. Not used.
    bbox: Option<Vec<f64>>,
}

/// An area.
#[derive(JsonSchema)]
pub(super) struct AreaGeometry {
    /// Always `Polygon`.
    r#type: AreaType,
    /// The outline first, then its holes.
    #[schemars(length(min = 1, max = MAX_OUTLINE_POSITIONS))]
    coordinates: Vec<Ring>,
    /// The bounding box that some programs write. Not used.
    bbox: Option<Vec<f64>>,
}

/// A point or an area.
#[derive(JsonSchema)]
#[schemars(untagged)]
pub(super) enum PointOrAreaGeometry {
    /// A point.
    Point(PointGeometry),
    /// An area.
    Area(AreaGeometry),
}

/// A point, a line or an area.
#[derive(JsonSchema)]
#[schemars(untagged)]
pub(super) enum AnyGeometry {
    /// A point.
    Point(PointGeometry),
    /// A line.
    Line(LineGeometry),
    /// An area.
    Area(AreaGeometry),
}

#[derive(JsonSchema)]
#[schemars(inline)]
enum PointType {
    Point,
}

#[derive(JsonSchema)]
#[schemars(inline)]
enum LineType {
    LineString,
}

#[derive(JsonSchema)]
#[schemars(inline)]
enum AreaType {
    Polygon,
}
