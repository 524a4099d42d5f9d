//! Input that no plan should give, and time that runs out.

use siting::cover::{CoverError, CoverProblem, Hops, Matrix, Proof, RepeaterOption, cover};
use std::cell::Cell;

/// The search is told to stop when it asks for the so many-th time.
const QUESTIONS: usize = 3_000;

#[test]
fn nothing_at_all() {
    let empty = CoverProblem::default();
    assert_eq!(cover(&empty, &|| false), Err(CoverError::NoPanel));
    let mut panel_only = CoverProblem { panels: 1, ..CoverProblem::default() };
    let answer = cover(&panel_only, &|| false).unwrap();
    assert_eq!((answer.open.len(), answer.proof), (0, Proof::Best));
    assert!(answer.chance_of_any_fault.abs() < 1e-15);
    // Sites and sensors without any table: nothing is sound.
    panel_only.sensors = 2;
    panel_only.sites = vec![RepeaterOption::default(); 3];
    panel_only.sound_below = 0.01;
    panel_only.lose_one = true;
    panel_only.hops = Hops::Two;
    assert_eq!(
        cover(&panel_only, &|| false),
        Err(CoverError::Unreachable { panel: 0, sensors: vec![0, 1] })
    );
}

/// A number 0 to 1 that looks random.
fn noise(a: usize, b: usize, c: u64) -> f64 {
    let mut x = (a as u64) << 40 ^ (b as u64) << 20 ^ c ^ 0x9e37_79b9_7f4a_7c15;
    for _ in 0..3 {
        x ^= x >> 30;
        x = x.wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x ^= x >> 27;
    }
    (x >> 11) as f64 / (1_u64 << 53) as f64
}

fn large(hops: Hops, lose_one: bool, panels: usize) -> CoverProblem {
    let (sites, sensors) = (200, 1000);
    let chance = |a, b, c, sound: f64| {
        let x = noise(a, b, c);
        if x < sound { x / sound * 0.01 } else { 0.5 }
    };
    CoverProblem {
        panels,
        sites: vec![RepeaterOption { capacity: Some(60), given: false }; sites],
        sensors,
        sensor_panel: Matrix::from_fn(sensors, panels, |a, b| chance(a, b, 1, 0.05)),
        sensor_site: Matrix::from_fn(sensors, sites, |a, b| chance(a, b, 2, 0.15)),
        site_panel: Matrix::from_fn(sites, panels, |a, b| chance(a, b, 3, 0.6)),
        site_site: Matrix::from_fn(sites, sites, |a, b| chance(a, b, 4, 0.1)),
        sound_below: 0.01,
        sensor_below: Vec::new(),
        hops,
        lose_one,
    }
}

/// The search does nothing more once it was told to stop: it does not even ask again.
#[test]
fn a_large_problem_ends_when_told_to_and_says_how_far_it_came() {
    for (hops, lose_one, panels) in
        [(Hops::One, false, 1), (Hops::Two, true, 1), (Hops::Two, true, 30)]
    {
        let problem = large(hops, lose_one, panels);
        let asked = Cell::new(0);
        let answer = cover(&problem, &|| {
            asked.set(asked.get() + 1);
            asked.get() >= QUESTIONS
        });
        assert_eq!(asked.get(), QUESTIONS, "{hops:?} {lose_one} {panels}");
        let answer = answer.unwrap();
        assert_eq!(answer.check(&problem), Ok(()));
        let Proof::Gap { found, at_least, chance_found, chance_at_least } = answer.proof else {
            panic!("proven: the test needs a harder problem");
        };
        assert_eq!(found, answer.new.len());
        assert!(at_least <= found);
        // About 950 sensors need a repeater, and one passes on 60.
        assert!(at_least >= 15, "{hops:?} {lose_one} {panels}: {at_least}");
        assert!(chance_at_least <= chance_found);
    }
}

#[test]
fn stopped_at_any_point_the_answer_is_sound_or_there_is_none() {
    let problem = {
        let mut problem = large(Hops::Two, true, 2);
        problem.sensors = 25;
        problem.sites.truncate(14);
        for site in &mut problem.sites {
            site.capacity = Some(9);
        }
        problem.sensor_site = Matrix::from_fn(25, 14, |a, b| {
            let x = noise(a, b, 7);
            if x < 0.7 { x * 0.014 } else { 0.5 }
        });
        problem
    };
    let asked = Cell::new(0_usize);
    let whole = cover(&problem, &|| {
        asked.set(asked.get() + 1);
        false
    })
    .unwrap();
    assert_eq!(whole.proof, Proof::Best);
    let all = asked.get();
    let mut gaps = 0;
    for part in 0..60 {
        let left = Cell::new(all * part / 60);
        let answer = cover(&problem, &|| {
            left.set(left.get().saturating_sub(1));
            left.get() == 0
        });
        match answer {
            Err(error) => assert_eq!(error, CoverError::OutOfTime),
            Ok(answer) => {
                assert_eq!(answer.check(&problem), Ok(()));
                assert!(answer.new.len() >= whole.new.len());
                if let Proof::Gap { at_least, chance_at_least, .. } = answer.proof {
                    gaps += 1;
                    assert!(at_least <= whole.new.len());
                    if answer.new.len() == whole.new.len() {
                        assert!(chance_at_least <= whole.chance_of_any_fault + 1e-9);
                    }
                } else {
                    assert_eq!(answer.new, whole.new);
                }
            }
        }
    }
    assert!(gaps > 10, "only {gaps} of 60 were stopped on the way");
}
