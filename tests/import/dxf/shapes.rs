//! Drawings whose layers say nothing: walls by how lines run, windows by their panes, doors by
//! their leaves; and lines that look like walls and are none.

use import::{Draft, What};

use super::drawing::{Drawing, arc, insert, line, polyline, rectangle};
use super::gaps::{openings, read, walls};

/// Kinds of the openings: doors, windows, doorways.
fn kinds(draft: &Draft) -> (usize, usize, usize) {
    let all = draft.pieces.iter().filter_map(|piece| match &piece.what {
        What::Opening { open, construction, .. } => {
            Some((*open, construction.starts_with("glass")))
        }
        _ => None,
    });
    all.fold((0, 0, 0), |(doors, windows, gaps), (open, glass)| match (open, glass) {
        (true, _) => (doors, windows, gaps + 1),
        (_, true) => (doors, windows + 1, gaps),
        _ => (doors + 1, windows, gaps),
    })
}

/// A house of 8 by 5 m with walls 0.3 m thick, parted at x = 4 with a door, one window whose panes
/// lie between the faces, all on one layer of no name.
fn on_one_layer(layer: &str) -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&rectangle(layer, (0.0, 0.0), (8.0, 5.0)));
    for (low, high, door) in [(0.3, 3.95, 3.95), (4.05, 7.7, 4.05)] {
        drawing.add(&line(layer, (low, 0.3), (high, 0.3)));
        drawing.add(&line(layer, (low, 4.7), (high, 4.7)));
        let outer = if door < 4.0 { low } else { high };
        drawing.add(&line(layer, (outer, 0.3), (outer, 4.7)));
        drawing.add(&line(layer, (door, 0.3), (door, 2.0)));
        drawing.add(&line(layer, (door, 2.9), (door, 4.7)));
    }
    drawing.add(&line(layer, (3.95, 2.0), (4.05, 2.0)));
    drawing.add(&line(layer, (3.95, 2.9), (4.05, 2.9)));
    drawing.add(&arc(layer, (3.95, 2.0), 0.9, 90.0, 180.0));
    drawing.add(&line(layer, (3.95, 2.0), (3.05, 2.0)));
    for y in [0.1, 0.15, 0.2] {
        drawing.add(&line(layer, (1.0, y), (2.2, y)));
    }
    for x in [1.0, 2.2] {
        drawing.add(&line(layer, (x, 0.0), (x, 0.3)));
    }
    drawing
}

#[test]
fn a_house_on_one_layer_has_its_walls_a_door_and_a_window_and_no_furniture() {
    let mut drawing = on_one_layer("0");
    let bare = read(&drawing);
    assert_eq!((walls(&bare), kinds(&bare)), (5, (1, 1, 0)), "{:#?}", openings(&bare));
    // A shelf, a table, a flight of stairs.
    drawing.add(&rectangle("0", (1.0, 2.5), (1.3, 3.7)));
    drawing.add(&rectangle("0", (5.2, 1.4), (6.0, 2.6)));
    for step in 0..8 {
        let x = 5.0 + f64::from(step) * 0.25;
        drawing.add(&line("0", (x, 3.4), (x, 4.4)));
    }
    let furnished = read(&drawing);
    assert_eq!((walls(&furnished), kinds(&furnished)), (5, (1, 1, 0)));
}

#[test]
fn walls_on_a_further_layer_that_meet_those_with_a_name_are_walls() {
    // The partition and its door on a layer of no name.
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&rectangle("WALL", (0.0, 0.0), (8.0, 5.0)));
    drawing.add(&rectangle("WALL", (0.3, 0.3), (7.7, 4.7)));
    for x in [3.95, 4.05] {
        drawing.add(&line("BS-1", (x, 0.3), (x, 2.0)));
        drawing.add(&line("BS-1", (x, 2.9), (x, 4.7)));
    }
    assert_eq!(walls(&read(&drawing)), 5);
    // Drawn with dashes it is a beam.
    let dashed = "0\nLINE\n8\nBS-1\n6\nDASHED\n";
    drawing.entities = drawing.entities.replace("0\nLINE\n8\nBS-1\n", dashed);
    assert_eq!(walls(&read(&drawing)), 4);
}

#[test]
fn a_layer_of_dashed_lines_holds_no_walls() {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&rectangle("WALL", (0.0, 0.0), (8.0, 5.0)));
    drawing.add(&rectangle("WALL", (0.3, 0.3), (7.7, 4.7)));
    for x in [2.0, 2.2] {
        drawing.add(&line("WALL-OVER", (x, 0.3), (x, 4.7)));
    }
    assert_eq!(walls(&read(&drawing)), 5);
    let layer = "0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLAYER\n0\nLAYER\n2\nWALL-OVER\n70\n0\n62\n7\n\
                 6\nHIDDEN2\n0\nENDTAB\n0\nENDSEC\n";
    let text = layer.to_owned() + &drawing.text();
    let draft =
        import::draft(import::Kind::Dxf, "t.dxf", text.as_bytes(), &super::super::known::plain());
    assert_eq!(walls(&draft.unwrap()), 4);
}

