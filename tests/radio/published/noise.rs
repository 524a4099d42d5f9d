//! Thermal and man-made noise.

use approx::assert_abs_diff_eq;
use radio::{NoiseEnvironment, link, noise_floor, thermal_noise_level};
use units::{Db, Hertz};

/// Half a unit of the second decimal.
const ROUNDING_DB: f64 = 5e-3;

#[test]
fn thermal_noise_in_common_bandwidths() {
    // −174 + 10·log10(B/Hz), calculated before this crate was written; the rounded −174 is 0.025 dB
    // below kT₀ at 290 K, which is −173.975 dBm/Hz.
    const ROUNDED_CONSTANT_DB: f64 = 0.025;
    let expected = [
        (10.0, -133.97),
        (25.0, -130.00),
        (50.0, -126.99),
        (100.0, -123.97),
        (200.0, -120.96),
        (300.0, -119.20),
        (1000.0, -113.97),
        (2000.0, -110.96),
    ];
    for (khz, dbm) in expected {
        let tolerance = ROUNDING_DB + ROUNDED_CONSTANT_DB;
        assert_abs_diff_eq!(thermal_noise_level(khz).0, dbm, epsilon = tolerance);
    }
}

#[test]
fn man_made_noise_of_p372() {
    // Fam of ITU-R P.372-17 (coefficients seen in a secondary source; values calculated before this
    // crate was written): city, residential, rural.
    let expected = [
        (319.5, [7.43, 3.13, -2.17]),
        (433.92, [3.74, -0.56, -5.86]),
        (868.3, [-4.60, -8.90, -14.20]),
        (915.0, [-5.23, -9.53, -14.83]),
    ];
    let places = [NoiseEnvironment::City, NoiseEnvironment::Residential, NoiseEnvironment::Rural];
    for (mhz, figures) in expected {
        for (place, figure) in places.into_iter().zip(figures) {
            let frequency = Hertz::from_mhz(mhz);
            let ours = place.man_made_figure(frequency).expect("a place with man-made noise");
            assert_abs_diff_eq!(ours.0, figure, epsilon = ROUNDING_DB);
            // The fit ends at 250 MHz, in a city at 900 MHz (seen in a secondary source).
            let in_range = place == NoiseEnvironment::City && mhz < 900.0;
            assert_eq!(place.is_extrapolated(frequency), !in_range);
        }
    }
}

#[test]
fn a_noise_floor_worked_by_hand() {
    // 319.5 MHz, residential: fₐ = 10^0.313 = 2.056; noise figure 8 dB: fᵣ = 6.310;
    // f = 7.366 = 8.672 dB; −123.975 + 8.672 = −115.303 dBm (calculated here).
    let floor = noise_floor(100.0, Db(8.0), Hertz::from_mhz(319.5), NoiseEnvironment::Residential);
    assert_abs_diff_eq!(floor.0, -115.303, epsilon = ROUNDING_DB);
}

#[test]
fn the_default_link_needs_what_its_noise_asks() {
    // Thermal example: 100 kHz, 8 dB, 12 dB: −103.97 dBm with the rounded constant, −103.98 + 0.025
    // with the exact one (calculated); man-made noise of a quiet place adds nothing.
    let mut link = link("us-345").expect("a built-in link");
    link.sensitivity = units::Dbm(-200.0);
    let needed = link.level_needed(NoiseEnvironment::Quiet);
    assert_abs_diff_eq!(needed.0, -103.975, epsilon = ROUNDING_DB);
}
