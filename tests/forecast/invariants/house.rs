//! Random houses, made from a few numbers, for property tests.

use fixtures::Dice;
use forecast::{LinkOverride, Model, Site};
use geo::{Coord, LineString, Polygon, Rect};
use plan::{Device, DeviceKind, Level, LinkChoice, Obstacle, Opening, Plan, Slab, Wall};
use proptest::prelude::*;

pub fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

pub fn wall(id: &str, construction: &str, points: &[Coord<f64>]) -> Wall {
    Wall {
        thickness_mm: None,
        id: id.to_owned(),
        level: 0,
        construction: construction.to_owned(),
        line: LineString(points.to_vec()),
        base_m: 0.0,
        top_m: 2.5,
    }
}

pub fn device(id: &str, kind: DeviceKind, position: Coord<f64>, height_m: f64) -> Device {
    let (id, name) = (id.to_owned(), id.to_owned());
    Device { id, name, position, height_m, ..Device::bare(kind, 0) }
}

/// A plan without walls, with a panel and a sensor.
pub fn field_plan(panel: Coord<f64>, sensor: Coord<f64>) -> Plan {
    Plan {
        name: "test".to_owned(),
        metres_per_unit: 1.0,
        levels: vec![Level {
            number: 0,
            name: "Ground".to_owned(),
            floor_m: 0.0,
            ceiling_m: 2.5,
            is_over_air: false,
        }],
        link: Some(LinkChoice { like: Some("eu-868.65".to_owned()), ..LinkChoice::default() }),
        devices: vec![
            device("panel", DeviceKind::Panel, panel, 1.5),
            device("s1", DeviceKind::Sensor, sensor, 1.5),
        ],
        ..Plan::default()
    }
}

/// A house of two storeys from a seed: outer walls with windows, inner walls, a door, a free wall
/// end, a low partition, a cupboard, floors with a stair hole.
pub fn house(seed: u64) -> Plan {
    let mut dice = Dice::new(seed);
    let (w, h) = (dice.within(6.0, 12.0), dice.within(5.0, 9.0));
    let (x, y) = (dice.within(0.3, 0.7) * w, dice.within(0.3, 0.7) * h);
    let heavy = ["brick-half", "block-dense", "brick-cavity", "foil-board-brick"];
    let light = ["stud-partition", "lath-and-plaster", "brick-half", "glass-single"];
    let panel = at(dice.within(0.4, w - 0.4), dice.within(0.4, h - 0.4));
    let sensor = at(dice.within(0.4, w - 0.4), dice.within(0.4, h - 0.4));
    let mut plan = field_plan(panel, sensor);
    let outer = [at(0.0, 0.0), at(w, 0.0), at(w, h), at(0.0, h), at(0.0, 0.0)];
    plan.walls.push(wall("outer", dice.one_of(&heavy), &outer));
    plan.walls.push(wall("long", dice.one_of(&light), &[at(x, 0.0), at(x, h)]));
    plan.walls.push(wall("cross", dice.one_of(&light), &[at(0.0, y), at(x, y)]));
    let stub = at(x + dice.within(0.8, 0.6 * (w - x)), y + dice.within(-0.5, 0.5));
    plan.walls.push(wall("stub", dice.one_of(&light), &[at(x, y), stub]));
    let mut low = wall("low", dice.one_of(&light), &[at(w, 0.8 * h), at(0.5 * (x + w), 0.85 * h)]);
    low.top_m = 1.6;
    plan.walls.push(low);
    let opening =
        |id: &str, wall: usize, segment: usize, from_m: f64, width: f64, what: &str| Opening {
            id: id.to_owned(),
            wall,
            segment,
            from_m,
            to_m: from_m + width,
            construction: what.to_owned(),
            open: what == "open",
            entry: false,
            base_m: if what.starts_with("glass") { 0.9 } else { 0.0 },
            top_m: 2.1,
        };
    plan.openings = vec![
        opening("window-s", 0, 0, dice.within(0.3, w - 2.0), 1.4, "glass-double"),
        opening("window-n", 0, 2, dice.within(0.3, w - 2.0), 1.2, "glass-double-coated"),
        opening("door", 1, 0, dice.within(0.2, h - 1.2), 0.9, "open"),
        opening("door-2", 2, 0, dice.within(0.1, x - 1.0), 0.8, "door-hollow"),
    ];
    let corner = at(dice.within(0.2, 0.8) * w, dice.within(0.2, 0.8) * h);
    let side = dice.within(0.3, 0.8);
    plan.obstacles.push(Obstacle {
        id: "cupboard".to_owned(),
        level: 0,
        construction: "sheet-metal".to_owned(),
        outline: Rect::new(corner, corner + at(side, 0.6)).to_polygon(),
        base_m: 0.0,
        top_m: dice.within(0.9, 2.0),
    });
    let floor = |id: &str, level: i32, height_m: f64, holes: Vec<LineString>| Slab {
        id: id.to_owned(),
        level,
        height_m,
        construction: "floor-concrete".to_owned(),
        outline: Polygon::new(LineString(outer.to_vec()), holes),
        is_tight: false,
    };
    let stairs = Rect::new(at(0.5, 0.5), at(2.0, 1.7)).to_polygon().exterior().clone();
    plan.slabs = vec![floor("ground", 0, 0.0, vec![]), floor("first", 1, 2.7, vec![stairs])];
    plan.levels.push(Level {
        number: 1,
        name: "First".to_owned(),
        floor_m: 2.7,
        ceiling_m: 5.1,
        is_over_air: false,
    });
    let mut upper = wall("upper", dice.one_of(&light), &[at(0.0, 0.6 * h), at(w, 0.5 * h)]);
    (upper.level, upper.base_m, upper.top_m) = (1, 2.7, 5.1);
    plan.walls.push(upper);
    if dice.within(0.0, 1.0) < 0.4 {
        plan.devices[1].height_m = 4.0;
        plan.devices[1].level = 1;
    }
    plan
}

/// Any seed.
pub fn seeds() -> impl Strategy<Value = u64> {
    any::<u64>()
}

/// A plan with its points carried over by a map of the plane.
pub fn mapped(plan: &Plan, map: &dyn Fn(Coord<f64>) -> Coord<f64>) -> Plan {
    let mut plan = plan.clone();
    let line = |line: &LineString<f64>| LineString(line.0.iter().map(|p| map(*p)).collect());
    let polygon = |polygon: &Polygon<f64>| {
        Polygon::new(line(polygon.exterior()), polygon.interiors().iter().map(line).collect())
    };
    for wall in &mut plan.walls {
        wall.line = line(&wall.line);
    }
    for slab in &mut plan.slabs {
        slab.outline = polygon(&slab.outline);
    }
    for obstacle in &mut plan.obstacles {
        obstacle.outline = polygon(&obstacle.outline);
    }
    for device in &mut plan.devices {
        device.position = map(device.position);
    }
    plan
}

/// The site of a plan.
pub fn site(plan: &Plan, model: Model) -> Site<'_> {
    Site::new(plan, model, LinkOverride::default(), None).expect("the test's plan can be assessed")
}

/// Loss of all paths from the panel to the first sensor, dB.
pub fn path_loss(plan: &Plan, model: Model) -> f64 {
    let site = site(plan, model);
    let link = site.link(None).expect("the test's link exists");
    let sensor = plan.devices.iter().find(|d| d.kind == DeviceKind::Sensor).expect("a sensor");
    forecast::power_gain(&site, &site.panel, sensor, &link).to_loss().0
}
