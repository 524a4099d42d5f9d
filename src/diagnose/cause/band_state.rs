//! What may be wrong for all sensors of a band at once, and the house under it.

use crate::factor::Factor;
use crate::propagation::{ApproximateFactor, Conditioned, Joint, Normal, posterior};
use crate::reading::Circumstance;
use crate::receiver::Air;
use crate::variables::Levels;
use units::Db;

use super::case::{FLOOR_METER_SIGMA, FLOOR_SIGMA, FloorSeen, ReadingGroup, Tables};
use super::kind::{Cause, OTHERS_FAULTY};
use super::sensor_state::{LAPSES, Setup};

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

/// Extra losses of such a fault, all alike; they make up 0.7 of the faults (our choice, no source).
pub const OTHERS_LOSSES: [Db; 3] = [Db(6.0), Db(11.0), Db(17.0)];

/// Chance of a skipped check-in in the rest of the faults.
pub const OTHERS_LAPSE: f64 = LAPSES[2];

/// Part of the others' faults that are extra losses.
pub(super) const OTHERS_LOSS_PART: f64 = 0.7;

/// One state of what is wrong for all sensors of a band.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BandState {
    /// `None` where nothing is.
    pub cause: Option<Cause>,
    /// Share of the cause's chance.
    pub share: f64,
    pub band: usize,
    found: Air,
    /// The air at another hour: alternatives, all alike, that no reading distinguishes.
    pub hours: Vec<Air>,
}

/// The air with a further chance of a missed check-in.
pub(super) fn with_lapse(air: Air, lapse: f64) -> Air {
    if lapse == 0.0 {
        return air;
    }
    Air { clash: 1.0 - (1.0 - air.clash) * (1.0 - lapse), ..air }
}

impl BandState {
    /// All states of one band. `hours_read`: whether anything was read at another hour.
    pub fn all(band: usize, hours_read: bool) -> Vec<Self> {
        let quiet = |cause: Option<Cause>| Self {
            cause,
            share: 1.0,
            band,
            found: Air::QUIET,
            hours: vec![Air::QUIET],
        };
        let mut list = vec![quiet(None)];
        for noise_rise in NOISE_RISES {
            let found = Air { noise_rise, ..Air::QUIET };
            let share = 1.0 / NOISE_RISES.len() as f64;
            let noise = |share: f64, hours: Vec<Air>| Self {
                share,
                found,
                hours,
                ..quiet(Some(Cause::Noise))
            };
            if hours_read {
                list.push(noise(share * (1.0 - NOISE_ELSEWHEN), vec![found]));
                list.push(noise(share * NOISE_ELSEWHEN, vec![Air::QUIET]));
            } else {
                list.push(noise(share, vec![found, Air::QUIET]));
            }
        }
        list.push(quiet(Some(Cause::PanelLoss)));
        list.extend(CLASH_CHANCES.map(|clash| {
            let found = Air { clash, ..Air::QUIET };
            let share = 1.0 / CLASH_CHANCES.len() as f64;
            Self { share, found, hours: vec![found], ..quiet(Some(Cause::Clashes)) }
        }));
        list
    }

    /// Airs under which likelihoods of check-ins are needed.
    pub fn airs() -> Vec<Air> {
        let mut list: Vec<Air> = LAPSES.map(|lapse| with_lapse(Air::QUIET, lapse)).to_vec();
        for state in Self::all(0, true) {
            list.extend([state.found, with_lapse(state.found, OTHERS_LAPSE)]);
        }
        list
    }

    /// The first alternative of the air at another hour.
    pub fn hour(&self) -> Air {
        self.hours.first().copied().unwrap_or(Air::QUIET)
    }

    /// The air at a reading, at another hour the given alternative.
    pub fn air(&self, at: &Setup, band: usize, hour: Air) -> Air {
        // Noise is at the panel; what clashes there clashes everywhere.
        let strikes =
            band == self.band && (at.key.listener == 0 || self.cause == Some(Cause::Clashes));
        match (strikes, at.circumstance) {
            (false, _) => Air::QUIET,
            (true, Circumstance::OtherHour) => hour,
            (true, _) => self.found,
        }
    }

    /// The noise floor read at the panel: logarithm of the likelihood of what was read, and mean
    /// and variance of what is read next as found, above what is expected.
    pub fn floor(&self, seen: &[FloorSeen], hour: Air) -> (f64, (f64, f64)) {
        let meter = FLOOR_METER_SIGMA.0 * FLOOR_METER_SIGMA.0;
        let square = FLOOR_SIGMA.0 * FLOOR_SIGMA.0;
        let mut log_likelihood = 0.0;
        let mut next = (self.found.noise_rise.0, square + meter);
        for alike in seen.chunk_by(|a, b| a.band == b.band) {
            let is_here = alike.iter().any(|one| one.band == self.band);
            let (mut mean, mut variance) = (0.0, square);
            for one in alike {
                let air = if one.other_hour { hour } else { self.found };
                let rise = if is_here { air.noise_rise.0 } else { 0.0 };
                let spread = variance + meter;
                let off = one.above - rise - mean;
                log_likelihood -=
                    0.5 * (off * off / spread + (std::f64::consts::TAU * spread).ln());
                mean += off * variance / spread;
                variance -= variance * variance / spread;
            }
            if is_here {
                next = (self.found.noise_rise.0 + mean, variance + meter);
            }
        }
        (log_likelihood, next)
    }
}

