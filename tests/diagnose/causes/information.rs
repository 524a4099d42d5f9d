//! The information of tests against enumeration of every outcome, sensor heard or not ten times.

use diagnose::cause::{
    BATTERY_LOW_SAID, BATTERY_LOW_STRAY, BATTERY_SHARE, Case, Cause, LAPSES, Shares, TAMPER_SAID,
    TAMPER_STRAY, Test, WEAK_LOSS, WEAK_SIGMA, diagnose_causes,
};
use diagnose::{Air, Circumstance, Levels, Normal as _, Receiver, Seen};
use units::Dbm;

use crate::causes::truth::{OWN_SIGMA, channel, prior, reading, receiver};

const HEARD: i32 = 6;
const MISSED: i32 = 3;

/// Points of a normal variable with their weights.
fn points(mean: f64, sigma: f64) -> Vec<(f64, f64)> {
    let list: Vec<(f64, f64)> = (-30..=30)
        .map(|step| f64::from(step) * 0.2)
        .map(|z| (mean + sigma * z, (-0.5 * z * z).exp()))
        .collect();
    let sum: f64 = list.iter().map(|(_, weight)| weight).sum();
    list.into_iter().map(|(x, weight)| (x, weight / sum)).collect()
}

/// One state: its weight, and the level as found and at the test given what both share, with
/// lapses.
struct State {
    cause: usize,
    weight: f64,
    lapse: f64,
    /// Weak by so much; cured by a fresh battery.
    weak: Option<bool>,
}

fn states() -> Vec<State> {
    let plain = (1.0 - BATTERY_LOW_STRAY) * (1.0 - TAMPER_STRAY);
    let state = |cause: usize, weight: f64, lapse: f64, weak: Option<bool>| State {
        cause,
        weight,
        lapse,
        weak,
    };
    let said = (1.0 - BATTERY_LOW_SAID) * (1.0 - TAMPER_STRAY);
    let mut list = vec![
        state(0, plain, 0.0, None),
        state(1, BATTERY_SHARE * said, 0.0, Some(true)),
        state(1, (1.0 - BATTERY_SHARE) * plain, 0.0, Some(false)),
    ];
    for lapse in LAPSES {
        let weight = (1.0 - BATTERY_LOW_STRAY) * (1.0 - TAMPER_SAID) / LAPSES.len() as f64;
        list.push(state(2, weight, lapse, None));
    }
    list
}

fn missed(receiver: &Receiver, level: f64, clash: f64) -> f64 {
    let air = Air { clash, ..Air::QUIET };
    receiver.missed(Dbm(level), air)
}

/// Joint chance of each cause, what was read and each of the 1,024 outcomes of ten transmissions.
fn enumerate(receiver: &Receiver, level: f64, variance: f64, test: Test) -> Vec<Vec<f64>> {
    let mut joint = vec![vec![0.0; 1 << 10]; 3];
    let steady = points(level, (variance - OWN_SIGMA * OWN_SIGMA).sqrt());
    for state in states() {
        let mut by_count = [0.0; 11];
        for (s, steady_weight) in &steady {
            for (own, own_weight) in points(0.0, OWN_SIGMA) {
                let extras = match state.weak {
                    Some(_) => points(WEAK_LOSS.0, WEAK_SIGMA.0),
                    None => vec![(0.0, 1.0)],
                };
                for (extra, extra_weight) in extras {
                    let found = missed(receiver, s - own - extra, state.lapse);
                    let read = found.powi(MISSED) * (1.0 - found).powi(HEARD);
                    let weight = steady_weight * own_weight * extra_weight * read;
                    if weight < 1e-12 {
                        continue;
                    }
                    let at = |level: f64, lapse: f64, weight: f64, sums: &mut [f64; 11]| {
                        let miss = missed(receiver, level, lapse);
                        for (count, sum) in sums.iter_mut().enumerate() {
                            let heard = count as i32;
                            *sum += weight * (1.0 - miss).powi(heard) * miss.powi(10 - heard);
                        }
                    };
                    match test {
                        Test::Swapped => {
                            for (other, other_weight) in points(0.0, OWN_SIGMA).iter().step_by(3) {
                                at(s - other, 0.0, weight * other_weight * 3.0, &mut by_count);
                            }
                        }
                        Test::FreshBattery if state.weak == Some(true) => {
                            at(s - own, state.lapse, weight, &mut by_count);
                        }
                        _ => at(s - own - extra, state.lapse, weight, &mut by_count),
                    }
                }
            }
        }
        for (outcome, sum) in joint[state.cause].iter_mut().enumerate() {
            *sum += state.weight * by_count[outcome.count_ones() as usize];
        }
    }
    joint
}

/// Entropy of the cause less what is left of it on the average after the outcome.
fn bits(joint: &[Vec<f64>]) -> f64 {
    let all: f64 = joint.iter().flatten().sum();
    let part = |p: f64| if p > 0.0 { -p * p.log2() } else { 0.0 };
    let before: f64 = joint.iter().map(|o| part(o.iter().sum::<f64>() / all)).sum();
    let mut after = 0.0;
    for outcome in 0..1 << 10 {
        let chance: f64 = joint.iter().map(|o| o[outcome]).sum();
        let left: f64 = joint.iter().map(|o| part(o[outcome] / chance)).sum();
        after += chance / all * left;
    }
    before - after
}

#[test]
fn the_ranking_of_tests_is_that_of_enumeration() {
    let receiver = receiver();
    let prior = prior();
    let channels = vec![channel(&receiver, 0, receiver.needed.0 + 14.0, [4.0, 6.0])];
    let check = |heard: bool| (Some(0), reading(Seen::CheckIn { heard }, Circumstance::AsFound));
    let mut readings = vec![check(true); HEARD as usize];
    readings.extend(vec![check(false); MISSED as usize]);
    // Only three causes, alike.
    let mut shares = [0.0; 8];
    for cause in [Cause::TooWeak, Cause::WeakTransmitter, Cause::NotRadio] {
        shares[cause as usize] = 1.0;
    }
    let shares = Shares::new(shares);
    let case = Case { prior: &prior, channels: &channels, bands: &[], readings: &readings, shares };
    let said = diagnose_causes(&case, &[0]).remove(0);
    let variance = Levels::new(&prior, &channels).covariance(0, 0);
    let tests = [Test::Transmissions, Test::Swapped, Test::FreshBattery];
    let mut pairs = Vec::new();
    for test in tests {
        let joint = enumerate(&receiver, channels[0].level.0, variance, test);
        let expected = bits(&joint);
        let found = said.next_tests.iter().find(|one| one.test == test).unwrap();
        println!("{test:?}: {:.4} bits, by enumeration {expected:.4}", found.bits);
        // The level after the readings is taken as normal; it is nearly so.
        assert!((found.bits - expected).abs() < 0.03, "{test:?}");
        pairs.push((found.bits, expected));
    }
    for a in &pairs {
        for b in &pairs {
            assert!((a.0 - b.0) * (a.1 - b.1) >= 0.0 || (a.1 - b.1).abs() < 0.02);
        }
    }
}
