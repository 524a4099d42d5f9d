//! Houses as they are drawn in haste: walls that stop at columns, corners left out, outside walls
//! of one line, partitions on layers of other things, a header that is wrong.

use geo::Geometry;

use super::drawing::{Drawing, arc, line, polyline, rectangle};
use super::gaps::{Opening, openings, read};
use super::names::{names, text};

/// A house of 8 by 5 m outside, in metres, with outside walls 0.3 m thick and two names.
fn house() -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&rectangle("WALL", (0.0, 0.0), (8.0, 5.0)));
    drawing.add(&rectangle("WALL", (0.3, 0.3), (7.7, 4.7)));
    named(&mut drawing);
    drawing
}

fn named(drawing: &mut Drawing) {
    drawing.add(&text((1.5, 3.0), 0.2, "Kitchen"));
    drawing.add(&text((6.0, 3.0), 0.2, "Hall"));
}

/// A piece of the partition at x = 4 to 4.1 m.
fn partition(drawing: &mut Drawing, layer: &str, low: f64, high: f64) {
    drawing.add(&line(layer, (4.0, low), (4.0, high)));
    drawing.add(&line(layer, (4.1, low), (4.1, high)));
}

/// The openings, where the two rooms are parted.
fn parted(drawing: &Drawing) -> Vec<Opening> {
    let draft = read(drawing);
    let mut names = names(&draft);
    names.sort();
    assert_eq!(names, ["Hall", "Kitchen"], "{:#?}", draft.pieces);
    openings(&draft)
}

#[test]
fn walls_run_on_into_a_column_of_four_lines() {
    let mut drawing = house();
    partition(&mut drawing, "WALL", 0.3, 2.2);
    partition(&mut drawing, "WALL", 2.8, 4.7);
    assert_eq!(parted(&drawing).len(), 1, "a doorway");
    let corners = [(3.75, 2.2), (4.35, 2.2), (4.35, 2.8), (3.75, 2.8)];
    for side in 0..4 {
        drawing.add(&line("S-COLS", corners[side], corners[(side + 1) % 4]));
    }
    assert_eq!(parted(&drawing), []);
}

#[test]
fn free_ends_meet_at_the_corner_before_them() {
    let mut drawing = Drawing::in_unit(6);
    named(&mut drawing);
    // Four walls that all stop half a metre before their corners.
    for (low, high) in [(0.0, 0.2), (4.8, 5.0)] {
        drawing.add(&line("WALL", (0.5, low), (7.5, low)));
        drawing.add(&line("WALL", (0.5, high), (7.5, high)));
    }
    for (low, high) in [(0.0, 0.2), (7.8, 8.0)] {
        drawing.add(&line("WALL", (low, 0.5), (low, 4.5)));
        drawing.add(&line("WALL", (high, 0.5), (high, 4.5)));
    }
    partition(&mut drawing, "WALL", 0.2, 4.8);
    assert_eq!(parted(&drawing), []);
    let draft = read(&drawing);
    let ends = draft.pieces.iter().filter_map(|piece| match piece.shape {
        Geometry::Line(line) => Some([line.start, line.end]),
        _ => None,
    });
    let at_corner = ends.flatten().filter(|at| at.x.hypot(at.y) < 0.2).count();
    assert_eq!(at_corner, 2, "{:#?}", draft.pieces);
}

#[test]
fn a_gap_too_narrow_for_a_doorway_is_wall() {
    let mut drawing = house();
    partition(&mut drawing, "WALL", 0.3, 2.2);
    partition(&mut drawing, "WALL", 2.55, 4.7);
    assert_eq!(parted(&drawing), []);
}

