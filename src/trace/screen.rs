//! What a path may meet: upright screens with holes, solid blocks, level floors.

use geo::{Contains, Coord, Polygon};

use super::plane::{Point, dot};

/// Index of a surface in the caller's list; what it does to a wave is none of the tracer's
/// business.
pub type SurfaceId = u32;

/// The surface that is not there: an open door, a gap. The caller's list must begin with it.
pub const AIR: SurfaceId = 0;

/// How far beyond a free end of a wall a path still feels it, metres: a little more than the first
/// Fresnel zone's half width in the middle of a 20 m path at 319.5 MHz, 0.5·√(λ·20 m)/1.4 ≈ 1.5 m.
pub const REACH_BEYOND_FREE_END_M: f64 = 1.5;

/// A device that close to a wall's centre line counts as being on it, and its path then does not
/// cross that wall: drawn there, it means the face turned to the other end.
pub const TOUCH_M: f64 = 0.005;

/// How near to the end of a wall a path must pass to count as passing through the end, metres.
pub const CORNER_M: f64 = 1e-6;

/// Whether a height is at a level edge or above it: at the very edge it is, whichever way rounding
/// goes.
#[inline]
#[must_use]
pub fn reaches(edge: f64, z: f64) -> bool {
    z >= edge - CORNER_M
}

/// What a screen consists of at one place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    /// Its surface.
    pub surface: SurfaceId,
    /// Index in [`super::Scene::features`].
    pub feature: u32,
}

/// An opening in a screen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hole {
    /// Where it begins along the screen, metres.
    pub from: f64,
    /// Where it ends along the screen, metres.
    pub to: f64,
    /// Height of its lower edge, metres above the plan's zero.
    pub base: f64,
    /// Height of its upper edge, metres above the plan's zero.
    pub top: f64,
    /// What fills it.
    pub part: Part,
    /// Half the thickness of that, metres.
    pub half_thickness: f64,
    /// Which of its four edges (from, to, base, top) border on the wall, not on the wall's own end.
    pub edges: [bool; 4],
}

/// What the edge of a screen is joined to: a wave gets round it only through all of these.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Joint {
    /// The surfaces, one for each side on which one meets the edge.
    pub surfaces: Vec<SurfaceId>,
    /// The screens among them, indices into [`super::Scene::screens`]; none for floors.
    pub screens: Vec<u32>,
    /// Whether nothing gets through between sheets of metal that meet here.
    pub is_tight: bool,
    /// Whether the ground lies beyond, under the lowest floor.
    pub on_ground: bool,
}

/// One straight stretch of a wall, or one face of a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Screen {
    /// One end of the centre line.
    pub start: Point,
    /// Unit vector along the centre line.
    pub along: Point,
    /// Unit normal, to the left of `along`.
    pub normal: Point,
    /// Length, metres.
    pub length: f64,
    /// Half the thickness, metres; zero for the face of a block.
    pub half_thickness: f64,
    /// Height of the lower edge, metres above the plan's zero.
    pub base: f64,
    /// Height of the upper edge, metres above the plan's zero.
    pub top: f64,
    /// What the screen consists of outside its holes.
    pub body: Part,
    /// Its openings, in order.
    pub holes: Vec<Hole>,
    /// Whether the edges at its start, end, base and top are free: the wave can go round them.
    pub free: [bool; 4],
    /// What the edges that are not free are joined to.
    pub joints: [Joint; 4],
    /// The block of which it is a face.
    pub block: Option<u32>,
    /// For the face of a block: +1 where `normal` points out of it, −1 where it points in. 0 for
    /// walls.
    pub outward: f64,
    /// The side to which the first layer of its constructions lies: +1 that of `normal`, −1 the
    /// other. Layers are known from outside in; between two rooms the first is to the left of the
    /// wall as it is drawn.
    pub first_layer: f64,
}

impl Screen {
    /// The part at `s` metres along the screen and height `z`, or `None` outside it.
    #[inline]
    #[must_use]
    pub fn part_at(&self, s: f64, z: f64) -> Option<Part> {
        if self.is_below(z) || self.is_above(z) || s < -CORNER_M || s > self.length + CORNER_M {
            return None;
        }
        Some(self.hole_at(s, z).map_or(self.body, |hole| hole.part))
    }

    /// Half the thickness of what is at `s` metres along the screen and height `z`, metres.
    #[inline]
    #[must_use]
    pub fn half_thickness_at(&self, s: f64, z: f64) -> f64 {
        self.hole_at(s, z).map_or(self.half_thickness, |hole| hole.half_thickness)
    }

    #[inline]
    fn hole_at(&self, s: f64, z: f64) -> Option<&Hole> {
        // On a jamb the wall wins: the last millimetre of an opening is its frame.
        let inside = |hole: &&Hole| {
            s > hole.from + CORNER_M
                && s < hole.to - CORNER_M
                && reaches(hole.base, z)
                && !reaches(hole.top, z)
        };
        self.holes.iter().find(inside)
    }

