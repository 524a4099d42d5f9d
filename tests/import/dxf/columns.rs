//! Circles and squares become columns.

use geo::{BoundingRect, Geometry};
use import::{Draft, What};

use super::drawing::{Drawing, insert, rectangle, two_rooms};
use super::features::{mapped, read, read_with, walls};

fn circle(layer: &str, (x, y): (f64, f64), radius: f64) -> String {
    format!("0\nCIRCLE\n8\n{layer}\n10\n{x}\n20\n{y}\n40\n{radius}\n")
}

/// The columns: their middles and widths, and the construction of their faces.
fn columns(draft: &Draft) -> Vec<([f64; 3], String)> {
    let columns = draft.pieces.iter().filter_map(|piece| match (&piece.shape, &piece.what) {
        (Geometry::Polygon(area), What::Obstacle { construction, .. }) => {
            let whole = area.bounding_rect().unwrap();
            let (x, y) = whole.center().x_y();
            let tenths = [x, y, whole.width()].map(|metres| (metres * 100.0).round() / 100.0);
            Some((tenths, construction.clone()))
        }
        _ => None,
    });
    columns.collect()
}

/// Two rooms and what else is drawn, with as many walls as without it.
fn with(add: &dyn Fn(&mut Drawing)) -> Vec<([f64; 3], String)> {
    let mut drawing = two_rooms();
    let plain = walls(&read(&drawing));
    add(&mut drawing);
    let draft = read(&drawing);
    assert_eq!(walls(&draft), plain);
    columns(&draft)
}

#[test]
fn circles_and_rectangles_on_layers_of_columns_are_columns() {
    let found = with(&|drawing| {
        drawing.add(&circle("S-COLS", (2_000.0, 2_000.0), 150.0));
        drawing.add(&circle("A-FURN", (6_000.0, 2_000.0), 400.0));
        drawing.add(&rectangle("Stützen", (5_000.0, 1_000.0), (5_300.0, 2_200.0)));
        drawing.add(&rectangle("Stützen", (6_000.0, 1_000.0), (6_050.0, 1_050.0)));
    });
    let concrete = || "concrete-100".to_owned();
    assert_eq!(found, [([2.0, 2.0, 0.3], concrete()), ([5.15, 1.6, 0.3], concrete())]);
}

#[test]
fn what_stands_free_on_a_layer_of_walls_is_a_column_and_what_touches_a_wall_is_wall() {
    let found = with(&|drawing| {
        drawing.add(&rectangle("A-WALL", (2_000.0, 2_000.0), (2_400.0, 2_400.0)));
        // Its filling.
        let corners =
            "10\n2000\n20\n2000\n11\n2400\n21\n2000\n12\n2000\n22\n2400\n13\n2400\n23\n2400\n";
        drawing.add(&format!("0\nSOLID\n8\nA-WALL\n{corners}"));
        drawing.add(&circle("A-WALL", (6_000.0, 2_000.0), 200.0));
    });
    assert_eq!(found.len(), 2, "{found:?}");
    assert_eq!(found[0].0, [2.2, 2.2, 0.4]);
    let mut drawing = two_rooms();
    drawing.add(&rectangle("A-WALL", (3_800.0, 900.0), (4_200.0, 1_300.0)));
    drawing.add(&circle("A-WALL", (4_050.0, 4_000.0), 60.0));
    assert!(columns(&read(&drawing)).is_empty());
}

#[test]
fn a_block_of_a_column_is_one_and_a_map_says_what_it_is_of() {
    let mut drawing = two_rooms();
    drawing.block("Column 300", (0.0, 0.0), &rectangle("0", (-150.0, -150.0), (150.0, 150.0)));
    drawing.add(&insert("MISC", "Column 300", (2_000.0, 3_000.0), &[(50, "45")]));
    drawing.add(&circle("MISC", (6_000.0, 3_000.0), 150.0));
    assert_eq!(columns(&read(&drawing)), [([2.0, 3.0, 0.42], "concrete-100".to_owned())]);
    let steel = read_with(&drawing, &mapped("Column 300", "sheet-metal"));
    assert_eq!(columns(&steel), [([2.0, 3.0, 0.42], "sheet-metal".to_owned())]);
    assert!(columns(&read_with(&drawing, &mapped("Column 300", "none"))).is_empty());
}
