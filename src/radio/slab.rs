//! Plane-wave transmission through, and reflection from, a stack of layers in air.
//!
//! # Model
//! Tangential fields (E, H) are carried from the far face to the near face by one 2×2 complex
//! matrix a layer. With γ = √(η − sin²θ), δ = k₀·d·γ and the layer's wave admittance relative to
//! free space, Y = γ (TE) or Y = η/γ (TM):
//!
//! ```text
//! bulk layer   | cos δ      j·sin δ / Y |      film   | 1      0 |
//!              | j·Y·sin δ  cos δ       |             | Z₀/Rₛ  1 |
//! ```
//!
//! The wave that leaves is (1, Y₀), Y₀ = cos θ (TE) or 1/cos θ (TM); with (E, H) what stands at the
//! near face, T = 2Y₀/(Y₀E + H) and R = (Y₀E − H)/(Y₀E + H). The factor e^{jδ} is taken out of
//! every matrix and kept as a logarithm, so that neither a sheet of metal nor 100 m of concrete
//! overflows.
//!
//! Time runs as e^{+jωt}: a lossy permittivity has a negative imaginary part.
//!
//! # Not modelled
//! Roughness, studs, rebar and all that is not the same along the face; the wall's finite size.
//!
//! # References
//! - ITU-R P.2040, multilayer slab (seen in a secondary source, the Recommendation itself not
//!   opened); Born and Wolf, Principles of Optics, section 1.6 (characteristic matrix; from
//!   memory).

use std::f64::consts::TAU;

use nalgebra::{Complex, Matrix2, Vector2};

use crate::materials::VACUUM_PERMITTIVITY_F_PER_M;
use units::{Hertz, Metres, PowerRatio, SPEED_OF_LIGHT_M_PER_S};

/// Wave impedance of free space, 1/(ε₀c) ≈ 376.730 Ω.
const FREE_SPACE_IMPEDANCE_OHM: f64 = 1.0 / (VACUUM_PERMITTIVITY_F_PER_M * SPEED_OF_LIGHT_M_PER_S);

/// Which way the electric field stands to the plane of incidence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Polarisation {
    /// Electric field parallel to the wall's face and perpendicular to the plane of incidence.
    Te,
    /// Electric field in the plane of incidence.
    Tm,
    /// The mean of the two power responses: for a sensor whose polarisation is unknown.
    Mean,
}

/// One layer of a stack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SlabLayer {
    /// A layer with thickness.
    Bulk {
        /// Complex relative permittivity η = ε′ − j·σ/(2πfε₀); imaginary part zero or negative.
        permittivity: Complex<f64>,
        /// Thickness; zero leaves the layer out.
        thickness: Metres,
    },
    /// A conducting film much thinner than its skin depth.
    Film {
        /// Sheet resistance in ohms per square; zero or less is taken as a perfect conductor.
        sheet_resistance_ohm: f64,
    },
}

/// What a stack does to a plane wave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlabResponse {
    /// |T|²: the part of the power that goes through, 0 to 1.
    pub transmittance: PowerRatio,
    /// |R|²: the part of the power that is reflected, 0 to 1.
    pub reflectance: PowerRatio,
}

/// The response of a stack with air on both sides (see the module's head for the model).
///
/// # Units
/// `cos_incidence` is the cosine of the angle between the ray and the face's normal, clamped to
/// 0 ..= 1. At 0 (grazing) the limit is given: nothing through and all reflected, or, for a stack
/// that is air (and for a bare film under TM), all through.
///
/// The layers run from the side of incidence; the transmittance is the same from either side, the
/// reflectance is not.
#[must_use]
pub fn slab_response(
    layers: &[SlabLayer],
    frequency: Hertz,
    cos_incidence: f64,
    polarisation: Polarisation,
) -> SlabResponse {
    let cos = cos_incidence.clamp(0.0, 1.0);
    let (transmittance, reflectance) = if cos == 0.0 {
        grazing_response(layers, frequency, polarisation)
    } else {
        power_response(layers, frequency, cos, polarisation)
    };
    SlabResponse {
        transmittance: PowerRatio(transmittance.clamp(0.0, 1.0)),
        reflectance: PowerRatio(reflectance.clamp(0.0, 1.0)),
    }
}

