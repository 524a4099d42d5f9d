//! The chance of a supervision fault in a year.
//!
//! Two kinds of spread are kept apart. People and doors make the level fade from check-in to
//! check-in about its mean (Rician). What the model does not know of the house, the static spread,
//! is the same for every check-in and does not average out: the chance is worked out for every
//! static margin, and the mean taken over those.
//!
//! The static spread is 6 dB of shadowing, or the spreads of walls and site where these are larger,
//! and 5 dB for the luck of the spot; their squares add. The temporal one is Rician, a fresh fade
//! for each burst, deeper for what is scattered ([`Fading`]).

use std::sync::LazyLock;

use radio::{Link, rician_miss};
use units::Db;

use super::fading::{ByFading, Fading};
use super::model::Model;

/// Minutes in a year of 365 days.
const MINUTES_A_YEAR: f64 = 365.0 * 24.0 * 60.0;

/// Static margins at which the chance is worked out, dB.
const MARGIN_FROM_DB: f64 = -30.0;
const MARGIN_STEP_DB: f64 = 0.1;
/// Trials that are followed one by one.
const MOST_TRIALS: f64 = 1e6;
const MARGIN_STEPS: usize = 1501;

/// The chance of at least one run of `run` misses in a row within `trials` trials, each missed with
/// the chance `miss` (0 to 1) by itself.
///
/// Recurrence for the first completion of a run: with u(n) the chance that a run is complete by
/// trial n, u(n) = u(n−1) + (1 − miss)·miss^run·(1 − u(n−1−run)) and u(run) = miss^run
/// (W. Feller, An Introduction to Probability Theory and Its Applications, vol. 1, 3rd edition,
/// XIII.7; from memory). It is carried in u, not 1 − u, so that small chances keep their digits.
#[must_use]
pub fn run_of_misses(miss: f64, run: usize, trials: usize) -> f64 {
    let run = run.max(1);
    let all_missed = miss.powi(i32::try_from(run).unwrap_or(i32::MAX));
    if trials < run {
        return 0.0;
    }
    let start = (1.0 - miss) * all_missed;
    // The chance cannot exceed one complete run at the start and one start for every later trial.
    if all_missed + start * ((trials - run) as f64) < 1e-15 {
        return (all_missed + start * ((trials - run) as f64)).max(0.0);
    }
    // u(n−1−run) is needed: a ring of the last run + 1 values, all zero before the first run.
    let mut ring = vec![0.0; run + 1];
    let mut oldest = 0;
    let mut complete = all_missed;
    ring[run] = complete;
    for _ in run..trials {
        let before_run = ring[oldest];
        complete += start * (1.0 - before_run);
        if complete > 1.0 - 1e-15 {
            return 1.0;
        }
        ring[oldest] = complete;
        oldest = if oldest == run { 0 } else { oldest + 1 };
    }
    complete
}

/// When a device talks, and how long the panel waits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Timing {
    /// Time between two check-ins, minutes, above zero.
    pub checkin_min: f64,
    /// Supervision window, minutes.
    pub window_min: f64,
    /// Bursts of one check-in, at least one.
    pub bursts: u32,
}

impl Timing {
    /// The timing of a link.
    pub(crate) const fn of(link: &Link) -> Self {
        Self { checkin_min: link.checkin_min, window_min: link.window_min, bursts: link.bursts }
    }

    /// A key that tells timings apart and sorts them.
    pub(super) const fn key(self) -> (u64, u64, u32) {
        (self.checkin_min.to_bits(), self.window_min.to_bits(), self.bursts)
    }
}

/// The chance of at least one supervision fault in a year against the static margin, for one
/// timing, over all shares of what is scattered.
#[derive(Debug, Clone)]
pub struct FaultCurves(ByFading<FaultCurve>);

impl FaultCurves {
    /// Works the curves out.
    pub(crate) fn new(timing: Timing, model: &Model) -> Self {
        Self(ByFading::new(model, |k_factor| FaultCurve::new(timing, k_factor)))
    }

    /// The chance when the static margin is normally distributed about `margin` and the level fades
    /// as the model that these curves are of says.
    #[must_use]
    pub fn averaged(&self, margin: Db, sigma: Db, fading: Fading) -> f64 {
        self.0.mean(fading, |curve| curve.averaged(margin, sigma))
    }

    /// The static margin, before its spread, at which the chance has fallen to `chance`.
    #[must_use]
    pub fn margin_for(&self, chance: f64, sigma: Db, fading: Fading) -> Db {
        let (mut low, mut high) = (-60.0, 120.0);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if self.averaged(Db(middle), sigma, fading) > chance {
                low = middle;
            } else {
                high = middle;
            }
        }
        Db(high)
    }
}

/// The same for one K factor.
#[derive(Debug, Clone)]
struct FaultCurve {
    chances: Vec<f64>,
    /// Below this margin, dB, a fault is certain.
    certain_below_db: f64,
    /// From this margin on, dB, there is none.
    none_from_db: f64,
}

