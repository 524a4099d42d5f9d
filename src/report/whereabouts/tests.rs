//! Each sentence was worked out by hand from the drawing.

use super::*;
use forecast::vocabulary;
use plan::read_house;
use words::Language;

/// Two rooms of 4 by 6 m, the left one named or not, on walls of 200 mm; a door between them from
/// y 2 to 3, an outside door from x 1 to 2 in the south, a window from x 5 to 6 in the south, a
/// stub of 1 m at x 6 in the north.
fn house(names: &[(f64, &str)], more: &[&str], units: &str) -> Plan {
    let scale = if units == "ft" { 1.0 / 0.3048 } else { 1.0 };
    let line = |points: &[(f64, f64)]| {
        let points: Vec<String> =
            points.iter().map(|(x, y)| format!("[{}, {}]", x * scale, y * scale)).collect();
        format!(r#"{{"type": "LineString", "coordinates": [{}]}}"#, points.join(", "))
    };
    let feature = |id: &str, kind: &str, geometry: String, more: &str| {
        format!(
            r#"{{"type": "Feature", "id": "{id}", "geometry": {geometry}, "properties": {{"kind": "{kind}", "level": 1{more}}}}}"#
        )
    };
    let point = |x: f64, y: f64| {
        format!(r#"{{"type": "Point", "coordinates": [{}, {}]}}"#, x * scale, y * scale)
    };
    let wall = |id: &str, points: &[(f64, f64)]| {
        feature(id, "wall", line(points), r#", "construction": "brick-half", "thickness_mm": 200"#)
    };
    let opening = |id: &str, points: &[(f64, f64)], sill: f64| {
        let more = format!(
            r#", "construction": "door-hollow", "base": {}, "top": {}"#,
            (2.6 + sill) * scale,
            4.7 * scale
        );
        feature(id, "opening", line(points), &more)
    };
    let mut all = vec![
        wall("w-1", &[(0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0), (0.0, 0.0)]),
        wall("w-2", &[(4.0, 0.0), (4.0, 6.0)]),
        wall("w-3", &[(6.0, 5.0), (6.0, 6.0)]),
        opening("o-1", &[(4.0, 2.0), (4.0, 3.0)], 0.0),
        opening("o-2", &[(1.0, 0.0), (2.0, 0.0)], 0.0),
        opening("o-3", &[(5.0, 0.0), (6.0, 0.0)], 0.9),
        feature("p-1", "outlet", point(0.1, 5.0), ""),
        feature("p-2", "outlet", point(0.1, 1.5), ""),
        feature("p-3", "outlet", point(7.9, 1.5), ""),
    ];
    for (number, (x, name)) in names.iter().enumerate() {
        let more = format!(r#", "name": "{name}""#);
        all.push(feature(&format!("r-{number}"), "room", point(*x, 3.0), &more));
    }
    for device in more {
        let [x, y, rest] = device.splitn(3, ' ').collect::<Vec<_>>()[..] else {
            panic!("{device}")
        };
        let at = point(x.parse().expect("x"), y.parse().expect("y"));
        all.push(feature(&format!("d-{x}-{y}"), "sensor", at, &format!(", {rest}")));
    }
    let text = format!(
        r#"{{"type": "FeatureCollection", "units": "{units}", "levels": [{{"level": 1, "name": "Upper", "floor": {}, "ceiling": {}}}], "features": [{}]}}"#,
        2.6 * scale,
        5.0 * scale,
        all.join(",\n")
    );
    let read = read_house("plan", text.as_bytes(), &vocabulary());
    read.unwrap_or_else(|faults| panic!("{text}\n{}", faults[0])).plan
}

/// With plain blanks.
fn plain(text: &str) -> String {
    text.replace('\u{a0}', " ")
}

const BOTH: [(f64, &str); 2] = [(2.0, "Hall"), (5.0, "Kitchen")];
const MOTION: &str = r#"2.0 3.0 "name": "Hall motion", "device": "motion""#;

#[track_caller]
fn assert_at(plan: &Plan, x: f64, y: f64, said: &str) {
    let found = Places::new(plan).all(&Words::default(), &[(1, Coord { x, y }, 2.6 + 1.5)]);
    assert_eq!(plain(&found.concat()), said);
}

#[test]
fn a_wall_is_named_by_the_rooms_on_its_sides_or_by_its_side_of_the_room() {
    let plan = house(&BOTH, &[], "m");
    assert_at(
        &plan,
        3.87,
        3.5,
        "Hall side of the Kitchen wall, 0.50 m left of the door frame, 1.50 m up",
    );
    assert_at(&plan, 1.5, 5.87, "Hall, north outside wall, 1.40 m right of the corner, 1.50 m up");
    assert_at(
        &plan,
        5.87,
        5.3,
        "Kitchen, wall inside the room, west face, 0.30 m left of the end of the wall, 1.50 m up",
    );
    // A siren on the street side, and a place in no room that is near no wall.
    assert_at(
        &plan,
        2.0,
        6.13,
        "outside, north wall of the Hall, 2.10 m left of the end of the wall, 1.50 m up",
    );
    assert_at(&plan, 20.0, 3.0, "outside, 1.50 m up");
}

#[test]
fn an_unnamed_room_is_known_by_the_nearest_device() {
    let plan = house(&BOTH[..1], &[MOTION], "m");
    assert_at(&plan, 3.87, 3.5, "Hall, east wall, 0.50 m left of the door frame, 1.50 m up");
    assert_at(
        &plan,
        4.13,
        3.5,
        "Unnamed room side of the Hall wall, 0.50 m right of the door frame, 1.50 m up",
    );
    assert_at(
        &plan,
        7.87,
        4.5,
        "Unnamed room, east outside wall, 1.40 m right of the corner, 6.06 m from Hall motion, 1.50 m up",
    );
    assert_at(&plan, 6.0, 3.0, "4.00 m from Hall motion, 1.50 m up");
}

#[test]
fn a_plan_without_rooms_has_its_walls_by_their_face_and_its_devices() {
    let line = r#"{"type": "Feature", "id": "w", "geometry": {"type": "LineString", "coordinates": [[0, 0], [4, 0]]}, "properties": {"kind": "wall", "construction": "brick-half", "thickness_mm": 200}}"#;
    let text = format!(r#"{{"type": "FeatureCollection", "units": "m", "features": [{line}]}}"#);
    let plan = read_house("plan", text.as_bytes(), &vocabulary()).expect("a plan").plan;
    let at = |x, y| {
        plain(&Places::new(&plan).all(&Words::default(), &[(0, Coord { x, y }, 1.5)]).concat())
    };
    assert_eq!(at(1.0, 0.13), "wall, north face, 1.00 m left of the end of the wall, 1.50 m up");
    assert_eq!(at(1.0, 3.0), "1.50 m up");
}

#[test]
fn contacts_are_at_their_door_or_window_and_others_are_measured() {
    let window = r#"6.05 0.13 "name": "Window", "device": "contact""#;
    let shock = r#"4.95 0.13 "name": "Pane", "device": "shock", "mount": "frame""#;
    let motion = r#"6.10 0.13 "name": "Eye", "device": "motion""#;
    let corner = r#"4.12 0.12 "name": "Corner eye", "device": "motion", "room": "Pantry""#;
    let plan = house(&BOTH, &[window, shock, motion, corner], "m");
    let said: Vec<String> = plan
        .devices
        .iter()
        .map(|device| plain(&place_words(&Words::default(), &plan, device)))
        .collect();
    assert_eq!(
        said,
        [
            "Kitchen, south outside wall, at the window, 1.50 m up",
            "Kitchen, south outside wall, at the window, 1.50 m up",
            "Kitchen, south outside wall, 0.10 m left of the window, 1.50 m up",
            "Pantry, south outside wall, in the right corner, 1.50 m up",
        ]
    );
}

#[test]
fn openings_are_named_by_their_contact_or_by_the_rooms_on_both_sides() {
    let words = Words::default();
    let plan = house(&BOTH, &[], "m");
    let said = |plan: &Plan, id: &str| plain(&Places::new(plan).opening(&words, id));
    assert_eq!(said(&plan, "o-1"), "door Hall–Kitchen");
    assert_eq!(said(&plan, "o-2"), "door of the Hall, south wall");
    assert_eq!(said(&plan, "o-3"), "window of the Kitchen, south wall");
    assert_eq!(said(&plan, "no such"), "no such");
    let spanish = Words { language: Language::Spanish };
    assert_eq!(Places::new(&plan).opening(&spanish, "o-2"), "puerta de Hall, pared sur");
    // One of two contacts is on the door itself; the eye above it does not give it a name.
    let devices = [
        r#"1.5 0.2 "name": "Eye", "device": "motion""#,
        r#"2.4 0.1 "name": "Letter box", "device": "contact""#,
        r#"2.05 0.1 "name": "Front door", "device": "contact""#,
    ];
    assert_eq!(said(&house(&BOTH, &devices, "m"), "o-2"), "Front door");
    let bare = house(&[], &[MOTION], "m");
    assert_eq!(
        said(&bare, "o-2"),
        "door, Unnamed room, south outside wall, 3.04 m from Hall motion"
    );
}

#[test]
fn outlets_are_named_by_room_and_wall_and_by_more_where_two_share_one() {
    let words = Words::default();
    let plan = house(&BOTH, &[], "m");
    let said = |id: &str| plain(&Places::new(&plan).outlet(&words, id));
    assert_eq!(said("p-3"), "outlet (Kitchen, east outside wall)");
    assert_eq!(said("p-1"), "outlet (Hall, west outside wall, 0.90 m left of the corner)");
    assert_eq!(said("p-2"), "outlet (Hall, west outside wall, 1.40 m right of the corner)");
}

#[test]
fn a_plan_in_feet_speaks_in_feet() {
    let plan = house(&BOTH, &[], "ft");
    assert_at(
        &plan,
        3.87,
        3.5,
        "Hall side of the Kitchen wall, 1' 8\" left of the door frame, 4' 11\" up",
    );
}
