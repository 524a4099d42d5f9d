//! Electrical properties of building materials.
//!
//! # Model
//! ε′ = a·fᵇ and σ = c·fᵈ (S/m) with f in GHz; η = ε′ − j·σ/(2πfε₀).
//!
//! # Range of validity
//! Each row has a range of frequencies behind it. Below 1 GHz, where most alarms work, only wood
//! and glass are inside theirs: everything else is carried on below its range, and
//! [`Material::is_extrapolated`] says so.
//!
//! # References
//! - ITU-R P.2040-3 (2023), Table 3, read in the public source of a general ray-tracing library
//!   that says it implements it (two commits, 2025 and 2026, agree); the Recommendation itself was
//!   not opened. A newer edition, -4 (2025), exists and was not compared.
//! - ITU-R P.1238, table of complex permittivities of interior materials at 1 GHz, from memory.

use std::f64::consts::TAU;

use nalgebra::Complex;

use units::Hertz;

/// Permittivity of vacuum, F/m (CODATA 2018; from memory).
pub const VACUUM_PERMITTIVITY_F_PER_M: f64 = 8.854_187_812_8e-12;

/// One material: the four coefficients of the module's head, their range and their source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Material {
    /// The name by which a plan calls it, in lower case with hyphens.
    pub name: &'static str,
    /// ε′ at 1 GHz.
    pub a: f64,
    /// Exponent of ε′.
    pub b: f64,
    /// σ at 1 GHz, S/m.
    pub c: f64,
    /// Exponent of σ.
    pub d: f64,
    /// Lowest and highest frequency the coefficients stand for, GHz.
    pub range_ghz: (f64, f64),
    /// Where the coefficients come from, and how far that was confirmed.
    pub source: &'static str,
}

impl Material {
    /// Complex relative permittivity η = a·fᵇ − j·c·fᵈ/(2πfε₀).
    #[must_use]
    pub fn permittivity(&self, frequency: Hertz) -> Complex<f64> {
        let ghz = frequency.ghz();
        let conductivity = self.c * ghz.powf(self.d);
        Complex::new(
            self.a * ghz.powf(self.b),
            -conductivity / (TAU * frequency.0 * VACUUM_PERMITTIVITY_F_PER_M),
        )
    }

    /// Whether the frequency lies outside the range that the coefficients stand for.
    #[must_use]
    pub fn is_extrapolated(&self, frequency: Hertz) -> bool {
        let (low, high) = self.range_ghz;
        !(low..=high).contains(&frequency.ghz())
    }
}

/// The material of that name.
#[must_use]
pub fn material(name: &str) -> Option<&'static Material> {
    MATERIALS.iter().find(|material| material.name == name)
}

/// All materials: the rows of ITU-R P.2040 first, then those that it lacks.
#[must_use]
pub fn materials() -> &'static [Material] {
    &MATERIALS
}

const P2040: &str =
    "ITU-R P.2040-3 Table 3, seen in a secondary source, the Recommendation itself not opened";
const P2040_LATER: &str = "a row newer than ITU-R P.2040-3 Table 3, seen in a secondary source of \
    2026 \
    (probably P.2040-4), the Recommendation itself not opened";
const P2040_PLYWOOD: &str = "ITU-R P.2040-3 Table 3, seen in a secondary source, the \
    Recommendation itself \
    not opened; far lossier than wood and chipboard, and so to be used with suspicion";
const AS_PLASTERBOARD: &str = "taken as plasterboard (gypsum both): ITU-R P.2040-3 Table 3, seen \
    in a \
    secondary source; lime or cement plaster may lose more";
const AS_CONCRETE: &str = "taken as concrete (dense aggregate and cement both): ITU-R P.2040-3 \
    Table 3, \
    seen in a secondary source";
const AS_MARBLE: &str = "taken as marble, the only stone in ITU-R P.2040-3 Table 3, seen in a \
    secondary \
    source; a porous or damp stone may lose several times as much";
const CERAMIC_AS_MARBLE: &str = "taken as marble: ITU-R P.2040-3 Table 3, seen in a secondary \
    source; no row \
    for fired tile was found, dense silicates lie near it";
const P1238_LIGHT_CONCRETE: &str = "2.0 - j0.5 at 1 GHz, lightweight concrete, ITU-R P.1238 table \
    of \
    interior materials, from memory; the loss tangent is held constant";
const P1238_ROCK_WOOL: &str = "1.2 - j0.01 at 1 GHz, rock wool board, ITU-R P.1238 table of \
    interior \
    materials, from memory; the loss tangent is held constant";
const FOAM: &str =
    "common practice, no source: 97 % gas by volume, permittivity 1.05, hardly any loss";

/// σ at 1 GHz, S/m, of a material whose ε″ is 1: 2π·10⁹·ε₀.
const SIGMA_OF_UNIT_LOSS: f64 = TAU * 1e9 * VACUUM_PERMITTIVITY_F_PER_M;

const fn row(
    name: &'static str,
    [a, b, c, d]: [f64; 4],
    range_ghz: (f64, f64),
    source: &'static str,
) -> Material {
    Material { name, a, b, c, d, range_ghz, source }
}

