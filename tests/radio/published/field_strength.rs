//! Field-strength limits of 47 CFR part 15 as EIRP.

use approx::assert_abs_diff_eq;
use radio::{eirp_from_field_strength, link};
use units::Dbm;

/// Half a unit of the second decimal.
const ROUNDING_DB: f64 = 5e-3;

/// Field strength at 3 m by 47 CFR 15.231(b), µV/m: linear from 3750 at 260 MHz to 12500 at 470 MHz
/// (end points seen in a secondary source). The closed form 41.6667·F − 7083.3333 is from memory
/// and agrees with the end points.
fn limit_microvolt_per_m(mhz: f64) -> f64 {
    (mhz * 8750.0 - 1_487_500.0) / 210.0
}

#[test]
fn the_closed_form_meets_its_published_points() {
    assert_abs_diff_eq!(limit_microvolt_per_m(260.0), 3750.0, epsilon = 1e-9);
    assert_abs_diff_eq!(limit_microvolt_per_m(470.0), 12500.0, epsilon = 1e-9);
    // 433.92 MHz, 80.83 dBµV/m: printed in a public note on the rule (secondary source).
    let dbuv = 20.0 * limit_microvolt_per_m(433.92).log10();
    assert_abs_diff_eq!(dbuv, 80.83, epsilon = ROUNDING_DB);
}

#[test]
fn limits_of_15_231_as_eirp() {
    // E(dBµV/m) − 95.229 at 3 m, calculated before this crate was written, two decimals.
    let expected = [
        (315.0, -19.61),
        (319.5, -19.34),
        (345.0, -17.97),
        (390.0, -15.98),
        (418.0, -14.94),
        (433.92, -14.40),
        (470.0, -13.29),
    ];
    for (mhz, dbm) in expected {
        let eirp = eirp_from_field_strength(limit_microvolt_per_m(mhz));
        assert_abs_diff_eq!(eirp.0, dbm, epsilon = ROUNDING_DB);
    }
}

#[test]
fn the_links_carry_the_regulators_limits() {
    // 47 CFR 15.231(b) and 15.249 as above; CEPT ERC/REC 70-03, annex on alarms (read at the CEPT's
    // server): 10 mW and 25 mW ERP are 12.15 and 16.13 dBm EIRP.
    let expected = [
        ("us-319.5", -19.34),
        ("us-345", -17.97),
        ("us-433.92", -14.40),
        ("us-908.4", -1.25),
        ("us-915", -1.25),
        ("eu-868.65", 12.15),
        ("eu-869.225", 12.15),
        ("eu-869.275", 12.15),
        ("eu-869.35", 12.15),
        ("eu-869.675", 16.13),
    ];
    for (name, dbm) in expected {
        let Dbm(limit) = link(name).expect("a built-in link").regulatory_limit;
        assert_abs_diff_eq!(limit, dbm, epsilon = ROUNDING_DB);
    }
}
