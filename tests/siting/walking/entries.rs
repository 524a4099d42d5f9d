//! Entries, and who cannot come in.

use plan::Plan;
use siting::walk::{MAX_ENTRIES, NoWalk, Unreached, WalkMap, WalkSettings};

use super::plans::{at, door, entry, map, obstacle, room, site, slab, wall};

#[test]
fn a_plan_without_entry_has_no_walks() {
    let mut plan = site(1);
    room(&mut plan, 0, "line", [0.0, 0.0], [4.0, 4.0]);
    let map = map(&plan);
    assert_eq!(map.entries().count(), 0);
    let walks = map.from_entries().to(0, at(2.0, 2.0), None);
    assert!(walks.walks.is_empty() && walks.unreached.is_empty());
    assert_eq!(walks.longest(), None);
}

#[test]
fn a_plan_with_nothing_in_it_is_no_trouble() {
    let plan = Plan::default();
    assert!(map(&plan).from_entries().to(0, at(0.0, 0.0), None).walks.is_empty());
    let odd = map(&site(1));
    let walks = odd.from_entries();
    for x in [f64::NAN, f64::INFINITY, -1e300, 0.0] {
        assert!(walks.to(0, at(x, 0.0), Some(at(0.0, f64::NAN))).walks.is_empty());
    }
}

#[test]
fn a_room_without_a_door_is_named_with_the_entry_that_does_not_reach_it() {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "thick", [0.0, 0.0], [8.0, 4.0]);
    wall(&mut plan, 0, "thick", &[[4.0, 0.0], [4.0, 4.0]]);
    entry(&mut plan, "front", outer, 3, 1.5, 2.5);
    entry(&mut plan, "back", outer, 1, 1.5, 2.5);
    let map = map(&plan);
    assert!(map.entries().eq(["front", "back"]));
    let walks = map.from_entries().to(0, at(2.0, 2.0), None);
    assert!(walks.walks.iter().map(|walk| walk.entry.as_str()).eq(["front"]));
    assert_eq!(walks.unreached, [Unreached { entry: "back".to_owned(), why: NoWalk::NoWay }]);
}

#[test]
fn each_answer_says_why_there_is_no_walk() {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "thick", [0.0, 0.0], [8.0, 4.0]);
    entry(&mut plan, "front", outer, 3, 1.5, 2.5);
    obstacle(&mut plan, 0, [4.0, 0.1], [7.9, 3.9], 2.0);
    let why = |x: f64, level: i32| {
        let walks = map(&plan).from_entries().to(level, at(x, 2.0), None);
        walks.unreached.first().map(|unreached| unreached.why)
    };
    assert_eq!(why(2.0, 0), None);
    assert_eq!(why(6.0, 0), Some(NoWalk::NoRoomToStand));
    assert_eq!(why(9.0, 0), Some(NoWalk::OutOfDoors));
    assert_eq!(why(900.0, 0), Some(NoWalk::OutOfDoors));
    assert_eq!(why(2.0, 7), Some(NoWalk::NoSuchLevel));
    // A chest right behind the front door.
    obstacle(&mut plan, 0, [0.1, 0.1], [1.6, 3.9], 1.0);
    let shut = map(&plan).from_entries().to(0, at(2.5, 2.0), None);
    assert_eq!(shut.unreached[0].why, NoWalk::EntryShut);
}

/// Two wings that only the garden joins: each has a door to it, one of them the way in.
#[test]
fn nobody_walks_out_of_the_house_and_in_again() {
    let mut plan = site(1);
    let outline = [
        [0.0, 0.0],
        [9.0, 0.0],
        [9.0, 6.0],
        [6.0, 6.0],
        [6.0, 2.0],
        [3.0, 2.0],
        [3.0, 6.0],
        [0.0, 6.0],
        [0.0, 0.0],
    ];
    let outer = wall(&mut plan, 0, "thick", &outline);
    wall(&mut plan, 0, "thick", &[[4.5, 0.0], [4.5, 2.0]]);
    entry(&mut plan, "front", outer, 7, 2.5, 3.5);
    door(&mut plan, "east-garden", outer, 3, 1.5, 2.5);
    door(&mut plan, "west-garden", outer, 5, 1.5, 2.5);
    let walks = map(&plan).from_entries().to(0, at(7.5, 4.0), None);
    assert_eq!(walks.unreached[0].why, NoWalk::NoWay);
    // With a wall round the garden it is a yard, which is as good as indoors.
    wall(&mut plan, 0, "thick", &[[3.0, 6.0], [6.0, 6.0]]);
    let walks = map(&plan).from_entries().to(0, at(7.5, 4.0), None);
    assert_eq!(walks.walks.len(), 1);
}

#[test]
fn an_entry_in_a_closed_porch_leads_into_the_house() {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "thick", [0.0, 0.0], [8.0, 6.0]);
    // The porch before the west wall has a door of its own, which is no entry.
    let porch = wall(&mut plan, 0, "thick", &[[0.0, 2.0], [-1.5, 2.0], [-1.5, 4.0], [0.0, 4.0]]);
    door(&mut plan, "porch-door", porch, 1, 0.5, 1.5);
    let inner = wall(&mut plan, 0, "thick", &[[4.0, 0.0], [4.0, 6.0]]);
    door(&mut plan, "inner-door", inner, 0, 1.0, 2.0);
    entry(&mut plan, "front", outer, 3, 2.5, 3.5);
    let walks = map(&plan).from_entries().to(0, at(2.0, 3.0), None);
    assert!((walks.walks[0].length_m - 2.0).abs() < 1e-9);
}

