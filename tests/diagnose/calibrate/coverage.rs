//! Synthetic houses drawn from the model: how often the truth lies within the intervals given.

use std::collections::{BTreeMap, BTreeSet};

use diagnose::{
    Air, Channel, Factor, Fit, Layout, METER_SIGMA, Network, Prior, Reading, ReadingsByChannel,
    Seen, WILD_SHARE, calibrate, fit, weighted,
};
use fixtures::{Dice, PLANS, shipped, site};
use forecast::Site;
use nalgebra::{Cholesky, DMatrix, DVector};
use rayon::prelude::*;
use units::{Db, Dbm};

use super::site::reading;

/// Standard normal deviate within which four of five lie on either side (from memory).
const FOUR_FIFTHS_Z: f64 = 1.281_551_565_544_6;

/// Houses of each plan in the linear test, and in the one that traces each.
const HOUSES: u64 = 100;
const TRACED_HOUSES: u64 = 60;

/// The truth of one house.
struct House {
    offset: f64,
    scales: DVector<f64>,
    own: BTreeMap<usize, f64>,
    /// Level of each channel.
    levels: Vec<f64>,
}

/// Several normal numbers with a covariance.
fn normals(dice: &mut Dice, mean: &DVector<f64>, covariance: &DMatrix<f64>) -> DVector<f64> {
    let root = Cholesky::new(covariance.clone()).unwrap().l();
    let free = DVector::from_fn(mean.len(), |_, _| dice.normal());
    mean + root * free
}

/// Power of a Rician fade relative to its mean, decibels, of a K factor in decibels.
fn rician_db(dice: &mut Dice, k_db: f64) -> f64 {
    let k = 10_f64.powf(k_db / 10.0);
    let scattered = (0.5 / (1.0 + k)).sqrt();
    let steady = (k / (1.0 + k)).sqrt();
    let (i, q) = (steady + scattered * dice.normal(), scattered * dice.normal());
    10.0 * (i * i + q * q).log10()
}

/// A house whose walls lose what `walls` says of the scales drawn, for each channel.
fn house(
    dice: &mut Dice,
    prior: &Prior,
    channels: &[Channel],
    walls: impl Fn(&DVector<f64>) -> Vec<f64>,
) -> House {
    let offset = prior.site_offset.0 + prior.site_sigma.0 * dice.normal();
    let scales = normals(dice, &prior.scales, &prior.scale_covariance);
    let walls = walls(&scales);
    let mut own = BTreeMap::new();
    for channel in channels {
        own.entry(channel.key.device).or_insert_with(|| channel.own_sigma.0 * dice.normal());
    }
    let ties = DMatrix::from_fn(channels.len(), channels.len(), |i, j| {
        let (a, b) = (&channels[i], &channels[j]);
        let jitter = if i == j { 1e-9 } else { 0.0 };
        prior.shadowing_correlation(a.key.device, b.key.device)
            * a.shadow_sigma.0
            * b.shadow_sigma.0
            + jitter
    });
    let shadows = normals(dice, &DVector::zeros(channels.len()), &ties);
    let lost = walls.iter().zip(&shadows);
    let levels = channels.iter().zip(lost).map(|(channel, (walls, shadow))| {
        let rest = shadow + channel.spot_sigma.0 * dice.normal();
        channel.level.0 - (offset - prior.site_offset.0) - walls - own[&channel.key.device] - rest
    });
    let levels = levels.collect();
    House { offset, scales, own, levels }
}

/// What an installer reads of some of the sensors: levels, bars, check-ins; alone or several at
/// one time.
fn readings(dice: &mut Dice, site: &Site<'_>, channels: &[Channel], house: &House) -> Vec<Reading> {
    let mut all = Vec::new();
    let count = 1 + dice.below(8);
    let mut asked = BTreeSet::new();
    while asked.len() < count.min(channels.len()) {
        asked.insert(dice.below(channels.len()));
    }
    for number in asked {
        let (channel, level) = (&channels[number], house.levels[number]);
        let id = &site.plan.devices[channel.key.device].id;
        let receiver = &channel.receiver;
        let missed = receiver.missed(Dbm(level), Air::QUIET);
        let mut time = 0.0;
        let rounds = 1 + dice.below(5);
        for _ in 0..rounds {
            time += 60.0 + 600.0 * dice.part();
            let sort = dice.below(3);
            if sort == 2 {
                let seen = Seen::CheckIn { heard: !dice.chance(missed) };
                all.push(reading(id, seen, Some(time)));
                continue;
            }
            let fade = rician_db(dice, site.model.k_factor_db.0);
            let repeats = if dice.chance(0.3) { 2 + dice.below(4) } else { 1 };
            for repeat in 0..repeats {
                let shown = if dice.chance(WILD_SHARE) {
                    -150.0 + 120.0 * dice.part()
                } else {
                    level + fade + METER_SIGMA.0 * dice.normal()
                };
                let seen = if sort == 0 { Seen::Level(Dbm(shown.round())) } else { bars(shown) };
                all.push(reading(id, seen, Some(time + 0.5 * repeat as f64)));
            }
        }
    }
    all
}

