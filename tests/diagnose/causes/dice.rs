//! A small generator of random numbers, the same for ever.

/// `SplitMix64` (Steele, Lea and Flood 2014, from memory).
#[derive(Debug, Clone)]
pub struct Dice(u64);

impl Dice {
    pub const fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x2545_F491_4F6C_DD1D) ^ 0x9E37_79B9_7F4A_7C15)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Even on 0..1, ends left out.
    pub fn even(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    /// A whole number from low to high, both taken in.
    pub fn whole(&mut self, low: usize, high: usize) -> usize {
        low + (self.even() * (high - low + 1) as f64) as usize
    }

    pub fn chance(&mut self, chance: f64) -> bool {
        self.even() < chance
    }

    /// Standard normal (Box and Muller).
    pub fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.even().ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}
