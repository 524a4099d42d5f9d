//! How likely a reading is, given the static level of its channel.

use forecast::{FadeMoments, Fading};
use radio::{Link, NoiseEnvironment, rician_miss};
use units::{Db, Dbm};

use super::reading::Seen;

/// Error of a panel's level meter from one reading to the next, rounding included, dB (common
/// practice, no source). An error common to all readings is part of the site offset.
pub const METER_SIGMA: Db = Db(2.0);

/// Share of readings that are wild: another sensor's, a slip of the pen, a meter caught between two
/// bursts (our choice, no source).
pub const WILD_SHARE: f64 = 0.02;

/// Width over which a wild level is equally likely to lie, dB.
const WILD_RANGE_DB: f64 = 120.0;

/// Chance that a whole window is lost for no reason that the model knows (our choice, no source).
const WILD_LOST: f64 = 1e-4;

/// Chance that a check-in is missed however strong it is (our choice, no source).
const LAPSE: f64 = 0.002;

/// Margins of the table of missed check-ins, dB.
const TABLE_FROM_DB: f64 = -60.0;
const TABLE_STEP_DB: f64 = 0.05;
const TABLE_STEPS: usize = 2_801;

/// What listens on a channel.
#[derive(Debug, Clone, PartialEq)]
pub struct Receiver {
    /// Static level at which the mean burst is just decoded.
    pub needed: Dbm,
    /// Mean of a shown level less the static level: fading in decibels has a mean below zero.
    pub fade_mean: Db,
    /// Standard deviation of a shown level about that: fading and meter.
    pub reading_sigma: Db,
    /// Missed check-ins in a row that make a fault.
    pub run: i32,
    /// Noise floor that is expected.
    pub noise_floor: Dbm,
    /// Signal-to-noise ratio needed: above a risen floor it counts where the sensitivity did.
    pub snr_needed: Db,
    /// Chance that all bursts of a check-in are missed, against the margin.
    missed: Vec<f64>,
}

/// Noise and clashes on the air, the same for all sensors of a link.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// By how much the noise at the listener exceeds what is expected.
    pub noise_rise: Db,
    /// Chance that a check-in clashes with another transmitter's.
    pub clash: f64,
}

impl Air {
    /// Neither of the two.
    pub const QUIET: Self = Self { noise_rise: Db(0.0), clash: 0.0 };
}

/// Standard normal distribution function.
pub(super) fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// A table's value at a place counted in its steps, in a straight line between two of its values;
/// held at its ends.
pub(super) fn between_steps(table: &[f64], place: f64) -> f64 {
    let place = place.clamp(0.0, (table.len() - 1) as f64);
    let below = (place as usize).min(table.len() - 2);
    table[below] + (table[below + 1] - table[below]) * (place - below as f64)
}

impl Receiver {
    /// The listener of a link, under a fading, one of those that `fades` is of, and man-made noise.
    #[must_use]
    pub fn new(
        link: &Link,
        (fading, fades): (Fading, &FadeMoments),
        noise: NoiseEnvironment,
    ) -> Self {
        let (fade_mean, fade_sigma) = fades.of(fading);
        let bursts = i32::try_from(link.bursts.max(1)).unwrap_or(i32::MAX);
        let margin = |step: usize| Db(TABLE_FROM_DB + step as f64 * TABLE_STEP_DB);
        let run = (link.window_min / link.checkin_min + 1e-9).floor();
        let needed = link.level_needed(noise);
        Self {
            needed,
            fade_mean,
            reading_sigma: Db(fade_sigma.0.hypot(METER_SIGMA.0)),
            run: run.clamp(1.0, 1e6) as i32,
            noise_floor: link.noise_floor(noise),
            snr_needed: link.snr_needed,
            missed: (0..TABLE_STEPS)
                .map(|step| fading.mean(|k| rician_miss(margin(step), k).powi(bursts)))
                .collect(),
        }
    }

    /// Level that is needed under the noise of an air.
    fn needed_under(&self, air: Air) -> Dbm {
        let above_noise = self.noise_floor + air.noise_rise + self.snr_needed;
        Dbm(self.needed.0.max(above_noise.0))
    }

    /// Logarithm of the chance that a check-in was decoded whose level the panel showed: the level
    /// shows how it had faded, so that only noise and clashes are left to miss it. What shows no
    /// level is taken for strong enough.
    pub(crate) fn log_decoded(&self, shown: &Seen, air: Air) -> f64 {
        let level = match *shown {
            Seen::Level(level) => Some(level),
            Seen::Between { low, high } => high.or(low),
            _ => None,
        };
        let over = level.map_or(f64::INFINITY, |level| (level - self.needed_under(air)).0);
        let enough = normal_below(over / METER_SIGMA.0);
        let enough = (1.0 - WILD_SHARE) * enough + WILD_SHARE;
        (enough * (1.0 - air.clash) * (1.0 - LAPSE)).max(1e-12).ln()
    }

    /// Chance that a check-in is missed at a static level.
    #[must_use]
    pub fn missed(&self, level: Dbm, air: Air) -> f64 {
        let margin = level - self.needed_under(air);
        let faded = between_steps(&self.missed, (margin.0 - TABLE_FROM_DB) / TABLE_STEP_DB);
        1.0 - (1.0 - faded) * (1.0 - air.clash) * (1.0 - LAPSE)
    }

    /// Logarithm of the likelihood of what was seen at a static level; of a level its density over
    /// decibels. What does not depend on the level (remarks, the noise floor) gives 0.
    #[must_use]
    pub fn log_likelihood(&self, seen: &Seen, level: Dbm, air: Air) -> f64 {
        let centre = level + self.fade_mean;
        let sigma = self.reading_sigma.0;
        let deviates = |at: Dbm| (at - centre).0 / sigma;
        match *seen {
            Seen::Level(read) => {
                let z = deviates(read);
                let density = (-0.5 * z * z).exp() / (sigma * std::f64::consts::TAU.sqrt());
                ((1.0 - WILD_SHARE) * density + WILD_SHARE / WILD_RANGE_DB).ln()
            }
            Seen::Between { low, high } => {
                let low_z = low.map_or(f64::NEG_INFINITY, deviates);
                let high_z = high.map_or(f64::INFINITY, deviates);
                // The smaller of the two tails keeps its digits.
                let inside = if low_z > 0.0 {
                    normal_below(-low_z) - normal_below(-high_z)
                } else {
                    normal_below(high_z) - normal_below(low_z)
                };
                let ends = (low.unwrap_or(Dbm(-150.0)), high.unwrap_or(Dbm(-30.0)));
                let share = ((ends.1 - ends.0).0 / WILD_RANGE_DB).clamp(1e-3, 1.0);
                ((1.0 - WILD_SHARE) * inside.max(0.0) + WILD_SHARE * share).ln()
            }
            Seen::CheckIn { heard } => {
                let missed = self.missed(level, air);
                let likely = if heard { 1.0 - missed } else { missed };
                likely.max(1e-12).ln()
            }
            Seen::Lost => {
                let all = self.missed(level, air).powi(self.run);
                (all + WILD_LOST * (1.0 - all)).ln()
            }
            Seen::NoiseFloor(_) | Seen::Nothing => 0.0,
        }
    }
}