/// Five bars from −100 dBm up, 12 dB each.
fn bars(shown: f64) -> Seen {
    let bar = ((shown + 100.0) / 12.0).ceil().clamp(0.0, 5.0);
    let low = -112.0 + 12.0 * bar;
    Seen::Between {
        low: (bar > 0.0).then_some(Dbm(low)),
        high: (bar < 5.0).then_some(Dbm(low + 12.0)),
    }
}

/// What is asked: how many, and how many lie within.
#[derive(Default)]
struct Counts(BTreeMap<&'static str, (u32, u32, f64)>);

impl Counts {
    fn add(&mut self, what: &'static str, truth: f64, (mean, sigma): (f64, f64)) {
        let (all, within, squares) = self.0.entry(what).or_default();
        let z = (truth - mean) / sigma;
        *all += 1;
        *within += u32::from(z.abs() < FOUR_FIFTHS_Z);
        *squares += z * z;
    }

    fn house(
        &mut self,
        house: &House,
        (channels, read): (&[Channel], &BTreeSet<usize>),
        prior: &Prior,
        (found, place): (&Fit, &dyn Fn(usize) -> usize),
    ) {
        let estimate = |variable: usize| {
            let found = found.estimate(variable);
            (found.mean, found.sigma)
        };
        self.add("site offset", house.offset, estimate(Layout::OFFSET));
        for number in 0..prior.constructions.len() {
            let scale = estimate(found.layout.scale(number));
            let before = prior.scale_covariance[(number, number)].sqrt();
            let what =
                if scale.1 < 0.95 * before { "scales that were read" } else { "other scales" };
            self.add(what, house.scales[number], scale);
        }
        for (number, channel) in channels.iter().enumerate() {
            let level = estimate(found.layout.channel(place(number)));
            let own = found.layout.devices.binary_search(&channel.key.device).unwrap();
            let own = estimate(found.layout.own(own));
            if read.contains(&channel.key.device) {
                self.add("levels of read sensors", house.levels[number], level);
                self.add("own losses of read sensors", house.own[&channel.key.device], own);
            } else {
                self.add("levels of sensors not read", house.levels[number], level);
            }
        }
    }

    fn join(mut self, other: Self) -> Self {
        for (what, (all, within, squares)) in other.0 {
            let sum = self.0.entry(what).or_default();
            *sum = (sum.0 + all, sum.1 + within, sum.2 + squares);
        }
        self
    }

    fn check(&self, title: &str, (low, high): (f64, f64)) {
        println!(
            "{title}\n{:<30} {:>7} {:>9} {:>8}",
            "80 % intervals of", "number", "hold", "rms z"
        );
        let mut wrong = Vec::new();
        for (what, (all, within, squares)) in &self.0 {
            let share = 100.0 * f64::from(*within) / f64::from(*all);
            let root = (squares / f64::from(*all)).sqrt();
            println!("{what:<30} {all:>7} {share:>7.1} % {root:>8.2}");
            if !(low..=high).contains(&share) {
                wrong.push(*what);
            }
        }
        assert!(wrong.is_empty(), "{wrong:?}");
        assert_eq!(self.0.len(), 6);
    }
}

fn to_the_panel(network: &Network<'_>) -> Vec<Channel> {
    let mut channels = network.channels(&[]);
    channels.retain(|channel| channel.key.listener == 0);
    channels
}

/// Levels that are linear in the scales, as the model has them.
#[test]
fn intervals_hold_the_truth_of_linear_houses() {
    let mut counts = Counts::default();
    for (number, name) in PLANS.iter().enumerate() {
        let plan = shipped(name);
        let site = site(&plan);
        let network = Network::new(&site).unwrap();
        let channels = to_the_panel(&network);
        let prior = &network.prior;
        let of_plan = (0..HOUSES).into_par_iter().map(|seed| {
            let mut dice = Dice::new(1_000 * (number as u64 + 1) + seed);
            let walls = |scales: &DVector<f64>| -> Vec<f64> {
                let more = scales - &prior.scales;
                let of = |channel: &Channel| {
                    let pairs = channel.slopes.iter().zip(&more);
                    pairs.map(|(slope, more)| slope * more).sum()
                };
                channels.iter().map(of).collect()
            };
            let truth = house(&mut dice, prior, &channels, walls);
            let readings = readings(&mut dice, &site, &channels, &truth);
            let sorted = ReadingsByChannel::new(&site, &readings);
            let factors: Vec<(usize, Factor)> = sorted
                .channels
                .iter()
                .map(|(key, readings)| {
                    let number = channels.iter().position(|one| one.key == *key).unwrap();
                    let receiver = &channels[number].receiver;
                    let seen = weighted(receiver, readings);
                    (number, Factor::weighted(receiver, Air::QUIET, &seen))
                })
                .collect();
            let factors: Vec<(usize, &Factor)> = factors.iter().map(|(n, f)| (*n, f)).collect();
            let found = fit(prior, &channels, &factors);
            assert!(found.posterior.settled);
            let read = sorted.channels.keys().map(|key| key.device).collect();
            let mut counts = Counts::default();
            counts.house(&truth, (&channels, &read), prior, (&found, &|number| number));
            counts
        });
        counts = counts.join(of_plan.reduce(Counts::default, Counts::join));
    }
    counts.check("Linear houses", (75.0, 85.0));
}

/// Levels traced with the scales drawn, and the whole of the calibration with its tracing.
#[test]
fn intervals_hold_the_truth_of_traced_houses() {
    let mut counts = Counts::default();
    for (number, name) in PLANS.iter().enumerate() {
        let plan = shipped(name);
        let site = site(&plan);
        let network = Network::new(&site).unwrap();
        let channels = to_the_panel(&network);
        let prior = &network.prior;
        for seed in 0..TRACED_HOUSES {
            let mut dice = Dice::new(77_000 + 1_000 * number as u64 + seed);
            let traced = |scales: &DVector<f64>| -> Vec<f64> {
                let lines = network.traced(scales, false);
                let about = network.channels_about(scales, &lines, &[]);
                let mut about: Vec<Channel> = about;
                about.retain(|channel| channel.key.listener == 0);
                let pairs = about.iter().zip(&channels);
                pairs.map(|(there, here)| (here.level - there.level).0).collect()
            };
            let truth = house(&mut dice, prior, &channels, traced);
            let readings = readings(&mut dice, &site, &channels, &truth);
            let calibration = calibrate(&site, &readings).unwrap();
            let sorted = ReadingsByChannel::new(&site, &readings);
            let read = sorted.channels.keys().map(|key| key.device).collect();
            let place = |number: usize| {
                let key = channels[number].key;
                let mut all = calibration.channels.iter();
                all.position(|one| one.key == key).unwrap()
            };
            let found = (&calibration.fit, &place as &dyn Fn(usize) -> usize);
            counts.house(&truth, (&channels, &read), prior, found);
        }
    }
    // Fewer houses: the offsets alone scatter by two parts in a hundred.
    counts.check("Traced houses", (72.0, 88.0));
}

/// What the dice make of a fade has the mean and spread that the likelihoods take.
#[test]
fn fades_are_drawn_as_the_likelihood_takes_them() {
    let (mean, sigma) = radio::rician_decibel_moments(Db(6.0));
    let mut dice = Dice::new(3);
    let drawn: Vec<f64> = (0..200_000).map(|_| rician_db(&mut dice, 6.0)).collect();
    let count = drawn.len() as f64;
    let middle = drawn.iter().sum::<f64>() / count;
    let square = drawn.iter().map(|x| (x - middle).powi(2)).sum::<f64>() / count;
    assert!((middle - mean.0).abs() < 0.03, "{middle} for {mean}");
    assert!((square.sqrt() - sigma.0).abs() < 0.03, "{} for {sigma}", square.sqrt());
}
