//! Every range in the schema is that of the reader, tried from both sides.

use serde_json::{Value, json};

use crate::schema::support::{Judge, house, put, reader_verdict, schema};

/// A definition with ranges, and an object in the house that it describes.
const RANGED: [(&str, &str); 10] = [
    ("Level", "levels/1"),
    ("ChangedLink", "link"),
    ("ChangedLink", "features/roam/properties/link"),
    ("BulkLayer", "constructions/board/layers/0"),
    ("FilmLayer", "constructions/board/layers/1"),
    ("Calibration", "calibration"),
    ("CalibratedConstruction", "calibration/constructions/old"),
    ("CalibratedDevice", "calibration/devices/sensor"),
    ("Backdrop", "backdrop"),
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
        let members = schema["$defs"][definition]["properties"].as_object().unwrap();
        for (name, member) in members {
            if HEIGHTS.contains(&name.as_str()) || LEVELS.contains(&name.as_str()) {
                continue;
            }
            let whole = member["type"] == json!(["integer", "null"]);
            let step = |bound: f64| {
                if whole { 1.0 } else { bound.abs().max(1.0) * 1e-9 }
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

/// Of a plan in a unit: `±limit` passes at a path, `±beyond` does not.
fn both_sides(units: &str, path: &str, limit: f64, beyond: f64) {
    let judge = Judge::new();
    for side in [1.0, -1.0] {
        let mut plan = house();
        put(&mut plan, "units", json!(units));
        put(&mut plan, path, json!(side * limit));
        assert_eq!(judge.verdict(&plan), Ok(()), "{path}");
        assert_eq!(reader_verdict(&plan), Ok(()), "{path}");
        put(&mut plan, path, json!(side * beyond));
        assert!(judge.verdict(&plan).is_err(), "{path}");
        assert!(reader_verdict(&plan).is_err(), "{path}");
    }
}

#[test]
fn heights_are_bounded_in_either_unit() {
    for path in [
        "features/sensor/properties/height",
        "features/roam/properties/height",
        "features/outlet/properties/height",
        "calibration/height",
    ] {
        both_sides("ft", path, 3_280.0, 3_282.0);
        both_sides("m", path, 1_000.0, 1_000.1);
    }
}

#[test]
fn coordinates_are_bounded_in_either_unit() {
    both_sides("ft", "calibration/panel_at/0", 328_083.0, 328_085.0);
    both_sides("m", "calibration/panel_at/0", 100_000.0, 100_000.1);
    // A whole plan that lies far off, in metres and in feet.
    let judge = Judge::new();
    for (units, limit) in [("m", 100_000.0), ("ft", 328_083.0)] {
        for (away, sound) in [(limit - 10.0, true), (limit + 2.0, false)] {
            let mut plan = house();
            put(&mut plan, "units", json!(units));
            for feature in plan["features"].as_array_mut().unwrap() {
                shift(&mut feature["geometry"]["coordinates"], away);
            }
            assert_eq!(judge.verdict(&plan).is_ok(), sound, "{units} {away}");
            assert_eq!(reader_verdict(&plan).is_ok(), sound, "{units} {away}");
        }
    }
}

/// Moves every position to the right.
fn shift(coordinates: &mut Value, away: f64) {
    match coordinates {
        Value::Array(items) if items[0].is_number() => {
            items[0] = json!(items[0].as_f64().unwrap() + away);
        }
        Value::Array(items) => items.iter_mut().for_each(|item| shift(item, away)),
        _ => {}
    }
}

/// Two numbers with "to" between them, wherever they stand in a text.
fn ranges(text: &str) -> Vec<(f64, f64)> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let number = |word: &str| word.trim_matches(['.', ',', ';', ':', '(', ')']).parse().ok();
    words
        .windows(3)
        .filter(|three| three[1] == "to")
        .filter_map(|three| Some((number(three[0])?, number(three[2])?)))
        .collect()
}

#[test]
fn ranges_in_descriptions_are_those_of_the_schema() {
    let schema = schema();
    let mut seen = 0;
    let definitions = schema["$defs"].as_object().unwrap().values();
    for definition in definitions.chain([&schema]) {
        for (name, member) in definition["properties"].as_object().into_iter().flatten() {
            let said = ranges(member["description"].as_str().unwrap());
            let Some(first) = said.first() else { continue };
            let either = |a: &str, b: &str| {
                let bound = member.get(a).or_else(|| member.get(b));
                bound.or_else(|| member["additionalProperties"].get(a)).cloned()
            };
            let least = either("minimum", "minItems").unwrap().as_f64();
            let most = either("maximum", "maxItems").unwrap().as_f64();
            assert_eq!((Some(first.0), Some(first.1)), (least, most), "{name}");
            seen += 1;
        }
    }
    assert!(seen > 15, "{seen}");
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
