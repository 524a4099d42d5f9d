//! How the paths that reach a receiver add up.
//!
//! Paths from many directions add as powers: over the half wavelength within which a device may
//! hang, their phases take every value. A wave reflected at a thing so near to an end that it
//! leaves or arrives in nearly the direction of the direct wave keeps its phase to it, and adds as
//! a wave: a floor or a ceiling seen at grazing incidence. With unit vectors u of direct wave and v
//! of the other at the device, the mean over a Gaussian spot about it, half a wavelength wide, and
//! over what the plan does not know of its place, leaves of the interference
//!
//! w = exp(−(π²/8 + (kσ)²/2)·|u − v|²)
//!
//! with k = 2π/λ and σ = 5 cm ([`PLACE_SIGMA_M`]): at 2.4 GHz little is left but at grazing
//! incidence. The listener has no spot: it is one for all devices, and the wave that a wall near it
//! sends back weakens or strengthens all that it hears from before that wall. There the second term
//! alone is left, and of the wall that the listener hangs on, whose distance is known better,
//! σ = 2 cm ([`HUNG_SIGMA_M`]).
//!
//! Only waves reflected once are weighed against the direct one; all pairs, the phases that walls
//! give to what passes them, upright and level waves each by themselves, and the listener's own
//! wall behind every path were tried against full-wave solutions and were no better
//! (`tests/forecast/README.md`).
//!
//! Behind metal the paths that are followed bring next to nothing, and what arrives is scattered:
//! it has met walls, rims and furniture many times. That power is [`SCATTERED`], where no closed
//! box holds it off. What is reflected in the rooms more often than the paths that are followed is
//! in `reverberant`; it arrives as the scattered power does, from everywhere.

use std::f64::consts::{PI, TAU};

use super::model::LEAST_LEFT;
use super::surfaces::{Surface, Surfaces};
use trace::{HeightProfile, Point, Ray, Scene, Screen, dot};

/// Power that is scattered behind what lets nothing through, over that of free space at the same
/// distance: −15 dB beside what rings in the rooms (by house −13 to −18, full-wave solutions of
/// twenty-three houses).
pub(super) const SCATTERED: f64 = 0.031_622_776_601_683_79;

/// What the spot about a device, half a wavelength wide, takes of interference, in |u − v|².
const SPOT: f64 = PI * PI / 8.0;

/// Standard deviation of the place of an end against the walls and floors about it, metres (common
/// practice, no source: plans are drawn to some 5 cm).
const PLACE_SIGMA_M: f64 = 0.05;

/// Standard deviation of the distance of an aerial from the wall that its device hangs on, metres
/// (common practice, no source: cases are some centimetres deep).
const HUNG_SIGMA_M: f64 = 0.02;

/// A listener nearer to the face of a wall than this part of a wavelength hangs on it.
const HUNG_WAVELENGTHS: f64 = 0.25;

/// Least distance of an aerial from the face of the wall that its device hangs on, metres (common
/// practice, no source: the circuit board stands a finger's breadth behind the wall of the case).
const AERIAL_M: f64 = 0.02;

/// The end of a path at which the listener hangs, the panel or a repeater: it stays where it is,
/// and what its wall does is common to all that it hears.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ListenerEnd {
    /// That from which the paths are traced.
    #[default]
    Near,
    /// The other one.
    Far,
}

/// Power gains at one receiver, linear, relative to an isotropic transmitter's.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PathSum {
    /// All paths, their powers added.
    pub powers: f64,
    /// What the interference of near reflections with the direct wave adds, or takes where it is
    /// negative.
    pub waves: f64,
    /// What is scattered, and what rings in the rooms.
    pub scattered: f64,
}

impl PathSum {
    /// What arrives.
    #[inline]
    #[must_use]
    pub fn total(&self) -> f64 {
        (self.powers + self.waves).max(LEAST_LEFT * self.powers) + self.scattered
    }
}

/// The sum at one receiver while paths are added, the direct one first.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Tally {
    pub sum: PathSum,
    /// Power gain of the direct path.
    pub direct_gain: f64,
}

/// What a wave is reflected at.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mirror<'a> {
    /// The wall or a block's face.
    pub screen: &'a Screen,
    /// Half the thickness of what is met of it, metres.
    pub half_thickness: f64,
    /// Its surface there.
    pub surface: &'a Surface,
    /// Which of its faces, 0 that of its first layer or 1 the other.
    pub face: usize,
    /// Cosine of the angle of incidence.
    pub cos_incidence: f64,
}

/// The direct wave at one receiver.
#[derive(Debug, Clone, Copy)]
pub(super) struct Direct {
    span: Point,
    rise: f64,
    length: f64,
}

