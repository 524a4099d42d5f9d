//! Which parts of a level lie inside the building.
//!
//! A level is covered with small cells; those that a wall covers are closed, and outdoors is what
//! can be reached from the edge of the plan over open cells. Doors and windows lie on walls and
//! count as shut. A raster forgives outlines that do not quite close, as hand-drawn ones do.

use geo::{Coord, Line};

use plan::Plan;

/// Side of a cell, metres: gaps narrower than this close.
const CELL_M: f64 = 0.1;

/// Most cells of one level; larger levels get larger cells.
const MOST_CELLS: f64 = 4e6;

/// Ground left round the walls, metres.
const ROUND_M: f64 = 0.5;

/// The inside of one level.
#[derive(Debug, Clone)]
pub struct Indoors {
    low: Coord<f64>,
    cell: f64,
    columns: usize,
    rows: usize,
    outdoors: Vec<bool>,
    /// Whether any ground is inside; if not, the outline has a gap, or there are no walls.
    pub is_closed: bool,
}

impl Indoors {
    /// Finds the inside of a level. `half_thickness` is that of a construction, metres.
    #[must_use]
    pub fn new(plan: &Plan, level: i32, half_thickness: &dyn Fn(&str) -> f64) -> Self {
        let walls = plan.walls.iter().filter(|wall| wall.level == level);
        let lines: Vec<(Line<f64>, f64)> = walls
            .flat_map(|wall| {
                let half = half_thickness(&wall.construction);
                wall.line.lines().map(move |line| (line, half))
            })
            .collect();
        let ends = lines.iter().flat_map(|(line, _)| [line.start, line.end]);
        let mut bounds: Option<(Coord<f64>, Coord<f64>)> = None;
        for p in ends {
            let (low, high) = bounds.get_or_insert((p, p));
            (low.x, low.y) = (low.x.min(p.x), low.y.min(p.y));
            (high.x, high.y) = (high.x.max(p.x), high.y.max(p.y));
        }
        let Some((low, high)) = bounds else {
            return Self {
                low: Coord { x: 0.0, y: 0.0 },
                cell: CELL_M,
                columns: 0,
                rows: 0,
                outdoors: Vec::new(),
                is_closed: false,
            };
        };
        let (width, depth) = (high.x - low.x + 2.0 * ROUND_M, high.y - low.y + 2.0 * ROUND_M);
        let cell = CELL_M.max((width * depth / MOST_CELLS).sqrt());
        let (columns, rows) = ((width / cell).ceil() as usize, (depth / cell).ceil() as usize);
        let mut indoors = Self {
            low: low - Coord { x: ROUND_M, y: ROUND_M },
            cell,
            columns,
            rows,
            outdoors: vec![false; columns * rows],
            is_closed: false,
        };
        let mut closed = vec![false; columns * rows];
        for (line, half) in &lines {
            indoors.close(&mut closed, *line, half.max(0.75 * cell));
        }
        indoors.flood(&closed);
        let free = indoors.outdoors.iter().zip(&closed);
        indoors.is_closed = free.clone().any(|(outdoors, closed)| !outdoors && !closed);
        indoors
    }

    /// Whether a point lies inside the building, its walls included.
    #[must_use]
    pub fn holds(&self, p: Coord<f64>) -> bool {
        let place = |x: f64, count: usize| {
            let at = (x / self.cell).floor();
            (at >= 0.0 && at < count as f64).then_some(at as usize)
        };
        let column = place(p.x - self.low.x, self.columns);
        let row = place(p.y - self.low.y, self.rows);
        match (column, row) {
            (Some(column), Some(row)) => !self.outdoors[row * self.columns + column],
            _ => false,
        }
    }

    fn centre(&self, column: usize, row: usize) -> Coord<f64> {
        Coord {
            x: self.low.x + (column as f64 + 0.5) * self.cell,
            y: self.low.y + (row as f64 + 0.5) * self.cell,
        }
    }

    /// Closes the cells whose middle is nearer than `near` to a line.
    fn close(&self, closed: &mut [bool], line: Line<f64>, near: f64) {
        let range = |a: f64, b: f64, low: f64, count: usize| {
            let from = ((a.min(b) - near - low) / self.cell).floor().max(0.0) as usize;
            let to = ((a.max(b) + near - low) / self.cell).ceil().max(0.0) as usize;
            from.min(count)..to.min(count)
        };
        for row in range(line.start.y, line.end.y, self.low.y, self.rows) {
            for column in range(line.start.x, line.end.x, self.low.x, self.columns) {
                if super::distance_to_line(self.centre(column, row), line) < near {
                    closed[row * self.columns + column] = true;
                }
            }
        }
    }

    /// Marks what can be reached from the edge over cells that are not closed.
    fn flood(&mut self, closed: &[bool]) {
        let (columns, rows) = (self.columns, self.rows);
        let mut waiting: Vec<usize> = Vec::new();
        for row in 0..rows {
            for column in 0..columns {
                if row == 0 || column == 0 || row + 1 == rows || column + 1 == columns {
                    waiting.push(row * columns + column);
                }
            }
        }
        while let Some(cell) = waiting.pop() {
            if self.outdoors[cell] || closed[cell] {
                continue;
            }
            self.outdoors[cell] = true;
            let column = cell % columns;
            if column > 0 {
                waiting.push(cell - 1);
            }
            if column + 1 < columns {
                waiting.push(cell + 1);
            }
            if cell >= columns {
                waiting.push(cell - columns);
            }
            if cell + columns < columns * rows {
                waiting.push(cell + columns);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::LineString;
    use plan::Wall;

    fn walls(lines: &[&[(f64, f64)]]) -> Plan {
        let walls = lines.iter().map(|line| Wall {
            thickness_mm: None,
            id: "wall".to_owned(),
            level: 0,
            construction: String::new(),
            line: LineString::from(line.to_vec()),
            base_m: 0.0,
            top_m: 2.4,
        });
        Plan { walls: walls.collect(), ..Plan::default() }
    }

    const OUTLINE: [(f64, f64); 5] = [(0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0), (0.0, 0.0)];

    #[test]
    fn rooms_are_inside_and_the_garden_and_an_open_porch_are_not() {
        let porch: &[(f64, f64)] = &[(3.0, 0.0), (3.0, -2.0), (5.0, -2.0)];
        let plan = walls(&[&OUTLINE, &[(4.0, 0.0), (4.0, 6.0)], porch]);
        let indoors = Indoors::new(&plan, 0, &|_| 0.1);
        assert!(indoors.is_closed);
        for (x, y, inside) in [
            (2.0, 3.0, true),
            (6.0, 3.0, true),
            (4.0, 3.0, true),
            (-0.3, 3.0, false),
            (4.0, -1.0, false),
            (100.0, 3.0, false),
        ] {
            assert_eq!(indoors.holds(Coord { x, y }), inside, "{x}, {y}");
        }
    }

    #[test]
    fn an_outline_with_a_gap_is_not_closed() {
        let indoors = Indoors::new(&walls(&[&OUTLINE[..4]]), 0, &|_| 0.1);
        assert!(!indoors.is_closed);
        let other_level = Indoors::new(&walls(&[&OUTLINE]), 1, &|_| 0.1);
        assert!(!other_level.is_closed && !other_level.holds(Coord { x: 2.0, y: 3.0 }));
    }
}
