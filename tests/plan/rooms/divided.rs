//! Rooms that are drawn as outlines, in a space without walls between them and without any walls.

use approx::assert_abs_diff_eq;
use plan::{Reading, Rooms};

use super::{BOX, house, point};

/// A room drawn as a rectangle from one corner to the other.
fn area(name: &str, low: (f64, f64), high: (f64, f64)) -> String {
    let ((a, b), (c, d)) = (low, high);
    format!(
        r#"{{"type": "Feature", "geometry": {{"type": "Polygon", "coordinates": [[[{a}, {b}], [{c}, {b}], [{c}, {d}], [{a}, {d}], [{a}, {b}]]]}}, "properties": {{"kind": "room", "name": "{name}"}}}}"#
    )
}

/// The rooms of a box of 6 m by 4 m with features in it: names and areas.
fn rooms(features: &[String]) -> (Vec<(Option<String>, f64)>, Reading) {
    let reading = house(&[(BOX, 200.0)], features);
    let rooms = Rooms::new(&reading.plan, &|_| None);
    (rooms.all().iter().map(|room| (room.name.clone(), room.area_m2)).collect(), reading)
}

fn is(found: &[(Option<String>, f64)], expected: &[(Option<&str>, f64)]) {
    assert_eq!(found.len(), expected.len(), "{found:?}");
    for (found, expected) in found.iter().zip(expected) {
        assert_eq!(found.0.as_deref(), expected.0);
        assert_abs_diff_eq!(found.1, expected.1, epsilon = 0.01);
    }
}

#[test]
fn rooms_that_are_open_to_one_another_are_divided_as_they_are_drawn() {
    let (found, reading) = rooms(&[
        area("Kitchen", (0.1, 0.1), (2.0, 3.9)),
        area("Living", (2.0, 0.1), (5.9, 3.9)),
        point("sensor", 1.0, 1.0, ""),
        point("sensor", 5.0, 1.0, ""),
    ]);
    is(&found, &[(Some("Kitchen"), 1.9 * 3.8), (Some("Living"), 3.9 * 3.8)]);
    let of_devices: Vec<_> =
        reading.plan.devices.iter().map(|device| device.room.as_deref()).collect();
    assert_eq!(of_devices, [Some("Kitchen"), Some("Living")]);
    assert!(reading.warnings.is_empty(), "{:?}", reading.warnings);
    // What is left is a room without a name, unless it is a strip beside a wall.
    let (found, _) =
        rooms(&[area("Kitchen", (0.3, 0.3), (2.0, 3.7)), area("Living", (2.0, 0.3), (4.2, 3.7))]);
    let left = 5.8 * 3.8 - (1.7 + 2.2) * 3.4;
    is(&found, &[(None, left), (Some("Kitchen"), 1.7 * 3.4), (Some("Living"), 2.2 * 3.4)]);
}

#[test]
fn one_outline_and_small_ones_name_the_space_as_points_do() {
    let whole = 5.8 * 3.8;
    let (found, _) = rooms(&[area("Kitchen", (1.0, 1.0), (2.0, 2.0))]);
    is(&found, &[(Some("Kitchen"), whole)]);
    let marks = [area("Kitchen", (1.0, 1.0), (2.0, 2.0)), area("Living", (3.0, 1.0), (4.0, 2.0))];
    let (found, reading) = rooms(&marks);
    is(&found, &[(Some("Kitchen"), whole)]);
    assert!(reading.warnings[0].what.contains("name the same room"), "{:?}", reading.warnings);
}

#[test]
fn a_room_that_is_drawn_where_no_walls_close_is_one_unless_it_lies_over_others() {
    let (found, reading) = rooms(&[
        area("Porch", (7.0, 0.0), (9.0, 2.0)),
        area("All", (-1.0, -1.0), (30.0, 5.0)),
        area("Porch again", (7.0, 0.0), (9.0, 2.1)),
    ]);
    let all = 31.0 * 6.0 - 5.8 * 3.8 - 4.0;
    is(&found, &[(Some("All"), all), (None, 5.8 * 3.8), (Some("Porch"), 4.0)]);
    assert_eq!(reading.warnings.len(), 1, "{:?}", reading.warnings);
}
