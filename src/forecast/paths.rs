//! All paths between two points: what each keeps of its power, and the ledger of the direct one.

use super::crossing::{
    openness, round_block, round_corners, round_joints, sharp, soft, soft_at_least,
};
use super::model::{Adding, Edges, Model};
use super::sum::{Direct, PathSum, SCATTERED};
use super::surfaces::{CrossingLoss, Surfaces};
use trace::{
    AIR, CORNER_M, Facet, HeightProfile, Image, ImageTree, Leg, Part, PathTracer, Point,
    REACH_BEYOND_FREE_END_M, Ray, Scene, Strike, Unfolding,
};
use units::{Db, PowerRatio};

/// The scene at one frequency, with the settings that a path's gain depends on.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// The plan as the tracer sees it.
    pub scene: &'a Scene,
    /// Its surfaces at the frequency.
    pub surfaces: &'a Surfaces,
    /// The settings.
    pub model: &'a Model,
    /// Whether only the least that waves round edges can bring is asked for: a bound from below
    /// that is cheap, for searches.
    pub at_least: bool,
}

/// One path between two points.
#[derive(Debug, Clone, PartialEq)]
pub struct PathGain {
    /// Its image in the tree.
    pub image: u32,
    /// Which of the ways to gain height ([`HeightProfile::all`]).
    pub height_profile: usize,
    /// Reflections at walls and floors.
    pub order: u8,
    /// Unfolded length, metres.
    pub length_m: f64,
    /// What the walls, floors and mirrors leave of the power; free space is not in it.
    pub interaction: PowerRatio,
}

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

/// One wall or floor on the direct path.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossing {
    /// Id of the feature.
    pub feature: String,
    /// Name of its construction.
    pub construction: String,
    /// Angle of incidence, degrees from the normal.
    pub incidence_deg: f64,
    /// Loss of the ideal slab.
    pub slab: Db,
    /// Excess of the typical construction.
    pub excess: Db,
    /// Spread of the excess.
    pub spread: Db,
    /// Fraction of the path at which it is met, from the transmitter.
    pub t: f64,
}

/// One wall or floor on the direct path, by number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossed {
    /// What it belongs to and consists of.
    pub part: Part,
    /// Cosine of the angle of incidence.
    pub cos_incidence: f64,
    /// What it loses.
    pub loss: CrossingLoss,
    /// Spread of the excess.
    pub spread: Db,
    /// Fraction of the path at which it is met, from the transmitter.
    pub t: f64,
}

/// Scratch memory of a thread that follows paths.
#[derive(Debug, Clone, Default)]
pub struct Follower {
    tracer: PathTracer,
    met: Vec<Met>,
    crossed: Vec<(Crossed, bool)>,
}

#[derive(Debug, Clone, Copy)]
struct Met {
    t: f64,
    at_end: bool,
    passed: Passed,
    screen: u32,
    corners: [f64; 2],
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
/// them meets the next one away from its shadow. So the worst counts in full and the others half, in
/// decibels; of free-standing blocks only the worst counts (full-wave cases of the shipped plans).
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
    /// A heavy screen that was met, an index into [`Scene::screens`].
    pub met: Option<u32>,
}

impl Kept {
    /// Nothing is left.
    pub const NOTHING: Self = Self { light: 0.0, heavy: 1.0, worst: 1.0, openness: 1.0, met: None };

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
            Adding::Waves if self.heavy == 1.0 => self.light,
            Adding::Waves => self.light * (self.worst * self.heavy).sqrt(),
        }
    }
}

