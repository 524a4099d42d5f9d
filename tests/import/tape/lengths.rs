//! Lengths and names as people write them.

use geo::Geometry;
use import::{Kind, What, draft};

use super::super::known::{plain, refused};

/// The foot in metres, exact.
const FOOT_M: f64 = 0.3048;

/// Width and depth of the only room of a list, metres.
fn size(list: &str) -> (f64, f64) {
    let settings = plain();
    let draft = draft(Kind::Tape, "house.txt", list.as_bytes(), &settings).unwrap();
    let room = draft.pieces.iter().find(|piece| piece.what == What::Room).unwrap();
    let Geometry::Point(middle) = room.shape else { panic!("{room:?}") };
    // From the middle of one wall to that of the other: the room, and half of either wall.
    let wall_m = settings.thickness_m(settings.inside());
    (2.0 * middle.x() - wall_m, 2.0 * middle.y() - wall_m)
}

fn width(text: &str, units: &str) -> f64 {
    size(&format!("units {units}\nroom A {text} x 3m\n")).0
}

#[test]
fn lengths_are_read_as_people_write_them() {
    for (text, metres) in [
        ("3.6", 3.6),
        ("3,6", 3.6),
        ("3.6m", 3.6),
        ("3.6 M", 3.6),
        ("360cm", 3.6),
        ("3600 mm", 3.6),
        // 12 × 0.3048 + 6 × 0.0254.
        ("12' 6\"", 3.81),
        ("12'6", 3.81),
        ("12’ 6”", 3.81),
        ("12′6″", 3.81),
        ("12ft 6in", 3.81),
        ("12 ft 6 in", 3.81),
        ("12.5'", 3.81),
        ("12 1/2 ft", 3.81),
        ("150\"", 3.81),
        ("150in", 3.81),
        // 6 1/2 inches are 165.1 mm, 12 feet 3 657.6 mm.
        ("12' 6 1/2\"", 3.8227),
        ("12' 1/2\"", 3.6703),
    ] {
        assert!((width(text, "m") - metres).abs() < 1e-9, "{text}");
    }
    assert!((width("12.5", "ft") - 12.5 * FOOT_M).abs() < 1e-9);
    assert!((width("3.81m", "ft") - 3.81).abs() < 1e-9);
}

#[test]
fn feet_leave_a_number_without_a_mark_to_what_follows() {
    let faults = refused(Kind::Tape, "house.txt", b"room Z 3 x 3\nroom A 3' 2 x 3");
    assert_eq!((faults[0].line, faults[0].column), (2, 11), "{faults:?}");
    assert!(faults[0].what.contains("depth is missing"), "{faults:?}");
}

#[test]
fn sizes_and_names_are_read_whole() {
    for text in ["3.6 x 4.2", "3.6x4.2", "360cm × 4,2 m", "3.6 by 4.2", "3.6X4200mm"] {
        let (width, depth) = size(&format!("room A {text}"));
        assert!((width - 3.6).abs() < 1e-9 && (depth - 4.2).abs() < 1e-9, "{text}");
    }
    let list = "room “Living  room” 3 x 4 # the rest\n\
                room \"N# 2\" 3 x 4 right-of \"living room\"\n\
                room hall 3 x 4 right-of \"N# 2\" # the rest";
    let draft = draft(Kind::Tape, "house.txt", list.as_bytes(), &plain()).unwrap();
    let rooms = draft.pieces.iter().filter(|piece| piece.what == What::Room);
    let names: Vec<&str> = rooms.filter_map(|room| room.name.as_deref()).collect();
    assert_eq!(names, ["Living room", "N# 2", "hall"]);
}

#[test]
fn what_is_no_length_is_said_with_its_column() {
    let before = "room A ";
    for (text, column) in
        [("", 1), ("  wide", 3), ("3.6q", 1), ("-2", 1), ("9999999", 1), ("1' 1/0\"", 1)]
    {
        let list = format!("room Z 3 x 3\n{before}{text}");
        let faults = refused(Kind::Tape, "house.txt", list.as_bytes());
        assert_eq!((faults[0].line, faults[0].column), (2, before.len() + column), "{text}");
    }
}
