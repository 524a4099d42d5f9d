//! Plans built in code.

use geo::{Coord, Geometry, LineString, Polygon};
use plan::{
    Device, DeviceKind, Level, Mountable, Obstacle, Opening, Outlet, Plan, Roam, Slab, Wall,
};

/// Height of a storey from floor to floor, metres.
pub const STOREY_M: f64 = 2.7;
const CEILING_M: f64 = 2.4;

pub fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

pub fn line(points: &[[f64; 2]]) -> LineString<f64> {
    points.iter().map(|p| at(p[0], p[1])).collect()
}

pub fn rectangle(low: [f64; 2], high: [f64; 2]) -> Polygon<f64> {
    let ([w, s], [e, n]) = (low, high);
    Polygon::new(line(&[[w, s], [e, s], [e, n], [w, n], [w, s]]), Vec::new())
}

/// A plan of levels 0, 1, … with nothing on them.
pub fn storeys(count: i32, storey_m: f64, clear_m: f64) -> Plan {
    let level = |number: i32| {
        let floor_m = storey_m * f64::from(number);
        Level {
            number,
            name: format!("Level {number}"),
            floor_m,
            ceiling_m: floor_m + clear_m,
            is_over_air: false,
        }
    };
    Plan {
        name: "Test".to_owned(),
        metres_per_unit: 1.0,
        levels: (0..count).map(level).collect(),
        ..Plan::default()
    }
}

/// The same of the usual heights.
pub fn empty(levels: i32) -> Plan {
    storeys(levels, STOREY_M, CEILING_M)
}

/// Adds a wall from floor to ceiling; returns its index.
pub fn wall(
    plan: &mut Plan,
    id: &str,
    level: i32,
    construction: &str,
    points: &[impl Copy + Into<Coord<f64>>],
) -> usize {
    let storey = plan.level(level).unwrap();
    let (base_m, top_m) = (storey.floor_m, storey.ceiling_m);
    plan.walls.push(Wall {
        thickness_mm: None,
        id: id.to_owned(),
        level,
        construction: construction.to_owned(),
        line: LineString::from(points.to_vec()),
        base_m,
        top_m,
    });
    plan.walls.len() - 1
}

/// Adds the four walls of a house as one closed wall: south, east, north, west.
pub fn outline(plan: &mut Plan, level: i32, construction: &str, high: [f64; 2]) -> usize {
    let [e, n] = high;
    let ring = [[0.0, 0.0], [e, 0.0], [e, n], [0.0, n], [0.0, 0.0]];
    wall(plan, &format!("outside-{level}"), level, construction, &ring)
}

/// Adds an opening to a segment of a wall, from its base to 2 m above.
pub fn opening(
    plan: &mut Plan,
    id: &str,
    (wall, segment): (usize, usize),
    (from_m, to_m): (f64, f64),
    construction: &str,
) -> usize {
    let base_m = plan.walls[wall].base_m;
    plan.openings.push(Opening {
        id: id.to_owned(),
        wall,
        segment,
        from_m,
        to_m,
        construction: construction.to_owned(),
        open: false,
        entry: false,
        base_m,
        top_m: base_m + 2.0,
    });
    plan.openings.len() - 1
}

/// Adds a box that stands on the floor.
pub fn obstacle(
    plan: &mut Plan,
    id: &str,
    construction: &str,
    corners: ([f64; 2], [f64; 2]),
    height_m: f64,
) {
    obstacle_on(plan, 0, id, construction, corners, height_m);
}

/// Adds a box that stands on the floor of a level.
pub fn obstacle_on(
    plan: &mut Plan,
    level: i32,
    id: &str,
    construction: &str,
    (low, high): ([f64; 2], [f64; 2]),
    height_m: f64,
) {
    let base_m = plan.level(level).unwrap().floor_m;
    plan.obstacles.push(Obstacle {
        id: id.to_owned(),
        level,
        construction: construction.to_owned(),
        outline: rectangle(low, high),
        base_m,
        top_m: base_m + height_m,
    });
}

pub fn slab(plan: &mut Plan, level: i32, construction: &str, low: [f64; 2], high: [f64; 2]) {
    plan.slabs.push(Slab {
        id: format!("slab-{level}"),
        level,
        height_m: plan.level(level).unwrap().floor_m,
        construction: construction.to_owned(),
        outline: rectangle(low, high),
        is_tight: false,
    });
}

pub fn outlet(plan: &mut Plan, level: i32, position: Coord<f64>, height_m: f64) {
    let id = format!("outlet {}", plan.outlets.len());
    plan.outlets.push(Outlet { id, level, position, height_m });
}

pub fn mountable(plan: &mut Plan, level: i32, shape: impl Into<Geometry<f64>>) {
    plan.mountables.push(Mountable {
        id: format!("mount-{}", plan.mountables.len() + 1),
        level,
        shape: shape.into(),
    });
}

pub fn roam(plan: &mut Plan, outline: Polygon<f64>, worn: bool) {
    plan.roams.push(Roam {
        id: format!("roam-{}", plan.roams.len() + 1),
        name: "Pendant".to_owned(),
        level: 0,
        height_m: 1.2,
        outline,
        link: None,
        worn,
    });
}

/// A supervised device on the ground floor at the plan's zero, 1.5 m high.
pub fn device(id: &str, kind: DeviceKind) -> Device {
    let (id, name) = (id.to_owned(), id.to_owned());
    Device { id, name, height_m: 1.5, ..Device::bare(kind, 0) }
}

pub fn sensor(plan: &mut Plan, x: f64, y: f64) {
    plan.devices.push(Device {
        position: at(x, y),
        ..device(&format!("s{}", plan.devices.len()), DeviceKind::Sensor)
    });
}

/// Turns a plan about its zero and moves it, so that nothing runs along an axis.
pub fn turned(mut plan: Plan, angle: f64, by: Coord<f64>) -> Plan {
    let (sin, cos) = angle.sin_cos();
    let turn = |p: &mut Coord<f64>| {
        *p = at(p.x * cos - p.y * sin + by.x, p.x * sin + p.y * cos + by.y);
    };
    let turn_area = |area: &mut Polygon<f64>| {
        area.exterior_mut(|ring| ring.0.iter_mut().for_each(turn));
    };
    plan.walls.iter_mut().flat_map(|wall| &mut wall.line.0).for_each(turn);
    plan.slabs.iter_mut().for_each(|s| turn_area(&mut s.outline));
    plan.obstacles.iter_mut().for_each(|o| turn_area(&mut o.outline));
    plan.roams.iter_mut().for_each(|r| turn_area(&mut r.outline));
    plan.devices.iter_mut().for_each(|d| turn(&mut d.position));
    plan.outlets.iter_mut().for_each(|o| turn(&mut o.position));
    plan
}
