//! Beside independent programs: see the head of `reference.csv` and `reference.py`, which made it.

use approx::assert_abs_diff_eq;
use diagnose::{Air, Factor, Fit, Layout, Seen, fit};
use units::Dbm;

use super::cases::{channels, normal, prior, receiver};

fn rows(case: &str) -> Vec<(String, f64, f64)> {
    let text = include_str!("reference.csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    let rows = reader.deserialize::<(String, String, f64, f64)>();
    rows.map(Result::unwrap)
        .filter(|row| row.0 == case)
        .map(|(_, variable, mean, sigma)| (variable, mean, sigma))
        .collect()
}

fn variable(found: &Fit, name: &str) -> usize {
    let layout = &found.layout;
    match name.rsplit_once('-') {
        None => Layout::OFFSET,
        Some(("scale", "a")) => layout.scale(0),
        Some(("scale", _)) => layout.scale(1),
        Some(("own", number)) => layout.own(number.parse().unwrap()),
        Some((_, number)) => layout.channel(number.parse().unwrap()),
    }
}

#[test]
fn normal_readings_are_those_of_gaussian_process_regression() {
    let factors = [normal(-88.0, 3.0), normal(-95.0, 4.0), normal(-110.0, 2.0)];
    let factors: Vec<(usize, &Factor)> = factors.iter().enumerate().collect();
    let found = fit(&prior(), &channels(), &factors);
    let rows = rows("normal");
    assert_eq!(rows.len(), 11);
    for (name, mean, sigma) in rows {
        let estimate = found.estimate(variable(&found, &name));
        assert_abs_diff_eq!(estimate.mean, mean, epsilon = 2e-6);
        assert_abs_diff_eq!(estimate.sigma, sigma, epsilon = 2e-6);
    }
}

/// Levels with a wild one among them, bars, and check-ins. The chain's own error is some hundredths
/// of a standard deviation, and so is that of expectation propagation.
#[test]
fn mixed_readings_are_those_of_a_markov_chain() {
    let levels = [-88.0, -86.0, -91.0, -40.0].map(|level| Seen::Level(Dbm(level)));
    let bars = Seen::Between { low: Some(Dbm(-110.0)), high: Some(Dbm(-100.0)) };
    let check_in = |heard: bool| Seen::CheckIn { heard };
    let mut check_ins = vec![check_in(true); 3];
    check_ins.extend([check_in(false); 9]);
    let seen = [levels.to_vec(), vec![bars; 2], check_ins];
    let receiver = receiver();
    assert_eq!(receiver.needed, Dbm(-103.0));
    let factors = seen.map(|seen| Factor::new(&receiver, Air::QUIET, &seen));
    let factors: Vec<(usize, &Factor)> = factors.iter().enumerate().collect();
    let found = fit(&prior(), &channels(), &factors);
    let rows = rows("mixed");
    assert_eq!(rows.len(), 11);
    for (name, mean, sigma) in rows {
        let estimate = found.estimate(variable(&found, &name));
        println!("{name}: {estimate:?} for {mean} and {sigma}");
        assert!((estimate.mean - mean).abs() < 0.05 * sigma, "{name}");
        assert!((estimate.sigma / sigma - 1.0).abs() < 0.03, "{name}");
    }
}
