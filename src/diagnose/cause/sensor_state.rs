//! What a cause that strikes one sensor says of its readings: the states that it may be in.

use std::sync::LazyLock;

use crate::channel::ChannelKey;
use crate::reading::Circumstance;
use units::Db;

use super::kind::Cause;

/// Mean extra loss of an obstruction (our choice, no source: an interior metal door or a foil blind
/// that is gone round).
pub const OBSTRUCTION_LOSS: Db = Db(12.0);

/// Its standard deviation (our choice, no source).
pub const OBSTRUCTION_SIGMA: Db = Db(4.0);

/// Chance that the loss of an obstruction goes when the way is cleared (our choice, no source):
/// what stands there may not be what was cleared.
pub const OBSTRUCTION_GOES: f64 = 0.4;

/// A null is where the local fading lies below this.
pub const NULL_BELOW: Db = Db(-6.0);

/// Mean extra loss of a weak transmitter (our choice, no source).
pub const WEAK_LOSS: Db = Db(10.0);

/// Its standard deviation (our choice, no source).
pub const WEAK_SIGMA: Db = Db(4.0);

/// Share of weak transmitters that are weak by their battery (our choice, no source).
pub const BATTERY_SHARE: f64 = 0.6;

/// Chance that among the readings of a sensor with a weak battery one says so (our choice, no
/// source).
pub const BATTERY_LOW_SAID: f64 = 0.5;

/// Chance that one says so although the battery is not what is wrong (our choice, no source).
pub const BATTERY_LOW_STRAY: f64 = 0.02;

/// Chance that tamper is reported where the cause is not radio (our choice, no source).
pub const TAMPER_SAID: f64 = 0.25;

/// Chance that tamper is reported otherwise (our choice, no source).
pub const TAMPER_STRAY: f64 = 0.02;

/// Chances, all alike, that a device at fault skips a check-in however strong it is (our choice, no
/// source).
pub const LAPSES: [f64; 4] = [0.1, 0.25, 0.45, 0.7];

/// Strata of the loss in a null.
const NULL_STRATA: usize = 4;

/// Mean and variance of the loss in each stratum of a null, all equally likely.
///
/// Within a wavelength or so the power is that of many waves: exponential, about its mean
/// (Rayleigh). A null has a power below x₀ = 10^(−6/10) of the mean; by inverting the distribution
/// function its power is x = −ln(1 − u·(1 − e^{−x₀})) for u even on 0..1, its loss −10·log₁₀ x. The
/// strata are quarters of u; the whole has mean 10.6 dB and a tail that falls tenfold in ten
/// decibels (calculated here).
static NULL_LOSS: LazyLock<[(f64, f64); NULL_STRATA]> = LazyLock::new(|| {
    const POINTS: usize = 4_000;
    let below = -libm::expm1(-NULL_BELOW.to_ratio().0);
    std::array::from_fn(|stratum| {
        let (mut first, mut second) = (0.0, 0.0);
        for point in 0..POINTS {
            let within = (point as f64 + 0.5) / POINTS as f64;
            let u = (stratum as f64 + within) / NULL_STRATA as f64;
            let loss = -10.0 * (-libm::log1p(-u * below)).log10();
            first += loss / POINTS as f64;
            second += loss * loss / POINTS as f64;
        }
        (first, (second - first * first).max(1e-6))
    })
});

/// Where and how a reading is taken, as far as causes distinguish readings of one device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Setup {
    pub key: ChannelKey,
    pub circumstance: Circumstance,
    /// Standard deviation of the luck of the spot, dB.
    pub spot_sigma: f64,
}

impl Setup {
    /// Whether nothing had been changed, but for the hour.
    pub fn is_as_found(&self) -> bool {
        self.key.is_as_found()
            && matches!(self.circumstance, Circumstance::AsFound | Circumstance::OtherHour)
    }
}

/// What takes from the level, beyond the linear model.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Extra {
    None,
    /// Drawn afresh for each listener; whether it goes when the way is cleared.
    Obstruction {
        goes: bool,
    },
    /// Towards one listener, in the place of the luck of the first spot.
    Null {
        listener: usize,
    },
    /// The same at every listener; whether a fresh battery cures it.
    Weak {
        battery: bool,
    },
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct SensorState {
    /// Share of the cause's chance.
    pub share: f64,
    extra: Extra,
    /// Mean and variance of what it takes, dB and dB².
    loss: (f64, f64),
    /// Chance that the device's own transmitter skips a check-in.
    pub lapse: f64,
    /// Chance that a low battery is reported.
    pub battery_low: f64,
    /// Chance that tamper is reported.
    pub tamper: f64,
}

