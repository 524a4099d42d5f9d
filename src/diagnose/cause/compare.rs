//! Causes compared by the marginal likelihood of all readings.

use rayon::prelude::*;

use crate::{Air, Channel, Circumstance, Factor, Joint, Seen, posterior};
use units::Dbm;

use super::climate::{Climate, House, linear_levels, with_lapse};
use super::flaky::flaky;
use super::kind::Cause;
use super::next_test::{Bench, LEVELS_PER_TEST, NextTest, Outlook, Prospect, Test, spread};
use super::state::{Stand, State};
use super::subject::Subject;
use super::way::{Case, FloorSeen, Tables, Way, floors, stand, ways};

/// Two causes are told apart by the readings if these are more than three times as likely under the
/// one as under the other (our choice).
const TOLD_APART_LOG: f64 = 1.098_612_288_668_109_8;

/// Causes less likely than this are not spoken of as undistinguished.
const WORTH_TELLING: f64 = 0.05;

/// States less likely than this are left out of what a test would tell.
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
    /// Sets of causes, each worth telling, that these readings do not tell apart: likelihoods within
    /// a factor of three of the set's greatest.
    pub undistinguished: Vec<Vec<Cause>>,
    /// Tests, the one that tells most first.
    pub next_tests: Vec<NextTest>,
}

/// The causes of each flaky sensor, and of those asked for besides; see [`flaky`]. In rising order
/// of the device. A device without a channel is left out. Nothing depends on the order of readings
/// (but for rounding) or on the number of threads.
#[must_use]
pub fn diagnose_causes(case: &Case<'_>, asked: &[usize]) -> Vec<SensorCauses> {
    let mut devices = flaky(case);
    devices.extend_from_slice(asked);
    devices.sort_unstable();
    devices.dedup();
    let tables = Tables::new(case.channels, Climate::airs());
    let ways = ways(case, &tables);
    let mut channels = case.channels.to_vec();
    let mut bands: Vec<usize> = (0..channels.len()).map(|n| case.band(n)).collect();
    let subjects: Vec<Subject> = devices
        .iter()
        .filter_map(|device| Subject::new(case, *device, &ways, &mut channels, &mut bands))
        .collect();
    let linear = linear_levels(case.prior, &channels);
    let floors = floors(case);
    let hours_told = ways.iter().any(|way| way.stand.circumstance == Circumstance::OtherHour)
        || floors.iter().any(|floor| floor.other_hour);
    let mut struck: Vec<usize> = subjects.iter().map(|subject| subject.band).collect();
    struck.sort_unstable();
    struck.dedup();
    let climates: Vec<Climate> =
        struck.iter().flat_map(|band| Climate::all(*band, hours_told)).collect();
    let world = World {
        ways: &ways,
        tables: &tables,
        floors: &floors,
        channels: &channels,
        bands: &bands,
        linear: &linear,
        subjects: &subjects,
    };
    let found: Vec<Vec<Vec<Finding>>> =
        climates.par_iter().map(|climate| world.findings(climate)).collect();
    let levels_shown = levels_shown(case);
    (0..subjects.len())
        .into_par_iter()
        .map(|number| {
            let own = found.iter().filter_map(|climate| climate.get(number));
            let own: Vec<&Finding> = own.flatten().collect();
            conclude(case, &subjects[number], &own, levels_shown)
        })
        .collect()
}

/// Whether the panel shows levels: some reading has one, or nothing is known of it yet.
fn levels_shown(case: &Case<'_>) -> bool {
    let of_level = |seen: &Seen| matches!(seen, Seen::Level(_) | Seen::Between { .. });
    case.readings.is_empty() || case.readings.iter().any(|(_, r)| of_level(&r.seen))
}

/// Everything that the findings rest on.
struct World<'a> {
    ways: &'a [Way],
    tables: &'a Tables<'a>,
    floors: &'a [FloorSeen],
    channels: &'a [Channel],
    bands: &'a [usize],
    linear: &'a Joint,
    subjects: &'a [Subject],
}

/// One state of one cause: its evidence with its share, and its outlook.
struct Finding {
    cause: Cause,
    /// Logarithm of the evidence times the share of the state within its cause.
    log_evidence: f64,
    outlooks: Vec<Outlook>,
    floor: (f64, f64),
    /// Level as found.
    as_found: f64,
}

