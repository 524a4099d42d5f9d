//! All paths between two points: what each keeps of its power, and the ledger of the direct one.

use super::crossing::{round_block, sharp, soft, soft_at_least};
use super::model::{Edges, Model};
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
    passed: f64,
}

impl View<'_> {
    /// Whether edges are soft.
    #[must_use]
    pub fn is_soft(&self) -> bool {
        self.model.openings == Edges::Soft
    }

    /// Share of the power that passes a screen which the ray meets; `None` where the screen makes
    /// no difference.
    #[inline]
    pub(super) fn passed(&self, ray: &Ray<'_>, facet: &Facet<'_>, strike: &Strike) -> Option<f64> {
        if !self.is_soft() {
            sharp(self.surfaces, facet, strike)
        } else if self.at_least {
            soft_at_least(self.surfaces, facet, strike)
        } else {
            soft(self.surfaces, ray, facet, strike)
        }
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
        let walls = self.walls(follower, &ray);
        let blocks = if self.is_soft() { self.blocks(follower, &ray) } else { 1.0 };
        Some(mirrors * floors * walls * blocks)
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

    fn walls(&self, follower: &mut Follower, ray: &Ray<'_>) -> f64 {
        let Follower { tracer, met, .. } = follower;
        met.clear();
        let is_soft = self.is_soft();
        tracer.crossings(self.scene, ray, is_soft, |_, facet, strike| {
            let passed = self.passed(ray, facet, &strike);
            let at_end = near_end(strike.s, facet.screen.length);
            met.extend(passed.map(|passed| Met { t: strike.t, at_end, passed }));
        });
        merge_corners(met, ray.plan_length);
        met.iter().map(|met| met.passed).product()
    }

    fn blocks(&self, follower: &Follower, ray: &Ray<'_>) -> f64 {
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
            gain *= self.past_blocks(ray, &stretch);
        }
        gain
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
                    gain *= if self.at_least {
                        self.surfaces.get(block.part.surface).squared(1.0)
                    } else {
                        round_block(self.surfaces, ray, block, &seen).unwrap_or(1.0)
                    };
                }
                _ => gain *= self.surfaces.get(block.part.surface).transmitted(1.0),
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
        let mut sum = 0.0;
        self.each_path(follower, tree, height_profiles, to, |path| {
            sum += path.interaction.0 * self.spreading(path.length_m);
        });
        PowerRatio(sum)
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
    s <= CORNER_M || s >= length - CORNER_M
}

/// Walls that a path meets at one place, at the end of at least one of them, are one mass: of such
/// only the heaviest counts.
fn merge_corners(met: &mut Vec<Met>, plan_length: f64) {
    if met.len() > 1 && met.iter().any(|met| met.at_end) {
        met.sort_by(|a, b| a.t.total_cmp(&b.t));
        keep_heavier(met, plan_length, |met| (met.t, met.at_end), |met| -met.passed);
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
