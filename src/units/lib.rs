//! Quantities that carry their unit in the type, with only the sums that make sense.
//!
//! A level ([`Dbm`]) plus or minus a ratio ([`Db`]) is a level; the difference of two levels is a
//! ratio; two levels are never added. Powers that add (paths, noise sources) are first turned into
//! linear [`PowerRatio`]s. Losses are positive [`Db`] that are subtracted, gains are positive
//! [`Db`] that are added.
//!
//! ```compile_fail
//! use drillonce::units::Dbm;
//! let nonsense = Dbm(-90.0) + Dbm(-90.0);
//! ```

mod chance;
mod finding;
mod lengths;

use std::fmt;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

use serde::{Deserialize, Serialize};

pub use chance::{Chance, Shown};
pub use finding::{Finding, Limits};
pub use lengths::{FOOT_M, Length, Lengths};

/// Speed of light in vacuum, m/s (exact: SI Brochure, 9th edition, 2.2).
pub const SPEED_OF_LIGHT_M_PER_S: f64 = 299_792_458.0;

/// A power ratio on the decibel scale: gain, loss, margin, spread.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Db(pub f64);

/// A power level in decibels relative to one milliwatt.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Dbm(pub f64);

/// A power ratio on the linear scale: transmittance, reflectance, summed path gains.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct PowerRatio(pub f64);

/// A frequency in hertz.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Hertz(pub f64);

/// A length in metres.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Metres(pub f64);

impl Db {
    /// The ratio on the linear scale, 10^(dB/10).
    #[must_use]
    pub fn to_ratio(self) -> PowerRatio {
        PowerRatio(10f64.powf(self.0 / 10.0))
    }
}

impl PowerRatio {
    /// The ratio on the decibel scale, 10·log10; a ratio of zero is minus infinity.
    #[must_use]
    pub fn to_db(self) -> Db {
        Db(10.0 * self.0.log10())
    }

    /// The ratio as a loss: positive decibels where the ratio is below one.
    #[must_use]
    pub fn to_loss(self) -> Db {
        -self.to_db()
    }
}

impl Hertz {
    /// A frequency given in megahertz.
    #[must_use]
    pub const fn from_mhz(mhz: f64) -> Self {
        Self(mhz * 1e6)
    }

    /// The frequency in megahertz.
    #[must_use]
    pub fn mhz(self) -> f64 {
        self.0 / 1e6
    }

    /// The frequency in gigahertz.
    #[must_use]
    pub fn ghz(self) -> f64 {
        self.0 / 1e9
    }

    /// The wavelength in vacuum.
    #[must_use]
    pub fn wavelength(self) -> Metres {
        Metres(SPEED_OF_LIGHT_M_PER_S / self.0)
    }
}

impl Add for Db {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Db {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Db {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Db {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Db {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Add<Db> for Dbm {
    type Output = Self;
    fn add(self, gain: Db) -> Self {
        Self(self.0 + gain.0)
    }
}

impl Sub<Db> for Dbm {
    type Output = Self;
    fn sub(self, loss: Db) -> Self {
        Self(self.0 - loss.0)
    }
}

impl Sub for Dbm {
    type Output = Db;
    fn sub(self, other: Self) -> Db {
        Db(self.0 - other.0)
    }
}

impl Add for PowerRatio {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Mul for PowerRatio {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self(self.0 * other.0)
    }
}

/// Writes a text as wide as the format string says, on the right unless it says otherwise.
fn padded(f: &mut fmt::Formatter<'_>, text: &str) -> fmt::Result {
    let free = f.width().unwrap_or(0).saturating_sub(text.chars().count());
    let before = match f.align() {
        Some(fmt::Alignment::Left) => 0,
        Some(fmt::Alignment::Center) => free / 2,
        _ => free,
    };
    let fill = |count: usize| String::from_iter(std::iter::repeat_n(f.fill(), count));
    let (left, right) = (fill(before), fill(free - before));
    write!(f, "{left}{text}{right}")
}

/// A number with its unit, with so many digits after the point unless the format string says
/// otherwise.
fn with_unit(f: &mut fmt::Formatter<'_>, value: f64, places: usize, unit: &str) -> fmt::Result {
    let places = f.precision().unwrap_or(places);
    padded(f, &format!("{value:.places$} {unit}"))
}

impl fmt::Display for Db {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        with_unit(f, self.0, 1, "dB")
    }
}

impl fmt::Display for Dbm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        with_unit(f, self.0, 1, "dBm")
    }
}

impl fmt::Display for Hertz {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} MHz", self.mhz())
    }
}

impl fmt::Display for Metres {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        with_unit(f, self.0, 2, "m")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn decibels_and_ratios_convert_both_ways() {
        assert_relative_eq!(Db(3.0).to_ratio().0, 1.995_262_314_968_879_5, max_relative = 1e-15);
        assert_relative_eq!(
            PowerRatio(0.5).to_loss().0,
            3.010_299_956_639_812,
            max_relative = 1e-15
        );
        assert_eq!(Dbm(-60.0) - Dbm(-90.0), Db(30.0));
    }

    #[test]
    fn width_and_precision_of_a_format_string_count() {
        assert_eq!(
            format!("{}|{:.0}|{:>9}|", Db(-3.25), Dbm(-90.4), Db(2.0)),
            "-3.2 dB|-90 dBm|   2.0 dB|"
        );
        assert_eq!(format!("{:*^10.1}", Metres(1.26)), "**1.3 m***");
    }

    #[test]
    fn wavelength_of_one_gigahertz() {
        assert_relative_eq!(Hertz::from_mhz(1000.0).wavelength().0, 0.299_792_458);
    }
}