impl World<'_> {
    /// For each subject its findings under a climate.
    fn findings(&self, climate: &Climate) -> Vec<Vec<Finding>> {
        let levels = climate.levels(self.linear, self.channels, self.bands);
        let hour = climate.hours.first().copied().unwrap_or(Air::QUIET);
        let house = House::new(climate, hour, self.ways, self.tables, levels);
        self.subjects
            .par_iter()
            .map(|subject| {
                if subject.band == climate.band {
                    self.subject(climate, &house, subject)
                } else {
                    Vec::new()
                }
            })
            .collect()
    }

    fn subject(&self, climate: &Climate, house: &House, subject: &Subject) -> Vec<Finding> {
        let beside = house.beside(subject.device, &subject.block);
        let own = house.usual.iter().filter(|one| one.device == subject.device);
        let usual: Vec<(usize, &Factor)> = own
            .filter_map(|one| {
                let place = subject.block.iter().position(|c| *c == one.channel)?;
                Some((place, &one.likelihood))
            })
            .collect();
        // What the rest of the house says: all, less this sensor's own part.
        let rest = house.log_evidence - posterior(&beside, &usual).log_evidence;
        let others = self.others_outlook(climate, house, subject);
        let hour = climate.hours.first().copied().unwrap_or(Air::QUIET);
        let mut found = Vec::new();
        let mut likelihoods = Likelihoods::default();
        let causes: Vec<Cause> = match climate.cause {
            Some(cause) => vec![cause],
            None => Cause::ALL.into_iter().filter(|cause| cause.is_local()).collect(),
        };
        for cause in causes {
            for state in State::of(cause, &subject.listeners) {
                let shared = self.shared(climate, hour, subject, &state);
                for (_, parts) in &shared {
                    likelihoods.prepare(parts, self);
                }
                let factors: Vec<(usize, &Factor)> = shared
                    .iter()
                    .filter_map(|(place, parts)| Some((*place, likelihoods.get(parts)?)))
                    .collect();
                let own = posterior(&with_extra(&beside, &state, &subject.stands), &factors);
                let said = |told: bool, chance: f64| if told { chance } else { 1.0 - chance };
                let remarks = said(subject.battery_low, state.battery_low)
                    * said(subject.tamper, state.tamper);
                for hour in &climate.hours {
                    let floor = climate.floor(self.floors, *hour);
                    let share = climate.share * state.share / climate.hours.len() as f64;
                    let outlook = |test: usize| {
                        if let (Some(&Test::Others), Some(others)) = (Test::ALL.get(test), &others)
                        {
                            return others.clone();
                        }
                        let place = subject.ways.len() + test;
                        let at = &subject.stands[place];
                        let air = climate.air(at, subject.band, *hour);
                        let mut places = vec![place];
                        if Test::ALL.get(test) == Some(&Test::Moved) {
                            places
                                .extend(subject.ways.len() + Test::ALL.len()..subject.block.len());
                        }
                        let (mean, variance) = mean_of(&own.joint, &places);
                        // Places differ by the luck of the spot, less what their mean has of it.
                        let count = places.len() as f64;
                        let apart = at.spot_sigma * (1.0 - 1.0 / count).sqrt();
                        Outlook {
                            mean,
                            variance,
                            places: spread(0.0, apart, 1.0).to_vec(),
                            levels: LEVELS_PER_TEST,
                            air: with_lapse(air, state.lapse_at(at)),
                        }
                    };
                    let outlooks: Vec<Outlook> = (0..Test::ALL.len()).map(outlook).collect();
                    found.push(Finding {
                        cause,
                        log_evidence: rest
                            + own.log_evidence
                            + floor.log_likelihood
                            + (share * remarks).ln(),
                        // The noise floor's place holds the level as found.
                        as_found: outlooks.first().map_or(0.0, |outlook| outlook.mean),
                        outlooks,
                        floor: floor.next,
                    });
                }
            }
        }
        found
    }

    /// What a test would read of other sensors.
    fn others_outlook(
        &self,
        climate: &Climate,
        house: &House,
        subject: &Subject,
    ) -> Option<Outlook> {
        let first = *subject.others.first()?;
        let joint = house.beside(subject.device, &subject.others);
        let all: Vec<usize> = (0..subject.others.len()).collect();
        let (mean, variance) = mean_of(&joint, &all);
        let share = 1.0 / all.len() as f64;
        let places = all.iter().flat_map(|i| {
            // What is not known of one sensor beyond what is not known of their mean.
            let beyond = (joint.covariance[(*i, *i)] - variance).max(0.0).sqrt();
            spread(joint.mean[*i] - mean, beyond, share)
        });
        let at = stand(&self.channels[first], Circumstance::AsFound);
        let hour = climate.hours.first().copied().unwrap_or(Air::QUIET);
        Some(Outlook {
            mean,
            variance,
            places: places.collect(),
            levels: all.len(),
            air: climate.air(&at, subject.band, hour),
        })
    }

    /// For each level that a sensor has under a state, its place in the block and the readings that
    /// share it: those of one channel that the state does not part, whatever was tried.
    fn shared(
        &self,
        climate: &Climate,
        hour: Air,
        subject: &Subject,
        state: &State,
    ) -> Vec<Shared> {
        let mut found: Vec<Shared> = Vec::new();
        for (place, number) in subject.ways.iter().enumerate() {
            let way = &self.ways[*number];
            let air = climate.air(&way.stand, way.band, hour);
            let air = with_lapse(air, state.lapse_at(&way.stand));
            let is_there = state.is_there(&way.stand);
            let alike = found.iter_mut().find(|(other, _)| {
                subject.block[*other] == way.channel
                    && state.is_there(&subject.stands[*other]) == is_there
            });
            match alike {
                Some((_, parts)) => parts.push((*number, air)),
                None => found.push((place, vec![(*number, air)])),
            }
        }
        found
    }
}