impl View<'_> {
    /// Whether edges are soft.
    #[must_use]
    pub fn is_soft(&self) -> bool {
        self.model.openings == Edges::Soft
    }

    /// What passes a screen which the ray meets; `None` where the screen makes no difference.
    #[inline]
    pub(super) fn passed(
        &self,
        ray: &Ray<'_>,
        facet: &Facet<'_>,
        strike: &Strike,
    ) -> Option<Passed> {
        let share = if !self.is_soft() {
            sharp(self.surfaces, facet, strike)?
        } else if self.at_least {
            soft_at_least(self.surfaces, facet, strike)?
        } else {
            soft(self.surfaces, ray, facet, strike)?
        };
        let screen = facet.screen;
        let met = screen.part_at(strike.s, strike.z).unwrap_or(screen.body);
        if self.model.adding == Adding::Powers || !self.surfaces.get(met.surface).is_heavy {
            return Some(Passed { share, is_heavy: false, openness: 1.0 });
        }
        let round = if self.is_soft() && !self.at_least {
            round_joints(self.surfaces, ray, facet, strike)
        } else {
            0.0
        };
        let openness = openness(self.surfaces, screen);
        Some(Passed { share: (share + round).min(1.0), is_heavy: true, openness })
    }

    /// Power gain of free space over a distance, (λ/4πd)² (ITU-R P.525), at most one.
    #[inline]
    #[must_use]
    pub fn spreading(&self, length_m: f64) -> f64 {
        let near = self.surfaces.frequency.wavelength().0 / (4.0 * std::f64::consts::PI);
        let ratio = near / length_m.max(near);
        ratio * ratio
    }

    /// What walls, floors and mirrors leave of the power of one path, linear; `None` if there is no
    /// such path.
    pub fn interaction(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        image: u32,
        height_profile: &HeightProfile,
        to: Point,
    ) -> Option<f64> {
        let kept = self.kept(follower, tree, image, height_profile, to)?;
        Some(kept.power(self.model.adding))
    }

    /// What walls, floors and mirrors leave of one path; `None` if there is no such path.
    pub(super) fn kept(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        image: u32,
        height_profile: &HeightProfile,
        to: Point,
    ) -> Option<Kept> {
        if !follower.tracer.unfold(self.scene, tree, image, to) {
            return None;
        }
        let source = tree.images.get(image as usize)?.position;
        let ray = Ray::new(source, to, height_profile);
        let mirror = |leg: &Leg| {
            let screen = self.scene.screens.get(leg.mirror_before? as usize)?;
            Some(Facet::new(screen, &leg.unfolding))
        };
        let mirrors = self.mirrored(follower.tracer.legs.iter().filter_map(mirror), &ray)?;
        let floors = self.floors(tree, image, &ray)?;
        let mut kept = Kept::new(mirrors * floors);
        self.walls(follower, &ray, &mut kept);
        if self.is_soft() {
            kept.pass(self.blocks(follower, &ray));
        }
        Some(kept)
    }

    /// What the mirrors leave of the power, linear; `None` where the path strikes beside one.
    #[inline]
    pub(super) fn mirrored<'f>(
        &self,
        mirrors: impl Iterator<Item = Facet<'f>>,
        ray: &Ray<'_>,
    ) -> Option<f64> {
        let mut gain = 1.0;
        for mirror in mirrors {
            let strike = ray.strike(&mirror);
            let part = mirror.screen.part_at(strike.s, strike.z)?;
            gain *= self.surfaces.get(part.surface).reflected(strike.cos_incidence);
        }
        (gain > 0.0).then_some(gain)
    }

    /// What the floors on the way leave; `None` if the path should be reflected where no floor is.
    pub(super) fn floors(&self, tree: &ImageTree, image: u32, ray: &Ray<'_>) -> Option<f64> {
        let mut gain = 1.0;
        let cos = if ray.length > 0.0 { ray.height_profile.travel / ray.length } else { 1.0 };
        for event in &ray.height_profile.events {
            let floor = &self.scene.floors[event.floor as usize];
            let place = fold(self.scene, tree, image, ray.from + ray.span * event.t);
            let covered = floor.covers(place);
            let surface = self.surfaces.get(floor.part.surface);
            match (event.bounce, covered) {
                (true, true) => gain *= surface.reflected(cos),
                (true, false) => return None,
                (false, true) => gain *= surface.transmitted(cos),
                (false, false) => {}
            }
        }
        (gain > 0.0).then_some(gain)
    }

    fn walls(&self, follower: &mut Follower, ray: &Ray<'_>, kept: &mut Kept) {
        let Follower { tracer, met, .. } = follower;
        met.clear();
        let is_soft = self.is_soft();
        let mut heavy = 0;
        tracer.crossings(self.scene, ray, is_soft, |screen, facet, strike| {
            let Some(passed) = self.passed(ray, facet, &strike) else {
                return;
            };
            let at_end = near_end(strike.s, facet.screen.length);
            let bends = passed.is_heavy && is_soft && !self.at_least;
            heavy += usize::from(bends);
            let corners = if bends { round_corners(self.surfaces, ray, facet) } else { [0.0; 2] };
            met.push(Met { t: strike.t, at_end, passed, screen, corners });
        });
        merge_corners(met, ray.plan_length);
        if heavy > 1 {
            for number in 0..met.len() {
                let one = met[number];
                let round =
                    |end: &usize| met.iter().any(|other| self.is_one_box(&one, *end, other));
                let outside: f64 = (0..2).filter(round).map(|end| one.corners[end]).sum();
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

    fn blocks(&self, follower: &Follower, ray: &Ray<'_>) -> Passed {
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

    /// All paths from the tree's transmitter to a receiver, the direct one first.
    pub fn paths(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        heights: (f64, f64),
        to: Point,
    ) -> Vec<PathGain> {
        let height_profiles =
            HeightProfile::all(&self.scene.floors, heights.0, heights.1, self.model.reflections);
        let mut paths = Vec::new();
        self.each_path(follower, tree, &height_profiles, to, |path| paths.push(path));
        paths
    }

    #[inline]
    fn each_path(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        height_profiles: &[HeightProfile],
        to: Point,
        mut visit: impl FnMut(PathGain),
    ) {
        for (image, id) in tree.images.iter().zip(0u32..) {
            for (number, height_profile) in height_profiles.iter().enumerate() {
                let order = image.order + height_profile.order;
                if order > self.model.reflections {
                    continue;
                }
                if let Some(kept) = self.interaction(follower, tree, id, height_profile, to) {
                    visit(PathGain {
                        image: id,
                        height_profile: number,
                        order,
                        length_m: Ray::new(image.position, to, height_profile).length,
                        interaction: PowerRatio(kept),
                    });
                }
            }
        }
    }

    /// Power gain of all paths together, relative to an isotropic transmitter's, without a list of
    /// them. `height_profiles` are all ways from the transmitter's height to the receiver's.
    pub fn gain(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        height_profiles: &[HeightProfile],
        to: Point,
    ) -> PowerRatio {
        PowerRatio(self.sum(follower, tree, height_profiles, to).total())
    }

    /// The parts of [`View::gain`].
    pub fn sum(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        height_profiles: &[HeightProfile],
        to: Point,
    ) -> PathSum {
        let mut sum = PathSum::default();
        let Some(from) = tree.images.first().map(|image| image.position) else {
            return sum;
        };
        let waves = self.model.adding == Adding::Waves;
        let direct = height_profiles.first().map(|heights| Direct::new(from, to, heights));
        let mut direct_gain = 0.0;
        for (image, id) in tree.images.iter().zip(0u32..) {
            for height_profile in height_profiles {
                let order = image.order + height_profile.order;
                if order > self.model.reflections {
                    continue;
                }
                let Some(kept) = self.kept(follower, tree, id, height_profile, to) else {
                    continue;
                };
                let ray = Ray::new(image.position, to, height_profile);
                let gain = kept.power(self.model.adding) * self.spreading(ray.length);
                sum.powers += gain;
                let Some(direct) = direct.filter(|_| waves) else {
                    continue;
                };
                if order == 0 {
                    direct_gain = gain;
                    sum.scattered = self.scattered(&kept) * self.spreading(ray.length);
                } else if order == 1 && direct_gain > 0.0 {
                    sum.waves +=
                        (direct_gain * gain).sqrt() * self.interference(&direct, image, &ray);
                }
            }
        }
        sum
    }

    /// Scattered power at the receiver of a direct path, over that of free space: what the walls on
    /// the way do not let through arrives in part by other ways, where no closed box holds it off.
    #[inline]
    pub(super) fn scattered(&self, direct: &Kept) -> f64 {
        if self.at_least {
            return 0.0;
        }
        let held_back = (1.0 - direct.power(self.model.adding)).max(0.0);
        SCATTERED * direct.openness * held_back
    }

    /// Interference of a path reflected once with the direct wave, over the root of the product of
    /// their powers.
    #[inline]
    pub(super) fn interference(&self, direct: &Direct, image: &Image, ray: &Ray<'_>) -> f64 {
        let Some(screen) = image.mirror.and_then(|id| self.scene.screens.get(id as usize)) else {
            return direct.with_floor(self, ray);
        };
        let strike = ray.strike(&Facet::new(screen, &Unfolding::default()));
        let Some(part) = screen.part_at(strike.s, strike.z) else {
            return 0.0;
        };
        let surface = self.surfaces.get(part.surface);
        direct.with_wall(self, ray, (screen, surface, strike.cos_incidence))
    }

    /// What the direct path crosses, edges left out, in order from the transmitter.
    pub fn crossings(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        height_profile: &HeightProfile,
        to: Point,
    ) -> Vec<Crossing> {
        self.crossed(follower, tree, height_profile, to)
            .map(|crossed| self.named(crossed))
            .collect()
    }

    /// What the direct path crosses, as [`View::crossings`], without names and without new memory.
    pub fn crossed<'f>(
        &self,
        follower: &'f mut Follower,
        tree: &ImageTree,
        height_profile: &HeightProfile,
        to: Point,
    ) -> impl Iterator<Item = &'f Crossed> + use<'f> {
        let Follower { tracer, crossed, .. } = follower;
        crossed.clear();
        if let Some(source) = tree.images.first().map(|image| image.position)
            && tracer.unfold(self.scene, tree, 0, to)
        {
            self.cross(tracer, crossed, &Ray::new(source, to, height_profile));
        }
        crossed.iter().map(|(crossed, _)| crossed)
    }

    fn cross(&self, tracer: &mut PathTracer, crossed: &mut Vec<(Crossed, bool)>, ray: &Ray<'_>) {
        tracer.crossings(self.scene, ray, false, |_, facet, strike| {
            if let Some(part) = facet.screen.part_at(strike.s, strike.z) {
                let at_end = near_end(strike.s, facet.screen.length);
                crossed.push((self.lost(part, strike.cos_incidence, strike.t), at_end));
            }
        });
        let height_profile = ray.height_profile;
        let cos = if ray.length > 0.0 { height_profile.travel / ray.length } else { 1.0 };
        for event in &height_profile.events {
            let floor = &self.scene.floors[event.floor as usize];
            if floor.covers(ray.from + ray.span * event.t) {
                crossed.push((self.lost(floor.part, cos, event.t), false));
            }
        }
        let feature = |crossed: &Crossed| &self.scene.features[crossed.part.feature as usize];
        crossed
            .sort_by(|a, b| a.0.t.total_cmp(&b.0.t).then_with(|| feature(&a.0).cmp(feature(&b.0))));
        keep_heavier(
            crossed,
            ray.plan_length,
            |x| (x.0.t, x.1),
            |x| (x.0.loss.slab + x.0.loss.excess).0,
        );
        crossed.retain(|x| x.0.part.surface != AIR);
    }

    fn lost(&self, part: Part, cos_incidence: f64, t: f64) -> Crossed {
        let surface = self.surfaces.get(part.surface);
        Crossed {
            part,
            cos_incidence,
            loss: surface.loss(cos_incidence),
            spread: surface.spread,
            t,
        }
    }

    fn named(&self, crossed: &Crossed) -> Crossing {
        Crossing {
            feature: self.scene.features[crossed.part.feature as usize].clone(),
            construction: self.surfaces.get(crossed.part.surface).name.clone(),
            incidence_deg: crossed.cos_incidence.clamp(0.0, 1.0).acos().to_degrees(),
            slab: crossed.loss.slab,
            excess: crossed.loss.excess,
            spread: crossed.spread,
            t: crossed.t,
        }
    }
}

/// Where a point of the unfolded ray really lies: reflected back for every mirror that it is
/// behind.
#[inline]
fn fold(scene: &Scene, tree: &ImageTree, image: u32, mut place: Point) -> Point {
    let mut image: &Image = &tree.images[image as usize];
    while let Some(mirror) = image.mirror {
        let screen = &scene.screens[mirror as usize];
        if image.side * screen.offset(place) >= 0.0 {
            break;
        }
        place = Unfolding::reflection(screen.start, screen.normal).point(place);
        image = &tree.images[image.parent.unwrap_or(0) as usize];
    }
    place
}

fn near_end(s: f64, length: f64) -> bool {
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

fn keep_heavier<T>(
    met: &mut Vec<T>,
    plan_length: f64,
    place: impl Fn(&T) -> (f64, bool),
    weight: impl Fn(&T) -> f64,
) {
    met.dedup_by(|later, earlier| {
        let ((t, end), (earlier_t, earlier_end)) = (place(later), place(earlier));
        let together = (t - earlier_t) * plan_length <= 2.0 * CORNER_M && (end || earlier_end);
        if together && weight(later) > weight(earlier) {
            std::mem::swap(later, earlier);
        }
        together
    });
}
