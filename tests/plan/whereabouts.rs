//! Places in words, against a house in which each answer was worked out by hand.

use approx::assert_abs_diff_eq;
use forecast::vocabulary;
use geo::Coord;
use plan::{Behind, Compass, Landmark, Plan, Rooms, Side, Surroundings, Whereabouts, read_house};

/// Two rooms of 4 by 6 m on each of two levels; walls of 200 mm. The wall between them has a door
/// from y 2 to 3; the south wall of the kitchen a window from x 5 to 6; a stub, 1 m long, stands
/// out from the north wall of the kitchen at x 6.
fn house() -> Plan {
    let level = |number: i32| {
        let floor = f64::from(number) * 2.6;
        let wall = |points: &str| {
            format!(
                r#"{{"type": "Feature", "geometry": {{"type": "LineString", "coordinates": [{points}]}}, "properties": {{"kind": "wall", "construction": "brick-half", "thickness_mm": 200, "level": {number}}}}}"#
            )
        };
        let room = |x: f64, name: &str| {
            format!(
                r#"{{"type": "Feature", "geometry": {{"type": "Point", "coordinates": [{x}, 3]}}, "properties": {{"kind": "room", "name": "{name}", "level": {number}}}}}"#
            )
        };
        let opening = |points: &str, sill: f64| {
            format!(
                r#"{{"type": "Feature", "geometry": {{"type": "LineString", "coordinates": [{points}]}}, "properties": {{"kind": "opening", "construction": "door-hollow", "base": {}, "top": {}, "level": {number}}}}}"#,
                floor + sill,
                floor + 2.1
            )
        };
        [
            wall("[0, 0], [8, 0], [8, 6], [0, 6], [0, 0]"),
            wall("[4, 0], [4, 6]"),
            wall("[6, 5], [6, 6]"),
            room(2.0, ["Hall", "Landing"][number as usize]),
            room(5.0, ["Kitchen", "Bedroom"][number as usize]),
            opening("[4, 2], [4, 3]", 0.0),
            opening("[5, 0], [6, 0]", 0.9),
        ]
        .join(",\n")
    };
    let text = format!(
        r#"{{"type": "FeatureCollection", "levels": [{{"level": 0, "name": "Ground", "floor": 0, "ceiling": 2.4}}, {{"level": 1, "name": "Upper", "floor": 2.6, "ceiling": 5}}], "features": [{},{}]}}"#,
        level(0),
        level(1)
    );
    read_house("plan", text.as_bytes(), &vocabulary())
        .unwrap_or_else(|faults| panic!("{text}\n{}", faults[0]))
        .plan
}

fn at(level: i32, x: f64, y: f64) -> Whereabouts {
    let plan = house();
    let rooms = Rooms::new(&plan, &|_| None);
    let floor_m = plan.level(level).unwrap().floor_m;
    Surroundings::new(&plan, &rooms, &|_| None).of(level, Coord { x, y }, floor_m + 1.5)
}

/// Room, what is behind the wall, landmark, side, distance.
fn said(level: i32, x: f64, y: f64) -> (String, Behind, Landmark, Side, f64) {
    let found = at(level, x, y);
    let wall = found.wall.unwrap();
    let beside = wall.beside.unwrap();
    (found.room.unwrap(), wall.behind, beside.landmark, beside.side, beside.distance_m)
}

fn assert_said(
    (level, x, y): (i32, f64, f64),
    (room, behind, landmark, side, distance_m): (&str, Behind, Landmark, Side, f64),
) {
    let found = said(level, x, y);
    assert_eq!(
        (found.0.as_str(), &found.1, found.2, found.3),
        (room, &behind, landmark, side),
        "level {level}, {x}, {y}: {found:?}"
    );
    assert_abs_diff_eq!(found.4, distance_m, epsilon = 1e-9);
}

