//! Forty sensors, two thousand readings.

use std::time::Instant;

use diagnose::cause::{Case, Shares, diagnose_causes};
use diagnose::{Circumstance, Seen};
use units::Dbm;

use crate::causes::dice::Dice;
use crate::causes::truth::{channel, prior, reading, receiver};

#[test]
fn forty_sensors_and_two_thousand_readings_are_quick() {
    let (prior, receiver) = (prior(), receiver());
    let mut dice = Dice::new(7);
    let needed = receiver.needed.0;
    let channels: Vec<_> = (0..40)
        .map(|device| {
            let slopes = [dice.between(0.0, 6.0), dice.between(0.0, 14.0)];
            channel(&receiver, device, needed + dice.between(2.0, 12.0), slopes)
        })
        .collect();
    let mut readings = Vec::new();
    for number in 0..2_000 {
        let own = number % 40;
        let level = channels[own].level;
        let seen = if dice.chance(0.5) {
            Seen::Level(Dbm((level.0 + 4.0 * dice.normal()).round()))
        } else {
            Seen::CheckIn { heard: dice.chance(0.8) }
        };
        readings.push((Some(own), reading(seen, Circumstance::AsFound)));
    }
    let case = Case {
        prior: &prior,
        channels: &channels,
        bands: &[],
        readings: &readings,
        shares: Shares::default(),
    };
    let asked: Vec<usize> = (0..40).collect();
    // Threads of its own: those of the other tests have houses to work on. The least of three runs.
    let pool = rayon::ThreadPoolBuilder::new().num_threads(2);
    let pool = pool.build().unwrap();
    let runs = (0..3).map(|_| {
        let start = Instant::now();
        let said = pool.install(|| diagnose_causes(&case, &asked));
        assert_eq!(said.len(), 40);
        start.elapsed()
    });
    let took = runs.min().unwrap();
    println!("forty sensors, two thousand readings: {took:?}");
    // Some twenty times what it takes on two idle cores, so that a busy machine does not fail it.
    assert!(took.as_secs_f64() < 2.0, "{took:?}");
}
