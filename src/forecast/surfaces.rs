//! What the plan's constructions do to a wave at one frequency.

use std::collections::{BTreeMap, BTreeSet};

use super::model::{Model, Walls};
use super::reverberant::Reverberation;
use nalgebra::Complex;
use plan::{Construction, Layer, Plan};
use radio::{
    self, ConstructionClass, ReflectionTable, SlabLayer, SlabTable, interpolate_measured_loss,
    material,
};
use trace::{AIR, SurfaceFacts, SurfaceId};
use units::{Db, Hertz, Metres, PowerRatio};

/// Spread of the loss of a construction that the user defines, dB (common practice, no source).
const USER_SPREAD: Db = Db(2.0);

/// Share of the power through a slab at normal incidence below which it is heavy: 15 dB. Every
/// sheet of metal, foil and coating is, and thick concrete at the upper bands.
const HEAVY_BELOW: f64 = 0.03;

/// Thickness at which a construction known only by its loss is drawn, metres.
const MEASURED_THICKNESS_M: f64 = 0.1;

/// The names of the constructions that a plan uses, each with a surface number.
#[derive(Debug, Clone)]
pub struct SurfaceNames {
    numbers: BTreeMap<String, SurfaceFacts>,
}

/// One construction at one frequency and polarisation.
#[derive(Debug, Clone)]
pub struct Surface {
    /// Name of the construction.
    pub name: String,
    /// Transmittance and reflectance of the ideal slab against the angle of incidence; with a
    /// scale, the transmittance is that of the whole scaled wall.
    pub table: SlabTable,
    /// Mean excess over the ideal slab before any scale; zero for ideal walls.
    pub excess: Db,
    /// Standard deviation of the loss of such a wall from what is taken for typical.
    pub spread: Db,
    /// Its class.
    pub class: ConstructionClass,
    /// Factor on all its decibels: 1, or the calibrated one of this house.
    pub scale: f64,
    /// What its two faces reflect: that of its first layer, and the other.
    reflections: [ReflectionTable; 2],
    /// Whether it lets so little through that what comes round it decides.
    pub is_heavy: bool,
    /// The ideal slab, where `table` is scaled.
    ideal: Option<SlabTable>,
    excess_ratio: f64,
    least: f64,
}

/// What a construction loses at one frequency, for those who ask by its name.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConstructionFacts {
    /// Loss at normal incidence, slab and excess, scaled and capped as the forecast takes it.
    pub loss: Db,
    /// Standard deviation of that loss.
    pub spread: Db,
    /// Its class.
    pub class: ConstructionClass,
    /// The factor on all its decibels that `loss` holds.
    pub scale: f64,
}

/// All surfaces at one frequency; number [`AIR`] is the one that is not there.
#[derive(Debug, Clone)]
pub struct Surfaces {
    /// The frequency.
    pub frequency: Hertz,
    list: Vec<Surface>,
    /// What rings between them.
    pub(super) reverberation: Reverberation,
    /// What is doubtful about the values, for people.
    pub warnings: Vec<String>,
}

/// The loss of one crossing, in its parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrossingLoss {
    /// Loss of the ideal slab, at most the cap.
    pub slab: Db,
    /// What the typical wall loses beyond it, less what the cap takes off; with a scale, what the
    /// wall of this house does, which may be less than nothing.
    pub excess: Db,
}

/// The class of a construction, for drawing.
#[must_use]
pub fn class_of(plan: &Plan, name: &str) -> ConstructionClass {
    match plan.constructions.get(name) {
        None => radio::construction(name).map_or(ConstructionClass::Light, |c| c.class),
        Some(Construction::Measured(_)) => ConstructionClass::Masonry,
        Some(Construction::Layers(layers)) => {
            let has = |words: &[&str]| {
                layers.iter().any(|layer| match layer {
                    Layer::Bulk { material, .. } => words.contains(&material.as_str()),
                    Layer::Film { .. } => false,
                })
            };
            let film = layers.iter().any(|layer| matches!(layer, Layer::Film { .. }));
            if film && has(&["glass"]) {
                ConstructionClass::CoatedGlass
            } else if film || has(&["metal"]) {
                ConstructionClass::Metal
            } else if has(&["concrete"]) {
                ConstructionClass::Concrete
            } else if has(&["brick", "dense-block", "aerated-block", "stone", "marble"]) {
                ConstructionClass::Masonry
            } else if has(&["glass"]) {
                ConstructionClass::Glass
            } else if has(&["wood", "chipboard", "plywood"]) {
                ConstructionClass::Timber
            } else {
                ConstructionClass::Light
            }
        }
    }
}

