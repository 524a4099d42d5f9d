//! A joint normal prior and one likelihood for each of some of its variables: the posterior.
//!
//! Expectation propagation: each likelihood is stood for by a normal one that leaves the same mean
//! and variance of its variable as the true one does beside all the others. Where the likelihoods
//! are normal it is exact after one round.
//!
//! # References
//! - Minka, Expectation propagation for approximate Bayesian inference, UAI 2001 (from memory).
//! - Rasmussen and Williams, Gaussian Processes for Machine Learning (2006), 3.6, algorithm 3.5 (from
//!   memory; the evidence is derived anew here).

use nalgebra::{Cholesky, DMatrix, DVector};

use super::factor::Factor;

/// Most rounds; the change is below [`SETTLED`] after some ten.
const MOST_ROUNDS: usize = 60;

/// Greatest change of a round that counts as none, in units of precision times variance.
const SETTLED: f64 = 1e-7;

/// Part of the way that a site goes to its new value after the first rounds, so that likelihoods with
/// two humps do not swing to and fro.
const DAMPING: f64 = 0.7;

/// Joint normal distribution of all variables.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Means.
    pub mean: DVector<f64>,
    /// Covariances.
    pub covariance: DMatrix<f64>,
}

/// What the likelihoods make of a prior.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// The posterior; exactly the prior if there was no likelihood.
    pub joint: Joint,
    /// Logarithm of the marginal likelihood.
    pub log_evidence: f64,
    /// Whether the rounds settled.
    pub settled: bool,
    /// For each likelihood its stand-in.
    pub stand_ins: Vec<StandIn>,
}

/// A normal stand-in for a likelihood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandIn {
    /// The variable, a number in the [`Joint`].
    pub variable: usize,
    /// Its precision; zero says nothing.
    pub precision: f64,
    /// Precision times its mean, the mean taken from the prior mean of the variable.
    pub shift: f64,
}

/// A normal stand-in for one likelihood, about the prior mean of its variable.
#[derive(Debug, Clone, Copy)]
struct Site {
    variable: usize,
    precision: f64,
    shift: f64,
    /// Logarithm of the likelihood's integral over the rest.
    log_evidence: f64,
    cavity: (f64, f64),
}

/// Joins a prior with likelihoods, each of the variable whose number stands before it. A variable may
/// have several.
#[must_use]
pub fn posterior(prior: &Joint, factors: &[(usize, &Factor)]) -> Posterior {
    let mut sites: Vec<Site> = factors
        .iter()
        .map(|(variable, _)| Site {
            variable: *variable,
            precision: 0.0,
            shift: 0.0,
            log_evidence: 0.0,
            cavity: (0.0, 1.0),
        })
        .collect();
    if sites.is_empty() {
        return Posterior {
            joint: prior.clone(),
            log_evidence: 0.0,
            settled: true,
            stand_ins: Vec::new(),
        };
    }
    let count = prior.mean.len();
    let mut mean = DVector::zeros(count);
    let mut covariance = prior.covariance.clone();
    let mut settled = false;
    for round in 0..MOST_ROUNDS {
        let mut change: f64 = 0.0;
        for (site, (_, factor)) in sites.iter_mut().zip(factors) {
            let v = site.variable;
            let (here, variance) = (mean[v], covariance[(v, v)]);
            if variance <= 0.0 {
                continue;
            }
            let precision = 1.0 / variance - site.precision;
            if precision <= 1e-9 {
                continue;
            }
            let cavity_mean = (here / variance - site.shift) / precision;
            let Some(tilted) = factor.tilted(prior.mean[v] + cavity_mean, 1.0 / precision) else {
                continue;
            };
            site.log_evidence = tilted.log_evidence;
            site.cavity = (cavity_mean, 1.0 / precision);
            // A likelihood may widen its variable where it has two humps; its stand-in does not.
            let wanted = (1.0 / tilted.variance - precision).max(0.0);
            let pulled =
                (tilted.mean - prior.mean[v]) * (precision + wanted) - cavity_mean * precision;
            let part = if round < 3 { 1.0 } else { DAMPING };
            let by = (wanted - site.precision) * part;
            let shift_by = (pulled - site.shift) * part;
            change = change.max((by * variance).abs()).max((shift_by * variance.sqrt()).abs());
            site.precision += by;
            site.shift += shift_by;
            let column = covariance.column(v).into_owned();
            let scale = by / (1.0 + by * variance);
            // The mean follows: Σ' = Σ − scale·ccᵀ and μ' = Σ'·ν'.
            mean += &column * ((shift_by - by * here) / (1.0 + by * variance));
            covariance.ger(-scale, &column, &column, 1.0);
        }
        (mean, covariance) = refreshed(prior, &sites).unwrap_or((mean, covariance));
        if change < SETTLED {
            settled = true;
            break;
        }
    }
    let log_evidence = evidence(prior, &sites, &mean);
    Posterior {
        joint: Joint { mean: &prior.mean + mean, covariance },
        log_evidence,
        settled,
        stand_ins: sites
            .iter()
            .map(|site| StandIn {
                variable: site.variable,
                precision: site.precision,
                shift: site.shift,
            })
            .collect(),
    }
}