/// Five rooms of single lines on one layer without a name that says anything.
fn single_lines() -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    for (a, b) in [
        ((0.0, 0.0), (9.0, 0.0)),
        ((9.0, 0.0), (9.0, 6.0)),
        ((9.0, 6.0), (0.0, 6.0)),
        ((0.0, 6.0), (0.0, 0.0)),
        ((3.0, 0.0), (3.0, 6.0)),
        ((6.0, 0.0), (6.0, 6.0)),
        ((3.0, 3.0), (6.0, 3.0)),
        ((6.0, 4.0), (9.0, 4.0)),
    ] {
        drawing.add(&line("ARQ", a, b));
    }
    drawing
}

#[test]
fn a_plan_of_single_lines_on_one_layer_has_its_rooms() {
    let mut drawing = single_lines();
    assert_eq!(walls(&read(&drawing)), 8);
    // The same with a header of millimetres, which would make it a centimetre wide.
    drawing.header = drawing.header.replace('6', "4");
    assert_eq!(walls(&read(&drawing)), 8);
}

#[test]
fn a_door_between_two_wall_ends_with_a_pane_beside_it_gets_its_wall() {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&rectangle("WALL", (0.0, 0.0), (8.0, 9.0)));
    drawing.add(&rectangle("WALL", (0.2, 0.2), (7.8, 8.8)));
    // A porch: two walls that end at the same height, and a leaf between side lights.
    for x in [3.2, 3.3, 5.4, 5.5] {
        drawing.add(&line("WALL", (x, 0.2), (x, 2.0)));
    }
    let leaf = line("0", (0.0, 0.0), (0.0, 0.9)) + &arc("0", (0.0, 0.0), 0.9, 0.0, 90.0);
    drawing.block("DOOR-90", (0.0, 0.0), &leaf);
    drawing.add(&insert("0", "DOOR-90", (3.9, 1.95), &[]));
    let draft = read(&drawing);
    assert_eq!(kinds(&draft), (1, 0, 0), "{:#?}", openings(&draft));
    assert_eq!(walls(&draft), 7);
}

#[test]
fn rooms_drawn_by_their_inner_faces_are_closed_by_them() {
    // Two rooms, each an outline; between them the wall has two faces, outside it has one.
    let mut drawing = Drawing::in_unit(6);
    for x in [0.0, 4.2] {
        let corners = [(x, 0.0, 0.0), (x + 4.0, 0.0, 0.0), (x + 4.0, 3.0, 0.0), (x, 3.0, 0.0)];
        drawing.add(&polyline("Walls", true, &corners));
    }
    // The wall between them, and the outline's six sides.
    assert_eq!(walls(&read(&drawing)), 7);
}

#[test]
fn a_leaf_ajar_on_a_wall_of_one_line_is_a_door_and_no_wall() {
    let mut drawing = single_lines();
    // Fifteen degrees open, from (4, 3) and from (7, 4).
    let (sine, cosine) = 15.0_f64.to_radians().sin_cos();
    for hinge in [(4.0, 3.0), (7.0, 4.0)] {
        let tip = (hinge.0 + 0.9 * cosine, hinge.1 + 0.9 * sine);
        drawing.add(&line("ARQ", hinge, tip));
        drawing.add(&arc("ARQ", hinge, 0.9, 0.0, 15.0));
    }
    let draft = read(&drawing);
    assert_eq!((walls(&draft), kinds(&draft)), (8, (2, 0, 0)), "{:#?}", openings(&draft));
    // An arc of as little without a leaf is none.
    drawing.add(&arc("ARQ", (1.0, 6.0), 0.9, 345.0, 360.0));
    assert_eq!(kinds(&read(&drawing)), (2, 0, 0));
}

#[test]
fn of_a_plan_and_an_elevation_the_one_with_leaves_that_swing_is_read() {
    let mut drawing = on_one_layer("0");
    // To the right of it, a front with a window over another in frames of two lines.
    let frame = |low: (f64, f64), high: (f64, f64)| rectangle("0", low, high);
    drawing.add(&frame((20.0, 0.0), (32.0, 6.0)));
    drawing.add(&frame((20.1, 0.1), (31.9, 5.9)));
    for y in [0.8, 3.6] {
        drawing.add(&frame((21.0, y), (23.0, y + 1.6)));
        drawing.add(&frame((21.1, y + 0.1), (22.9, y + 1.5)));
    }
    let draft = read(&drawing);
    assert_eq!((walls(&draft), kinds(&draft)), (5, (1, 1, 0)), "{:#?}", openings(&draft));
}
