//! What the readings of one channel say of its static level: a likelihood on a grid.
//!
//! Levels, bars, missed check-ins, a wild reading: all that they say of one channel is a function
//! of one number, its static level. On a grid nothing has to be made normal before it is joined
//! with the rest, and two thousand readings cost as much as forty.

use std::sync::OnceLock;

use units::Dbm;

use super::reading::Seen;
use super::receiver::{Air, Receiver, between_steps};

/// Levels of the grid, dBm: from below any receiver's noise to above any transmitter's neighbour.
const FROM_DBM: f64 = -200.0;
const STEP_DB: f64 = 0.2;
const STEPS: usize = 1_201;

/// Standard deviations of the normal density beyond which nothing is added.
const REACH: f64 = 9.0;

/// Below this a point of the grid adds nothing beside the greatest.
const NEGLIGIBLE_LOG: f64 = -45.0;

/// The logarithm of a likelihood of one level, on a grid from −200 to +40 dBm.
#[derive(Debug, Clone)]
pub struct Factor {
    log: Vec<f64>,
    top: f64,
    /// The likelihood itself, over its greatest value; worked out when it is first wanted.
    scaled: OnceLock<Vec<f64>>,
}

impl PartialEq for Factor {
    fn eq(&self, other: &Self) -> bool {
        self.log == other.log
    }
}

/// A likelihood joined with a normal density: the tilted distribution of expectation propagation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tilted {
    /// Logarithm of the integral of the product.
    pub log_evidence: f64,
    /// Mean of the normalised product.
    pub mean: f64,
    /// Its variance.
    pub variance: f64,
}

/// Sums over the grid of weights, and of weights times the first and second power of the distance
/// from the mean of a normal density.
struct Moments {
    mean: f64,
    sums: [f64; 3],
}

impl Moments {
    const fn new(mean: f64) -> Self {
        Self { mean, sums: [0.0; 3] }
    }

    #[inline]
    fn add(&mut self, step: usize, weight: f64) {
        let x = level_at(step) - self.mean;
        self.sums[0] += weight;
        self.sums[1] += weight * x;
        self.sums[2] += weight * x * x;
    }

    /// The weights are each over e to the `log_scale`.
    fn tilted(&self, log_scale: f64, sigma: f64) -> Tilted {
        let [sum, first, second] = self.sums;
        let shift = first / sum;
        let log_norm = (STEP_DB / (sigma * std::f64::consts::TAU.sqrt())).ln();
        Tilted {
            log_evidence: log_scale + sum.ln() + log_norm,
            mean: self.mean + shift,
            variance: (second / sum - shift * shift).max(1e-12),
        }
    }
}

fn level_at(step: usize) -> f64 {
    FROM_DBM + step as f64 * STEP_DB
}

