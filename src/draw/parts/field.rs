//! The field of margins: filled bands, the failing region's hatching, and the two contour lines.

use crate::base::{Canvas, INK, Ink, PAPER, Point, Rect, View, edges, hatch, length};
use crate::parts::areas::Hatching;
use crate::parts::bands::Bands;
use crate::picture::{Field, Finding, Picture};
use contour::ContourBuilder;

/// The field as shapes on the picture.
#[derive(Debug, Clone)]
pub(crate) struct Shapes {
    /// The field's rectangle and the colour of its lowest band.
    ground: (Rect, Ink),
    /// Rings to fill, the outer before the inner.
    rings: Vec<(Vec<Point>, Ink)>,
    /// Hatching of the region below the lower threshold.
    hatching: Vec<[Point; 2]>,
    style: Hatching,
    /// Contour lines at the two thresholds.
    pub contours: Vec<Contour>,
}

/// The line at which the finding changes.
#[derive(Debug, Clone)]
pub(crate) struct Contour {
    /// The margin along it, dB.
    pub margin_db: f64,
    /// The better of the findings on its two sides.
    pub above: Finding,
    /// Pieces of the line, the field's edge left out.
    pub pieces: Vec<Vec<Point>>,
}

/// A field of cells that are not too small to be drawn, with a rim of one cell.
struct Grid {
    columns: usize,
    rows: usize,
    values: Vec<f64>,
    /// Metres from one value to the next.
    step: f64,
    /// Metre place of the outer corner of the rim's first cell.
    corner: [f64; 2],
}

impl Shapes {
    /// The shapes of a picture's field; none if it has no field, or no cell in it.
    pub fn new(picture: &Picture, bands: &Bands, view: &View) -> Option<Self> {
        let field = picture.field.as_ref()?;
        let grid = Grid::new(field, bands, view.scale * field.cell_m)?;
        let ends = [edge(field, 0, 0), edge(field, field.columns, field.rows)];
        let ground = Rect::round(ends.map(|end| view.place(end)));
        let lines = ContourBuilder::new(grid.columns, grid.rows, true)
            .lines(&grid.values, &bands.edges_db)
            .unwrap_or_default();
        let mut rings = Vec::new();
        let mut contours = Vec::new();
        let mut hatching = Vec::new();
        let style = Hatching::of(picture);
        // In a plain picture the step in tone says where good becomes thin.
        let lined = |above: Finding| !picture.plain || above == Finding::Thin;
        let thresholds = bands.thresholds;
        for (index, line) in lines.iter().enumerate() {
            let margin_db = line.threshold();
            let mut own: Vec<Vec<Point>> = Vec::new();
            for ring in &line.geometry().0 {
                let points: Vec<Point> = ring
                    .0
                    .iter()
                    .map(|point| ground.nearest(view.place(grid.metres(point.x, point.y))))
                    .collect();
                let points = simplified(&points, 0.3);
                if points.len() < 3 {
                    continue;
                }
                let area = signed_area(&points);
                // The crate turns the rings of hills one way and those of hollows the other.
                let hill = area > 0.0;
                let inside = if hill { index + 1 } else { index };
                rings.push((area.abs(), points.clone(), bands.ink(inside), index, hill));
                own.push(points);
            }
            let above = [
                (thresholds.failing_below_db, Finding::Thin),
                (thresholds.sound_from_db, Finding::Sound),
            ];
            for (threshold, above) in above {
                // Exact: the edges are copies of the thresholds.
                if threshold == margin_db && lined(above) {
                    let pieces = own.iter().flat_map(|ring| off_edge(ring, &ground)).collect();
                    contours.push(Contour { margin_db, above, pieces });
                }
            }
            if margin_db == thresholds.failing_below_db {
                own.push(ground.corners().to_vec());
                hatching = hatch(&own, style.spacing * view.size, true);
            }
        }
        // Nested rings fill from the outside in. Rings of one size are the field's own edge: hills
        // then rise, hollows then fall.
        rings.sort_by(|one, other| {
            let order =
                |index: usize, hill: bool| if hill { index as i64 } else { -(index as i64) };
            other.0.total_cmp(&one.0).then(order(one.3, one.4).cmp(&order(other.3, other.4)))
        });
        Some(Self {
            ground: (ground, bands.ink(0)),
            rings: rings.into_iter().map(|(_, ring, ink, _, _)| (ring, ink)).collect(),
            hatching,
            style,
            contours,
        })
    }
}

/// Metre place of the corner between cells; (0, 0) is the field's own corner.
fn edge(field: &Field, column: usize, row: usize) -> [f64; 2] {
    let half = field.cell_m / 2.0;
    [
        field.origin[0] - half + column as f64 * field.cell_m,
        field.origin[1] - half + row as f64 * field.cell_m,
    ]
}

