//! Slabs against closed forms and laws that hold for any slab.

use std::f64::consts::PI;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use nalgebra::Complex;
use proptest::prelude::*;
use radio::{Polarisation, SlabLayer, SlabResponse, material, slab_response};
use units::{Hertz, Metres};

const ONE_GIGAHERTZ: Hertz = Hertz(1e9);
const BOTH: [Polarisation; 2] = [Polarisation::Te, Polarisation::Tm];

fn layer(permittivity: Complex<f64>, metres: f64) -> SlabLayer {
    SlabLayer::Bulk { permittivity, thickness: Metres(metres) }
}

fn of(name: &str, metres: f64) -> SlabLayer {
    let row = material(name).expect("a material of that name");
    layer(row.permittivity(ONE_GIGAHERTZ), metres)
}

fn at_one_gigahertz(layers: &[SlabLayer], cos: f64, polarisation: Polarisation) -> SlabResponse {
    slab_response(layers, ONE_GIGAHERTZ, cos, polarisation)
}

#[test]
fn a_half_wave_slab_is_clear() {
    // Textbook: a lossless slab half a wavelength thick passes everything at normal incidence.
    let slab = layer(Complex::from(4.0), ONE_GIGAHERTZ.wavelength().0 / 4.0);
    let response = at_one_gigahertz(&[slab], 1.0, Polarisation::Te);
    assert_abs_diff_eq!(response.transmittance.0, 1.0, epsilon = 1e-14);
    assert_abs_diff_eq!(response.reflectance.0, 0.0, epsilon = 1e-14);
}

#[test]
fn a_quarter_wave_slab_reflects_the_most() {
    // Textbook: R = ((n² − 1)/(n² + 1))² for a slab a quarter of a wavelength thick; n² = 4 gives
    // 0.36.
    let slab = layer(Complex::from(4.0), ONE_GIGAHERTZ.wavelength().0 / 8.0);
    let response = at_one_gigahertz(&[slab], 1.0, Polarisation::Tm);
    assert_abs_diff_eq!(response.reflectance.0, 0.36, epsilon = 1e-14);
    assert_abs_diff_eq!(response.transmittance.0, 0.64, epsilon = 1e-14);
}

#[test]
fn nothing_tm_is_reflected_at_brewsters_angle() {
    // Textbook: tan θ = n, so cos θ = 1/√(1 + n²).
    for squared_index in [2.0, 4.0, 6.31] {
        let slab = layer(Complex::from(squared_index), 0.123);
        let cos = (1.0 + squared_index).sqrt().recip();
        let response = at_one_gigahertz(&[slab], cos, Polarisation::Tm);
        assert_abs_diff_eq!(response.reflectance.0, 0.0, epsilon = 1e-14);
        assert_abs_diff_eq!(response.transmittance.0, 1.0, epsilon = 1e-14);
    }
}

#[test]
fn a_thin_film_has_its_textbook_loss() {
    // 20·log10(1 + Z₀/2R) at normal incidence, Z₀ = 376.730 Ω. At an angle Z₀ is divided by cos θ
    // under TE and multiplied by it under TM.
    for ohm in [0.003, 4.0, 15.0, 377.0] {
        for cos in [1.0, 0.6, 0.1] {
            for (polarisation, factor) in [(Polarisation::Te, 1.0 / cos), (Polarisation::Tm, cos)] {
                let film = SlabLayer::Film { sheet_resistance_ohm: ohm };
                let loss = at_one_gigahertz(&[film], cos, polarisation).transmittance.to_loss();
                let expected = 20.0 * (1.0 + factor * 376.730_313_67 / (2.0 * ohm)).log10();
                assert_abs_diff_eq!(loss.0, expected, epsilon = 1e-8);
            }
        }
    }
}