#[test]
fn outside_walls_of_one_line_close_rooms_round_their_corners() {
    let mut drawing = Drawing::in_unit(6);
    named(&mut drawing);
    // Each room as its own outline; they share the wall between them alone.
    let outline = |corners: &[(f64, f64)]| {
        let corners: Vec<(f64, f64, f64)> = corners.iter().map(|at| (at.0, at.1, 0.0)).collect();
        polyline("WALL", true, &corners)
    };
    drawing.add(&outline(&[(0.0, 0.0), (4.0, 0.0), (4.0, 5.0), (0.0, 5.0)]));
    // With a bay that is shallower than a wall is long.
    let (out, side) = (8.4, 8.0);
    let bay = [(side, 1.5), (out, 1.5), (out, 3.5), (side, 3.5)];
    let mut corners = vec![(4.1, 0.0), (side, 0.0)];
    corners.extend(bay);
    corners.extend([(side, 5.0), (4.1, 5.0)]);
    drawing.add(&outline(&corners));
    assert_eq!(parted(&drawing), []);
}

#[test]
fn a_partition_on_the_layer_of_its_door_is_wall() {
    let mut drawing = house();
    let layer = "Internal doors";
    partition(&mut drawing, layer, 0.3, 2.0);
    partition(&mut drawing, layer, 2.9, 4.7);
    drawing.add(&arc(layer, (4.0, 2.0), 0.9, 90.0, 180.0));
    drawing.add(&line(layer, (4.0, 2.0), (3.1, 2.0)));
    let found = parted(&drawing);
    assert!(found.len() == 1 && found[0].1.starts_with("door"), "{found:#?}");
}

#[test]
fn leaves_say_the_unit_where_the_header_is_wrong() {
    for (unit, scale) in [(1, 100.0), (4, 1_000.0), (5, 100.0)] {
        // The header says inches, millimetres, centimetres.
        let mut drawing = Drawing::in_unit(unit);
        let at = |x: f64, y: f64| (x * scale, y * scale);
        drawing.add(&rectangle("WALL", at(0.0, 0.0), at(8.0, 5.0)));
        drawing.add(&rectangle("WALL", at(0.15, 0.15), at(7.85, 4.85)));
        for x in [1.0, 3.0, 5.0] {
            drawing.add(&arc("DOOR", at(x, 0.15), 0.9 * scale, 0.0, 90.0));
            drawing.add(&line("DOOR", at(x, 0.15), at(x, 1.05)));
        }
        let found = openings(&read(&drawing));
        assert_eq!(found.len(), 3, "{unit}: {found:#?}");
        let wide = (found[0].0.end.x - found[0].0.start.x).abs();
        assert!((wide - 0.9).abs() < 0.01, "{unit}: {wide}");
    }
}

#[test]
fn a_swing_of_short_lines_or_of_a_spline_is_a_door() {
    let quarter = |steps: u8| {
        let angle = move |step: u8| 90.0 + 90.0 * f64::from(step) / f64::from(steps);
        (0..=steps).map(move |step| {
            let (sin, cos) = angle(step).to_radians().sin_cos();
            (4.0 + 0.9 * cos, 2.0 + 0.9 * sin)
        })
    };
    let short: Vec<(f64, f64, f64)> = quarter(8).map(|(x, y)| (x, y, 0.0)).collect();
    // One piece of a spline, whose inner points are at the usual share of the radius.
    let k = 0.9 * 0.552_284_75;
    let points = [(4.0, 2.9), (4.0 - k, 2.9), (3.1, 2.0 + k), (3.1, 2.0)];
    let knots: String = [0, 0, 0, 0, 1, 1, 1, 1].map(|knot| format!("40\n{knot}\n")).concat();
    let points = points.map(|(x, y)| format!("10\n{x}\n20\n{y}\n")).concat();
    let spline = format!("0\nSPLINE\n8\nSIGNS\n70\n8\n71\n3\n72\n8\n73\n4\n{knots}{points}");
    for swing in [polyline("SIGNS", false, &short), spline] {
        let mut drawing = house();
        partition(&mut drawing, "WALL", 0.3, 2.0);
        partition(&mut drawing, "WALL", 2.9, 4.7);
        drawing.add(&swing);
        let found = parted(&drawing);
        assert!(found.len() == 1 && found[0].1.starts_with("door") && !found[0].2, "{found:#?}");
    }
}
