//! What a sound plan is read as.

use approx::assert_relative_eq;
use plan::{Construction, DeviceKind, Layer, LinkChoice, Plan};

use crate::faults::support::{HOUSE_FEATURES, house_top, line, plan_of, sound, with_features};

fn house() -> Plan {
    let reading = sound(&crate::faults::support::house());
    assert_eq!(reading.warnings, [], "the house is meant to be without warnings");
    reading.plan
}

#[test]
fn levels_constructions_and_the_link() {
    let plan = house();
    assert_eq!(plan.name, "plan");
    let levels: Vec<_> =
        plan.levels.iter().map(|l| (l.number, l.name.as_str(), l.floor_m)).collect();
    assert_eq!(levels, [(0, "Ground", 0.0), (1, "level 1", 2.7)]);
    let [Layer::Bulk { material, thickness_mm }, Layer::Film { sheet_resistance_ohm }] =
        layers(&plan, "foil board")
    else {
        panic!("{:?}", plan.constructions)
    };
    assert_eq!(
        (material.as_str(), *thickness_mm, *sheet_resistance_ohm),
        ("plasterboard", 12.5, 0.5)
    );
    let measured = Construction::Measured(vec![(319.5, 4.0), (868.3, 9.5)]);
    assert_eq!(plan.constructions["old wall"], measured);
    assert_eq!(plan.link.as_ref().and_then(|link| link.like.as_deref()), Some("eu-868"));
}

fn layers<'p>(plan: &'p Plan, name: &str) -> &'p [Layer] {
    match &plan.constructions[name] {
        Construction::Layers(layers) => layers,
        Construction::Measured(_) => &[],
    }
}

#[test]
fn walls_reach_from_floor_to_ceiling_unless_they_say_otherwise() {
    let plan = house();
    let walls: Vec<_> =
        plan.walls.iter().map(|w| (w.id.as_str(), w.level, w.base_m, w.top_m)).collect();
    assert_eq!(
        walls,
        [("outer", 0, 0.0, 2.4), ("wall-2", 0, 0.0, 1.1), ("17", 1, 2.7, 5.1)],
        "the second has a top of its own and no id, the third a number for an id"
    );
    assert_eq!(plan.walls[0].line.0.len(), 5);
}

#[test]
fn openings_know_their_place_on_the_wall() {
    let plan = house();
    let door = &plan.openings[0];
    assert_eq!((door.id.as_str(), door.wall, door.segment), ("front", 0, 0));
    assert_eq!((door.from_m, door.to_m), (2.0, 3.0));
    assert!(door.entry && !door.open);
    assert_eq!((door.base_m, door.top_m), (0.0, 2.0));
    // Drawn against the direction of the wall's third segment, 3 cm off it.
    let window = &plan.openings[1];
    assert_eq!((window.wall, window.segment), (0, 2));
    assert_relative_eq!(window.from_m, 3.0);
    assert_relative_eq!(window.to_m, 4.5);
    assert!(window.open && !window.entry);
    // One line round a corner gives two openings of one id.
    let corner: Vec<_> =
        plan.openings[2..].iter().map(|o| (o.id.as_str(), o.segment, o.from_m, o.to_m)).collect();
    assert_eq!(corner, [("opening-3", 0, 8.0, 10.0), ("opening-3", 1, 0.0, 1.0)]);
}

#[test]
fn heights_of_devices_are_given_above_their_floor() {
    let plan = house();
    let devices: Vec<_> = plan
        .devices
        .iter()
        .map(|d| (d.id.as_str(), d.kind, d.level, (d.height_m * 1000.0).round()))
        .collect();
    assert_eq!(
        devices,
        [
            ("panel", DeviceKind::Panel, 0, 1500.0),
            ("sensor-1", DeviceKind::Sensor, 1, 4800.0),
            ("keypad-1", DeviceKind::Keypad, 0, 1400.0),
            ("repeater", DeviceKind::Repeater, 1, 3200.0),
        ]
    );
    let sensor = &plan.devices[1];
    assert_eq!((sensor.name.as_str(), sensor.number), ("Landing", Some(3)));
    assert_eq!((sensor.role.as_deref(), sensor.device.as_deref()), (Some("fire"), Some("smoke")));
    assert_eq!(sensor.mount.as_deref(), Some("wall"));
    assert!(sensor.supervised);
    let own = LinkChoice {
        like: Some("us-345".to_owned()),
        checkin_min: Some(20.0),
        bursts: Some(4),
        ..LinkChoice::default()
    };
    assert_eq!(sensor.link, Some(own));
    assert_eq!(plan.devices[2].name, "keypad-1", "a device without a name goes by its id");
    assert!(!plan.devices[2].supervised);
    let capacities: Vec<_> = plan.devices.iter().map(|d| d.capacity).collect();
    assert_eq!(capacities, [None, None, None, Some(8)]);
    assert_eq!(plan.panel().map(|panel| panel.id.as_str()), Some("panel"));
}

#[test]
fn slabs_obstacles_and_areas() {
    let plan = house();
    let slab = &plan.slabs[0];
    assert_eq!((slab.level, slab.height_m, slab.outline.interiors().len()), (1, 2.7, 1));
    let tank = &plan.obstacles[0];
    assert_eq!((tank.base_m, tank.top_m), (0.0, 1.8));
    let roam = &plan.roams[0];
    assert!(roam.worn);
    assert_eq!((roam.level, roam.height_m, roam.name.as_str()), (0, 1.1, "Garden flat"));
    assert_eq!(plan.mountables.len(), 1);
    assert_relative_eq!(plan.outlets[0].height_m, 3.0);
    let stairs = &plan.stairs[0];
    assert_eq!((stairs.id.as_str(), stairs.level, stairs.to_level), ("stairs-1", 0, 1));
    assert_eq!(stairs.line.0.len(), 3);
}

