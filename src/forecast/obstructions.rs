//! What stands in the way of one path: screens, corners and blocks, and what they leave together.

use super::crossing::{
    openness, round_block, round_corners, round_joints, round_second, sharp, soft, soft_at_least,
};
use super::model::Adding;
use super::paths::{Follower, View};
use trace::{CORNER_M, Facet, Point, REACH_BEYOND_FREE_END_M, Ray, Strike, Unfolding, cross};

/// One leg of a path, as far as blocks matter.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch<'a> {
    /// Carries what stands along it over to the unfolded ray.
    pub unfolding: &'a Unfolding,
    /// Fractions of the ray at which it begins and ends.
    pub span: (f64, f64),
    /// The mirrors at which it begins and ends.
    pub mirrors: [Option<u32>; 2],
    /// The devices at which it begins and ends, in the plan's coordinates.
    pub device_at: [Option<Point>; 2],
}

/// One screen that a path meets.
#[derive(Debug, Clone, Copy)]
pub(super) struct Met {
    t: f64,
    at_end: bool,
    passed: Passed,
    screen: u32,
    corners: [f64; 2],
    /// Its ends, as they stand beside the unfolded ray.
    ends: [Point; 2],
}

/// What passes one screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Passed {
    /// Share of the power, linear.
    pub share: f64,
    /// Whether it is a heavy one, see [`Kept`].
    pub is_heavy: bool,
    /// How open the box is that a heavy one may be a side of, 0 to 1.
    pub openness: f64,
}

/// What walls, floors and mirrors leave of the power along one path.
///
/// Sheets of metal one behind the other are not independent: whatever has bent round the worst of
/// them meets the next one away from its shadow. So the worst counts in full and the others half,
/// in decibels; of free-standing blocks only the worst counts (full-wave cases of the shipped
/// plans).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Kept {
    /// Share of the power that all but heavy things leave.
    pub light: f64,
    /// That of all heavy things together.
    pub heavy: f64,
    /// That of the worst of them.
    pub worst: f64,
    /// How open the most closed box is that is met, 0 to 1.
    pub openness: f64,
    /// Whether a heavy screen was met already: for tracers that meet screens one by one.
    pub is_behind_heavy: bool,
}

impl Kept {
    /// Nothing is left.
    pub const NOTHING: Self =
        Self { light: 0.0, heavy: 1.0, worst: 1.0, openness: 1.0, is_behind_heavy: false };

    /// A path that has met nothing but mirrors and floors.
    #[inline]
    pub fn new(light: f64) -> Self {
        Self { light, ..Self::NOTHING }
    }

    /// Passes a screen.
    #[inline]
    pub fn pass(&mut self, passed: Passed) {
        if passed.is_heavy {
            self.heavy *= passed.share;
            self.worst = self.worst.min(passed.share);
            self.openness = self.openness.min(passed.openness);
        } else {
            self.light *= passed.share;
        }
    }

    /// Share of the power, linear.
    #[inline]
    pub fn power(&self, adding: Adding) -> f64 {
        match adding {
            Adding::Powers => self.light * self.heavy,
            Adding::Waves => self.light * self.past_heavy(),
        }
    }

    /// Share of the power that all heavy things leave as waves, linear.
    #[inline]
    pub fn past_heavy(&self) -> f64 {
        if self.heavy == 1.0 { 1.0 } else { (self.worst * self.heavy).sqrt() }
    }
}