/// A place in a block, and the ways that share its level, each with its air.
type Shared = (usize, Vec<(usize, Air)>);

/// Likelihoods of a sensor's levels, each worked out once.
#[derive(Default)]
struct Likelihoods(Vec<(Vec<(usize, Air)>, Factor)>);

impl Likelihoods {
    fn get(&self, parts: &[(usize, Air)]) -> Option<&Factor> {
        let known = self.0.iter().find(|(known, _)| known == parts);
        known.map(|(_, factor)| factor)
    }

    fn prepare(&mut self, parts: &[(usize, Air)], world: &World<'_>) {
        if self.get(parts).is_some() {
            return;
        }
        let one = |(way, air): &(usize, Air)| world.ways[*way].likelihood(world.tables, *air);
        let whole = parts.iter().map(one).reduce(|a, b| a.times(&b));
        if let Some(whole) = whole {
            self.0.push((parts.to_vec(), whole));
        }
    }
}

/// Mean and variance of the mean of some levels.
fn mean_of(joint: &Joint, places: &[usize]) -> (f64, f64) {
    let part = joint.part(places);
    let count = places.len() as f64;
    (part.mean.sum() / count, part.covariance.sum() / (count * count))
}

/// The levels under a state of a cause.
fn with_extra(beside: &Joint, state: &State, stands: &[Stand]) -> Joint {
    let mut joint = beside.clone();
    for (i, a) in stands.iter().enumerate() {
        joint.mean[i] -= state.extra_mean(a);
        for (j, b) in stands.iter().enumerate() {
            joint.covariance[(i, j)] += state.extra_covariance(a, b);
        }
    }
    joint
}

fn conclude(
    case: &Case<'_>,
    subject: &Subject,
    found: &[&Finding],
    levels_shown: bool,
) -> SensorCauses {
    let evidence = |cause: Cause| {
        let own = found.iter().filter(move |finding| finding.cause == cause);
        crate::factor::log_sum(own.map(|finding| finding.log_evidence))
    };
    let evidences = Cause::ALL.map(|cause| (cause, evidence(cause)));
    let weighed = evidences.map(|(cause, log)| log + case.shares.of(cause).ln());
    let all = crate::factor::log_sum(weighed.iter().copied());
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
    let mut prospects = Vec::new();
    for finding in found {
        let chance = (finding.log_evidence + case.shares.of(finding.cause).ln() - all).exp();
        as_found += chance * finding.as_found;
        sum += chance;
        if chance > NEGLIGIBLE {
            prospects.push(Prospect {
                cause: finding.cause,
                chance,
                outlooks: finding.outlooks.clone(),
                floor: finding.floor,
            });
        }
    }
    let others = subject.others.iter().filter_map(|n| case.channels.get(*n));
    let (devices, forecast) = others.fold((Vec::new(), 0.0), |(mut devices, sum), channel| {
        devices.push(channel.device);
        (devices, sum + channel.level.0)
    });
    let bench = Bench {
        receiver: &subject.receiver,
        levels_shown,
        as_found: Dbm(as_found / sum.max(f64::MIN_POSITIVE)),
        others: devices,
        others_forecast: Dbm(forecast / subject.others.len().max(1) as f64),
    };
    SensorCauses {
        device: subject.device,
        undistinguished: undistinguished(&causes),
        causes,
        next_tests: bench.next_tests(&prospects),
    }
}

/// Sets of causes that the readings do not tell apart.
fn undistinguished(causes: &[CauseChance]) -> Vec<Vec<Cause>> {
    let mut left: Vec<&CauseChance> =
        causes.iter().filter(|one| one.chance >= WORTH_TELLING).collect();
    left.sort_by(|a, b| b.log_evidence.total_cmp(&a.log_evidence));
    let mut sets = Vec::new();
    while let Some(greatest) = left.first().map(|one| one.log_evidence) {
        let near = |one: &&&CauseChance| greatest - one.log_evidence < TOLD_APART_LOG;
        let count = left.iter().take_while(near).count().max(1);
        let set: Vec<Cause> = left.drain(..count).map(|one| one.cause).collect();
        if set.len() > 1 {
            sets.push(set);
        }
    }
    sets
}