impl SurfaceNames {
    /// Numbers the constructions of a plan, in the order of their names.
    #[must_use]
    pub fn new(plan: &Plan) -> Self {
        let walls = plan.walls.iter().map(|x| &x.construction);
        let openings = plan.openings.iter().map(|x| &x.construction);
        let slabs = plan.slabs.iter().map(|x| &x.construction);
        let obstacles = plan.obstacles.iter().map(|x| &x.construction);
        Self::of(plan, walls.chain(openings).chain(slabs).chain(obstacles))
    }

    /// Numbers some constructions, whether the plan uses them or not.
    #[must_use]
    pub fn of<'n>(plan: &Plan, names: impl Iterator<Item = &'n String>) -> Self {
        let names: BTreeSet<&String> = names.collect();
        let numbers = names.into_iter().zip(AIR + 1..).map(|(name, surface)| {
            let thickness_m = thickness(plan, name).0;
            (name.clone(), SurfaceFacts { surface, thickness_m })
        });
        Self { numbers: numbers.collect() }
    }

    /// Surface and thickness of a construction; thin air for a name that the plan does not use.
    #[must_use]
    pub fn facts(&self, name: &str) -> SurfaceFacts {
        let nothing = SurfaceFacts { surface: AIR, thickness_m: 0.0 };
        self.numbers.get(name).copied().unwrap_or(nothing)
    }
}

/// Thickness of a construction, the user's or a built-in one.
#[must_use]
pub fn thickness(plan: &Plan, name: &str) -> Metres {
    match plan.constructions.get(name) {
        None => radio::construction(name).map_or(Metres(0.0), radio::Construction::thickness),
        Some(Construction::Measured(_)) => Metres(MEASURED_THICKNESS_M),
        Some(Construction::Layers(layers)) => Metres(
            layers
                .iter()
                .map(|layer| match layer {
                    Layer::Bulk { thickness_mm, .. } => thickness_mm / 1000.0,
                    Layer::Film { .. } => 0.0,
                })
                .sum(),
        ),
    }
}

impl Surfaces {
    /// Works out all surfaces of a plan at one frequency. Where the plan holds a calibration, it
    /// gives scale and spread of the constructions that it names, unless the walls are ideal.
    #[must_use]
    pub fn new(plan: &Plan, names: &SurfaceNames, frequency: Hertz, model: &Model) -> Self {
        let least = (-model.wall_cap_db).to_ratio().0;
        let mut warnings = Vec::new();
        let air = Surface {
            name: "air".to_owned(),
            table: SlabTable::uniform(PowerRatio(1.0), PowerRatio(0.0)),
            excess: Db(0.0),
            spread: Db(0.0),
            class: ConstructionClass::Light,
            scale: 1.0,
            reflections: [ReflectionTable::none(), ReflectionTable::none()],
            is_heavy: false,
            ideal: None,
            excess_ratio: 1.0,
            least: 1.0,
        };
        let mut list = vec![air];
        for name in names.numbers.keys() {
            let (table, typical, spread) = tabulate(plan, name, frequency, model, &mut warnings);
            let is_heavy = table.transmittance(1.0) < HEAVY_BELOW;
            let mut layers = layers(plan, name, frequency).unwrap_or_default();
            let front = ReflectionTable::new(&layers, frequency, model.polarisation);
            layers.reverse();
            let back = ReflectionTable::new(&layers, frequency, model.polarisation);
            let excess = if model.walls == Walls::Typical { typical } else { Db(0.0) };
            let excess_ratio = (-excess).to_ratio().0;
            let mut surface = Surface {
                name: name.clone(),
                table,
                excess,
                spread,
                class: class_of(plan, name),
                scale: 1.0,
                reflections: [front, back],
                is_heavy,
                ideal: None,
                excess_ratio,
                least,
            };
            let read = plan.calibration.as_ref();
            let read = read.and_then(|calibration| calibration.constructions.get(name));
            if let Some(read) = read.filter(|_| model.walls == Walls::Typical) {
                surface.spread = surface.normal_loss() * read.sigma;
                surface = surface.rescaled(read.scale);
            }
            list.push(surface);
        }
        let reverberation = Reverberation::new(model.reflections);
        Self { frequency, list, reverberation, warnings }
    }