/// What one channel as found says, in a house whose sensors are sound but for a small chance.
#[derive(Debug)]
pub(super) struct ChannelEvidence {
    pub channel: usize,
    pub device: usize,
    pub likelihood: Factor,
}

/// The levels of channels under a state, from those of the linear model.
#[derive(Debug)]
pub(super) struct StruckLevels<'a> {
    pub linear: &'a Levels<'a>,
    /// For each channel, whether it loses what the panel does.
    pub struck: Vec<bool>,
}

impl Normal for StruckLevels<'_> {
    fn mean(&self, channel: usize) -> f64 {
        let loss = if self.struck[channel] { PANEL_LOSS.0 } else { 0.0 };
        self.linear.mean(channel) - loss
    }

    fn covariance(&self, a: usize, b: usize) -> f64 {
        let both = self.struck[a] && self.struck[b];
        let shared = if both { PANEL_LOSS_SIGMA.0 * PANEL_LOSS_SIGMA.0 } else { 0.0 };
        self.linear.covariance(a, b) + shared
    }
}

/// A house under one state of a band. Only readings as found, at any hour, take part: what was
/// tried on another sensor says more of its cause than of the house.
#[derive(Debug)]
pub(super) struct House<'a> {
    /// Levels with all those readings; `None` if there are none, or rounding has spoilt them.
    read: Option<Conditioned<'a, StruckLevels<'a>>>,
    levels: &'a StruckLevels<'a>,
    /// Channels with readings as found, in rising order.
    pub evidence: Vec<ChannelEvidence>,
    /// For each of them its approximation, of which the variable is the channel.
    factors: Vec<ApproximateFactor>,
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

/// The likelihood of groups of readings of one level, each under its air; `None` without any.
pub(super) fn joined<'a>(
    tables: &Tables<'_>,
    parts: impl Iterator<Item = (&'a ReadingGroup, Air)>,
) -> Option<Factor> {
    let own = parts.map(|(group, air)| group.likelihood(tables, air));
    own.reduce(|a, b| Factor::product(&[(&a, 1.0), (&b, 1.0)], 0.0))
}

impl<'a> House<'a> {
    pub fn new(
        state: &BandState,
        groups: &[ReadingGroup],
        tables: &Tables<'_>,
        levels: &'a StruckLevels<'a>,
    ) -> Self {
        let hour = state.hour();
        let as_found: Vec<&ReadingGroup> =
            groups.iter().filter(|group| group.setup.is_as_found()).collect();
        let of_channel = |alike: &[&ReadingGroup]| {
            let whole = |lapse: f64| {
                let with_air = alike.iter().map(|group| {
                    let air = state.air(&group.setup, group.band, hour);
                    (*group, with_lapse(air, lapse))
                });
                joined(tables, with_air)
            };
            let first = alike.first()?;
            Some(ChannelEvidence {
                channel: first.channel,
                device: first.setup.key.device,
                likelihood: perhaps_faulty(&whole(0.0)?, &whole(OTHERS_LAPSE)?),
            })
        };
        let alike = as_found.chunk_by(|a, b| a.channel == b.channel);
        let evidence: Vec<ChannelEvidence> = alike.filter_map(of_channel).collect();
        let likelihoods: Vec<(usize, &Factor)> =
            evidence.iter().map(|one| (one.channel, &one.likelihood)).collect();
        let (found, read) = posterior(levels, &likelihoods);
        Self { read, levels, evidence, factors: found.factors, log_evidence: found.log_evidence }
    }

    /// Levels of some channels given the readings of all devices but one: given all, and then its
    /// own taken back.
    pub fn beside(&self, device: usize, block: &[usize]) -> Joint {
        let own = self.evidence.iter().zip(&self.factors).filter(|(one, _)| one.device == device);
        let own: Vec<&ApproximateFactor> = own.map(|(_, factor)| factor).collect();
        let whole: Vec<usize> =
            block.iter().copied().chain(own.iter().map(|factor| factor.variable)).collect();
        let Some(read) = &self.read else { return self.levels.part(block) };
        let mut joint = read.part(&whole);
        for (place, factor) in (block.len()..).zip(own) {
            let from = self.levels.mean(factor.variable);
            joint.say(place, (-factor.precision, -factor.shift), from);
        }
        let block: Vec<usize> = (0..block.len()).collect();
        joint.part(&block)
    }
}
