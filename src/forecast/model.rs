//! The settings of a run.

use serde::Serialize;

use plan::Plan;
use radio::{NoiseEnvironment, Polarisation};
use units::{Db, Finding, Limits};

/// How openings and other edges are treated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Edges {
    /// Waves go round edges (knife edge, ITU-R P.526).
    Soft,
    /// Rays only: nothing goes round edges or past joints, nothing is scattered or rings in rooms.
    Sharp,
}

/// What walls are taken to lose.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Walls {
    /// The ideal slab and the construction's excess.
    Typical,
    /// The ideal slab alone.
    Ideal,
}

/// Least of the sum of powers that interference leaves: the mean over a spot does not fall below
/// (1/4: with it, the error beside the ceiling is least; thirteen full-wave cases of the shipped
/// plans).
pub const LEAST_LEFT: f64 = 0.25;

/// How paths add up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Adding {
    /// As waves where they keep their phase, with what bends round metal, what is scattered and
    /// what rings in the rooms.
    Waves,
    /// As powers, every path by itself.
    Powers,
}

impl Adding {
    /// The least share of the sum of powers that interference leaves, 0 to 1.
    #[must_use]
    pub const fn least_left(self) -> f64 {
        match self {
            Self::Waves => LEAST_LEFT,
            Self::Powers => 1.0,
        }
    }
}

/// The chance of a fault in a year over a repeater that a device reaches with a hop of the chance
/// `first` and that fails with the chance `onward` from there on, if that way is to be taken in
/// place of one of the chance `now`. A repeater that is itself failing is no way, and rounding is
/// no reason.
#[must_use]
pub fn better_over_repeater(now: f64, first: f64, onward: f64, limits: Limits) -> Option<f64> {
    let both = 1.0 - (1.0 - first) * (1.0 - onward);
    let fails = Finding::of(onward, limits) == Finding::Failing;
    (!fails && is_better(both, now)).then_some(both)
}

/// Whether a chance of a fault is lower than another by more than rounding.
#[must_use]
pub fn is_better(then: f64, now: f64) -> bool {
    then < now * (1.0 - 1e-6)
}

/// Everything that a run depends on beside the plan.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Model {
    /// Greatest number of reflections of a path, 0 to 3.
    pub reflections: u8,
    /// Treatment of edges.
    pub openings: Edges,
    /// Treatment of walls.
    pub walls: Walls,
    /// How paths add up.
    pub adding: Adding,
    /// Polarisation of the wave at walls.
    #[serde(serialize_with = "polarisation_word")]
    pub polarisation: Polarisation,
    /// Greatest loss of one wall.
    pub wall_cap_db: Db,
    /// Shadowing: standard deviation of what the plan does not show. `None`: see
    /// [`SHADOWING_SIGMA`].
    pub sigma_db: Option<Db>,
    /// Standard deviation of the luck of the spot, see [`SPOT_SIGMA`].
    pub spot_sigma_db: Db,
    /// Rician K factor of people and doors moving, of what is not scattered ([`Model::fading`]).
    pub k_factor_db: Db,
    /// Mean loss of antennas, mounting and clutter that no wall explains.
    pub site_offset_db: Db,
    /// Standard deviation of that loss from house to house; left out of reports where it is
    /// [`SITE_SIGMA`], as it is unless readings narrowed it.
    #[serde(skip_serializing_if = "is_usual")]
    pub site_sigma_db: Db,
    /// Gain of the panel's antenna towards the path.
    pub antenna_gain_db: Db,
    /// Loss of a transmitter worn on the body.
    pub body_loss_db: Db,
    /// Man-made noise around the panel.
    #[serde(serialize_with = "noise_word")]
    pub noise: NoiseEnvironment,
    /// Limits of the findings.
    pub findings: Limits,
    /// Cell of the heatmap and of roam areas, metres.
    pub cell_m: f64,
}

