//! Tests that an installer can make, what their outcomes would mean, and which says most.

use crate::receiver::{Air, Receiver, normal_below};
use units::Dbm;

use super::kind::{Cause, Effort};

/// Levels that are read in a test.
pub const LEVELS_PER_TEST: usize = 5;

/// Test transmissions that are sent in a test.
pub const TRANSMISSIONS_PER_TEST: usize = 10;

/// Places to which the sensor is moved in a test, a quarter of a wavelength or so from where it was
/// and from each other: one level is read at each.
pub const PLACES_PER_TEST: usize = 5;

/// Tests whose bits differ by less than this are alike; the cheaper one goes first.
const BITS_ALIKE: f64 = 0.02;

/// Something to do, with what is read after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs, reason = "the sentences say it")]
pub enum Test {
    NoiseFloor,
    WayCleared,
    Transmissions,
    Others,
    Moved,
    FreshBattery,
    Swapped,
    OtherHour,
}

impl Test {
    /// All of them, the least work first.
    pub const ALL: [Self; 8] = [
        Self::NoiseFloor,
        Self::WayCleared,
        Self::Transmissions,
        Self::Others,
        Self::Moved,
        Self::FreshBattery,
        Self::Swapped,
        Self::OtherHour,
    ];

    /// Its minutes and its note.
    const fn row(self) -> (f64, Option<&'static str>) {
        match self {
            Self::NoiseFloor => (1.0, None),
            Self::WayCleared => (2.0, Some("door open")),
            Self::Transmissions => (3.0, None),
            Self::Others => (4.0, None),
            Self::Moved => (5.0, Some("moved")),
            Self::FreshBattery => (6.0, Some("fresh battery")),
            Self::Swapped => (10.0, Some("swapped")),
            Self::OtherHour => (15.0, Some("other hour")),
        }
    }

    /// The word to write beside what is read after it, for the readings file; none where nothing
    /// has been changed.
    #[must_use]
    pub const fn note(self) -> Option<&'static str> {
        self.row().1
    }

    /// How much work it is.
    #[must_use]
    pub const fn effort(self) -> Effort {
        match self {
            Self::NoiseFloor | Self::Transmissions | Self::FreshBattery => Effort::BatteryAndCover,
            Self::WayCleared => Effort::Mounting,
            Self::Moved => Effort::Moving,
            Self::Others | Self::Swapped | Self::OtherHour => Effort::Hardware,
        }
    }

    /// Work, minutes, roughly (our choice, no source).
    #[must_use]
    pub const fn minutes(self) -> f64 {
        self.row().0
    }

    /// Whether its level is news: not where nothing has changed but the air.
    const fn changes_level(self) -> bool {
        !matches!(self, Self::NoiseFloor | Self::Transmissions | Self::OtherHour)
    }
}

/// A range of outcomes, and what it would mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The outcome in words.
    pub outcome: &'static str,
    /// Chance of it.
    pub chance: f64,
    /// Chance of each cause after it, the likeliest first.
    pub causes: Vec<(Cause, f64)>,
}

/// A test with the information that it is expected to give.
#[derive(Debug, Clone, PartialEq)]
pub struct NextTest {
    /// The test.
    pub test: Test,
    /// The devices to read in [`Test::Others`], else none.
    pub sensors: Vec<usize>,
    /// Expected information about the cause, bits.
    pub bits: f64,
    /// What each outcome would mean.
    pub bands: Vec<Outcome>,
}

/// What a test would read under one state: a normal level, an air.
#[derive(Debug, Clone)]
pub(super) struct ExpectedReading {
    /// Mean and variance of the mean of the levels that are read.
    pub mean: f64,
    pub variance: f64,
    /// Where the levels of single transmissions lie beside that mean, dB, with their shares.
    pub places: Vec<(f64, f64)>,
    /// Number of levels read.
    pub levels: usize,
    pub air: Air,
}

/// One state of one cause: its evidence, and what each test would read.
pub(super) struct StateEvidence {
    pub cause: Cause,
    /// Logarithm of the evidence times the share of the state within its cause.
    pub log_evidence: f64,
    /// In the order of [`Test::ALL`]; that of the noise floor is the level as found.
    pub expected: Vec<ExpectedReading>,
    /// Mean and variance of the noise floor read next, above what is expected.
    pub floor: (f64, f64),
}

/// A state with its chance.
pub(super) type Prospect<'a> = (f64, &'a StateEvidence);

/// The tests of a sensor: what is the same for all states.
#[derive(Debug, Clone)]
pub(super) struct Tests<'a> {
    pub receiver: &'a Receiver,
    /// Whether this panel shows levels.
    pub levels_shown: bool,
    /// Static level as found, to which a new one is compared.
    pub as_found: Dbm,
    /// The other sensors that would be read, and the mean of their forecast levels.
    pub others: Vec<usize>,
    pub others_forecast: Dbm,
}

const COUNTS: usize = TRANSMISSIONS_PER_TEST + 1;