    /// Whether a height is below the screen.
    #[inline]
    #[must_use]
    pub fn is_below(&self, z: f64) -> bool {
        !reaches(self.base, z)
    }

    /// Whether a height is above the screen, or at its very top.
    #[inline]
    #[must_use]
    pub fn is_above(&self, z: f64) -> bool {
        reaches(self.top, z)
    }

    /// Whether a wave that must pass this screen, number `id`, and another one goes round both at
    /// this end: the two meet there, or one wall runs from this end to the other screen, as the
    /// side of a box does.
    #[must_use]
    pub fn is_rounded_with(&self, id: u32, end: usize, other: (u32, &Self)) -> bool {
        let here = &self.joints[end].screens;
        other.0 != id && (here.contains(&other.0) || self.side_to(id, end, other.1).is_some())
    }

    /// The end of another screen from which a wall runs to this end of this one, number `id`.
    #[must_use]
    pub fn side_to(&self, id: u32, end: usize, other: &Self) -> Option<usize> {
        let here = &self.joints[end].screens;
        let is_side = |side: &u32| *side != id && here.contains(side);
        (0..2).find(|at| other.joints[*at].screens.iter().any(is_side))
    }

    /// Whether waves go round some edge of the screen or through an opening of another kind.
    #[must_use]
    pub fn has_edges(&self) -> bool {
        self.free.contains(&true) || !self.holes.is_empty()
    }

    /// Range along the screen that a path may feel: its length, and some way beyond free ends. The
    /// straight path feels it beyond ends at which it abuts, too, see [`super::Scene::is_rounded`].
    #[must_use]
    pub fn reach(&self, soft: bool, straight: bool) -> (f64, f64) {
        let beyond = |end: usize| {
            let is_felt = soft && (self.free[end] || (straight && self.abuts(end)));
            if is_felt { REACH_BEYOND_FREE_END_M } else { 0.0 }
        };
        (-beyond(0), self.length + beyond(1))
    }

    /// Whether another wall goes on past this end to both sides, or two walls do.
    #[must_use]
    pub fn abuts(&self, end: usize) -> bool {
        self.block.is_none() && self.joints[end].surfaces.len() > 1
    }

    /// Whether a wall stands at one of its ends.
    #[must_use]
    pub fn is_joined(&self) -> bool {
        self.joints[..2].iter().any(|joint| !joint.screens.is_empty())
    }

    /// The point `s` metres along the centre line.
    #[must_use]
    pub fn point(&self, s: f64) -> Point {
        self.start + self.along * s
    }

    /// Signed distance of a point from the centre line, positive to the left, metres.
    #[inline]
    #[must_use]
    pub fn offset(&self, p: Point) -> f64 {
        dot(self.normal, p - self.start)
    }
}

/// A solid thing in a room; its faces stand among the screens too.
#[derive(Debug, Clone, PartialEq)]
pub struct Block {
    /// Corners in order, without repetition of the first.
    pub corners: Vec<Point>,
    /// Mean of its corners: where it counts as standing.
    pub centre: Point,
    /// Radius of a circle about the centre that holds it, metres.
    pub radius: f64,
    /// Height of its foot, metres above the plan's zero.
    pub base: f64,
    /// Height of its top, metres above the plan's zero.
    pub top: f64,
    /// What its faces consist of.
    pub part: Part,
    /// Whether the wave can pass below and above it.
    pub free: [bool; 2],
}

impl Block {
    /// Whether a point in plan at height `z` lies inside.
    #[must_use]
    pub fn holds(&self, p: Point, z: f64) -> bool {
        let mut inside = false;
        let mut before = self.corners.last();
        for corner in &self.corners {
            if let Some(last) = before
                && (last.y > p.y) != (corner.y > p.y)
                && p.x < last.x + (p.y - last.y) / (corner.y - last.y) * (corner.x - last.x)
            {
                inside = !inside;
            }
            before = Some(corner);
        }
        inside && reaches(self.base, z) && !reaches(self.top, z)
    }
}

/// A level floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Floor {
    /// Height, metres above the plan's zero.
    pub height: f64,
    /// Height of its face towards the storey below, metres above the plan's zero.
    pub underside: f64,
    /// Whether it is joined tightly to the walls that it meets.
    pub is_tight: bool,
    /// Whether air is below it, if it is the lowest.
    pub over_air: bool,
    /// Its outline.
    pub outline: Polygon<f64>,
    /// What it consists of.
    pub part: Part,
}

impl Floor {
    /// Whether the floor extends over a point.
    #[must_use]
    pub fn covers(&self, p: Point) -> bool {
        self.outline.contains(&Coord { x: p.x, y: p.y })
    }
}
