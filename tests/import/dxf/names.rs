//! What is written in rooms becomes their name.

use geo::Geometry;
use import::{Draft, What};

use super::drawing::{Drawing, groups, insert, line, two_rooms};
use super::features::read;

/// A line of text, in millimetres.
pub fn text(at: (f64, f64), height: f64, words: &str) -> String {
    format!("0\nTEXT\n8\nA-ANNO\n10\n{}\n20\n{}\n40\n{height}\n1\n{words}\n", at.0, at.1)
}

fn paragraph(at: (f64, f64), height: f64, held: i32, words: &str) -> String {
    let (x, y) = at;
    format!("0\nMTEXT\n8\nNOTES\n10\n{x}\n20\n{y}\n40\n{height}\n41\n0\n71\n{held}\n1\n{words}\n")
}

/// The names of rooms with how far to the right they are, metres.
fn rooms(draft: &Draft) -> Vec<(String, f64)> {
    let rooms = draft.pieces.iter().filter(|piece| piece.what == What::Room);
    let room = |piece: &import::Piece| match piece.shape {
        Geometry::Point(at) => (piece.name.clone().unwrap_or_default(), at.x()),
        _ => panic!("a room without a point"),
    };
    rooms.map(room).collect()
}

pub fn names(draft: &Draft) -> Vec<String> {
    rooms(draft).into_iter().map(|room| room.0).collect()
}

#[test]
fn a_text_in_a_room_is_its_name() {
    let mut drawing = two_rooms();
    drawing.add(&text((1_000.0, 2_500.0), 200.0, "Kitchen"));
    drawing.add(&paragraph(
        (6_000.0, 3_000.0),
        250.0,
        2,
        "{\\fArial|b0|i0;\\C3;Salle \\U+00E0 manger}\\P12,5 m\\U+00B2",
    ));
    // Outside, and in the yard.
    drawing.add(&text((1_000.0, -2_500.0), 400.0, "Ground floor"));
    let draft = read(&drawing);
    assert_eq!(names(&draft), ["Kitchen", "Salle à manger"]);
    assert!(rooms(&draft)[0].1 < 4.0 && rooms(&draft)[1].1 > 4.0);
}

#[test]
fn areas_sizes_and_marks_are_no_names() {
    for other in [
        "12.5 m²",
        "12.5 m2",
        "Area: 12.5 sqm",
        "3.20 x 4.10",
        "3200",
        "D01",
        "W-12",
        "+0.00",
        "CH 2.40",
        "%%c110",
        "S = 14,2 m²",
        "10'-6\" x 9'-0\"",
        "FFL +0.15",
        "UP",
        "A",
        "135 SF",
    ] {
        let mut drawing = two_rooms();
        drawing.add(&text((1_000.0, 2_500.0), 300.0, other));
        drawing.add(&text((1_000.0, 1_500.0), 120.0, "Bed 2"));
        assert_eq!(names(&read(&drawing)), ["Bed 2"], "{other}");
    }
    for name in [
        "WC",
        "Küche",
        "ванная",
        "厨房",
        "厅",
        "침실",
        "Sala de estar",
        "Bath/WC",
        "Bedroom 1",
        "Office 101",
        "Dormitório",
    ] {
        let mut drawing = two_rooms();
        drawing.add(&text((1_000.0, 2_500.0), 150.0, name));
        drawing.add(&text((1_000.0, 1_500.0), 150.0, "9.8 m2"));
        assert_eq!(names(&read(&drawing)), [name]);
    }
}

#[test]
fn the_largest_text_counts_and_lines_below_go_on_with_it() {
    let mut drawing = two_rooms();
    drawing.add(&text((1_000.0, 3_000.0), 200.0, "MASTER"));
    drawing.add(&text((1_000.0, 2_700.0), 200.0, "BEDROOM"));
    drawing.add(&text((1_000.0, 2_400.0), 100.0, "oak floor"));
    drawing.add(&paragraph((6_000.0, 3_000.0), 250.0, 5, "%%LIVING\\PROOM\\P25 m\\S2^;"));
    let draft = read(&drawing);
    assert_eq!(names(&draft), ["MASTER BEDROOM", "%%LIVING ROOM"]);
}

#[test]
fn two_names_in_one_space_are_both_its_name() {
    let mut drawing = two_rooms();
    drawing.add(&text((1_000.0, 2_500.0), 200.0, "Dining"));
    drawing.add(&text((1_000.0, 4_000.0), 200.0, "Kitchen"));
    let draft = read(&drawing);
    assert_eq!(names(&draft), ["Kitchen, Dining"]);
    let about = "rooms that run into one another";
    assert!(draft.guesses.iter().any(|guess| guess.about == about && guess.pieces == 1));
}

#[test]
fn texts_of_blocks_count_where_no_other_is_and_their_attributes_always() {
    let mut drawing = two_rooms();
    drawing.block("TAG", (0.0, 0.0), &text((0.0, 0.0), 200.0, "Sofa"));
    drawing.add(&insert("A-AREA", "TAG", (1_000.0, 2_500.0), &[(66, "1")]));
    drawing.add(&groups(&[(0, "ATTRIB"), (8, "A-AREA"), (10, "1000"), (20, "2000"), (40, "200")]));
    drawing.add(&groups(&[(1, "Lounge"), (2, "ROOM"), (70, "0"), (0, "ATTRIB"), (8, "A-AREA")]));
    drawing.add(&groups(&[(10, "1000"), (20, "1700"), (40, "200"), (1, "Hidden"), (70, "1")]));
    drawing.add("0\nSEQEND\n");
    drawing.add(&insert("A-AREA", "TAG", (5_000.0, 2_500.0), &[]));
    assert_eq!(names(&read(&drawing)), ["Lounge", "Sofa"]);
}

#[test]
fn a_text_held_at_its_end_is_where_it_is_read() {
    // Held at the right end, in the wall beside; centred; in a space that is open: nothing.
    let mut drawing = two_rooms();
    let held = |how: i32, at: (f64, f64)| {
        let more = format!("72\n{how}\n11\n{}\n21\n{}\n", at.0, at.1);
        text((9_000.0, 9_000.0), 200.0, "Study") + &more
    };
    drawing.add(&held(2, (4_050.0, 2_000.0)));
    drawing.add(&held(1, (6_000.0, 2_000.0)));
    assert_eq!(names(&read(&drawing)), ["Study", "Study"]);
    let mut open = Drawing::in_unit(6);
    open.add(&line("WALL", (0.0, 0.0), (5.0, 0.0)));
    open.add(&line("WALL", (0.0, 0.2), (5.0, 0.2)));
    open.add(&text((2.0, 1.0), 0.2, "Terrace"));
    assert!(names(&read(&open)).is_empty());
}
