//! Runs whose length can be told by hand. Ceiling 2.4 m, outlet at 0.3 m, spot at 1.5 m, unless
//! said.

use approx::assert_abs_diff_eq;
use geo::Coord;
use siting::wire::{NoRun, WireNetwork};

use crate::power_run::plans::{
    at, check_route, house, length_m, opening, outlet, run, storeys, wall,
};

#[track_caller]
fn assert_length(plan: &plan::Plan, spot: Coord<f64>, expected_m: f64) {
    assert_abs_diff_eq!(length_m(plan, 0, spot, 1.5), expected_m, epsilon = 1e-9);
}

#[test]
fn one_wall_takes_one_bend() {
    let (plan, _) = house(&[(0.0, 0.0), (6.0, 0.0)], at(1.0, 0.0));
    // 4 across, 1.2 up.
    assert_length(&plan, at(5.0, 0.0), 5.2);
    let run = run(&plan, 0, at(5.0, 0.0), 1.5).unwrap();
    assert_eq!(run.route.len(), 3);
    assert_eq!(run.outlet, "outlet 0");
    // 5.2 and a tenth of it, and half a metre for the ends.
    assert_abs_diff_eq!(run.cable_m, 5.2 * 1.1 + 0.5, epsilon = 1e-9);
    // Straight above the outlet.
    assert_length(&plan, at(1.0, 0.0), 1.2);
}

#[test]
fn one_wall_drawn_in_pieces_is_one_wall() {
    let (mut plan, _) = house(&[(0.0, 0.0), (2.0, 0.0), (3.0, 0.0)], at(1.0, 0.0));
    wall(&mut plan, 0, &[(6.0, 0.0), (3.0, 0.0)]);
    wall(&mut plan, 0, &[(3.0, 0.0), (3.0, 4.0)]);
    assert_length(&plan, at(5.0, 0.0), 5.2);
    assert_eq!(run(&plan, 0, at(5.0, 0.0), 1.5).unwrap().route.len(), 3);
}

#[test]
fn round_a_corner_it_goes_by_floor_or_ceiling() {
    let (plan, _) = house(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)], at(1.0, 0.0));
    // Down 0.3, along 3 + 2, up 1.5; by the ceiling it would be 2.1 + 5 + 0.9.
    assert_length(&plan, at(4.0, 2.0), 6.8);
    // A high spot: up 2.1, along 5, down 0.2, against 0.3 + 5 + 2.2.
    assert_abs_diff_eq!(length_m(&plan, 0, at(4.0, 2.0), 2.2), 7.3, epsilon = 1e-9);
}

#[test]
fn past_a_door_it_goes_over_it() {
    let (mut plan, wall) = house(&[(0.0, 0.0), (6.0, 0.0)], at(1.0, 0.0));
    opening(&mut plan, (wall, 0), (2.0, 3.0), (0.0, 2.0));
    // Up 2.1, along 4, down 0.9.
    assert_length(&plan, at(5.0, 0.0), 7.0);
    // A door as high as the wall stops it: no other way.
    plan.openings[0].top_m = 2.4;
    assert_eq!(run(&plan, 0, at(5.0, 0.0), 1.5).unwrap_err(), NoRun::Unreachable);
}

