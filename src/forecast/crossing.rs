//! What a path keeps of its power where it crosses a screen, passes an edge or goes round a block.
//!
//! A screen is a sheet whose amplitude transmission differs from place to place: the wall's, an
//! opening's, one where there is nothing. By Huygens' principle the field behind it is that of the
//! free path times the mean of the transmissions, each weighted with the share of the field that
//! comes through its place. For a strip or rectangle that share is a difference of knife-edge
//! fields (ITU-R P.526, the Fresnel-integral form), whose argument is ν = 2·√(Δ/λ) with Δ the
//! detour round the edge. So with the wall transmitting `T` and an opening transmitting `T'`,
//!
//! E = 1 + (T − 1)·W + Σ (T' − T)·W'
//!
//! where W and W' are the shares of wall and opening. A transparent wall gains nothing, far from
//! all edges the ray's loss is left, and swapping the ends of the path changes nothing. `T` is the
//! real amplitude: complex ones were no better against a full-wave solution, had the longer tail of
//! errors, and cannot be written into a ledger (`tests/forecast/README.md`).
//!
//! An obstacle does not lose 80 dB, since waves go round it: it counts as one sheet as wide as it
//! looks from the path, with free edges at both sides and at its top.

use radio::edge_field_fast;
use trace::{
    Block, CORNER_M, Facet, Hole, Joint, Part, Point, Ray, Screen, Silhouette, Strike, norm,
    reaches,
};

use super::surfaces::{Surface, Surfaces};
use nalgebra::Complex;

/// Share of the power that passes a screen where the ray meets it, edges left out; `None` where
/// the ray does not meet the screen.
#[inline]
#[must_use]
pub fn sharp(surfaces: &Surfaces, facet: &Facet<'_>, strike: &Strike) -> Option<f64> {
    let part = facet.screen.part_at(strike.s, strike.z)?;
    Some(surfaces.get(part.surface).transmitted(strike.cos_incidence))
}

/// Share of the power that passes a screen, with what goes round its edges and through its
/// openings; `None` where the screen makes no difference. `rounded` are the ends with a wall at
/// them which waves go round all the same ([`trace::Scene::is_rounded`]).
#[must_use]
pub fn soft(
    surfaces: &Surfaces,
    ray: &Ray<'_>,
    facet: &Facet<'_>,
    strike: &Strike,
    rounded: [bool; 2],
) -> Option<f64> {
    let screen = facet.screen;
    let bounded = bounds(screen, strike, rounded)?;
    if !bounded.contains(&true) && screen.holes.is_empty() {
        return sharp(surfaces, facet, strike);
    }
    let edges = EdgeView::new(surfaces, ray, facet, strike);
    let one = Complex::new(1.0, 0.0);
    let wall = surfaces.get(screen.body.surface).transmitted(strike.cos_incidence).sqrt();
    let body = edges.share(bounded, [0.0, screen.length], [screen.base, screen.top]);
    let mut field = one + body * (wall - 1.0);
    let mut weakest = wall;
    for hole in &screen.holes {
        let filled = surfaces.get(hole.part.surface).transmitted(strike.cos_incidence).sqrt();
        field += edges.opening(hole) * (filled - wall);
        weakest = weakest.min(filled);
    }
    // Two contributions may all but cancel at a point; the mean about it is never less than what
    // the heaviest part of the wall leaves by itself.
    Some(field.norm_sqr().max(weakest * weakest))
}

/// Share of the power that gets round a heavy screen through what its edges are joined to.
///
/// A metal wall under a light ceiling does not lose 60 dB: the wave bends over its top through the
/// ceiling, under it through the floor, and round its ends through the walls that it meets. Of each
/// such way the knife edge leaves a share, and of that what the joint lets out on one side of the
/// wall and in again on the other; nothing where it is metal, too. Powers are added, since these
/// ways differ by wavelengths.
pub(crate) fn round_joints(
    surfaces: &Surfaces,
    ray: &Ray<'_>,
    facet: &Facet<'_>,
    strike: &Strike,
) -> f64 {
    let screen = facet.screen;
    let edges = EdgeView::new(surfaces, ray, facet, strike);
    let mut passed = 0.0;
    for (edge, joint) in screen.joints.iter().enumerate() {
        if screen.free[edge] {
            continue;
        }
        let open = let_in(surfaces, joint);
        if open == 0.0 {
            continue;
        }
        passed += open * edges.past(edge).norm_sqr();
    }
    passed
}

