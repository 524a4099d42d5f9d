//! How much of a rectangle is covered.

use crate::base::{Point, Rect};

/// How much of any rectangle is covered, from sums over a grid of small squares.
#[derive(Debug, Clone)]
pub(crate) struct Cover {
    frame: Rect,
    side: f64,
    columns: usize,
    rows: usize,
    covered: Vec<bool>,
    /// Squares covered above and to the left of each grid point.
    sums: Vec<u32>,
}

impl Cover {
    /// Nothing covered.
    pub fn new(frame: Rect, side: f64) -> Self {
        let count = |length: f64| (length / side).ceil().clamp(1.0, 4096.0) as usize;
        let (columns, rows) = (count(frame.width()), count(frame.height()));
        Self {
            frame,
            side,
            columns,
            rows,
            covered: vec![false; columns * rows],
            sums: vec![0; (columns + 1) * (rows + 1)],
        }
    }

    /// Covers the square at a place.
    pub fn mark(&mut self, [x, y]: Point) {
        let column = (x - self.frame.x0) / self.side;
        let row = (y - self.frame.y0) / self.side;
        if column >= 0.0 && row >= 0.0 && (column as usize) < self.columns {
            let index = row as usize * self.columns + column as usize;
            if let Some(square) = self.covered.get_mut(index) {
                *square = true;
            }
        }
    }

    /// Ends the marking.
    pub fn sum(&mut self) {
        let wide = self.columns + 1;
        for row in 0..self.rows {
            let mut along = 0;
            for column in 0..self.columns {
                along += u32::from(self.covered[row * self.columns + column]);
                self.sums[(row + 1) * wide + column + 1] =
                    self.sums[row * wide + column + 1] + along;
            }
        }
    }

    /// Share of a rectangle that is covered, 0 to 1.
    pub fn share(&self, rect: &Rect) -> f64 {
        let span = |ends: [f64; 2], least: f64, most: usize| {
            ends.map(|end| (((end - least) / self.side).round().max(0.0) as usize).min(most))
        };
        let [x0, x1] = span([rect.x0, rect.x1], self.frame.x0, self.columns);
        let [y0, y1] = span([rect.y0, rect.y1], self.frame.y0, self.rows);
        let squares = (x1 - x0) * (y1 - y0);
        if squares == 0 {
            return 0.0;
        }
        let at = |x: usize, y: usize| f64::from(self.sums[y * (self.columns + 1) + x]);
        (at(x1, y1) - at(x0, y1) - at(x1, y0) + at(x0, y0)) / squares as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cover_counts_squares() {
        let frame = Rect { x0: 0.0, y0: 0.0, x1: 40.0, y1: 40.0 };
        let mut cover = Cover::new(frame, 4.0);
        for step in 0..40 {
            cover.mark([f64::from(step) + 0.5, 2.0]);
        }
        cover.sum();
        assert_eq!(cover.share(&Rect { x0: 0.0, y0: 0.0, x1: 40.0, y1: 8.0 }), 0.5);
        assert_eq!(cover.share(&Rect { x0: 0.0, y0: 4.0, x1: 40.0, y1: 8.0 }), 0.0);
    }
}
