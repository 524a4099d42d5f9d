//! Random small problems against brute force.

use crate::cover::brute::{Truth, Why, truth};
use proptest::prelude::*;
use siting::cover::{CoverError, CoverProblem, Hops, Matrix, Proof, RepeaterOption, cover};

/// A chance: mostly sound (below 0.01), sometimes not, sometimes no number, often the same.
fn chance(sound: f64) -> impl Strategy<Value = f64> {
    let quarter = (1.0 - sound) / 2.0;
    let weight = |share: f64| (share * 100.0) as u32 + 1;
    prop_oneof![
        weight(sound / 2.0) => 0.0..0.01,
        weight(sound / 2.0) => prop::sample::select(vec![0.0, 0.001, 0.002, 0.0095]),
        weight(quarter) => 0.01..1.0,
        weight(quarter) => prop::sample::select(vec![1.0, f64::NAN, -0.1, f64::INFINITY]),
    ]
}

fn table(rows: usize, columns: usize, sound: f64) -> impl Strategy<Value = Matrix> {
    prop::collection::vec(chance(sound), rows * columns).prop_map(move |values| {
        Matrix::from_fn(rows, columns, |row, column| values[row * columns + column])
    })
}

fn site() -> impl Strategy<Value = RepeaterOption> {
    let capacity = prop_oneof![
        2 => Just(None),
        3 => (0_u32..5).prop_map(Some),
    ];
    (capacity, prop::bool::weighted(0.15))
        .prop_map(|(capacity, given)| RepeaterOption { capacity, given })
}

/// Problems with one hop, or with either, up to this size.
fn problem(
    most_sites: usize,
    most_sensors: usize,
    either: bool,
) -> impl Strategy<Value = CoverProblem> {
    (
        1..=3_usize,
        0..=most_sites,
        0..=most_sensors,
        prop::bool::weighted(if either { 0.6 } else { 0.0 }),
        prop::bool::weighted(0.4),
        prop::sample::select(vec![0.3, 0.5, 0.7, 0.95]),
        prop::sample::select(vec![0.1, 0.4]),
    )
        .prop_flat_map(|(panels, sites, sensors, two, lose_one, dense, near)| {
            (
                prop::collection::vec(site(), sites),
                table(sensors, panels, near),
                table(sensors, sites, dense),
                table(sites, panels, if two { 0.5 } else { 0.9 }),
                table(sites, sites, 0.6),
                // Some may be thin: their own hop may fail more often.
                prop::collection::vec(prop::sample::select(vec![0.01, 0.2]), 0..=sensors),
            )
                .prop_map(
                    move |(
                        sites,
                        sensor_panel,
                        sensor_site,
                        site_panel,
                        site_site,
                        sensor_below,
                    )| CoverProblem {
                        panels,
                        sites,
                        sensors,
                        sensor_panel,
                        sensor_site,
                        site_panel,
                        site_site,
                        sound_below: 0.01,
                        sensor_below,
                        hops: if two { Hops::Two } else { Hops::One },
                        lose_one,
                    },
                )
        })
}

fn agrees(problem: &CoverProblem) -> Result<(), TestCaseError> {
    let answer = cover(problem, &|| false);
    match (truth(problem), answer) {
        (Truth::Best { count, chance }, Ok(answer)) => {
            prop_assert_eq!(answer.check(problem), Ok(()));
            prop_assert_eq!(answer.new.len(), count);
            prop_assert!(
                (answer.chance_of_any_fault - chance).abs() < 1e-9,
                "{} instead of {chance}",
                answer.chance_of_any_fault
            );
            prop_assert_eq!(&answer.proof, &Proof::Best);
            prop_assert_eq!(&cover(problem, &|| false).unwrap(), &answer);
        }
        (Truth::Not(whys), Err(error)) => {
            // The panel place named fails in the way named, and none fails later.
            let stage = |why: &Why| match why {
                Why::Unreachable(sensors) => (3, sensors.len()),
                Why::Capacity => (2, 0),
                Why::NotTwice(sensors) => (1, sensors.len()),
                Why::CapacityAfterLoss => (0, 0),
            };
            let (panel, why) = match error {
                CoverError::Unreachable { panel, sensors } => (panel, Why::Unreachable(sensors)),
                CoverError::CapacityTooSmall { panel } => (panel, Why::Capacity),
                CoverError::NotTwice { panel, sensors } => (panel, Why::NotTwice(sensors)),
                CoverError::CapacityTooSmallAfterLoss { panel, .. } => {
                    (panel, Why::CapacityAfterLoss)
                }
                other => return Err(TestCaseError::fail(format!("{other:?}"))),
            };
            prop_assert_eq!(&whys[panel], &why);
            prop_assert!(whys.iter().all(|other| stage(other) >= stage(&why)));
        }
        (truth, answer) => {
            return Err(TestCaseError::fail(format!("{truth:?} but {answer:?}")));
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn small_problems_agree_with_brute_force(problem in problem(5, 6, true)) {
        agrees(&problem)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn larger_problems_with_one_hop_agree_with_brute_force(problem in problem(7, 8, false)) {
        agrees(&problem)?;
    }
}