    /// A surface by its number.
    #[inline]
    #[must_use]
    pub fn get(&self, id: SurfaceId) -> &Surface {
        &self.list[id as usize]
    }

    /// These surfaces with every decibel of one construction multiplied by a factor above zero, on
    /// top of the scale that it has; its spread stays. A name that the plan does not use changes
    /// nothing.
    #[must_use]
    pub fn rescaled(&self, name: &str, factor: f64) -> Self {
        let mut changed = self.clone();
        changed.reverberation = self.reverberation.anew();
        for surface in changed.list.iter_mut().skip(AIR as usize + 1) {
            if surface.name == name {
                *surface = surface.rescaled(factor);
            }
        }
        changed
    }

    /// What a construction loses, by its name; `None` for one that the plan does not use.
    #[must_use]
    pub fn facts(&self, name: &str) -> Option<ConstructionFacts> {
        let surface = self.constructions().find(|surface| surface.name == name)?;
        Some(ConstructionFacts {
            loss: surface.normal_loss(),
            spread: surface.spread,
            class: surface.class,
            scale: surface.scale,
        })
    }

    /// The surfaces of the constructions that the plan uses, in the order of their names.
    pub fn constructions(&self) -> impl Iterator<Item = &Surface> {
        self.list.iter().skip(AIR as usize + 1)
    }
}

impl Surface {
    /// Share of the power that passes, linear.
    #[inline]
    #[must_use]
    pub fn transmitted(&self, cos_incidence: f64) -> f64 {
        let passed = self.passed_within(cos_incidence);
        // Not `max`, which minds what is not a number and takes longer.
        if passed < self.least { self.least } else { passed }
    }

    /// Share of the power that passes the sheet itself, without what leaks round it and through its
    /// joints, for which the cap stands, linear.
    #[inline]
    #[must_use]
    pub fn passed_within(&self, cos_incidence: f64) -> f64 {
        self.table.transmittance(cos_incidence) * self.excess_ratio
    }

    /// Share of the power that passes two such faces one after the other, at least what the cap
    /// leaves of one wall, linear.
    #[inline]
    #[must_use]
    pub fn squared(&self, cos_incidence: f64) -> f64 {
        let once = self.transmitted(cos_incidence);
        (once * once).max(self.least)
    }

    /// Share of the power that one of its faces reflects, 0 that of its first layer or 1 the
    /// other, linear.
    #[inline]
    #[must_use]
    pub fn reflected(&self, face: usize, cos_incidence: f64) -> f64 {
        self.table.reflectance(face, cos_incidence)
    }

    /// A bound on [`Self::reflected`] from one cosine to another, linear.
    #[inline]
    #[must_use]
    pub fn most_reflected(&self, face: usize, cos_incidence: (f64, f64)) -> f64 {
        self.table.most_reflected(face, cos_incidence)
    }

    /// Amplitude reflected by one of its faces, 0 that of its first layer or 1 the other, over the
    /// root of the power reflected: how far, and in which phase, the reflected wave adds to the
    /// direct one, whose angle with the face's normal has a cosine of the square `direct_cos2`. Its
    /// modulus is at most one.
    #[inline]
    #[must_use]
    pub fn reflected_phase(
        &self,
        face: usize,
        cos_incidence: f64,
        direct_cos2: f64,
    ) -> Complex<f64> {
        let power = self.reflected(face, cos_incidence);
        if power <= 0.0 {
            return Complex::new(0.0, 0.0);
        }
        let reflected = self.reflections[face].amplitude(cos_incidence);
        let cos2_sum = cos_incidence * cos_incidence + direct_cos2;
        let phase = reflected.along_direct(cos2_sum) / power.sqrt();
        let square = phase.norm_sqr();
        if square > 1.0 { phase / square.sqrt() } else { phase }
    }

