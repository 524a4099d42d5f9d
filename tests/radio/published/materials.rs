//! ITU-R P.2040 material properties.

use std::f64::consts::TAU;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use radio::{Material, VACUUM_PERMITTIVITY_F_PER_M, material};
use units::Hertz;

use crate::published::slab::P2040_1;

/// Conductivity of a row at a frequency, S/m, back from its permittivity.
fn conductivity(row: &Material, frequency: Hertz) -> f64 {
    -row.permittivity(frequency).im * TAU * frequency.0 * VACUUM_PERMITTIVITY_F_PER_M
}

/// ε′ and σ (S/m) at 9 GHz as printed, with five significant digits, on the function page of a
/// mathematics package for the materials of ITU-R P.2040-1 (secondary source, read in stored
/// copies).
const AT_NINE_GIGAHERTZ: [(&str, f64, f64); 8] = [
    ("concrete", 5.31, 0.19305),
    ("brick", 3.75, 0.038),
    ("plasterboard", 2.94, 0.054914),
    ("wood", 1.99, 0.049528),
    ("glass", 6.27, 0.059075),
    ("chipboard", 2.58, 0.12044),
    ("floorboard", 3.66, 0.085726),
    ("metal", 1.0, 1e7),
];

#[test]
fn worked_values_at_nine_gigahertz() {
    let frequency = Hertz::from_mhz(9000.0);
    for (name, permittivity, sigma) in AT_NINE_GIGAHERTZ {
        // Rows that the later edition changed are kept beside the slab reference.
        let row = P2040_1
            .iter()
            .find(|row| row.name == name)
            .or_else(|| material(name))
            .expect("a row of that name");
        assert_relative_eq!(row.permittivity(frequency).re, permittivity, max_relative = 1e-12);
        // Half a unit of the fifth significant digit is at most 5e-5 of the value.
        assert_relative_eq!(conductivity(row, frequency), sigma, max_relative = 5e-5);
    }
}

#[test]
fn rows_of_the_later_edition() {
    // a and c of ITU-R P.2040-3 Table 3 are ε′ and σ at 1 GHz for b = 0 (secondary source).
    let frequency = Hertz::from_mhz(1000.0);
    for (name, permittivity, sigma) in [
        ("concrete", 5.24, 0.0462),
        ("brick", 3.91, 0.0238),
        ("plasterboard", 2.73, 0.0085),
        ("wood", 1.99, 0.0047),
        ("glass", 6.31, 0.0036),
        ("ceiling-board", 1.48, 0.0011),
        ("chipboard", 2.58, 0.0217),
        ("plywood", 2.71, 0.33),
        ("marble", 7.074, 0.0055),
    ] {
        let row = material(name).expect("a row of that name");
        assert_abs_diff_eq!(row.permittivity(frequency).re, permittivity, epsilon = 1e-12);
        assert_abs_diff_eq!(conductivity(row, frequency), sigma, epsilon = 1e-12);
    }
}

#[test]
fn the_loss_factor_is_about_eighteen_sigma_over_gigahertz() {
    // ITU-R P.2040 prints η″ = 17.98·σ/f_GHz (seen in a secondary source), four digits.
    let frequency = Hertz::from_mhz(868.3);
    let concrete = material("concrete").expect("a row of that name");
    let factor = -concrete.permittivity(frequency).im * 0.8683 / conductivity(concrete, frequency);
    assert_abs_diff_eq!(factor, 17.98, epsilon = 5e-3);
}

#[test]
fn ranges_of_the_table() {
    // Only wood and glass are in range at 345 MHz; all building materials but floorboard are at
    // 2440 MHz (ITU-R P.2040-3 Table 3, seen in a secondary source).
    let outside = |name: &str, mhz| material(name).map(|m| m.is_extrapolated(Hertz::from_mhz(mhz)));
    for name in ["wood", "glass"] {
        assert_eq!(outside(name, 345.0), Some(false));
    }
    for name in ["concrete", "brick", "plasterboard", "chipboard", "plywood", "ceiling-board"] {
        assert_eq!(outside(name, 345.0), Some(true));
        assert_eq!(outside(name, 2440.0), Some(false));
    }
    assert_eq!(outside("floorboard", 2440.0), Some(true));
}