/// Shadowing, dB, the site's [`SITE_SIGMA`] within it: 4.3 dB that remain once walls are drawn, and
/// 4 dB from site to site (calculated here). Full-wave solutions of nine houses differ from the
/// forecast of the local mean by 2.5 dB, and one upright aerial from the mean over orientations by
/// 3.5 dB more; in a furnished flat the means of cells differ from the forecast of receivers kept
/// back by 4.3 dB, in a furnished room by 4.8 dB (tests/measured/README.md: 80 % intervals with
/// this spread hold 81 to 88 % there). The 8 dB of ITU-R P.1238 (residential; from memory, the
/// Recommendation was not opened) are about a law that knows only distance and floors.
pub const SHADOWING_SIGMA: Db = Db(6.0);

/// The same where all that arrives is scattered, as behind metal: full-wave solutions differ from
/// the forecast there by 4.1 dB, one upright aerial from the mean over orientations by 2.3 dB, and
/// 4 dB from site to site (calculated here: 6.2 dB, rounded up).
pub const SCATTERED_SIGMA: Db = Db(6.4);

/// Luck of the spot, dB: within a wavelength the level scatters so that one spot in ten lies 6.4 dB
/// below the local mean (calculated here: a two-dimensional full-wave solution of a house at
/// 319.5 and 433.92 MHz), and 6.4 dB / 1.2816 = 5.0 dB.
pub const SPOT_SIGMA: Db = Db(5.0);

/// Loss of two aerials against the mean over all orientations of both that the site offset holds,
/// dB: the mean of cos² over all angles is one half.
pub const POLARISATION_LOSS: Db = Db(3.0);

/// Mean of the site offset, dB: [`POLARISATION_LOSS`] and 3 dB for mounting, leads and clutter
/// (common practice, no source). Six links of one building at 868 MHz had 16–24 dB that no wall
/// explained (doi 10.5281/zenodo.19089760), losses of their antennas included: a site can be far
/// worse.
pub const SITE_OFFSET: Db = Db(6.0);

/// Standard deviation of the site offset, dB (common practice, no source).
pub const SITE_SIGMA: Db = Db(4.0);

/// Rician K of an indoor path between fixed ends while people move, dB. An assumption: published
/// values run from 0 to 12 dB (from memory), none was confirmed.
pub const K_FACTOR: Db = Db(6.0);

/// Loss of a transmitter worn on the body, dB. An engineering range of 10–20 dB is usual (from
/// memory, no source confirmed).
pub(crate) const BODY_LOSS: Db = Db(15.0);

/// Greatest loss of one wall, dB: what leaks round and through the joints of a metal sheet (common
/// practice, no source).
pub const WALL_CAP: Db = Db(40.0);

impl Default for Model {
    fn default() -> Self {
        Self {
            reflections: 1,
            openings: Edges::Soft,
            walls: Walls::Typical,
            adding: Adding::Waves,
            polarisation: Polarisation::Mean,
            wall_cap_db: WALL_CAP,
            sigma_db: None,
            spot_sigma_db: SPOT_SIGMA,
            k_factor_db: K_FACTOR,
            site_offset_db: SITE_OFFSET,
            site_sigma_db: SITE_SIGMA,
            antenna_gain_db: Db(0.0),
            body_loss_db: BODY_LOSS,
            noise: NoiseEnvironment::Residential,
            findings: Limits { sound_below: 0.01, thin_below: 0.20 },
            cell_m: 0.1,
        }
    }
}

impl Model {
    /// These settings with mean and spread of the site offset as the plan's calibration has them,
    /// if it has one.
    #[must_use]
    pub fn calibrated(self, plan: &Plan) -> Self {
        plan.calibration.as_ref().map_or(self, |read| Self {
            site_offset_db: read.site_offset,
            site_sigma_db: read.site_sigma,
            ..self
        })
    }
}

fn is_usual(sigma: &Db) -> bool {
    *sigma == SITE_SIGMA
}

fn polarisation_word<S: serde::Serializer>(p: &Polarisation, s: S) -> Result<S::Ok, S::Error> {
    s.serialize_str(match p {
        Polarisation::Te => "te",
        Polarisation::Tm => "tm",
        Polarisation::Mean => "mean",
    })
}

fn noise_word<S: serde::Serializer>(n: &NoiseEnvironment, s: S) -> Result<S::Ok, S::Error> {
    s.serialize_str(match n {
        NoiseEnvironment::City => "city",
        NoiseEnvironment::Residential => "residential",
        NoiseEnvironment::Rural => "rural",
        NoiseEnvironment::Quiet => "quiet",
    })
}
