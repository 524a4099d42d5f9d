//! Doorways, narrow ones, and tight places.

use plan::Plan;
use siting::walk::{WalkMap, WalkSettings, passable_by_default};

use super::plans::{HALF_WIDTH_M, at, door, entry, length_m, map, obstacle, room, site, wall};

/// Two rooms of 4 m × 4 m with a thick wall between them at x = 4, and a doorway in it.
fn two_rooms(from_m: f64, to_m: f64) -> Plan {
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "thick", [0.0, 0.0], [8.0, 4.0]);
    entry(&mut plan, "front", outer, 3, 1.5, 2.5);
    let between = wall(&mut plan, 0, "thick", &[[4.0, 0.0], [4.0, 4.0]]);
    door(&mut plan, "inner", between, 0, from_m, to_m);
    plan
}

#[test]
fn a_wide_doorway_is_walked_through_straight() {
    let plan = two_rooms(1.5, 2.5);
    assert!((length_m(&plan, [1.0, 2.0], [7.0, 2.0]).unwrap() - 6.0).abs() < 1e-9);
}

#[test]
fn a_doorway_narrower_than_the_person_is_walked_through_its_middle() {
    for width in [0.39, 0.3, 0.12, 0.05] {
        let plan = two_rooms(2.0 - 0.5 * width, 2.0 + 0.5 * width);
        let walk = map(&plan).between((0, at(1.0, 1.0)), (0, at(7.0, 1.0))).unwrap();
        assert!(!walk.squeezed);
        // Clear of the wall, then straight through: the wall is 0.1 m thick on either side.
        let off = 0.1 + HALF_WIDTH_M;
        let exact = 2.0 * ((3.0 - off).hypot(1.0) + off);
        assert!((walk.length_m - exact).abs() < 1e-9, "{width}: {}", walk.length_m);
        let through = [at(4.0 - off, 2.0), at(4.0 + off, 2.0)];
        for p in through {
            let passes = |q: &geo::Coord<f64>| (*q - p).x.abs() + (*q - p).y.abs() < 1e-9;
            assert!(walk.line.iter().any(|(_, q)| passes(q)), "{width}: {:?}", walk.line);
        }
    }
}

#[test]
fn a_window_and_a_door_that_the_caller_keeps_shut_are_no_ways() {
    let mut plan = two_rooms(1.5, 2.5);
    let shut = WalkMap::new(&plan, &WalkSettings::USUAL, &|opening| {
        opening.id != "inner" && passable_by_default(&plan, opening)
    });
    let (from, to) = ((0, at(1.0, 2.0)), (0, at(7.0, 2.0)));
    assert_eq!(shut.unwrap().between(from, to), None);
    plan.openings[1].base_m = 0.9;
    assert_eq!(map(&plan).between(from, to), None);
}

#[test]
fn nobody_slips_through_a_crack_beside_an_obstacle() {
    // A wall across with a gap of 0.3 m at the south, filled up to 5 cm by a box: the way is round
    // the north end.
    let mut plan = site(1);
    room(&mut plan, 0, "line", [0.0, 0.0], [8.0, 8.0]);
    obstacle(&mut plan, 0, [3.5, 0.05], [4.5, 6.0], 2.0);
    let found = length_m(&plan, [2.0, 0.5], [6.0, 0.5]).unwrap();
    assert!(found > 2.0 * 5.5 + 1.0, "{found}");
    // Nor through a crack that a person could squeeze through, as long as there is a way round.
    let mut plan = site(1);
    let outer = room(&mut plan, 0, "line", [0.0, 0.0], [8.0, 8.0]);
    entry(&mut plan, "front", outer, 3, 7.0, 7.9);
    obstacle(&mut plan, 0, [3.5, 0.3], [4.5, 6.0], 2.0);
    let walks = map(&plan).from_entries().to(0, at(6.0, 0.5), None);
    assert!(!walks.walks[0].squeezed);
    assert!(walks.walks[0].length_m > 2.0 * 5.5 + 1.0);
}

#[test]
fn an_obstacle_close_to_a_door_is_squeezed_past_and_the_walk_says_so() {
    let mut plan = two_rooms(1.5, 2.5);
    // 0.3 m behind the doorway's face, as wide as the room but for 1.2 m.
    obstacle(&mut plan, 0, [4.4, 1.2], [5.0, 3.9], 2.0);
    let clear = two_rooms(1.5, 2.5);
    let to = at(7.0, 2.0);
    let squeezed = map(&plan).from_entries().to(0, to, None);
    let walk = &squeezed.walks[0];
    assert!(walk.squeezed);
    assert!(walk.length_m > map(&clear).from_entries().to(0, to, None).walks[0].length_m);
    // Set right against the doorway, it shuts it.
    obstacle(&mut plan, 0, [4.11, 0.11], [4.4, 3.89], 2.0);
    let shut = map(&plan).from_entries().to(0, to, None);
    assert_eq!(shut.walks, []);
    assert_eq!(shut.unreached.len(), 1);
}

#[test]
fn by_default_doors_are_ways_and_panes_are_not() {
    let mut plan = two_rooms(1.5, 2.5);
    let inner = plan.openings.len() - 1;
    let mut is_way = |construction: &str, open: bool, base_m: f64, top_m: f64| {
        let opening = &mut plan.openings[inner];
        opening.construction = construction.to_owned();
        (opening.open, opening.base_m, opening.top_m) = (open, base_m, top_m);
        passable_by_default(&plan, &plan.openings[inner])
    };
    for leaf in ["door-hollow", "door-solid", "door-steel", "door-glazed", "garage-door-timber"] {
        assert!(is_way(leaf, false, 0.0, 2.03), "{leaf}");
        assert!(is_way(leaf, false, 0.15, 1.8), "{leaf}");
        assert!(!is_way(leaf, false, 0.2, 2.03), "{leaf}: a high step");
        assert!(!is_way(leaf, true, 0.0, 1.7), "{leaf}: a hatch");
    }
    for pane in ["glass-single", "glass-double", "glass-wired", "glass-double-coated"] {
        assert!(!is_way(pane, false, 0.0, 2.03), "{pane}");
        assert!(is_way(pane, true, 0.0, 2.03), "{pane}");
        assert!(!is_way(pane, true, 0.9, 2.1), "{pane}");
    }
}