impl View<'_> {
    /// What passes a screen which the ray meets; `None` where the screen makes no difference.
    /// `straight` says that the ray is not reflected at any wall: only then does it go round ends
    /// that are joined to others. (Reflected ones as well was no better against the full wave.)
    #[inline]
    pub(super) fn passed(
        &self,
        ray: &Ray<'_>,
        facet: &Facet<'_>,
        strike: &Strike,
        straight: bool,
    ) -> Option<Passed> {
        let is_light = || !self.surfaces.get(facet.screen.body.surface).is_heavy;
        let rounded = if straight && self.is_soft() && is_light() {
            [0, 1].map(|end| self.scene.is_rounded(facet.screen, end, ray))
        } else {
            [false; 2]
        };
        let bundled = self.bundled(strike.cos_incidence, ray.length);
        let strike = &Strike { cos_incidence: bundled, ..*strike };
        let share = if !self.is_soft() {
            sharp(self.surfaces, facet, strike)?
        } else if self.at_least {
            soft_at_least(self.surfaces, facet, strike, rounded)?
        } else {
            soft(self.surfaces, ray, facet, strike, rounded)?
        };
        let screen = facet.screen;
        let met = screen.part_at(strike.s, strike.z).unwrap_or(screen.body);
        let by_ray = !self.is_soft() || self.model.adding == Adding::Powers;
        if by_ray || !self.surfaces.get(met.surface).is_heavy {
            return Some(Passed { share, is_heavy: false, openness: 1.0 });
        }
        let round =
            if self.at_least { 0.0 } else { round_joints(self.surfaces, ray, facet, strike) };
        let openness = openness(self.surfaces, screen);
        Some(Passed { share: (share + round).min(1.0), is_heavy: true, openness })
    }

    /// Passes all walls that a path meets.
    pub(super) fn walls(&self, follower: &mut Follower, ray: &Ray<'_>, kept: &mut Kept) {
        let Follower { tracer, met, .. } = follower;
        met.clear();
        let (is_soft, straight) = (self.is_soft(), tracer.legs.len() == 1);
        let mut heavy = 0;
        tracer.crossings(self.scene, ray, is_soft, |screen, facet, strike| {
            let Some(passed) = self.passed(ray, facet, &strike, straight) else {
                return;
            };
            let at_end = near_end(strike.s, facet.screen.length);
            let bends = passed.is_heavy && is_soft && !self.at_least;
            heavy += usize::from(bends);
            let corners =
                if bends { round_corners(self.surfaces, ray, facet, &strike) } else { [0.0; 2] };
            let ends = [0.0, facet.screen.length].map(|s| facet.point(s));
            met.push(Met { t: strike.t, at_end, passed, screen, corners, ends });
        });
        merge_corners(met, ray.plan_length);
        if heavy > 1 {
            for number in 0..met.len() {
                let one = met[number];
                let outside = |end: usize| {
                    let others = met.iter().filter(|other| self.is_one_box(&one, end, other));
                    let bends = others.map(|other| self.second_bend(ray, &one, end, other));
                    bends.reduce(f64::min).map_or(0.0, |bend| one.corners[end] * bend)
                };
                let outside = outside(0) + outside(1);
                met[number].passed.share = (one.passed.share + outside).min(1.0);
            }
        }
        for one in met.iter() {
            // Of equal ones that with the lower number counts, from whichever end the path comes.
            let is_outdone = |by: &Met| {
                let (worse, own) = (by.passed.share, one.passed.share);
                let is_worse = if (worse - own).abs() <= 1e-9 * own {
                    by.screen < one.screen
                } else {
                    worse < own
                };
                is_worse && (0..2).any(|end| self.is_one_box(one, end, by))
            };
            // Two sides of one box are one thing to go round.
            if heavy > 1 && one.passed.is_heavy && met.iter().any(is_outdone) {
                kept.openness = kept.openness.min(one.passed.openness);
            } else {
                kept.pass(one.passed);
            }
        }
    }

    /// Whether a path that meets two heavy screens goes round both at this end of the first.
    fn is_one_box(&self, one: &Met, end: usize, other: &Met) -> bool {
        let screen = |met: &Met| &self.scene.screens[met.screen as usize];
        one.passed.is_heavy
            && other.passed.is_heavy
            && screen(one).is_rounded_with(one.screen, end, (other.screen, screen(other)))
    }

    /// What is left where a path that has bent round an end of one side of a box must bend round
    /// another side, too.
    fn second_bend(&self, ray: &Ray<'_>, one: &Met, end: usize, other: &Met) -> f64 {
        let screen = |met: &Met| &self.scene.screens[met.screen as usize];
        if screen(one).joints[end].screens.contains(&other.screen) {
            return 1.0;
        }
        let side = screen(one).side_to(one.screen, end, screen(other));
        let Some(at) = side else { return 1.0 };
        let (first, second, rest) = (one.ends[end], other.ends[at], other.ends[1 - at]);
        let far = if one.t < other.t { ray.to } else { ray.from };
        let beside = |p: Point| cross(far - first, p - first);
        let hidden = beside(second) * beside(rest) < 0.0;
        round_second(self.surfaces, [first, second, far], hidden)
    }

    /// What the blocks on a path leave.
    pub(super) fn blocks(&self, follower: &Follower, ray: &Ray<'_>) -> Passed {
        let legs = &follower.tracer.legs;
        let last = legs.len().saturating_sub(1);
        let mut gain = 1.0;
        for (number, leg) in legs.iter().enumerate() {
            let stretch = Stretch {
                unfolding: &leg.unfolding,
                span: (leg.from_t, leg.to_t),
                mirrors: [leg.mirror_before, leg.mirror_after],
                device_at: [(number == 0).then_some(leg.from), (number == last).then_some(leg.to)],
            };
            gain = self.with_block(gain, self.past_blocks(ray, &stretch));
        }
        self.past(gain)
    }

    /// What several blocks leave: the worst of them, or all by themselves.
    #[inline]
    pub(super) fn with_block(&self, gain: f64, block: f64) -> f64 {
        match self.model.adding {
            Adding::Waves => gain.min(block),
            Adding::Powers => gain * block,
        }
    }

    /// The blocks on a path as one thing that is passed.
    #[inline]
    pub(super) fn past(&self, share: f64) -> Passed {
        let is_heavy = self.model.adding == Adding::Waves && share < 1.0;
        Passed { share, is_heavy, openness: 1.0 }
    }

    /// What blocks leave of the power along one leg, linear.
    ///
    /// A device inside a block has one face before it; the block that a leg is reflected at does
    /// not stand in its way besides.
    #[inline]
    pub(super) fn past_blocks(&self, ray: &Ray<'_>, leg: &Stretch<'_>) -> f64 {
        let block_of = |mirror: Option<u32>| self.scene.screens.get(mirror? as usize)?.block;
        let own = leg.mirrors.map(block_of);
        let mut gain = 1.0;
        for (block, id) in self.scene.blocks.iter().zip(0u32..) {
            let reach = REACH_BEYOND_FREE_END_M;
            let Some(seen) = ray.silhouette(block, leg.unfolding, leg.span, reach) else {
                continue;
            };
            if own.contains(&Some(id)) {
                continue;
            }
            let holds = |end: Option<Point>, t: f64| {
                end.is_some_and(|at| block.holds(at, ray.height_profile.height_at(t)))
            };
            match (holds(leg.device_at[0], 0.0), holds(leg.device_at[1], 1.0)) {
                (true, true) => {}
                (false, false) => {
                    let past = if self.at_least {
                        self.surfaces.get(block.part.surface).squared(1.0)
                    } else {
                        round_block(self.surfaces, ray, block, &seen).unwrap_or(1.0)
                    };
                    gain = self.with_block(gain, past);
                }
                _ => {
                    let out = self.surfaces.get(block.part.surface).transmitted(1.0);
                    gain = self.with_block(gain, out);
                }
            }
        }
        gain
    }
}

