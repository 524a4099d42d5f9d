//! Plans built in code.

use plan::{Construction, Layer, Plan, Stairs};
use siting::walk::{Walk, WalkMap, WalkSettings, passable_by_default};

pub use crate::plans::at;
use crate::plans::{self, line, storeys};

/// Half width of the usual person, metres.
pub const HALF_WIDTH_M: f64 = 0.2;

/// A plan of levels 0 to `levels` − 1, 2.5 m high for every 3 m, with nothing on them. Walls of
/// "line" have no thickness, walls of "thick" are 0.2 m thick.
pub fn site(levels: i32) -> Plan {
    let thick = vec![Layer::Bulk { material: "wood".to_owned(), thickness_mm: 200.0 }];
    let constructions = [("thick".to_owned(), Construction::Layers(thick))].into();
    Plan { constructions, ..storeys(levels, 3.0, 2.5) }
}

/// Adds a wall from floor to ceiling; returns its index.
pub fn wall(plan: &mut Plan, number: i32, construction: &str, points: &[[f64; 2]]) -> usize {
    plans::wall(plan, &format!("wall-{}", plan.walls.len() + 1), number, construction, points)
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
pub fn door(plan: &mut Plan, id: &str, wall: usize, segment: usize, from: f64, to: f64) -> usize {
    plans::opening(plan, id, (wall, segment), (from, to), "door-hollow")
}

/// The same as a door by which people come in.
pub fn entry(plan: &mut Plan, id: &str, wall: usize, segment: usize, from_m: f64, to_m: f64) {
    let number = door(plan, id, wall, segment, from_m, to_m);
    plan.openings[number].entry = true;
}

/// Adds a box from the floor to `height_m`.
pub fn obstacle(plan: &mut Plan, number: i32, low: [f64; 2], high: [f64; 2], height_m: f64) {
    let id = format!("obstacle-{}", plan.obstacles.len() + 1);
    plans::obstacle_on(plan, number, &id, "sheet-metal", (low, high), height_m);
}

pub fn slab(plan: &mut Plan, number: i32, low: [f64; 2], high: [f64; 2]) {
    plans::slab(plan, number, "floor-timber", low, high);
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

/// The walk between two places of level 0.
pub fn walk(plan: &Plan, from: [f64; 2], to: [f64; 2]) -> Option<Walk> {
    map(plan).between((0, at(from[0], from[1])), (0, at(to[0], to[1])))
}

/// Its length.
pub fn length_m(plan: &Plan, from: [f64; 2], to: [f64; 2]) -> Option<f64> {
    walk(plan, from, to).map(|walk| walk.length_m)
}
