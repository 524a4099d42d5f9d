//! What walls, openings and floors are built of.
//!
//! A construction is a stack of layers, from which the ideal slab loss follows at any angle and
//! frequency, and an *excess*: what a real wall of this kind loses beyond its ideal slab, because
//! of studs, wiring, pipes, plaster keys, rebar and furniture along it.
//!
//! # Model of the excess
//! Two figures tell what a real wall loses. The COST 231 multi-wall model has 3.4 dB for a light
//! wall and 6.9 dB for a heavy one at 1.8 GHz (seen in secondary sources). Six links of one
//! building at 868 MHz fit about 3.6 dB for a wall of wood and 9.5 dB for one of concrete or brick
//! (open data, CC BY 4.0, doi 10.5281/zenodo.19089760; a fit to six points, with a constant that no
//! wall explains). What each leaves over the ideal slab at normal incidence is calculated here:
//!
//! | | figure | ideal slab | left over |
//! | --- | --- | --- | --- |
//! | light, 1.8 GHz | 3.4 | 0.9 (stud partition) | 2.5 |
//! | light, 868 MHz | 3.6 | 0.5 (stud partition) | 3.1 |
//! | heavy, 1.8 GHz | 6.9 | 5.3 (mean of four) | 1.6 |
//! | heavy, 868 MHz | 9.5 | 4.6 (mean of four) | 4.9 |
//!
//! The four are half-brick, solid brick, dense block and 100 mm concrete. The mean excess is
//! midway: 2.8 dB light, 3.2 dB heavy. It is one figure a class, not one a wall, so that the
//! thicker of two walls of a kind never comes out the lighter. Excesses reached otherwise say so in
//! their source.
//!
//! # References
//! - COST Action 231, Digital mobile radio towards future generation systems, final report (1999),
//!   chapter 4, multi-wall model (figures seen in secondary sources, the report itself not opened).
//! - Marcuvitz, Waveguide Handbook (1951), section 5.18, inductive strips and grids (from memory).

mod floors;
mod openings;
mod walls;

use std::f64::consts::{PI, TAU};
use std::sync::LazyLock;

use nalgebra::Complex;

use crate::materials::material;
use crate::slab::SlabLayer;
use units::{Db, Hertz, Metres, SPEED_OF_LIGHT_M_PER_S};

/// Kind of construction, for drawing and quoting.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ConstructionClass {
    /// Plasterboard and plaster on studs.
    Light,
    /// Timber frame and floors.
    Timber,
    /// Brick, block and stone.
    Masonry,
    /// Concrete.
    Concrete,
    /// Plain glass.
    Glass,
    /// Glass with a conducting coat or mesh.
    CoatedGlass,
    /// Metal sheet, foil or lath.
    Metal,
    /// Doors.
    Door,
}

impl ConstructionClass {
    /// All classes, in the order of a legend.
    pub const ALL: [Self; 8] = [
        Self::Light,
        Self::Timber,
        Self::Masonry,
        Self::Concrete,
        Self::Glass,
        Self::CoatedGlass,
        Self::Metal,
        Self::Door,
    ];

    /// The word for it in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Light => "light",
            Self::Timber => "timber",
            Self::Masonry => "masonry",
            Self::Concrete => "concrete",
            Self::Glass => "glass",
            Self::CoatedGlass => "coated-glass",
            Self::Metal => "metal",
            Self::Door => "door",
        }
    }
}

/// One layer of a catalogue construction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CatalogueLayer {
    /// A layer of a material.
    Bulk {
        /// Name of the material (see [`crate::material`]).
        material: &'static str,
        /// Thickness, mm.
        thickness_mm: f64,
    },
    /// A thin conducting film.
    Film {
        /// Sheet resistance, ohms per square.
        sheet_resistance_ohm: f64,
    },
    /// A square mesh of round wires, welded where they cross.
    Mesh {
        /// Distance between wires, mm.
        pitch_mm: f64,
        /// Diameter of a wire, mm.
        wire_mm: f64,
    },
}

/// What a real wall loses beyond its ideal slab.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Excess {
    /// Mean.
    pub mean: Db,
    /// Standard deviation from one such wall to another.
    pub spread: Db,
    /// Where the two come from.
    pub source: &'static str,
}

/// A construction of the catalogue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Construction {
    /// The name by which a plan calls it.
    pub name: &'static str,
    /// The layers, outside (or upper side) first.
    pub layers: &'static [CatalogueLayer],
    /// What a real wall loses beyond them.
    pub excess: Excess,
    /// Where the layers come from.
    pub source: &'static str,
    /// Kind, for drawing and quoting.
    pub class: ConstructionClass,
}

