//! Names of rooms, and the rooms of devices that follow.

use plan::Rooms;

use super::{BOX, house, point};

const CUT: &[(f64, f64)] = &[(2.0, 0.0), (2.0, 4.0)];

fn names(others: &[String]) -> (Vec<Option<String>>, Vec<Option<String>>, Vec<String>) {
    let reading = house(&[(BOX, 200.0), (CUT, 100.0)], others);
    let rooms = Rooms::new(&reading.plan, &|_| None);
    (
        rooms.all().iter().map(|room| room.name.clone()).collect(),
        reading.plan.devices.iter().map(|device| device.room.clone()).collect(),
        reading.warnings.iter().map(|warning| warning.what.clone()).collect(),
    )
}

fn some(name: &str) -> Option<String> {
    Some(name.to_owned())
}

#[test]
fn a_feature_names_its_room_and_the_devices_in_it() {
    let area = r#"{"type": "Feature", "geometry": {"type": "Polygon", "coordinates": [[[3, 1], [5, 1], [5, 2], [3, 1]]]}, "properties": {"kind": "room", "name": "Kitchen"}}"#;
    let (rooms, devices, warnings) = names(&[
        point("room", 1.0, 1.0, r#", "name": "Hall""#),
        area.to_owned(),
        point("sensor", 1.95, 3.0, ""),
        point("sensor", 5.9, 3.0, r#", "room": "Kitchen""#),
    ]);
    assert_eq!(rooms, [some("Hall"), some("Kitchen")]);
    assert_eq!(devices, [some("Hall"), some("Kitchen")]);
    assert!(warnings.is_empty(), "{warnings:?}");
}

#[test]
fn without_a_feature_the_devices_say_it() {
    let (rooms, devices, _) = names(&[
        point("sensor", 0.5, 3.0, r#", "room": "Nook""#),
        point("sensor", 1.0, 3.0, r#", "room": "Hall""#),
        point("sensor", 1.0, 2.0, r#", "room": "Hall""#),
        point("sensor", 1.0, 1.0, ""),
        point("sensor", 4.0, 1.0, ""),
    ]);
    assert_eq!(rooms, [some("Hall"), None]);
    assert_eq!(devices, [some("Nook"), some("Hall"), some("Hall"), some("Hall"), None]);
}

#[test]
fn names_that_name_nothing_or_twice_and_devices_elsewhere_are_warned_of() {
    let (rooms, devices, warnings) = names(&[
        point("room", 1.0, 1.0, r#", "name": "Hall""#),
        point("room", 1.0, 2.0, r#", "name": "Lobby""#),
        point("room", 9.0, 2.0, r#", "name": "Garden""#),
        point("room", 2.0, 2.0, r#", "name": "Wall""#),
        point("room", 4.0, 2.0, ""),
        point("sensor", 1.0, 3.0, r#", "room": "Kitchen""#),
    ]);
    assert_eq!(rooms, [some("Hall"), None]);
    assert_eq!(devices, [some("Kitchen")]);
    for says in [
        "\"Lobby\" and \"Hall\" name the same room",
        "\"Garden\" is in no room",
        "\"Wall\" is in no room",
        "has no name",
        "its \"room\" is \"Kitchen\", but it is in \"Hall\"",
    ] {
        assert!(warnings.iter().any(|warning| warning.contains(says)), "{says}: {warnings:#?}");
    }
    assert_eq!(warnings.len(), 5);
}

#[test]
fn a_device_on_the_middle_line_of_a_wall_is_in_the_room_it_says_and_names_neither() {
    // Only the contact at x = 2 says a room: it could mean either side, so nothing is named.
    let door = point("sensor", 2.0, 1.0, r#", "room": "Kitchen""#);
    let (rooms, devices, _) = names(&[door.clone(), point("sensor", 1.0, 1.0, "")]);
    assert_eq!(rooms, [None, None]);
    assert_eq!(devices, [some("Kitchen"), None]);
    // With both sides named it is in the one that it says, the second, and nobody is warned.
    let hall = point("room", 1.0, 1.0, r#", "name": "Hall""#);
    let kitchen = point("room", 4.0, 1.0, r#", "name": "Kitchen""#);
    let reading = house(&[(BOX, 200.0), (CUT, 100.0)], &[hall, kitchen, door]);
    let rooms = Rooms::new(&reading.plan, &|_| None);
    let room = rooms.of(&reading.plan.devices[0]).unwrap();
    assert_eq!(room.name.as_deref(), Some("Kitchen"));
    assert!(reading.warnings.is_empty(), "{:?}", reading.warnings);
}

#[test]
fn a_name_that_only_devices_give_contradicts_no_device_even_where_a_feature_gives_it_elsewhere() {
    let (rooms, _, warnings) = names(&[
        point("room", 4.0, 1.0, r#", "name": "Store""#),
        point("sensor", 1.0, 1.0, r#", "room": "Store""#),
        point("sensor", 1.0, 2.0, r#", "room": "Store""#),
        point("sensor", 1.0, 3.0, r#", "room": "Hall""#),
    ]);
    assert_eq!(rooms, [some("Store"), some("Store")]);
    assert!(warnings.is_empty(), "{warnings:?}");
}

#[test]
fn a_siren_on_the_outer_face_is_in_no_room_and_names_none() {
    let (rooms, devices, _) = names(&[
        point("siren", 1.0, -0.15, ""),
        point("siren", 5.0, 1.0, ""),
        point("siren", 4.0, -0.15, r#", "room": "Outside""#),
        point("sensor", 4.0, 1.0, r#", "room": "Kitchen""#),
        point("sensor", 1.0, 1.0, r#", "room": "Hall""#),
    ]);
    assert_eq!(rooms, [some("Hall"), some("Kitchen")]);
    assert_eq!(devices, [None, some("Kitchen"), some("Outside"), some("Kitchen"), some("Hall")]);
}
