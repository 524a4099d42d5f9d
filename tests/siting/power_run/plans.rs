//! Short ways to write down a plan.

use geo::{Coord, LineString};
use plan::{Level, Opening, Outlet, Plan, Wall};
use siting::wire::{NoRun, WireNetwork, WireRun, WireSettings};

pub use crate::spots::plans::at;

/// Floor, ceiling of the only storey of most tests, metres.
pub const CEILING_M: f64 = 2.4;

/// A plan of levels 0, 1, …, 2.4 m high with slabs of 0.3 m between.
pub fn storeys(count: i32) -> Plan {
    Plan {
        metres_per_unit: 1.0,
        levels: (0..count)
            .map(|number| Level {
                number,
                name: format!("level {number}"),
                floor_m: f64::from(number) * 2.7,
                ceiling_m: f64::from(number) * 2.7 + CEILING_M,
            })
            .collect(),
        ..Plan::default()
    }
}

/// Adds a wall from floor to ceiling; gives its index.
pub fn wall(plan: &mut Plan, level: i32, points: &[(f64, f64)]) -> usize {
    let floor_m = f64::from(level) * 2.7;
    wall_between(plan, level, points, (floor_m, floor_m + CEILING_M))
}

/// Adds a wall of other heights.
pub fn wall_between(plan: &mut Plan, level: i32, points: &[(f64, f64)], z: (f64, f64)) -> usize {
    let number = plan.walls.len();
    plan.walls.push(Wall {
        thickness_mm: None,
        id: format!("wall {number}"),
        level,
        construction: "brick".into(),
        line: LineString::from(points.to_vec()),
        base_m: z.0,
        top_m: z.1,
    });
    number
}

/// Adds an opening to the first segment of a wall.
pub fn opening(plan: &mut Plan, wall: usize, from_to: (f64, f64), base_top: (f64, f64)) {
    opening_in(plan, (wall, 0), from_to, base_top);
}

/// Adds an opening to a segment of a wall.
pub fn opening_in(
    plan: &mut Plan,
    (wall, segment): (usize, usize),
    from_to: (f64, f64),
    base_top: (f64, f64),
) {
    let number = plan.openings.len();
    plan.openings.push(Opening {
        id: format!("opening {number}"),
        wall,
        segment,
        from_m: from_to.0,
        to_m: from_to.1,
        construction: "wood".into(),
        open: false,
        entry: false,
        base_m: base_top.0,
        top_m: base_top.1,
    });
}

pub fn outlet(plan: &mut Plan, level: i32, position: Coord<f64>, height_m: f64) {
    let number = plan.outlets.len();
    plan.outlets.push(Outlet { id: format!("outlet {number}"), level, position, height_m });
}

/// The run to a spot of a plan.
pub fn run(plan: &Plan, level: i32, spot: Coord<f64>, height_m: f64) -> Result<WireRun, NoRun> {
    WireNetwork::new(plan, WireSettings::default()).unwrap().to(level, spot, height_m)
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
