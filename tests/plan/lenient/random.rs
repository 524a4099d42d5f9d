//! Plans with some features spoilt at random: what is left is the plan without them.

use std::collections::BTreeSet;

use plan::{LenientReading, Plan, read, read_house, read_leniently};
use proptest::prelude::*;
use proptest::sample::Index;
use serde_json::{Value, json};

use crate::faults::edit::PLANS;
use crate::faults::support::vocabulary;
use crate::lenient::promises::survives_leniently;

/// Ways to spoil a feature that is no longer sound then, whatever its kind.
const WAYS: [&str; 10] = [
    "no geometry",
    "no properties",
    "text for a number",
    "a short position",
    "a far position",
    "an infinite number",
    "another type",
    "no such level",
    "no kind",
    "an id that is taken",
];

fn spoil(feature: &mut Value, way: &str, taken: &Value) {
    let coordinates = &mut feature["geometry"]["coordinates"];
    let is_point = coordinates[0].is_number();
    let position = if is_point {
        coordinates
    } else if coordinates[0][0].is_number() {
        &mut coordinates[0]
    } else {
        &mut coordinates[0][0]
    };
    match way {
        "no geometry" => feature["geometry"] = Value::Null,
        "no properties" => feature["properties"] = json!([]),
        "text for a number" => position[0] = "1".into(),
        "a short position" => *position = json!([1]),
        "a far position" => position[1] = 1e7.into(),
        "an infinite number" => position[0] = json!([[]]),
        "another type" => {
            feature["geometry"] = json!({"type": "MultiPoint", "coordinates": [[1, 1]]});
        }
        "no such level" => feature["properties"]["level"] = 77.into(),
        "no kind" => feature["properties"]["kind"] = Value::Null,
        _ => feature["id"] = taken.clone(),
    }
}

fn shown(plan: &Plan) -> String {
    format!("{plan:?}")
}

/// The numbers of the features that the plan does not have.
fn left_out(reading: &LenientReading) -> BTreeSet<usize> {
    let all = reading.features.iter().enumerate();
    all.filter(|(_, it)| !it.is_used).map(|(number, _)| number).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..Default::default() })]

    #[test]
    fn the_plan_without_what_is_spoilt(
        which: Index, spoils in proptest::collection::vec((any::<Index>(), 0..WAYS.len()), 0..9)
    ) {
        let (name, text, names) = &PLANS[which.index(PLANS.len())];
        let drawn = read_leniently("plan.geojson", text.as_bytes(), names).features;
        let mut plan: Value = serde_json::from_str(text).unwrap();
        let features = plan["features"].as_array_mut().unwrap();
        // Ids that follow from kind and number would be others without the features before.
        for (feature, drawn) in features.iter_mut().zip(&drawn) {
            feature["id"] = drawn.id.clone().into();
        }
        let mut spoilt = BTreeSet::new();
        let first = features[0]["id"].clone();
        for (index, way) in spoils {
            let number = index.index(features.len());
            // The first of two with one id is sound.
            let way = if number == 0 { way % 9 } else { way };
            if spoilt.insert(number) {
                spoil(&mut features[number], WAYS[way], &first);
            }
        }
        let text = plan.to_string();
        let reading = read_leniently("plan.geojson", text.as_bytes(), names);
        let gone = left_out(&reading);
        prop_assert!(spoilt.is_subset(&gone), "{name}: {spoilt:?} are not all of {gone:?}");
        for number in gone.difference(&spoilt) {
            let feature = &reading.features[*number];
            prop_assert!(feature.kind == "opening", "{name}: {feature:?}");
        }
        let features = plan["features"].as_array_mut().unwrap();
        let kept = features.iter().enumerate().filter(|(number, _)| !gone.contains(number));
        *features = kept.map(|(_, feature)| feature.clone()).collect();
        let without = read_house("plan.geojson", plan.to_string().as_bytes(), names).unwrap().plan;
        prop_assert_eq!(shown(&reading.plan.unwrap()), shown(&without), "{}", name);
        survives_leniently(text.as_bytes(), names);
    }
}

#[test]
fn a_sound_plan_is_read_as_it_is() {
    for (name, text, names) in PLANS.iter() {
        let strict = read("plan.geojson", text.as_bytes(), names).unwrap();
        let reading = read_leniently("plan.geojson", text.as_bytes(), names);
        assert_eq!(shown(&reading.plan.unwrap()), shown(&strict.plan), "{name}");
        let said: Vec<_> = reading.faults.into_iter().map(|fault| fault.diagnostic).collect();
        assert_eq!(said, strict.warnings, "{name}");
        assert!(reading.features.iter().all(|it| it.is_used && !it.is_faulty), "{name}");
        survives_leniently(text.as_bytes(), &vocabulary());
    }
}
