//! Walks among the places of a round.

use siting::order::{quickest_order, time_of};
use siting::walk::{Goal, Leg, NoWalk, Start};

use super::plans::{at, door, entry, map, room, site, slab, stairs, wall};
use fixtures::shipped;

fn goal(level: i32, x: f64, y: f64) -> Goal {
    Goal { level, at: at(x, y), facing: None }
}

#[test]
fn a_round_goes_over_the_stairs_once_and_leaves_out_what_nobody_reaches() {
    // Two rooms of 8 m × 4 m above each other, stairs along the north wall; on the ground floor a
    // closet without a door in the east.
    let mut plan = site(2);
    for level in 0..2 {
        let outer = room(&mut plan, level, "thick", [0.0, 0.0], [10.0, 4.0]);
        slab(&mut plan, level, [0.0, 0.0], [10.0, 4.0]);
        if level == 0 {
            entry(&mut plan, "front", outer, 3, 1.5, 2.5);
        }
    }
    wall(&mut plan, 0, "thick", &[[8.0, 0.0], [8.0, 4.0]]);
    stairs(&mut plan, 0, 1, &[[2.0, 3.0], [6.0, 3.0]]);
    let goals = [
        goal(1, 7.0, 1.0),
        goal(0, 7.0, 1.0),
        goal(1, 1.0, 1.0),
        goal(0, 1.5, 2.0),
        goal(0, 9.0, 2.0),
        goal(0, -1.0, 2.0),
        goal(5, 1.0, 1.0),
    ];
    let legs = map(&plan).legs(Start::Entry("front"), &goals);
    assert_eq!(legs.reached, [0, 1, 2, 3]);
    let why = [(4, NoWalk::NoWay), (5, NoWalk::OutOfDoors), (6, NoWalk::NoSuchLevel)];
    assert_eq!(legs.unreached, why);
    let leg = |from: usize, to: usize| legs.legs[from][to].unwrap();
    // Straight ways on one floor: from the doorway, and between two places.
    assert!((leg(0, 4).length_m - 1.5).abs() < 1e-9, "{:?}", leg(0, 4));
    assert!((leg(4, 2).length_m - 5.5_f64.hypot(1.0)).abs() < 1e-9);
    // Between the floors over the whole flight: 4 m along, 3 m up.
    assert!((leg(2, 1).stairs_m - 5.0).abs() < 1e-9 && leg(4, 2).stairs_m == 0.0);
    let times: Vec<Vec<f64>> = legs
        .legs
        .iter()
        .map(|row| row.iter().map(|leg| leg.map_or(f64::INFINITY, |leg| leg.time_s)).collect())
        .collect();
    let order = quickest_order(&times);
    let on_stairs = |order: &[usize]| {
        let steps = [0].iter().chain(order).zip(order);
        steps.filter(|(from, to)| leg(**from, **to).stairs_m > 0.0).count()
    };
    assert_eq!(on_stairs(&order), 1, "{order:?}");
    assert!(time_of(&times, &order) <= time_of(&times, &[4, 2, 1, 3]) + 1e-9);
    // From a place instead of an entry; shut in the closet, nothing else is reached.
    let shut = map(&plan).legs(Start::Spot(goal(0, 9.0, 1.0)), &goals);
    assert_eq!(shut.reached, [4]);
    let nowhere = map(&plan).legs(Start::Entry("back"), &goals);
    assert_eq!((nowhere.reached.len(), nowhere.unreached.len()), (0, goals.len()));
}

#[test]
fn ways_are_as_long_back_as_there_and_never_longer_than_over_a_third_place() {
    for name in ["brick-house", "workshop", "foil-garage"] {
        let plan = shipped(name);
        let devices: Vec<Goal> = plan
            .devices
            .iter()
            .map(|device| Goal { level: device.level, at: device.position, facing: None })
            .collect();
        let legs = map(&plan).legs(Start::Spot(devices[0]), &devices).legs;
        assert!(legs.len() > 5, "{name}: {}", legs.len());
        let time =
            |from: usize, to: usize| legs[from][to].map_or(f64::INFINITY, |leg: Leg| leg.time_s);
        for a in 0..legs.len() {
            for b in 0..legs.len() {
                assert!((time(a, b) - time(b, a)).abs() < 0.1, "{name}: {a} to {b}");
                for c in 0..legs.len() {
                    assert!(time(a, b) <= time(a, c) + time(c, b) + 0.1, "{name}: {a}, {c}, {b}");
                }
            }
        }
    }
}

#[test]
fn a_door_between_two_rooms_is_walked_through() {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "thick", [0.0, 0.0], [8.0, 4.0]);
    entry(&mut plan, "front", outer, 3, 1.5, 2.5);
    let between = wall(&mut plan, 0, "thick", &[[4.0, 0.0], [4.0, 4.0]]);
    door(&mut plan, "inner", between, 0, 1.5, 2.5);
    let goals = [goal(0, 7.0, 2.0), goal(0, 1.0, 2.0)];
    let legs = map(&plan).legs(Start::Spot(goals[1]), &goals);
    assert!((legs.legs[0][1].unwrap().length_m - 6.0).abs() < 1e-9);
    assert!(legs.legs[0][2].unwrap().length_m < 1e-9);
}
