//! Flights of stairs.

use plan::Plan;
use siting::walk::WalkSettings;

use super::plans::{HALF_WIDTH_M, at, entry, map, map_for, room, site, stairs, wall};
use super::taut::{self, LEFT};

/// Two levels 3 m apart; a flight of 4 m in plan: its slope is 5 m long.
fn house() -> Plan {
    let mut plan = site(2);
    let outer = room(&mut plan, 0, "line", [0.0, 0.0], [10.0, 4.0]);
    room(&mut plan, 1, "line", [0.0, 0.0], [10.0, 4.0]);
    entry(&mut plan, "front", outer, 3, 1.5, 2.5);
    stairs(&mut plan, 0, 1, &[[2.0, 2.0], [6.0, 2.0]]);
    plan
}

#[test]
fn three_up_and_four_along_are_five() {
    let plan = house();
    let map = map(&plan);
    let walks = map.from_entries().to(1, at(9.0, 2.0), None);
    let walk = &walks.walks[0];
    assert!((walk.length_m - (2.0 + 5.0 + 3.0)).abs() < 1e-9);
    assert!((walk.stairs_m - 5.0).abs() < 1e-12);
    let usual = WalkSettings::USUAL;
    let time_s = 5.0 / usual.speed_m_per_s + 5.0 / usual.stairs_speed_m_per_s;
    assert!((walk.time_s - time_s).abs() < 1e-9);
    let line = [(0, at(0.0, 2.0)), (0, at(0.2, 2.0)), (0, at(2.0, 2.0)), (1, at(6.0, 2.0))];
    assert_eq!(walk.line[..4], line);
    assert_eq!(walk.line[4], (1, at(9.0, 2.0)));
}

#[test]
fn stairs_are_as_long_going_down() {
    let map = map(&house());
    let up = map.between((0, at(1.0, 1.0)), (1, at(9.0, 3.0))).unwrap();
    let down = map.between((1, at(9.0, 3.0)), (0, at(1.0, 1.0))).unwrap();
    assert!((up.length_m - down.length_m).abs() < 1e-9);
    let mut back = down.line.clone();
    back.reverse();
    let places = |line: &[(i32, geo::Coord<f64>)]| line.iter().map(|(_, p)| *p).collect::<Vec<_>>();
    assert_eq!(places(&back), places(&up.line));
}

#[test]
fn a_flight_that_bends_is_as_long_as_its_line_and_its_rise() {
    let mut plan = house();
    plan.stairs.clear();
    // 2 + 2 m in plan round a landing, and 3 m up.
    stairs(&mut plan, 1, 0, &[[6.0, 3.0], [6.0, 1.0], [4.0, 1.0]]);
    let walk = map(&plan).between((0, at(3.0, 1.0)), (1, at(7.0, 3.0))).unwrap();
    assert!((walk.stairs_m - 5.0).abs() < 1e-12);
    assert!((walk.length_m - 7.0).abs() < 1e-9);
}

#[test]
fn of_two_flights_the_quicker_way_is_taken() {
    let mut plan = house();
    // The second is nearer to the spot but behind a longer walk on the flat.
    stairs(&mut plan, 0, 1, &[[9.0, 3.0], [9.0, 1.0]]);
    let crawling = WalkSettings { stairs_speed_m_per_s: 0.1, ..WalkSettings::USUAL };
    let spot = at(9.0, 1.0);
    let usual = map(&plan).from_entries().to(1, spot, None).walks.remove(0);
    let slow = map_for(&plan, &crawling).from_entries().to(1, spot, None).walks.remove(0);
    // sqrt(2² + 3²) = 3.6 m of stairs beat 5 m for who is slow on them.
    assert!((slow.stairs_m - 13.0_f64.sqrt()).abs() < 1e-9);
    assert!(usual.time_s <= slow.time_s);
}

#[test]
fn three_levels_are_climbed_one_after_the_other_and_a_level_without_stairs_is_not_reached() {
    let mut plan = site(4);
    let outer = room(&mut plan, 0, "line", [0.0, 0.0], [10.0, 4.0]);
    for level in 1..4 {
        room(&mut plan, level, "line", [0.0, 0.0], [10.0, 4.0]);
    }
    entry(&mut plan, "front", outer, 3, 1.5, 2.5);
    stairs(&mut plan, 0, 1, &[[2.0, 2.0], [6.0, 2.0]]);
    stairs(&mut plan, 1, 2, &[[6.0, 2.0], [2.0, 2.0]]);
    let map = map(&plan);
    let walks = map.from_entries();
    let up = walks.to(2, at(1.0, 2.0), None);
    assert!((up.walks[0].stairs_m - 10.0).abs() < 1e-12);
    assert!((up.walks[0].length_m - 13.0).abs() < 1e-9);
    assert_eq!(walks.to(3, at(1.0, 2.0), None).walks, []);
}

#[test]
fn stairs_that_end_against_a_wall_are_left_where_there_is_room() {
    let mut plan = house();
    // The upper end is 0.1 m from a wall: a person steps off beside it.
    wall(&mut plan, 1, "line", &[[6.1, 1.0], [6.1, 4.0]]);
    let walk = map(&plan).between((0, at(1.0, 2.0)), (1, at(9.0, 2.0)));
    let walk = walk.unwrap();
    let string = [([6.1, 1.0], LEFT)];
    let exact = 1.0 + 5.0 + 0.1 + taut::length_m([5.9, 2.0], &string, [9.0, 2.0], HALF_WIDTH_M);
    // The place beside the end is found to 5 cm.
    let over = walk.length_m - exact;
    assert!((-1e-6..0.1).contains(&over), "{over}");
}

/// A wall of the ground floor that rises through the first floor is in the way there too.
#[test]
fn a_tall_wall_counts_on_every_level_that_it_passes() {
    let mut plan = house();
    let tall = wall(&mut plan, 0, "line", &[[7.0, 0.0], [7.0, 4.0]]);
    let (from, to) = ((1, at(5.0, 3.0)), (1, at(9.0, 3.0)));
    assert!(map(&plan).between(from, to).is_some());
    plan.walls[tall].top_m = 5.5;
    assert!(map(&plan).between(from, to).is_none());
}
