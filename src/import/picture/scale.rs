//! How many metres a pixel of a picture stands for, by lengths that are known.

/// What known lengths say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Metres to a pixel.
    pub metres_per_pixel: f64,
    /// By what share of itself a length differs from that at most.
    pub off: f64,
}

impl Fit {
    /// The scale at which the squares of what the lengths are off by add up to least; `lengths`:
    /// each in metres and in pixels, both above zero. Nothing without any.
    #[must_use]
    pub fn of(lengths: &[(f64, f64)]) -> Option<Self> {
        let sum = |of: fn(&(f64, f64)) -> f64| lengths.iter().map(of).sum::<f64>();
        let metres_per_pixel = sum(|(m, px)| m * px) / sum(|(_, px)| px * px);
        let off = lengths.iter().map(|(m, px)| (metres_per_pixel * px / m - 1.0).abs());
        let off = off.fold(0.0, f64::max);
        (metres_per_pixel.is_finite() && metres_per_pixel > 0.0)
            .then_some(Self { metres_per_pixel, off })
    }
}
