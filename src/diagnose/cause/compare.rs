//! Causes compared by the marginal likelihood of all readings.

use std::collections::BTreeSet;

use rayon::prelude::*;

use crate::channel::Channel;
use crate::factor::{Factor, log_sum};
use crate::propagation::{Joint, posterior};
use crate::reading::Circumstance;
use crate::receiver::Air;
use crate::variables::Levels;
use units::Dbm;

use super::band_state::{BandState, House, StruckLevels, joined, with_lapse};
use super::case::{Case, FloorSeen, ReadingGroup, Tables, floors, groups, setup};
use super::flaky::flaky;
use super::kind::{Cause, Shares};
use super::next_test::{ExpectedReading, NextTest, Prospect, StateEvidence, Test, Tests, spread};
use super::sensor_state::{SensorState, Setup};
use super::subject::Subject;

/// The readings distinguish two causes if they are more than three times as likely under the one as
/// under the other (our choice).
const DISTINGUISHED_LOG: f64 = 1.098_612_288_668_109_8;

/// Causes less likely than this are not listed as undistinguished.
const WORTH_LISTING: f64 = 0.05;

/// States less likely than this are left out of what a test is expected to read.
const NEGLIGIBLE: f64 = 1e-5;

/// A cause with its chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CauseChance {
    /// The cause.
    pub cause: Cause,
    /// Its chance, given all readings of the house.
    pub chance: f64,
    /// Logarithm of the marginal likelihood of all readings under it; only differences count.
    pub log_evidence: f64,
}

/// What is said of one sensor.
#[derive(Debug, Clone, PartialEq)]
pub struct SensorCauses {
    /// The device, an index of the plan's devices.
    pub device: usize,
    /// All causes, the likeliest first; the chances add to one.
    pub causes: Vec<CauseChance>,
    /// Sets of causes, each worth listing, that these readings do not distinguish: likelihoods
    /// within a factor of three of the set's greatest.
    pub undistinguished: Vec<Vec<Cause>>,
    /// Tests, the one with the most information first.
    pub next_tests: Vec<NextTest>,
}

/// The causes of each flaky sensor, and of those asked for besides; see [`flaky`]. In rising order
/// of the device. A device without a channel is left out. Nothing depends on the order of readings
/// (but for rounding) or on the number of threads.
#[must_use]
pub fn diagnose_causes(case: &Case<'_>, asked: &[usize]) -> Vec<SensorCauses> {
    diagnose_causes_of(case, asked, &[])
}

/// The same where the forecast has some devices failing as drawn: see [`Shares::of_failing`].
#[must_use]
pub fn diagnose_causes_of(
    case: &Case<'_>,
    asked: &[usize],
    failing: &[usize],
) -> Vec<SensorCauses> {
    let mut devices = flaky(case);
    devices.extend_from_slice(asked);
    devices.sort_unstable();
    devices.dedup();
    let tables = Tables::new(case.channels, &BandState::airs());
    let groups = groups(case, &tables);
    let mut channels = case.channels.to_vec();
    let mut bands: Vec<usize> = (0..channels.len()).map(|n| case.band(n)).collect();
    let subjects: Vec<Subject> = devices
        .iter()
        .filter_map(|device| Subject::new(case, *device, &groups, &mut channels, &mut bands))
        .collect();
    let linear = Levels::new(case.prior, &channels);
    let floors = floors(case);
    let hours_read = floors.iter().any(|floor| floor.other_hour)
        || groups.iter().any(|group| group.setup.circumstance == Circumstance::OtherHour);
    let struck: BTreeSet<usize> = subjects.iter().map(|subject| subject.band).collect();
    let states: Vec<BandState> =
        struck.iter().flat_map(|band| BandState::all(*band, hours_read)).collect();
    let comparison = Comparison {
        groups: &groups,
        tables: &tables,
        floors: &floors,
        channels: &channels,
        bands: &bands,
        linear: &linear,
        subjects: &subjects,
    };
    let found: Vec<Vec<Vec<StateEvidence>>> =
        states.par_iter().map(|state| comparison.evidence(state)).collect();
    (0..subjects.len())
        .into_par_iter()
        .map(|number| {
            let own: Vec<&StateEvidence> = found.iter().flat_map(|state| &state[number]).collect();
            let subject = &subjects[number];
            let is_failing = failing.contains(&subject.device);
            let shares = if is_failing { case.shares.of_failing() } else { case.shares };
            conclude(case, shares, subject, &own)
        })
        .collect()
}

struct Comparison<'a> {
    groups: &'a [ReadingGroup],
    tables: &'a Tables<'a>,
    floors: &'a [FloorSeen],
    channels: &'a [Channel],
    bands: &'a [usize],
    linear: &'a Levels<'a>,
    subjects: &'a [Subject],
}

