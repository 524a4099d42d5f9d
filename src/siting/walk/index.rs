//! Whether a disc can be at a point or move along a straight line, found with a grid of cells.

use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use super::grid::{Grid, point_to_segment_sq, segment_to_segment_sq};
use super::ring::Ring;
use trace::{Point, bounding_box, cross, dot, left_of, norm};

/// A touch does not count: paths run along the rims of what they go round, and rounding must not
/// stop them. Metres.
const TOUCH_M: f64 = 1e-7;

/// How far beyond all walls a person may still be, metres.
const MARGIN_M: f64 = 2.0;

#[derive(Debug, Clone, Copy)]
struct Side {
    a: Point,
    b: Point,
    stops_arms: bool,
}

#[derive(Debug, Clone)]
pub(super) struct Index {
    grid: Grid,
    /// Of each cell the numbers of the sides that come near to it.
    cells: Vec<Vec<u32>>,
    sides: Vec<Side>,
    boxes: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
    rings: Vec<Ring>,
}

impl Index {
    /// Indexes rings for discs of at most `radius_m`.
    pub fn new(rings: Vec<Ring>, radius_m: f64) -> Self {
        let corners: Vec<Point> = rings.iter().flat_map(|r| r.points.clone()).collect();
        let (low, high) = bounding_box(&corners);
        let sides: Vec<Side> = rings
            .iter()
            .flat_map(|ring| ring.sides().map(|(a, b)| Side { a, b, stops_arms: ring.stops_arms }))
            .collect();
        let grid = Grid::new(low, high, MARGIN_M, 0.25, (2 * sides.len()).clamp(16, 40_000));
        // A side counts in every cell that it comes near to: half a diagonal from the middle.
        let near_m = radius_m + grid.cell_m * std::f64::consts::FRAC_1_SQRT_2 + 1e-6;
        let mut cells = vec![Vec::new(); grid.columns * grid.rows];
        for (side, number) in sides.iter().zip(0_u32..) {
            grid.near(side.a, side.b, near_m, |cell| cells[cell].push(number));
        }
        let entries = rings.iter().enumerate().map(|(number, ring)| {
            let (low, high) = bounding_box(&ring.points);
            GeomWithData::new(Rectangle::from_corners([low.x, low.y], [high.x, high.y]), number)
        });
        let boxes = RTree::bulk_load(entries.collect());
        Self { grid, cells, sides, boxes, rings }
    }

    pub fn rings(&self) -> &[Ring] {
        &self.rings
    }

    /// Whether a point is on the map at all.
    pub fn covers(&self, p: Point) -> bool {
        p.x.is_finite() && p.y.is_finite() && self.grid.number(self.grid.place(p)).is_some()
    }

    fn in_cell(&self, cell: usize) -> impl Iterator<Item = &Side> {
        self.cells[cell].iter().map(|&number| &self.sides[number as usize])
    }

    /// Whether a disc can be at a point: on the map, in nothing, and no nearer to anything than
    /// its radius.
    pub fn has_room(&self, p: Point, radius_m: f64) -> bool {
        let Some(cell) = self.grid.number(self.grid.place(p)) else {
            return false;
        };
        let least = (radius_m - TOUCH_M).max(0.0);
        self.in_cell(cell).all(|side| point_to_segment_sq(p, side.a, side.b) >= least * least)
            && self.around(p).next().is_none()
    }

    /// The rings that a point is inside of.
    pub fn around(&self, p: Point) -> impl Iterator<Item = &Ring> {
        self.boxes
            .locate_in_envelope_intersecting(&AABB::from_point([p.x, p.y]))
            .map(|entry| &self.rings[entry.data])
            .filter(move |ring| ring.holds(p))
    }

    /// Whether a disc can move along a line from a point with room for it.
    pub fn is_clear(&self, from: Point, to: Point, radius_m: f64) -> bool {
        let least = (radius_m - TOUCH_M).max(0.0);
        !self
            .meets(from, to, |side| segment_to_segment_sq(from, to, side.a, side.b) < least * least)
    }

    /// Whether an arm can stretch along a line.
    pub fn can_reach(&self, from: Point, to: Point) -> bool {
        !self.meets(from, to, |side| {
            side.stops_arms && segment_to_segment_sq(from, to, side.a, side.b) <= 0.0
        })
    }

    /// The nearest point of any side in the point's cell, if any is near, and the unit vector
    /// across that side, out of its ring.
    pub fn nearest_on_side(&self, p: Point) -> Option<(Point, Point)> {
        let cell = self.grid.number(self.grid.place(p))?;
        let nearest = self.in_cell(cell).min_by(|one, two| {
            point_to_segment_sq(p, one.a, one.b).total_cmp(&point_to_segment_sq(p, two.a, two.b))
        })?;
        let along = nearest.b - nearest.a;
        let length = norm(along);
        if length <= 0.0 {
            return None;
        }
        let share = (dot(p - nearest.a, along) / (length * length)).clamp(0.0, 1.0);
        let on = nearest.a + along * share;
        Some((on, left_of(along) * (-1.0 / length)))
    }

    /// Whether any side near the line meets a condition; cells are walked from `from`, so that a
    /// line that is stopped early is told early.
    #[inline]
    fn meets(&self, from: Point, to: Point, stops: impl Fn(&Side) -> bool) -> bool {
        let (mut at, end) = (self.grid.place(from), self.grid.place(to));
        let way = to - from;
        let size = self.grid.cell_m;
        // Share of the line at the next cell border in one direction, and between two borders.
        let border = |p: f64, d: f64, low: f64, cell: i64| {
            if d > 0.0 {
                ((low + (cell + 1) as f64 * size - p) / d, size / d)
            } else if d < 0.0 {
                ((low + cell as f64 * size - p) / d, -size / d)
            } else {
                (f64::INFINITY, f64::INFINITY)
            }
        };
        let (mut next_x, step_x) = border(from.x, way.x, self.grid.low.x, at.0);
        let (mut next_y, step_y) = border(from.y, way.y, self.grid.low.y, at.1);
        loop {
            if let Some(cell) = self.grid.number(at)
                && self.in_cell(cell).any(&stops)
            {
                return true;
            }
            if at == end || (next_x > 1.0 && next_y > 1.0) {
                return false;
            }
            if next_x < next_y {
                at.0 += if way.x > 0.0 { 1 } else { -1 };
                next_x += step_x;
            } else {
                at.1 += if way.y > 0.0 { 1 } else { -1 };
                next_y += step_y;
            }
        }
    }
}

impl Ring {
    /// Whether a point is inside, by the winding number.
    pub fn holds(&self, p: Point) -> bool {
        let mut turns = 0;
        for (a, b) in self.sides() {
            if (a.y <= p.y) != (b.y <= p.y) {
                let side = cross(b - a, p - a);
                if b.y > a.y && side > 0.0 {
                    turns += 1;
                } else if b.y < a.y && side < 0.0 {
                    turns -= 1;
                }
            }
        }
        turns != 0
    }

    /// How far it is from a point inside to the last side that a ray leaves by, metres.
    pub fn exit_m(&self, from: Point, direction: Point) -> Option<f64> {
        self.sides()
            .filter_map(|(a, b)| {
                let along = b - a;
                let slant = cross(direction, along);
                if slant.abs() < 1e-12 {
                    return None;
                }
                let way = cross(a - from, along) / slant;
                let share = cross(a - from, direction) / slant;
                ((-1e-9..=1.0 + 1e-9).contains(&share) && way > 0.0).then_some(way)
            })
            .max_by(f64::total_cmp)
    }
}
