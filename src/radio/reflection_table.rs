//! The amplitude that a stack reflects against the cosine of incidence, tabulated for the inner
//! loop.

use crate::slab::{Polarisation, ReflectedAmplitude, SlabLayer, reflected_amplitude};
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
    nodes: Vec<ReflectedAmplitude>,
}

impl ReflectionTable {
    /// Tabulates a stack as seen from the side of its first layer.
    #[must_use]
    pub fn new(layers: &[SlabLayer], frequency: Hertz, polarisation: Polarisation) -> Self {
        let cos = |node: usize| node as f64 / INTERVALS as f64;
        let at = |node| reflected_amplitude(layers, frequency, cos(node), polarisation);
        Self { nodes: (0..=INTERVALS).map(at).collect() }
    }

    /// A thing of which it is not known what it reflects.
    #[must_use]
    pub fn none() -> Self {
        Self { nodes: Vec::new() }
    }

    /// The amplitude; `cos` is clamped to 0 ..= 1.
    #[inline]
    #[must_use]
    pub fn amplitude(&self, cos: f64) -> ReflectedAmplitude {
        let place = cos.clamp(0.0, 1.0) * INTERVALS as f64;
        let interval = (place as usize).min(INTERVALS - 1);
        let (Some(left), Some(right)) = (self.nodes.get(interval), self.nodes.get(interval + 1))
        else {
            return ReflectedAmplitude::NONE;
        };
        left.towards(right, place - interval as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::constructions::catalogue;
    use crate::links::links;
    use crate::slab::slab_response;
    use nalgebra::{Complex, Matrix3, Vector3};
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
                    let power =
                        slab_response(&layers, link.frequency, cos, Polarisation::Mean).reflectance;
                    for cos2_sum in [0.0, cos * cos, 2.0 * cos * cos] {
                        let [found, exact] =
                            [table.amplitude(cos), exact].map(|one| one.along_direct(cos2_sum));
                        let off = (found - exact).norm();
                        if off > worst.0 {
                            worst = (off, format!("{} {} {cos}", one.name, link.name));
                        }
                        assert!(exact.norm_sqr() <= power.0 + 1e-9, "{} {cos}", one.name);
                    }
                }
            }
        }
        assert!(worst.0 < 0.02, "{worst:?}");
    }

    /// Fresnel's coefficients of a half space (Born and Wolf, Principles of Optics, section 1.5;
    /// from memory), for the tangential field under TM.
    fn half_space(permittivity: Complex<f64>, cos: f64) -> [Complex<f64>; 2] {
        let root = (permittivity - 1.0 + cos * cos).sqrt();
        let te = (Complex::from(cos) - root) / (root + cos);
        let tm = (root - permittivity * cos) / (root + permittivity * cos);
        [te, tm]
    }

    /// Ten metres of lossy ground.
    const GROUND: [SlabLayer; 1] =
        [SlabLayer::Bulk { permittivity: Complex::new(15.0, -6.0), thickness: Metres(10.0) }];

    #[test]
    fn a_thick_layer_reflects_as_a_half_space() {
        for cos in [0.05f64, 0.3, 0.7, 1.0] {
            let [te, tm] = half_space(Complex::new(15.0, -6.0), cos);
            for (polarisation, grazing, before) in [
                (Polarisation::Te, te, te),
                (Polarisation::Tm, -tm, tm),
                (Polarisation::Mean, (te - tm) * 0.5, (te + tm) * 0.5),
            ] {
                let found = reflected_amplitude(&GROUND, Hertz(433.92e6), cos, polarisation);
                for (found, wanted) in
                    [(found.along_direct(0.0), grazing), (found.along_direct(2.0), before)]
                {
                    assert!((found - wanted).norm() < 1e-6, "{polarisation:?} {cos} {found}");
                }
            }
        }
    }

    /// The mean over three orientations at both ends is a sum over all pairs of components: that of
    /// the direct and the reflected dyad, written out.
    #[test]
    fn the_dyads_of_two_waves_give_the_same() {
        let ends = |a: f64, b: f64, run: f64| {
            let direct = Vector3::new(run, 0.0, b - a).normalize();
            let [leaving, arriving] = [-1.0, 1.0].map(|s| Vector3::new(run, 0.0, s * (a + b)));
            (direct, leaving.normalize(), arriving.normalize())
        };
        for (a, b, run) in [(0.1, 2.0, 0.3), (1.2, 1.2, 4.0), (0.02, 1.0, 1.0), (1.0, 0.4, 0.01)] {
            let (direct, leaving, arriving) = ends(a, b, run);
            let cos = arriving.z;
            let [te, tm] = half_space(Complex::new(15.0, -6.0), cos);
            let across = Vector3::new(0.0, 1.0, 0.0);
            // Each of the TM vectors has the tangential field along +x.
            let [tm_in, tm_out] = [leaving, arriving].map(|k| {
                let p = across.cross(&k);
                if p.x < 0.0 { -p } else { p }
            });
            let level = across * across.transpose();
            let steep = tm_out * tm_in.transpose();
            let free: Matrix3<f64> = Matrix3::identity() - direct * direct.transpose();
            let both = te * (free.transpose() * level).trace() + tm * (free * steep).trace();
            let wanted = both / free.norm_squared();
            let cos2_sum = cos * cos + direct.z * direct.z;
            let found = reflected_amplitude(&GROUND, Hertz(433.92e6), cos, Polarisation::Mean)
                .along_direct(cos2_sum);
            assert!((found - wanted).norm() < 1e-6, "{a} {b} {run}: {found} {wanted}");
        }
    }

    #[test]
    fn at_grazing_incidence_a_wave_comes_back_in_antiphase() {
        for one in catalogue().iter().filter(|one| one.name.starts_with("floor-concrete")) {
            let layers = one.slab_layers(Hertz(868.65e6));
            for polarisation in [Polarisation::Te, Polarisation::Tm, Polarisation::Mean] {
                let found = reflected_amplitude(&layers, Hertz(868.65e6), 0.0, polarisation);
                let found = found.along_direct(0.0);
                assert!((found + 1.0).norm() < 1e-3, "{} {polarisation:?} {found}", one.name);
            }
        }
    }
}