impl Factor {
    /// The likelihood of what was seen on a channel, each reading by itself given the level.
    #[must_use]
    pub fn new<'r>(
        receiver: &Receiver,
        air: Air,
        seen: impl IntoIterator<Item = &'r Seen>,
    ) -> Self {
        // Panels show whole decibels, so that many readings are alike.
        let mut counted: Vec<(Seen, f64)> = Vec::new();
        for seen in seen {
            match counted.iter_mut().find(|(known, _)| known == seen) {
                Some((_, count)) => *count += 1.0,
                None => counted.push((*seen, 1.0)),
            }
        }
        Self::weighted(receiver, air, &counted)
    }

    /// The same of readings that each count with a weight: as so many of their kind.
    #[must_use]
    pub fn weighted(receiver: &Receiver, air: Air, seen: &[(Seen, f64)]) -> Self {
        Self::from_log(|level| {
            let one =
                |(seen, count): &(Seen, f64)| count * receiver.log_likelihood(seen, level, air);
            seen.iter().map(one).sum()
        })
    }

    /// A factor from the logarithm of a likelihood.
    #[must_use]
    pub fn from_log(log: impl Fn(Dbm) -> f64) -> Self {
        Self::from_grid((0..STEPS).map(|step| log(Dbm(level_at(step)))).collect())
    }

    fn from_grid(log: Vec<f64>) -> Self {
        let top = log.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Self { log, top, scaled: OnceLock::new() }
    }

    fn scaled(&self) -> &[f64] {
        let over_top = |log: &f64| (log - self.top).exp();
        self.scaled.get_or_init(|| self.log.iter().map(over_top).collect())
    }

    /// A product of likelihoods, each to a power (a count of readings that are alike), and of a
    /// constant whose logarithm is given.
    #[must_use]
    pub fn product(parts: &[(&Self, f64)], log_constant: f64) -> Self {
        let mut log = vec![log_constant; STEPS];
        for (part, power) in parts.iter().filter(|(_, power)| *power != 0.0) {
            for (sum, one) in log.iter_mut().zip(&part.log) {
                *sum += power * one;
            }
        }
        Self::from_grid(log)
    }

    /// A mixture: each likelihood behind a loss in decibels, with its share. Losses are taken to
    /// the nearest step of the grid, 0.2 dB.
    #[must_use]
    pub fn mixture(parts: &[(&Self, f64, f64)]) -> Self {
        let top = parts.iter().map(|(part, ..)| part.top).fold(f64::NEG_INFINITY, f64::max);
        let mut sum = vec![0.0; STEPS];
        for (part, loss, share) in parts {
            let scale = share * (part.top - top).exp();
            let moved = (loss / STEP_DB).round().clamp(0.0, STEPS as f64) as usize;
            let lowest = part.scaled().first().copied().unwrap_or(0.0);
            let shifted = std::iter::repeat_n(&lowest, moved).chain(part.scaled());
            for (sum, one) in sum.iter_mut().zip(shifted) {
                *sum += scale * one;
            }
        }
        // Where all is too small for a number the first part stands for the rest.
        let beneath = |step: usize| {
            parts.first().map_or(f64::NEG_INFINITY, |(part, _, share)| part.log[step] + share.ln())
        };
        let log = sum
            .iter()
            .enumerate()
            .map(|(step, sum)| if *sum > 1e-290 { sum.ln() + top } else { beneath(step) });
        Self::from_grid(log.collect())
    }

    /// Logarithm of the likelihood at a level; held at the ends of the grid beyond it.
    #[must_use]
    pub fn at(&self, level: Dbm) -> f64 {
        between_steps(&self.log, (level.0 - FROM_DBM) / STEP_DB)
    }

    /// Joined with a normal density, by the trapezoidal rule on the grid, which for a smooth
    /// integrand that dies away at both ends is exact to rounding once a standard deviation spans a
    /// step or two. `None` if nothing is left of the product.
    #[must_use]
    pub fn tilted(&self, mean: f64, variance: f64) -> Option<Tilted> {
        let sigma = variance.sqrt();
        if !(mean.is_finite() && sigma.is_finite() && sigma > 0.0) {
            return None;
        }
        let step_of = |level: f64| ((level - FROM_DBM) / STEP_DB).clamp(0.0, (STEPS - 1) as f64);
        let from = step_of(mean - REACH * sigma).floor() as usize;
        let to = step_of(mean + REACH * sigma).ceil() as usize;
        if let Some(tilted) = self.tilted_by_recurrence(mean, sigma, from, to) {
            return Some(tilted);
        }
        let log_at = |step: usize| {
            let z = (level_at(step) - mean) / sigma;
            self.log[step] - 0.5 * z * z
        };
        let greatest = (from..=to).map(log_at).fold(f64::NEG_INFINITY, f64::max);
        if !greatest.is_finite() {
            return None;
        }
        let mut moments = Moments::new(mean);
        for step in from..=to {
            let log = log_at(step) - greatest;
            if log > NEGLIGIBLE_LOG {
                moments.add(step, log.exp());
            }
        }
        Some(moments.tilted(greatest, sigma))
    }

    /// The same without an exponential for each point: the normal density goes from point to point
    /// by a factor that itself goes by a constant factor. `None` where the two hardly meet and the
    /// logarithms are needed.
    fn tilted_by_recurrence(
        &self,
        mean: f64,
        sigma: f64,
        from: usize,
        to: usize,
    ) -> Option<Tilted> {
        let h = STEP_DB / sigma;
        let centre = (((mean - FROM_DBM) / STEP_DB).round().max(0.0) as usize).clamp(from, to);
        let z = (level_at(centre) - mean) / sigma;
        let twice = (-h * h).exp();
        let scaled = self.scaled();
        let mut moments = Moments::new(mean);
        let start = (-0.5 * z * z).exp();
        let (mut density, mut ratio) = (start, (-h * z - 0.5 * h * h).exp());
        for (step, likelihood) in scaled.iter().enumerate().take(to + 1).skip(centre) {
            moments.add(step, likelihood * density);
            density *= ratio;
            ratio *= twice;
        }
        let mut ratio = (h * z - 0.5 * h * h).exp();
        density = start;
        for step in (from..centre).rev() {
            density *= ratio;
            ratio *= twice;
            moments.add(step, scaled[step] * density);
        }
        let sum = moments.sums[0];
        (sum > 1e-12).then(|| moments.tilted(self.top, sigma))
    }
}

/// Logarithm of a sum of exponentials.
pub(super) fn log_sum(terms: impl Iterator<Item = f64> + Clone) -> f64 {
    let greatest = terms.clone().fold(f64::NEG_INFINITY, f64::max);
    if !greatest.is_finite() {
        return greatest;
    }
    greatest + terms.map(|term| (term - greatest).exp()).sum::<f64>().ln()
}
