//! Plane waves through a stack of layers, electric field parallel to the faces (TE).
//!
//! Written apart from the library's own slab formula, so that the two can be held against each
//! other through the full-wave solution.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use nalgebra::Complex;

use super::solver::{C, EPSILON_0};

/// A complex number.
pub type C64 = Complex<f64>;

/// One layer: relative permittivity, conductivity in S/m, thickness in m.
#[derive(Clone, Copy, PartialEq)]
pub struct Layer {
    /// Relative permittivity, real part.
    pub permittivity: f64,
    /// Conductivity, S/m.
    pub conductivity: f64,
    /// Thickness, m.
    pub thickness_m: f64,
}

/// Amplitude transmission and reflection of `layers` in air for the normalised tangential
/// wavenumber `sine` (the sine of the incidence angle, above 1 for evanescent waves).
///
/// The phase of the transmission is taken relative to the same thickness of air.
pub fn te_response(layers: &[Layer], frequency_hz: f64, sine: f64) -> (C64, C64) {
    let k0 = TAU * frequency_hz / C;
    let normal = |permittivity: C64| {
        let root = (permittivity - sine * sine).sqrt();
        // The branch that decays (or runs) forward for exp(+jωt).
        if root.im > 0.0 { -root } else { root }
    };
    let outside = normal(C64::new(1.0, -0.0));
    // Characteristic matrix of E and η0·H, face to face.
    let j = C64::i();
    let one = C64::new(1.0, 0.0);
    let mut m = [[one, C64::default()], [C64::default(), one]];
    let mut total = 0.0;
    for layer in layers {
        let loss = layer.conductivity / (TAU * frequency_hz * EPSILON_0);
        let q = normal(C64::new(layer.permittivity, -loss));
        let phase = q * k0 * layer.thickness_m;
        let (sin, cos) = (phase.sin(), phase.cos());
        let n = [[cos, j * sin / q], [j * q * sin, cos]];
        m = [
            [m[0][0] * n[0][0] + m[0][1] * n[1][0], m[0][0] * n[0][1] + m[0][1] * n[1][1]],
            [m[1][0] * n[0][0] + m[1][1] * n[1][0], m[1][0] * n[0][1] + m[1][1] * n[1][1]],
        ];
        total += layer.thickness_m;
    }
    let q = outside;
    let (a, b) = (m[0][0] + m[0][1] * q, m[1][0] + m[1][1] * q);
    let denominator = q * a + b;
    let air = (j * q * k0 * total).exp();
    (q * 2.0 / denominator * air, (q * a - b) / denominator)
}

/// Field of a line source behind an infinite slab, in the measure of H0⁽²⁾(k·d): `across` m beyond
/// the source at right angles to the slab, `along` m aside.
///
/// The plane-wave spectrum H0⁽²⁾(k·d) = 1/π·∫ exp(−j(kx·x + ky·y))/ky dkx, each wave times its own
/// transmission; kx = k·sin θ where the waves run on, kx = k·cosh u where they die away.
pub fn line_source_behind(layers: &[Layer], frequency_hz: f64, across: f64, along: f64) -> C64 {
    const STEPS: usize = 4000;
    let k = TAU * frequency_hz / C;
    let j = C64::i();
    let mut sum = C64::default();
    let step = FRAC_PI_2 / STEPS as f64;
    for n in 0..STEPS {
        let (sin, cos) = ((n as f64 + 0.5) * step).sin_cos();
        let (t, _) = te_response(layers, frequency_hz, sin);
        sum += t * (-j * k * cos * across).exp() * (2.0 * (k * sin * along).cos() * step);
    }
    // Beyond k·across·sinh u = 40 nothing is left: e^−40.
    let step = (40.0 / (k * across)).asinh() / STEPS as f64;
    for n in 0..STEPS {
        let u = (n as f64 + 0.5) * step;
        let (t, _) = te_response(layers, frequency_hz, u.cosh());
        let decay = (-k * u.sinh() * across).exp();
        sum += t * j * (decay * 2.0 * (k * u.cosh() * along).cos() * step);
    }
    sum / PI
}
