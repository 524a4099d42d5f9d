//! What may be the matter for all sensors at once, and the house under it.

use nalgebra::{Cholesky, DMatrix, DVector};

use crate::{Air, Channel, Circumstance, Factor, Joint, Prior, StandIn, posterior};
use units::Db;

use super::kind::Cause;
use super::state::{LAPSES, Stand};
use super::way::{FLOOR_METER_SIGMA, FLOOR_SIGMA, FloorSeen, Tables, Way};

/// Rises of the noise floor at the panel, all alike beforehand (our choice, no source: from a bad
/// supply nearby to a strong transmitter beside the band).
pub const NOISE_RISES: [Db; 5] = [Db(6.0), Db(11.0), Db(16.0), Db(21.0), Db(26.0)];

/// Chance that noise found at one hour is not there at another (our choice, no source).
pub const NOISE_ELSEWHEN: f64 = 0.5;

/// Mean of an extra loss at the panel (our choice, no source: an antenna bent back or cut, or metal
/// behind it).
pub const PANEL_LOSS: Db = Db(12.0);

/// Its standard deviation (our choice, no source).
pub const PANEL_LOSS_SIGMA: Db = Db(4.0);

/// Chances, all alike beforehand, that a check-in clashes where clashes are what is wrong (our
/// choice, no source).
pub const CLASH_CHANCES: [f64; 4] = [0.1, 0.25, 0.45, 0.7];

/// Chance that a sensor which is not asked about has a fault of its own (our choice, no source).
pub const OTHERS_FAULTY: f64 = 0.1;

/// Extra losses of such a fault, all alike; they make up 0.7 of the faults (our choice, no source).
pub const OTHERS_LOSSES: [Db; 3] = [Db(6.0), Db(11.0), Db(17.0)];

/// Chance of a skipped check-in in the rest of the faults.
pub const OTHERS_LAPSE: f64 = LAPSES[2];

/// Part of the others' faults that are extra losses.
pub(super) const OTHERS_LOSS_PART: f64 = 0.7;

/// One state of what is the matter for all sensors of a band.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Climate {
    /// `None` where nothing is.
    pub cause: Option<Cause>,
    /// Share of the cause's chance.
    pub share: f64,
    pub band: usize,
    /// The air as found.
    found: Air,
    /// The air at another hour: alternatives, all alike, that no reading tells apart.
    pub hours: Vec<Air>,
}

/// The air with a further chance of a missed check-in.
pub(super) fn with_lapse(air: Air, lapse: f64) -> Air {
    if lapse == 0.0 {
        return air;
    }
    Air { clash: 1.0 - (1.0 - air.clash) * (1.0 - lapse), ..air }
}

impl Climate {
    /// All states of one band. `hours_told`: whether anything was read at another hour.
    pub fn all(band: usize, hours_told: bool) -> Vec<Self> {
        let state = |cause: Option<Cause>, share: f64, found: Air, hours: Vec<Air>| Self {
            cause,
            share,
            band,
            found,
            hours,
        };
        let mut list = vec![state(None, 1.0, Air::QUIET, vec![Air::QUIET])];
        for noise_rise in NOISE_RISES {
            let air = Air { noise_rise, ..Air::QUIET };
            let share = 1.0 / NOISE_RISES.len() as f64;
            let noise = Some(Cause::Noise);
            if hours_told {
                list.push(state(noise, share * (1.0 - NOISE_ELSEWHEN), air, vec![air]));
                list.push(state(noise, share * NOISE_ELSEWHEN, air, vec![Air::QUIET]));
            } else {
                list.push(state(noise, share, air, vec![air, Air::QUIET]));
            }
        }
        list.push(state(Some(Cause::PanelLoss), 1.0, Air::QUIET, vec![Air::QUIET]));
        for clash in CLASH_CHANCES {
            let air = Air { clash, ..Air::QUIET };
            let share = 1.0 / CLASH_CHANCES.len() as f64;
            list.push(state(Some(Cause::Clashes), share, air, vec![air]));
        }
        list
    }

    /// Airs under which likelihoods of check-ins are needed.
    pub fn airs() -> Vec<Air> {
        let all = Self::all(0, true);
        let mut list: Vec<Air> = LAPSES.map(|lapse| with_lapse(Air::QUIET, lapse)).to_vec();
        for climate in all {
            list.push(climate.found);
            list.push(with_lapse(climate.found, OTHERS_LAPSE));
        }
        list
    }

