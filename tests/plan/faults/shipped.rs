//! What the shipped plans must hold for people to walk in them and wires to run.

use geo::{Distance, Euclidean, Point};
use plan::{DeviceKind, Opening, Plan, read};

/// Farthest that an outlet sits from the middle line of its wall, metres: half a thick wall.
const AT_WALL_M: f64 = 0.25;

fn shipped() -> Vec<(String, Plan)> {
    let plans = fixtures::plan_texts().into_iter().map(|(name, text)| {
        let reading = read(&name, text.as_bytes(), &forecast::vocabulary()).unwrap();
        assert_eq!(reading.warnings, [], "{name}");
        (name, reading.plan)
    });
    plans.collect()
}

/// Whether an opening reaches down to the floor of its level: then it is a door.
fn is_door(plan: &Plan, opening: &Opening) -> bool {
    let level = plan.level(plan.walls[opening.wall].level).unwrap();
    opening.base_m <= level.floor_m + 0.001
}

#[test]
fn all_are_there() {
    let names: Vec<String> = shipped().into_iter().map(|(name, _)| name).collect();
    assert_eq!(names, fixtures::PLANS);
    let with = shipped().iter().filter(|(_, plan)| !plan.mountables.is_empty()).count();
    assert!((1..6).contains(&with), "some with, some without mountables");
}

#[test]
fn doors_and_windows_can_be_told_apart() {
    for (name, plan) in shipped() {
        assert!(plan.openings.iter().any(|opening| opening.entry), "{name} has no entry");
        for opening in &plan.openings {
            let id = &opening.id;
            if opening.entry || id.ends_with("door") {
                assert!(is_door(&plan, opening), "{name}: {id}");
                assert!(opening.to_m - opening.from_m >= 0.6, "{name}: {id}");
            }
            if id.contains("window") || id.contains("pane") {
                assert!(!is_door(&plan, opening), "{name}: {id}");
            }
        }
    }
}

#[test]
fn outlets_and_panels_are_on_walls() {
    for (name, plan) in shipped() {
        assert!(plan.outlets.len() >= 6, "{name}");
        let walls = |level: i32| plan.walls.iter().filter(move |wall| wall.level == level);
        let off_m = |level: i32, point: geo::Coord<f64>| {
            walls(level)
                .map(|wall| Euclidean.distance(&Point(point), &wall.line))
                .fold(f64::INFINITY, f64::min)
        };
        for outlet in &plan.outlets {
            let off_m = off_m(outlet.level, outlet.position);
            assert!((0.01..AT_WALL_M).contains(&off_m), "{name}: {} {off_m}", outlet.id);
            let height_m = outlet.height_m - plan.level(outlet.level).unwrap().floor_m;
            assert!((0.0..1.3).contains(&height_m), "{name}: {}", outlet.id);
        }
        let panel = plan.panel().unwrap();
        assert!(off_m(panel.level, panel.position) < AT_WALL_M, "{name}");
    }
}

#[test]
fn stairs_pass_through_the_hole_of_the_floor_that_they_lead_to() {
    let (_, house) = shipped().swap_remove(1);
    let stairs = &house.stairs[0];
    assert_eq!((stairs.level, stairs.to_level), (0, 1));
    let slab = house.slabs.iter().find(|slab| slab.level == 1).unwrap();
    let middle = (stairs.line.0[0] + stairs.line.0[1]) / 2.0;
    assert!(Euclidean.distance(&Point(middle), &slab.outline) > 0.3, "over the hole");
    let top = stairs.line.0[1];
    assert_eq!(Euclidean.distance(&Point(top), &slab.outline), 0.0, "on the landing");
    let devices_upstairs = house.devices.iter().filter(|device| device.level == 1);
    assert!(devices_upstairs.count() > 5);
    assert!(house.devices.iter().any(|device| device.kind == DeviceKind::Keypad));
}