#[test]
fn a_door_as_high_as_the_wall_is_gone_round() {
    let ring = [(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (0.0, 4.0), (0.0, 0.0)];
    let (mut plan, ring) = house(&ring, at(1.0, 0.0));
    opening(&mut plan, (ring, 0), (2.0, 3.0), (0.0, 2.4));
    // By the floor: down 0.3, back 1, 4, 6, 4, 1 to the spot, up 1.5.
    assert_length(&plan, at(5.0, 0.0), 0.3 + 16.0 + 1.5);
}

#[test]
fn past_a_window_it_goes_below() {
    let (mut plan, wall) = house(&[(0.0, 0.0), (6.0, 0.0)], at(1.0, 0.0));
    opening(&mut plan, (wall, 0), (2.0, 3.0), (0.9, 2.1));
    // At the outlet's height below the sill, then up.
    assert_length(&plan, at(5.0, 0.0), 5.2);
    // An outlet at the window's height: down to the floor, along, up; above the head it is
    // 1.2 + 4 + 0.9.
    plan.outlets[0].height_m = 1.2;
    assert_length(&plan, at(5.0, 0.0), 6.1);
    // A window down to the floor leaves only the ceiling, one up to the ceiling only the floor.
    plan.openings[0].base_m = 0.0;
    assert_length(&plan, at(5.0, 0.0), 6.1);
    plan.openings[0].base_m = 0.9;
    plan.openings[0].top_m = 2.4;
    assert_length(&plan, at(5.0, 0.0), 1.2 + 4.0 + 1.5);
}

#[test]
fn an_outlet_below_a_window_goes_down_first() {
    let (mut plan, bottom) = house(&[(0.0, 0.0), (6.0, 0.0), (6.0, 5.0)], at(2.5, 0.0));
    opening(&mut plan, (bottom, 0), (2.0, 3.0), (0.9, 2.1));
    opening(&mut plan, (bottom, 0), (4.0, 5.0), (0.0, 2.0));
    // Down 0.3, along the floor to the window's jamb or any place before the door, up 2.4, over the
    // door and round the corner to the spot, down 0.9: 3.5 + 2 along.
    assert_length(&plan, at(6.0, 2.0), 0.3 + 2.4 + 5.5 + 0.9);
}

#[test]
fn between_doors_it_changes_height_twice() {
    let (mut plan, wall) = house(&[(0.0, 0.0), (10.0, 0.0)], at(1.0, 0.0));
    opening(&mut plan, (wall, 0), (2.0, 3.0), (0.0, 2.0));
    opening(&mut plan, (wall, 0), (5.0, 6.0), (1.0, 2.4));
    // Over the door at the ceiling, down to the floor between, below the window, up.
    assert_length(&plan, at(9.0, 0.0), 2.1 + 8.0 + 2.4 + 1.5);
}

#[test]
fn a_wall_that_joins_in_a_t_shortens_the_way() {
    let ring = [(0.0, 0.0), (8.0, 0.0), (8.0, 4.0), (0.0, 4.0), (0.0, 0.0)];
    let (mut plan, _) = house(&ring, at(3.0, 0.0));
    // Across the room: round by the left, 3 + 4 + 3.
    assert_length(&plan, at(3.0, 4.0), 0.3 + 10.0 + 1.5);
    // A partition at x = 2, its ends 3 cm short: 1 + 4 + 1; the gaps are part of the 4.
    wall(&mut plan, 0, &[(2.0, 0.03), (2.0, 3.97)]);
    assert_length(&plan, at(3.0, 4.0), 0.3 + 6.0 + 1.5);
    // One that ends a hand's breadth short does not touch.
    plan.walls.pop();
    wall(&mut plan, 0, &[(2.0, 0.0), (2.0, 3.9)]);
    assert_length(&plan, at(3.0, 4.0), 0.3 + 10.0 + 1.5);
}

#[test]
fn walls_that_cross_are_a_corner() {
    let (mut plan, _) = house(&[(0.0, 0.0), (6.0, 0.0)], at(1.0, 0.0));
    wall(&mut plan, 0, &[(3.0, -3.0), (3.0, 3.0)]);
    assert_length(&plan, at(3.0, 2.0), 0.3 + 4.0 + 1.5);
}

#[test]
fn a_low_partition_is_passed_along_its_top_or_the_floor() {
    let (mut plan, _) = house(&[(0.0, 0.0), (4.0, 0.0)], at(1.0, 0.0));
    let low = wall(&mut plan, 0, &[(4.0, 0.0), (4.0, 3.0)]);
    plan.walls[low].top_m = 1.2;
    wall(&mut plan, 0, &[(4.0, 3.0), (8.0, 3.0)]);
    assert_length(&plan, at(6.0, 3.0), 0.3 + 8.0 + 1.5);
    // With a gate in it, its top is the way: down to the floor or up to the ceiling first, since
    // that height is no line of the other walls. Down 0.3, up 1.2 to it, up 1.2 from it to the
    // ceiling, down 0.9; by the floor it would be 1.2 + 1.5 at the end.
    opening(&mut plan, (low, 0), (1.0, 2.0), (0.0, 1.0));
    assert_length(&plan, at(6.0, 3.0), 0.3 + 8.0 + 1.2 + 1.2 + 0.9);
    // A spot above its top hangs in the air.
    assert_eq!(run(&plan, 0, at(4.0, 1.5), 1.5).unwrap_err(), NoRun::NoWallAtHeight);
}

#[test]
fn storeys_are_joined_where_walls_stand_over_one_another() {
    let mut plan = storeys(2);
    wall(&mut plan, 0, &[(0.0, 0.0), (6.0, 0.0)]);
    // The upper wall stands over the right half of the lower one.
    wall(&mut plan, 1, &[(3.0, 0.0), (9.0, 0.0)]);
    outlet(&mut plan, 0, at(1.0, 0.0), 0.3);
    // Up 2.1, along 7, through the slab 0.3, up 1.5.
    let up = run(&plan, 1, at(8.0, 0.0), 2.7 + 1.5).unwrap();
    check_route(&up);
    assert_abs_diff_eq!(up.length_m, 2.1 + 7.0 + 0.3 + 1.5, epsilon = 1e-9);
    assert_eq!(up.through_floors, 1);
    // Ten centimetres out of line they still do; going over is part of the length.
    plan.walls.pop();
    wall(&mut plan, 1, &[(3.0, 0.1), (9.0, 0.1)]);
    let aside = run(&plan, 1, at(8.0, 0.1), 4.2).unwrap();
    assert_abs_diff_eq!(aside.length_m, up.length_m + 0.1, epsilon = 1e-9);
    // No wall of the ground floor touches one that stands half a metre aside.
    plan.walls.pop();
    wall(&mut plan, 1, &[(3.0, 0.5), (9.0, 0.5)]);
    assert_eq!(run(&plan, 1, at(8.0, 0.5), 4.2).unwrap_err(), NoRun::Unreachable);
}

#[test]
fn straight_up_through_two_floors() {
    let mut plan = storeys(3);
    for level in 0..3 {
        wall(&mut plan, level, &[(0.0, 0.0), (9.0, 0.0)]);
    }
    outlet(&mut plan, 0, at(4.3, 0.0), 0.3);
    let above = run(&plan, 2, at(4.3, 0.0), 5.4 + 1.5).unwrap();
    check_route(&above);
    assert_abs_diff_eq!(above.length_m, 6.6, epsilon = 1e-9);
    assert_eq!(above.through_floors, 2);
    assert_eq!(above.route.len(), 6);
    // Beside it: the same and what lies between.
    let beside = run(&plan, 2, at(4.5, 0.0), 6.9).unwrap();
    assert_abs_diff_eq!(beside.length_m, 6.8, epsilon = 1e-9);
}

#[test]
fn a_crossing_of_walls_of_two_storeys_is_a_way_up() {
    let mut plan = storeys(2);
    wall(&mut plan, 0, &[(0.0, 0.0), (6.0, 0.0)]);
    wall(&mut plan, 1, &[(4.0, -3.0), (4.0, 3.0)]);
    outlet(&mut plan, 0, at(1.0, 0.0), 0.3);
    let up = run(&plan, 1, at(4.0, 2.0), 4.2).unwrap();
    assert_abs_diff_eq!(up.length_m, 2.1 + 3.0 + 0.3 + 2.0 + 1.5, epsilon = 1e-9);
}

#[test]
fn the_nearest_outlet_by_wire_is_taken_not_the_nearest_by_air() {
    let (mut plan, _) = house(&[(0.0, 0.0), (8.0, 0.0)], at(1.0, 1.0));
    wall(&mut plan, 0, &[(0.0, 1.0), (8.0, 1.0)]);
    wall(&mut plan, 0, &[(8.0, 0.0), (8.0, 1.0)]);
    outlet(&mut plan, 0, at(5.0, 0.0), 0.3);
    assert_eq!(run(&plan, 0, at(1.0, 0.0), 1.5).unwrap().outlet, "outlet 1");
}

#[test]
fn of_equal_outlets_the_first_is_taken() {
    let (mut plan, _) = house(&[(0.0, 0.0), (8.0, 0.0), (8.0, 8.0)], at(6.0, 0.0));
    outlet(&mut plan, 0, at(2.0, 0.0), 0.3);
    let first = |plan: &_| run(plan, 0, at(4.0, 0.0), 1.5).unwrap().outlet;
    assert_eq!(first(&plan), "outlet 0");
    plan.outlets.swap(0, 1);
    assert_eq!(first(&plan), "outlet 1");
    // Two at one place, round a corner.
    plan.outlets.truncate(1);
    outlet(&mut plan, 0, at(2.0, 0.0), 0.3);
    assert_eq!(run(&plan, 0, at(8.0, 4.0), 1.5).unwrap().outlet_index, 0);
}

#[test]
fn what_lies_off_its_wall() {
    let (mut plan, _) = house(&[(0.0, 0.0), (6.0, 0.0)], at(1.0, 0.1));
    outlet(&mut plan, 0, at(3.0, 0.7), 0.3);
    outlet(&mut plan, 7, at(3.0, 0.0), 0.3);
    let network = WireNetwork::new(&plan).unwrap();
    let unusable: Vec<_> = network.unusable().collect();
    assert_eq!(unusable, [("outlet 1", NoRun::OffWall), ("outlet 2", NoRun::NoLevel(7))]);
    let near = network.to(0, at(5.0, -0.1), 1.5).unwrap();
    assert_abs_diff_eq!(near.length_m, 5.2, epsilon = 1e-9);
    assert_abs_diff_eq!(near.off_wall_m, 0.2, epsilon = 1e-9);
    assert_abs_diff_eq!(near.cable_m, 5.4 * 1.1 + 0.5, epsilon = 1e-9);
    assert_eq!(network.to(0, at(5.0, 0.6), 1.5).unwrap_err(), NoRun::OffWall);
    assert_eq!(network.to(3, at(5.0, 0.0), 1.5), Err(NoRun::NoLevel(3)));
}

#[test]
fn nothing_hangs_in_an_opening() {
    let (mut plan, wall) = house(&[(0.0, 0.0), (6.0, 0.0)], at(1.0, 0.0));
    opening(&mut plan, (wall, 0), (2.0, 3.0), (0.0, 2.0));
    assert_eq!(run(&plan, 0, at(2.5, 0.0), 1.5).unwrap_err(), NoRun::NoWallAtHeight);
    // Over the door there is wall.
    assert_abs_diff_eq!(length_m(&plan, 0, at(2.5, 0.0), 2.2), 1.5 + 1.9, epsilon = 1e-9);
}

#[test]
fn no_outlet_is_said() {
    let mut plan = storeys(1);
    wall(&mut plan, 0, &[(0.0, 0.0), (6.0, 0.0)]);
    assert_eq!(run(&plan, 0, at(2.5, 0.0), 1.5).unwrap_err(), NoRun::NoOutlet);
}
