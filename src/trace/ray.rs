//! A path unfolded into a straight line, and how it meets screens and passes edges.

use super::height_profile::HeightProfile;
use super::plane::{Point, Unfolding, cross, dot, norm};
use super::screen::{Block, CORNER_M, Screen};

/// The straight line from an image of the transmitter to the receiver.
#[derive(Debug, Clone, Copy)]
pub struct Ray<'a> {
    /// The image of the transmitter.
    pub from: Point,
    /// The receiver.
    pub to: Point,
    /// Vector from one to the other in plan, metres.
    pub span: Point,
    /// Length in plan, metres.
    pub plan_length: f64,
    /// Length with the rise, metres.
    pub length: f64,
    /// How its height runs.
    pub height_profile: &'a HeightProfile,
}

/// Where and how a ray meets the plane of a screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strike {
    /// Fraction of the ray.
    pub t: f64,
    /// Metres along the screen.
    pub s: f64,
    /// Height, metres above the plan's zero.
    pub z: f64,
    /// Part of the ray's plan vector across the screen, metres, positive.
    pub across: f64,
    /// Cosine of the angle of incidence, in space.
    pub cos_incidence: f64,
}

/// A screen as it stands beside the unfolded ray.
#[derive(Debug, Clone, Copy)]
pub struct Facet<'a> {
    /// The screen itself.
    pub screen: &'a Screen,
    /// One end of its centre line, unfolded.
    pub start: Point,
    /// Its direction, unfolded.
    pub along: Point,
    /// Its normal, unfolded.
    pub normal: Point,
}

impl<'a> Facet<'a> {
    /// The screen carried over by an unfolding.
    #[must_use]
    pub fn new(screen: &'a Screen, unfolding: &Unfolding) -> Self {
        Self {
            screen,
            start: unfolding.point(screen.start),
            along: unfolding.direction(screen.along),
            normal: unfolding.direction(screen.normal),
        }
    }

    /// The unfolded point `s` metres along the screen.
    #[inline]
    #[must_use]
    pub fn point(&self, s: f64) -> Point {
        self.start + self.along * s
    }
}

impl<'a> Ray<'a> {
    /// The ray between two points with a given course of height.
    #[inline]
    #[must_use]
    pub fn new(from: Point, to: Point, height_profile: &'a HeightProfile) -> Self {
        let span = to - from;
        let plan_length = norm(span);
        let length =
            (plan_length * plan_length + height_profile.travel * height_profile.travel).sqrt();
        Self { from, to, span, plan_length, length, height_profile }
    }

    /// Where the ray meets the (endless) plane of a facet.
    ///
    /// The ray must not run along the plane: the caller has checked that its ends lie on either
    /// side.
    #[inline]
    #[must_use]
    pub fn strike(&self, facet: &Facet<'_>) -> Strike {
        let across = dot(facet.normal, self.span);
        let t = dot(facet.normal, facet.start - self.from) / across;
        Strike {
            t,
            s: dot(facet.along, self.from + self.span * t - facet.start),
            z: self.height_profile.height_at(t),
            across: across.abs(),
            cos_incidence: across.abs() / self.length,
        }
    }

    /// The face of a mirror that the ray is reflected by, 0 that of its first layer or 1 the other.
    #[inline]
    #[must_use]
    pub fn face_met(&self, mirror: &Facet<'_>) -> usize {
        // Behind the mirror the unfolded ray runs as the path does before it.
        usize::from(mirror.screen.first_layer * dot(mirror.normal, self.span) < 0.0)
    }

    /// How much longer the way round an upright edge is than the ray, metres.
    #[inline]
    #[must_use]
    pub fn post_detour(&self, edge: Point) -> f64 {
        let rise = self.height_profile.travel;
        detour(self.from - edge, self.to - edge, rise * rise)
    }

    /// How much longer the way over or under a level edge of a screen is, metres. `edge_z` is the
    /// height of the edge; the screen is struck at `strike`.
    #[inline]
    #[must_use]
    pub fn rail_detour(&self, strike: &Strike, edge_z: f64) -> f64 {
        let along2 = (self.plan_length * self.plan_length - strike.across * strike.across).max(0.0);
        let shift = self.height_profile.direction_at(strike.t) * (edge_z - strike.z);
        let before = strike.t * self.height_profile.travel + shift;
        let after = (1.0 - strike.t) * self.height_profile.travel - shift;
        let from = Point { x: -strike.t * strike.across, y: -before };
        let to = Point { x: (1.0 - strike.t) * strike.across, y: after };
        detour(from, to, along2)
    }
}

/// How much longer the way from one point over the origin to another is than straight on, where
/// both ways have besides a part across this plane whose square is `beside2`; metres.
///
/// With a and b the distances of the points u and v, (a + b)² − |u − v|² = 2(ab + u·v), which for a
/// shallow bend is 2(u × v)²/(ab − u·v): no difference of nearly equal lengths is left, whose root
/// an edge would take.
#[inline]
fn detour(u: Point, v: Point, beside2: f64) -> f64 {
    let (a, b, product) = (norm(u), norm(v), dot(u, v));
    let off = cross(u, v);
    let bend = if product < 0.0 { off * off / (a * b - product) } else { a * b + product };
    let straight = u - v;
    let ways = ((a + b) * (a + b) + beside2).sqrt() + (dot(straight, straight) + beside2).sqrt();
    if ways > 0.0 { 2.0 * bend / ways } else { 0.0 }
}

/// A block as it stands beside the unfolded ray: what hides it, and how it is gone round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Silhouette {
    /// Fraction of the ray in the middle of the block.
    pub t: f64,
    /// The corner farthest to the left of the ray.
    pub left: Point,
    /// Its distance from the ray, metres, positive to the left.
    pub left_offset: f64,
    /// The corner farthest to the right of the ray.
    pub right: Point,
    /// Its distance from the ray, metres, positive to the left.
    pub right_offset: f64,
}

impl Ray<'_> {
    /// How a block looks from the part of the ray between two fractions `leg`, or `None` if it lies
    /// before, behind or far beside that part.
    #[inline]
    #[must_use]
    pub fn silhouette(
        &self,
        block: &Block,
        unfolding: &Unfolding,
        leg: (f64, f64),
        reach: f64,
    ) -> Option<Silhouette> {
        if self.plan_length < CORNER_M {
            return None;
        }
        let ahead = self.span / self.plan_length;
        let centre = unfolding.point(block.centre) - self.from;
        if cross(ahead, centre).abs() > block.radius + reach {
            return None;
        }
        let (mut first, mut last) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut found = Silhouette {
            t: 0.0,
            left: self.from,
            left_offset: f64::NEG_INFINITY,
            right: self.from,
            right_offset: f64::INFINITY,
        };
        for corner in &block.corners {
            let corner = unfolding.point(*corner);
            let away = corner - self.from;
            let (along, offset) = (dot(ahead, away), cross(ahead, away));
            (first, last) = (first.min(along), last.max(along));
            // Of corners as far off the first counts, from whichever end the path comes.
            if offset > found.left_offset + CORNER_M {
                (found.left, found.left_offset) = (corner, offset);
            }
            if offset < found.right_offset - CORNER_M {
                (found.right, found.right_offset) = (corner, offset);
            }
        }
        let (first, last) = (first / self.plan_length, last / self.plan_length);
        let (first, last) = (first.max(leg.0), last.min(leg.1));
        // A device on the block's face has nothing of it before it.
        if (last - first) * self.plan_length <= CORNER_M {
            return None;
        }
        found.t = (first + last) / 2.0;
        Some(found)
    }
}
