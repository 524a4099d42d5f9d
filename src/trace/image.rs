//! Image sources: where a transmitter seems to stand behind the mirrors of its reflected paths.
//!
//! A path that is reflected at walls one after another is a straight line from an image of the
//! transmitter. Each image shines only through the part of its last mirror that the image before
//! it lights (its aperture), so the tree of images is pruned by visibility: a mirror outside the
//! beam of an image has no child there. Walls let waves through, so nothing is pruned by blocking.
//!
//! Why images and not launched rays: every receiver gets exactly its paths, at any cell size, and
//! the result does not depend on a launching angle.

use thiserror::Error;

use super::plane::{HalfPlane, Point, Unfolding};
use super::scene::Scene;
use super::screen::{CORNER_M, TOUCH_M};

/// More images than this are refused: they would take gigabytes and hours.
pub const MAX_IMAGES: usize = 2_000_000;

/// There are more reflected paths than can be followed.
#[derive(Debug, Error, Clone, Copy, PartialEq, Eq)]
#[error(
    "reflections of order {order} make more than {MAX_IMAGES} images of the transmitter; \
     ask for fewer reflections"
)]
pub struct TooManyImages {
    /// The order that was asked for.
    pub order: u8,
}

/// A transmitter as seen in zero or more mirrors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Image {
    /// Where it seems to stand, in the plan's own coordinates behind the last mirror.
    pub position: Point,
    /// The image that this one is a reflection of; `None` for the transmitter itself.
    pub parent: Option<u32>,
    /// The last mirror, an index into [`Scene::screens`].
    pub mirror: Option<u32>,
    /// The part of the last mirror that it shines through, metres along the screen.
    pub aperture: (f64, f64),
    /// Receivers see it from the side of the mirror with this sign.
    pub side: f64,
    /// Number of reflections.
    pub order: u8,
}

/// All images of one transmitter, each after its parent.
#[derive(Debug, Clone)]
pub struct ImageTree {
    /// The images; the first is the transmitter itself.
    pub images: Vec<Image>,
}

impl ImageTree {
    /// Builds the images of `source` up to `order` reflections at walls.
    ///
    /// The wall that the transmitter hangs on is a mirror, too; only one on whose centre line it is
    /// drawn is none, since it is not known on which side it hangs.
    ///
    /// # Errors
    /// [`TooManyImages`] beyond [`MAX_IMAGES`].
    pub fn new(scene: &Scene, source: Point, order: u8) -> Result<Self, TooManyImages> {
        let mut images = vec![Image {
            position: source,
            parent: None,
            mirror: None,
            aperture: (0.0, 0.0),
            side: 0.0,
            order: 0,
        }];
        let mut generation = 0..1;
        let mut mirrors: Vec<u32> = Vec::new();
        for order in 1..=order {
            let first = images.len();
            for parent in generation.clone() {
                let image = images[parent];
                let beam = image.beam(scene);
                mirrors.clear();
                mirrors.extend(scene.index.within(&beam));
                // The index answers in an order of its own; ours is the plan's.
                mirrors.sort_unstable();
                for mirror in &mirrors {
                    let child = image.reflected(scene, *mirror, &beam, u32::try_from(parent).ok());
                    images.extend(child.map(|child| Image { order, ..child }));
                }
                if images.len() > MAX_IMAGES {
                    return Err(TooManyImages { order });
                }
            }
            generation = first..images.len();
        }
        Ok(Self { images })
    }

    /// The transmitter alone, without its reflections.
    #[must_use]
    pub fn transmitter(&self) -> Self {
        Self { images: self.images.iter().take(1).copied().collect() }
    }

    /// The chain of images from the transmitter to `image`, that one last.
    pub fn chain(&self, image: u32, chain: &mut Vec<u32>) {
        chain.clear();
        let mut next = Some(image);
        while let Some(id) = next {
            chain.push(id);
            next = self.images.get(id as usize).and_then(|image| image.parent);
        }
        chain.reverse();
    }
}

impl Image {
    /// The half planes in whose common part receivers see the image; none for the transmitter.
    #[must_use]
    pub fn beam(&self, scene: &Scene) -> Vec<HalfPlane> {
        let Some(mirror) = self.mirror.and_then(|id| scene.screens.get(id as usize)) else {
            return Vec::new();
        };
        let (low, high) = (mirror.point(self.aperture.0), mirror.point(self.aperture.1));
        let mut beam = vec![HalfPlane::facing(mirror.start, mirror.normal * self.side)];
        beam.extend(HalfPlane::through(self.position, low, high));
        beam.extend(HalfPlane::through(self.position, high, low));
        beam
    }

    /// The image of this image in one more mirror, if any of that mirror lies in the beam.
    fn reflected(
        &self,
        scene: &Scene,
        mirror: u32,
        beam: &[HalfPlane],
        parent: Option<u32>,
    ) -> Option<Self> {
        let screen = scene.screens.get(mirror as usize)?;
        let offset = screen.offset(self.position);
        let least = if self.order == 0 { TOUCH_M } else { CORNER_M };
        // A solid thing is no mirror from within.
        let inside = screen.outward * offset < 0.0;
        if offset.abs() <= least || inside || self.mirror == Some(mirror) {
            return None;
        }
        let mut aperture = (0.0, screen.length);
        for half in beam {
            half.clip(screen.start, screen.along, &mut aperture);
        }
        (aperture.1 - aperture.0 > CORNER_M).then(|| Self {
            position: Unfolding::reflection(screen.start, screen.normal).point(self.position),
            parent,
            mirror: Some(mirror),
            aperture,
            side: offset.signum(),
            order: self.order + 1,
        })
    }
}
