//! A grid of square cells over a level.

use trace::{Point, cross, dot};

/// Square cells from a lower left corner.
#[derive(Debug, Clone, Copy)]
pub(super) struct Grid {
    pub low: Point,
    pub cell_m: f64,
    pub columns: usize,
    pub rows: usize,
}

/// Square of the distance from a point to a segment.
#[inline]
pub(super) fn point_to_segment_sq(p: Point, a: Point, b: Point) -> f64 {
    let (along, to) = (b - a, p - a);
    let length_sq = dot(along, along);
    let share = if length_sq > 0.0 { (dot(to, along) / length_sq).clamp(0.0, 1.0) } else { 0.0 };
    let off = to - along * share;
    dot(off, off)
}

/// Square of the distance between two segments; zero if they cross.
#[inline]
pub(super) fn segment_to_segment_sq(a: Point, b: Point, c: Point, d: Point) -> f64 {
    let (ab, cd) = (b - a, d - c);
    let (sc, sd) = (cross(ab, c - a), cross(ab, d - a));
    let (sa, sb) = (cross(cd, a - c), cross(cd, b - c));
    if (sc > 0.0) != (sd > 0.0) && (sa > 0.0) != (sb > 0.0) {
        return 0.0;
    }
    point_to_segment_sq(a, c, d)
        .min(point_to_segment_sq(b, c, d))
        .min(point_to_segment_sq(c, a, b))
        .min(point_to_segment_sq(d, a, b))
}

impl Grid {
    /// A grid over a box with a margin, of at most about `most` cells, none smaller than
    /// `least_cell_m`.
    pub fn new(low: Point, high: Point, margin_m: f64, least_cell_m: f64, most: usize) -> Self {
        let low = low - Point { x: 1.0, y: 1.0 } * margin_m;
        let size = high + Point { x: 1.0, y: 1.0 } * margin_m - low;
        let fine = (size.x * size.y / most.max(1) as f64).sqrt();
        // A long thin box: no more cells along it than there may be in all.
        let thin = size.x.max(size.y) / most.max(1) as f64;
        let cell_m = fine.max(thin).max(least_cell_m);
        Self {
            low,
            cell_m,
            columns: (size.x / cell_m).ceil().max(1.0) as usize,
            rows: (size.y / cell_m).ceil().max(1.0) as usize,
        }
    }

    /// The cell of a point as signed column and row, which may lie outside.
    #[inline]
    pub fn place(&self, p: Point) -> (i64, i64) {
        (
            ((p.x - self.low.x) / self.cell_m).floor() as i64,
            ((p.y - self.low.y) / self.cell_m).floor() as i64,
        )
    }

    /// Number of the cell at a signed column and row, if there is one.
    #[inline]
    pub fn number(&self, (column, row): (i64, i64)) -> Option<usize> {
        let column = usize::try_from(column).ok()?;
        let row = usize::try_from(row).ok()?;
        (column < self.columns && row < self.rows).then(|| row * self.columns + column)
    }

    /// Calls `found` with each cell whose middle is within `radius_m` of the segment.
    pub fn near(&self, a: Point, b: Point, radius_m: f64, mut found: impl FnMut(usize)) {
        let (lower, upper) = if a.y <= b.y { (a, b) } else { (b, a) };
        let pad = Point { x: 0.0, y: radius_m };
        let (first, last) = (self.place(lower - pad).1.max(0), self.place(upper + pad).1);
        let rise = upper.y - lower.y;
        for row in first..=last.min(self.rows as i64 - 1) {
            let y = self.low.y + (row as f64 + 0.5) * self.cell_m;
            // The part of the segment that is level with the row, to within the radius.
            let at = |y: f64| {
                let share = if rise > 0.0 { ((y - lower.y) / rise).clamp(0.0, 1.0) } else { 0.0 };
                lower.x + (upper.x - lower.x) * share
            };
            let (one, two) =
                if rise > 0.0 { (at(y - radius_m), at(y + radius_m)) } else { (lower.x, upper.x) };
            let west = Point { x: one.min(two) - radius_m, y };
            let east = Point { x: one.max(two) + radius_m, y };
            let columns = self.place(west).0.max(0)..=self.place(east).0;
            for column in columns {
                let Some(number) = self.number((column, row)) else {
                    break;
                };
                let middle = Point { x: self.low.x + (column as f64 + 0.5) * self.cell_m, y };
                if point_to_segment_sq(middle, a, b) <= radius_m * radius_m {
                    found(number);
                }
            }
        }
    }
}
