//! Thermal and man-made noise at a receiver.
//!
//! # References
//! - ITU-R P.372-17, man-made noise Fam = c − d·log10(f/MHz) with c, d and deciles by environment
//!   (seen in a secondary source, the Recommendation itself not opened). The fit stands for
//!   0.3-250 MHz, in a city up to 900 MHz: beyond that it is carried on and flagged. These are
//!   outdoor figures; lamps and power supplies beside a panel are not in them.
//! - Combination of noise factors: ITU-R P.372, f = fₐ + fᵣ − 1 (from memory).

use units::{Db, Dbm, Hertz};

/// Boltzmann's constant, J/K (exact: SI Brochure, 9th edition, 2.2).
const BOLTZMANN_J_PER_K: f64 = 1.380_649e-23;

/// Reference temperature of noise figures, K (the IEEE and ITU-R convention).
const REFERENCE_TEMPERATURE_K: f64 = 290.0;

/// What surrounds the receiver: the man-made noise classes of ITU-R P.372.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum NoiseEnvironment {
    /// Business district.
    City,
    /// Residential: the default, as most alarms stand there.
    #[default]
    Residential,
    /// Rural.
    Rural,
    /// Thermal noise only.
    Quiet,
}

impl NoiseEnvironment {
    /// All environments, noisiest first.
    pub const ALL: [Self; 4] = [Self::City, Self::Residential, Self::Rural, Self::Quiet];

    /// Coefficients c and d of Fam (ITU-R P.372-17, seen in a secondary source).
    fn coefficients(self) -> Option<(f64, f64)> {
        match self {
            Self::City => Some((76.8, 27.7)),
            Self::Residential => Some((72.5, 27.7)),
            Self::Rural => Some((67.2, 27.7)),
            Self::Quiet => None,
        }
    }

    /// Median man-made noise figure Fam over kT₀B, in decibels; none where there is thermal noise
    /// only.
    #[must_use]
    pub fn man_made_figure(self, frequency: Hertz) -> Option<Db> {
        self.coefficients().map(|(c, d)| Db(c - d * frequency.mhz().log10()))
    }

    /// Whether the frequency lies outside the range of the fit: 0.3-250 MHz, in a city to 900 MHz.
    #[must_use]
    pub fn is_extrapolated(self, frequency: Hertz) -> bool {
        let highest_mhz = match self {
            Self::City => 900.0,
            Self::Residential | Self::Rural => 250.0,
            Self::Quiet => return false,
        };
        !(0.3..=highest_mhz).contains(&frequency.mhz())
    }
}

/// Thermal noise kT₀B at 290 K: −173.975 dBm in 1 Hz.
///
/// # Units
/// Bandwidth in kilohertz (noise bandwidth of the receiver).
#[must_use]
pub fn thermal_noise_level(bandwidth_khz: f64) -> Dbm {
    let watt = BOLTZMANN_J_PER_K * REFERENCE_TEMPERATURE_K * bandwidth_khz * 1e3;
    Dbm(10.0 * (watt * 1e3).log10())
}

/// Noise figure of receiver and surroundings together: f = max(fₐ, 1) + fᵣ − 1.
///
/// The surroundings' factor fₐ is held at one or more: indoors the antenna looks at walls of about
/// 290 K, which are thermal noise of factor one whatever is left of the man-made noise. (P.372
/// itself has no such clamp: under an open, quiet sky fₐ may fall below one.)
pub(crate) fn combined_noise_factor(
    noise_figure: Db,
    frequency: Hertz,
    environment: NoiseEnvironment,
) -> Db {
    let surroundings =
        environment.man_made_figure(frequency).map_or(1.0, |figure| figure.to_ratio().0.max(1.0));
    Db(10.0 * (surroundings + noise_figure.to_ratio().0 - 1.0).log10())
}

/// The noise level that a signal has to rise above: kT₀B and the combined noise figure.
#[must_use]
pub fn noise_floor(
    bandwidth_khz: f64,
    noise_figure: Db,
    frequency: Hertz,
    environment: NoiseEnvironment,
) -> Dbm {
    thermal_noise_level(bandwidth_khz) + combined_noise_factor(noise_figure, frequency, environment)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn quiet_surroundings_leave_the_receivers_own_figure() {
        let f = Hertz::from_mhz(868.3);
        for figure in [0.0, 6.0, 10.0] {
            let both = combined_noise_factor(Db(figure), f, NoiseEnvironment::Quiet);
            assert_abs_diff_eq!(both.0, figure, epsilon = 1e-12);
            // At 868 MHz even a city is below thermal, and is clamped.
            let city = combined_noise_factor(Db(figure), f, NoiseEnvironment::City);
            assert_abs_diff_eq!(city.0, figure, epsilon = 1e-12);
        }
    }

    #[test]
    fn noise_never_falls_with_a_noisier_place() {
        for mhz in [100.0, 319.5, 433.92, 868.3, 2440.0] {
            let floors = NoiseEnvironment::ALL
                .map(|place| noise_floor(100.0, Db(8.0), Hertz::from_mhz(mhz), place).0);
            assert!(floors.is_sorted_by(|noisier, quieter| noisier >= quieter), "{mhz} MHz");
        }
    }
}