/// A place in a block, and the groups that share its level, each with its air.
type Shared = (usize, Vec<(usize, Air)>);

impl Comparison<'_> {
    /// For each subject its evidence under a state of its band.
    fn evidence(&self, state: &BandState) -> Vec<Vec<StateEvidence>> {
        let is_lossy = state.cause == Some(Cause::PanelLoss);
        let at_panel = |(channel, band): (&Channel, &usize)| {
            is_lossy && channel.key.listener == 0 && *band == state.band
        };
        let struck = self.channels.iter().zip(self.bands).map(at_panel).collect();
        let levels = StruckLevels { linear: self.linear, struck };
        let house = House::new(state, self.groups, self.tables, &levels);
        let own = |subject: &Subject| {
            let is_struck = subject.band == state.band;
            if is_struck { self.subject(state, &house, subject) } else { Vec::new() }
        };
        self.subjects.par_iter().map(own).collect()
    }

    fn subject(
        &self,
        state: &BandState,
        house: &House<'_>,
        subject: &Subject,
    ) -> Vec<StateEvidence> {
        let beside = house.beside(subject.device, &subject.block);
        let own = house.evidence.iter().filter(|one| one.device == subject.device);
        let usual: Vec<(usize, &Factor)> = own
            .filter_map(|one| {
                let place = subject.block.iter().position(|c| *c == one.channel)?;
                Some((place, &one.likelihood))
            })
            .collect();
        // What the rest of the house says: all, less this sensor's own part.
        let rest = house.log_evidence - posterior(&beside, &usual).0.log_evidence;
        let others = self.others_expected(state, house, subject);
        let mut found = Vec::new();
        // Likelihoods of its levels, each worked out once.
        let mut likelihoods: Vec<(Vec<(usize, Air)>, Factor)> = Vec::new();
        let causes: Vec<Cause> = match state.cause {
            Some(cause) => vec![cause],
            None => Cause::ALL.into_iter().filter(|cause| cause.is_local()).collect(),
        };
        let states = causes.into_iter().flat_map(|cause| {
            let states = SensorState::of(cause, &subject.listeners);
            states.into_iter().map(move |own| (cause, own))
        });
        for (cause, own) in states {
            let shared = self.shared(state, subject, &own);
            for (_, parts) in &shared {
                if !likelihoods.iter().any(|(known, _)| known == parts) {
                    let groups = parts.iter().map(|(number, air)| (&self.groups[*number], *air));
                    let whole = joined(self.tables, groups);
                    likelihoods.extend(whole.map(|whole| (parts.clone(), whole)));
                }
            }
            let likelihood = |(place, parts): &Shared| {
                let known = likelihoods.iter().find(|(known, _)| known == parts);
                known.map(|(_, factor)| (*place, factor))
            };
            let factors: Vec<(usize, &Factor)> = shared.iter().filter_map(likelihood).collect();
            let before = with_extra(&beside, &own, &subject.setups);
            let (posterior, after) = posterior(&before, &factors);
            let all: Vec<usize> = (0..subject.block.len()).collect();
            let levels = after.map_or_else(|| before.clone(), |after| after.part(&all));
            let reported = |is: bool, chance: f64| if is { chance } else { 1.0 - chance };
            let remarks = reported(subject.battery_low, own.battery_low)
                * reported(subject.tamper, own.tamper);
            for hour in &state.hours {
                let (floor_log, floor) = state.floor(self.floors, *hour);
                let share = state.share * own.share / state.hours.len() as f64;
                let expected = |(test, _): (usize, &Test)| {
                    let at = &subject.setups[subject.groups.len() + test];
                    let air = with_lapse(state.air(at, subject.band, *hour), own.lapse_at(at));
                    subject.expected(test, &levels, air)
                };
                let mut expected: Vec<ExpectedReading> =
                    Test::ALL.iter().enumerate().map(expected).collect();
                if let Some(others) = &others {
                    expected[Test::Others as usize] = others.clone();
                }
                let log_share = (share * remarks).ln();
                let log_evidence = rest + posterior.log_evidence + floor_log + log_share;
                found.push(StateEvidence { cause, log_evidence, expected, floor });
            }
        }
        found
    }

    /// What a test would read of other sensors.
    fn others_expected(
        &self,
        state: &BandState,
        house: &House<'_>,
        subject: &Subject,
    ) -> Option<ExpectedReading> {
        let first = *subject.others.first()?;
        let joint = house.beside(subject.device, &subject.others);
        let all: Vec<usize> = (0..subject.others.len()).collect();
        let (mean, variance) = joint.mean_of(&all);
        let share = 1.0 / all.len() as f64;
        let places = all.iter().flat_map(|i| {
            // What is not known of one sensor beyond what is not known of their mean.
            let beyond = (joint.covariance[(*i, *i)] - variance).max(0.0).sqrt();
            spread(joint.mean[*i] - mean, beyond, share)
        });
        let at = setup(&self.channels[first], Circumstance::AsFound);
        Some(ExpectedReading {
            mean,
            variance,
            places: places.collect(),
            levels: all.len(),
            air: state.air(&at, subject.band, state.hour()),
        })
    }

    /// For each level that a sensor has under a state, its place in the block and the readings that
    /// share it: those of one channel with the same extra loss, whatever was tried.
    fn shared(&self, state: &BandState, subject: &Subject, own: &SensorState) -> Vec<Shared> {
        let mut found: Vec<Shared> = Vec::new();
        for (place, number) in subject.groups.iter().enumerate() {
            let group = &self.groups[*number];
            let air = state.air(&group.setup, group.band, state.hour());
            let air = with_lapse(air, own.lapse_at(&group.setup));
            let is_there = own.is_there(&group.setup);
            let alike = found.iter_mut().find(|(other, _)| {
                subject.block[*other] == group.channel
                    && own.is_there(&subject.setups[*other]) == is_there
            });
            match alike {
                Some((_, parts)) => parts.push((*number, air)),
                None => found.push((place, vec![(*number, air)])),
            }
        }
        found
    }
}

