//! The linear model beside the textbook, and censored readings beside numerical integration.

use approx::assert_abs_diff_eq;
use diagnose::{
    Air, Channel, ChannelKey, DECORRELATION, Factor, Joint, Layout, Levels, Normal as _, Prior,
    Receiver, Seen, fit, weighted,
};
use forecast::{FadeMoments, Model};
use nalgebra::{DMatrix, DVector};
use units::{Db, Dbm, PowerRatio};

use super::site::reading;

pub fn receiver() -> Receiver {
    let link = radio::link("us-345").unwrap();
    let model = Model::default();
    Receiver::new(&link, (model.fading(PowerRatio(0.0)), &FadeMoments::new(&model)), model.noise)
}

pub fn prior() -> Prior {
    Prior {
        site_offset: Db(6.0),
        site_sigma: Db(4.0),
        constructions: vec!["a".to_owned(), "b".to_owned()],
        scales: DVector::repeat(2, 1.0),
        scale_covariance: DMatrix::from_row_slice(2, 2, &[0.16, 0.16, 0.16, 0.25]),
        places: Vec::new(),
    }
}

pub fn channels() -> Vec<Channel> {
    let levels = [-80.0, -92.0, -99.0, -100.0];
    let slopes = [[9.0, 0.0], [9.0, 6.0], [18.0, 3.0], [9.0, 12.0]];
    levels
        .iter()
        .zip(&slopes)
        .enumerate()
        .map(|(device, (level, slopes))| Channel {
            key: ChannelKey::as_found(device, 0),
            level: Dbm(*level),
            slopes: slopes.to_vec(),
            shadow_sigma: Db(4.0),
            spot_sigma: Db(5.0),
            own_sigma: Db(3.0),
            receiver: receiver(),
        })
        .collect()
}

pub fn normal(read: f64, sigma: f64) -> Factor {
    Factor::from_log(|level| {
        let z = (level.0 - read) / sigma;
        -0.5 * z * z - (sigma * std::f64::consts::TAU.sqrt()).ln()
    })
}