/// The amplitude that a stack reflects at its near face, as far as the field is along that of the
/// direct wave between the same two ends, whose interference it makes.
///
/// With Γ of the tangential field, θ the angle of incidence and δ the angle between the mirror's
/// normal and the direct wave, the reflected field of a TE wave is along the direct one, that of a
/// TM wave −(1 − cos²θ − cos²δ) along it: the product of the cosines between direct and leaving,
/// and direct and arriving wave. At grazing incidence that is −1, and the wave comes back in
/// antiphase; straight before a wall it is +1. A wave without a known polarisation is upright and
/// level in equal parts; which of them is TE depends on how the mirror stands, and the mean is the
/// same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReflectedAmplitude {
    /// At grazing incidence of both waves.
    grazing: Complex<f64>,
    /// What is added for each unit of cos²θ + cos²δ.
    steep: Complex<f64>,
}

impl ReflectedAmplitude {
    /// Nothing is reflected.
    pub const NONE: Self = Self { grazing: Complex::ZERO, steep: Complex::ZERO };

    /// The amplitude for cos²θ + cos²δ, 0 to 2; its modulus is at most the root of the reflectance.
    #[inline]
    #[must_use]
    pub fn along_direct(&self, cos2_sum: f64) -> Complex<f64> {
        self.grazing + self.steep * cos2_sum
    }

    /// The amplitude a fraction of the way to another one.
    #[inline]
    #[must_use]
    pub fn towards(&self, other: &Self, fraction: f64) -> Self {
        let between = |one: Complex<f64>, two: Complex<f64>| one + (two - one) * fraction;
        Self {
            grazing: between(self.grazing, other.grazing),
            steep: between(self.steep, other.steep),
        }
    }
}

/// The [`ReflectedAmplitude`] of a stack.
#[must_use]
pub fn reflected_amplitude(
    layers: &[SlabLayer],
    frequency: Hertz,
    cos_incidence: f64,
    polarisation: Polarisation,
) -> ReflectedAmplitude {
    // At grazing itself the matrix has no inverse; so near to it the limit is reached.
    let cos = cos_incidence.clamp(1e-6, 1.0);
    let [te, tm] = both_waves(layers, frequency, cos).map(|wave| wave.reflection());
    let (grazing, steep) = match polarisation {
        Polarisation::Te => (te, Complex::ZERO),
        Polarisation::Tm => (-tm, tm),
        Polarisation::Mean => ((te - tm) * 0.5, tm * 0.5),
    };
    ReflectedAmplitude { grazing, steep }
}

/// Transmittance and reflectance for a positive cosine.
fn power_response(
    layers: &[SlabLayer],
    frequency: Hertz,
    cos: f64,
    polarisation: Polarisation,
) -> (f64, f64) {
    let [te, tm] = both_responses(layers, frequency, cos);
    match polarisation {
        Polarisation::Te => te,
        Polarisation::Tm => tm,
        Polarisation::Mean => (0.5 * (te.0 + tm.0), 0.5 * (te.1 + tm.1)),
    }
}

/// The limit at grazing incidence: each polarisation is either wholly through or wholly back.
fn grazing_response(
    layers: &[SlabLayer],
    frequency: Hertz,
    polarisation: Polarisation,
) -> (f64, f64) {
    // So near to grazing that the limit is reached for every layer that is not air.
    const NEARLY_GRAZING: f64 = 1e-9;
    let limit = both_responses(layers, frequency, NEARLY_GRAZING)
        .map(|(through, _)| if through > 0.5 { 1.0 } else { 0.0 });
    let [te, tm] = limit;
    let through = match polarisation {
        Polarisation::Te => te,
        Polarisation::Tm => tm,
        Polarisation::Mean => 0.5 * (te + tm),
    };
    (through, 1.0 - through)
}

/// Transmittance and reflectance under TE and under TM. Both are always made: roots and
/// exponentials, which cost the most, are the same.
fn both_responses(layers: &[SlabLayer], frequency: Hertz, cos: f64) -> [(f64, f64); 2] {
    both_waves(layers, frequency, cos).map(|wave| wave.response())
}