impl Grid {
    /// `cell_px` is the size of a cell on the picture.
    fn new(field: &Field, bands: &Bands, cell_px: f64) -> Option<Self> {
        // Finer than the eye sees only makes the SVG large.
        let block = (2.5 / cell_px).ceil().clamp(1.0, 1e6) as usize;
        let (columns, rows) = (field.columns.div_ceil(block), field.rows.div_ceil(block));
        let (least, most) = (bands.least_db() - 10.0, bands.most_db() + 10.0);
        let mut sums = vec![(0.0, 0_u32); columns * rows];
        for (row, cells) in field.margin_db.chunks_exact(field.columns.max(1)).enumerate() {
            for (column, value) in cells.iter().enumerate() {
                let sum = &mut sums[row / block * columns + column / block];
                sum.0 += value.clamp(least, most);
                sum.1 += 1;
            }
        }
        if sums.is_empty() {
            return None;
        }
        let inner: Vec<f64> = sums.into_iter().map(|(sum, count)| sum / f64::from(count)).collect();
        let mut values = Vec::with_capacity((columns + 2) * (rows + 2));
        for row in 0..rows + 2 {
            let row = row.saturating_sub(1).min(rows - 1);
            for column in 0..columns + 2 {
                values.push(inner[row * columns + column.saturating_sub(1).min(columns - 1)]);
            }
        }
        let step = field.cell_m * block as f64;
        let [x, y] = edge(field, 0, 0);
        let (columns, rows) = (columns + 2, rows + 2);
        Some(Self { columns, rows, values, step, corner: [x - step, y - step] })
    }

    /// Metre place of a place in the grid, cells counted from the rim's outer corner.
    fn metres(&self, x: f64, y: f64) -> [f64; 2] {
        [self.corner[0] + x * self.step, self.corner[1] + y * self.step]
    }
}

/// Twice the area, by the shoelace formula; the sign says which way the ring turns.
fn signed_area(ring: &[Point]) -> f64 {
    edges(ring).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum()
}

/// A line with fewer points within `tolerance` of the given one (Douglas and Peucker's method).
fn simplified(points: &[Point], tolerance: f64) -> Vec<Point> {
    let Some(last) = points.len().checked_sub(1) else {
        return Vec::new();
    };
    let mut keep = vec![false; points.len()];
    // A ring begins where it ends, so its middle is kept to span it.
    let middle = last / 2;
    for index in [0, middle, last] {
        keep[index] = true;
    }
    let mut spans = vec![(0, middle), (middle, last)];
    while let Some((from, to)) = spans.pop() {
        let (a, b) = (points[from], points[to]);
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let length = (dx * dx + dy * dy).sqrt();
        let mut worst = (0.0, from);
        for (index, point) in points.iter().enumerate().take(to).skip(from + 1) {
            let (px, py) = (point[0] - a[0], point[1] - a[1]);
            let off = if length > 0.0 {
                (px * dy - py * dx).abs() / length
            } else {
                (px * px + py * py).sqrt()
            };
            if off > worst.0 {
                worst = (off, index);
            }
        }
        if worst.0 > tolerance {
            keep[worst.1] = true;
            spans.push((from, worst.1));
            spans.push((worst.1, to));
        }
    }
    let mut kept: Vec<Point> =
        points.iter().zip(keep).filter_map(|(&point, keep)| keep.then_some(point)).collect();
    kept.dedup();
    kept
}

/// The pieces of a ring that do not run along the rectangle's edge.
fn off_edge(ring: &[Point], rect: &Rect) -> Vec<Vec<Point>> {
    let along = |a: Point, b: Point| {
        let near = |one: f64, other: f64, line: f64| {
            (one - line).abs() < 0.5 && (other - line).abs() < 0.5
        };
        near(a[0], b[0], rect.x0)
            || near(a[0], b[0], rect.x1)
            || near(a[1], b[1], rect.y0)
            || near(a[1], b[1], rect.y1)
    };
    let mut pieces: Vec<Vec<Point>> = Vec::new();
    let mut piece: Vec<Point> = Vec::new();
    for (&from, &to) in edges(ring) {
        if along(from, to) {
            pieces.push(std::mem::take(&mut piece));
            continue;
        }
        if piece.is_empty() {
            piece.push(from);
        }
        piece.push(to);
    }
    pieces.push(piece);
    // The colour shows specks; a line round each would only be noise.
    pieces.retain(|piece| length(piece) > 24.0);
    pieces
}

/// Draws a piece of the contour line above which a finding holds.
pub(crate) fn draw_contour(canvas: &mut Canvas, piece: &[Point], above: Finding, size: f64) {
    let width = if above == Finding::Sound { 1.5 } else { 2.5 };
    canvas.line(piece, (width + 2.0) * size, PAPER);
    if above == Finding::Sound {
        canvas.dashed(piece, &[9.0 * size, 5.0 * size], width * size, INK);
    } else {
        canvas.line(piece, width * size, INK);
    }
}

pub(crate) fn draw(canvas: &mut Canvas, shapes: Option<&Shapes>, size: f64) {
    let Some(shapes) = shapes else { return };
    canvas.rectangle(shapes.ground.0, shapes.ground.1);
    for (ring, ink) in &shapes.rings {
        canvas.polygon(ring, *ink);
    }
    for line in &shapes.hatching {
        canvas.line(line, shapes.style.width * size, shapes.style.ink);
    }
    for contour in &shapes.contours {
        for piece in &contour.pieces {
            draw_contour(canvas, piece, contour.above, size);
        }
    }
}

#[cfg(test)]
mod tests;
