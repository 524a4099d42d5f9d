//! Fresnel integrals and the knife edge.

use crate::published::{number, rows};
use approx::assert_abs_diff_eq;
use nalgebra::Complex;
use proptest::prelude::*;
use radio::{edge_field, edge_field_fast, edge_loss, edge_loss_approx, fresnel_integrals};

#[test]
fn fresnel_integrals_to_many_digits() {
    // Double precision, with an argument reduced exactly.
    const ERROR: f64 = 2e-15;
    for row in rows(include_str!("data/fresnel_integrals.csv")) {
        let (x, c, s) = (number(&row, 0), number(&row, 1), number(&row, 2));
        let ours = fresnel_integrals(x);
        assert!((ours.0 - c).abs() < ERROR, "C({x}): {} not {c}", ours.0);
        assert!((ours.1 - s).abs() < ERROR, "S({x}): {} not {s}", ours.1);
        assert_eq!(fresnel_integrals(-x), (-ours.0, -ours.1));
    }
}

#[test]
fn fresnel_integrals_of_abramowitz_and_stegun() {
    // Table 7.7, seven decimals, from memory (the book was not opened; they agree with the 50-digit
    // values of data/fresnel_integrals.csv).
    let table = [
        (0.5, 0.492_344_2, 0.064_732_4),
        (1.0, 0.779_893_4, 0.438_259_1),
        (1.5, 0.445_261_2, 0.697_505_0),
        (2.0, 0.488_253_4, 0.343_415_7),
        (5.0, 0.563_631_2, 0.499_191_4),
    ];
    for (x, c, s) in table {
        let ours = fresnel_integrals(x);
        assert_abs_diff_eq!(ours.0, c, epsilon = 5e-8);
        assert_abs_diff_eq!(ours.1, s, epsilon = 5e-8);
    }
}

#[test]
fn knife_edge_loss_of_p526() {
    // Half a unit of the third decimal.
    const ROUNDING_DB: f64 = 5e-4;
    for row in rows(include_str!("data/knife_edge.csv")) {
        let v = number(&row, 0);
        // The formula holds for v > −0.78, so that the row at −0.78 itself is met from above.
        let approximate = edge_loss_approx(v.next_up());
        assert_abs_diff_eq!(approximate.0, number(&row, 1), epsilon = ROUNDING_DB);
        assert_abs_diff_eq!(edge_loss(v).0, number(&row, 2), epsilon = ROUNDING_DB);
    }
}

#[test]
fn the_approximation_is_as_near_as_it_is_said_to_be() {
    for step in -78..=500 {
        let v = f64::from(step) / 100.0;
        let difference = edge_loss_approx(v) - edge_loss(v);
        assert!(difference.0.abs() < 0.135, "v {v}: {difference}");
    }
}

#[test]
fn the_field_has_its_limits() {
    assert_eq!(edge_field(0.0), Complex::new(0.5, 0.0));
    assert_eq!(edge_field(f64::INFINITY), Complex::from(0.0));
    assert_eq!(edge_field(f64::NEG_INFINITY), Complex::from(1.0));
    // Far in the shadow |F| → 1/(π·√2·v).
    let deep = edge_field(1e4).norm() * 1e4;
    assert_abs_diff_eq!(deep, 0.5f64.sqrt() / std::f64::consts::PI, epsilon = 1e-9);
}

#[test]
fn the_table_is_within_its_error() {
    let mut worst = 0f64;
    for step in -300_000..=300_000 {
        // An odd step, so that places within the intervals vary.
        let v = f64::from(step) * 4.000_37e-5;
        worst = worst.max((edge_field_fast(v) - edge_field(v)).norm());
    }
    for v in [20.0, 100.0, -333.3, 1e6, -1e9] {
        worst = worst.max((edge_field_fast(v) - edge_field(v)).norm());
    }
    assert!(worst < 1e-7, "{worst}");
}

proptest! {
    #[test]
    fn light_and_shadow_make_one(v in -1e3..1e3) {
        let sum = edge_field(v) + edge_field(-v);
        prop_assert!((sum - 1.0).norm() < 1e-15);
        let sum = edge_field_fast(v) + edge_field_fast(-v);
        prop_assert!((sum - 1.0).norm() < 1e-15);
    }

    #[test]
    fn series_and_fraction_meet(x in 1.499_999_9..1.500_000_1) {
        // dC/dx and dS/dx are at most one: neighbours on both sides of the seam stay this near.
        let (left, right) = (fresnel_integrals(x), fresnel_integrals(3.0 - x));
        prop_assert!((left.0 - right.0).abs() <= (2.0 * x - 3.0).abs() + 1e-15);
        prop_assert!((left.1 - right.1).abs() <= (2.0 * x - 3.0).abs() + 1e-15);
    }
}
