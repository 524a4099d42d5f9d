//! A spatial index of screens: an R*-tree walked along a leg or within a beam.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree, SelectionFunction};

use super::plane::{HalfPlane, Point};
use super::screen::{REACH_BEYOND_FREE_END_M, Screen};

/// A box with the number of what it is about.
pub(super) type Boxed = GeomWithData<Rectangle<[f64; 2]>, u32>;

/// Finds screens near a line or within a beam.
#[derive(Debug, Clone)]
pub struct ScreenIndex {
    tree: RTree<Boxed>,
}

/// Lower left and upper right corner of some points' bounding box; the origin for none.
#[must_use]
pub fn bounding_box(points: &[Point]) -> (Point, Point) {
    let Some(first) = points.first() else {
        return (Point { x: 0.0, y: 0.0 }, Point { x: 0.0, y: 0.0 });
    };
    points.iter().fold((*first, *first), |(low, high), p| {
        (
            Point { x: low.x.min(p.x), y: low.y.min(p.y) },
            Point { x: high.x.max(p.x), y: high.y.max(p.y) },
        )
    })
}

/// The bounding box of some points, so much wider on all sides, metres, with a number.
pub(super) fn boxed(points: &[Point], wider_m: f64, id: u32) -> Boxed {
    let (low, high) = bounding_box(points);
    let low = [low.x - wider_m, low.y - wider_m];
    Boxed::new(Rectangle::from_corners(low, [high.x + wider_m, high.y + wider_m]), id)
}

impl ScreenIndex {
    /// Indexes screens by their place in the list.
    #[must_use]
    pub fn new(screens: &[Screen]) -> Self {
        let entries = screens.iter().zip(0u32..).map(|(screen, id)| {
            // A block is felt all round, a wall only beyond its free ends.
            let (from, to) = screen.reach(true, true);
            let margin = if screen.block.is_some() { REACH_BEYOND_FREE_END_M } else { 1e-3 };
            boxed(&[screen.point(from), screen.point(to)], margin, id)
        });
        Self { tree: RTree::bulk_load(entries.collect()) }
    }

    /// The screens whose bounding box the segment meets, in no particular order.
    pub fn along(&self, from: Point, to: Point) -> impl Iterator<Item = u32> {
        self.tree.locate_with_selection_function(Walk::new(from, to)).map(|entry| entry.data)
    }

    /// The screens whose bounding box meets that from one corner to another, in no particular
    /// order.
    pub fn about(&self, low: Point, high: Point) -> impl Iterator<Item = u32> {
        let corners = AABB::from_corners([low.x, low.y], [high.x, high.y]);
        self.tree.locate_in_envelope_intersecting(&corners).map(|entry| entry.data)
    }

    /// The screens whose bounding box may reach into the common part of some half planes.
    pub fn within<'a>(&'a self, bounds: &'a [HalfPlane]) -> impl Iterator<Item = u32> + 'a {
        self.tree.locate_with_selection_function(Beam { bounds }).map(|entry| entry.data)
    }
}

/// A segment, ready to be tested against many boxes.
struct Walk {
    from: [f64; 2],
    /// One over each component of its direction: infinite where it runs along an axis.
    inverse: [f64; 2],
}

impl Walk {
    fn new(from: Point, to: Point) -> Self {
        let span = to - from;
        Self { from: [from.x, from.y], inverse: [1.0 / span.x, 1.0 / span.y] }
    }

    /// Slab test of the segment against a box.
    #[inline]
    fn meets(&self, low: [f64; 2], high: [f64; 2]) -> bool {
        let (mut first, mut last) = (0.0f64, 1.0f64);
        for axis in 0..2 {
            // Along an axis the products are infinite: of unlike sign within the box's slab, of the
            // same sign beside it. On its very edge, a hair beyond the screen, the box is missed.
            let one = (low[axis] - self.from[axis]) * self.inverse[axis];
            let two = (high[axis] - self.from[axis]) * self.inverse[axis];
            first = first.max(one.min(two));
            last = last.min(one.max(two));
        }
        first <= last
    }
}

impl SelectionFunction<Boxed> for Walk {
    fn should_unpack_parent(&self, envelope: &AABB<[f64; 2]>) -> bool {
        self.meets(envelope.lower(), envelope.upper())
    }

    fn should_unpack_leaf(&self, leaf: &Boxed) -> bool {
        self.meets(leaf.geom().lower(), leaf.geom().upper())
    }
}

struct Beam<'a> {
    bounds: &'a [HalfPlane],
}

impl Beam<'_> {
    fn meets(&self, bounds: &AABB<[f64; 2]>) -> bool {
        let (low, high) = (bounds.lower(), bounds.upper());
        self.bounds.iter().all(|half| {
            let x = if half.a >= 0.0 { high[0] } else { low[0] };
            let y = if half.b >= 0.0 { high[1] } else { low[1] };
            half.depth(Point { x, y }) >= 0.0
        })
    }
}

impl SelectionFunction<Boxed> for Beam<'_> {
    fn should_unpack_parent(&self, envelope: &AABB<[f64; 2]>) -> bool {
        self.meets(envelope)
    }

    fn should_unpack_leaf(&self, leaf: &Boxed) -> bool {
        self.meets(&AABB::from_corners(leaf.geom().lower(), leaf.geom().upper()))
    }
}