    /// Share of the power from all directions that passes the ideal slab, linear, whatever the
    /// scale: what a typical one loses beyond it is scattered for the most part, and so gets round
    /// what is joined to it.
    #[must_use]
    pub fn passed_from_all(&self) -> f64 {
        self.ideal.as_ref().unwrap_or(&self.table).mean_transmittance()
    }

    /// The loss of a crossing, in its parts.
    #[must_use]
    pub fn loss(&self, cos_incidence: f64) -> CrossingLoss {
        let cap = PowerRatio(self.least).to_loss();
        let ideal = self.ideal.as_ref().unwrap_or(&self.table);
        let slab = PowerRatio(ideal.transmittance(cos_incidence)).to_loss();
        let slab = Db(slab.0.min(cap.0).max(0.0));
        let all = PowerRatio(self.transmitted(cos_incidence)).to_loss();
        let excess = all - slab;
        CrossingLoss {
            slab,
            excess: if self.ideal.is_some() { excess } else { Db(excess.0.max(0.0)) },
        }
    }

    /// The whole loss at normal incidence, capped.
    #[must_use]
    pub fn normal_loss(&self) -> Db {
        PowerRatio(self.transmitted(1.0)).to_loss()
    }

    /// The same with every decibel multiplied by a factor, on top of the scale that it has.
    fn rescaled(&self, factor: f64) -> Self {
        let scale = self.scale * factor;
        let ideal = self.ideal.as_ref().unwrap_or(&self.table);
        let plain = Self {
            table: ideal.clone(),
            ideal: None,
            scale: 1.0,
            excess_ratio: (-self.excess).to_ratio().0,
            ..self.clone()
        };
        if scale.to_bits() == 1f64.to_bits() {
            return plain;
        }
        Self {
            table: ideal.raised(PowerRatio(plain.excess_ratio), scale),
            ideal: Some(plain.table),
            scale,
            excess_ratio: 1.0,
            ..plain
        }
    }
}

/// Slab table, mean excess and spread of a construction.
fn tabulate(
    plan: &Plan,
    name: &str,
    frequency: Hertz,
    model: &Model,
    warnings: &mut Vec<String>,
) -> (SlabTable, Db, Db) {
    match plan.constructions.get(name) {
        Some(Construction::Measured(points)) => {
            let (loss, outside) = interpolate_measured_loss(points, frequency);
            if outside {
                warnings.push(format!(
                    "construction \"{name}\" has no measured loss near {frequency}; the nearest \
                     value, {loss}, is used"
                ));
            }
            // Nothing is known of what such a wall reflects; none is the cautious choice.
            (SlabTable::uniform((-loss).to_ratio(), PowerRatio(0.0)), Db(0.0), USER_SPREAD)
        }
        Some(Construction::Layers(_)) => {
            let slab = layers(plan, name, frequency).unwrap_or_default();
            (SlabTable::new(&slab, frequency, model.polarisation), Db(0.0), USER_SPREAD)
        }
        None => radio::construction(name).map_or_else(
            || (SlabTable::uniform(PowerRatio(1.0), PowerRatio(0.0)), Db(0.0), Db(0.0)),
            |built_in| {
                let slab = built_in.slab_layers(frequency);
                let table = SlabTable::new(&slab, frequency, model.polarisation);
                (table, built_in.excess.mean, built_in.excess.spread)
            },
        ),
    }
}

/// The layers of a construction; `None` for one that is known by its loss alone.
fn layers(plan: &Plan, name: &str, frequency: Hertz) -> Option<Vec<SlabLayer>> {
    match plan.constructions.get(name) {
        Some(Construction::Measured(_)) => None,
        Some(Construction::Layers(layers)) => {
            Some(layers.iter().filter_map(|layer| slab_layer(layer, frequency)).collect())
        }
        None => radio::construction(name).map(|built_in| built_in.slab_layers(frequency)),
    }
}

fn slab_layer(layer: &Layer, frequency: Hertz) -> Option<SlabLayer> {
    match layer {
        Layer::Bulk { material: name, thickness_mm } => Some(SlabLayer::Bulk {
            permittivity: material(name)?.permittivity(frequency),
            thickness: Metres(thickness_mm / 1000.0),
        }),
        Layer::Film { sheet_resistance_ohm } => {
            Some(SlabLayer::Film { sheet_resistance_ohm: *sheet_resistance_ohm })
        }
    }
}
