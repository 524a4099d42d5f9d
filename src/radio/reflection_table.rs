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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::constructions::catalogue;
    use crate::links::links;
    use crate::slab::slab_response;
    use units::Metres;

    #[test]
    fn straight_lines_between_nodes_are_near_enough() {
        let mut worst = (0.0, String::new());
        for one in catalogue() {
            for link in links() {
                let layers = one.slab_layers(link.frequency);
                let table = ReflectionTable::new(&layers, link.frequency, Polarisation::Mean);
                for place in 13..INTERVALS {
                    let cos = (place as f64 + 0.5) / INTERVALS as f64;
                    let exact =
                        reflected_amplitude(&layers, link.frequency, cos, Polarisation::Mean);
                    let off = (table.amplitude(cos) - exact).norm();
                    if off > worst.0 {
                        worst = (off, format!("{} {} {cos}", one.name, link.name));
                    }
                    let power =
                        slab_response(&layers, link.frequency, cos, Polarisation::Mean).reflectance;
                    assert!(exact.norm_sqr() <= power.0 + 1e-9, "{} {cos}", one.name);
                }
                assert!((0.0..=1.0).contains(&table.mean_reflectance()), "{}", one.name);
            }
        }
        assert!(worst.0 < 0.02, "{worst:?}");
    }

    /// Ten metres of lossy ground are a half space: Fresnel's coefficients (Born and Wolf,
    /// Principles of Optics, section 1.5; from memory), for the tangential field under TM.
    #[test]
    fn a_thick_layer_reflects_as_a_half_space() {
        let permittivity = Complex::new(15.0, -6.0);
        let ground = [SlabLayer::Bulk { permittivity, thickness: Metres(10.0) }];
        for cos in [0.05f64, 0.3, 0.7, 1.0] {
            let root = (permittivity - 1.0 + cos * cos).sqrt();
            let te = (Complex::from(cos) - root) / (root + cos);
            let tm = (root - permittivity * cos) / (root + permittivity * cos);
            for (polarisation, wanted) in [
                (Polarisation::Te, te),
                (Polarisation::Tm, -tm),
                (Polarisation::Mean, (te - tm) * 0.5),
            ] {
                let found = reflected_amplitude(&ground, Hertz(433.92e6), cos, polarisation);
                assert!((found - wanted).norm() < 1e-6, "{polarisation:?} {cos} {found} {wanted}");
            }
        }
    }

    #[test]
    fn at_grazing_incidence_a_wave_comes_back_in_antiphase() {
        for one in catalogue().iter().filter(|one| one.name.starts_with("floor-concrete")) {
            let layers = one.slab_layers(Hertz(868.65e6));
            for polarisation in [Polarisation::Te, Polarisation::Tm, Polarisation::Mean] {
                let found = reflected_amplitude(&layers, Hertz(868.65e6), 0.0, polarisation);
                assert!((found + 1.0).norm() < 1e-3, "{} {polarisation:?} {found}", one.name);
            }
        }
    }
}