/// What something is built for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum BuiltFor {
    /// A wall.
    Wall,
    /// A door.
    Door,
    /// A window.
    Window,
    /// A floor or ceiling.
    Slab,
    /// A solid thing in a room.
    Obstacle,
}

impl BuiltFor {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Wall, Self::Door, Self::Window, Self::Slab, Self::Obstacle];

    /// Its word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Wall => "wall",
            Self::Door => "door",
            Self::Window => "window",
            Self::Slab => "slab",
            Self::Obstacle => "obstacle",
        }
    }
}

impl Construction {
    /// What it is usually built for.
    #[must_use]
    pub fn built_for(&self) -> &'static [BuiltFor] {
        let is_in = |list: &[Self]| list.iter().any(|one| one.name == self.name);
        let is_glass =
            matches!(self.class, ConstructionClass::Glass | ConstructionClass::CoatedGlass);
        match (is_in(floors::FLOORS), is_in(openings::OPENINGS), is_glass) {
            (true, ..) => &[BuiltFor::Slab],
            // A pane from floor to ceiling is a wall.
            (_, true, true) => &[BuiltFor::Window, BuiltFor::Door, BuiltFor::Wall],
            (_, true, false) => &[BuiltFor::Door],
            _ => &[BuiltFor::Wall, BuiltFor::Obstacle],
        }
    }

    /// Total thickness; films and meshes have none.
    #[must_use]
    pub fn thickness(&self) -> Metres {
        let millimetres: f64 = self
            .layers
            .iter()
            .map(|layer| match layer {
                CatalogueLayer::Bulk { thickness_mm, .. } => *thickness_mm,
                CatalogueLayer::Film { .. } | CatalogueLayer::Mesh { .. } => 0.0,
            })
            .sum();
        Metres(millimetres / 1e3)
    }

    /// The layers with their permittivity at a frequency, for [`crate::slab_response`].
    #[must_use]
    pub fn slab_layers(&self, frequency: Hertz) -> Vec<SlabLayer> {
        self.layers.iter().filter_map(|layer| slab_layer(*layer, frequency)).collect()
    }

    /// Names of the materials that are used outside the range of their coefficients at this
    /// frequency, each once, in the order of the layers.
    #[must_use]
    pub fn extrapolated_materials(&self, frequency: Hertz) -> Vec<&'static str> {
        let mut names = Vec::new();
        for layer in self.layers {
            let CatalogueLayer::Bulk { material: name, .. } = *layer else {
                continue;
            };
            let outside = material(name).is_some_and(|known| known.is_extrapolated(frequency));
            if outside && !names.contains(&name) {
                names.push(name);
            }
        }
        names
    }
}

/// One layer at a frequency; none if its material is unknown (a test keeps the catalogue free of
/// those).
fn slab_layer(layer: CatalogueLayer, frequency: Hertz) -> Option<SlabLayer> {
    Some(match layer {
        CatalogueLayer::Bulk { material: name, thickness_mm } => SlabLayer::Bulk {
            permittivity: material(name)?.permittivity(frequency),
            thickness: Metres(thickness_mm / 1e3),
        },
        CatalogueLayer::Film { sheet_resistance_ohm } => SlabLayer::Film { sheet_resistance_ohm },
        CatalogueLayer::Mesh { pitch_mm, wire_mm } => {
            mesh_layer(Metres(pitch_mm / 1e3), Metres(wire_mm / 1e3), frequency)
        }
    })
}

/// The layer that stands for a square mesh of round wires, welded where they cross.
///
/// A mesh finer than about a third of a wavelength is an inductive sheet of reactance
/// X = Z₀·(p/λ)·ln(p/(π·w)) with pitch p and wire diameter w (Marcuvitz, from memory). A
/// plasma-like layer of thickness t and permittivity 1 − 1/(X·2πf·ε₀·t) has the same sheet
/// admittance; t is a hundredth of the wire, which is thin enough to be a sheet. The mesh is taken
/// as lossless and well joined; a broken or rusted one lets more through.
pub(crate) fn mesh_layer(pitch: Metres, wire: Metres, frequency: Hertz) -> SlabLayer {
    let thickness = Metres(wire.0 / 100.0);
    // X·2πf·ε₀·t with Z₀ε₀ = 1/c leaves k²·p·t·ln(p/(πw))/2π.
    let wavenumber = TAU * frequency.0 / SPEED_OF_LIGHT_M_PER_S;
    let gap = (pitch.0 / (PI * wire.0)).ln();
    let depth = wavenumber * wavenumber * pitch.0 * thickness.0 * gap / TAU;
    SlabLayer::Bulk { permittivity: Complex::from(1.0 - depth.recip()), thickness }
}