/// A part of a building, open to the east: the doors in it have the outside on both sides, and that
/// is no reason to shut them. Then the slab tells what is indoors, or else the walls' convex hull.
/// The inner wall ends 3 m short of the next: no doorway is so wide.
#[test]
fn where_walls_do_not_close_the_slab_tells_what_is_indoors() {
    let mut plan = site(1);
    let outer = wall(&mut plan, 0, "thick", &[[6.0, 0.0], [0.0, 0.0], [0.0, 6.0], [6.0, 6.0]]);
    entry(&mut plan, "front", outer, 1, 1.5, 2.5);
    let inner = wall(&mut plan, 0, "thick", &[[3.0, 0.0], [3.0, 3.0]]);
    door(&mut plan, "inner", inner, 0, 1.5, 2.5);
    let walk_to = |plan: &Plan, x: f64| map(plan).from_entries().to(0, at(x, 2.0), None);
    assert!((walk_to(&plan, 5.0).walks[0].length_m - 5.0).abs() < 1e-9);
    assert_eq!(walk_to(&plan, 6.5).unreached[0].why, NoWalk::OutOfDoors);
    slab(&mut plan, 0, [0.0, 0.0], [7.0, 6.0]);
    assert!((walk_to(&plan, 6.5).walks[0].length_m - 6.5).abs() < 1e-9);
    assert_eq!(walk_to(&plan, 7.5).unreached[0].why, NoWalk::OutOfDoors);
}

/// A carport is outside, and the door to it stays shut.
#[test]
fn a_room_that_is_open_to_one_side_is_out_of_doors() {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "thick", [0.0, 0.0], [3.0, 4.0]);
    wall(&mut plan, 0, "thick", &[[3.0, 0.0], [6.0, 0.0]]);
    wall(&mut plan, 0, "thick", &[[3.0, 4.0], [6.0, 4.0]]);
    entry(&mut plan, "front", outer, 3, 1.5, 2.5);
    door(&mut plan, "side", outer, 1, 1.5, 2.5);
    let map = map(&plan);
    let walks = map.from_entries().to(0, at(5.0, 2.0), None);
    assert_eq!(walks.unreached[0].why, NoWalk::OutOfDoors);
}

#[test]
fn walls_that_miss_one_another_by_a_little_still_close() {
    let mut plan = site(1);
    wall(&mut plan, 0, "thick", &[[0.15, 0.0], [6.0, 0.0]]);
    wall(&mut plan, 0, "thick", &[[6.0, 0.1], [6.0, 4.0]]);
    wall(&mut plan, 0, "thick", &[[6.0, 4.0], [0.0, 4.0]]);
    let west = wall(&mut plan, 0, "thick", &[[0.0, 4.0], [0.0, 0.1]]);
    entry(&mut plan, "front", west, 0, 1.5, 2.5);
    let map = map(&plan);
    let walks = map.from_entries();
    let outside = walks.to(0, at(-1.0, 2.0), None);
    assert_eq!(outside.unreached[0].why, NoWalk::OutOfDoors);
    assert!((walks.to(0, at(5.0, 2.0), None).walks[0].length_m - 5.0).abs() < 1e-9);
}

#[test]
fn the_longest_walk_counts_and_each_entry_has_its_own() {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "line", [0.0, 0.0], [10.0, 4.0]);
    entry(&mut plan, "west", outer, 3, 1.5, 2.5);
    entry(&mut plan, "east", outer, 1, 1.5, 2.5);
    let map = map(&plan);
    let walks = map.from_entries().to(0, at(3.0, 2.0), None);
    let lengths: Vec<f64> = walks.walks.iter().map(|walk| walk.length_m).collect();
    assert!((lengths[0] - 3.0).abs() < 1e-9 && (lengths[1] - 7.0).abs() < 1e-9);
    assert_eq!(walks.longest().map(|walk| walk.entry.as_str()), Some("east"));
}

#[test]
fn plans_beyond_the_limits_are_refused() {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "line", [0.0, 0.0], [100.0, 4.0]);
    for number in 0..=MAX_ENTRIES {
        let from_m = f64::from(u32::try_from(number).unwrap());
        entry(&mut plan, "many", outer, 0, from_m, from_m + 0.9);
    }
    let refused = WalkMap::new(&plan, &WalkSettings::USUAL, &|_| true).unwrap_err();
    assert_eq!(refused.to_string(), "the plan is too large for walks: 65 entries, at most 64");
    let mut plan = site(1);
    for x in 0..8_000 {
        let x = f64::from(x) * 0.1;
        wall(&mut plan, 0, "thick", &[[x, 0.0], [x, 4.0]]);
    }
    let refused = WalkMap::new(&plan, &WalkSettings::USUAL, &|_| true).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "the plan is too large for walks: 32000 sides of walls and obstacles, at most 30000"
    );
}
