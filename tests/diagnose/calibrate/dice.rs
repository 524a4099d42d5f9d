//! Random numbers that are the same on every machine.

use nalgebra::{Cholesky, DMatrix, DVector};

/// A generator by a multiplicative congruence with 128 bits of state (Lehmer's), of which the upper 64
/// bits are used.
pub struct Dice(u128);

impl Dice {
    pub fn new(seed: u64) -> Self {
        let mut dice = Self((u128::from(seed) << 1) | 1);
        for _ in 0..20 {
            dice.part();
        }
        dice
    }

    /// Uniform within 0 and 1, neither included.
    pub fn part(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(0xda94_2042_e4dd_58b5);
        (((self.0 >> 64) as u64 >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// A whole number from 0 up to but not `count`.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.part() * count as f64) as usize).min(count - 1)
    }

    /// True in a share of the cases.
    pub fn chance(&mut self, share: f64) -> bool {
        self.part() < share
    }

    /// Standard normal, by Box and Muller's transform.
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (self.part(), self.part());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    /// Several normal numbers with a covariance.
    pub fn normals(&mut self, mean: &DVector<f64>, covariance: &DMatrix<f64>) -> DVector<f64> {
        let root = Cholesky::new(covariance.clone()).unwrap().l();
        let free = DVector::from_fn(mean.len(), |_, _| self.normal());
        mean + root * free
    }

    /// Power of a Rician fade relative to its mean, decibels, of a K factor in decibels.
    pub fn rician_db(&mut self, k_db: f64) -> f64 {
        let k = 10_f64.powf(k_db / 10.0);
        let scattered = (0.5 / (1.0 + k)).sqrt();
        let steady = (k / (1.0 + k)).sqrt();
        let (i, q) = (steady + scattered * self.normal(), scattered * self.normal());
        10.0 * (i * i + q * q).log10()
    }
}
