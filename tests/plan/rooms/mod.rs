//! Rooms are what walls close off, and carry the names that the plan gives them.

mod crowded;
mod divided;
mod inside;
mod named;
mod random;

use approx::assert_abs_diff_eq;
use forecast::vocabulary;
use geo::Coord;
use plan::{Plan, Reading, Rooms, read_file, read_house};

/// A plan of walls, each with its thickness in millimetres, and of whatever other features.
fn house(walls: &[(&[(f64, f64)], f64)], others: &[String]) -> Reading {
    let line = |points: &[(f64, f64)]| {
        let points: Vec<String> = points.iter().map(|(x, y)| format!("[{x}, {y}]")).collect();
        points.join(", ")
    };
    let walls = walls.iter().map(|(points, mm)| {
        format!(
            r#"{{"type": "Feature", "geometry": {{"type": "LineString", "coordinates": [{}]}}, "properties": {{"kind": "wall", "construction": "brick-half", "thickness_mm": {mm}}}}}"#,
            line(points)
        )
    });
    let features: Vec<String> = walls.chain(others.iter().cloned()).collect();
    let text =
        format!(r#"{{"type": "FeatureCollection", "features": [{}]}}"#, features.join(",\n"));
    read_house("plan", text.as_bytes(), &vocabulary())
        .unwrap_or_else(|faults| panic!("{text}\n{}", faults[0]))
}

/// A point feature.
fn point(kind: &str, x: f64, y: f64, more: &str) -> String {
    format!(
        r#"{{"type": "Feature", "geometry": {{"type": "Point", "coordinates": [{x}, {y}]}}, "properties": {{"kind": "{kind}"{more}}}}}"#
    )
}

fn areas(plan: &Plan) -> Vec<f64> {
    Rooms::new(plan, &|_| None).all().iter().map(|room| room.area_m2).collect()
}

const BOX: &[(f64, f64)] = &[(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0), (0.0, 0.0)];

#[test]
fn an_area_is_what_lies_between_the_faces_of_walls() {
    // Middles 6 × 4 m, walls 0.2 m: 5.8 × 3.8 m.
    assert_abs_diff_eq!(areas(&house(&[(BOX, 200.0)], &[]).plan)[0], 22.04, epsilon = 1e-6);
    // Cut at x = 2 by a wall of 0.1 m: 1.85 × 3.8 and 3.85 × 3.8.
    let cut = house(&[(BOX, 200.0), (&[(2.0, 0.0), (2.0, 4.0)], 100.0)], &[]);
    let areas = areas(&cut.plan);
    assert_eq!(areas.len(), 2);
    assert_abs_diff_eq!(areas[0], 7.03, epsilon = 1e-6);
    assert_abs_diff_eq!(areas[1], 14.63, epsilon = 1e-6);
}

#[test]
fn an_l_shaped_room_and_one_with_a_pillar_have_their_areas() {
    // 6 × 4 less 2 × 2 at the upper right, on middles; walls 0.2 m: inside 5.8 × 1.8 below and 3.8
    // × 2.0 above it.
    let l: &[(f64, f64)] =
        &[(0.0, 0.0), (6.0, 0.0), (6.0, 2.0), (4.0, 2.0), (4.0, 4.0), (0.0, 4.0), (0.0, 0.0)];
    assert_abs_diff_eq!(areas(&house(&[(l, 200.0)], &[]).plan)[0], 18.04, epsilon = 1e-6);
    // A pillar of four walls, 1 × 1 m on middles, 0.2 m thick, takes 1.2 × 1.2 m; its own inside,
    // 0.8 × 0.8, is a space of its own.
    let pillar: &[(f64, f64)] = &[(2.0, 1.0), (3.0, 1.0), (3.0, 2.0), (2.0, 2.0), (2.0, 1.0)];
    let areas = areas(&house(&[(BOX, 200.0), (pillar, 200.0)], &[]).plan);
    assert_abs_diff_eq!(areas[0], 22.04 - 1.44, epsilon = 1e-6);
    assert_abs_diff_eq!(areas[1], 0.64, epsilon = 1e-6);
}

#[test]
fn walls_that_end_in_a_room_or_are_low_divide_nothing() {
    let stub = house(&[(BOX, 200.0), (&[(2.0, 0.0), (2.0, 3.0)], 100.0)], &[]);
    // The stub takes 2.9 × 0.1 m: 0.1 m of its 3 m lie in the outer wall.
    assert_abs_diff_eq!(areas(&stub.plan)[0], 22.04 - 0.29, epsilon = 1e-6);
    let counter = r#"{"type": "Feature", "geometry": {"type": "LineString", "coordinates": [[2, 0], [2, 4]]}, "properties": {"kind": "wall", "construction": "brick-half", "top": 1.1}}"#;
    let low = house(&[(BOX, 200.0)], &[counter.to_owned()]);
    assert_abs_diff_eq!(areas(&low.plan)[0], 22.04, epsilon = 1e-6);
}

#[test]
fn a_gap_of_a_hand_closes_and_one_of_a_door_does_not() {
    let gap = |to: f64| house(&[(BOX, 200.0), (&[(2.0, 0.0), (2.0, to)], 100.0)], &[]);
    // The outer wall's face lies at 3.9, the cutting wall is 0.05 longer than drawn.
    assert_eq!(areas(&gap(3.86).plan).len(), 2);
    assert_eq!(areas(&gap(3.0).plan).len(), 1);
    // An outline that does not close encloses nothing.
    assert_eq!(areas(&house(&[(&BOX[..4], 200.0)], &[]).plan).len(), 0);
}

#[test]
fn a_place_in_a_wall_belongs_to_the_side_on_which_it_is() {
    let plan = house(&[(BOX, 200.0), (&[(2.0, 0.0), (2.0, 4.0)], 100.0)], &[]).plan;
    let rooms = Rooms::new(&plan, &|_| None);
    let at = |x, y| rooms.at(0, Coord { x, y }).map(|room| room.id.as_str());
    assert_eq!(at(1.0, 1.0), Some("room-1"));
    assert_eq!(at(1.99, 1.0), Some("room-1"));
    assert_eq!(at(2.01, 1.0), Some("room-2"));
    assert_eq!(at(2.0, 1.0), Some("room-1"));
    assert_eq!(at(6.0, 1.0), Some("room-2"));
    assert_eq!(at(7.0, 1.0), None);
    assert!(rooms.at(1, Coord { x: 1.0, y: 1.0 }).is_none());
}

/// Number of rooms and sum of areas in each shipped plan, with walls of own layers as thick as
/// these and every other 0.1 m: shapely 2.2.0, the ground less a rectangle over each segment,
/// longer by half of its thickness but for ends that touch no other wall.
#[test]
fn the_rooms_of_the_shipped_plans_are_those_of_another_library() {
    for (name, level, count, sum_m2) in [
        ("annexe", 0, 12, 110.4500),
        ("brick-house", 0, 8, 75.9050),
        ("brick-house", 1, 7, 68.8200),
        ("bungalow", 0, 13, 123.6740),
        ("corner-shop", 0, 14, 156.4086),
        ("foil-garage", 0, 16, 145.5600),
        ("workshop", 0, 7, 152.6650),
    ] {
        let file = fixtures::floorplan(name);
        let plan = read_file(file.as_ref(), &vocabulary()).unwrap().plan;
        let rooms = Rooms::new(&plan, &|_| None);
        let areas: Vec<f64> = rooms
            .all()
            .iter()
            .filter(|room| room.level == level)
            .map(|room| room.area_m2)
            .collect();
        assert_eq!(areas.len(), count, "{name} {level} {areas:?}");
        assert_abs_diff_eq!(areas.iter().sum::<f64>(), sum_m2, epsilon = 0.001);
        for device in &plan.devices {
            assert!(
                rooms.of(device).is_some() || device.kind.is_two_way() || plan.levels.len() > 1,
                "{name}: {}",
                device.id
            );
        }
    }
}
