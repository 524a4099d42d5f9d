//! All paths between two points: what each keeps of its power, and the ledger of the direct one.

use std::f64::consts::TAU;

use super::model::{Adding, Edges, Model};
use super::obstructions::{Kept, Met, keep_heavier, near_end};
use super::sum::{Direct, ListenerEnd, Mirror, PathSum, SCATTERED, Tally};
use super::surfaces::{CrossingLoss, Surfaces};
use radio::bundle_cosine;
use trace::{
    AIR, Facet, Floor, HeightProfile, Image, ImageTree, Leg, Part, PathTracer, Point, Ray, Scene,
    Unfolding,
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
    /// The end at which the listener hangs.
    pub listener: ListenerEnd,
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

/// One path that is there, with what is left of its power.
struct Found<'a> {
    image: u32,
    height_profile: usize,
    order: u8,
    ray: Ray<'a>,
    kept: Kept,
}

/// Scratch memory of a thread that follows paths.
#[derive(Debug, Clone, Default)]
pub struct Follower {
    pub(super) tracer: PathTracer,
    pub(super) met: Vec<Met>,
    crossed: Vec<(Crossed, bool)>,
}

impl View<'_> {
    /// Whether edges are soft.
    #[must_use]
    pub fn is_soft(&self) -> bool {
        self.model.openings == Edges::Soft
    }

    /// Power gain of free space over a distance, (λ/4πd)² (ITU-R P.525), at most one.
    #[inline]
    #[must_use]
    pub fn spreading(&self, length_m: f64) -> f64 {
        let near = self.surfaces.frequency.wavelength().0 / (4.0 * std::f64::consts::PI);
        let ratio = near / length_m.max(near);
        ratio * ratio
    }

    /// The length along which the phase runs by a radian, metres, where waves are added: a slab
    /// that a path only grazes meets a bundle of them (see [`radio::bundle_cosine`]). Zero where
    /// rays or powers are.
    #[inline]
    pub(super) fn radian_m(&self) -> f64 {
        let waves = self.is_soft() && self.model.adding == Adding::Waves;
        if waves { self.surfaces.frequency.wavelength().0 / TAU } else { 0.0 }
    }

    /// Cosine of the incidence of what comes along a path of a length, metres, that meets a plane
    /// with a cosine.
    #[inline]
    pub(super) fn bundled(&self, cos_incidence: f64, length_m: f64) -> f64 {
        bundle_cosine(cos_incidence, self.radian_m() / length_m)
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
            let cos = self.bundled(strike.cos_incidence, ray.length);
            gain *= self.surfaces.get(part.surface).reflected(ray.face_met(&mirror), cos);
        }
        (gain > 0.0).then_some(gain)
    }

    /// What the floors on the way leave; `None` if the path should be reflected where no floor is.
    pub(super) fn floors(&self, tree: &ImageTree, image: u32, ray: &Ray<'_>) -> Option<f64> {
        let mut gain = 1.0;
        let cos = if ray.length > 0.0 { ray.height_profile.travel / ray.length } else { 1.0 };
        let cos = self.bundled(cos, ray.length);
        for event in &ray.height_profile.events {
            let place = fold(self.scene, tree, image, ray.from + ray.span * event.t);
            let surface = |floor: &Floor| self.surfaces.get(floor.part.surface);
            if event.bounce {
                let mirror = self.scene.floors.over(event.sheet, place)?;
                let face = usize::from(ray.height_profile.rises_to(event.t));
                gain *= surface(mirror).reflected(face, cos);
            } else {
                let pass = |floor| gain *= surface(floor).transmitted(cos);
                self.scene.floors.each_over(event.sheet, place, pass);
            }
        }
        (gain > 0.0).then_some(gain)
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
        self.each_path(follower, tree, &height_profiles, to, |found| {
            paths.push(PathGain {
                image: found.image,
                height_profile: found.height_profile,
                order: found.order,
                length_m: found.ray.length,
                interaction: PowerRatio(found.kept.power(self.model.adding)),
            });
        });
        paths
    }

    #[inline]
    fn each_path(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        height_profiles: &[HeightProfile],
        to: Point,
        mut visit: impl FnMut(Found<'_>),
    ) {
        for (image, id) in tree.images.iter().zip(0u32..) {
            for (number, height_profile) in height_profiles.iter().enumerate() {
                let order = image.order + height_profile.order;
                if order > self.model.reflections {
                    continue;
                }
                if let Some(kept) = self.kept(follower, tree, id, height_profile, to) {
                    let ray = Ray::new(image.position, to, height_profile);
                    visit(Found { image: id, height_profile: number, order, ray, kept });
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
        let mut tally = Tally::default();
        self.each_path(follower, tree, height_profiles, to, |found| {
            let spreading = self.spreading(found.ray.length);
            let path = (found.image, found.order);
            self.add(&mut tally, tree, path, (&found.kept, spreading), || found.ray);
        });
        if let (Some(source), Some(straight)) = (tree.images.first(), height_profiles.first()) {
            let ends = [(source.position, 0.0), (to, 1.0)];
            let [from, to] = ends.map(|(place, t)| (place, straight.height_at(t)));
            if let Some(rung) = self.rung(from)
                && let Some(room) = self.scene.enclosures.at(to.0, to.1)
            {
                tally.sum.scattered += rung[room as usize];
            }
        }
        tally.sum
    }

    /// Adds one path, of an image in the tree and an order, to a sum.
    #[inline]
    pub(super) fn add<'r>(
        &self,
        tally: &mut Tally,
        tree: &ImageTree,
        (image, order): (u32, u8),
        (kept, spreading): (&Kept, f64),
        ray: impl FnOnce() -> Ray<'r>,
    ) {
        let gain = kept.power(self.model.adding) * spreading;
        tally.sum.powers += gain;
        if self.model.adding == Adding::Powers {
            return;
        }
        if order == 0 {
            tally.direct_gain = gain;
            tally.sum.scattered += self.scattered(kept) * spreading;
        } else if order == 1 && tally.direct_gain > 0.0 {
            let (ray, image) = (ray(), &tree.images[image as usize]);
            let direct = Direct::new(tree.images[0].position, ray.to, ray.height_profile);
            tally.sum.waves +=
                (tally.direct_gain * gain).sqrt() * self.interference(&direct, image, &ray);
        }
    }

    /// Scattered power at the receiver of a direct path, over that of free space: what metal on the
    /// way does not let through arrives in part by other ways, where no closed box holds it off,
    /// less what light walls and floors take. Where the least that passes is asked for, it stands
    /// in for less than it takes away.
    #[inline]
    fn scattered(&self, direct: &Kept) -> f64 {
        if !self.is_soft() {
            return 0.0;
        }
        SCATTERED * direct.openness * direct.light * (1.0 - direct.past_heavy()).max(0.0)
    }

    /// Power that reaches a receiver in each room, by their numbers, from a place and a height
    /// after more reflections than are followed; `None` where nothing rings.
    pub(super) fn rung(&self, from: (Point, f64)) -> Option<&[f64]> {
        if !self.is_soft() || self.model.adding == Adding::Powers {
            return None;
        }
        let room = self.scene.enclosures.at(from.0, from.1)?;
        let metre = self.spreading(1.0);
        let rooms = (&self.scene.enclosures, self.surfaces);
        Some(self.surfaces.reverberation.from(rooms, (room, metre)))
    }

    /// Interference of a path reflected once with the direct wave, over the root of the product of
    /// their powers.
    #[inline]
    fn interference(&self, direct: &Direct, image: &Image, ray: &Ray<'_>) -> f64 {
        let Some(screen) = image.mirror.and_then(|id| self.scene.screens.get(id as usize)) else {
            return direct.with_floor((self.scene, self.surfaces), self.listener, ray);
        };
        let facet = Facet::new(screen, &Unfolding::default());
        let strike = ray.strike(&facet);
        let Some(part) = screen.part_at(strike.s, strike.z) else {
            return 0.0;
        };
        let surface = self.surfaces.get(part.surface);
        let wavelength_m = self.surfaces.frequency.wavelength().0;
        let half_thickness = screen.half_thickness_at(strike.s, strike.z);
        let mirror = Mirror {
            screen,
            half_thickness,
            surface,
            face: ray.face_met(&facet),
            cos_incidence: strike.cos_incidence,
        };
        direct.with_wall((wavelength_m, self.listener), ray, mirror)
    }

    /// What the direct path crosses, edges left out, in order from the transmitter.
    pub fn crossings(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        height_profile: &HeightProfile,
        to: Point,
    ) -> Vec<Crossing> {
        self.crossings_of(follower, tree, 0, height_profile, to)
    }

    /// What the direct path crosses, as [`View::crossings`], without names and without new memory.
    pub fn crossed<'f>(
        &self,
        follower: &'f mut Follower,
        tree: &ImageTree,
        height_profile: &HeightProfile,
        to: Point,
    ) -> impl Iterator<Item = &'f Crossed> + use<'f> {
        self.cross_image(follower, tree, 0, height_profile, to);
        follower.crossed.iter().map(|(crossed, _)| crossed)
    }

    /// What the path of an image crosses, mirrors left out, as [`View::crossings`].
    pub(super) fn crossings_of(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        image: u32,
        height_profile: &HeightProfile,
        to: Point,
    ) -> Vec<Crossing> {
        self.cross_image(follower, tree, image, height_profile, to);
        follower.crossed.iter().map(|(crossed, _)| self.named(crossed)).collect()
    }

    fn cross_image(
        &self,
        follower: &mut Follower,
        tree: &ImageTree,
        id: u32,
        height_profile: &HeightProfile,
        to: Point,
    ) {
        let Follower { tracer, crossed, .. } = follower;
        crossed.clear();
        if let Some(source) = tree.images.get(id as usize).map(|image| image.position)
            && tracer.unfold(self.scene, tree, id, to)
        {
            self.cross(tracer, crossed, (tree, id), &Ray::new(source, to, height_profile));
        }
    }

    fn cross(
        &self,
        tracer: &mut PathTracer,
        crossed: &mut Vec<(Crossed, bool)>,
        (tree, image): (&ImageTree, u32),
        ray: &Ray<'_>,
    ) {
        tracer.crossings(self.scene, ray, false, |_, facet, strike| {
            if let Some(part) = facet.screen.part_at(strike.s, strike.z) {
                let at_end = near_end(strike.s, facet.screen.length);
                crossed.push((self.lost(part, strike.cos_incidence, strike.t), at_end));
            }
        });
        let height_profile = ray.height_profile;
        let cos = if ray.length > 0.0 { height_profile.travel / ray.length } else { 1.0 };
        for event in &height_profile.events {
            if !event.bounce {
                let place = fold(self.scene, tree, image, ray.from + ray.span * event.t);
                self.scene.floors.each_over(event.sheet, place, |floor| {
                    crossed.push((self.lost(floor.part, cos, event.t), false));
                });
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
