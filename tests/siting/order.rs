//! The order of a round against all orders that there are.

use proptest::prelude::*;
use siting::order::{EXACT_PLACES, quickest_order, time_of};

/// Times between places in a plane, with a start.
fn times(points: &[(f64, f64)]) -> Vec<Vec<f64>> {
    let far = |a: &(f64, f64), b: &(f64, f64)| (a.0 - b.0).hypot(a.1 - b.1);
    points.iter().map(|a| points.iter().map(|b| far(a, b)).collect()).collect()
}

/// The least time of all orders of the places that are left.
fn least(times: &[Vec<f64>], here: usize, left: &mut Vec<usize>) -> f64 {
    if left.is_empty() {
        return 0.0;
    }
    let mut best = f64::INFINITY;
    for at in 0..left.len() {
        let next = left.remove(at);
        best = best.min(times[here][next] + least(times, next, left));
        left.insert(at, next);
    }
    best
}

fn is_order(order: &[usize], places: usize) -> bool {
    let mut sorted = order.to_vec();
    sorted.sort_unstable();
    sorted == (1..=places).collect::<Vec<_>>()
}

fn points(number: std::ops::Range<usize>) -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((0.0..20.0_f64, 0.0..12.0_f64), number)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn a_short_round_is_the_quickest_of_all(points in points(1..9)) {
        let times = times(&points);
        let order = quickest_order(&times);
        let places = points.len() - 1;
        prop_assert!(is_order(&order, places));
        let best = least(&times, 0, &mut (1..=places).collect());
        prop_assert!((time_of(&times, &order) - best).abs() < 1e-9);
    }

    #[test]
    fn a_long_round_visits_all_and_no_turn_makes_it_quicker(points in points(15..40)) {
        let times = times(&points);
        let order = quickest_order(&times);
        prop_assert!(is_order(&order, points.len() - 1));
        prop_assert_eq!(&order, &quickest_order(&times));
        let time = time_of(&times, &order);
        for first in 0..order.len() {
            for last in first + 1..order.len() {
                let mut turned = order.clone();
                turned[first..=last].reverse();
                prop_assert!(time_of(&times, &turned) > time - 1e-6);
            }
        }
    }
}

#[test]
fn the_search_for_many_comes_near_the_exact_order() {
    // One place more than is exact, so that the search is used; the exact order of all but one is
    // a bound from below, since a place on top never makes a round shorter.
    let place = |n: usize| ((n * 7 % 13) as f64, (n * 11 % 17) as f64);
    let points: Vec<_> = (0..EXACT_PLACES + 2).map(place).collect();
    let (all, fewer) = (times(&points), times(&points[..points.len() - 1]));
    let (found, bound) = (quickest_order(&all), quickest_order(&fewer));
    let ratio = time_of(&all, &found) / time_of(&fewer, &bound);
    assert!((1.0 - 1e-9..1.35).contains(&ratio), "{ratio}");
}

#[test]
fn equal_ways_go_to_the_lower_number() {
    let all = vec![vec![1.0; 5]; 5];
    assert_eq!(quickest_order(&all), quickest_order(&all));
    assert_eq!(quickest_order(&[vec![0.0]]), Vec::<usize>::new());
    assert_eq!(quickest_order(&[]), Vec::<usize>::new());
    assert_eq!(quickest_order(&[vec![0.0, 3.0], vec![3.0, 0.0]]), [1]);
}