pub(super) fn near_end(s: f64, length: f64) -> bool {
    s.abs() <= CORNER_M || (s - length).abs() <= CORNER_M
}

/// Walls that a path meets at one place, at the end of at least one of them, are one mass: of such
/// only the heaviest counts.
fn merge_corners(met: &mut Vec<Met>, plan_length: f64) {
    if met.len() > 1 && met.iter().any(|met| met.at_end) {
        met.sort_by(|a, b| a.t.total_cmp(&b.t));
        keep_heavier(met, plan_length, |met| (met.t, met.at_end), |met| -met.passed.share);
    }
}

/// Of several things met at one place, at the end of at least one of them, keeps the heaviest.
pub(super) fn keep_heavier<T>(
    met: &mut Vec<T>,
    plan_length: f64,
    place: impl Fn(&T) -> (f64, bool),
    weight: impl Fn(&T) -> f64,
) {
    let together =
        |one: &T, next: &T| (place(next).0 - place(one).0).abs() * plan_length <= 2.0 * CORNER_M;
    // Rounding puts what is met at one place in any order.
    let mut first = 0;
    while first < met.len() {
        let more = met[first..].windows(2).take_while(|pair| together(&pair[0], &pair[1]));
        let next = first + 1 + more.count();
        if met[first..next].iter().any(|one| place(one).1) {
            let outweighs = |a: &usize, b: &usize| weight(&met[*a]).total_cmp(&weight(&met[*b]));
            let heaviest = (first..next).rev().max_by(outweighs).unwrap_or(first);
            met.swap(first, heaviest);
            met.drain(first + 1..next);
            first += 1;
        } else {
            first = next;
        }
    }
}
