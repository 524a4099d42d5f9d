//! How far a forecast gain may be off, and how far a null reaches.
//!
//! The forecast is a local mean: the luck of the spot is not in it. A change of the plan or of a
//! place also changes what no plan knows, and by that much the true gain differs from the one
//! worked out. The parts below are independent, so their squares add.
//!
//! # References
//! - R. H. Clarke, A statistical theory of mobile-radio reception, Bell System Technical Journal 47
//!   (1968): in a field of waves from all sides in the plane the correlation of the complex field
//!   over a distance d is J0(2πd/λ) (from memory, the paper not opened). The correlation of its
//!   power is the square of that (from memory).
//! - M. Gudmundson, Correlation model for shadow fading in mobile radio systems, Electronics
//!   Letters 27 (1991): the correlation of shadowing falls off exponentially with distance (from
//!   memory).

use forecast::{DeviceResult, Model, SHADOWING_SIGMA};
use units::{Db, Metres, PowerRatio};

/// First zero of the Bessel function J0 over 2π: the distance, in wavelengths, over which a field
/// of waves from all sides has lost all likeness to itself, so that a null is left behind
/// (calculated here from j₀,₁ = 2.404826, a mathematical constant from memory; that the field of a
/// room is such a field is Clarke's model, from memory).
pub const NULL_WAVELENGTHS: f64 = 2.404_825_557_695_773 / std::f64::consts::TAU;

/// Distance from a node to the next antinode of a standing wave before a wall, in wavelengths, for
/// a wave that falls on it straight (two waves against each other; calculated here).
pub const STANDING_WAVE_WAVELENGTHS: f64 = 0.25;

/// Distance over which the correlation of shadowing falls to 1/e, metres. An assumption: rooms are
/// some metres wide; no source was confirmed.
pub const SHADOWING_REACH_M: f64 = 5.0;

/// How far one must move to be sure to have left a null.
#[must_use]
pub fn null_distance(wavelength: Metres) -> Metres {
    Metres(wavelength.0 * NULL_WAVELENGTHS)
}

/// How far the best place lies from the worst before a wall that reflects.
#[must_use]
pub fn standing_wave_distance(wavelength: Metres) -> Metres {
    Metres(wavelength.0 * STANDING_WAVE_WAVELENGTHS)
}

/// Standard deviation of the difference of two values of one deviation and some correlation.
fn difference(sigma: f64, correlation: f64) -> f64 {
    sigma * (2.0 * (1.0 - correlation).max(0.0)).sqrt()
}

/// Spread of the gain of a move: the luck of two spots and the shadowing of two places, both the
/// more alike the nearer they are.
#[must_use]
pub fn of_move(model: &Model, moved: Metres, wavelength: Metres) -> Db {
    let field = libm::j0(std::f64::consts::TAU * moved.0 / wavelength.0);
    let spot = difference(model.spot_sigma_db.0, field * field);
    let shadowing = model.sigma_db.unwrap_or(SHADOWING_SIGMA);
    let shadows = difference(shadowing.0, (-moved.0 / SHADOWING_REACH_M).exp());
    Db(spot.hypot(shadows))
}

/// Spread of the gain of a change to one thing on the way, with both ends left where they are.
///
/// What the change adds is taken as independent of the field that was there, so the two fields'
/// correlation is the amplitude's ratio, and that of their powers the ratio of powers. The
/// crossing's own spread counts with the share of the power that came through it by the ray; so
/// does that of what takes its place.
#[must_use]
pub fn of_change(model: &Model, gain: Db, before: (Db, PowerRatio), after: (Db, PowerRatio)) -> Db {
    let alike = Db(-gain.0.abs()).to_ratio().0;
    let spot = difference(model.spot_sigma_db.0, alike);
    let part = |(spread, share): (Db, PowerRatio)| spread.0 * share.0;
    Db(spot.hypot(part(before)).hypot(part(after)))
}

/// Spread of the gain of another way altogether: nothing is taken as common to the two.
#[must_use]
pub fn of_other_way(now: &DeviceResult, then: &DeviceResult) -> Db {
    Db(now.hop.sigma.0.hypot(then.hop.sigma.0))
}

/// Spread of the loss of a mount: half of it (common practice, no source; for `metal` the usual
/// range is 6–15 dB about 10 dB, from memory).
#[must_use]
pub fn of_mount(loss: Db) -> Db {
    Db(loss.0 / 2.0)
}

/// Spread of what a turned aerial gains: that of two crossed dipoles about the mean
/// ([`radio::dipole_alignment_loss`]).
pub const OF_TURN: Db = Db(5.0);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_null_is_left_where_the_bessel_function_is_zero() {
        let far = null_distance(Metres(1.0)).0;
        assert!(libm::j0(std::f64::consts::TAU * far).abs() < 1e-12);
        assert!((far - 0.3827).abs() < 1e-4);
    }

    #[test]
    fn no_move_is_no_doubt_and_a_long_one_is_two_places() {
        let model = Model::default();
        assert!(of_move(&model, Metres(0.0), Metres(0.35)).0 < 1e-12);
        let far = of_move(&model, Metres(1e3), Metres(0.35)).0;
        let two = 2f64.sqrt() * SHADOWING_SIGMA.0.hypot(forecast::SPOT_SIGMA.0);
        assert!((far - two).abs() < 0.05, "{far} against {two}");
    }

    #[test]
    fn a_change_that_does_nothing_is_sure() {
        let model = Model::default();
        let nothing = (Db(6.0), PowerRatio(0.0));
        assert!(of_change(&model, Db(0.0), nothing, nothing).0 < 1e-12);
        let much = of_change(&model, Db(60.0), nothing, nothing).0;
        assert!((much - 5.0 * 2f64.sqrt()).abs() < 1e-3);
    }
}
