//! The shipped houses: against a search on a fine grid, and every room reached.

use fixtures::shipped;

use super::fine_grid::{CELL_M, FineGrid, WORST};
use super::plans::{HALF_WIDTH_M, at, map, stairs};

/// Doors between two places inside the brick house, by its plan: the French doors lead into the
/// garden room, whose own door leads out.
const BRICK_HOUSE_DOORS: &str = "french-doors living-door dining-door kitchen-door study-door wc-door \
                                 utility-door cupboard-door";

#[test]
fn on_the_ground_floor_of_the_brick_house_it_agrees_with_a_fine_grid() {
    let plan = shipped("brick-house");
    let (low, high) = ([-0.2, -0.2], [9.6, 10.6]);
    let doors: Vec<&str> = BRICK_HOUSE_DOORS.split_whitespace().collect();
    let grid = FineGrid::new(&plan, 0, HALF_WIDTH_M, low, high, &doors);
    let map = map(&plan);
    // Hall, living room, garden room, kitchen.
    let mut compared = 0;
    for start in [[4.9, 1.0], [2.0, 2.0], [2.0, 9.0], [7.0, 6.0]] {
        let start = grid.cell(start);
        let lengths = grid.lengths_m(start);
        let from = grid.middle(start);
        for step in 0..400 {
            // Points spread evenly over the house (a lattice of golden ratios).
            let share = |ratio: f64| (0.5 + f64::from(step) * ratio).fract();
            let p = [9.4 * share(0.754_877_666), 10.4 * share(0.569_840_291)];
            let cell = grid.cell(p);
            let to = grid.middle(cell);
            let straight = (to[0] - from[0]).hypot(to[1] - from[1]);
            if !grid.is_free(cell) || straight < 1.0 {
                continue;
            }
            let walk = map.between((0, at(from[0], from[1])), (0, at(to[0], to[1])));
            let by_grid = lengths[cell];
            assert_eq!(walk.is_some(), by_grid.is_finite(), "to {to:?}");
            let Some(walk) = walk else { continue };
            let bends = f64::from(u32::try_from(walk.line.len()).unwrap());
            // The grid is the longer one, but for the half percent that tangents for arcs may cost
            // and for steps that cut a corner by a fraction of a cell.
            assert!(
                walk.length_m <= by_grid * 1.005 + 0.2 * CELL_M,
                "to {to:?}: {} m, by the grid {by_grid} m",
                walk.length_m
            );
            // At each bend the grid's cells keep up to a cell more off the corner.
            assert!(
                by_grid <= walk.length_m * WORST + 0.5 * CELL_M * bends,
                "to {to:?}: {} m, by the grid {by_grid} m",
                walk.length_m
            );
            compared += 1;
        }
    }
    assert!(compared > 400, "{compared}");
}

#[test]
fn from_both_entries_of_the_brick_house_every_room_is_reached_over_the_stairs() {
    let mut plan = shipped("brick-house");
    if plan.stairs.is_empty() {
        stairs(&mut plan, 0, 1, &[[5.4, 1.1], [5.4, 4.0]]);
    }
    let map = map(&plan);
    assert!(map.entries().eq(["front-door", "side-door"]));
    let walks = map.from_entries();
    for (level, x, y) in [
        (0, 2.0, 2.0),
        (0, 2.0, 6.0),
        (0, 2.0, 9.5),
        (0, 6.5, 6.5),
        (0, 7.5, 1.5),
        (0, 6.6, 4.0),
        (0, 8.6, 4.3),
        (1, 2.0, 2.0),
        (1, 2.0, 6.0),
        (1, 7.5, 1.5),
        (1, 5.5, 6.5),
        (1, 8.0, 6.5),
        (1, 8.6, 4.4),
    ] {
        let answer = walks.to(level, at(x, y), None);
        assert_eq!(answer.unreached, [], "level {level}, {x}, {y}");
        for walk in &answer.walks {
            assert!(!walk.squeezed && walk.length_m < 25.0, "level {level}, {x}, {y}: {walk:?}");
        }
    }
}

#[test]
fn every_entry_of_every_shipped_plan_leads_to_its_panel() {
    for name in ["brick-house", "bungalow", "corner-shop", "foil-garage"] {
        let plan = shipped(name);
        let panel = plan.panel().unwrap();
        let map = map(&plan);
        let answer = map.from_entries().to(panel.level, panel.position, None);
        assert_eq!(answer.unreached, [], "{name}");
        for walk in &answer.walks {
            assert!(!walk.squeezed, "{name}: {walk:?}");
        }
    }
}