static CATALOGUE: LazyLock<Vec<Construction>> =
    LazyLock::new(|| [walls::WALLS, openings::OPENINGS, floors::FLOORS].concat());

/// All built-in constructions: walls, then doors and glass, then floors and ceilings.
#[must_use]
pub fn catalogue() -> &'static [Construction] {
    &CATALOGUE
}

/// The built-in construction of that name.
#[must_use]
pub fn construction(name: &str) -> Option<&'static Construction> {
    CATALOGUE.iter().find(|one| one.name == name)
}

/// A measured loss at a frequency: linear in the logarithm of the frequency between two rows.
///
/// # Units
/// `table` holds (MHz, dB) rows in rising frequency. Outside its range the nearest row is used and
/// the second part of the result is true; with an empty table it is 0 dB and true.
#[must_use]
pub fn interpolate_measured_loss(table: &[(f64, f64)], frequency: Hertz) -> (Db, bool) {
    let mhz = frequency.mhz();
    let (Some(&first), Some(&last)) = (table.first(), table.last()) else {
        return (Db(0.0), true);
    };
    if mhz <= first.0 {
        return (Db(first.1), mhz < first.0);
    }
    if mhz >= last.0 {
        return (Db(last.1), mhz > last.0);
    }
    let mut low = first;
    for &high in table {
        if mhz <= high.0 {
            let share = (mhz / low.0).ln() / (high.0 / low.0).ln();
            return (Db(low.1 + share * (high.1 - low.1)), false);
        }
        low = high;
    }
    (Db(last.1), false)
}

/// Shorthand of the catalogue's files.
const fn bulk(material: &'static str, thickness_mm: f64) -> CatalogueLayer {
    CatalogueLayer::Bulk { material, thickness_mm }
}

/// Shorthand of the catalogue's files.
const fn excess(mean: f64, spread: f64, source: &'static str) -> Excess {
    Excess { mean: Db(mean), spread: Db(spread), source }
}

const PRACTICE: &str = "common practice, no source";

/// Of light walls; see the module's head.
const LIGHT_EXCESS: Excess = excess(
    2.8,
    2.0,
    "midway between COST 231 (light wall, 3.4 dB at 1.8 GHz, seen in secondary sources) and a fit \
        to one building (wood, 3.6 dB \
     at 868 MHz, open data, doi 10.5281/zenodo.19089760), each less the ideal stud partition, \
     calculated here; spread: common \
     practice, no source",
);
/// Of heavy walls; see the module's head.
const HEAVY_EXCESS: Excess = excess(
    3.2,
    3.0,
    "midway between COST 231 (heavy wall, 6.9 dB at 1.8 GHz, seen in secondary sources) and a fit \
        to one building (concrete or \
     brick, 9.5 dB at 868 MHz, open data, doi 10.5281/zenodo.19089760), each less the mean ideal \
     slab of four heavy walls, \
     calculated here; spread: common practice, no source",
);
/// Of sheets that stop nearly everything by themselves.
const OPAQUE_EXCESS: Excess = excess(
    0.0,
    6.0,
    "none: the sheet itself is opaque and the caller's cap decides; spread: common practice, no \
        source",
);
/// What constructions of a kind have in common.
const fn kind(excess: Excess, class: ConstructionClass) -> Construction {
    Construction { name: "", layers: &[], excess, source: PRACTICE, class }
}

const LIGHT: Construction = kind(LIGHT_EXCESS, ConstructionClass::Light);
const HEAVY: Construction = kind(HEAVY_EXCESS, ConstructionClass::Masonry);
const OPAQUE: Construction = kind(OPAQUE_EXCESS, ConstructionClass::Metal);

/// Aluminium: resistivity over thickness.
const FOIL: CatalogueLayer = CatalogueLayer::Film {
    // 2.65e-8 Ω·m (aluminium at 20 °C, from memory) over 9 µm (common practice, no source).
    sheet_resistance_ohm: 2.65e-8 / 9e-6,
};

#[cfg(test)]
mod tests;
