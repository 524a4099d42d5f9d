//! Vectors and reflections in the plane of the floor plan.

use geo::Coord;
use nalgebra::{Matrix2, Vector2};

/// A point or vector in plan, metres.
pub type Point = Coord<f64>;

/// Scalar product.
#[inline]
#[must_use]
pub fn dot(a: Point, b: Point) -> f64 {
    a.x * b.x + a.y * b.y
}

/// Cross product's vertical component: positive where `b` lies to the left of `a`.
#[inline]
#[must_use]
pub fn cross(a: Point, b: Point) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Length of a vector.
#[inline]
#[must_use]
pub fn norm(a: Point) -> f64 {
    dot(a, a).sqrt()
}

/// The vector turned a quarter turn to the left.
#[inline]
#[must_use]
pub fn left_of(a: Point) -> Point {
    Point { x: -a.y, y: a.x }
}

/// An isometry of the plane: identity, or any chain of reflections.
///
/// Unfolding a reflected path turns it into a straight line; what stands along its earlier legs is
/// carried over by one of these.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unfolding {
    linear: Matrix2<f64>,
    offset: Vector2<f64>,
}

impl Default for Unfolding {
    fn default() -> Self {
        Self { linear: Matrix2::identity(), offset: Vector2::zeros() }
    }
}

impl Unfolding {
    /// The reflection in the line through `point` with the unit normal `normal`.
    #[must_use]
    pub fn reflection(point: Point, normal: Point) -> Self {
        let unit = Vector2::new(normal.x, normal.y);
        let foot = Vector2::new(point.x, point.y);
        Self {
            linear: Matrix2::identity() - unit * unit.transpose() * 2.0,
            offset: unit * (2.0 * unit.dot(&foot)),
        }
    }

    /// First `self`, then `next`.
    #[must_use]
    pub fn then(&self, next: &Self) -> Self {
        Self { linear: next.linear * self.linear, offset: next.linear * self.offset + next.offset }
    }

    /// Carries a point over.
    #[inline]
    #[must_use]
    pub fn point(&self, p: Point) -> Point {
        let q = self.linear * Vector2::new(p.x, p.y) + self.offset;
        Point { x: q.x, y: q.y }
    }

    /// Carries a direction over.
    #[inline]
    #[must_use]
    pub fn direction(&self, d: Point) -> Point {
        let q = self.linear * Vector2::new(d.x, d.y);
        Point { x: q.x, y: q.y }
    }
}

/// A closed half of the plane: the points with `a·x + b·y + c ≥ 0`, where (a, b) is a unit vector,
/// so that the left side is the distance from the edge in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HalfPlane {
    /// Coefficient of x.
    pub a: f64,
    /// Coefficient of y.
    pub b: f64,
    /// Constant, metres.
    pub c: f64,
}

impl HalfPlane {
    /// The side of the line through `point` to which the unit vector `inward` points.
    #[must_use]
    pub fn facing(point: Point, inward: Point) -> Self {
        Self { a: inward.x, b: inward.y, c: -dot(inward, point) }
    }

    /// The side of the line from `from` through `to` on which `inside` lies; `None` if the two
    /// points coincide.
    #[must_use]
    pub fn through(from: Point, to: Point, inside: Point) -> Option<Self> {
        let along = to - from;
        let length = norm(along);
        if length < 1e-12 {
            return None;
        }
        let left = left_of(along) / length;
        let inward = if dot(left, inside - from) >= 0.0 { left } else { left * -1.0 };
        Some(Self::facing(from, inward))
    }

    /// Distance of a point from the edge, positive inside, metres.
    #[inline]
    #[must_use]
    pub fn depth(&self, p: Point) -> f64 {
        self.a * p.x + self.b * p.y + self.c
    }

    /// The same half plane with its edge moved inwards by `metres`.
    #[must_use]
    pub fn shrunk(&self, metres: f64) -> Self {
        Self { c: self.c - metres, ..*self }
    }

    /// Narrows the range `lo..=hi` of the parameter along `from + s·along` to what is inside.
    pub fn clip(&self, from: Point, along: Point, range: &mut (f64, f64)) {
        let at_zero = self.depth(from);
        let slope = self.a * along.x + self.b * along.y;
        if slope.abs() < 1e-12 {
            if at_zero < 0.0 {
                *range = (1.0, 0.0);
            }
        } else if slope > 0.0 {
            range.0 = range.0.max(-at_zero / slope);
        } else {
            range.1 = range.1.min(-at_zero / slope);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn two_reflections_are_undone_by_themselves() {
        let mirror = Unfolding::reflection(Point { x: 1.0, y: 2.0 }, Point { x: 0.6, y: 0.8 });
        let p = Point { x: -3.0, y: 0.5 };
        let back = mirror.then(&mirror).point(p);
        assert_relative_eq!(back.x, p.x, epsilon = 1e-14);
        assert_relative_eq!(back.y, p.y, epsilon = 1e-14);
        let q = mirror.point(p);
        assert_relative_eq!(dot(q - p, Point { x: 0.8, y: -0.6 }), 0.0, epsilon = 1e-14);
    }

    #[test]
    fn a_half_plane_clips_a_segment() {
        let right = HalfPlane::facing(Point { x: 2.0, y: 0.0 }, Point { x: 1.0, y: 0.0 });
        let mut range = (0.0, 5.0);
        right.clip(Point { x: 0.0, y: 0.0 }, Point { x: 1.0, y: 0.0 }, &mut range);
        assert_eq!(range, (2.0, 5.0));
    }
}
