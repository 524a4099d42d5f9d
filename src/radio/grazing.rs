//! How steeply a wave from a near source meets a plane that its ray only grazes.
//!
//! A device sends no plane wave but a bundle of them. Over a path whose phase is kL only those
//! count whose cosine of incidence differs from the ray's by 1/√(kL) or so: the phase of a plane
//! wave with the cosine c' falls behind that of the ray by kL·(c' − c)²/2 where c is small
//! (stationary phase; derived here). Met steeply, a slab does the same to all of the bundle.
//! Grazed, it would let nothing through and reflect all with the ray's own cosine, while the
//! steeper part of the bundle passes: the same near the ground is the surface wave of a vertical
//! aerial, which is there below a numerical distance of one (K. A. Norton, The Propagation of Radio
//! Waves over the Surface of the Earth, 1936; from memory). So slabs are taken at the root of the
//! sum of both squares. The mean amplitude of the bundle would be less about c = 1/√(kL), but a
//! device's forecast is a mean of powers over its spot; full-wave solutions of nine houses have the
//! least error with once to twice the bundle's square, and more with none and with 0.64 of it.

/// Cosine of incidence of the bundle of waves along a ray which meets a plane with the cosine
/// `cos_incidence`, −1 to 1: at least that of the ray and at most one. `per_radian` is 1/(kL), zero
/// for a plane wave.
#[inline]
#[must_use]
pub fn bundle_cosine(cos_incidence: f64, per_radian: f64) -> f64 {
    let cos = (cos_incidence * cos_incidence + per_radian).sqrt();
    // Not `min`, which minds what is not a number and takes longer.
    if cos > 1.0 { 1.0 } else { cos }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::Complex;

    #[test]
    fn a_steep_ray_is_its_own_bundle_and_a_grazing_one_is_not() {
        let radians = 63.0;
        assert!((bundle_cosine(0.9, 1.0 / radians) - 0.9).abs() < 0.01);
        assert!((bundle_cosine(0.0, 1.0 / radians) - 0.126).abs() < 0.001);
        assert!((bundle_cosine(1.0, 2.0) - 1.0).abs() < 1e-12);
    }

    /// A plane that passes the amplitude |cos| of what meets it: the mean over the bundle about the
    /// cosine c, √(kL/2πj)·∫ |c'|·exp(j·kL·(c' − c)²/2) dc', summed step by step with a little
    /// absorption, which makes an end of it. What is taken is a quarter more at grazing incidence,
    /// at most 1.6 times as much beside it, and the same beyond three times the spread.
    #[test]
    fn the_root_mean_square_stands_for_the_mean_of_the_bundle() {
        let sigma = f64::sqrt(1.0 / 60.0);
        for times in [0.0, 0.5, 1.0, 2.0, 4.0] {
            let c = times * sigma;
            let step = 0.002;
            let bundle = Complex::new(0.01, -1.0) * -0.5;
            let sum = |of: &dyn Fn(f64) -> f64| -> Complex<f64> {
                let places = (-30_000..=30_000).map(|i| f64::from(i) * step);
                places.map(|u| (bundle * (u * u)).exp() * of(c + u * sigma)).sum()
            };
            let mean = (sum(&f64::abs) / sum(&|_| 1.0)).norm();
            let found = bundle_cosine(c, 1.0 / 60.0);
            let most = [(0.0, 1.3), (2.5, 1.6), (f64::INFINITY, 1.08)];
            let most = most.iter().find(|(below, _)| times <= *below).map_or(1.0, |one| one.1);
            assert!((0.98..most).contains(&(found / mean)), "{times}: {mean} {found}");
        }
    }
}
