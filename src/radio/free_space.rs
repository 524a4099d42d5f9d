//! Free-space loss, and the EIRP behind a field strength.
//!
//! # References
//! - ITU-R P.525, free-space basic transmission loss, L = 20·log10(4πd/λ) (from memory; the
//!   Recommendation itself was not opened; the formula is the textbook one, Friis 1946).

use std::f64::consts::PI;

use units::{Db, Dbm, Hertz, Metres};

/// Free-space basic transmission loss, 20·log10(4πd/λ) (ITU-R P.525, from memory).
///
/// # Units
/// Distance in metres, frequency in hertz; the loss is a positive [`Db`].
///
/// The distance is clamped from below at λ/(4π), where the formula gives 0 dB: nearer than that
/// there is no far field, and the loss is never negative.
///
/// # Examples
/// ```
/// use radio::free_space_loss;
/// use units::{Hertz, Metres};
/// // 1 GHz over 1 km, 32.4478 + 20·log10(1000): calculated from the exact speed of light.
/// let loss = free_space_loss(Metres(1000.0), Hertz::from_mhz(1000.0));
/// assert!((loss.0 - 92.448).abs() < 5e-4);
/// ```
#[must_use]
pub fn free_space_loss(distance: Metres, frequency: Hertz) -> Db {
    let ratio = 4.0 * PI * distance.0 / frequency.wavelength().0;
    Db(20.0 * ratio.max(1.0).log10())
}

/// The distance of the field-strength limits of 47 CFR part 15 that are used here (15.231, 15.249).
const FIELD_STRENGTH_DISTANCE_M: f64 = 3.0;

/// The EIRP that gives a field strength at 3 m in free space.
///
/// # Units
/// Field strength in µV/m (RMS) at 3 m.
///
/// The power density of an isotropic radiator is EIRP/(4πd²) = E²/(120π), so that
/// EIRP = E²·d²/30 with E in V/m, d in metres and EIRP in watts: in decibels
/// E(dBµV/m) − 95.229 for 3 m. (Textbook relation, calculated here. It takes the impedance of free
/// space as 120π Ω, as the limits' own conversions do, 0.0014 of it or 0.003 dB from the exact
/// value.) The reflection from the ground plane of a test site, up to about 5 dB, is not taken off.
#[must_use]
pub fn eirp_from_field_strength(microvolt_per_m_at_3m: f64) -> Dbm {
    let volt_per_m = microvolt_per_m_at_3m * 1e-6;
    let watt = (volt_per_m * FIELD_STRENGTH_DISTANCE_M).powi(2) / 30.0;
    Dbm(10.0 * (watt * 1e3).log10())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn loss_is_never_negative() {
        let frequency = Hertz::from_mhz(319.5);
        assert_eq!(free_space_loss(Metres(0.0), frequency), Db(0.0));
        assert_eq!(free_space_loss(Metres(0.01), frequency), Db(0.0));
        let limit = Metres(frequency.wavelength().0 / (4.0 * PI));
        assert_abs_diff_eq!(free_space_loss(limit, frequency).0, 0.0, epsilon = 1e-12);
    }

    #[test]
    fn twice_the_distance_costs_six_decibels() {
        let frequency = Hertz::from_mhz(868.3);
        let step =
            free_space_loss(Metres(20.0), frequency) - free_space_loss(Metres(10.0), frequency);
        assert_abs_diff_eq!(step.0, 20.0 * 2f64.log10(), epsilon = 1e-12);
    }
}