/// Steps of the averaging rule to either side.
const HALF_STEPS: i32 = 800;

/// Width of such a step, in standard deviations.
const STEP_SIGMAS: f64 = 0.01;

/// The normal density, but for a factor.
struct NormalWeights {
    /// At every step.
    density: Vec<f64>,
    /// Sum over all steps before each, and over all of them.
    up_to: Vec<f64>,
}

static NORMAL_WEIGHTS: LazyLock<NormalWeights> = LazyLock::new(|| {
    let zs = (-HALF_STEPS..=HALF_STEPS).map(|step| f64::from(step) * STEP_SIGMAS);
    let density: Vec<f64> = zs.map(|z| (-0.5 * z * z).exp()).collect();
    let mut up_to = vec![0.0];
    let mut sum = 0.0;
    for weight in &density {
        sum += weight;
        up_to.push(sum);
    }
    NormalWeights { density, up_to }
});

/// A chance nearer than this to nothing, or to certainty, is that.
const NO_CHANCE: f64 = 1e-15;

impl FaultCurve {
    /// Works it out. A fault takes ⌊window / interval⌋ missed check-ins in a row, at least
    /// one. A check-in is missed when all its bursts are: they are assumed to come far enough apart
    /// to fade one by one, while the repeats within a burst ride on one fade and do not help.
    fn new(timing: Timing, k_factor: Db) -> Self {
        let Timing { checkin_min, window_min, bursts } = timing;
        let bursts = i32::try_from(bursts.max(1)).unwrap_or(i32::MAX);
        let run = (window_min / checkin_min + 1e-9).floor().clamp(1.0, 1e6) as usize;
        let a_year = (MINUTES_A_YEAR / checkin_min).floor().max(1.0);
        // Beyond some millions of trials a year is as good as several independent parts of one.
        let parts = (a_year / MOST_TRIALS).max(1.0);
        let trials = (a_year / parts) as usize;
        let mut chances = Vec::with_capacity(MARGIN_STEPS);
        for step in 0..MARGIN_STEPS {
            let margin = Db(MARGIN_FROM_DB + step as f64 * MARGIN_STEP_DB);
            let miss = rician_miss(margin, k_factor).powi(bursts);
            let chance = run_of_misses(miss, run, trials);
            // 1 − (1 − chance)^parts, without losing small chances.
            chances.push(-(parts * (-chance).ln_1p()).exp_m1());
        }
        let certain = chances.iter().take_while(|c| 1.0 - **c < NO_CHANCE).count();
        let last = chances.iter().rposition(|chance| *chance > NO_CHANCE);
        let none_from = last.map_or(0, |last| last + 1);
        chances[..certain].fill(1.0);
        chances[none_from..].fill(0.0);
        let margin_at = |step: usize| MARGIN_FROM_DB + step as f64 * MARGIN_STEP_DB;
        Self {
            chances,
            certain_below_db: margin_at(certain.saturating_sub(1)),
            none_from_db: margin_at(none_from),
        }
    }

    /// The chance at one static margin.
    fn at(&self, margin: Db) -> f64 {
        let place = (margin.0 - MARGIN_FROM_DB) / MARGIN_STEP_DB;
        if place.is_nan() || place <= 0.0 {
            return self.chances[0];
        }
        let below = (place as usize).min(MARGIN_STEPS - 2);
        let part = (place - below as f64).min(1.0);
        self.chances[below] + (self.chances[below + 1] - self.chances[below]) * part
    }

