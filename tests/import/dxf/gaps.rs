//! Openings by geometry: what a gap between the ends of walls holds, whatever its layer is called.

use geo::{Euclidean, Geometry, Length, Line};
use import::{Draft, Kind, What};

use super::super::known::{imported, plain};
use super::drawing::{Drawing, arc, insert, line, rectangle};

/// An opening: from where to where, its construction, whether nothing fills it and it leads in.
pub type Opening = (Line<f64>, String, bool, bool);

pub fn read(drawing: &Drawing) -> Draft {
    imported(Kind::Dxf, "test.dxf", drawing.text().as_bytes(), &plain()).0
}

pub fn openings(draft: &Draft) -> Vec<Opening> {
    let openings = draft.pieces.iter().filter_map(|piece| match (&piece.shape, &piece.what) {
        (Geometry::Line(line), What::Opening { construction, open, entry, .. }) => {
            Some((*line, construction.clone(), *open, *entry))
        }
        _ => None,
    });
    openings.collect()
}

pub fn walls(draft: &Draft) -> usize {
    draft.pieces.iter().filter(|piece| matches!(piece.what, What::Wall { .. })).count()
}

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 0.06, "{a} is not {b}");
}

/// A house of two rooms, 8 by 5 m outside, in metres: outside walls 0.3 m, a partition 0.1 m thick
/// from x = 4 to 4.1, open from `from` to `to`, with its jambs.
fn parted(from: f64, to: f64) -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&rectangle("WALL", (0.0, 0.0), (8.0, 5.0)));
    for (side, x) in [(4.0, 0.3), (4.1, 7.7)] {
        for (a, b) in [((side, 0.3), (x, 0.3)), ((x, 0.3), (x, 4.7)), ((x, 4.7), (side, 4.7))] {
            drawing.add(&line("WALL", a, b));
        }
        drawing.add(&line("WALL", (side, 4.7), (side, to)));
        if from > 0.3 {
            drawing.add(&line("WALL", (side, from), (side, 0.3)));
        }
    }
    for y in [from, to] {
        drawing.add(&line("WALL", (4.0, y), (4.1, y)));
    }
    drawing
}

/// The only opening, from `from` to `to` in the partition, and the walls that close both rooms.
fn only(drawing: &Drawing, from: f64, to: f64) -> Opening {
    let draft = read(drawing);
    let mut all = openings(&draft);
    assert_eq!(all.len(), 1, "{all:#?}");
    let one = all.remove(0);
    close(one.0.start.x, 4.05);
    close(one.0.start.y.min(one.0.end.y), from);
    close(one.0.start.y.max(one.0.end.y), to);
    assert_eq!(walls(&draft), 5, "{:#?}", draft.pieces);
    assert!(!one.3);
    one
}

#[test]
fn a_swing_of_any_layer_is_a_door_with_its_hinge_on_either_side() {
    for (hinge, start, end) in [
        ((4.0, 2.0), 90.0, 180.0),
        ((4.1, 2.0), 0.0, 90.0),
        ((4.0, 2.9), 180.0, 270.0),
        ((4.1, 2.9), 270.0, 0.0),
        ((4.05, 2.0), 45.0, 90.0),
    ] {
        let mut drawing = parted(2.0, 2.9);
        drawing.add(&arc("Zeichen", hinge, 0.9, start, end));
        let door = only(&drawing, 2.0, 2.9);
        assert!(door.1 == "door-solid" && !door.2, "{hinge:?} {start} {door:?}");
    }
}

#[test]
fn two_swings_of_half_the_width_are_one_double_door() {
    let mut drawing = parted(1.5, 3.1);
    drawing.add(&arc("0", (4.0, 1.5), 0.8, 90.0, 180.0));
    drawing.add(&arc("0", (4.0, 3.1), 0.8, 180.0, 270.0));
    assert_eq!(only(&drawing, 1.5, 3.1).1, "door-solid");
}

