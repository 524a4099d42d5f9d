//! Short ways to write down a plan.

use geo::Coord;
use plan::Plan;
use siting::wire::{NoRun, WireNetwork, WireRun};

use crate::plans;
pub use crate::plans::{at, empty as storeys, outlet};

/// Adds a wall from floor to ceiling; gives its index.
pub fn wall(plan: &mut Plan, level: i32, points: &[(f64, f64)]) -> usize {
    plans::wall(plan, &format!("wall {}", plan.walls.len()), level, "brick", points)
}

/// One storey with a wall and an outlet low in it; gives the wall's index, too.
pub fn house(points: &[(f64, f64)], outlet_at: Coord<f64>) -> (Plan, usize) {
    let mut plan = storeys(1);
    let number = wall(&mut plan, 0, points);
    outlet(&mut plan, 0, outlet_at, 0.3);
    (plan, number)
}

/// Adds an opening to a segment of a wall.
pub fn opening(plan: &mut Plan, at: (usize, usize), from_to: (f64, f64), base_top: (f64, f64)) {
    let id = format!("opening {}", plan.openings.len());
    let number = plans::opening(plan, &id, at, from_to, "wood");
    let opening = &mut plan.openings[number];
    (opening.base_m, opening.top_m) = base_top;
}

/// The run to a spot of a plan.
pub fn run(plan: &Plan, level: i32, spot: Coord<f64>, height_m: f64) -> Result<WireRun, NoRun> {
    WireNetwork::new(plan).unwrap().to(level, spot, height_m)
}

/// Its length alone, after checking that the route has that length and only level and upright legs.
pub fn length_m(plan: &Plan, level: i32, spot: Coord<f64>, height_m: f64) -> f64 {
    let run = run(plan, level, spot, height_m).unwrap();
    check_route(&run);
    run.length_m
}

pub fn check_route(run: &WireRun) {
    let mut sum = 0.0;
    let mut floors = 0;
    for pair in run.route.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let (across, up) = ((a.1 - b.1).x.hypot((a.1 - b.1).y), (a.2 - b.2).abs());
        assert!(across < 1e-9 || up < 1e-9 || a.0 != b.0, "a slanted leg in {:?}", run.route);
        sum += across + up;
        floors += usize::from(a.0 != b.0);
    }
    assert!((sum - run.length_m).abs() < 1e-9, "{sum} {run:?}");
    assert_eq!(floors, run.through_floors);
}
