//! Tests of the field: gaps, lines, colours, hatching.

use super::*;

#[test]
fn a_line_keeps_its_corners_and_loses_the_rest() {
    let line = [[0.0, 0.0], [1.0, 0.01], [2.0, 0.0], [3.0, 0.0], [3.0, 5.0], [0.0, 0.0]];
    let kept = simplified(&line, 0.3);
    assert!(kept.contains(&[3.0, 0.0]) && kept.contains(&[3.0, 5.0]));
    assert!(!kept.contains(&[1.0, 0.01]));
}

const VIEW: View = View { scale: 40.0, zero: [50.0, 900.0], size: 1.0, middle: [0.0; 2] };

/// The shapes of a field with its origin at 0, and their bands.
fn shapes(columns: usize, cell_m: f64, margin_db: Vec<f64>) -> (Shapes, Bands) {
    let rows = margin_db.len() / columns;
    let field = Field { origin: [0.0, 0.0], cell_m, columns, rows, margin_db };
    let picture = Picture { field: Some(field), ..Picture::default() };
    let bands = Bands::new(picture.field.as_ref(), picture.thresholds);
    (Shapes::new(&picture, &bands, &VIEW).expect("a field with values"), bands)
}

/// The colour that the shapes give to a place: that of the last ring round it.
fn colour(shapes: &Shapes, [x, y]: Point) -> Ink {
    let within = |ring: &[Point]| {
        let edges = edges(ring);
        let crossed = edges.filter(|(a, b)| {
            (a[1] > y) != (b[1] > y) && x < a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1])
        });
        crossed.count() % 2 == 1
    };
    let last = shapes.rings.iter().rev().find(|(ring, _)| within(ring));
    last.map_or(shapes.ground.1, |(_, ink)| *ink)
}

#[test]
fn every_cell_gets_the_colour_of_its_band() {
    let (columns, rows, cell_m) = (60, 40, 0.25);
    let value = |column: usize, row: usize| {
        let (x, y) = (column as f64 * 0.21, row as f64 * 0.24);
        12.0 + 26.0 * x.sin() * y.cos() + 0.1 * x
    };
    let levels: [fn(f64) -> f64; 3] = [|value| value, |value| 30.0 + value / 50.0, |_| -60.0];
    for level in levels {
        let margin_db: Vec<f64> =
            (0..columns * rows).map(|cell| level(value(cell % columns, cell / columns))).collect();
        let (shapes, bands) = shapes(columns, cell_m, margin_db.clone());
        for (cell, margin) in margin_db.iter().enumerate() {
            // On an edge between bands either colour will do.
            if bands.edges_db.iter().any(|edge| (edge - margin).abs() < 0.3) {
                continue;
            }
            let place = [cell % columns, cell / columns].map(|count| count as f64 * cell_m);
            let band = bands.edges_db.iter().filter(|edge| *edge <= margin).count();
            assert_eq!(
                colour(&shapes, VIEW.place(place)),
                bands.ink(band),
                "{margin} dB in cell {cell}"
            );
        }
    }
}

#[test]
fn hatching_lies_where_a_sensor_would_be_failing() {
    let (columns, rows, cell_m) = (50, 50, 0.2);
    let margin = |[x, y]: [f64; 2]| 8.0 * (x * 0.9).sin() + 8.0 * (y * 0.7).cos() + 1.0;
    let at = |cell: usize| [cell % columns, cell / columns].map(|count| count as f64 * cell_m);
    let margin_db: Vec<f64> = (0..columns * rows).map(|cell| margin(at(cell))).collect();
    let (shapes, _) = shapes(columns, cell_m, margin_db);
    let mut hatched = 0.0;
    for line in &shapes.hatching {
        let middle = [(line[0][0] + line[1][0]) / 2.0, (line[0][1] + line[1][1]) / 2.0];
        let place = [(middle[0] - 50.0) / 40.0, (900.0 - middle[1]) / 40.0];
        assert!(margin(place) < 0.3, "hatched at {} dB", margin(place));
        hatched += length(line);
    }
    // Lines 11 pixels apart: their length times that is the area that they cover.
    let failing = (0..columns * rows).filter(|&cell| margin(at(cell)) < 0.0).count();
    let area = failing as f64 * (cell_m * VIEW.scale).powi(2);
    assert!((hatched * 11.0 / area - 1.0).abs() < 0.05, "{} of {area}", hatched * 11.0);
}