impl Direct {
    /// The direct wave between two ends, their heights those of any way between them.
    #[inline]
    pub(super) fn new(from: Point, to: Point, heights: &HeightProfile) -> Self {
        let span = to - from;
        let rise = heights.rise();
        Self { span, rise, length: (dot(span, span) + rise * rise).sqrt() }
    }

    /// Interference with a wave reflected once at a wall or a block's face.
    #[inline]
    pub(super) fn with_wall(
        &self,
        (wavelength_m, listener): (f64, ListenerEnd),
        ray: &Ray<'_>,
        mirror: Mirror<'_>,
    ) -> f64 {
        let Mirror { screen, half_thickness, surface, face, cos_incidence: cos } = mirror;
        let (here, there) = (self.length.max(1e-9).recip(), ray.length.max(1e-9).recip());
        let arriving = ray.span * there;
        let leaving = arriving - screen.normal * (2.0 * dot(screen.normal, arriving));
        let own = self.span * here;
        let rise = self.rise * (there - here);
        let apart = |other: Point| {
            let off = other - own;
            dot(off, off) + rise * rise
        };
        let at_listener = match listener {
            ListenerEnd::Near => ray.from,
            ListenerEnd::Far => ray.to,
        };
        let beside = screen.offset(at_listener).abs() - half_thickness;
        let hung = beside < HUNG_WAVELENGTHS * wavelength_m;
        let sigma_m = if hung { HUNG_SIGMA_M } else { PLACE_SIGMA_M };
        let lost = lost(wavelength_m, (listener, sigma_m), [apart(leaving), apart(arriving)]);
        // The mirror is the face; a device drawn on it, or in the wall, has its aerial before it.
        let before = |end: Point| screen.offset(end).abs() - AERIAL_M;
        let nearer = half_thickness.min(before(ray.from)).min(before(ray.to));
        let further = ray.length - self.length - 2.0 * nearer * cos;
        let before = dot(screen.normal, own);
        let phase = surface.reflected_phase(face, cos, before * before);
        (-lost).exp() * interfered(wavelength_m, phase, further)
    }

    /// Interference with a wave reflected once at a floor or a ceiling.
    #[inline]
    pub(super) fn with_floor(
        &self,
        (scene, surfaces): (&Scene, &Surfaces),
        listener: ListenerEnd,
        ray: &Ray<'_>,
    ) -> f64 {
        let heights = ray.height_profile;
        let Some(event) = heights.events.iter().find(|event| event.bounce) else {
            return 0.0;
        };
        let place = ray.from + ray.span * event.t;
        let Some(floor) = scene.floors.over(event.sheet, place) else {
            return 0.0;
        };
        let wavelength_m = surfaces.frequency.wavelength().0;
        let (here, there) = (self.length.max(1e-9).recip(), ray.length.max(1e-9).recip());
        let level = ray.plan_length * (there - here);
        let cos = heights.travel * there;
        let from_below = heights.direction_at(0.0) > 0.0;
        let apart = |way: f64| {
            let rise = way * cos - self.rise * here;
            level * level + rise * rise
        };
        let apart = [0.0, 1.0].map(|end| apart(heights.direction_at(end)));
        let lost = lost(wavelength_m, (listener, PLACE_SIGMA_M), apart);
        let nearer = if from_below { floor.height - floor.underside } else { 0.0 };
        let further = ray.length - self.length - 2.0 * nearer * cos;
        let (own, face) = (self.rise * here, usize::from(from_below));
        let phase = surfaces.get(floor.part.surface).reflected_phase(face, cos, own * own);
        (-lost).exp() * interfered(wavelength_m, phase, further)
    }
}

/// The negative logarithm of what is left of the interference of two waves whose directions differ
/// at the ends of a path by vectors of the squares `apart2`; `sigma_m` is the standard deviation of
/// the place of the listener, metres.
#[inline]
fn lost(wavelength_m: f64, (listener, sigma_m): (ListenerEnd, f64), apart2: [f64; 2]) -> f64 {
    let [listener, device] = match listener {
        ListenerEnd::Near => apart2,
        ListenerEnd::Far => [apart2[1], apart2[0]],
    };
    let blurred = |sigma_m: f64| 0.5 * (TAU / wavelength_m * sigma_m).powi(2);
    blurred(sigma_m) * listener + (SPOT + blurred(PLACE_SIGMA_M)) * device
}

/// Twice the real part of a reflected wave over the direct one, both of amplitude one.
#[inline]
fn interfered(wavelength_m: f64, phase: nalgebra::Complex<f64>, further_m: f64) -> f64 {
    let (sin, cos) = (TAU / wavelength_m * further_m).sin_cos();
    // The real part of phase·e^{−jk·further}.
    2.0 * (phase.re * cos + phase.im * sin)
}
