//! A grid of receivers.

use super::plane::Point;

/// A grid of receivers at one height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// Centre of the first cell: the lower left one.
    pub origin: Point,
    /// Distance between the centres of two cells, metres.
    pub cell: f64,
    /// Cells in a row.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// Height of the receivers, metres above the plan's zero.
    pub height: f64,
}

impl Grid {
    /// Centre of a cell.
    #[inline]
    #[must_use]
    pub fn centre(&self, column: usize, row: usize) -> Point {
        Point {
            x: self.origin.x + column as f64 * self.cell,
            y: self.origin.y + row as f64 * self.cell,
        }
    }

    /// Centres of the cells at its corners.
    pub(super) fn corners(&self) -> [Point; 4] {
        let (right, top) = (self.columns.saturating_sub(1), self.rows.saturating_sub(1));
        [self.centre(0, 0), self.centre(right, 0), self.centre(right, top), self.centre(0, top)]
    }
}
