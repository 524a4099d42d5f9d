//! Another way to the same answer: Dijkstra's search on a fine grid with 16 neighbours.
//!
//! Directions of steps are at most 26.57° apart, so the shortest way of steps is at most
//! 1 / cos(13.28°) = 1.0275 times the straight line (from memory, and easily checked).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use forecast::thickness;
use plan::Plan;
use siting::walk::passable_by_default;

/// Ratio of the grid's way to the straight line at worst.
pub const WORST: f64 = 1.0275;

/// Side of a cell, metres.
pub const CELL_M: f64 = 0.04;

/// Something in the way: a box with a direction, or a polygon's box (the shipped obstacles are
/// upright boxes).
struct Block {
    middle: [f64; 2],
    along: [f64; 2],
    half_m: [f64; 2],
}

impl Block {
    fn distance_m(&self, p: [f64; 2]) -> f64 {
        let to = [p[0] - self.middle[0], p[1] - self.middle[1]];
        let along = (to[0] * self.along[0] + to[1] * self.along[1]).abs() - self.half_m[0];
        let across = (to[1] * self.along[0] - to[0] * self.along[1]).abs() - self.half_m[1];
        along.max(0.0).hypot(across.max(0.0))
    }
}

/// A level as cells that a disc's middle may be in.
pub struct FineGrid {
    low: [f64; 2],
    columns: usize,
    free: Vec<bool>,
}

impl FineGrid {
    /// The cells of a level in a box; `through` says which openings are gaps.
    pub fn new(
        plan: &Plan,
        number: i32,
        radius_m: f64,
        low: [f64; 2],
        high: [f64; 2],
        through: &[&str],
    ) -> Self {
        let floor_m = plan.level(number).unwrap().floor_m;
        let in_the_way = |base_m: f64, top_m: f64| base_m < floor_m + 1.9 && top_m > floor_m + 0.1;
        let mut blocks = Vec::new();
        for (index, wall) in plan.walls.iter().enumerate() {
            if wall.level != number || !in_the_way(wall.base_m, wall.top_m) {
                continue;
            }
            let half = 0.5 * thickness(plan, &wall.construction).0;
            let last = wall.line.0.len() - 2;
            let closed = wall.line.is_closed();
            for (segment, pair) in wall.line.0.windows(2).enumerate() {
                let (a, b) = (pair[0], pair[1]);
                let length = (b.x - a.x).hypot(b.y - a.y);
                let along = [(b.x - a.x) / length, (b.y - a.y) / length];
                // Bends are filled.
                let from = if segment > 0 || closed { -half } else { 0.0 };
                let to = if segment < last || closed { length + half } else { length };
                // Every stretch between two gaps, whatever their order in the file.
                let mut marks = vec![from, to];
                let mut gaps = Vec::new();
                for opening in &plan.openings {
                    let here = opening.wall == index && opening.segment == segment;
                    if here && through.contains(&opening.id.as_str()) {
                        assert!(passable_by_default(plan, opening), "{}", opening.id);
                        marks.extend([opening.from_m, opening.to_m]);
                        gaps.push((opening.from_m, opening.to_m));
                    }
                }
                marks.sort_by(f64::total_cmp);
                for stretch in marks.windows(2) {
                    let centre = f64::midpoint(stretch[0], stretch[1]);
                    if gaps.iter().any(|(from, to)| centre > *from && centre < *to) {
                        continue;
                    }
                    blocks.push(Block {
                        middle: [a.x + along[0] * centre, a.y + along[1] * centre],
                        along,
                        half_m: [0.5 * (stretch[1] - stretch[0]), half],
                    });
                }
            }
        }
        for thing in &plan.obstacles {
            if thing.level != number || !in_the_way(thing.base_m, thing.top_m) {
                continue;
            }
            let points = &thing.outline.exterior().0;
            let least = |axis: fn(&geo::Coord<f64>) -> f64| {
                points.iter().map(axis).fold(f64::INFINITY, f64::min)
            };
            let most = |axis: fn(&geo::Coord<f64>) -> f64| {
                points.iter().map(axis).fold(f64::NEG_INFINITY, f64::max)
            };
            let (x, y) = ((least(|p| p.x), most(|p| p.x)), (least(|p| p.y), most(|p| p.y)));
            blocks.push(Block {
                middle: [f64::midpoint(x.0, x.1), f64::midpoint(y.0, y.1)],
                along: [1.0, 0.0],
                half_m: [0.5 * (x.1 - x.0), 0.5 * (y.1 - y.0)],
            });
        }
        let count = |axis: usize| ((high[axis] - low[axis]) / CELL_M).ceil() as usize;
        let (columns, rows) = (count(0), count(1));
        let mut grid = Self { low, columns, free: Vec::new() };
        grid.free = (0..columns * rows)
            .map(|cell| {
                let p = grid.middle(cell);
                blocks.iter().all(|block| block.distance_m(p) >= radius_m)
            })
            .collect();
        grid
    }

    pub fn cell(&self, p: [f64; 2]) -> usize {
        let place = |axis: usize| ((p[axis] - self.low[axis]) / CELL_M).floor() as usize;
        place(1) * self.columns + place(0)
    }

    pub fn middle(&self, cell: usize) -> [f64; 2] {
        let (column, row) = (cell % self.columns, cell / self.columns);
        [self.low[0] + (column as f64 + 0.5) * CELL_M, self.low[1] + (row as f64 + 0.5) * CELL_M]
    }

    pub fn is_free(&self, cell: usize) -> bool {
        self.free[cell]
    }

    /// Length of the way of steps from a cell to every cell, metres; infinite where there is none.
    pub fn lengths_m(&self, start: usize) -> Vec<f64> {
        let mut steps = Vec::new();
        for (x, y) in [(1, 0), (1, 1), (1, 2), (2, 1)] {
            steps.extend([(x, y), (-y, x), (-x, -y), (y, -x)]);
        }
        let rows = (self.free.len() / self.columns) as i64;
        let at = |column: i64, row: i64| {
            let inside = column >= 0 && column < self.columns as i64 && row >= 0 && row < rows;
            inside.then(|| row as usize * self.columns + column as usize)
        };
        let mut lengths = vec![f64::INFINITY; self.free.len()];
        lengths[start] = 0.0;
        let mut heap = BinaryHeap::from([(Reverse(0_u64), start)]);
        while let Some((Reverse(bits), cell)) = heap.pop() {
            let length = f64::from_bits(bits);
            if length > lengths[cell] {
                continue;
            }
            let (column, row) = ((cell % self.columns) as i64, (cell / self.columns) as i64);
            for &(x, y) in &steps {
                // A long step also keeps off the two cells that it passes between.
                let (hx, hy) = (x / 2, y / 2);
                let passes = [(hx, hy), (x - hx, y - hy), (x, y)];
                let free = passes
                    .iter()
                    .all(|(x, y)| at(column + x, row + y).is_some_and(|c| self.free[c]));
                let Some(to) = at(column + x, row + y) else {
                    continue;
                };
                let next = length + CELL_M * ((x * x + y * y) as f64).sqrt();
                if free && next < lengths[to] {
                    lengths[to] = next;
                    // Positive numbers sort as their bits do.
                    heap.push((Reverse(next.to_bits()), to));
                }
            }
        }
        lengths
    }
}