#[test]
fn left_and_right_are_those_of_who_faces_the_wall() {
    let room = |name: &str| Behind::Room(name.to_owned());
    // In the hall one faces east: north is left, so a spot north of the door is left of it.
    assert_said((0, 3.87, 3.5), ("Hall", room("Kitchen"), Landmark::Door, Side::Left, 0.5));
    assert_said((0, 3.87, 1.5), ("Hall", room("Kitchen"), Landmark::Door, Side::Right, 0.5));
    // In the kitchen one faces west: the same spots change sides.
    assert_said((0, 4.13, 3.5), ("Kitchen", room("Hall"), Landmark::Door, Side::Right, 0.5));
    assert_said((0, 4.13, 1.5), ("Kitchen", room("Hall"), Landmark::Door, Side::Left, 0.5));
    // On the upper level, with its own rooms.
    assert_said((1, 4.13, 1.5), ("Bedroom", room("Landing"), Landmark::Door, Side::Left, 0.5));
    assert_eq!(at(1, 4.13, 1.5).level.as_deref(), Some("Upper"));
    assert_abs_diff_eq!(at(1, 4.13, 1.5).height_m, 1.5, epsilon = 1e-9);
}

#[test]
fn windows_and_corners_of_outside_walls_are_landmarks() {
    // South wall from inside: one faces south, west is right.
    assert_said((0, 6.4, 0.13), ("Kitchen", Behind::Outside, Landmark::Window, Side::Left, 0.4));
    assert_said((0, 4.7, 0.13), ("Kitchen", Behind::Outside, Landmark::Window, Side::Right, 0.3));
    // The corner is where the other wall's face is: x 7.9, and one who faces south has it left.
    assert_said((0, 7.5, 0.13), ("Kitchen", Behind::Outside, Landmark::Corner, Side::Right, 0.4));
    assert_said((0, 4.3, 0.13), ("Kitchen", Behind::Outside, Landmark::Corner, Side::Left, 0.2));
    // A stub hides what is beyond it: its face is at x 5.9.
    assert_said((0, 5.5, 5.87), ("Kitchen", Behind::Outside, Landmark::Corner, Side::Left, 0.4));
    // On the stub itself, whose both sides look into one room, its end at y 5.
    assert_said((0, 5.87, 5.3), ("Kitchen", Behind::Same, Landmark::End, Side::Left, 0.3));
}

#[test]
fn a_contact_is_at_its_window_and_what_stands_free_has_no_wall() {
    let window = said(0, 5.5, 0.05);
    assert_eq!((window.2, window.3), (Landmark::Window, Side::Within));
    assert_abs_diff_eq!(window.4, 0.0);
    let free = at(0, 2.0, 3.0);
    assert_eq!((free.room.as_deref(), free.wall), (Some("Hall"), None));
}

#[test]
fn a_face_looks_away_from_its_wall() {
    let faces = |x, y| at(0, x, y).wall.map(|wall| (wall.faces, wall.behind));
    let same = |x, y, faces_to| assert_eq!(faces(x, y), Some((faces_to, Behind::Outside)));
    same(2.0, 5.87, Compass::South);
    same(2.0, 0.13, Compass::North);
    same(0.13, 3.0, Compass::East);
    // The same wall from outside: who stands there is in no room.
    let outside = at(0, 2.0, 6.13);
    assert!(outside.is_outside && outside.room.is_none());
    let wall = outside.wall.unwrap();
    assert_eq!((wall.faces, wall.behind), (Compass::North, Behind::Room("Hall".to_owned())));
}

#[test]
fn directions_are_named_by_the_nearest_eighth_of_a_turn() {
    let of = |degrees: f64| {
        let (y, x) = degrees.to_radians().sin_cos();
        Compass::of(Coord { x, y })
    };
    assert_eq!((of(0.0), of(90.0), of(-90.0)), (Compass::East, Compass::North, Compass::South));
    assert_eq!((of(22.0), of(23.0)), (Compass::East, Compass::NorthEast));
    assert_eq!(
        (of(180.0), of(-179.0), of(-157.0)),
        (Compass::West, Compass::West, Compass::SouthWest)
    );
    assert_eq!(of(-23.0).opposite(), Compass::NorthWest);
}