impl SensorState {
    /// Nothing is wrong with the sensor itself.
    pub const SOUND: Self = Self {
        share: 1.0,
        extra: Extra::None,
        loss: (0.0, 0.0),
        lapse: 0.0,
        battery_low: BATTERY_LOW_STRAY,
        tamper: TAMPER_STRAY,
    };

    /// All states of a cause, of a sensor that is read at some listeners. A cause that strikes all
    /// sensors leaves this one sound.
    pub fn of(cause: Cause, listeners: &[usize]) -> Vec<Self> {
        let with =
            |share: f64, extra: Extra, loss: (f64, f64)| Self { share, extra, loss, ..Self::SOUND };
        match cause {
            Cause::Obstruction => {
                let loss = (OBSTRUCTION_LOSS.0, OBSTRUCTION_SIGMA.0 * OBSTRUCTION_SIGMA.0);
                vec![
                    with(OBSTRUCTION_GOES, Extra::Obstruction { goes: true }, loss),
                    with(1.0 - OBSTRUCTION_GOES, Extra::Obstruction { goes: false }, loss),
                ]
            }
            Cause::Null => {
                let share = 1.0 / (NULL_STRATA * listeners.len().max(1)) as f64;
                let null = |listener: usize| {
                    NULL_LOSS.map(|loss| with(share, Extra::Null { listener }, loss))
                };
                listeners.iter().flat_map(|listener| null(*listener)).collect()
            }
            Cause::WeakTransmitter => {
                let loss = (WEAK_LOSS.0, WEAK_SIGMA.0 * WEAK_SIGMA.0);
                let battery = with(BATTERY_SHARE, Extra::Weak { battery: true }, loss);
                vec![
                    Self { battery_low: BATTERY_LOW_SAID, ..battery },
                    with(1.0 - BATTERY_SHARE, Extra::Weak { battery: false }, loss),
                ]
            }
            Cause::NotRadio => {
                let share = 1.0 / LAPSES.len() as f64;
                LAPSES
                    .map(|lapse| Self { share, lapse, tamper: TAMPER_SAID, ..Self::SOUND })
                    .to_vec()
            }
            Cause::TooWeak | Cause::Noise | Cause::PanelLoss | Cause::Clashes => vec![Self::SOUND],
        }
    }

    /// Whether the extra loss is there at a reading.
    pub fn is_there(&self, at: &Setup) -> bool {
        match self.extra {
            Extra::None => false,
            Extra::Obstruction { goes } => !(goes && at.circumstance == Circumstance::WayCleared),
            Extra::Null { listener } => at.key.listener == listener && at.key.placing == 0,
            Extra::Weak { battery } => {
                at.key.transmitter == 0
                    && !(battery && at.circumstance == Circumstance::FreshBattery)
            }
        }
    }

    /// Mean of what is lost beyond the linear model, dB.
    pub fn extra_mean(&self, at: &Setup) -> f64 {
        if self.is_there(at) { self.loss.0 } else { 0.0 }
    }

    /// What it adds to the covariance of two levels, dB².
    pub fn extra_covariance(&self, a: &Setup, b: &Setup) -> f64 {
        let same_listener = a.key.listener == b.key.listener;
        match self.extra {
            _ if !(self.is_there(a) && self.is_there(b)) => 0.0,
            Extra::Obstruction { .. } if !same_listener => 0.0,
            // The null is the luck of this spot, so that the usual luck is taken out.
            Extra::Null { .. } => self.loss.1 - a.spot_sigma * b.spot_sigma,
            _ => self.loss.1,
        }
    }

    /// The chance of a skipped check-in at a reading.
    pub fn lapse_at(&self, at: &Setup) -> f64 {
        if at.key.transmitter == 0 { self.lapse } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_of_the_states_add_to_one() {
        for cause in Cause::ALL {
            let sum: f64 = SensorState::of(cause, &[0, 2]).iter().map(|s| s.share).sum();
            assert!((sum - 1.0).abs() < 1e-12, "{cause:?}");
        }
    }

    #[test]
    fn the_loss_in_a_null_has_its_mean() {
        // The same over the loss itself: its density goes as x·e^{−x} at x = 10^(−loss/10).
        let (mut sum, mut norm) = (0.0, 0.0);
        for step in 0..80_000 {
            let loss = 6.0 + (f64::from(step) + 0.5) * 1e-3;
            let power = (-Db(loss)).to_ratio().0;
            let density = power * (-power).exp();
            sum += loss * density;
            norm += density;
        }
        let mean = NULL_LOSS.iter().map(|(mean, _)| mean).sum::<f64>() / NULL_STRATA as f64;
        assert!((mean - sum / norm).abs() < 0.01, "{mean} and {}", sum / norm);
        assert!(NULL_LOSS.iter().all(|(mean, _)| *mean > -NULL_BELOW.0));
    }
}
