//! Every range in the schema is that of the reader, tried from both sides.

use serde_json::{Value, json};

use crate::support::{Judge, house, put, reader_verdict, schema};

/// A definition with ranges, and an object in the house that it describes.
const RANGED: [(&str, &str); 9] = [
    ("Level", "levels/1"),
    ("ChangedLink", "link"),
    ("ChangedLink", "features/roam/properties/link"),
    ("BulkLayer", "constructions/board/layers/0"),
    ("FilmLayer", "constructions/board/layers/1"),
    ("Calibration", "calibration"),
    ("CalibratedConstruction", "calibration/constructions/old"),
    ("CalibratedDevice", "calibration/devices/sensor"),
    ("WallProperties", "features/wall/properties"),
];

/// Those of features whose ranges are not all the wall's.
const FEATURES: [(&str, &str); 3] = [
    ("SensorProperties", "features/sensor/properties"),
    ("RepeaterProperties", "features/repeater/properties"),
    ("StairsProperties", "features/stairs/properties"),
];

/// Names of members whose range the reader judges in metres.
const HEIGHTS: [&str; 5] = ["height", "base", "top", "floor", "ceiling"];

/// Names of members that must be a level's number, which are few.
const LEVELS: [&str; 2] = ["level", "to"];

#[test]
fn every_bound_is_the_readers() {
    let (judge, schema) = (Judge::new(), schema());
    let mut tried = 0;
    for (definition, holder) in RANGED.into_iter().chain(FEATURES) {
        let members = schema["$defs"][definition]["properties"]
            .as_object()
            .unwrap();
        for (name, member) in members {
            if HEIGHTS.contains(&name.as_str()) || LEVELS.contains(&name.as_str()) {
                continue;
            }
            let whole = member["type"] == json!(["integer", "null"]);
            let step = |bound: f64| {
                if whole {
                    1.0
                } else {
                    bound.abs().max(1.0) * 1e-9
                }
            };
            let above_zero = member.get("exclusiveMinimum").and_then(Value::as_f64);
            let bounds = [
                (member["minimum"].as_f64(), -1.0),
                (member["maximum"].as_f64(), 1.0),
                (above_zero.map(|bound| bound + 1e-9), -1.0),
            ];
            for (bound, side) in bounds {
                let Some(bound) = bound else { continue };
                let try_it = |value: f64| {
                    let mut plan = house();
                    put(&mut plan, &format!("{holder}/{name}"), json!(value));
                    (reader_verdict(&plan), judge.verdict(&plan))
                };
                let what = format!("{holder}/{name}, {bound}");
                assert_eq!(try_it(bound), (Ok(()), Ok(())), "{what}");
                let beyond = try_it(bound + side * step(bound));
                assert!(beyond.0.is_err(), "{what}: the reader's is wider");
                assert!(beyond.1.is_err(), "{what}: the schema's is wider");
                tried += 1;
            }
        }
    }
    assert!(tried > 40, "{tried}");
}

/// Of a plan in feet: `±limit` passes at a path, `±beyond` does not.
fn both_sides(path: &str, limit: f64, beyond: f64) {
    let judge = Judge::new();
    for side in [1.0, -1.0] {
        let mut plan = house();
        put(&mut plan, "units", json!("ft"));
        put(&mut plan, path, json!(side * limit));
        assert_eq!(judge.verdict(&plan), Ok(()), "{path}");
        assert_eq!(reader_verdict(&plan), Ok(()), "{path}");
        put(&mut plan, path, json!(side * beyond));
        assert!(judge.verdict(&plan).is_err(), "{path}");
        assert!(reader_verdict(&plan).is_err(), "{path}");
    }
}

#[test]
fn heights_are_bounded_as_in_feet() {
    both_sides("features/sensor/properties/height", 3_280.0, 3_282.0);
    both_sides("calibration/height", 3_280.0, 3_282.0);
}

#[test]
fn coordinates_are_bounded_as_in_feet() {
    both_sides("calibration/panel_at/0", 328_083.0, 328_085.0);
}

#[test]
fn level_numbers_are_bounded() {
    let judge = Judge::new();
    for number in [1_000_i32, -1_000, 1_001, -1_001] {
        let mut plan = house();
        put(&mut plan, "levels/1/level", json!(number));
        put(&mut plan, "features/slab/properties/level", json!(number));
        put(&mut plan, "features/stairs/properties/to", json!(number));
        let sound = number.abs() <= 1_000;
        assert_eq!(judge.verdict(&plan).is_ok(), sound, "{number}");
        assert_eq!(reader_verdict(&plan).is_ok(), sound, "{number}");
    }
}