/// Share of the power that bends round each end of a heavy screen whose joint there lets nothing
/// in: what passes outside the corner of a metal box.
pub(crate) fn round_corners(
    surfaces: &Surfaces,
    ray: &Ray<'_>,
    facet: &Facet<'_>,
    strike: &Strike,
) -> [f64; 2] {
    let screen = facet.screen;
    let edges = EdgeView::new(surfaces, ray, facet, strike);
    [0, 1].map(|end| {
        let joint = &screen.joints[end];
        let is_closed = !screen.free[end] && let_in(surfaces, joint) == 0.0;
        if !is_closed {
            return 0.0;
        }
        // Walls that go on outside are in the way.
        let met = joint.surfaces.iter().map(|surface| surfaces.get(*surface));
        let open: f64 = met.filter(|met| !met.is_heavy).map(Surface::passed_from_all).product();
        open * edges.past(end).norm_sqr()
    })
}

/// Share of the power that bends a second time, round another corner on the way from a first one
/// to the far end; `hidden` where that corner stands in the way.
pub(crate) fn round_second(
    surfaces: &Surfaces,
    [first, second, far]: [Point; 3],
    hidden: bool,
) -> f64 {
    let detour = norm(second - first) + norm(far - second) - norm(far - first);
    let scale = 4.0 / surfaces.frequency.wavelength().0;
    knife_edge(detour.max(0.0) * scale, hidden).norm_sqr().min(1.0)
}

/// What of a wave a joint lets through, 0 to 1: out through what lies on one side, in through what
/// lies on the other.
fn let_in(surfaces: &Surfaces, joint: &Joint) -> f64 {
    let ground = if joint.on_ground { GROUND_SEEP } else { 1.0 };
    joint.surfaces.iter().fold(ground, |open, surface| {
        let surface = surfaces.get(*surface);
        let seam = if joint.is_tight { 0.0 } else { SEAM };
        open * if surface.is_heavy { seam } else { surface.passed_from_all() }
    })
}

/// What gets through the seam between a metal ceiling and a metal wall that are not joined: foil
/// that ends at the wall, slots round leaves (one house solved with seams and without).
const SEAM: f64 = 0.15;

/// What gets through a slab that lies on the ground, under a wall, over what gets through one with
/// air below: −7 dB (full-wave cases of the shipped plans with soil, dry to medium; 0.1 to 0.3 do
/// as well).
const GROUND_SEEP: f64 = 0.2;

/// How open the box is that a heavy screen may be a side of, 0 to 1: the most open of its edges.
pub(crate) fn openness(surfaces: &Surfaces, screen: &Screen) -> f64 {
    let is_light = |part: &Part| !surfaces.get(part.surface).is_heavy;
    let opens = is_light(&screen.body) || screen.holes.iter().any(|hole| is_light(&hole.part));
    if opens || screen.free.contains(&true) {
        return 1.0;
    }
    screen.joints.iter().map(|joint| let_in(surfaces, joint)).fold(0.0, f64::max)
}

/// The edges of a screen that a ray which meets its plane feels, start, end, base and top; `None`
/// where the ray passes by the screen: below or above it, where another one goes on, or past an end
/// that it does not feel.
#[inline]
fn bounds(screen: &Screen, strike: &Strike, rounded: [bool; 2]) -> Option<[bool; 4]> {
    let [start, end, base, top] = screen.free;
    let passes = |is_past: bool, end: usize| {
        is_past && !screen.free[end] && !(rounded[end] && screen.abuts(end))
    };
    let is_by = (screen.is_below(strike.z) && !base)
        || (screen.is_above(strike.z) && !top)
        || passes(strike.s < -CORNER_M, 0)
        || passes(strike.s > screen.length + CORNER_M, 1);
    (!is_by).then_some([start || rounded[0], end || rounded[1], base, top])
}

/// The least that [`soft`] can give: what the heaviest part of the wall leaves; `None` where `soft`
/// gives none.
pub(crate) fn soft_at_least(
    surfaces: &Surfaces,
    facet: &Facet<'_>,
    strike: &Strike,
    rounded: [bool; 2],
) -> Option<f64> {
    let screen = facet.screen;
    let bounded = bounds(screen, strike, rounded)?;
    if !bounded.contains(&true) && screen.holes.is_empty() {
        return sharp(surfaces, facet, strike);
    }
    let amplitude = |surface| {
        let passed: f64 = surfaces.get(surface).transmitted(strike.cos_incidence);
        passed.sqrt()
    };
    let holes = screen.holes.iter().map(|hole| hole.part.surface);
    let weakest = holes.map(amplitude).fold(amplitude(screen.body.surface), f64::min);
    Some(weakest * weakest)
}