#[test]
fn a_hundred_metres_of_concrete_are_a_half_space() {
    // Nothing gets through, and what comes back is Fresnel's coefficient of the face alone
    // (invariant of a public ray-tracing library's unit tests; the coefficients are textbook).
    let eta = material("concrete").map(|m| m.permittivity(ONE_GIGAHERTZ)).expect("a material");
    for degrees in [0.0f64, 30.0, 60.0, 85.0] {
        let cos = degrees.to_radians().cos();
        let root = (eta - 1.0 + cos * cos).sqrt();
        let te = ((-root + cos) / (root + cos)).norm_sqr();
        let tm = ((eta * cos - root) / (eta * cos + root)).norm_sqr();
        for (polarisation, expected) in [(Polarisation::Te, te), (Polarisation::Tm, tm)] {
            let response = at_one_gigahertz(&[layer(eta, 100.0)], cos, polarisation);
            assert!(response.transmittance.0 < 1e-60);
            assert_relative_eq!(response.reflectance.0, expected, max_relative = 1e-12);
        }
    }
}

#[test]
fn metal_reflects_everything_and_breaks_nothing() {
    // σ = 10⁷ S/m. A sheet of resistance R ≪ Z₀ takes at most 4·R/(Z₀·cos θ) of the power: R is
    // √(πfμ₀/σ) = 0.0199 Ω if the sheet is thicker than its skin, else 1/(σd).
    let cos = 0.7;
    for metres in [1e-6, 1e-3, 1.0, 1e6] {
        let resistance = (1e7f64 * metres).recip().max(0.0199);
        let lost = 4.0 * resistance / 376.73 / cos;
        for polarisation in BOTH {
            let response = at_one_gigahertz(&[of("metal", metres)], cos, polarisation);
            assert!(response.transmittance.0 < 1e-6);
            assert!(response.reflectance.0 < 1.0 && response.reflectance.0 > 1.0 - lost);
        }
    }
}

#[test]
fn grazing_incidence_has_its_limit() {
    for layers in [vec![of("brick", 0.1)], vec![of("metal", 0.001)], vec![of("glass", 0.004)]] {
        for polarisation in [Polarisation::Te, Polarisation::Tm, Polarisation::Mean] {
            let limit = at_one_gigahertz(&layers, 0.0, polarisation);
            assert_eq!((limit.transmittance.0, limit.reflectance.0), (0.0, 1.0));
            let near = at_one_gigahertz(&layers, 1e-7, polarisation);
            assert!(near.transmittance.0 < 1e-6 && near.reflectance.0 > 0.99, "{near:?}");
        }
    }
    let air = at_one_gigahertz(&[of("air", 0.1)], 0.0, Polarisation::Mean);
    assert_eq!((air.transmittance.0, air.reflectance.0), (1.0, 0.0));
}

#[test]
fn nothing_is_in_the_way_of_nothing() {
    for layers in [vec![], vec![of("air", 0.3)], vec![of("concrete", 0.0)]] {
        for cos in [1e-3, 0.5, 1.0] {
            let response = at_one_gigahertz(&layers, cos, Polarisation::Mean);
            assert_abs_diff_eq!(response.transmittance.0, 1.0, epsilon = 1e-12);
            assert_abs_diff_eq!(response.reflectance.0, 0.0, epsilon = 1e-12);
        }
    }
}

#[test]
fn the_period_of_a_thick_lossless_slab_is_half_a_wavelength() {
    // At 60° in η = 4 the phase thickness is k₀·d·√(η − sin²θ): adding π to it changes nothing.
    let root = (4.0f64 - 0.75).sqrt();
    let period = PI / (2.0 * PI / ONE_GIGAHERTZ.wavelength().0 * root);
    for polarisation in BOTH {
        let thin = at_one_gigahertz(&[layer(Complex::from(4.0), 0.03)], 0.5, polarisation);
        let thick = layer(Complex::from(4.0), 0.03 + 7.0 * period);
        let thick = at_one_gigahertz(&[thick], 0.5, polarisation);
        assert_relative_eq!(thin.transmittance.0, thick.transmittance.0, max_relative = 1e-12);
    }
}

