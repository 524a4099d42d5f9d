//! How many alarm messages arrive at the first try.

use super::fading::Fading;
use radio::rician_miss;
use units::Db;

/// Steps of the averaging rule to either side, and their width in standard deviations. The chance
/// of a miss changes smoothly over several decibels, so half a decibel is fine enough.
const HALF_STEPS: i32 = 120;
const STEP_SIGMAS: f64 = 0.05;

/// The share of messages (0 to 1) that arrive at the first burst, where the margin spreads normally
/// about `margin` with the standard deviation `sigma` and fades.
///
/// It is one less the mean of [`rician_miss`] over the static spread, by the trapezoidal rule over
/// ±6 standard deviations.
#[must_use]
pub fn first_try(margin: Db, sigma: Db, fading: Fading) -> f64 {
    fading.mean(|k_factor| first_try_at(margin, sigma, k_factor))
}

fn first_try_at(margin: Db, sigma: Db, k_factor: Db) -> f64 {
    if !margin.0.is_finite() {
        return if margin.0 > 0.0 { 1.0 } else { 0.0 };
    }
    let (mut heard, mut all) = (0.0, 0.0);
    for step in -HALF_STEPS..=HALF_STEPS {
        let z = f64::from(step) * STEP_SIGMAS;
        let density = (-0.5 * z * z).exp();
        heard += density * (1.0 - rician_miss(margin + sigma * z, k_factor));
        all += density;
    }
    (heard / all).clamp(0.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn without_spread_it_is_the_fading_alone_and_half_where_half_are_far_below() {
        for margin in [-5.0, 0.0, 7.0, 20.0] {
            let alone = 1.0 - rician_miss(Db(margin), Db(6.0));
            assert_abs_diff_eq!(first_try_at(Db(margin), Db(0.0), Db(6.0)), alone, epsilon = 1e-12);
        }
        // With hardly any fading and a margin of one standard deviation: Φ(1) = 0.8413 (Abramowitz
        // and Stegun, table 26.1).
        assert_abs_diff_eq!(first_try_at(Db(9.0), Db(9.0), Db(25.0)), 0.8413, epsilon = 2e-3);
        assert_abs_diff_eq!(first_try_at(Db(f64::NEG_INFINITY), Db(9.0), Db(6.0)), 0.0);
    }

    #[test]
    fn the_coarse_rule_agrees_with_a_fine_one() {
        let fine = |margin: f64| {
            let steps = (-8_000..=8_000).map(|step| f64::from(step) / 1_000.0);
            let (mut heard, mut all) = (0.0, 0.0);
            for z in steps {
                let density = (-0.5 * z * z).exp();
                heard += density * (1.0 - rician_miss(Db(margin + 9.4 * z), Db(6.0)));
                all += density;
            }
            heard / all
        };
        for margin in [-10.0, 0.0, 6.0, 15.0, 30.0] {
            let coarse = first_try_at(Db(margin), Db(9.4), Db(6.0));
            assert_abs_diff_eq!(coarse, fine(margin), epsilon = 1e-6);
        }
    }
}