/// Share of the power that reaches the receiver past a block; `None` where it makes no difference.
///
/// The block counts as one sheet at its own middle, as wide as it looks from the path; what passes
/// through it loses two faces, and no more than one wall may.
pub(crate) fn round_block(
    surfaces: &Surfaces,
    ray: &Ray<'_>,
    block: &Block,
    seen: &Silhouette,
) -> Option<f64> {
    let z = ray.height_profile.height_at(seen.t);
    if (!reaches(block.base, z) && !block.free[0]) || (reaches(block.top, z) && !block.free[1]) {
        return None;
    }
    let face = surfaces.get(block.part.surface);
    let through = face.squared(1.0).sqrt();
    let scale = 4.0 / surfaces.frequency.wavelength().0;
    let beyond = |detour: f64, hidden: bool| knife_edge(detour * scale, hidden);
    let left = beyond(ray.post_detour(seen.left), seen.left_offset > 0.0);
    let right = beyond(ray.post_detour(seen.right), seen.right_offset < 0.0);
    let middle = Strike { t: seen.t, s: 0.0, z, across: ray.plan_length, cos_incidence: 1.0 };
    let mut upright = Complex::new(1.0, 0.0);
    if block.free[0] {
        upright -= beyond(ray.rail_detour(&middle, block.base), z > block.base);
    }
    if block.free[1] {
        upright -= beyond(ray.rail_detour(&middle, block.top), z < block.top);
    }
    let one = Complex::new(1.0, 0.0);
    let field = one + (one - left - right) * upright * (through - 1.0);
    Some(field.norm_sqr().max(through * through))
}

/// The field that comes past an edge, relative to the free path. `hidden` tells that the ray passes
/// on the side of the edge that the sheet covers. `nu_squared` is 4·Δ/λ.
#[inline]
fn knife_edge(nu_squared: f64, hidden: bool) -> Complex<f64> {
    let nu = nu_squared.sqrt();
    edge_field_fast(if hidden { nu } else { -nu })
}

struct EdgeView<'a> {
    ray: &'a Ray<'a>,
    facet: &'a Facet<'a>,
    strike: &'a Strike,
    per_wavelength: f64,
}

impl<'a> EdgeView<'a> {
    fn new(
        surfaces: &Surfaces,
        ray: &'a Ray<'a>,
        facet: &'a Facet<'a>,
        strike: &'a Strike,
    ) -> Self {
        Self { ray, facet, strike, per_wavelength: 4.0 / surfaces.frequency.wavelength().0 }
    }

    /// The field that comes past one of the screen's own edges: start, end, base or top.
    fn past(&self, edge: usize) -> Complex<f64> {
        let (screen, strike) = (self.facet.screen, self.strike);
        match edge {
            0 => self.post(0.0, strike.s > 0.0),
            1 => self.post(screen.length, strike.s < screen.length),
            2 => self.rail(screen.base, strike.z > screen.base),
            _ => self.rail(screen.top, strike.z < screen.top),
        }
    }

    /// Share of the field that comes through a rectangle of the screen. Its edges at start, end,
    /// base and top count only where `bounded` says so; on the other sides it goes on for ever.
    fn share(&self, bounded: [bool; 4], along: [f64; 2], heights: [f64; 2]) -> Complex<f64> {
        let one = Complex::new(1.0, 0.0);
        let s = self.strike.s;
        let mut level = one;
        if bounded[0] {
            level -= self.post(along[0], s > along[0]);
        }
        if bounded[1] {
            level -= self.post(along[1], s < along[1]);
        }
        let mut upright = one;
        if bounded[2] {
            upright -= self.rail(heights[0], self.strike.z > heights[0]);
        }
        if bounded[3] {
            upright -= self.rail(heights[1], self.strike.z < heights[1]);
        }
        level * upright
    }

    fn opening(&self, hole: &Hole) -> Complex<f64> {
        self.share(hole.edges, [hole.from, hole.to], [hole.base, hole.top])
    }

    fn post(&self, s: f64, hidden: bool) -> Complex<f64> {
        let detour = self.ray.post_detour(self.facet.point(s));
        knife_edge(detour * self.per_wavelength, hidden)
    }

    fn rail(&self, z: f64, hidden: bool) -> Complex<f64> {
        knife_edge(self.ray.rail_detour(self.strike, z) * self.per_wavelength, hidden)
    }
}