    /// The chance when the static margin is normally distributed about `margin`.
    ///
    /// The trapezoidal rule over ±8 standard deviations: for a smooth integrand that dies away at
    /// both ends it converges faster than any power of the step, where a Gauss–Hermite rule of
    /// usual size would step over the few decibels in which the chance falls from one to nothing.
    fn averaged(&self, margin: Db, sigma: Db) -> f64 {
        if !margin.0.is_finite() {
            return if margin.0 > 0.0 { 0.0 } else { 1.0 };
        }
        if sigma.0 <= 0.0 {
            return self.at(margin);
        }
        // Only between the margins at which a fault is certain and at which there is none does the
        // chance change from step to step.
        let step_at = |edge: f64| (edge - margin.0) / sigma.0 / STEP_SIGMAS + f64::from(HALF_STEPS);
        let steps = NORMAL_WEIGHTS.density.len();
        let from = step_at(self.certain_below_db).clamp(0.0, steps as f64) as usize;
        let to = (step_at(self.none_from_db).max(-1.0) + 1.0).min(steps as f64) as usize;
        let mut sum = NORMAL_WEIGHTS.up_to[from] * self.chances[0];
        for step in from..to.max(from) {
            let z = (step as f64 - f64::from(HALF_STEPS)) * STEP_SIGMAS;
            sum += NORMAL_WEIGHTS.density[step] * self.at(margin + sigma * z);
        }
        (sum / NORMAL_WEIGHTS.up_to[steps]).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::super::fading::SCATTERED_K_FACTOR;
    use super::*;
    use approx::assert_relative_eq;
    use units::PowerRatio;

    /// Every sequence of trials, counted.
    fn by_enumeration(miss: f64, run: usize, trials: usize) -> f64 {
        let mut chance = 0.0;
        for sequence in 0u32..1 << trials {
            let mut longest = 0;
            let mut current = 0;
            for trial in 0..trials {
                current = if sequence >> trial & 1 == 1 { current + 1 } else { 0 };
                longest = longest.max(current);
            }
            if longest >= run {
                let misses = sequence.count_ones() as i32;
                chance += miss.powi(misses) * (1.0 - miss).powi(trials as i32 - misses);
            }
        }
        chance
    }

    #[test]
    fn runs_agree_with_enumeration() {
        for (miss, run, trials) in
            [(0.5, 1, 5), (0.5, 3, 12), (0.2, 2, 14), (0.9, 6, 12), (0.01, 4, 10), (0.3, 12, 12)]
        {
            assert_relative_eq!(
                run_of_misses(miss, run, trials),
                by_enumeration(miss, run, trials),
                max_relative = 1e-12
            );
        }
        assert_eq!(run_of_misses(0.7, 9, 8), 0.0);
        assert_eq!(run_of_misses(0.0, 3, 1000), 0.0);
        assert_eq!(run_of_misses(1.0, 3, 1000), 1.0);
    }

    const HOURLY: Timing = Timing { checkin_min: 70.0, window_min: 1440.0, bursts: 1 };

    #[test]
    fn more_bursts_never_raise_the_chance() {
        let one = FaultCurve::new(HOURLY, Db(6.0));
        let three = FaultCurve::new(Timing { bursts: 3, ..HOURLY }, Db(6.0));
        // Sums of some 7,500 terms near one are rounded to about 1e-15.
        let mut margins = (-20..20).map(|m| Db(f64::from(m)));
        assert!(margins.all(|m| three.at(m) <= one.at(m) + 1e-14));
        assert!(three.at(Db(0.0)) < 0.01 * one.at(Db(0.0)));
    }

    #[test]
    fn the_averaged_chance_falls_with_margin_and_meets_its_inverse() {
        let model = Model::default();
        let curves = FaultCurves::new(HOURLY, &model);
        let (sigma, mixed) = (Db(9.4), model.fading(PowerRatio(0.3)));
        let chances: Vec<f64> =
            (-20..60).map(|m| curves.averaged(Db(f64::from(m)), sigma, mixed)).collect();
        assert!(chances.windows(2).all(|pair| pair[1] <= pair[0]), "{chances:?}");
        let margin = curves.margin_for(0.01, sigma, mixed);
        assert_relative_eq!(curves.averaged(margin, sigma, mixed), 0.01, max_relative = 1e-6);
    }

    #[test]
    fn what_is_scattered_needs_more_margin_and_steady_links_do_not_care_how_it_comes() {
        let model = Model::default();
        let curves = FaultCurves::new(HOURLY, &model);
        let fading = |share| model.fading(PowerRatio(share));
        let needed = |share| curves.margin_for(0.01, Db(7.8), fading(share)).0;
        let steps: Vec<f64> = [0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6].map(needed).to_vec();
        assert!(steps.windows(2).all(|pair| pair[1] > pair[0]), "{steps:?}");
        assert_eq!(needed(0.6), needed(1.0), "from there on all is scattered");
        // Both ends are those of one K factor.
        for (share, k_factor_db) in [(0.0, model.k_factor_db), (1.0, SCATTERED_K_FACTOR)] {
            let alone = FaultCurve::new(HOURLY, k_factor_db).averaged(Db(20.0), Db(7.8));
            let mixed = curves.averaged(Db(20.0), Db(7.8), fading(share));
            assert_relative_eq!(mixed, alone, max_relative = 1e-12);
        }
        // Of a link that fades more than what is scattered all fades alike.
        let restless = Model { k_factor_db: Db(0.0), ..Model::default() };
        let curves = FaultCurves::new(HOURLY, &restless);
        let chance = |share| curves.averaged(Db(20.0), Db(7.8), restless.fading(PowerRatio(share)));
        let [none, all] = [0.0, 1.0].map(chance);
        assert_eq!(none, all);
    }

    #[test]
    fn without_spread_the_average_is_the_curve() {
        let curve = FaultCurve::new(HOURLY, Db(6.0));
        assert_relative_eq!(curve.averaged(Db(1.23), Db(0.0)), curve.at(Db(1.23)));
        assert!(curve.at(Db(-20.0)) > 0.999_999);
        assert!(curve.at(Db(20.0)) < 1e-12);
    }
}