    /// The air at a reading, at another hour the given alternative.
    pub fn air(&self, at: &Stand, band: usize, hour: Air) -> Air {
        // Noise is at the panel; what clashes there clashes everywhere.
        let strikes = band == self.band && (at.listener == 0 || self.cause == Some(Cause::Clashes));
        match (strikes, at.circumstance) {
            (false, _) => Air::QUIET,
            (true, Circumstance::OtherHour) => hour,
            (true, _) => self.found,
        }
    }

    /// Mean and covariance of the levels of channels under it, from those of the linear model.
    pub fn levels(&self, linear: &Joint, channels: &[Channel], bands: &[usize]) -> Joint {
        let mut joint = linear.clone();
        if self.cause != Some(Cause::PanelLoss) {
            return joint;
        }
        let suffers: Vec<bool> = channels
            .iter()
            .zip(bands)
            .map(|(channel, band)| channel.listener == 0 && *band == self.band)
            .collect();
        for (i, one) in suffers.iter().enumerate() {
            if !one {
                continue;
            }
            joint.mean[i] -= PANEL_LOSS.0;
            for (j, other) in suffers.iter().enumerate() {
                if *other {
                    joint.covariance[(i, j)] += PANEL_LOSS_SIGMA.0 * PANEL_LOSS_SIGMA.0;
                }
            }
        }
        joint
    }

    fn rise(&self, hour: bool, air: Air) -> f64 {
        if hour { air.noise_rise.0 } else { self.found.noise_rise.0 }
    }

    /// The noise floor read at the panel: logarithm of the likelihood of what was read, and mean and
    /// variance of what is read next as found, above what is expected.
    pub fn floor(&self, seen: &[FloorSeen], hour: Air) -> Floor {
        let meter = FLOOR_METER_SIGMA.0 * FLOOR_METER_SIGMA.0;
        let square = FLOOR_SIGMA.0 * FLOOR_SIGMA.0;
        let mut log_likelihood = 0.0;
        let mut bands: Vec<usize> = seen.iter().map(|one| one.band).collect();
        bands.dedup();
        let mut next = (self.rise(false, hour), square + meter);
        for band in bands {
            let (mut mean, mut variance) = (0.0, square);
            for one in seen.iter().filter(|one| one.band == band) {
                let rise = if band == self.band { self.rise(one.other_hour, hour) } else { 0.0 };
                let spread = variance + meter;
                let off = one.above - rise - mean;
                log_likelihood -=
                    0.5 * (off * off / spread + (std::f64::consts::TAU * spread).ln());
                mean += off * variance / spread;
                variance -= variance * variance / spread;
            }
            if band == self.band {
                next = (self.rise(false, hour) + mean, variance + meter);
            }
        }
        Floor { log_likelihood, next }
    }
}

/// What the noise floor says.
#[derive(Debug, Clone, Copy)]
pub(super) struct Floor {
    pub log_likelihood: f64,
    /// Mean and variance of the next reading.
    pub next: (f64, f64),
}

/// Mean and covariance of the levels of all channels.
pub(super) fn linear_levels(prior: &Prior, channels: &[Channel]) -> Joint {
    let mut covariance = DMatrix::zeros(channels.len(), channels.len());
    for (i, a) in channels.iter().enumerate() {
        for (j, b) in channels.iter().enumerate().take(i + 1) {
            let both = prior.covariance(a, b);
            covariance[(i, j)] = both;
            covariance[(j, i)] = both;
        }
    }
    Joint {
        mean: DVector::from_iterator(channels.len(), channels.iter().map(|c| c.level.0)),
        covariance,
    }
}

/// What one channel as found says, in a house whose sensors are sound but for a small chance.
#[derive(Debug)]
pub(super) struct Usual {
    pub channel: usize,
    pub device: usize,
    pub likelihood: Factor,
    stand_in: StandIn,
}

/// A house under one climate. Only readings as found, at whatever hour, take part: what was tried on
/// another sensor says more of its cause than of the house.
#[derive(Debug)]
pub(super) struct House {
    /// Levels before any reading.
    levels: Joint,
    /// Channels with readings as found, in rising order.
    pub usual: Vec<Usual>,
    /// Logarithm of the evidence of their levels and check-ins.
    pub log_evidence: f64,
}

