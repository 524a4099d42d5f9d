//! Free-space loss.

use approx::assert_abs_diff_eq;
use radio::free_space_loss;
use units::{Hertz, Metres};

/// ITU-R P.525 over 10 m, dB (the formula from memory; the values calculated with the exact speed
/// of light before this crate was written; three decimals).
const OVER_TEN_METRES: [(f64, f64); 7] = [
    (319.5, 42.537),
    (345.0, 43.204),
    (433.92, 45.196),
    (868.3, 51.221),
    (908.4, 51.613),
    (915.0, 51.676),
    (2450.0, 60.231),
];

/// Half a unit of the third decimal.
const ROUNDING_DB: f64 = 5e-4;

#[test]
fn ten_metres_at_each_band() {
    for (mhz, expected) in OVER_TEN_METRES {
        let loss = free_space_loss(Metres(10.0), Hertz::from_mhz(mhz));
        assert_abs_diff_eq!(loss.0, expected, epsilon = ROUNDING_DB);
    }
}

#[test]
fn one_kilometre_at_one_gigahertz() {
    // ITU-R P.525 prints the constant 32.4 (from memory); exactly it is 32.4478 (calculated), so
    // that the loss here is 92.4478 dB.
    let loss = free_space_loss(Metres(1000.0), Hertz::from_mhz(1000.0));
    assert_abs_diff_eq!(loss.0, 92.4478, epsilon = 5e-5);
}
