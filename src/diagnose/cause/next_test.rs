//! Tests that an installer can make, what their outcomes would mean, and which tells most.

use crate::{Air, Receiver};
use units::Dbm;

use super::information::information_bits;
use super::kind::Cause;

/// Levels that are read in a test.
pub const LEVELS_PER_TEST: usize = 5;

/// Test transmissions that are sent in a test.
pub const TRANSMISSIONS_PER_TEST: usize = 10;

/// Places to which the sensor is moved in a test, a quarter of a wavelength or so from where it was
/// and from each other: one level is read at each.
pub const PLACES_PER_TEST: usize = 5;

/// Tests whose bits differ by less than this tell as much; the cheaper one goes first.
const BITS_ALIKE: f64 = 0.02;

/// Something to do, with what is read after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Test {
    /// Read the noise floor at the panel.
    NoiseFloor,
    /// Open the door, or clear what stands before the sensor.
    WayCleared,
    /// Send ten test transmissions, all as found.
    Transmissions,
    /// Read the level of some other sensors and let them send ten test transmissions in turn.
    Others,
    /// Move the sensor by a quarter of a wavelength, to five places in turn.
    Moved,
    /// Put in a fresh battery.
    FreshBattery,
    /// Hold another sensor, known to be sound, at this place.
    Swapped,
    /// Read at another hour of the day.
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

    /// What to do, a sentence.
    #[must_use]
    pub const fn sentence(self) -> &'static str {
        match self {
            Self::NoiseFloor => "Read the noise floor at the panel.",
            Self::WayCleared => {
                "Open the door or clear what stands before the sensor, send ten test transmissions and read the level five times."
            }
            Self::Transmissions => "Send ten test transmissions, all as it is.",
            Self::Others => {
                "Read the levels of the sensors that should be heard best, and let them send ten test transmissions in turn."
            }
            Self::Moved => {
                "Move the sensor by a quarter of a wavelength to five places in turn, read the level at each and send ten test transmissions in all."
            }
            Self::FreshBattery => {
                "Put in a fresh battery, send ten test transmissions and read the level five times."
            }
            Self::Swapped => {
                "Hold a sensor that is known to be sound in its place, send ten test transmissions and read the level five times."
            }
            Self::OtherHour => "Send ten test transmissions at another hour of the day.",
        }
    }

    /// The word to write beside what is read after it, for the readings file; none where nothing has
    /// been changed.
    #[must_use]
    pub const fn note(self) -> Option<&'static str> {
        match self {
            Self::NoiseFloor | Self::Transmissions | Self::Others => None,
            Self::WayCleared => Some("door open"),
            Self::Moved => Some("moved"),
            Self::FreshBattery => Some("fresh battery"),
            Self::Swapped => Some("swapped"),
            Self::OtherHour => Some("other hour"),
        }
    }

    /// Work, minutes, roughly (our choice, no source).
    #[must_use]
    pub const fn minutes(self) -> f64 {
        match self {
            Self::NoiseFloor => 1.0,
            Self::WayCleared => 2.0,
            Self::Transmissions => 3.0,
            Self::Others => 4.0,
            Self::Moved => 5.0,
            Self::FreshBattery => 6.0,
            Self::Swapped => 10.0,
            Self::OtherHour => 15.0,
        }
    }

    /// Whether its level is news: not where nothing has changed but the air.
    const fn changes_level(self) -> bool {
        matches!(
            self,
            Self::WayCleared | Self::Others | Self::Moved | Self::FreshBattery | Self::Swapped
        )
    }
}

/// A range of outcomes, and what it would mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// The outcome in words.
    pub outcome: &'static str,
    /// Chance of it.
    pub chance: f64,
    /// Chance of each cause after it, the likeliest first.
    pub causes: Vec<(Cause, f64)>,
}

/// A test with what it is expected to tell.
#[derive(Debug, Clone, PartialEq)]
pub struct NextTest {
    /// The test.
    pub test: Test,
    /// The devices to read in [`Test::Others`], else none.
    pub sensors: Vec<usize>,
    /// Expected information about the cause, bits.
    pub bits: f64,
    /// What each outcome would mean.
    pub bands: Vec<Band>,
}

