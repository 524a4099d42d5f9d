//! What happens exactly at ends, faces and corners.

use forecast::{Edges, Model, Walls};
use plan::Plan;

use crate::invariants::house::{at, field_plan, path_loss, wall};

fn sharp() -> Model {
    Model { reflections: 0, openings: Edges::Sharp, walls: Walls::Ideal, ..Model::default() }
}

fn excess(plan: &Plan) -> f64 {
    let mut empty = plan.clone();
    empty.walls.clear();
    path_loss(plan, sharp()) - path_loss(&empty, sharp())
}

fn assert_one_crossing(plan: &Plan, what: &str) {
    let mut single = plan.clone();
    single.walls.truncate(1);
    let (all, one) = (excess(plan), excess(&single));
    assert!(one > 0.5, "{what}: the first wall alone is not crossed ({one} dB)");
    assert!((all - one).abs() < 1e-9, "{what}: {all} dB instead of {one} dB");
}

#[test]
fn a_path_through_the_shared_end_of_two_walls_in_line_crosses_one() {
    let mut plan = field_plan(at(0.0, 0.0), at(4.0, 0.0));
    plan.walls.push(wall("a", "brick-half", &[at(2.0, -1.0), at(2.0, 0.0)]));
    plan.walls.push(wall("b", "brick-half", &[at(2.0, 0.0), at(2.0, 1.0)]));
    assert_one_crossing(&plan, "in line");
}

#[test]
fn a_path_through_the_tip_of_a_corner_crosses_one_wall() {
    // Both walls lie on the same side of the path, at equal angles to it.
    let mut plan = field_plan(at(0.0, 0.0), at(4.0, 0.0));
    plan.walls.push(wall("a", "brick-half", &[at(1.0, 1.0), at(2.0, 0.0)]));
    plan.walls.push(wall("b", "brick-half", &[at(2.0, 0.0), at(3.0, 1.0)]));
    assert_one_crossing(&plan, "tip");
}

#[test]
fn at_a_junction_the_heavier_wall_counts() {
    let mut plan = field_plan(at(0.0, 0.0), at(4.0, 0.0));
    plan.walls.push(wall("heavy", "concrete-200", &[at(2.0, -1.0), at(2.0, 1.0)]));
    plan.walls.push(wall("light", "stud-partition", &[at(2.0, 0.0), at(3.5, 1.0)]));
    assert_one_crossing(&plan, "junction");
}

#[test]
fn a_corner_of_one_polyline_crosses_one() {
    let mut plan = field_plan(at(0.0, 0.0), at(4.0, 4.0));
    plan.walls.push(wall("l", "brick-half", &[at(0.0, 2.0), at(2.0, 2.0), at(2.0, 0.0)]));
    let mut single = plan.clone();
    single.walls[0] = wall("l", "brick-half", &[at(0.0, 2.0), at(2.0, 2.0)]);
    assert!((excess(&plan) - excess(&single)).abs() < 1e-9);
    assert!(excess(&single) > 0.5);
}

#[test]
fn two_walls_that_cross_away_from_their_ends_count_both() {
    let mut plan = field_plan(at(0.0, 0.0), at(4.0, 0.0));
    plan.walls.push(wall("a", "brick-half", &[at(1.5, -1.0), at(2.5, 1.0)]));
    let one = excess(&plan);
    plan.walls.push(wall("b", "brick-half", &[at(2.5, -1.0), at(1.5, 1.0)]));
    assert!((excess(&plan) - 2.0 * one).abs() < 1e-9);
}

#[test]
fn a_device_on_the_centre_line_or_the_face_does_not_cross_its_wall() {
    for x in [2.0, 2.004, 1.95, 1.949] {
        let mut plan = field_plan(at(0.0, 0.0), at(x, 0.0));
        plan.walls.push(wall("a", "brick-half", &[at(2.0, -1.0), at(2.0, 1.0)]));
        assert_eq!(excess(&plan), 0.0, "at x = {x}");
    }
    let mut plan = field_plan(at(0.0, 0.0), at(2.02, 0.0));
    plan.walls.push(wall("a", "brick-half", &[at(2.0, -1.0), at(2.0, 1.0)]));
    assert!(excess(&plan) > 0.5, "inside the far half of the wall");
}

#[test]
fn a_path_along_a_wall_crosses_nothing_of_it() {
    let mut plan = field_plan(at(0.0, 0.0), at(4.0, 0.0));
    plan.walls.push(wall("a", "brick-half", &[at(1.0, 0.0), at(3.0, 0.0)]));
    assert_eq!(excess(&plan), 0.0);
}

#[test]
fn both_devices_at_one_place_is_no_disaster() {
    let plan = field_plan(at(1.0, 1.0), at(1.0, 1.0));
    assert_eq!(path_loss(&plan, Model::default()), 0.0);
}
