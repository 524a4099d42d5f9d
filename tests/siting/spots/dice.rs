//! Small plans at random.

use std::fmt;

use fixtures::Dice;
use plan::{DeviceKind, LinkChoice, Plan};
use proptest::prelude::*;

use crate::plans::{
    STOREY_M, at, device, empty, obstacle, opening, outlet, outline, rectangle, roam, sensor, slab,
    turned, wall,
};

/// A random plan that a failing test can show.
#[derive(Clone)]
pub struct Drawn(pub Plan);

impl fmt::Debug for Drawn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Plan { walls, openings, obstacles, devices, slabs, link, .. } = &self.0;
        write!(f, "{walls:?}\n{openings:?}\n{obstacles:?}\n{slabs:?}\n{link:?}\n{devices:#?}")
    }
}

/// Plans of one or two storeys, a few rooms and two to six sensors, with boxes, repeaters, keypads
/// and links of their own now and then.
pub fn plan() -> impl Strategy<Value = Drawn> {
    prop::collection::vec(0.0..1.0f64, 110).prop_map(|parts| Drawn(drawn(&parts)))
}

fn drawn(parts: &[f64]) -> Plan {
    const OUTSIDE: [&str; 5] = [
        "brick-cavity",
        "timber-frame-exterior",
        "foil-board-brick",
        "concrete-reinforced-200",
        "metal-panel-insulated",
    ];
    const INSIDE: [&str; 6] = [
        "stud-partition",
        "block-dense",
        "foil-board-stud",
        "brick-half",
        "mirror-stud",
        "metal-lath-plaster",
    ];
    let mut dice = Dice(parts.iter().copied());
    let levels = if dice.percent(25) { 2 } else { 1 };
    let (w, h) = (dice.within(4.0, 9.0), dice.within(4.0, 8.0));
    let mut plan = empty(levels);
    let shell = dice.one_of(&OUTSIDE);
    for level in 0..levels {
        outline(&mut plan, level, shell, [w, h]);
    }
    if levels > 1 {
        slab(&mut plan, 1, dice.one_of(&["floor-timber", "floor-concrete"]), [0.0, 0.0], [w, h]);
    }
    rooms(&mut plan, &mut dice, [w, h], &INSIDE);
    openings(&mut plan, &mut dice, [w, h]);
    for number in 0..2 {
        let (x, y) = (dice.within(0.2, w - 1.2), dice.within(0.2, h - 1.2));
        let high = [x + dice.within(0.3, 1.0), y + dice.within(0.3, 1.0)];
        let (is_there, is_tall) = (dice.percent(40), dice.percent(50));
        let construction = dice.one_of(&["sheet-metal", "concrete-200"]);
        if is_there {
            let top = if is_tall { 2.2 } else { 1.0 };
            let id = format!("box-{number}");
            obstacle(&mut plan, &id, construction, ([x, y], high), top);
        }
    }
    devices(&mut plan, &mut dice, [w, h], levels);
    if dice.percent(30) {
        roam(&mut plan, rectangle([0.3, 0.3], [w - 0.3, h * 0.7]), false);
    }
    outlet(&mut plan, 0, at(dice.within(0.3, w - 0.3), 0.15), 0.3);
    outlet(&mut plan, 0, at(0.15, dice.within(0.3, h - 0.3)), 0.3);
    let (angle, by) = (dice.within(0.0, 6.3), dice.within(-5.0, 5.0));
    if dice.percent(50) { turned(plan, angle, at(by, -by)) } else { plan }
}

fn rooms<I: Iterator<Item = f64>>(
    plan: &mut Plan,
    dice: &mut Dice<I>,
    [w, h]: [f64; 2],
    inside: &[&'static str],
) {
    let x = dice.within(0.3, 0.7) * w;
    let number = wall(plan, "middle", 0, dice.one_of(inside), &[[x, 0.0], [x, h]]);
    let from = dice.within(0.3, h - 1.3);
    let door = dice.one_of(&["door-hollow", "door-steel", "glass-double-coated"]);
    let door = opening(plan, "inner-door", (number, 0), (from, from + 0.9), door);
    plan.openings[door].open = dice.percent(40);
    let (y, is_there, is_low) = (dice.within(0.3, 0.7) * h, dice.percent(60), dice.percent(30));
    let construction = dice.one_of(inside);
    if is_there {
        let number = wall(plan, "cross", 0, construction, &[[x, y], [w, y]]);
        if is_low {
            plan.walls[number].top_m = 1.1;
        }
    }
    if dice.percent(30) {
        wall(plan, "free", 0, "stud-partition", &[[0.6, 0.9], [x * 0.6, h * 0.5]]);
    }
}

fn openings<I: Iterator<Item = f64>>(plan: &mut Plan, dice: &mut Dice<I>, [w, h]: [f64; 2]) {
    let from = dice.within(0.3, w - 1.3);
    let door = opening(plan, "front-door", (0, 0), (from, from + 0.9), "door-solid");
    plan.openings[door].entry = true;
    let from = dice.within(0.3, h - 1.6);
    let pane = dice.one_of(&["glass-double", "glass-double-coated"]);
    let window = opening(plan, "window", (0, 1), (from, from + 1.2), pane);
    plan.openings[window].base_m = 0.9;
}

fn devices<I: Iterator<Item = f64>>(
    plan: &mut Plan,
    dice: &mut Dice<I>,
    [w, h]: [f64; 2],
    levels: i32,
) {
    // Weak enough that some spots keep every device and others do not.
    plan.link = Some(LinkChoice {
        like: Some("eu-868.65".to_owned()),
        eirp_dbm: Some(dice.within(-60.0, -5.0)),
        ..LinkChoice::default()
    });
    let count = 2 + (dice.part() * 4.999) as usize;
    for _ in 0..count {
        let (x, y) = (dice.within(0.15, w - 0.15), dice.within(0.15, h - 0.15));
        let on_the_wall = dice.percent(20);
        sensor(plan, if on_the_wall { 0.0 } else { x }, y);
        let height_m = dice.within(0.2, 2.3);
        let (upstairs, lone, own_link) = (dice.percent(50), dice.percent(20), dice.percent(20));
        let Some(sensor) = plan.devices.last_mut() else {
            continue;
        };
        sensor.supervised = !lone;
        sensor.height_m = height_m;
        if upstairs && levels > 1 {
            sensor.level = 1;
            sensor.height_m += STOREY_M;
        }
        if own_link {
            sensor.link =
                Some(LinkChoice { like: Some("us-345".to_owned()), ..LinkChoice::default() });
        }
    }
    for (id, kind, parts) in [
        ("keypad", DeviceKind::Keypad, 30),
        ("relay", DeviceKind::Repeater, 45),
        ("other-relay", DeviceKind::Repeater, 20),
    ] {
        let (x, y) = (dice.within(0.15, w - 0.15), dice.within(0.15, h - 0.15));
        if dice.percent(parts) {
            let mut one = device(id, kind);
            one.position = at(x, y);
            one.link = (kind == DeviceKind::Repeater)
                .then(|| LinkChoice { eirp_dbm: Some(5.0), ..LinkChoice::default() });
            plan.devices.push(one);
        }
    }
}
