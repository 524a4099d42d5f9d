//! The field behind a single knife edge.
//!
//! # Model
//! Behind a half plane the field, over what free space would give, is a function of the Fresnel
//! parameter v alone (v > 0 in the shadow):
//!
//! ```text
//! F(v) = (1 + j)/2 · ∫_v^∞ exp(−jπt²/2) dt = ½·erfc((1 + j)·√π/2·v)
//! ```
//!
//! F(−∞) = 1, F(0) = ½, F(+∞) = 0 and F(v) + F(−v) = 1.
//!
//! # References
//! - ITU-R P.526, single knife-edge obstacle: J(v) and its approximation (seen in secondary
//!   sources, the Recommendation itself not opened).
//! - Abramowitz and Stegun, Handbook of Mathematical Functions, 7.1.14 (continued fraction, here in
//!   its even part), 7.1.23 (asymptotic series), 7.3.11-7.3.14 (power series); equation numbers
//!   from memory.

use std::f64::consts::{FRAC_PI_2, PI};
use std::sync::LazyLock;

use nalgebra::Complex;

use crate::cubic::Cubic;
use units::Db;

/// Below this |v| the power series is used: its largest term there is 33 times the sum, at most.
const SERIES_LIMIT: f64 = 1.5;

/// The Fresnel integrals C(x) = ∫₀ˣ cos(πt²/2) dt and S(x) = ∫₀ˣ sin(πt²/2) dt.
///
/// Error below 1e-13 for every real x (tested against 50-digit values).
#[must_use]
pub fn fresnel_integrals(x: f64) -> (f64, f64) {
    let (cosine, sine) = if x.abs() < SERIES_LIMIT {
        fresnel_series(x.abs())
    } else {
        // F = (1 + j)/2 · [(½ − C) − j(½ − S)], so C and S follow from F·(1 − j).
        let tail = shadow_field(x.abs()) * Complex::new(1.0, -1.0);
        (0.5 - tail.re, 0.5 + tail.im)
    };
    (cosine.copysign(x), sine.copysign(x))
}

/// Normalised field behind a half plane: F(v) of the module's head, exact to about 1e-13.
///
/// # Units
/// `v` is the dimensionless Fresnel parameter h·√(2/λ·(1/d₁ + 1/d₂)), positive in the shadow.
#[must_use]
pub fn edge_field(v: f64) -> Complex<f64> {
    let shadow = if v.abs() < SERIES_LIMIT {
        let (cosine, sine) = fresnel_series(v.abs());
        Complex::new(0.5, 0.5) * Complex::new(0.5 - cosine, sine - 0.5)
    } else {
        shadow_field(v.abs())
    };
    if v < 0.0 { 1.0 - shadow } else { shadow }
}

/// Knife-edge loss J(v) = −20·log10|F(v)|, exact; slightly negative at some v < −0.75, where the
/// edge adds to the direct field.
#[must_use]
pub fn edge_loss(v: f64) -> Db {
    Db(-10.0 * edge_field(v).norm_sqr().log10())
}

/// The approximation of ITU-R P.526 to J(v): 6.9 + 20·log10(√((v − 0.1)² + 1) + v − 0.1) for
/// v > −0.78, else 0 (seen in secondary sources). Within about 0.13 dB of [`edge_loss`] for
/// −0.78 < v < 5.
#[must_use]
pub fn edge_loss_approx(v: f64) -> Db {
    if v <= -0.78 {
        return Db(0.0);
    }
    let u = v - 0.1;
    Db(6.9 + 20.0 * (u.hypot(1.0) + u).log10())
}

/// C and S of 0 ≤ x < [`SERIES_LIMIT`] by their power series.
fn fresnel_series(x: f64) -> (f64, f64) {
    let phase = FRAC_PI_2 * x * x;
    let (mut cosine, mut sine) = (0.0, 0.0);
    // term = x·phaseⁿ/n!; even n belong to C, odd n to S, signs + + − − …
    let mut term = x;
    for n in 0..60 {
        let share = term / f64::from(2 * n + 1);
        let signed = if n & 2 == 0 { share } else { -share };
        if n & 1 == 0 {
            cosine += signed;
        } else {
            sine += signed;
        }
        if share < 1e-18 {
            break;
        }
        term *= phase / f64::from(n + 1);
    }
    (cosine, sine)
}

/// exp(−jπv²/2) with v² reduced exactly, so that the phase is right for any v.
fn edge_phase(v: f64) -> Complex<f64> {
    let square = v * v;
    let rest = v.mul_add(v, -square);
    let (sine, cosine) = (FRAC_PI_2 * (square % 4.0 + rest)).sin_cos();
    Complex::new(cosine, -sine)
}

