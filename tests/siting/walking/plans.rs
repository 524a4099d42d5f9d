//! Plans built in code.

use plan::{Construction, Layer, Level, Obstacle, Opening, Plan, Slab, Stairs, Wall};
use siting::walk::{WalkMap, WalkSettings, passable_by_default};

pub use crate::spots::plans::at;
use crate::spots::plans::{line, rectangle};

/// Half width of the usual person, metres.
pub const HALF_WIDTH_M: f64 = 0.2;

/// A level 2.5 m high for every 3 m.
fn level(number: i32) -> Level {
    let floor_m = 3.0 * f64::from(number);
    Level { number, name: format!("Level {number}"), floor_m, ceiling_m: floor_m + 2.5 }
}

/// A plan of levels 0 to `levels` − 1 with nothing on them. Walls of "line" have no thickness,
/// walls of "thick" are 0.2 m thick.
pub fn site(levels: i32) -> Plan {
    let thick = vec![Layer::Bulk { material: "wood".to_owned(), thickness_mm: 200.0 }];
    Plan {
        metres_per_unit: 1.0,
        levels: (0..levels).map(level).collect(),
        constructions: [("thick".to_owned(), Construction::Layers(thick))].into(),
        ..Plan::default()
    }
}

/// Adds a wall from floor to ceiling; returns its index.
pub fn wall(plan: &mut Plan, number: i32, construction: &str, points: &[[f64; 2]]) -> usize {
    let level = plan.level(number).unwrap().clone();
    plan.walls.push(Wall {
        thickness_mm: None,
        id: format!("wall-{}", plan.walls.len() + 1),
        level: number,
        construction: construction.to_owned(),
        line: line(points),
        base_m: level.floor_m,
        top_m: level.ceiling_m,
    });
    plan.walls.len() - 1
}

/// Adds the four walls of a room as one closed wall: south, east, north, west.
pub fn room(
    plan: &mut Plan,
    number: i32,
    construction: &str,
    low: [f64; 2],
    high: [f64; 2],
) -> usize {
    let ([w, s], [e, n]) = (low, high);
    let ring = [[w, s], [e, s], [e, n], [w, n], [w, s]];
    wall(plan, number, construction, &ring)
}

/// Adds a door of hollow timber, 2 m high, along a segment of a wall.
pub fn door(
    plan: &mut Plan,
    id: &str,
    wall: usize,
    segment: usize,
    from_m: f64,
    to_m: f64,
) -> usize {
    let base_m = plan.walls[wall].base_m;
    plan.openings.push(Opening {
        id: id.to_owned(),
        wall,
        segment,
        from_m,
        to_m,
        construction: "door-hollow".to_owned(),
        open: false,
        entry: false,
        base_m,
        top_m: base_m + 2.0,
    });
    plan.openings.len() - 1
}

/// The same as a door by which people come in.
pub fn entry(plan: &mut Plan, id: &str, wall: usize, segment: usize, from_m: f64, to_m: f64) {
    let number = door(plan, id, wall, segment, from_m, to_m);
    plan.openings[number].entry = true;
}

/// Adds a box from the floor to `height_m`.
pub fn obstacle(plan: &mut Plan, number: i32, low: [f64; 2], high: [f64; 2], height_m: f64) {
    let floor_m = plan.level(number).unwrap().floor_m;
    plan.obstacles.push(Obstacle {
        id: format!("obstacle-{}", plan.obstacles.len() + 1),
        level: number,
        construction: "sheet-metal".to_owned(),
        outline: rectangle(low, high),
        base_m: floor_m,
        top_m: floor_m + height_m,
    });
}

pub fn slab(plan: &mut Plan, number: i32, low: [f64; 2], high: [f64; 2]) {
    plan.slabs.push(Slab {
        id: format!("slab-{number}"),
        level: number,
        height_m: plan.level(number).unwrap().floor_m,
        construction: "floor-timber".to_owned(),
        outline: rectangle(low, high),
    });
}

pub fn stairs(plan: &mut Plan, level: i32, to_level: i32, points: &[[f64; 2]]) {
    plan.stairs.push(Stairs {
        id: format!("stairs-{}", plan.stairs.len() + 1),
        level,
        to_level,
        line: line(points),
    });
}

/// The map for the usual person, all doors by default.
pub fn map(plan: &Plan) -> WalkMap {
    map_for(plan, &WalkSettings::USUAL)
}

pub fn map_for(plan: &Plan, settings: &WalkSettings) -> WalkMap {
    WalkMap::new(plan, settings, &|opening| passable_by_default(plan, opening)).unwrap()
}

/// Length between two places of level 0.
pub fn length_m(plan: &Plan, from: [f64; 2], to: [f64; 2]) -> Option<f64> {
    let walk = map(plan).between((0, at(from[0], from[1])), (0, at(to[0], to[1])));
    walk.map(|walk| walk.length_m)
}
