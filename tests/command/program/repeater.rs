//! A repeater takes the sensors that the panel does not hear.

use serde_json::{Value, json};

use crate::run::{by_id, changed, list, number, report, run_in, sensor, sensors};

#[test]
fn a_repeater_by_the_conversion_fixes_its_sensors() {
    let before = report("foil-garage", &[]);
    let relay = json!({
        "type": "Feature", "id": "relay",
        "geometry": {"type": "Point", "coordinates": [5.69, 3.0]},
        "properties": {"kind": "repeater", "name": "Living room repeater", "number": 40,
            "level": 0, "height": 0.3, "mount": "wall"},
    });
    let place = changed("foil-garage", |features| features.push(relay));
    let run = |options: &[&str]| {
        run_in(place.path(), &[&["check", "plan.geojson"], options].concat()).ends(0)
    };
    let after = run(&["--no-pictures", "--format", "json"]).json();
    for (id, found) in [("c-office-window", "failing"), ("m-office", "failing")] {
        let (was, is) = (sensor(&before, id), sensor(&after, id));
        assert_eq!((&was["finding"], &was["via"]), (&json!(found), &Value::Null));
        assert_eq!(is["via"], "relay", "{id}");
        assert_eq!(is["finding"], "sound", "{id}");
        assert!(number(is, "distance_m") < number(was, "distance_m"), "{id}");
    }
    // The whole way counts: a sensor is never surer than the repeater that it takes.
    let relay = by_id(list(&after, "devices").iter(), "relay");
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
    let collection = run(&["--no-pictures", "--format", "geojson"]).json();
    let hop = by_id(list(&collection, "features").iter(), "m-office-hop");
    assert_eq!(
        hop["geometry"]["coordinates"][0], relay["position_m"],
        "the hop starts at the repeater"
    );
}
