//! From metres to pixels.

use crate::base::geometry::Point;
use crate::base::rect::Rect;

/// From metres on the plan to pixels on the picture.
#[derive(Debug, Clone, Copy)]
pub(crate) struct View {
    /// Pixels for a metre.
    pub scale: f64,
    /// Where the plan's origin lies.
    pub zero: Point,
    /// Size of text and marks against those of a picture 1600 pixels wide.
    pub size: f64,
    /// The middle of the plan, metres.
    pub middle: [f64; 2],
}

impl View {
    /// The view that puts a place of the plan in the middle of a frame.
    pub fn new(frame: &Rect, middle: [f64; 2], scale: f64, size: f64) -> Self {
        Self {
            scale,
            zero: [frame.middle()[0] - middle[0] * scale, frame.middle()[1] + middle[1] * scale],
            size,
            middle,
        }
    }

    /// The pixel place of a place in metres.
    pub fn place(&self, [x, y]: [f64; 2]) -> Point {
        [self.zero[0] + x * self.scale, self.zero[1] - y * self.scale]
    }

    /// The pixel places of places in metres.
    pub fn places(&self, points: &[[f64; 2]]) -> Vec<Point> {
        points.iter().map(|&point| self.place(point)).collect()
    }
}