#[rustfmt::skip]
static MATERIALS: [Material; 29] = [
    row("air", [1.0, 0.0, 0.0, 0.0], (0.001, 100.0), P2040),
    row("concrete", [5.24, 0.0, 0.0462, 0.7822], (1.0, 100.0), P2040),
    row("brick", [3.91, 0.0, 0.0238, 0.16], (1.0, 40.0), P2040),
    row("plasterboard", [2.73, 0.0, 0.0085, 0.9395], (1.0, 100.0), P2040),
    row("wood", [1.99, 0.0, 0.0047, 1.0718], (0.001, 100.0), P2040),
    row("glass", [6.31, 0.0, 0.0036, 1.3394], (0.1, 100.0), P2040),
    row("ceiling-board", [1.48, 0.0, 0.0011, 1.0750], (1.0, 100.0), P2040),
    row("chipboard", [2.58, 0.0, 0.0217, 0.78], (1.0, 100.0), P2040),
    row("plywood", [2.71, 0.0, 0.33, 0.0], (1.0, 40.0), P2040_PLYWOOD),
    row("marble", [7.074, 0.0, 0.0055, 0.9262], (1.0, 60.0), P2040),
    row("floorboard", [3.66, 0.0, 0.0044, 1.3515], (50.0, 100.0), P2040),
    row("metal", [1.0, 0.0, 1e7, 0.0], (1.0, 100.0), P2040),
    row("very-dry-ground", [3.0, 0.0, 0.00015, 2.52], (1.0, 10.0), P2040),
    row("medium-dry-ground", [15.0, -0.1, 0.035, 1.63], (1.0, 10.0), P2040),
    row("wet-ground", [30.0, -0.4, 0.15, 1.30], (1.0, 10.0), P2040),
    row("vinyl-tile", [3.62, 0.0, 0.0051, 0.8422], (1.0, 40.0), P2040_LATER),
    row("carpet-tile", [2.08, 0.0, 0.0009, 0.82], (1.0, 40.0), P2040_LATER),
    row("asphalt", [4.83, 0.0, 0.0108, 1.3969], (1.0, 40.0), P2040_LATER),
    row("plaster", [2.73, 0.0, 0.0085, 0.9395], (1.0, 100.0), AS_PLASTERBOARD),
    row("screed", [5.24, 0.0, 0.0462, 0.7822], (1.0, 100.0), AS_CONCRETE),
    row("dense-block", [5.24, 0.0, 0.0462, 0.7822], (1.0, 100.0), AS_CONCRETE),
    row("aerated-block", [2.0, 0.0, 0.5 * SIGMA_OF_UNIT_LOSS, 1.0], (1.0, 1.0), P1238_LIGHT_CONCRETE),
    row("stone", [7.074, 0.0, 0.0055, 0.9262], (1.0, 60.0), AS_MARBLE),
    row("ceramic-tile", [7.074, 0.0, 0.0055, 0.9262], (1.0, 60.0), CERAMIC_AS_MARBLE),
    row("roof-tile", [3.91, 0.0, 0.0238, 0.16], (1.0, 40.0), "taken as brick (fired clay both): \
        ITU-R P.2040-3 Table 3, seen in a secondary source"),
    row("mdf", [2.58, 0.0, 0.0217, 0.78], (1.0, 100.0), "taken as chipboard (wood particles and \
        resin both): ITU-R P.2040-3 Table 3, seen in a secondary source"),
    row("hardboard", [2.58, 0.0, 0.0217, 0.78], (1.0, 100.0), "taken as chipboard (wood fibre, \
        denser): ITU-R P.2040-3 Table 3, seen in a secondary source"),
    row("mineral-wool", [1.2, 0.0, 0.01 * SIGMA_OF_UNIT_LOSS, 1.0], (1.0, 1.0), P1238_ROCK_WOOL),
    row("rigid-foam", [1.05, 0.0, 0.0, 0.0], (0.1, 10.0), FOAM),
];

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn names_are_unique_and_found() {
        for (place, one) in materials().iter().enumerate() {
            assert_eq!(material(one.name), Some(one), "{} stands twice", one.name);
            assert!(!one.source.is_empty());
            assert!(one.name.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "row {place}");
        }
        assert_eq!(material("cheese"), None);
    }

    #[test]
    fn only_wood_glass_air_and_foam_are_in_range_at_every_band_below_one_gigahertz() {
        let f = Hertz::from_mhz(319.5);
        let in_range: Vec<_> =
            materials().iter().filter(|m| !m.is_extrapolated(f)).map(|m| m.name).collect();
        assert_eq!(in_range, ["air", "wood", "glass", "rigid-foam"]);
    }

    #[test]
    fn loss_tangent_rows_have_the_permittivity_they_are_named_for() {
        let block = material("aerated-block").map(|m| m.permittivity(Hertz::from_mhz(1000.0)));
        let block = block.expect("in the table");
        assert_relative_eq!(block.re, 2.0);
        assert_relative_eq!(block.im, -0.5, max_relative = 1e-12);
    }
}
