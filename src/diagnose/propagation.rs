//! A joint normal prior and one likelihood for each of some of its variables: the posterior.
//!
//! Expectation propagation: each likelihood is approximated by a normal one that leaves the same
//! mean and variance of its variable as the true one does beside all the others.
//!
//! Why this method: with normal likelihoods it is the closed form after one round; with bars and
//! missed check-ins it meets numerical integration to hundredths of a decibel; it takes
//! milliseconds, and it gives the evidence by which causes are compared. `tests/diagnose/calibrate`
//! compares it with the textbook, a Gaussian process of scikit-learn and a long run of emcee.
//!
//! # References
//! - Minka, Expectation propagation for approximate Bayesian inference, UAI 2001 (from memory).
//! - Rasmussen and Williams, Gaussian Processes for Machine Learning (2006), 3.6, algorithm 3.5
//!   (from memory; the evidence is derived anew here).

use nalgebra::{Cholesky, DMatrix, DVector};

use super::factor::Factor;

/// Most rounds; the change is below [`SETTLED`] after some ten.
const MOST_ROUNDS: usize = 60;

/// Greatest change of a round that counts as none, in units of precision times variance.
const SETTLED: f64 = 1e-7;

/// Part of the way that an approximation goes to its new value after the first rounds, so that
/// likelihoods with two humps do not oscillate.
const DAMPING: f64 = 0.7;

/// Rounds between two that work the distribution out anew from its approximations.
const ROUNDS_BETWEEN: usize = 5;

/// A joint normal distribution, entry by entry.
pub trait Normal {
    /// Mean of a variable.
    fn mean(&self, variable: usize) -> f64;

    /// Covariance of two variables.
    fn covariance(&self, a: usize, b: usize) -> f64;

    /// Some of the variables; one may be named more than once.
    fn part(&self, variables: &[usize]) -> Joint {
        let count = variables.len();
        let mut covariance = DMatrix::zeros(count, count);
        for i in 0..count {
            for j in 0..=i {
                let both = self.covariance(variables[i], variables[j]);
                covariance[(i, j)] = both;
                covariance[(j, i)] = both;
            }
        }
        Joint { mean: DVector::from_fn(count, |i, _| self.mean(variables[i])), covariance }
    }
}

/// Joint normal distribution of all variables, in full.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// Means.
    pub mean: DVector<f64>,
    /// Covariances.
    pub covariance: DMatrix<f64>,
}

impl Normal for Joint {
    fn mean(&self, variable: usize) -> f64 {
        self.mean[variable]
    }

    fn covariance(&self, a: usize, b: usize) -> f64 {
        self.covariance[(a, b)]
    }
}

impl Joint {
    /// Mean and variance of the mean of some of the variables.
    pub(crate) fn mean_of(&self, variables: &[usize]) -> (f64, f64) {
        let part = self.part(variables);
        let count = variables.len() as f64;
        (part.mean.sum() / count, part.covariance.sum() / (count * count))
    }

    /// Changes precision and shift of what is said of one variable. `from` are the means before
    /// anything was said, about which approximations stand. False, and nothing is changed, if that
    /// leaves no distribution.
    pub(crate) fn say(&mut self, variable: usize, (by, shift_by): (f64, f64), from: f64) -> bool {
        let column = self.covariance.column(variable).into_owned();
        let (here, grown) = (self.mean[variable] - from, 1.0 + by * column[variable]);
        if grown <= 1e-9 {
            return false;
        }
        // Σ' = Σ − by/(1 + by·Σvv)·ccᵀ, and the mean follows: μ' = Σ'·ν'.
        self.mean += &column * ((shift_by - by * here) / grown);
        self.covariance.ger(-by / grown, &column, &column, 1.0);
        true
    }
}