/// Width of a bin of levels, dB, and the bins on each side of the level as found.
const BIN_DB: f64 = 3.0;
const BINS_BELOW: usize = 12;
const BINS: usize = 2 * BINS_BELOW;

/// Bins of the noise floor, above what is expected.
const FLOOR_FROM_DB: f64 = -15.0;
const FLOOR_BINS: usize = 24;
const FLOOR_BIN_DB: f64 = 2.5;

/// 1 where eight or fewer of a test's transmissions are heard, else 0.
fn few_heard(outcome: usize) -> usize {
    usize::from(outcome % COUNTS < 9)
}

/// Lower edge of a bin of the noise floor, above what is expected, dB; halves are the middles.
fn floor_edge(bin: f64) -> f64 {
    FLOOR_FROM_DB + bin * FLOOR_BIN_DB
}

impl Tests<'_> {
    /// Whether a test reads a level besides counting what is heard.
    fn reads_level(&self, test: Test) -> bool {
        self.levels_shown && test.changes_level()
    }

    /// Chances of the outcomes: bins of the noise floor, or for each bin of levels (if there are
    /// any) the numbers of transmissions that are heard.
    fn outcomes(&self, test: Test, state: &StateEvidence) -> Vec<f64> {
        if test == Test::NoiseFloor {
            let (mean, variance) = state.floor;
            return bins(FLOOR_BINS, |k| below((floor_edge(k as f64) - mean) / variance.sqrt()));
        }
        let expected = &state.expected[test as usize];
        let level_bins = if self.reads_level(test) { BINS } else { 1 };
        let mut chances = vec![0.0; level_bins * COUNTS];
        let sigma = expected.variance.max(0.0).sqrt();
        let read_sigma = self.receiver.reading_sigma.0 / (expected.levels.max(1) as f64).sqrt();
        let reference = if test == Test::Others { self.others_forecast } else { self.as_found };
        // The normal spread of the level by the trapezoidal rule; at half a deviation it is as good
        // as exact.
        let nodes: Vec<(f64, f64)> =
            (-8..=8).map(|step| f64::from(step) * 0.5).map(|z| (z, (-0.5 * z * z).exp())).collect();
        let sum: f64 = nodes.iter().map(|(_, weight)| weight).sum();
        for (z, weight) in nodes {
            let level = expected.mean + z * sigma;
            let counts = heard_counts(1.0 - self.missed(level, expected));
            let off = level - reference.0;
            let edge = |k: usize| (k as f64 - BINS_BELOW as f64) * BIN_DB;
            let levels = bins(level_bins, |k| below((edge(k) - off) / read_sigma));
            for (level_chance, chances) in levels.iter().zip(chances.chunks_mut(COUNTS)) {
                let by = weight / sum * level_chance;
                if by > 1e-12 {
                    for (sum, chance) in chances.iter_mut().zip(counts) {
                        *sum += by * chance;
                    }
                }
            }
        }
        chances
    }

    /// Chance of a miss, over all places from which it is sent.
    fn missed(&self, level: f64, expected: &ExpectedReading) -> f64 {
        let at = |(off, share): &(f64, f64)| {
            share * self.receiver.missed(Dbm(level + off), expected.air)
        };
        expected.places.iter().map(at).sum()
    }

    /// Names of the ranges of a test's outcomes, and the range of an outcome by its number.
    fn ranges(&self, test: Test) -> ([&'static str; 3], fn(usize) -> usize) {
        match test {
            Test::NoiseFloor => (
                [
                    "it is within 5 dB of what is expected",
                    "it is 5 to 12 dB above what is expected",
                    "it is more than 12 dB above what is expected",
                ],
                |outcome| {
                    let middle = floor_edge(outcome as f64 + 0.5);
                    usize::from(middle > 5.0) + usize::from(middle > 12.5)
                },
            ),
            Test::Others if self.levels_shown => (
                [
                    "on average they read 6 dB or more below the forecast",
                    "they read about as forecast or above, and nine or ten of ten are heard",
                    "they read about as forecast or above, and eight or fewer of ten are heard",
                ],
                |at| if at / COUNTS < BINS_BELOW - 2 { 0 } else { 1 + few_heard(at) },
            ),
            _ if self.reads_level(test) => (
                [
                    "the level rises by 6 dB or more",
                    "the level rises by less than 6 dB, and nine or ten of ten are heard",
                    "the level rises by less than 6 dB, and eight or fewer of ten are heard",
                ],
                |at| if at / COUNTS >= BINS_BELOW + 2 { 0 } else { 1 + few_heard(at) },
            ),
            _ => (
                [
                    "nine or ten of ten are heard",
                    "four to eight of ten are heard",
                    "three or fewer of ten are heard",
                ],
                |heard| usize::from(heard < 9) + usize::from(heard < 4),
            ),
        }
    }

    fn next_test(&self, test: Test, prospects: &[Prospect<'_>]) -> NextTest {
        // For each cause its chance, and the chance of it with each outcome.
        let mut causes: Vec<(Cause, f64, Vec<f64>)> = Vec::new();
        for (weight, state) in prospects {
            let outcomes = self.outcomes(test, state);
            let joint = outcomes.iter().map(|chance| chance * weight);
            match causes.iter_mut().find(|(cause, ..)| *cause == state.cause) {
                Some((_, chance, sum)) => {
                    *chance += weight;
                    for (sum, one) in sum.iter_mut().zip(joint) {
                        *sum += one;
                    }
                }
                None => causes.push((state.cause, *weight, joint.collect())),
            }
        }
        let (names, range_of) = self.ranges(test);
        let range = |(number, outcome): (usize, &'static str)| {
            let mut after: Vec<(Cause, f64)> = Vec::new();
            for (cause, _, joint) in &causes {
                let own = joint.iter().enumerate().filter(|(at, _)| range_of(*at) == number);
                after.push((*cause, own.map(|(_, chance)| chance).sum()));
            }
            let chance: f64 = after.iter().map(|(_, share)| share).sum();
            for (_, share) in &mut after {
                *share /= chance.max(f64::MIN_POSITIVE);
            }
            after.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            Outcome { outcome, chance, causes: after }
        };
        let bands = names.into_iter().enumerate().map(range).collect();
        let given = causes.into_iter().map(|(_, chance, joint)| {
            let over = chance.max(f64::MIN_POSITIVE);
            (chance, joint.into_iter().map(|one| one / over).collect())
        });
        NextTest {
            test,
            sensors: if test == Test::Others { self.others.clone() } else { Vec::new() },
            bits: information_bits(&given.collect::<Vec<_>>()),
            bands,
        }
    }

    /// All tests, the one with the most information first.
    pub fn ranked(&self, prospects: &[Prospect<'_>]) -> Vec<NextTest> {
        let mut tests: Vec<NextTest> = Test::ALL
            .iter()
            .filter(|test| **test != Test::Others || !self.others.is_empty())
            .map(|test| self.next_test(*test, prospects))
            .collect();
        let steps = |bits: f64| (bits / BITS_ALIKE).round();
        tests.sort_by(|a, b| {
            steps(b.bits)
                .total_cmp(&steps(a.bits))
                .then(a.test.minutes().total_cmp(&b.test.minutes()))
        });
        tests
    }
}

/// A normal spread of places as three points (Gauss-Hermite rule), each with its share.
pub(super) fn spread(off: f64, sigma: f64, share: f64) -> [(f64, f64); 3] {
    let out = sigma * 3f64.sqrt();
    [(off, share * 2.0 / 3.0), (off - out, share / 6.0), (off + out, share / 6.0)]
}

/// Normal distribution function; beyond six deviations nothing is left that a range would show.
fn below(z: f64) -> f64 {
    if z.abs() > 6.0 { f64::from(u8::from(z > 0.0)) } else { normal_below(z) }
}

/// Chances of bins from the distribution function at their lower edges; the first and the last
/// reach without end.
fn bins(count: usize, below_edge: impl Fn(usize) -> f64) -> Vec<f64> {
    let mut before = 0.0;
    (1..=count)
        .map(|k| {
            let here = if k == count { 1.0 } else { below_edge(k) };
            let chance = (here - before).max(0.0);
            before = here;
            chance
        })
        .collect()
}

/// Binomial chances of hearing so many of a test's transmissions.
fn heard_counts(heard: f64) -> [f64; COUNTS] {
    let heard = heard.clamp(1e-12, 1.0 - 1e-12);
    let most = TRANSMISSIONS_PER_TEST as i32;
    let mut ways = 1.0;
    std::array::from_fn(|k| {
        let count = k as i32;
        let chance = ways * heard.powi(count) * (1.0 - heard).powi(most - count);
        ways *= f64::from(most - count) / f64::from(count + 1);
        chance
    })
}

/// Expected information, in bits, that an outcome gives about a cause: the mutual information
/// Σ p(c)·p(o|c)·log₂(p(o|c) / p(o)) (Cover and Thomas, Elements of Information Theory, 2.3, from
/// memory). For each cause its chance and the chances of the outcomes under it, as many for each.
fn information_bits(causes: &[(f64, Vec<f64>)]) -> f64 {
    let count = causes.iter().map(|(_, outcomes)| outcomes.len()).max().unwrap_or(0);
    let mut all = vec![0.0; count];
    for (chance, outcomes) in causes {
        for (sum, one) in all.iter_mut().zip(outcomes) {
            *sum += chance * one;
        }
    }
    let mut bits = 0.0;
    for (chance, outcomes) in causes {
        for (sum, one) in all.iter().zip(outcomes) {
            if *one > 0.0 && *sum > 0.0 && *chance > 0.0 {
                bits += chance * one * (one / sum).log2();
            }
        }
    }
    bits.max(0.0)
}