/// Any layer that is not a gain medium, from air to metal, and films.
fn any_layer() -> impl Strategy<Value = SlabLayer> {
    let bulk = (1.0..10.0f64, -6.0..6.0f64, 0.0..0.5f64)
        .prop_map(|(re, ln_loss, metres)| layer(Complex::new(re, -ln_loss.exp()), metres));
    let film =
        (-3.0..3.0f64).prop_map(|log| SlabLayer::Film { sheet_resistance_ohm: 10f64.powf(log) });
    let metal = (0.0..0.01f64).prop_map(|metres| of("metal", metres));
    prop_oneof![6 => bulk, 1 => film, 1 => metal]
}

fn any_lossless_layer() -> impl Strategy<Value = SlabLayer> {
    (1.0..10.0f64, 0.0..0.5f64).prop_map(|(re, metres)| layer(Complex::from(re), metres))
}

fn any_polarisation() -> impl Strategy<Value = Polarisation> {
    prop_oneof![Just(Polarisation::Te), Just(Polarisation::Tm), Just(Polarisation::Mean)]
}

proptest! {
    #[test]
    fn lossless_slabs_keep_all_power(
        layers in prop::collection::vec(any_lossless_layer(), 0..6),
        cos in 0.01..1.0f64,
        polarisation in any_polarisation(),
    ) {
        let response = at_one_gigahertz(&layers, cos, polarisation);
        let sum = response.transmittance.0 + response.reflectance.0;
        prop_assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    }

    #[test]
    fn no_slab_makes_power(
        layers in prop::collection::vec(any_layer(), 0..8),
        cos in 0.0..=1.0f64,
        polarisation in any_polarisation(),
    ) {
        let response = at_one_gigahertz(&layers, cos, polarisation);
        let (t, r) = (response.transmittance.0, response.reflectance.0);
        prop_assert!(t >= 0.0 && r >= 0.0 && t + r <= 1.0 + 1e-9, "{t} {r}");
    }

    #[test]
    fn the_way_back_loses_the_same(
        layers in prop::collection::vec(any_layer(), 0..8),
        cos in 0.01..=1.0f64,
        polarisation in any_polarisation(),
    ) {
        let there = at_one_gigahertz(&layers, cos, polarisation).transmittance.0;
        let reversed: Vec<_> = layers.into_iter().rev().collect();
        let back = at_one_gigahertz(&reversed, cos, polarisation).transmittance.0;
        // Losses of thousands of decibels are exponentials of large numbers: relative error grows.
        prop_assert!((there - back).abs() <= 1e-8 * there + 1e-250, "{there} {back}");
    }

    #[test]
    fn a_layer_may_be_cut_in_two(
        one in any_layer(),
        share in 0.0..1.0f64,
        cos in 0.01..=1.0f64,
        polarisation in any_polarisation(),
    ) {
        let SlabLayer::Bulk { permittivity, thickness } = one else { return Ok(()) };
        let whole = at_one_gigahertz(&[one], cos, polarisation);
        let near = layer(permittivity, share * thickness.0);
        let far = layer(permittivity, (1.0 - share) * thickness.0);
        let cut = at_one_gigahertz(&[near, far], cos, polarisation);
        let (a, b) = (whole.transmittance.0, cut.transmittance.0);
        prop_assert!((a - b).abs() <= 1e-8 * a + 1e-250, "{a} {b}");
        prop_assert!((whole.reflectance.0 - cut.reflectance.0).abs() < 1e-9);
    }

    #[test]
    fn the_mean_is_the_mean_of_the_powers(
        layers in prop::collection::vec(any_layer(), 0..6),
        cos in 0.0..=1.0f64,
    ) {
        let [te, tm] = BOTH.map(|polarisation| at_one_gigahertz(&layers, cos, polarisation));
        let mean = at_one_gigahertz(&layers, cos, Polarisation::Mean);
        let through = 0.5 * (te.transmittance.0 + tm.transmittance.0);
        let back = 0.5 * (te.reflectance.0 + tm.reflectance.0);
        prop_assert!((mean.transmittance.0 - through).abs() <= 1e-12);
        prop_assert!((mean.reflectance.0 - back).abs() <= 1e-12);
    }
}
