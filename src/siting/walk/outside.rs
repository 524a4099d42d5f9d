//! Which parts of a level are out of doors.

use geo::{Contains, ConvexHull, MultiPoint, Polygon};

use super::grid::Grid;
use super::ring::{Doorway, half_thickness_m, in_the_way};
use super::settings::WalkSettings;
use plan::{Level, Plan};
use trace::{Point, bounding_box};

/// Smallest cell, metres.
const CELL_M: f64 = 0.05;
/// Most cells of all levels together.
const MOST_CELLS: usize = 3_000_000;
/// Most cells of one level.
const MOST_CELLS_OF_A_LEVEL: usize = 1_000_000;
/// Walls are taken this much thicker on either side, so that a gap of twice this between walls
/// that were not drawn to the end lets nothing in, metres.
const SEAL_M: f64 = 0.1;
/// How far from a wall to look for a place that is clearly on one of its sides, metres.
const LOOK_M: f64 = 1.2;

/// The outer face of a level's walls with every opening shut.
#[derive(Debug, Clone)]
pub(super) struct Outside {
    grid: Grid,
    cells: Vec<Cell>,
    /// Where the walls do not close: what lies on the floor is indoors.
    floors: Option<Vec<Polygon<f64>>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cell {
    Wall,
    In,
    Out,
}

impl Outside {
    /// Floods a level from beyond its walls.
    ///
    /// If a doorway of `ways` has this flood on both of its sides or a point of `feet` lies in it,
    /// the walls do not close (a part of a building, a gap drawn for a door): then only what is also
    /// off the level's slabs is out of doors or, if there are none, beyond the convex hull of its
    /// walls.
    pub fn new(
        plan: &Plan,
        level: &Level,
        settings: &WalkSettings,
        ways: &[Doorway],
        feet: &[Point],
    ) -> Self {
        let walls: Vec<_> = plan
            .walls
            .iter()
            .filter(|wall| in_the_way(wall.base_m, wall.top_m, level, settings))
            .collect();
        let points: Vec<Point> = walls.iter().flat_map(|w| w.line.0.clone()).collect();
        let (low, high) = bounding_box(&points);
        let most = (MOST_CELLS / plan.levels.len().max(1)).min(MOST_CELLS_OF_A_LEVEL);
        let grid = Grid::new(low, high, LOOK_M, CELL_M, most);
        let mut cells = vec![Cell::In; grid.len()];
        for wall in walls {
            let radius = half_thickness_m(plan, wall) + SEAL_M;
            let radius = radius.max(grid.cell_m * std::f64::consts::FRAC_1_SQRT_2);
            for pair in wall.line.0.windows(2) {
                grid.near(pair[0], pair[1], radius, |cell| cells[cell] = Cell::Wall);
            }
        }
        flood(&grid, &mut cells);
        let mut outside = Self { grid, cells, floors: None };
        let open =
            ways.iter().any(|way| [1.0, -1.0].iter().all(|side| outside.is_out_beside(way, *side)))
                || feet.iter().any(|foot| outside.is_out(*foot));
        if open {
            let slabs = plan.slabs.iter().filter(|slab| slab.level == level.number);
            // A hole for stairs is indoors.
            let whole = slabs.map(|slab| Polygon::new(slab.outline.exterior().clone(), Vec::new()));
            let mut floors: Vec<_> = whole.collect();
            if floors.is_empty() {
                floors.push(MultiPoint::from(points).convex_hull());
            }
            outside.floors = Some(floors);
        }
        outside
    }

    /// Whether a point is out of doors; what is in or hard by a wall is not.
    pub fn is_out(&self, p: Point) -> bool {
        let flooded = self
            .grid
            .number(self.grid.place(p))
            .is_none_or(|number| self.cells[number] == Cell::Out);
        flooded && self.is_off_floor(p)
    }

    fn is_off_floor(&self, p: Point) -> bool {
        self.floors
            .as_ref()
            .is_none_or(|floors| !floors.iter().any(|floor| floor.contains(&geo::Point(p))))
    }

    /// Whether the side of a doorway to the left of its wall (`side` 1) or to the right (−1) is
    /// out of doors.
    pub fn is_out_beside(&self, way: &Doorway, side: f64) -> bool {
        let mut off = way.half_thickness_m;
        while off <= way.half_thickness_m + LOOK_M {
            let p = way.middle + way.across * (side * off);
            match self.grid.number(self.grid.place(p)) {
                Some(number) if self.cells[number] == Cell::Wall => {}
                Some(number) if self.cells[number] == Cell::In => return false,
                _ => return self.is_off_floor(p),
            }
            off += 0.5 * self.grid.cell_m;
        }
        false
    }
}

/// Marks as out what hangs together with the border.
fn flood(grid: &Grid, cells: &mut [Cell]) {
    let (columns, rows) = (grid.columns, grid.rows);
    let top = (rows - 1) * columns;
    let mut stack: Vec<usize> = (0..columns)
        .chain(top..top + columns)
        .chain((0..rows).map(|row| row * columns))
        .chain((0..rows).map(|row| row * columns + columns - 1))
        .collect();
    while let Some(number) = stack.pop() {
        if cells[number] != Cell::In {
            continue;
        }
        cells[number] = Cell::Out;
        let column = number % columns;
        if column > 0 {
            stack.push(number - 1);
        }
        if column + 1 < columns {
            stack.push(number + 1);
        }
        if number >= columns {
            stack.push(number - columns);
        }
        if number + columns < cells.len() {
            stack.push(number + columns);
        }
    }
}
