//! A repeater takes the sensors that the panel does not hear.

use std::fs;

use serde_json::{Value, json};

use super::{folder, list, number, report, run_in, sensor, sensors};

#[test]
fn a_repeater_by_the_conversion_mends_its_sensors() {
    let before = report("foil-garage", &[]);
    let mut plan = super::plan_json("foil-garage");
    let relay = json!({
        "type": "Feature", "id": "relay",
        "geometry": {"type": "Point", "coordinates": [5.69, 3.0]},
        "properties": {"kind": "repeater", "name": "Living room repeater", "number": 40,
            "level": 0, "height": 1.5, "mount": "wall"},
    });
    plan["features"].as_array_mut().expect("features").push(relay);
    let place = folder();
    fs::write(place.path().join("plan.geojson"), plan.to_string()).expect("a plan");
    let run = |options: &[&str]| {
        run_in(place.path(), &[&["check", "plan.geojson"], options].concat()).ends(0)
    };
    let printed = run(&["--no-pictures", "--format", "json"]).out;
    let after: Value = serde_json::from_str(&printed).expect("JSON");
    for id in ["c-office-window", "m-office"] {
        let (was, is) = (sensor(&before, id), sensor(&after, id));
        assert_eq!((&was["finding"], &was["via"]), (&json!("failing"), &Value::Null));
        assert_eq!(is["via"], "relay", "{id}");
        assert_ne!(is["finding"], "failing", "{id}");
        assert!(number(is, "distance_m") < number(was, "distance_m"), "{id}");
    }
    // The whole way counts: a sensor is never surer than the repeater that it takes.
    let relay = list(&after, "devices")
        .iter()
        .find(|device| device["id"] == "relay")
        .expect("the repeater is a device of the report");
    assert_eq!((&relay["kind"], &relay["via"]), (&json!("repeater"), &Value::Null));
    let mut by_way = [0, 0];
    for (was, is) in sensors(&before).iter().zip(sensors(&after)) {
        assert!(
            number(is, "fault_per_year") <= number(was, "fault_per_year"),
            "a repeater makes nothing worse: {is}"
        );
        if is["via"] == "relay" {
            by_way[0] += 1;
            assert!(number(is, "fault_per_year") >= number(relay, "fault_per_year"), "{is}");
        } else {
            by_way[1] += 1;
            assert_eq!(is["margin_db"], was["margin_db"]);
        }
    }
    assert!(by_way[0] >= 2 && by_way[1] >= 2, "{by_way:?}");
    assert!(run(&["--no-pictures"]).out.contains("relay"));
    let collection = run(&["--no-pictures", "--format", "geojson"]).out;
    let collection: Value = serde_json::from_str(&collection).expect("JSON");
    let hop = list(&collection, "features")
        .iter()
        .find(|feature| feature["id"] == "m-office-hop")
        .expect("a hop");
    assert_eq!(
        hop["geometry"]["coordinates"][0], relay["position_m"],
        "the hop starts at the repeater"
    );
}