fn with_extra(beside: &Joint, state: &SensorState, setups: &[Setup]) -> Joint {
    let mut joint = beside.clone();
    for (i, a) in setups.iter().enumerate() {
        joint.mean[i] -= state.extra_mean(a);
        for (j, b) in setups.iter().enumerate() {
            joint.covariance[(i, j)] += state.extra_covariance(a, b);
        }
    }
    joint
}

fn conclude(
    case: &Case<'_>,
    shares: Shares,
    subject: &Subject,
    found: &[&StateEvidence],
) -> SensorCauses {
    let evidence = |cause: Cause| {
        let own = found.iter().filter(move |one| one.cause == cause);
        log_sum(own.map(|one| one.log_evidence))
    };
    let evidences = Cause::ALL.map(|cause| (cause, evidence(cause)));
    let weighed = evidences.map(|(cause, log)| log + shares.of(cause).ln());
    let all = log_sum(weighed.iter().copied());
    let mut causes: Vec<CauseChance> = evidences
        .iter()
        .zip(weighed)
        .map(|(&(cause, log_evidence), weighed)| CauseChance {
            cause,
            chance: (weighed - all).exp(),
            log_evidence,
        })
        .collect();
    causes.sort_by(|a, b| b.chance.total_cmp(&a.chance).then(a.cause.cmp(&b.cause)));
    let mut as_found = 0.0;
    let mut sum = 0.0;
    let mut prospects: Vec<Prospect<'_>> = Vec::new();
    for one in found {
        let chance = (one.log_evidence + shares.of(one.cause).ln() - all).exp();
        as_found += chance * one.expected[Test::NoiseFloor as usize].mean;
        sum += chance;
        if chance > NEGLIGIBLE {
            prospects.push((chance, one));
        }
    }
    let others = subject.others.iter().map(|number| &case.channels[*number]);
    let forecasts: f64 = others.clone().map(|channel| channel.level.0).sum();
    let tests = Tests {
        receiver: &subject.receiver,
        // Whether the panel shows levels: some reading has one, or nothing is known of it yet.
        levels_shown: case.readings.is_empty()
            || case.readings.iter().any(|(_, reading)| reading.has_level()),
        as_found: Dbm(as_found / sum.max(f64::MIN_POSITIVE)),
        others_forecast: Dbm(forecasts / subject.others.len().max(1) as f64),
        others: others.map(|channel| channel.key.device).collect(),
    };
    SensorCauses {
        device: subject.device,
        undistinguished: undistinguished(&causes),
        causes,
        next_tests: tests.ranked(&prospects),
    }
}

/// Sets of causes that the readings do not distinguish.
fn undistinguished(causes: &[CauseChance]) -> Vec<Vec<Cause>> {
    let mut left: Vec<&CauseChance> =
        causes.iter().filter(|one| one.chance >= WORTH_LISTING).collect();
    left.sort_by(|a, b| b.log_evidence.total_cmp(&a.log_evidence));
    let mut sets = Vec::new();
    while let Some(greatest) = left.first().map(|one| one.log_evidence) {
        let near = |one: &&&CauseChance| greatest - one.log_evidence < DISTINGUISHED_LOG;
        let count = left.iter().take_while(near).count().max(1);
        let set: Vec<Cause> = left.drain(..count).map(|one| one.cause).collect();
        if set.len() > 1 {
            sets.push(set);
        }
    }
    sets
}