/// y = H·x + noise over the free variables x: offset, scales, own losses, what else the level
/// lacks. Σ' = (Σ⁻¹ + Hᵀ·R⁻¹·H)⁻¹ and m' = m + Σ'·Hᵀ·R⁻¹·(y − H·m): the textbook's linear
/// regression with a normal prior (Bishop, Pattern Recognition and Machine Learning (2006), 3.3,
/// from memory).
#[test]
fn normal_readings_give_the_textbooks_posterior() {
    let (mut prior, mut channels) = (prior(), channels());
    // The first two devices hang three metres apart, the third far off; nobody knows where the last
    // is.
    prior.places = vec![[0.0, 0.0, 1.0], [3.0, 0.0, 1.0], [500.0, 0.0, 1.0]];
    // The first device is read at another place, and with another transmitter, besides.
    let as_found = channels[0].key;
    for key in [ChannelKey { placing: 1, ..as_found }, ChannelKey { transmitter: 1, ..as_found }] {
        channels.push(Channel { key, ..channels[0].clone() });
    }
    let own_of = [0, 1, 2, 3, 0, 4];
    let shadow_of = [0, 1, 2, 3, 0, 0];
    let spot_of = [0, 1, 2, 3, 4, 0];
    let (owns, shadows, spots) = (3, 8, 12);
    let count = 17;
    let mut covariance = DMatrix::zeros(count, count);
    covariance[(0, 0)] = 16.0;
    covariance.view_mut((1, 1), (2, 2)).copy_from(&prior.scale_covariance);
    for i in owns..count {
        covariance[(i, i)] = if i < shadows {
            9.0
        } else if i < spots {
            16.0
        } else {
            25.0
        };
    }
    let near = 16.0 * f64::exp(-3.0 / DECORRELATION.0);
    covariance[(shadows, shadows + 1)] = near;
    covariance[(shadows + 1, shadows)] = near;
    let mut mean = DVector::zeros(count);
    (mean[0], mean[1], mean[2]) = (6.0, 1.0, 1.0);
    let row = |number: usize| {
        let mut row = DVector::zeros(count);
        row[0] = -1.0;
        row[1] = -channels[number].slopes[0];
        row[2] = -channels[number].slopes[1];
        row[owns + own_of[number]] = -1.0;
        row[shadows + shadow_of[number]] = -1.0;
        row[spots + spot_of[number]] = -1.0;
        row
    };
    let constant = |number: usize| {
        let slopes = &channels[number].slopes;
        channels[number].level.0 + 6.0 + slopes[0] + slopes[1]
    };
    let read =
        [(0, -88.0, 3.0), (1, -95.0, 4.0), (4, -80.0, 2.0), (5, -79.0, 3.0), (2, -104.0, 1.0)];
    let mut precision = covariance.clone().try_inverse().unwrap();
    let mut pull = DVector::zeros(count);
    for (number, level, sigma) in read {
        let h = row(number);
        precision += &h * h.transpose() / (sigma * sigma);
        pull += &h * ((level - constant(number) - h.dot(&mean)) / (sigma * sigma));
    }
    let after = precision.try_inverse().unwrap();
    let expected = &mean + &after * pull;

    let factors: Vec<(usize, Factor)> =
        read.iter().map(|(number, level, sigma)| (*number, normal(*level, *sigma))).collect();
    let factors: Vec<(usize, &Factor)> = factors.iter().map(|(n, f)| (*n, f)).collect();
    let found = fit(&prior, &channels, &factors);
    assert!(found.posterior.settled);
    // What is read is normal about H·m with the covariance H·Σ·Hᵀ + R.
    let h = DMatrix::from_rows(&read.map(|(number, ..)| row(number).transpose()));
    let noise = DMatrix::from_diagonal(&read.map(|(.., sigma)| sigma * sigma).to_vec().into());
    let spread = &h * &covariance * h.transpose() + noise;
    let off = read.map(|(number, level, _)| level - constant(number) - row(number).dot(&mean));
    let off = DVector::from_vec(off.to_vec());
    let exponent = off.dot(&(spread.clone().try_inverse().unwrap() * &off));
    let log = exponent + spread.determinant().ln() + 5.0 * std::f64::consts::TAU.ln();
    assert_abs_diff_eq!(found.posterior.log_evidence, -0.5 * log, epsilon = 1e-6);
    let same = |variable: usize, mean: f64, variance: f64| {
        let estimate = found.estimate(variable);
        assert_abs_diff_eq!(estimate.mean, mean, epsilon = 1e-6);
        assert_abs_diff_eq!(estimate.sigma, variance.sqrt(), epsilon = 1e-6);
    };
    same(Layout::OFFSET, expected[0], after[(0, 0)]);
    for number in 0..2 {
        let at = 1 + number;
        same(found.layout.scale(number), expected[at], after[(at, at)]);
    }
    for device in 0..4 {
        let at = owns + device;
        same(found.layout.own(device), expected[at], after[(at, at)]);
    }
    for number in 0..channels.len() {
        let h = row(number);
        let level = constant(number) + h.dot(&expected);
        same(found.layout.channel(number), level, h.dot(&(&after * &h)));
    }
}

/// Mean and standard deviation of the levels of the first two or three channels by a sum over a
/// grid of all of them.
fn integrated(joint: (&DVector<f64>, &DMatrix<f64>), factors: &[&Factor]) -> Vec<(f64, f64)> {
    let count = factors.len();
    let (mean, covariance) = joint;
    let inverse = covariance.clone().try_inverse().unwrap();
    let step = if count == 2 { 0.2 } else { 0.9 };
    let half: Vec<i32> =
        (0..count).map(|i| (6.0 * covariance[(i, i)].sqrt() / step) as i32).collect();
    let mut sums = vec![(0.0, 0.0); count];
    let mut all = 0.0;
    let mut place: Vec<i32> = half.iter().map(|half| -half).collect();
    loop {
        let off = DVector::from_fn(count, |i, _| f64::from(place[i]) * step);
        let mut log = -0.5 * off.dot(&(&inverse * &off));
        for (i, factor) in factors.iter().enumerate() {
            log += factor.at(Dbm(mean[i] + off[i]));
        }
        let weight = log.exp();
        all += weight;
        for (sum, x) in sums.iter_mut().zip(&off) {
            sum.0 += weight * x;
            sum.1 += weight * x * x;
        }
        let mut digit = 0;
        while digit < count {
            place[digit] += 1;
            if place[digit] <= half[digit] {
                break;
            }
            place[digit] = -half[digit];
            digit += 1;
        }
        if digit == count {
            break;
        }
    }
    let moments = sums.iter().zip(mean.iter());
    moments
        .map(|((first, second), mean)| {
            let shift = first / all;
            (mean + shift, (second / all - shift * shift).sqrt())
        })
        .collect()
}