#[test]
fn lines_along_a_gap_of_an_inside_wall_are_a_slider_unless_their_layer_says_panes() {
    let layers = [("VIDRIOS", "glass-double"), ("DOOR", "door-solid"), ("0", "door-solid")];
    for (layer, made) in layers {
        let mut drawing = parted(1.5, 3.1);
        drawing.add(&line(layer, (4.03, 1.5), (4.03, 2.3)));
        drawing.add(&line(layer, (4.07, 2.3), (4.07, 3.1)));
        assert_eq!(only(&drawing, 1.5, 3.1).1, made, "{layer}");
    }
}

#[test]
fn a_gap_with_nothing_in_it_is_a_doorway_without_a_leaf() {
    let mut drawing = parted(1.5, 3.1);
    // A table near it is no sign.
    drawing.add(&rectangle("0", (4.6, 1.8), (6.0, 2.6)));
    assert!(only(&drawing, 1.5, 3.1).2);
}

#[test]
fn a_door_in_a_corner_needs_no_nib() {
    // With ten centimetres of wall between the outside wall and the hinge, and without.
    for from in [0.4, 0.3] {
        let mut drawing = parted(from, from + 0.9);
        drawing.add(&arc("Leaf", (4.0, from), 0.9, 90.0, 180.0));
        drawing.add(&line("Leaf", (4.0, from), (3.1, from)));
        assert!(!only(&drawing, from, from + 0.9).2);
    }
}

#[test]
fn a_leaf_open_against_the_outside_wall_is_no_way_in() {
    // The swing ends at the outside wall, where a leaf could be shut, too; the gap is its place.
    let mut drawing = parted(0.3, 1.2);
    drawing.add(&arc("DOOR", (4.0, 0.3), 0.9, 90.0, 180.0));
    drawing.add(&line("DOOR", (4.0, 0.3), (3.1, 0.3)));
    assert!(!only(&drawing, 0.3, 1.2).3);
}

#[test]
fn swings_leaves_and_jambs_on_the_layer_of_walls_are_no_walls() {
    let mut drawing = parted(2.0, 2.9);
    drawing.add(&arc("WALL", (4.0, 2.0), 0.9, 90.0, 180.0));
    // The leaf is drawn four centimetres thick.
    drawing.add(&rectangle("WALL", (3.1, 2.0), (4.0, 2.04)));
    assert_eq!(only(&drawing, 2.0, 2.9).1, "door-solid");
}

#[test]
fn a_block_of_any_name_in_a_gap_counts_by_its_swing() {
    let mut drawing = parted(2.0, 2.9);
    let leaf = arc("0", (0.0, 0.0), 1.0, 0.0, 90.0) + &line("0", (0.0, 0.0), (1.0, 0.0));
    drawing.block("P-90", (0.0, 0.0), &leaf);
    let turned = [(41, "0.9"), (42, "0.9"), (50, "90")];
    drawing.add(&insert("0", "P-90", (4.0, 2.0), &turned));
    assert_eq!(only(&drawing, 2.0, 2.9).1, "door-solid");
}

#[test]
fn single_lines_have_gaps_too() {
    let mut drawing = Drawing::in_unit(6);
    for (a, b) in [
        ((0.0, 0.0), (3.0, 0.0)),
        ((3.9, 0.0), (8.0, 0.0)),
        ((8.0, 0.0), (8.0, 5.0)),
        ((8.0, 5.0), (0.0, 5.0)),
        ((0.0, 5.0), (0.0, 0.0)),
    ] {
        drawing.add(&line("wall", a, b));
    }
    drawing.add(&arc("0", (3.0, 0.0), 0.9, 0.0, 90.0));
    let all = openings(&read(&drawing));
    assert_eq!(all.len(), 1, "{all:#?}");
    assert!(all[0].3 && all[0].1 == "door-solid", "{all:#?}");
    close(Euclidean.length(&all[0].0), 0.9);
}