/// F(v) for v ≥ [`SERIES_LIMIT`] by the continued fraction of erfc.
fn shadow_field(v: f64) -> Complex<f64> {
    if v > 1e100 {
        return Complex::from(0.0);
    }
    // Even part of A&S 7.1.14 with w = 2z² = jπv²:
    // erfc(z) = 2z/√π·e^{−z²} / (w + 1 − 1·2/(w + 5 − 3·4/(w + 9 − …))).
    let w = Complex::new(0.0, PI * v * v);
    let mut fraction = Complex::from(0.0);
    // Depth found by trial: from 112/v² steps (v = 1.5) the fraction has settled to 3e-16.
    let depth = 6 + (120.0 / (v * v)) as u32;
    for n in (1..=depth).rev() {
        let k = f64::from(2 * n);
        fraction = Complex::from((k - 1.0) * k) / (w + 2.0 * k + 1.0 - fraction);
    }
    let bracket = w + 1.0 - fraction;
    Complex::new(0.5 * v, 0.5 * v) * edge_phase(v) / bracket
}

/// The table of [`EdgeTable`] ends at this |v|.
const TABLE_END: f64 = 8.0;

/// Intervals per unit of v. The interpolation error is h⁴/384·|F⁗| with |F⁗| ≤ (πv)³/√2, at v = 8
/// 4.4e-8.
const PER_UNIT: usize = 160;

const TABLE_LENGTH: usize = PER_UNIT * TABLE_END as usize;

/// Real and imaginary cubic of one interval: 64 bytes, one cache line.
#[derive(Debug, Clone, Copy)]
#[repr(align(64))]
struct EdgeCubic {
    re: Cubic,
    im: Cubic,
}

/// F(v) by table: cubic Hermite with the exact slope F′ = −(1 + j)/2·exp(−jπv²/2) for |v| ≤ 8, four
/// terms of the asymptotic series beyond. Absolute error below 1e-7 (tested).
#[derive(Debug, Clone)]
struct EdgeTable {
    cubics: Box<[EdgeCubic; TABLE_LENGTH]>,
}

impl EdgeTable {
    /// Fills the table (80 KiB).
    fn new() -> Self {
        let step = 1.0 / PER_UNIT as f64;
        let node = |k: usize| {
            let v = k as f64 * step;
            (edge_field(v), Complex::new(-0.5, -0.5) * edge_phase(v) * step)
        };
        let mut cubics = Box::new([EdgeCubic { re: Cubic::ZERO, im: Cubic::ZERO }; TABLE_LENGTH]);
        let mut left = node(0);
        for (k, cubic) in cubics.iter_mut().enumerate() {
            let right = node(k + 1);
            *cubic = EdgeCubic {
                re: Cubic::hermite(left.0.re, left.1.re, right.0.re, right.1.re),
                im: Cubic::hermite(left.0.im, left.1.im, right.0.im, right.1.im),
            };
            left = right;
        }
        Self { cubics }
    }

    /// F(v); see [`edge_field`].
    #[inline]
    fn field(&self, v: f64) -> Complex<f64> {
        let depth = v.abs();
        let shadow = if depth < TABLE_END {
            let place = depth * PER_UNIT as f64;
            let interval = (place as i32 as usize).min(TABLE_LENGTH - 1);
            let t = place - interval as f64;
            let EdgeCubic { re, im } = &self.cubics[interval];
            Complex::new(re.at(t), im.at(t))
        } else {
            far_shadow_field(depth)
        };
        if v < 0.0 { 1.0 - shadow } else { shadow }
    }
}

/// F(v) for v ≥ [`TABLE_END`] by four terms of the asymptotic series of erfc; the first term left
/// out is 105/(πv²)⁴ of the whole, 6.5e-8 of 0.028 at v = 8.
fn far_shadow_field(v: f64) -> Complex<f64> {
    // u = 1/(πv²); 1/w = −ju: 1 − 1/w + 3/w² − 15/w³ = (1 − 3u²) + j(u − 15u³).
    let u = (PI * v * v).recip();
    let series = Complex::new(1.0 - 3.0 * u * u, u - 15.0 * u * u * u);
    let amplitude = (2.0 * PI * v).recip();
    Complex::new(amplitude, -amplitude) * edge_phase(v) * series
}

static EDGE_TABLE: LazyLock<EdgeTable> = LazyLock::new(EdgeTable::new);

/// F(v) by the shared `EdgeTable`: absolute error below 1e-7.
#[inline]
#[must_use]
pub fn edge_field_fast(v: f64) -> Complex<f64> {
    EDGE_TABLE.field(v)
}
