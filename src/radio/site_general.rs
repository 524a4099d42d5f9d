//! Site-general indoor loss: a check of scale for the traced paths, and the source of the spread.
//!
//! # References
//! - ITU-R P.1238, editions up to about -9: L = 20·log10(f/MHz) + N·log10(d/m) + Lf(n) − 28 for
//!   d > 1 m, rows for 1.8-2 GHz (seen in the public source and tests of a network simulator, the
//!   Recommendation itself not opened).
//! - ITU-R P.1238-11 (2021), Table 2: L = 10α·log10(d/m) + β + 10γ·log10(f/GHz) + N(0, σ) (seen in
//!   one secondary source, the Recommendation itself not opened; that source's formula line takes a
//!   frequency in MHz, with which β could not hold: in GHz it gives 32.4 dB at 1 m and 1 GHz).

use units::{Db, Hertz, Metres};

/// Standard deviation of shadowing in residences, 8 dB: ITU-R P.1238 at 1.8-2 GHz, from memory.
pub const SHADOWING_SIGMA_RESIDENTIAL: Db = Db(8.0);
/// Standard deviation of shadowing in offices, 10 dB: ITU-R P.1238 at 1.8-2 GHz, from memory.
pub const SHADOWING_SIGMA_OFFICE: Db = Db(10.0);
/// Standard deviation of shadowing in shops, 10 dB: ITU-R P.1238 at 1.8-2 GHz, from memory.
pub const SHADOWING_SIGMA_COMMERCIAL: Db = Db(10.0);

/// Kind of building of the older P.1238 form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum P1238Building {
    /// Dwelling.
    Residential,
    /// Office.
    Office,
    /// Shop or hall.
    Commercial,
}

impl P1238Building {
    /// Distance power loss coefficient N of the 1.8-2 GHz row.
    #[must_use]
    pub fn distance_coefficient(self) -> f64 {
        match self {
            Self::Residential => 28.0,
            Self::Office => 30.0,
            Self::Commercial => 22.0,
        }
    }

    /// Floor penetration loss Lf(n) of the 1.8-2 GHz row; zero on the same floor.
    #[must_use]
    pub fn floor_loss(self, floors: u32) -> Db {
        let Some(further) = floors.checked_sub(1) else {
            return Db(0.0);
        };
        let further = f64::from(further);
        Db(match self {
            Self::Residential => 4.0 * f64::from(floors),
            Self::Office => 15.0 + 4.0 * further,
            Self::Commercial => 6.0 + 3.0 * further,
        })
    }
}

/// Mean loss by the older form of P.1238, with the 1.8-2 GHz rows at every frequency.
///
/// # Units
/// Distance in metres, held at 1 m or more; `floors` is the number of floors between the two.
#[must_use]
pub fn p1238_loss(building: P1238Building, frequency: Hertz, distance: Metres, floors: u32) -> Db {
    let distance_term = building.distance_coefficient() * distance.0.max(1.0).log10();
    Db(20.0 * frequency.mhz().log10() + distance_term - 28.0) + building.floor_loss(floors)
}

/// A row of P.1238-11 Table 2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct P1238Row {
    /// Kind of place.
    pub place: &'static str,
    /// Whether the two ends see each other.
    pub line_of_sight: bool,
    /// Distance exponent.
    pub alpha: f64,
    /// Loss at 1 m and 1 GHz, dB.
    pub beta: f64,
    /// Frequency exponent.
    pub gamma: f64,
    /// Standard deviation of the single loss about the mean.
    pub sigma: Db,
    /// Lowest and highest frequency, GHz.
    pub range_ghz: (f64, f64),
    /// Shortest and longest distance, m.
    pub range_m: (f64, f64),
}

impl P1238Row {
    /// Mean loss 10α·log10(d/m) + β + 10γ·log10(f/GHz).
    #[must_use]
    pub fn mean_loss(&self, frequency: Hertz, distance: Metres) -> Db {
        let distance_term = 10.0 * self.alpha * distance.0.log10();
        Db(distance_term + self.beta + 10.0 * self.gamma * frequency.ghz().log10())
    }
}

const fn row(
    place: &'static str,
    line_of_sight: bool,
    [alpha, beta, gamma, sigma]: [f64; 4],
    range_ghz: (f64, f64),
    range_m: (f64, f64),
) -> P1238Row {
    P1238Row { place, line_of_sight, alpha, beta, gamma, sigma: Db(sigma), range_ghz, range_m }
}

/// ITU-R P.1238-11 (2021), Table 2 (seen in one secondary source; see the module's head).
pub static P1238_2021_ROWS: [P1238Row; 6] = [
    row("office", true, [1.46, 34.62, 2.03, 3.76], (0.3, 83.5), (2.0, 27.0)),
    row("office", false, [2.46, 29.53, 2.38, 5.04], (0.3, 82.0), (4.0, 30.0)),
    row("corridor", true, [1.63, 28.12, 2.25, 4.07], (0.3, 83.5), (2.0, 160.0)),
    row("corridor", false, [2.77, 29.27, 2.48, 7.63], (0.625, 83.5), (4.0, 94.0)),
    row("industrial", true, [2.31, 24.52, 2.06, 2.69], (0.625, 70.28), (2.0, 101.0)),
    row("industrial", false, [3.79, 21.01, 1.34, 9.05], (0.625, 70.28), (5.0, 108.0)),
];