#[test]
fn a_wall_whose_face_runs_on_has_a_recess_and_no_opening() {
    let mut drawing = Drawing::in_unit(6);
    drawing.add(&rectangle("wall", (0.0, 0.0), (8.0, 5.0)));
    drawing.add(&line("wall", (0.3, 0.3), (3.0, 0.3)));
    drawing.add(&line("wall", (4.2, 0.3), (7.7, 0.3)));
    for (a, b) in [((7.7, 0.3), (7.7, 4.7)), ((7.7, 4.7), (0.3, 4.7)), ((0.3, 4.7), (0.3, 0.3))] {
        drawing.add(&line("wall", a, b));
    }
    let draft = read(&drawing);
    assert!(openings(&draft).is_empty(), "{:#?}", openings(&draft));
    assert_eq!(walls(&draft), 4);
}

#[test]
fn faces_on_two_layers_make_one_wall() {
    let mut drawing = parted(2.0, 2.9);
    drawing.entities = drawing.entities.replacen("WALL", "WALL EXT", 1);
    assert!(only(&drawing, 2.0, 2.9).2);
}

#[test]
fn walls_without_a_name_are_known_by_their_pairs() {
    let mut drawing = parted(2.0, 2.9);
    drawing.entities = drawing.entities.replace("WALL", "0");
    drawing.add(&arc("0", (4.0, 2.0), 0.9, 90.0, 180.0));
    assert_eq!(only(&drawing, 2.0, 2.9).1, "door-solid");
    let told = &read(&drawing).guesses[0];
    assert!(told.taken.contains("no name says so"), "{told:?}");
}

#[test]
fn of_two_openings_over_one_another_the_plan_gets_one() {
    // Panes in the gap, and a leaf that is drawn over its jamb and the wall beside it.
    let mut drawing = parted(2.0, 2.9);
    drawing.add(&line("Glas", (4.0, 2.0), (4.0, 2.9)));
    drawing.add(&line("Glas", (4.1, 2.0), (4.1, 2.9)));
    drawing.add(&arc("DOOR", (4.0, 2.85), 0.9, 90.0, 180.0));
    let draft = read(&drawing);
    assert_eq!(openings(&draft).len(), 1, "{:#?}", openings(&draft));
    let left_out = draft.guesses.iter().find(|guess| guess.about == "openings").unwrap();
    assert_eq!((left_out.pieces, &*left_out.taken), (1, "left out: another one is there"));
}

#[test]
fn every_line_of_the_drawing_is_kept_with_what_became_of_it() {
    let mut drawing = parted(2.0, 2.9);
    drawing.add(&arc("DOOR", (4.0, 2.0), 0.9, 90.0, 180.0));
    drawing.add(&line("DOOR", (4.0, 2.0), (3.1, 2.0)));
    drawing.add(&rectangle("FURNITURE", (1.0, 1.0), (2.0, 3.0)));
    drawing.add(&line("AXES", (-500.0, 2.5), (900.0, 2.5)));
    let draft = read(&drawing);
    let made = |taken: bool| draft.original.iter().filter(move |one| one.is_taken == taken);
    let long = |line: Line<f64>| Euclidean.length(&line);
    // The sides of the table, and what of the axis is in and round the plan.
    assert_eq!(made(false).count(), 5, "{:#?}", made(false).collect::<Vec<_>>());
    assert!(made(false).all(|one| long(one.line) < 20.0));
    // The swing in pieces, the leaf, and the faces of walls.
    let lines = made(true).map(|one| long(one.line)).fold(0.0, |sum, one| sum + one);
    let swing = 0.9 * std::f64::consts::FRAC_PI_2;
    assert!(lines > swing + 0.9 + 20.0, "{lines}");
    assert!(made(true).any(|one| (long(one.line) - 0.9).abs() < 1e-6), "the leaf");
}

#[test]
fn what_is_guessed_at_a_place_says_where() {
    let draft = read(&parted(2.0, 2.9));
    let gap = draft.guesses.iter().find(|guess| guess.about == "gaps in walls").unwrap();
    assert_eq!((gap.pieces, gap.places.len(), gap.places[0].level), (1, 1, 0));
    let opening = openings(&draft)[0].0;
    assert_eq!(gap.places[0].at, (opening.start + opening.end) * 0.5);
}
