//! The exact length of a string pulled taut round circles: what a worked case is compared with.

use std::f64::consts::{PI, TAU};

/// On which side of the string a circle lies.
pub const LEFT: f64 = 1.0;
pub const RIGHT: f64 = -1.0;

/// Length from `from` to `to` round circles of one radius, in order: between two circles runs their
/// common tangent, round each an arc.
///
/// For a direction u with left normal n, circles of signed radii a and b (left positive) whose
/// centres are v apart touch a common tangent of length L where v = L u + (b − a) n.
pub fn length_m(from: [f64; 2], circles: &[([f64; 2], f64)], to: [f64; 2], radius_m: f64) -> f64 {
    let mut stops = vec![(from, 0.0)];
    stops.extend(circles.iter().map(|(centre, side)| (*centre, side * radius_m)));
    stops.push((to, 0.0));
    let legs: Vec<(f64, f64)> = stops
        .windows(2)
        .map(|pair| {
            let ((p, a), (q, b)) = (pair[0], pair[1]);
            let (x, y) = (q[0] - p[0], q[1] - p[1]);
            let length = (x * x + y * y - (b - a) * (b - a)).sqrt();
            (length, y.atan2(x) - (b - a).atan2(length))
        })
        .collect();
    let straight: f64 = legs.iter().map(|(length, _)| length).sum();
    let arcs: f64 = legs
        .windows(2)
        .zip(circles)
        .map(|(pair, (_, side))| {
            let turn = side * ((pair[1].1 - pair[0].1 + PI).rem_euclid(TAU) - PI);
            assert!(turn >= 0.0, "the string leaves the circle: {turn}");
            turn * radius_m
        })
        .sum();
    straight + arcs
}

/// A string over a quarter of a circle, by hand: from (−3, 1) level to the top of a unit circle
/// round the origin, a quarter turn, down to (1, −2).
#[test]
fn a_quarter_turn_is_two_legs_and_an_arc() {
    let length = length_m([-3.0, 1.0], &[([0.0, 0.0], RIGHT)], [1.0, -2.0], 1.0);
    assert!((length - (3.0 + PI / 2.0 + 2.0)).abs() < 1e-12);
}
