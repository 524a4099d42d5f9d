//! One reflected path: its legs, its mirrors, and the screens that it crosses on the way.

use super::image::ImageTree;
use super::plane::{HalfPlane, Point, Unfolding, dot, norm};
use super::ray::{Facet, Ray, Strike};
use super::scene::Scene;
use super::screen::{CORNER_M, TOUCH_M};

/// A leg's own ends do not count as crossings; this fraction of the path is left out at either.
const LEG_END: f64 = 1e-10;

/// A straight stretch between two mirrors (or an end and a mirror), in the plan's own coordinates.
#[derive(Debug, Clone, Copy)]
pub struct Leg {
    /// Where it begins.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// Fraction of the path at which it begins.
    pub from_t: f64,
    /// Fraction of the path at which it ends.
    pub to_t: f64,
    /// Carries what stands along this leg over to the unfolded ray.
    pub unfolding: Unfolding,
    /// The mirror at which it begins.
    pub mirror_before: Option<u32>,
    /// The mirror at which it ends.
    pub mirror_after: Option<u32>,
}

/// Takes paths apart; keep one per thread, it owns the memory.
#[derive(Debug, Clone, Default)]
pub struct PathTracer {
    chain: Vec<u32>,
    /// Legs of the last path, from the transmitter to the receiver.
    pub legs: Vec<Leg>,
    nearby: Vec<u32>,
}

impl PathTracer {
    /// Finds the legs of the path from an image to a receiver. Returns whether there is one: the
    /// receiver must lie in the image's beam, and not on the centre line of its last mirror.
    pub fn unfold(&mut self, scene: &Scene, tree: &ImageTree, image: u32, to: Point) -> bool {
        tree.chain(image, &mut self.chain);
        self.legs.clear();
        let Some(source) = tree.images.get(image as usize).map(|image| image.position) else {
            return false;
        };
        let plan_length = norm(to - source);
        let mut end = to;
        let mut end_t = 1.0;
        let mut unfolding = Unfolding::default();
        let mut mirror_after = None;
        for id in self.chain.iter().rev() {
            let image = tree.images[*id as usize];
            let Some(mirror) = image.mirror else {
                break;
            };
            let screen = &scene.screens[mirror as usize];
            let offset = image.side * screen.offset(end);
            // Off the very corner of two mirrors there is no path, whichever way rounding goes.
            let least = if mirror_after.is_none() { TOUCH_M } else { CORNER_M };
            if offset <= least {
                return false;
            }
            let facet = Facet::new(screen, &Unfolding::default());
            let span = end - image.position;
            let t = dot(facet.normal, facet.start - image.position) / dot(facet.normal, span);
            let place = image.position + span * t;
            let s = dot(facet.along, place - facet.start);
            // A path off the very end of a mirror is there, whichever way rounding goes.
            let beside = s < image.aperture.0 - CORNER_M || s > image.aperture.1 + CORNER_M;
            if !(0.0..=1.0).contains(&t) || beside {
                return false;
            }
            let from_t = end_t * t;
            self.legs.push(Leg {
                from: place,
                to: end,
                from_t,
                to_t: end_t,
                unfolding,
                mirror_before: Some(mirror),
                mirror_after,
            });
            unfolding = Unfolding::reflection(screen.start, screen.normal).then(&unfolding);
            (end, end_t, mirror_after) = (place, from_t, Some(mirror));
        }
        let start = tree.images[0].position;
        if plan_length < CORNER_M {
            end_t = 1.0;
        }
        self.legs.push(Leg {
            from: start,
            to: end,
            from_t: 0.0,
            to_t: end_t,
            unfolding,
            mirror_before: None,
            mirror_after,
        });
        self.legs.reverse();
        true
    }

