//! Columns as obstacles: what a drawing and a building model say of them in one way.

use geo::Polygon;

use crate::{Piece, What};

/// Widest column, metres (our own choice).
pub(crate) const WIDEST_M: f64 = 2.0;
/// Construction of the faces of a column of which nobody says more: a wave goes through two.
pub(crate) const COLUMN_FACE: &str = "concrete-100";

/// A column from floor to ceiling of a level.
pub(crate) fn column(level: i32, outline: Polygon<f64>, construction: &str) -> Piece {
    let construction = construction.to_owned();
    let what = What::Obstacle { construction, base_m: None, top_m: None };
    Piece::new("column", level, outline, what)
}
