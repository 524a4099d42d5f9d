//! Where a person stands in front of a spot.

use plan::Plan;
use siting::walk::{NoWalk, Walk};

use super::plans::{HALF_WIDTH_M, at, entry, map, obstacle, room, site, wall};
use super::taut::{self, RIGHT};

fn one_room() -> Plan {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "thick", [0.0, 0.0], [8.0, 4.0]);
    entry(&mut plan, "front", outer, 3, 1.5, 2.5);
    plan
}

fn walk(plan: &Plan, spot: [f64; 2], facing: [f64; 2]) -> Result<Walk, NoWalk> {
    let facing = Some(at(facing[0], facing[1]));
    let mut walks = map(plan).from_entries().to(0, at(spot[0], spot[1]), facing);
    walks.walks.pop().ok_or_else(|| walks.unreached[0].why)
}

fn end(walk: &Walk) -> [f64; 2] {
    walk.line.last().map(|(_, p)| [p.x, p.y]).unwrap()
}

#[test]
fn before_a_wall_the_person_stands_with_a_shoulder_to_it() {
    // On the face, and on the centre line: the same place, 0.2 m before the face.
    for x in [7.9, 8.0] {
        let found = end(&walk(&one_room(), [x, 2.0], [-1.0, 0.0]).unwrap());
        assert!((found[0] - 7.7).abs() < 1e-3 && (found[1] - 2.0).abs() < 1e-9, "{found:?}");
    }
}

#[test]
fn a_spot_is_served_from_its_own_side_of_the_wall() {
    let mut plan = one_room();
    // A wall with a way round its north end, the spot on its far face.
    wall(&mut plan, 0, "thick", &[[4.0, 0.0], [4.0, 3.0]]);
    let near = walk(&plan, [4.0, 1.0], [-1.0, 0.0]).unwrap();
    let far = walk(&plan, [4.0, 1.0], [1.0, 0.0]).unwrap();
    assert!(end(&near)[0] < 3.8 && end(&far)[0] > 4.2);
    let string = [([3.9, 3.0], RIGHT), ([4.1, 3.0], RIGHT)];
    let exact = 0.3 + taut::length_m([0.3, 2.0], &string, [4.3, 1.0], HALF_WIDTH_M);
    assert!((far.length_m - exact).abs() < 0.02, "{}", far.length_m);
    assert!((near.length_m - 0.3 - 3.4_f64.hypot(1.0)).abs() < 1e-3);
}

#[test]
fn over_a_low_thing_one_reaches_and_round_a_tall_one() {
    let mut plan = one_room();
    obstacle(&mut plan, 0, [7.5, 1.0], [7.9, 3.0], 0.9);
    let over = end(&walk(&plan, [7.9, 2.0], [-1.0, 0.0]).unwrap());
    assert!((over[0] - 7.3).abs() <= 0.05 + 1e-3, "{over:?}");
    // A tall cupboard of the same size hides the wall.
    plan.obstacles[0].top_m = 2.0;
    assert_eq!(walk(&plan, [7.9, 2.0], [-1.0, 0.0]), Err(NoWalk::NoRoomToStand));
    // A tall but narrow pipe is reached round.
    plan.obstacles.clear();
    obstacle(&mut plan, 0, [7.6, 1.95], [7.65, 2.05], 2.0);
    let round = end(&walk(&plan, [7.9, 2.0], [-1.0, 0.0]).unwrap());
    assert!((round[1] - 2.0).abs() > 0.1, "{round:?}");
}

#[test]
fn what_is_out_of_reach_is_said() {
    let mut plan = one_room();
    // A counter 0.8 m deep: arms reach 0.5 m beyond the person's edge.
    obstacle(&mut plan, 0, [7.1, 0.1], [7.9, 3.9], 0.9);
    assert_eq!(walk(&plan, [7.9, 2.0], [-1.0, 0.0]), Err(NoWalk::NoRoomToStand));
}

#[test]
fn without_a_facing_the_person_comes_as_near_as_there_is_room() {
    let plan = one_room();
    let free = map(&plan).from_entries().to(0, at(5.0, 1.0), None);
    assert_eq!(end(&free.walks[0]), [5.0, 1.0]);
    // In the wall, nearer to its inner face; on that face; close before it.
    for y in [0.09, 0.1, 0.15] {
        let near = map(&plan).from_entries().to(0, at(5.0, y), None);
        let [x, stands] = end(&near.walks[0]);
        assert!(
            (x - 5.0).abs() < 1e-6 && (0.3 - 1e-6..=0.35 + 1e-3).contains(&stands),
            "{y}: {stands}"
        );
    }
}