/// The tangential fields at the near face under TE and under TM.
fn both_waves(layers: &[SlabLayer], frequency: Hertz, cos: f64) -> [Wave; 2] {
    let wavenumber = TAU * frequency.0 / SPEED_OF_LIGHT_M_PER_S;
    let mut te = Wave::leaving(cos);
    let mut tm = Wave::leaving(cos.recip());
    for layer in layers.iter().rev() {
        match *layer {
            SlabLayer::Bulk { permittivity, thickness } => {
                let root = longitudinal_root(permittivity, cos);
                let delta = root * (wavenumber * thickness.0.max(0.0));
                // e^{−2jδ}, of modulus ≤ 1.
                let round_trip = (delta * Complex::new(0.0, -2.0)).exp();
                te.pass(bulk_matrix(round_trip, root), -delta.im);
                tm.pass(bulk_matrix(round_trip, permittivity / root), -delta.im);
            }
            SlabLayer::Film { sheet_resistance_ohm } => {
                let film = film_matrix(sheet_resistance_ohm);
                te.pass(film, 0.0);
                tm.pass(film, 0.0);
            }
        }
    }
    [te, tm]
}

/// The tangential fields of one polarisation on their way from the far face to the near one.
struct Wave {
    /// Admittance Y₀ of the air on both sides.
    air: f64,
    /// (E, H) without the amplitude below.
    field: Vector2<Complex<f64>>,
    /// Natural logarithm of the amplitude taken out of `field`.
    ln_amplitude: f64,
}

impl Wave {
    fn leaving(air: f64) -> Self {
        Self { air, field: Vector2::new(Complex::from(1.0), Complex::from(air)), ln_amplitude: 0.0 }
    }

    fn pass(&mut self, layer: Matrix2<Complex<f64>>, ln_amplitude: f64) {
        self.field = layer * self.field;
        self.ln_amplitude += ln_amplitude;
        let size = self.field.x.l1_norm() + self.field.y.l1_norm();
        if size > 1e60 {
            self.field.unscale_mut(size);
            self.ln_amplitude += size.ln();
        }
    }

    fn reflection(&self) -> Complex<f64> {
        let electric = self.field.x * self.air;
        (electric - self.field.y) / (electric + self.field.y)
    }

    fn response(&self) -> (f64, f64) {
        let electric = self.field.x * self.air;
        let power = (electric + self.field.y).norm_sqr();
        let through = 4.0 * self.air * self.air / power * (-2.0 * self.ln_amplitude).exp();
        (through, (electric - self.field.y).norm_sqr() / power)
    }
}

/// √(η − sin²θ) on the branch that decays (imaginary part not positive).
fn longitudinal_root(permittivity: Complex<f64>, cos: f64) -> Complex<f64> {
    // η − 1 + cos² rather than η − sin²: exact for air near grazing. The square root is written
    // out: for an imaginary part that is never positive there is but one branch, and no angle to
    // take.
    let square = permittivity - 1.0 + cos * cos;
    let modulus = square.norm_sqr().sqrt();
    let large = (0.5 * (modulus + square.re.abs())).sqrt();
    // A wave exactly along the layer: the matrix has a limit there, its formula has not.
    if large < 1e-12 {
        return Complex::from(1e-12);
    }
    let small = 0.5 * square.im.abs() / large;
    if square.re >= 0.0 { Complex::new(large, -small) } else { Complex::new(small, -large) }
}

/// A bulk layer's matrix without its factor e^{jδ}, from e^{−2jδ}.
fn bulk_matrix(round_trip: Complex<f64>, admittance: Complex<f64>) -> Matrix2<Complex<f64>> {
    let cosine = (round_trip + 1.0) * 0.5;
    let j_sine = (-round_trip + 1.0) * 0.5;
    Matrix2::new(cosine, j_sine / admittance, j_sine * admittance, cosine)
}

/// A film's matrix: the tangential magnetic field jumps by the current in the film.
fn film_matrix(sheet_resistance_ohm: f64) -> Matrix2<Complex<f64>> {
    // 1e-9 Ω passes 1e-23 of the power: a perfect conductor, without a division by zero.
    let admittance = FREE_SPACE_IMPEDANCE_OHM / sheet_resistance_ohm.max(1e-9);
    let one = Complex::from(1.0);
    Matrix2::new(one, Complex::from(0.0), Complex::from(admittance), one)
}
