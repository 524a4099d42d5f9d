//! The chance that a fading level falls below what is needed.
//!
//! # References
//! - Rice distribution as a Poisson mixture of gamma distributions (noncentral chi-square with two
//!   degrees of freedom): Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions vol.
//!   2, chapter 29 (from memory).

use units::Db;

/// The largest Rician K factor that [`rician_miss`] distinguishes: 25 dB. Above it the level swings
/// by less than half a decibel, and no indoor link is that steady.
pub(crate) const MAX_RICIAN_K: Db = Db(25.0);

/// The chance that a Rician-faded level whose mean power lies `margin` above the threshold falls
/// below the threshold.
///
/// # Units
/// `k_factor` is the power of the steady part over that of the scattered part, in decibels; minus
/// infinity is Rayleigh fading, 1 − exp(−10^(−margin/10)). It is clamped from above at
/// `MAX_RICIAN_K`. A margin that is not a number gives none. The result is 0 ..= 1,
/// with small chances good to about 1e-12 of themselves.
///
/// # Model
/// With K the ratio and y = (1 + K)·10^(−margin/10), the chance is that of X < Y for independent
/// Poisson numbers X of mean K and Y of mean y: Σⱼ e^{−y}yʲ/j! · Σ_{n<j} e^{−K}Kⁿ/n!. All terms are
/// positive, so that nothing cancels however small the chance.
#[must_use]
pub fn rician_miss(margin: Db, k_factor: Db) -> f64 {
    let k = Db(k_factor.0.min(MAX_RICIAN_K.0)).to_ratio().0;
    let y = (1.0 + k) * (-margin).to_ratio().0;
    if y.is_nan() {
        return y;
    }
    // K ≤ 316 here: at y = 700 the two Poisson means stand 12 standard deviations apart.
    if y > 700.0 {
        return 1.0;
    }
    let mut y_term = (-y).exp();
    let mut k_term = (-k).exp();
    let mut k_below = 0.0;
    let mut sum = 0.0;
    let mut j = 0.0;
    loop {
        k_below += k_term;
        j += 1.0;
        k_term *= k / j;
        y_term *= y / j;
        let term = y_term * k_below;
        sum += term;
        // Beyond j > 2y and j > 2K each further term is at most 3/4 of the one before it.
        if j > 2.0 * y && j > 2.0 * k && (term <= 1e-16 * sum || term < f64::MIN_POSITIVE) {
            return sum.min(1.0);
        }
    }
}

/// Mean and standard deviation, in decibels, of a Rician-faded level relative to its mean power.
///
/// The mean is below zero: the mean of the decibels lies below the decibels of the mean. They are
/// integrals over the distribution function of [`rician_miss`], in steps of a hundredth of a
/// decibel from −120 to +30 dB. Rayleigh fading has −2.51 and 5.57 dB (−10·γ/ln 10 and 10·π/(√6·ln
/// 10), γ Euler's constant: moments of the logarithm of an exponential variable).
#[must_use]
pub fn rician_decibel_moments(k_factor: Db) -> (Db, Db) {
    const STEP_DB: f64 = 0.01;
    let (mut mean, mut square) = (0.0, 0.0);
    for step in 0..3_000 {
        let x = (f64::from(step) + 0.5) * STEP_DB;
        let above = 1.0 - rician_miss(Db(-x), k_factor);
        mean += above * STEP_DB;
        square += 2.0 * x * above * STEP_DB;
    }
    for step in 0..12_000 {
        let x = (f64::from(step) + 0.5) * STEP_DB;
        let below = rician_miss(Db(x), k_factor);
        mean -= below * STEP_DB;
        square += 2.0 * x * below * STEP_DB;
    }
    (Db(mean), Db((square - mean * mean).max(0.0).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn without_a_steady_part_it_is_rayleigh() {
        for margin in [-10.0, 0.0, 10.0, 40.0, 120.0] {
            let exact = -(-Db(-margin).to_ratio().0).exp_m1();
            let miss = rician_miss(Db(margin), Db(f64::NEG_INFINITY));
            assert_relative_eq!(miss, exact, max_relative = 1e-12);
        }
    }

    #[test]
    fn far_below_the_mean_the_chance_has_its_known_slope() {
        // F(x) → (1 + K)·e^{−K}·x for x → 0 (first term of the series).
        let k: f64 = 10.0;
        let miss = rician_miss(Db(150.0), Db(10.0));
        assert_relative_eq!(miss, 11.0 * (-k).exp() * 1e-15, max_relative = 1e-9);
    }

    #[test]
    fn moments_in_decibels_are_those_of_rayleigh_without_a_steady_part() {
        let (mean, sigma) = rician_decibel_moments(Db(f64::NEG_INFINITY));
        let tenth = 10.0 / std::f64::consts::LN_10;
        let euler = 0.577_215_664_901_532_9;
        assert_relative_eq!(mean.0, -tenth * euler, epsilon = 1e-4);
        let expected = tenth * std::f64::consts::PI / 6f64.sqrt();
        assert_relative_eq!(sigma.0, expected, epsilon = 1e-3);
        let (mean, sigma) = rician_decibel_moments(Db(25.0));
        assert!((-0.1..0.0).contains(&mean.0) && sigma.0 < 0.5);
    }

    #[test]
    fn more_margin_never_hurts() {
        for k in [-40.0, 0.0, 6.0, 12.0, 25.0, 60.0] {
            let mut before = 1.0;
            for step in -400..1200 {
                let miss = rician_miss(Db(f64::from(step) / 10.0), Db(k));
                assert!((0.0..=before).contains(&miss), "K {k} dB, margin {step}/10 dB");
                before = miss * (1.0 + 1e-12);
            }
        }
    }
}