/// What a test would read under one state: a normal level, an air.
#[derive(Debug, Clone)]
pub(super) struct Outlook {
    /// Mean and variance of the mean of the levels that are read.
    pub mean: f64,
    pub variance: f64,
    /// Where the levels of single transmissions lie beside that mean, dB, with their shares.
    pub places: Vec<(f64, f64)>,
    /// Number of levels read.
    pub levels: usize,
    pub air: Air,
}

/// One state of a cause with its chance and what it expects of each test.
#[derive(Debug, Clone)]
pub(super) struct Prospect {
    pub cause: Cause,
    pub chance: f64,
    /// In the order of [`Test::ALL`]; that of the noise floor is not used.
    pub outlooks: Vec<Outlook>,
    /// Mean and variance of the noise floor read next, above what is expected.
    pub floor: (f64, f64),
}

/// What is fixed of the outcomes of a sensor's tests.
#[derive(Debug, Clone)]
pub(super) struct Bench<'a> {
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

impl Bench<'_> {
    fn outcomes(&self, test: Test, prospect: &Prospect) -> Vec<f64> {
        if test == Test::NoiseFloor {
            let (mean, variance) = prospect.floor;
            let edge = |k: usize| FLOOR_FROM_DB + k as f64 * FLOOR_BIN_DB;
            return bins(FLOOR_BINS, |k| below((edge(k) - mean) / variance.sqrt()));
        }
        let place = Test::ALL.iter().position(|one| *one == test);
        let Some(outlook) = place.and_then(|place| prospect.outlooks.get(place)) else {
            return Vec::new();
        };
        let with_level = self.levels_shown && test.changes_level();
        let level_bins = if with_level { BINS } else { 1 };
        let mut chances = vec![0.0; level_bins * COUNTS];
        let sigma = outlook.variance.max(0.0).sqrt();
        let read_sigma = self.receiver.reading_sigma.0 / (outlook.levels.max(1) as f64).sqrt();
        let reference = if test == Test::Others { self.others_forecast } else { self.as_found };
        // The normal spread of the level by the trapezoidal rule; at half a deviation it is as good
        // as exact.
        let nodes: Vec<(f64, f64)> =
            (-8..=8).map(|step| f64::from(step) * 0.5).map(|z| (z, (-0.5 * z * z).exp())).collect();
        let sum: f64 = nodes.iter().map(|(_, weight)| weight).sum();
        for (z, weight) in nodes {
            let level = outlook.mean + z * sigma;
            let counts = heard_counts(1.0 - self.missed(level, outlook));
            let levels = if with_level {
                let off = level - reference.0;
                let edge = |k: usize| (k as f64 - BINS_BELOW as f64) * BIN_DB;
                bins(BINS, |k| below((edge(k) - off) / read_sigma))
            } else {
                vec![1.0]
            };
            for (bin, level_chance) in levels.iter().enumerate() {
                let by = weight / sum * level_chance;
                if by > 1e-12 {
                    for (count, chance) in counts.iter().enumerate() {
                        chances[bin * COUNTS + count] += by * chance;
                    }
                }
            }
        }
        chances
    }

    /// Chance of a miss, over all places from which it is sent.
    fn missed(&self, level: f64, outlook: &Outlook) -> f64 {
        let at =
            |(off, share): &(f64, f64)| share * self.receiver.missed(Dbm(level + off), outlook.air);
        outlook.places.iter().map(at).sum()
    }

    /// Names of the bands of a test, and the band of each outcome.
    fn bands(&self, test: Test) -> (Vec<&'static str>, Vec<usize>) {
        if test == Test::NoiseFloor {
            let band = |k: usize| {
                let middle = FLOOR_FROM_DB + (k as f64 + 0.5) * FLOOR_BIN_DB;
                usize::from(middle > 5.0) + usize::from(middle > 12.5)
            };
            let names = vec![
                "it is within 5 dB of what is expected",
                "it is 5 to 12 dB above what is expected",
                "it is more than 12 dB above what is expected",
            ];
            return (names, (0..FLOOR_BINS).map(band).collect());
        }
        if self.levels_shown && test == Test::Others {
            let band = |outcome: usize| {
                let (bin, count) = (outcome / COUNTS, outcome % COUNTS);
                if bin < BINS_BELOW - 2 { 0 } else { 1 + usize::from(count < 9) }
            };
            let names = vec![
                "on the mean they read 6 dB or more below the forecast",
                "they read about as forecast or above, and nine or ten of ten are heard",
                "they read about as forecast or above, and eight or fewer of ten are heard",
            ];
            return (names, (0..BINS * COUNTS).map(band).collect());
        }
        if self.levels_shown && test.changes_level() {
            let band = |outcome: usize| {
                let (bin, count) = (outcome / COUNTS, outcome % COUNTS);
                if bin >= BINS_BELOW + 2 { 0 } else { 1 + usize::from(count < 9) }
            };
            let names = vec![
                "the level rises by 6 dB or more",
                "the level rises by less than 6 dB, and nine or ten of ten are heard",
                "the level rises by less than 6 dB, and eight or fewer of ten are heard",
            ];
            return (names, (0..BINS * COUNTS).map(band).collect());
        }
        let band = |count: usize| usize::from(count < 9) + usize::from(count < 4);
        let names = vec![
            "nine or ten of ten are heard",
            "four to eight of ten are heard",
            "three or fewer of ten are heard",
        ];
        (names, (0..COUNTS).map(band).collect())
    }

    fn next_test(&self, test: Test, prospects: &[Prospect]) -> NextTest {
        let mut causes: Vec<(Cause, f64, Vec<f64>)> = Vec::new();
        for prospect in prospects {
            let outcomes = self.outcomes(test, prospect);
            let joint = outcomes.iter().map(|chance| chance * prospect.chance);
            match causes.iter_mut().find(|(cause, ..)| *cause == prospect.cause) {
                Some((_, chance, sum)) => {
                    *chance += prospect.chance;
                    for (sum, one) in sum.iter_mut().zip(joint) {
                        *sum += one;
                    }
                }
                None => causes.push((prospect.cause, prospect.chance, joint.collect())),
            }
        }
        let (names, band_of) = self.bands(test);
        let band = |number: usize, name: &&'static str| {
            let within = |joint: &Vec<f64>| -> f64 {
                let inside = joint.iter().zip(&band_of).filter(|(_, b)| **b == number);
                inside.map(|(chance, _)| chance).sum()
            };
            let shares: Vec<(Cause, f64)> =
                causes.iter().map(|(cause, _, joint)| (*cause, within(joint))).collect();
            let chance: f64 = shares.iter().map(|(_, share)| share).sum();
            let over = chance.max(f64::MIN_POSITIVE);
            let mut after: Vec<(Cause, f64)> =
                shares.into_iter().map(|(cause, share)| (cause, share / over)).collect();
            after.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
            Band { outcome: name, chance, causes: after }
        };
        let bands = names.iter().enumerate().map(|(n, name)| band(n, name));
        let bands = bands.collect();
        let chances: Vec<f64> = causes.iter().map(|(_, chance, _)| *chance).collect();
        let given: Vec<Vec<f64>> = causes
            .into_iter()
            .map(|(_, chance, joint)| {
                let over = chance.max(f64::MIN_POSITIVE);
                joint.into_iter().map(|one| one / over).collect()
            })
            .collect();
        NextTest {
            test,
            sensors: if test == Test::Others { self.others.clone() } else { Vec::new() },
            bits: information_bits(&chances, &given),
            bands,
        }
    }

    /// All tests, the one that tells most first.
    pub fn next_tests(&self, prospects: &[Prospect]) -> Vec<NextTest> {
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

/// Normal distribution function; beyond six deviations nothing is left that a band would show.
fn below(z: f64) -> f64 {
    if z.abs() > 6.0 {
        return f64::from(u8::from(z > 0.0));
    }
    crate::receiver::normal_below(z)
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