/// A prior with approximations joined to it. With S the roots of the precisions and ν the shifts,
/// Σ = K − K·S·(I + S·K·S)⁻¹·S·K, and the mean moves by Σ·ν.
#[derive(Debug)]
pub(crate) struct Conditioned<'p, P> {
    prior: &'p P,
    variables: Vec<usize>,
    roots: DVector<f64>,
    /// The lower factor of I + S·K·S.
    lower: DMatrix<f64>,
    /// ν − S·(I + S·K·S)⁻¹·S·K·ν.
    pull: DVector<f64>,
}

impl<'p, P: Normal> Conditioned<'p, P> {
    /// `None` if rounding has spoilt the matrix.
    pub fn new(prior: &'p P, factors: &[ApproximateFactor]) -> Option<Self> {
        let variables: Vec<usize> = factors.iter().map(|factor| factor.variable).collect();
        let here = prior.part(&variables).covariance;
        let shifts = DVector::from_fn(factors.len(), |i, _| factors[i].shift);
        let roots = DVector::from_fn(factors.len(), |i, _| factors[i].precision.max(0.0).sqrt());
        let inside = (&here * &shifts).component_mul(&roots);
        let scaled = DMatrix::from_fn(factors.len(), factors.len(), |i, j| {
            roots[i] * here[(i, j)] * roots[j] + f64::from(u8::from(i == j))
        });
        let factored = Cholesky::new(scaled)?;
        let pull = shifts - factored.solve(&inside).component_mul(&roots);
        Some(Self { prior, variables, roots, lower: factored.unpack(), pull })
    }

    /// How some of the variables stand.
    pub fn part(&self, block: &[usize]) -> Joint {
        let mut joint = self.prior.part(block);
        let (moved, taken) = self.said_of(block);
        joint.mean += moved;
        joint.covariance -= taken.tr_mul(&taken);
        joint
    }

    /// Mean and variance of one variable.
    pub fn marginal(&self, variable: usize) -> (f64, f64) {
        let (moved, taken) = self.said_of(&[variable]);
        let variance = self.prior.covariance(variable, variable) - taken.norm_squared();
        (self.prior.mean(variable) + moved[0], variance)
    }

    /// By how much some variables' means move, and the root of what their covariance loses.
    fn said_of(&self, block: &[usize]) -> (DVector<f64>, DMatrix<f64>) {
        let mut wide = DMatrix::from_fn(self.variables.len(), block.len(), |i, j| {
            self.prior.covariance(self.variables[i], block[j])
        });
        let moved = wide.tr_mul(&self.pull);
        for (i, root) in self.roots.iter().enumerate() {
            wide.row_mut(i).scale_mut(*root);
        }
        self.lower.solve_lower_triangular_mut(&mut wide);
        (moved, wide)
    }
}

/// What the likelihoods make of a prior.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// Logarithm of the marginal likelihood.
    pub log_evidence: f64,
    /// Whether the rounds settled.
    pub settled: bool,
    /// For each likelihood its approximation.
    pub(crate) factors: Vec<ApproximateFactor>,
}

/// A normal approximation of one likelihood, about the prior mean of its variable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ApproximateFactor {
    /// The variable, a number in the [`Joint`].
    pub(crate) variable: usize,
    /// Its precision; zero says nothing.
    pub(crate) precision: f64,
    /// Precision times its mean.
    pub(crate) shift: f64,
    /// Logarithm of the likelihood's integral over the rest.
    log_evidence: f64,
    /// Mean and variance of the variable without this likelihood.
    cavity: (f64, f64),
}

