//! Rectangles on the picture.

use crate::base::geometry::Point;

/// A rectangle on the picture, pixels, y downwards.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rect {
    /// Left edge.
    pub x0: f64,
    /// Upper edge.
    pub y0: f64,
    /// Right edge.
    pub x1: f64,
    /// Lower edge.
    pub y1: f64,
}

impl Rect {
    /// A rectangle by its middle and size.
    pub(crate) fn around([x, y]: Point, width: f64, height: f64) -> Self {
        let (half_width, half_height) = (width / 2.0, height / 2.0);
        Self { x0: x - half_width, y0: y - half_height, x1: x + half_width, y1: y + half_height }
    }

    /// Width, pixels.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.x1 - self.x0
    }

    /// Height, pixels.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.y1 - self.y0
    }

    /// The middle.
    pub(crate) fn middle(&self) -> Point {
        [(self.x0 + self.x1) / 2.0, (self.y0 + self.y1) / 2.0]
    }

    /// Whether the two share more than an edge.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// Whether the other lies wholly within this one.
    #[must_use]
    pub fn contains(&self, other: &Self) -> bool {
        self.x0 <= other.x0 && self.y0 <= other.y0 && self.x1 >= other.x1 && self.y1 >= other.y1
    }

    /// The rectangle grown by a distance on every side.
    #[must_use]
    pub(crate) fn grown(&self, by: f64) -> Self {
        Self { x0: self.x0 - by, y0: self.y0 - by, x1: self.x1 + by, y1: self.y1 + by }
    }

    /// The least rectangle that holds both.
    pub(crate) fn union(&self, other: &Self) -> Self {
        self.with([other.x0, other.y0]).with([other.x1, other.y1])
    }

    /// The least rectangle that holds this one and a point.
    pub(crate) fn with(&self, [x, y]: Point) -> Self {
        Self { x0: self.x0.min(x), y0: self.y0.min(y), x1: self.x1.max(x), y1: self.y1.max(y) }
    }

    /// The box round points; at the origin if there is none.
    pub(crate) fn round(points: impl IntoIterator<Item = Point>) -> Self {
        let mut points = points.into_iter();
        let [x, y] = points.next().unwrap_or_default();
        points.fold(Self { x0: x, y0: y, x1: x, y1: y }, |rect, point| rect.with(point))
    }

    /// The corners in order round it.
    pub(crate) fn corners(&self) -> [Point; 4] {
        [[self.x0, self.y0], [self.x1, self.y0], [self.x1, self.y1], [self.x0, self.y1]]
    }

    /// The point of the rectangle that is nearest to another point.
    pub(crate) fn nearest(&self, [x, y]: Point) -> Point {
        [x.clamp(self.x0, self.x1), y.clamp(self.y0, self.y1)]
    }

    /// Whether a straight line from `from` to `to` passes through.
    pub(crate) fn meets(&self, from: Point, to: Point) -> bool {
        let (mut least, mut most) = (0.0_f64, 1.0_f64);
        for (start, end, low, high) in
            [(from[0], to[0], self.x0, self.x1), (from[1], to[1], self.y0, self.y1)]
        {
            let run = end - start;
            if run == 0.0 {
                if start < low || start > high {
                    return false;
                }
                continue;
            }
            let (one, other) = ((low - start) / run, (high - start) / run);
            least = least.max(one.min(other));
            most = most.min(one.max(other));
        }
        least <= most
    }
}