/// Expectation propagation is no exact method where likelihoods are not normal; this is how near it
/// comes.
#[test]
fn censored_readings_are_those_of_numerical_integration() {
    let bars = |low: f64, high: f64| Seen::Between { low: Some(Dbm(low)), high: Some(Dbm(high)) };
    let check_in = |heard: bool| Seen::CheckIn { heard };
    let at_least = Seen::Between { low: Some(Dbm(-85.0)), high: None };
    let cases: Vec<Vec<Vec<(Seen, f64)>>> = vec![
        vec![vec![(bars(-80.0, -70.0), 1.0)], vec![(check_in(false), 4.0)]],
        vec![vec![(bars(-110.0, -90.0), 2.0)], vec![(check_in(false), 9.0), (check_in(true), 3.0)]],
        vec![vec![(at_least, 3.0)], vec![(Seen::Lost, 1.0)]],
        vec![vec![(check_in(true), 40.0)], vec![(check_in(true), 40.0)]],
        vec![
            vec![(bars(-95.0, -85.0), 1.0)],
            vec![(check_in(false), 2.0), (bars(-105.0, -95.0), 1.0)],
            vec![(Seen::Lost, 1.0)],
        ],
        vec![
            vec![(Seen::Level(Dbm(-60.0)), 1.0)],
            vec![(check_in(true), 10.0)],
            vec![(check_in(true), 5.0), (check_in(false), 5.0)],
        ],
    ];
    let (prior, receiver) = (prior(), receiver());
    for case in cases {
        let channels = &channels()[..case.len()];
        let Joint { mean, covariance } =
            Levels::new(&prior, channels).part(&(0..channels.len()).collect::<Vec<_>>());
        let factors: Vec<Factor> =
            case.iter().map(|seen| Factor::weighted(&receiver, Air::QUIET, seen)).collect();
        let factors: Vec<&Factor> = factors.iter().collect();
        let exact = integrated((&mean, &covariance), &factors);
        let placed: Vec<(usize, &Factor)> = factors.iter().copied().enumerate().collect();
        let found = fit(&prior, channels, &placed);
        for (number, (mean, sigma)) in exact.iter().enumerate() {
            let estimate = found.estimate(found.layout.channel(number));
            println!("{estimate:?} for {mean:.3} and {sigma:.3}");
            assert_abs_diff_eq!(estimate.mean, *mean, epsilon = 0.05);
            assert_abs_diff_eq!(estimate.sigma, *sigma, epsilon = 0.05);
        }
    }
}

/// Levels read together weigh as much as one fade shared by all makes them.
#[test]
fn levels_read_together_share_a_fade() {
    let receiver = receiver();
    let all = receiver.reading_sigma.0.powi(2);
    let fading = all - 4.0;
    let weight = |times: &[Option<f64>]| -> f64 {
        let seen = Seen::Level(Dbm(-80.0));
        let readings: Vec<_> = times.iter().map(|time| reading("x", seen, *time)).collect();
        let readings: Vec<_> = readings.iter().collect();
        weighted(&receiver, &readings).iter().map(|(_, weight)| weight).sum()
    };
    let together = |count: f64| all / (fading + 4.0 / count);
    assert_abs_diff_eq!(weight(&[Some(0.0)]), 1.0, epsilon = 1e-12);
    assert_abs_diff_eq!(weight(&[None, None, None]), together(3.0), epsilon = 1e-12);
    assert_abs_diff_eq!(weight(&[Some(4.0), Some(0.0)]), together(2.0), epsilon = 1e-12);
    assert_abs_diff_eq!(weight(&[Some(0.0), Some(60.0)]), 2.0, epsilon = 1e-12);
    let both = [Some(0.0), Some(5.0), Some(9.0), Some(60.0)];
    assert_abs_diff_eq!(weight(&both), together(2.0) + 2.0, epsilon = 1e-12);
}
