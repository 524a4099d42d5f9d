//! What was read of a device, counted.

use super::reading::{Reading, Seen};
use units::Dbm;

/// What the readings of a device as found, at one listener, come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// Id of the repeater; `None` for the panel.
    pub listener: Option<String>,
    /// Number of levels.
    pub levels: usize,
    /// Their mean.
    pub mean_level: Option<Dbm>,
    /// Number of levels known between two ends only.
    pub between: usize,
    /// Mean of their lower ends, open ones left out.
    pub mean_low: Option<Dbm>,
    /// Mean of their upper ends, open ones left out.
    pub mean_high: Option<Dbm>,
    /// Check-ins heard.
    pub heard: usize,
    /// Check-ins missed.
    pub missed: usize,
    /// Whole windows without a check-in.
    pub lost: usize,
}

pub(crate) fn tally(listener: Option<String>, readings: &[&Reading]) -> Tally {
    let (mut levels, mut lows, mut highs) = (Vec::new(), Vec::new(), Vec::new());
    let (mut between, mut heard, mut missed, mut lost) = (0, 0, 0, 0);
    for reading in readings {
        match reading.seen {
            Seen::Level(level) => levels.push(level.0),
            Seen::Between { low, high } => {
                between += 1;
                lows.extend(low.map(|end| end.0));
                highs.extend(high.map(|end| end.0));
            }
            Seen::CheckIn { heard: true } => heard += 1,
            Seen::CheckIn { heard: false } => missed += 1,
            Seen::Lost => lost += 1,
            Seen::NoiseFloor(_) | Seen::Nothing => {}
        }
    }
    Tally {
        listener,
        levels: levels.len(),
        mean_level: mean(&mut levels).map(Dbm),
        between,
        mean_low: mean(&mut lows).map(Dbm),
        mean_high: mean(&mut highs).map(Dbm),
        heard,
        missed,
        lost,
    }
}

/// The mean, whose bits do not depend on the order.
fn mean(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Most check-ins that a sound sensor misses: one in fifty (our choice, no source).
pub(crate) const SOUND_MISSES: f64 = 0.02;

/// Misses that so few sensors of a miss rate have are held against them (our choice).
pub(crate) const RARE: f64 = 0.05;

/// Chance of so many misses or more where each check-in is missed with chance `miss`, 0 to 1.
pub(crate) fn at_least(missed: u32, checked: u32, miss: f64) -> f64 {
    let mut term = (1.0 - miss).powf(f64::from(checked));
    let mut fewer = 0.0;
    for k in 0..missed {
        fewer += term;
        let left = f64::from(checked - k.min(checked));
        term *= left / f64::from(k + 1) * miss / (1.0 - miss);
    }
    1.0 - fewer
}