/// Joins a prior with likelihoods, each of the variable whose number stands before it. A variable
/// may have several. Beside what they say stands the prior with their approximations joined to it,
/// for any of its variables; nothing without likelihoods, or if rounding has spoilt it.
pub(crate) fn posterior<'p, P: Normal>(
    prior: &'p P,
    likelihoods: &[(usize, &Factor)],
) -> (Posterior, Option<Conditioned<'p, P>>) {
    let blank = |(variable, _): &(usize, _)| ApproximateFactor {
        variable: *variable,
        precision: 0.0,
        shift: 0.0,
        log_evidence: 0.0,
        cavity: (0.0, 1.0),
    };
    let mut factors: Vec<ApproximateFactor> = likelihoods.iter().map(blank).collect();
    let mut settled = factors.is_empty();
    if settled {
        return (Posterior { log_evidence: 0.0, settled, factors }, None);
    }
    // Most variables have no likelihood; the rounds need none of them.
    let mut read: Vec<usize> = likelihoods.iter().map(|(variable, _)| *variable).collect();
    read.sort_unstable();
    read.dedup();
    let place = |variable: usize| read.binary_search(&variable).unwrap_or_default();
    let before = prior.part(&read);
    let mut joint = before.clone();
    // As of the last round, which always works it out: it settles, or is the last of a group.
    const { assert!(MOST_ROUNDS.is_multiple_of(ROUNDS_BETWEEN)) };
    let mut found = None;
    for round in 0..MOST_ROUNDS {
        let mut change: f64 = 0.0;
        for (factor, (_, likelihood)) in factors.iter_mut().zip(likelihoods) {
            let v = place(factor.variable);
            let (here, variance) = (joint.mean[v] - before.mean[v], joint.covariance[(v, v)]);
            if variance <= 0.0 {
                continue;
            }
            let precision = 1.0 / variance - factor.precision;
            if precision <= 1e-9 {
                continue;
            }
            let cavity_mean = (here / variance - factor.shift) / precision;
            let tilted = likelihood.tilted(before.mean[v] + cavity_mean, 1.0 / precision);
            let Some(tilted) = tilted else {
                continue;
            };
            factor.log_evidence = tilted.log_evidence;
            factor.cavity = (cavity_mean, 1.0 / precision);
            // A likelihood with two humps may widen its variable; its approximation does not.
            let wanted = (1.0 / tilted.variance - precision).max(0.0);
            let pulled =
                (tilted.mean - before.mean[v]) * (precision + wanted) - cavity_mean * precision;
            let part = if round < 3 { 1.0 } else { DAMPING };
            let by = (wanted - factor.precision) * part;
            let shift_by = (pulled - factor.shift) * part;
            if !joint.say(v, (by, shift_by), before.mean[v]) {
                continue;
            }
            change = change.max((by * variance).abs()).max((shift_by * variance.sqrt()).abs());
            factor.precision += by;
            factor.shift += shift_by;
        }
        settled = change < SETTLED;
        // Mean and covariance anew, so that rounding does not pile up.
        if settled || round % ROUNDS_BETWEEN == ROUNDS_BETWEEN - 1 {
            found = Conditioned::new(prior, &factors);
            joint = found.as_ref().map_or(joint, |found| found.part(&read));
        }
        if settled {
            break;
        }
    }
    let moved = |variable: usize| joint.mean[place(variable)] - before.mean[place(variable)];
    let log_evidence = evidence(found.as_ref(), &factors, moved);
    (Posterior { log_evidence, settled, factors }, found)
}

/// Logarithm of the marginal likelihood: each approximation is scaled so that it leaves the same
/// integral as its likelihood beside the others, and the normal integral over all of them is taken.
/// `found` is the prior with the approximations, `moved` by how much a variable's mean moves.
fn evidence<P: Normal>(
    found: Option<&Conditioned<'_, P>>,
    factors: &[ApproximateFactor],
    moved: impl Fn(usize) -> f64,
) -> f64 {
    let mut sum = 0.0;
    for factor in factors {
        let (m, v) = factor.cavity;
        let (t, n) = (factor.precision, factor.shift);
        let exponent = (m / v + n).powi(2) / (1.0 / v + t) - m * m / v;
        sum += factor.log_evidence + 0.5 * (t * v).ln_1p() - 0.5 * exponent;
        sum += 0.5 * n * moved(factor.variable);
    }
    let log_root: f64 =
        found.map_or(0.0, |found| found.lower.diagonal().iter().map(|entry| entry.ln()).sum());
    sum - log_root
}
