//! Random small plans: rooms in a row, some walls of them foil, devices and outlets anywhere.

use forecast::{Adding, Model};
use proptest::prelude::*;
use serde_json::{Value, json};
use siting::cover::Hops;
use siting::relays::RelaySettings;
use units::Db;

/// Side of a room, metres.
const ROOM_M: f64 = 6.0;

/// A place in the plan: the room's number and where in it, each from 0 to 1.
type Place = (usize, f64, f64);

/// A plan and what is asked of it.
#[derive(Clone, Debug)]
pub struct Case {
    /// The plan's text.
    pub plan: String,
    /// What is asked.
    pub settings: RelaySettings,
    /// Further places for the panel: x, y, metres.
    pub panels: Vec<[f64; 2]>,
    /// Loss of the site, dB: with more of it more repeaters are needed.
    pub offset_db: f64,
}

impl Case {
    /// The settings of the radio.
    pub fn model(&self) -> Model {
        // Rays alone: what is tested is the choice, and scattered power would leave little to
        // choose.
        Model {
            reflections: 0,
            adding: Adding::Powers,
            site_offset_db: Db(self.offset_db),
            ..Model::default()
        }
    }
}

fn place() -> impl Strategy<Value = Place> {
    (0..3_usize, 0.0..1.0, 0.0..1.0)
}

/// A place that is mostly in one room.
fn mostly_in(room: usize) -> impl Strategy<Value = Place> {
    prop_oneof![2 => place().prop_map(move |(_, x, y)| (room, x, y)), 1 => place()]
}

/// Off the walls of its room by 0.4 m or more.
fn at((room, x, y): Place, rooms: usize) -> [f64; 2] {
    let inside = |part: f64| 0.4 + part * (ROOM_M - 0.8);
    [(room % rooms) as f64 * ROOM_M + inside(x), inside(y)]
}

pub fn point(id: &str, at: [f64; 2], properties: Value) -> Value {
    json!({"type": "Feature", "id": id,
        "geometry": {"type": "Point", "coordinates": at}, "properties": properties})
}

pub fn wall(id: &str, line: &[[f64; 2]], construction: &str) -> Value {
    json!({"type": "Feature", "id": id,
        "geometry": {"type": "LineString", "coordinates": line},
        "properties": {"kind": "wall", "construction": construction, "level": 0}})
}

/// How a device that is no plain sensor differs.
#[derive(Clone, Copy, Debug)]
enum Talks {
    Sensor,
    Unsupervised,
    Keypad,
}

/// The partitions: what they are of, and how far they reach across, from 0 to 1.
fn partition() -> impl Strategy<Value = (&'static str, f64)> {
    (
        prop_oneof![
            2 => Just("foil-board-stud"),
            4 => Just("glass-wired"),
            2 => Just("metal-lath-plaster"),
            1 => Just("brick-cavity"),
        ],
        // Half of them leave a gap to go round.
        prop_oneof![1 => Just(1.0), 1 => 0.3..0.95],
    )
}

fn settings() -> impl Strategy<Value = RelaySettings> {
    (prop::bool::weighted(0.4), prop::option::weighted(0.4, 1..5_u32), prop::bool::weighted(0.2))
        .prop_map(|(two, capacity, lose_one)| RelaySettings {
            hops: if two { Hops::Two } else { Hops::One },
            capacity,
            lose_one,
        })
}

/// Two or three rooms, two to six devices, one to five outlets, up to three places for the panel.
pub fn case() -> impl Strategy<Value = Case> {
    let talks = prop_oneof![
        6 => Just(Talks::Sensor),
        1 => Just(Talks::Unsupervised),
        1 => Just(Talks::Keypad),
    ];
    let walls = (
        prop_oneof![1 => Just(2_usize), 3 => Just(3)],
        prop::collection::vec(partition(), 2),
        prop::sample::select(vec!["brick-half", "brick-cavity", "foil-board-brick"]),
    );
    let things = (
        // Mostly the panel at one end and the devices at the other, which a repeater between joins.
        mostly_in(0),
        prop::collection::vec((mostly_in(2), talks, 0.3..2.4), 2..=6),
        prop_oneof![
            1 => prop::collection::vec((mostly_in(1), 0.2..1.2), 1..=3),
            2 => prop::collection::vec((mostly_in(1), 0.2..1.2), 4..=5),
        ],
        prop::option::weighted(0.15, (place(), prop::option::of(1..4_u32))),
        prop_oneof![3 => Just(Vec::new()).boxed(), 1 => prop::collection::vec(place(), 1..=2).boxed()],
    );
    (walls, things, settings(), 0.0..9.0).prop_map(
        |(
            (rooms, partitions, outside),
            (panel, talkers, outlets, given, more),
            settings,
            offset,
        )| {
            let length = rooms as f64 * ROOM_M;
            let round = [[0.0, 0.0], [length, 0.0], [length, ROOM_M], [0.0, ROOM_M], [0.0, 0.0]];
            let mut features = vec![wall("outside", &round, outside)];
            for (number, (construction, reach)) in partitions.iter().take(rooms - 1).enumerate() {
                let x = (number + 1) as f64 * ROOM_M;
                let line = [[x, 0.0], [x, ROOM_M * reach]];
                features.push(wall(&format!("partition-{number}"), &line, construction));
            }
            let of_panel = json!({"kind": "panel", "level": 0, "height": 1.5});
            features.push(point("panel", at(panel, rooms), of_panel));
            if let Some((place, capacity)) = given {
                let mut relay = json!({"kind": "repeater", "level": 0, "height": 1.0});
                if let Some(capacity) = capacity {
                    relay["capacity"] = json!(capacity);
                }
                features.push(point("relay", at(place, rooms), relay));
            }
            for (number, (place, talks, height)) in talkers.into_iter().enumerate() {
                // A plan without any sensor is refused.
                let talks = if number == 0 { Talks::Sensor } else { talks };
                let device = match talks {
                    Talks::Sensor => json!({"kind": "sensor"}),
                    Talks::Unsupervised => json!({"kind": "sensor", "supervised": false}),
                    Talks::Keypad => json!({"kind": "keypad"}),
                };
                let mut device = device;
                device["level"] = json!(0);
                device["height"] = json!(height);
                device["number"] = json!(number + 1);
                features.push(point(&format!("device-{number}"), at(place, rooms), device));
            }
            for (number, (place, height)) in outlets.into_iter().enumerate() {
                let outlet = json!({"kind": "outlet", "level": 0, "height": height});
                features.push(point(&format!("outlet-{number}"), at(place, rooms), outlet));
            }
            let plan = json!({
                "type": "FeatureCollection", "name": "Random rooms", "units": "m",
                "levels": [{"level": 0, "name": "Ground", "floor": 0.0, "ceiling": 2.5}],
                "link": "us-345", "features": features,
            });
            Case {
                plan: plan.to_string(),
                settings,
                panels: more.into_iter().map(|place| at(place, rooms)).collect(),
                offset_db: offset,
            }
        },
    )
}
