//! A cubic on an interval of a table.

use std::f64::consts::{FRAC_1_SQRT_2, SQRT_2};

/// a0 + a1·t + a2·t² + a3·t³ over one interval, t from 0 to 1.
#[derive(Debug, Clone, Copy)]
#[repr(align(32))]
pub(crate) struct Cubic(pub(crate) [f64; 4]);

impl Cubic {
    pub(crate) const ZERO: Self = Self([0.0; 4]);

    #[inline]
    pub(crate) fn at(&self, t: f64) -> f64 {
        let [a0, a1, a2, a3] = self.0;
        a0 + t * (a1 + t * (a2 + t * a3))
    }

    /// A bound on its values from t = 0 to 1: the greatest of its Bézier points.
    pub(crate) fn most(&self) -> f64 {
        let [a0, a1, a2, a3] = self.0;
        let (second, third) = (a0 + a1 / 3.0, a0 + (2.0 * a1 + a2) / 3.0);
        a0.max(second).max(third).max(a0 + a1 + a2 + a3)
    }

    /// The cubic through values at t = 0, 1 − 1/√2, 1/√2 and 1.
    pub(crate) fn through([start, first, second, end]: [f64; 4]) -> Self {
        let rise = end - start;
        // What is left over the straight line is u·(p + q·(2t − 1)).
        let first = first - start - (1.0 - FRAC_1_SQRT_2) * rise;
        let second = second - start - FRAC_1_SQRT_2 * rise;
        let inside = 0.5 * (SQRT_2 - 1.0);
        let p = 0.5 * (first + second) / inside;
        let q = 0.5 * (second - first) / (inside * (SQRT_2 - 1.0));
        Self([start, rise + p - q, 3.0 * q - p, -2.0 * q])
    }

    /// The cubic with given values and slopes (per interval) at its ends.
    pub(crate) fn hermite(start: f64, start_slope: f64, end: f64, end_slope: f64) -> Self {
        let rise = end - start;
        Self([
            start,
            start_slope,
            3.0 * rise - 2.0 * start_slope - end_slope,
            start_slope + end_slope - 2.0 * rise,
        ])
    }
}
