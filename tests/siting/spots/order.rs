//! The front, the order and the spots offered.

use geo::Coord;
use proptest::prelude::*;
use siting::rank::{Objectives, Weights, ranking, unbeaten, well_apart};

use super::best::{apart_by_definition, front_by_definition, order_by_definition};

const EQUAL: Weights = Weights { reliability: 1.0, walk: 1.0, wire: 1.0 };

fn worth(keeps_all: bool, chance: f64, walk_s: f64, wire_m: f64) -> Objectives {
    Objectives {
        failing: 0,
        not_sound: usize::from(!keeps_all),
        any_fault_per_year: chance,
        walk_s: Some(walk_s),
        wire_m: Some(wire_m),
    }
}

/// Few values, so that ties are common.
fn random() -> impl Strategy<Value = Vec<Objectives>> {
    let figure = || prop::option::weighted(0.9, (0..8u8).prop_map(|n| f64::from(n) * 0.7));
    let lost = prop::sample::select(vec![(0, 0), (0, 0), (0, 0), (0, 1), (1, 1), (1, 2)]);
    let one = (lost, 0..6u8, figure(), figure());
    prop::collection::vec(one, 1..40).prop_map(|all| {
        let worth = |((failing, not_sound), chance, walk_s, wire_m)| Objectives {
            failing,
            not_sound,
            any_fault_per_year: f64::from(chance) * 0.013,
            walk_s,
            wire_m,
        };
        all.into_iter().map(worth).collect()
    })
}

#[test]
fn keeping_every_device_comes_before_all_else_and_the_front_before_the_beaten() {
    let objectives = [
        worth(false, 0.001, 1.0, 1.0),
        worth(true, 0.009, 9.0, 9.0),
        worth(true, 0.009, 9.0, 8.0),
        worth(true, 0.008, 12.0, 8.5),
    ];
    assert_eq!(unbeaten(&objectives), [false, false, true, true]);
    let order = ranking(&objectives, EQUAL);
    assert_eq!(order[2..], [1, 0]);
}

#[test]
fn differences_finer_than_a_step_do_not_count() {
    let one = worth(true, 0.00101, 5.01, 2.02);
    let other = worth(true, 0.00103, 5.04, 1.98);
    assert_eq!(unbeaten(&[one, other]), [true, true]);
    assert_eq!(ranking(&[other, one], EQUAL), [1, 0]);
}

#[test]
fn what_is_known_of_no_spot_plays_no_part_and_what_is_unknown_of_one_is_worst() {
    let blind = |chance| Objectives { walk_s: None, wire_m: None, ..worth(true, chance, 0.0, 0.0) };
    let all = [blind(0.005), blind(0.002), blind(0.002)];
    assert_eq!(unbeaten(&all), [false, true, true]);
    assert_eq!(ranking(&all, EQUAL), [1, 2, 0]);
    let mut one = [worth(true, 0.002, 6.0, 9.0), worth(true, 0.002, 6.0, 9.0)];
    one[0].wire_m = None;
    assert_eq!(unbeaten(&one), [false, true]);
    // Better in chance, so nobody beats it, but a spot that nobody can wire is not offered first.
    one[0].any_fault_per_year = 0.0;
    assert_eq!(unbeaten(&one), [true, true]);
    assert_eq!(ranking(&one, EQUAL), [1, 0]);
    let no_wire = Weights { wire: 0.0, ..EQUAL };
    assert_eq!(ranking(&one, no_wire), [0, 1]);
}

#[test]
fn a_chance_that_is_no_number_or_a_spot_without_a_place_breaks_nothing() {
    let objectives = [worth(false, f64::NAN, 1.0, 1.0), worth(false, 0.5, 2.0, 2.0)];
    assert_eq!(ranking(&objectives, EQUAL), [1, 0]);
    assert!(ranking(&[], EQUAL).is_empty() && unbeaten(&[]).is_empty());
    let origin = Coord { x: 0.0, y: 0.0 };
    assert_eq!(well_apart(&[7, 0, 0], &[(0, origin)], 3, 1.0), [0]);
    assert_eq!(well_apart(&[0, 0], &[(0, origin)], 0, 1.0), [0; 0]);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_front_and_the_order_are_those_of_their_definition(
        objectives in random(),
        weights in prop::array::uniform3(0.0..5.0f64),
    ) {
        let weights = Weights {
            reliability: weights[0],
            walk: weights[1],
            wire: weights[2],
        };
        prop_assert_eq!(unbeaten(&objectives), front_by_definition(&objectives));
        prop_assert_eq!(ranking(&objectives, weights), order_by_definition(&objectives, weights));
    }

    #[test]
    fn nothing_beats_the_front_and_something_beats_all_others(objectives in random()) {
        let front = unbeaten(&objectives);
        let figures = |w: &Objectives| {
            let known = |v: Option<f64>| v.unwrap_or(f64::INFINITY);
            [w.any_fault_per_year, known(w.walk_s), known(w.wire_m)]
        };
        let lost = |w: &Objectives| (w.failing, w.not_sound);
        let beats = |a: &Objectives, b: &Objectives| {
            let (fa, fb) = (figures(a), figures(b));
            lost(a) == lost(b) && fa != fb && (0..3).all(|n| fa[n] <= fb[n])
        };
        let keeps_more = |a: &Objectives, b: &Objectives| lost(a) < lost(b);
        prop_assert!(front.contains(&true));
        for (one, unbeaten) in objectives.iter().zip(front) {
            let beaten = objectives.iter().any(|o| beats(o, one) || keeps_more(o, one));
            prop_assert_eq!(unbeaten, !beaten);
        }
    }

    #[test]
    fn a_heavier_figure_is_never_worse_at_the_first_spot(
        objectives in random(),
        weights in prop::array::uniform3(0.1..5.0f64),
        which in 0..3usize,
        more in 0.5..20.0f64,
    ) {
        let first = |weights: [f64; 3]| {
            let [reliability, walk, wire] = weights;
            let worth = &objectives[ranking(&objectives, Weights { reliability, walk, wire })[0]];
            let figures = [Some(worth.any_fault_per_year), worth.walk_s, worth.wire_m];
            figures[which].unwrap_or(f64::INFINITY)
        };
        let mut heavier = weights;
        heavier[which] += more;
        prop_assert!(first(heavier) <= first(weights));
    }

    #[test]
    fn spots_offered_keep_their_distance(
        places in prop::collection::vec((0..2i32, 0.0..6.0f64, 0.0..6.0f64), 1..60),
        count in 1..9usize,
        apart_m in 0.0..3.0f64,
    ) {
        let places: Vec<(i32, Coord<f64>)> =
            places.into_iter().map(|(level, x, y)| (level, Coord { x, y })).collect();
        let order: Vec<usize> = (0..places.len()).rev().collect();
        let got = well_apart(&order, &places, count, apart_m);
        prop_assert_eq!(got, apart_by_definition(&order, &places, count, apart_m));
    }
}
