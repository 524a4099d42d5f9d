//! Lengths that are known in closed form.

use super::plans::{HALF_WIDTH_M, at, door, entry, length_m, map, obstacle, room, site, wall};
use super::taut::{self, LEFT, RIGHT};

/// What a walk may be too long: the tangents that stand for an arc. Over a right angle they are
/// 0.037 half widths longer than the arc, and a walk that only brushes a corner passes it at most
/// 0.035 half widths too far out on either side.
const TOO_LONG_M_PER_CORNER: f64 = 0.05 * HALF_WIDTH_M;

#[track_caller]
fn assert_close(found_m: f64, exact_m: f64, corners: u32) {
    let over = found_m - exact_m;
    let most = TOO_LONG_M_PER_CORNER * f64::from(corners);
    assert!(
        (-1e-6..=most + 1e-6).contains(&over),
        "{found_m} m, exactly {exact_m} m, at most {most} m more"
    );
    assert!(over < 0.01 * exact_m);
}

#[test]
fn across_an_empty_room_it_is_a_straight_line() {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "line", [0.0, 0.0], [10.0, 6.0]);
    entry(&mut plan, "front", outer, 3, 2.5, 3.5);
    let map = map(&plan);
    let walks = map.from_entries().to(0, at(8.0, 3.0), None);
    assert_eq!(walks.unreached, []);
    assert_eq!(walks.walks.len(), 1);
    let walk = &walks.walks[0];
    assert_eq!(walk.entry, "front");
    assert!((walk.length_m - 8.0).abs() < 1e-9);
    assert!((walk.time_s - 8.0 / (3.5 * 0.3048)).abs() < 1e-9);
    assert_eq!((walk.stairs_m, walk.squeezed), (0.0, false));
    // In by the door straight ahead until clear of the wall, then to the far corner.
    let far = map.from_entries().to(0, at(9.0, 1.0), None);
    let exact = HALF_WIDTH_M + (8.8_f64).hypot(2.0);
    assert!((far.walks[0].length_m - exact).abs() < 1e-9);
}

#[test]
fn round_the_end_of_a_wall_it_is_two_tangents_and_an_arc() {
    let mut plan = site(1);
    room(&mut plan, 0, "line", [0.0, 0.0], [6.0, 6.0]);
    wall(&mut plan, 0, "line", &[[3.0, 0.0], [3.0, 2.0]]);
    let found = length_m(&plan, [2.0, 1.0], [4.0, 1.0]).unwrap();
    // By hand: the legs are sqrt(1 + 1 − 0.04), the arc what is left of the turn.
    let distance = 2.0_f64.sqrt();
    let leg = (2.0 - HALF_WIDTH_M * HALF_WIDTH_M).sqrt();
    let turn = 1.5 * std::f64::consts::PI - 2.0 * (HALF_WIDTH_M / distance).acos();
    let exact = 2.0 * leg + HALF_WIDTH_M * turn;
    let string = [([3.0, 2.0], RIGHT)];
    let pulled = taut::length_m([2.0, 1.0], &string, [4.0, 1.0], HALF_WIDTH_M);
    assert!((exact - pulled).abs() < 1e-12);
    assert_close(found, exact, 1);
}

#[test]
fn round_the_end_of_a_thick_wall_it_goes_round_two_corners() {
    let mut plan = site(1);
    room(&mut plan, 0, "line", [0.0, 0.0], [6.0, 6.0]);
    wall(&mut plan, 0, "thick", &[[3.0, 0.0], [3.0, 2.0]]);
    let string = [([2.9, 2.0], RIGHT), ([3.1, 2.0], RIGHT)];
    let exact = taut::length_m([2.0, 1.0], &string, [4.0, 1.3], HALF_WIDTH_M);
    assert_close(length_m(&plan, [2.0, 1.0], [4.0, 1.3]).unwrap(), exact, 1);
}

#[test]
fn round_a_square_obstacle_it_takes_the_shorter_side() {
    let mut plan = site(1);
    room(&mut plan, 0, "line", [0.0, 0.0], [8.0, 6.0]);
    obstacle(&mut plan, 0, [3.0, 2.0], [5.0, 4.0], 2.0);
    let string = [([3.0, 4.0], RIGHT), ([5.0, 4.0], RIGHT)];
    let exact = taut::length_m([1.0, 3.2], &string, [7.0, 3.2], HALF_WIDTH_M);
    assert_close(length_m(&plan, [1.0, 3.2], [7.0, 3.2]).unwrap(), exact, 1);
}

#[test]
fn what_is_low_is_stepped_over_and_what_is_high_is_walked_under() {
    let mut plan = site(1);
    room(&mut plan, 0, "line", [0.0, 0.0], [8.0, 6.0]);
    obstacle(&mut plan, 0, [3.0, 2.0], [5.0, 4.0], 0.1);
    obstacle(&mut plan, 0, [3.0, 2.0], [5.0, 4.0], 2.4);
    plan.obstacles[1].base_m = 1.9;
    assert!((length_m(&plan, [1.0, 3.0], [7.0, 3.0]).unwrap() - 6.0).abs() < 1e-9);
}

/// An L of two corridors, a doorway in each arm:
///
/// ```text
///       +--+
///       |  |
///       +  +  doorway at y = 4
///       |  |
/// +---+-+  |
///          |
/// +---+----+
///     doorway at x = 3
/// ```
#[test]
fn an_l_shaped_corridor_with_two_doorways() {
    let mut plan = site(1);
    let outline =
        [[0.0, 0.0], [6.0, 0.0], [6.0, 8.0], [4.0, 8.0], [4.0, 2.0], [0.0, 2.0], [0.0, 0.0]];
    wall(&mut plan, 0, "line", &outline);
    let first = wall(&mut plan, 0, "line", &[[3.0, 0.0], [3.0, 2.0]]);
    door(&mut plan, "first", first, 0, 0.3, 1.1);
    let second = wall(&mut plan, 0, "line", &[[4.0, 4.0], [6.0, 4.0]]);
    door(&mut plan, "second", second, 0, 1.0, 1.8);
    // Under the first door's upper jamb, round the L's corner, past the second door's western jamb.
    let string = [([3.0, 1.1], LEFT), ([4.0, 2.0], LEFT), ([5.0, 4.0], LEFT)];
    let exact = taut::length_m([0.5, 1.7], &string, [4.4, 7.0], HALF_WIDTH_M);
    assert_close(length_m(&plan, [0.5, 1.7], [4.4, 7.0]).unwrap(), exact, 3);
}

#[test]
fn a_comb_of_walls_is_walked_in_and_out() {
    let mut plan = site(1);
    room(&mut plan, 0, "line", [0.0, 0.0], [12.0, 4.0]);
    let mut string = Vec::new();
    for tooth in 1..=10 {
        let x = f64::from(tooth) + 0.5;
        if tooth % 2 == 0 {
            wall(&mut plan, 0, "line", &[[x, 4.0], [x, 1.0]]);
            string.push(([x, 1.0], LEFT));
        } else {
            wall(&mut plan, 0, "line", &[[x, 0.0], [x, 3.0]]);
            string.push(([x, 3.0], RIGHT));
        }
    }
    let exact = taut::length_m([0.5, 0.5], &string, [11.5, 3.5], HALF_WIDTH_M);
    // About 30 m with ten turns of nearly 180°.
    let found = length_m(&plan, [0.5, 0.5], [11.5, 3.5]).unwrap();
    assert_close(found, exact, 20);
}