/// A likelihood of a sensor that may have a fault of its own.
pub(super) fn perhaps_faulty(sound: &Factor, lapsing: &Factor) -> Factor {
    let loss_share = OTHERS_FAULTY * OTHERS_LOSS_PART / OTHERS_LOSSES.len() as f64;
    let mut parts = vec![
        (sound, 0.0, 1.0 - OTHERS_FAULTY),
        (lapsing, 0.0, OTHERS_FAULTY * (1.0 - OTHERS_LOSS_PART)),
    ];
    parts.extend(OTHERS_LOSSES.map(|loss| (sound, loss.0, loss_share)));
    Factor::mixture(&parts)
}

impl House {
    /// Works it out.
    pub fn new(
        climate: &Climate,
        hour: Air,
        ways: &[Way],
        tables: &Tables<'_>,
        levels: Joint,
    ) -> Self {
        let as_found: Vec<&Way> = ways.iter().filter(|way| way.stand.is_as_found()).collect();
        let mut usual: Vec<Usual> = as_found
            .chunk_by(|a, b| a.channel == b.channel)
            .filter_map(|alike| {
                let whole = |lapse: f64| {
                    let one = |way: &&Way| {
                        let air = climate.air(&way.stand, way.band, hour);
                        way.likelihood(tables, with_lapse(air, lapse))
                    };
                    alike.iter().map(one).reduce(|a, b| a.times(&b))
                };
                let way = alike.first()?;
                Some(Usual {
                    channel: way.channel,
                    device: way.device,
                    likelihood: perhaps_faulty(&whole(0.0)?, &whole(OTHERS_LAPSE)?),
                    stand_in: StandIn { variable: way.channel, precision: 0.0, shift: 0.0 },
                })
            })
            .collect();
        let read: Vec<usize> = usual.iter().map(|one| one.channel).collect();
        let likelihoods = usual.iter().map(|one| &one.likelihood);
        let factors: Vec<(usize, &Factor)> = likelihoods.enumerate().collect();
        let found = posterior(&levels.part(&read), &factors);
        for (one, stand_in) in usual.iter_mut().zip(&found.stand_ins) {
            one.stand_in.precision = stand_in.precision;
            one.stand_in.shift = stand_in.shift;
        }
        Self { levels, usual, log_evidence: found.log_evidence }
    }

    /// Levels of some channels given the readings of all devices but one.
    pub fn beside(&self, device: usize, block: &[usize]) -> Joint {
        let others: Vec<&StandIn> =
            self.usual.iter().filter(|one| one.device != device).map(|one| &one.stand_in).collect();
        let mut joint = self.levels.part(block);
        let covariance = &self.levels.covariance;
        let root = |one: &StandIn| one.precision.max(0.0).sqrt();
        // With S the roots of the precisions, Σ = K − K·S·(I + S·K·S)⁻¹·S·K, and the mean moves by
        // Σ·ν, ν the shifts.
        let inner = DMatrix::from_fn(others.len(), others.len(), |i, j| {
            let (a, b) = (others[i], others[j]);
            covariance[(a.variable, b.variable)] * root(a) * root(b) + f64::from(u8::from(i == j))
        });
        let Some(factored) = Cholesky::new(inner) else {
            return joint;
        };
        let wide = DMatrix::from_fn(others.len(), block.len(), |i, j| {
            root(others[i]) * covariance[(others[i].variable, block[j])]
        });
        let pulled = |variable: usize| -> f64 {
            let one = |s: &&StandIn| covariance[(variable, s.variable)] * s.shift;
            others.iter().map(one).sum()
        };
        let inside = DVector::from_iterator(
            others.len(),
            others.iter().map(|one| root(one) * pulled(one.variable)),
        );
        let solved = factored.solve(&wide);
        for (j, variable) in block.iter().enumerate() {
            joint.mean[j] += pulled(*variable) - solved.column(j).dot(&inside);
        }
        joint.covariance -= wide.transpose() * solved;
        joint
    }
}

impl Joint {
    /// Some of the variables; one may be named more than once.
    pub(crate) fn part(&self, variables: &[usize]) -> Self {
        let count = variables.len();
        Self {
            mean: DVector::from_fn(count, |i, _| self.mean[variables[i]]),
            covariance: DMatrix::from_fn(count, count, |i, j| {
                self.covariance[(variables[i], variables[j])]
            }),
        }
    }
}