/// Mean and covariance from the stand-ins anew, so that rounding does not pile up: with S the root of
/// the precisions, Σ = K − K·S·(I + S·K·S)⁻¹·S·K.
fn refreshed(prior: &Joint, sites: &[Site]) -> Option<(DVector<f64>, DMatrix<f64>)> {
    let root = |site: &Site| site.precision.sqrt();
    let columns: Vec<usize> = sites.iter().map(|site| site.variable).collect();
    let mut wide = prior.covariance.select_columns(&columns);
    for (mut column, site) in wide.column_iter_mut().zip(sites) {
        column *= root(site);
    }
    let inner = inner(prior, sites);
    let solved = Cholesky::new(inner)?.solve(&wide.transpose());
    let covariance = &prior.covariance - &wide * solved;
    let covariance = (&covariance + covariance.transpose()) * 0.5;
    let mut shifts = DVector::zeros(prior.mean.len());
    for site in sites {
        shifts[site.variable] += site.shift;
    }
    Some((&covariance * shifts, covariance))
}

fn inner(prior: &Joint, sites: &[Site]) -> DMatrix<f64> {
    DMatrix::from_fn(sites.len(), sites.len(), |i, j| {
        let (a, b) = (&sites[i], &sites[j]);
        let both = prior.covariance[(a.variable, b.variable)];
        both * (a.precision * b.precision).sqrt() + f64::from(u8::from(i == j))
    })
}

/// Logarithm of the marginal likelihood: each stand-in is scaled so that it leaves the same integral
/// as its likelihood beside the others, and the normal integral over all stand-ins is taken.
fn evidence(prior: &Joint, sites: &[Site], mean: &DVector<f64>) -> f64 {
    let mut sum = 0.0;
    for site in sites {
        let (m, v) = site.cavity;
        let (t, n) = (site.precision, site.shift);
        let exponent = (m / v + n).powi(2) / (1.0 / v + t) - m * m / v;
        sum += site.log_evidence + 0.5 * (t * v).ln_1p() - 0.5 * exponent;
        sum += 0.5 * n * mean[site.variable];
    }
    let log_root: f64 = Cholesky::new(inner(prior, sites))
        .map_or(0.0, |factored| factored.l().diagonal().iter().map(|entry| entry.ln()).sum());
    sum - log_root
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use units::Dbm;

    fn prior() -> Joint {
        Joint {
            mean: DVector::from_vec(vec![-80.0, -95.0, -70.0]),
            covariance: DMatrix::from_row_slice(
                3,
                3,
                &[90.0, 20.0, 16.0, 20.0, 88.0, 30.0, 16.0, 30.0, 100.0],
            ),
        }
    }

    fn normal(read: f64, sigma: f64) -> Factor {
        Factor::from_log(|level| {
            let z = (level.0 - read) / sigma;
            -0.5 * z * z - (sigma * std::f64::consts::TAU.sqrt()).ln()
        })
    }

    #[test]
    fn no_likelihood_leaves_the_prior() {
        let nothing = posterior(&prior(), &[]);
        assert_eq!(nothing.joint, prior());
        assert_eq!(nothing.log_evidence, 0.0);
    }

    #[test]
    fn normal_likelihoods_give_the_closed_form() {
        // y = H·f + noise: Σ' = Σ − Σ·Hᵀ·(H·Σ·Hᵀ + R)⁻¹·H·Σ, and y is normal about H·m.
        let (a, b) = (normal(-70.0, 3.0), normal(-101.0, 4.0));
        let found = posterior(&prior(), &[(0, &a), (1, &b)]);
        let prior = prior();
        let h = DMatrix::from_row_slice(2, 3, &[1.0, 0.0, 0.0, 0.0, 1.0, 0.0]);
        let noise = DMatrix::from_diagonal(&DVector::from_vec(vec![9.0, 16.0]));
        let spread = &h * &prior.covariance * h.transpose() + noise;
        let inverse = spread.clone().try_inverse().expect("it is positive");
        let gain = &prior.covariance * h.transpose() * &inverse;
        let off = DVector::from_vec(vec![-70.0, -101.0]) - &h * &prior.mean;
        let mean = &prior.mean + &gain * &off;
        let covariance = &prior.covariance - &gain * &h * &prior.covariance;
        assert_relative_eq!(found.joint.mean, mean, epsilon = 1e-6);
        assert_relative_eq!(found.joint.covariance, covariance, epsilon = 1e-6);
        let exponent = (off.transpose() * inverse * &off)[(0, 0)];
        let log = -0.5 * (exponent + spread.determinant().ln()) - std::f64::consts::TAU.ln();
        assert_relative_eq!(found.log_evidence, log, epsilon = 1e-6);
        assert!(found.settled);
    }

    #[test]
    fn a_censored_reading_is_that_of_numerical_integration() {
        // One variable with a step for a likelihood: all of the posterior by a sum over a fine grid.
        let prior = Joint {
            mean: DVector::from_vec(vec![-90.0]),
            covariance: DMatrix::from_vec(1, 1, vec![81.0]),
        };
        let heard = |level: Dbm| super::super::receiver::normal_below((level.0 + 84.0) / 3.0).ln();
        let found = posterior(&prior, &[(0, &Factor::from_log(heard))]);
        let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
        for step in 0..200_000 {
            let f = -190.0 + f64::from(step) * 1e-3;
            let z = (f + 90.0) / 9.0;
            let weight =
                (-0.5 * z * z).exp() * super::super::receiver::normal_below((f + 84.0) / 3.0);
            sum += weight;
            first += weight * f;
            second += weight * f * f;
        }
        let mean = first / sum;
        assert_relative_eq!(found.joint.mean[0], mean, epsilon = 1e-4);
        let variance = second / sum - mean * mean;
        assert_relative_eq!(found.joint.covariance[(0, 0)], variance, epsilon = 1e-3);
        let evidence = sum * 1e-3 / (9.0 * std::f64::consts::TAU.sqrt());
        assert_relative_eq!(found.log_evidence, evidence.ln(), epsilon = 1e-4);
    }
}