    /// Calls `visit` with every screen that the unfolded ray meets within the screen's reach, with
    /// the leg on which it does. The order is the plan's, leg by leg.
    pub fn crossings(
        &mut self,
        scene: &Scene,
        ray: &Ray<'_>,
        soft: bool,
        mut visit: impl FnMut(u32, &Facet<'_>, Strike),
    ) {
        let last = self.legs.len().saturating_sub(1);
        for (number, leg) in self.legs.iter().enumerate() {
            self.nearby.clear();
            self.nearby.extend(scene.index.along(leg.from, leg.to));
            self.nearby.sort_unstable();
            for id in &self.nearby {
                if Some(*id) == leg.mirror_before || Some(*id) == leg.mirror_after {
                    continue;
                }
                let screen = &scene.screens[*id as usize];
                if soft && screen.block.is_some() {
                    continue;
                }
                let facet = Facet::new(screen, &leg.unfolding);
                let ends = (number == 0, number == last);
                let strike = leg.strike(ray, &facet, ends);
                let reach = screen.reach(soft, last == 0);
                if let Some(strike) = strike
                    && strike.s >= reach.0 - CORNER_M
                    && strike.s <= reach.1 + CORNER_M
                {
                    visit(*id, &facet, strike);
                }
            }
        }
    }
}

impl Leg {
    /// Where the ray crosses a facet on this leg. `ends` tells whether the leg begins at the
    /// transmitter and whether it ends at the receiver: a device on a wall's centre line does not
    /// cross that wall.
    fn strike(&self, ray: &Ray<'_>, facet: &Facet<'_>, ends: (bool, bool)) -> Option<Strike> {
        let before = dot(facet.normal, ray.from - facet.start);
        let after = dot(facet.normal, ray.to - facet.start);
        let touches = (ends.0 && before.abs() <= TOUCH_M) || (ends.1 && after.abs() <= TOUCH_M);
        let runs_along = (after - before).abs() <= CORNER_M;
        if touches || runs_along || before * after >= 0.0 {
            return None;
        }
        let strike = ray.strike(facet);
        (strike.t > self.from_t + LEG_END && strike.t < self.to_t - LEG_END).then_some(strike)
    }
}

/// The half planes that bound one leg of every path of an image, in unfolded coordinates, with the
/// unfolding that carries the leg's surroundings over.
#[derive(Debug, Clone)]
pub struct LegSpace {
    /// Carries what stands along the leg over to the unfolded rays.
    pub unfolding: Unfolding,
    /// Where the leg may run: beyond its first mirror, before its second.
    pub bounds: Vec<HalfPlane>,
    /// The mirror at which it begins.
    pub mirror_before: Option<u32>,
    /// The mirror at which it ends.
    pub mirror_after: Option<u32>,
}

/// The spaces of all legs of an image's paths, the transmitter's first.
#[must_use]
pub fn leg_spaces(scene: &Scene, tree: &ImageTree, image: u32) -> Vec<LegSpace> {
    let mut chain = Vec::new();
    tree.chain(image, &mut chain);
    let source = tree.images[image as usize].position;
    let mut spaces: Vec<LegSpace> = Vec::with_capacity(chain.len());
    let mut unfolding = Unfolding::default();
    let mut mirror_after: Option<u32> = None;
    let mut before_after: Option<HalfPlane> = None;
    for id in chain.iter().rev() {
        let mirror_before = tree.images[*id as usize].mirror;
        let mut bounds: Vec<HalfPlane> = before_after.into_iter().collect();
        if let Some(mirror) = mirror_before {
            let facet = Facet::new(&scene.screens[mirror as usize], &unfolding);
            let towards_source = dot(facet.normal, source - facet.start).signum();
            bounds.push(HalfPlane::facing(facet.start, facet.normal * -towards_source));
            before_after = Some(HalfPlane::facing(facet.start, facet.normal * towards_source));
        }
        spaces.push(LegSpace { unfolding, bounds, mirror_before, mirror_after });
        if let Some(mirror) = mirror_before {
            let screen = &scene.screens[mirror as usize];
            unfolding = Unfolding::reflection(screen.start, screen.normal).then(&unfolding);
        }
        mirror_after = mirror_before;
    }
    spaces.reverse();
    spaces
}