#[test]
fn of_walls_one_over_the_other_an_opening_is_on_the_one_that_reaches_its_height() {
    let wall = |height: &str| {
        let kind = "\"kind\": \"wall\", \"construction\": \"concrete\"";
        line(&format!("{kind}, {height}"), "[[20, 0], [24, 0]]")
    };
    let opening = |height: &str, x: u32| {
        let kind = "\"kind\": \"opening\", \"construction\": \"door-hollow\"";
        line(&format!("{kind}, {height}"), &format!("[[{x}, 0], [{}, 0]]", x + 1))
    };
    let features = [
        wall("\"top\": 1.2"),
        wall("\"base\": 1.2"),
        opening("\"base\": 0.4, \"top\": 1", 20),
        opening("\"base\": 1.4, \"top\": 2", 20),
        opening("\"top\": 1", 22),
        opening("\"base\": 1.4", 22),
    ];
    let plan = sound(&with_features(&features.join(",\n"))).plan;
    let base_m = |it: &plan::Opening| plan.walls[it.wall].base_m;
    assert_eq!(plan.openings.iter().map(base_m).collect::<Vec<_>>(), [0.0, 1.2, 0.0, 1.2]);
}

#[test]
fn feet_and_metres_agree() {
    let feet = sound(
        &with_features(&line(
            "\"kind\": \"opening\", \"construction\": \"door-hollow\", \"base\": 0, \"top\": 6.5",
            "[[1, 0], [4, 0]]",
        ))
        .replace("\"features\"", "\"units\": \"ft\",\n  \"features\""),
    );
    let plan = feet.plan;
    let door = &plan.openings[0];
    assert_relative_eq!(door.from_m, 0.3048);
    assert_relative_eq!(door.to_m, 1.2192);
    assert_relative_eq!(door.top_m, 1.9812);
    assert_relative_eq!(plan.walls[0].line.0[1].x, 3.048);
    assert_relative_eq!(plan.levels[0].ceiling_m, 2.4);

    // The whole house drawn in feet is the house drawn in metres.
    let in_feet = sound(&crate::faults::support::house_in_feet()).plan;
    let (a, b) = (canonical(&house()), canonical(&in_feet));
    assert_eq!(a.len(), b.len());
    for (a, b) in a.iter().zip(&b) {
        let (a_words, a_figures) = apart(a);
        let (b_words, b_figures) = apart(b);
        assert_eq!(a_words, b_words);
        for (a, b) in a_figures.into_iter().zip(b_figures) {
            assert_relative_eq!(a, b, epsilon = 1e-9);
        }
    }
}

/// A text without its numbers, and the numbers.
fn apart(text: &str) -> (String, Vec<f64>) {
    let is_figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-');
    let words = text.split(is_figure).filter(|word| !word.is_empty());
    let figures = text.split(|c| !is_figure(c)).filter_map(|figure| figure.parse().ok());
    (words.collect::<Vec<_>>().join("#"), figures.collect())
}

/// Everything in the plan as sorted text, with walls named by id instead of by index.
fn canonical(plan: &Plan) -> Vec<String> {
    let mut all = vec![format!("{:?} {:?} {:?}", plan.levels, plan.link, plan.constructions)];
    all.extend(plan.walls.iter().map(|wall| format!("{wall:?}")));
    all.extend(plan.openings.iter().map(|opening| {
        let wall = &plan.walls[opening.wall].id;
        let mut opening = opening.clone();
        opening.wall = 0;
        format!("on {wall}: {opening:?}")
    }));
    all.extend(plan.slabs.iter().map(|slab| format!("{slab:?}")));
    all.extend(plan.obstacles.iter().map(|obstacle| format!("{obstacle:?}")));
    all.extend(plan.devices.iter().map(|device| format!("{device:?}")));
    all.extend(plan.roams.iter().map(|roam| format!("{roam:?}")));
    all.extend(plan.mountables.iter().map(|mountable| format!("{mountable:?}")));
    all.extend(plan.outlets.iter().map(|outlet| format!("{outlet:?}")));
    all.extend(plan.stairs.iter().map(|stairs| format!("{stairs:?}")));
    all.sort();
    all
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config { failure_persistence: None, ..Default::default() })]

    /// Only default ids hang on the order, so all features but one of each kind have ids here.
    #[test]
    fn the_order_of_features_changes_nothing(
        order in proptest::strategy::Strategy::prop_shuffle(
            proptest::strategy::Just(HOUSE_FEATURES.to_vec())
        )
    ) {
        let named: Vec<String> = order
            .iter()
            .map(|feature| {
                let number = HOUSE_FEATURES.iter().position(|other| other == feature).unwrap();
                if feature.contains("\"id\"") {
                    (*feature).to_owned()
                } else {
                    feature.replacen("\"type\"", &format!("\"id\": \"f{number}\", \"type\""), 1)
                }
            })
            .collect();
        let in_order: Vec<String> = {
            let mut pairs: Vec<_> = order.iter().zip(&named).collect();
            pairs.sort_by_key(|(feature, _)| HOUSE_FEATURES.iter().position(|o| o == *feature));
            pairs.into_iter().map(|(_, named)| named.clone()).collect()
        };
        let shuffled = sound(&plan_of(&house_top(), &named.join(",\n"))).plan;
        let straight = sound(&plan_of(&house_top(), &in_order.join(",\n"))).plan;
        proptest::prop_assert_eq!(canonical(&shuffled), canonical(&straight));
    }
}
