//! The amplitude that a stack reflects against the cosine of incidence, tabulated for the inner
//! loop.

use nalgebra::Complex;

use crate::slab::{Polarisation, SlabLayer, reflected_amplitude};
use units::Hertz;

/// Intervals of the table. Straight lines between the nodes are within 0.02 for every construction
/// of the catalogue at every band of the links from cos θ = 0.05 (tested), 0.2 dB of a wave as
/// strong as the direct one.
const INTERVALS: usize = 256;

/// Amplitude reflected by one stack at one frequency against the cosine of incidence, see
/// [`reflected_amplitude`].
#[derive(Debug, Clone)]
pub struct ReflectionTable {
    /// One value more than there are intervals; none for a thing that reflects nothing.
    nodes: Vec<Complex<f64>>,
    mean_reflectance: f64,
}

impl ReflectionTable {
    /// Tabulates a stack as seen from the side of its first layer.
    #[must_use]
    pub fn new(layers: &[SlabLayer], frequency: Hertz, polarisation: Polarisation) -> Self {
        let cos = |node: usize| node as f64 / INTERVALS as f64;
        let at = |node| reflected_amplitude(layers, frequency, cos(node), polarisation);
        let power = |polarisation, node: usize| {
            reflected_amplitude(layers, frequency, cos(node), polarisation).norm_sqr()
        };
        // The mean over a half space of directions, each weighted with the area that it sees:
        // ∫ R·2·cos θ d(cos θ).
        let mean_reflectance = (1..=INTERVALS)
            .step_by(4)
            .map(|node| {
                let both = power(Polarisation::Te, node) + power(Polarisation::Tm, node);
                4.0 * both * cos(node) / INTERVALS as f64
            })
            .sum();
        Self { nodes: (0..=INTERVALS).map(at).collect(), mean_reflectance }
    }

    /// A thing of which it is not known what it reflects.
    #[must_use]
    pub fn none() -> Self {
        Self { nodes: Vec::new(), mean_reflectance: 0.0 }
    }

    /// The amplitude, of modulus 0 to 1; `cos` is clamped to 0 ..= 1.
    #[inline]
    #[must_use]
    pub fn amplitude(&self, cos: f64) -> Complex<f64> {
        let place = cos.clamp(0.0, 1.0) * INTERVALS as f64;
        let interval = (place as usize).min(INTERVALS - 1);
        let (Some(left), Some(right)) = (self.nodes.get(interval), self.nodes.get(interval + 1))
        else {
            return Complex::new(0.0, 0.0);
        };
        left + (right - left) * (place - interval as f64)
    }

    /// Part of the power that is reflected of waves from all directions and of both polarisations,
    /// 0 to 1.
    #[must_use]
    pub fn mean_reflectance(&self) -> f64 {
        self.mean_reflectance
    }
}
