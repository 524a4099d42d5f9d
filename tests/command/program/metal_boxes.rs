//! What gets into rooms of metal follows from how their sheets meet and what lies below.

use serde_json::{Value, json};

use crate::run::{changed, folder_with, number, plan_json, report, run_in, sensor, sensors, text};

/// Sets a member of some features.
fn set(features: &mut [Value], ids: &[&str], member: &str, to: &Value) {
    let mut count = 0;
    for feature in features.iter_mut().filter(|feature| ids.iter().any(|id| feature["id"] == *id)) {
        feature["properties"][member] = to.clone();
        count += 1;
    }
    assert_eq!(count, ids.len(), "{ids:?}");
}

/// The report of `check` on a plan whose features are changed.
fn checked(plan: &str, change: impl FnOnce(&mut Vec<Value>)) -> Value {
    let place = changed(plan, change);
    run_in(place.path(), &["check", "plan.geojson", "--no-pictures", "--format", "json"]).json()
}

const COLD_ROOM: [&str; 2] = ["cold-room-floor", "cold-room-ceiling"];

#[test]
fn a_cold_room_is_as_closed_as_its_joints() {
    let tight = report("corner-shop", &[]);
    let seam = checked("corner-shop", |features| {
        set(features, &COLD_ROOM, "joint", &json!("seam"));
    });
    let light = checked("corner-shop", |features| {
        set(features, &["cold-room-ceiling"], "construction", &json!("ceiling-board-roof"));
    });
    let margin = |report: &Value| number(sensor(report, "c-cold-room"), "margin_db");
    assert_eq!(sensor(&tight, "c-cold-room")["finding"], "thin");
    assert!(margin(&seam) > margin(&tight) + 10.0, "{} {}", margin(&seam), margin(&tight));
    assert!(margin(&light) > margin(&seam) + 3.0, "{} {}", margin(&light), margin(&seam));
    // A seam is what is meant where nothing is said.
    let silent = checked("corner-shop", |features| {
        for feature in features.iter_mut().filter(|f| COLD_ROOM.iter().any(|id| f["id"] == *id)) {
            feature["properties"].as_object_mut().unwrap().remove("joint").unwrap();
        }
    });
    assert_eq!(sensors(&silent), sensors(&seam));
}

#[test]
fn more_passes_under_a_metal_wall_over_air_than_over_soil() {
    let soil = report("annexe", &[]);
    let under = |what: &str| {
        let mut plan = plan_json("annexe");
        plan["levels"][0]["under"] = json!(what);
        let place = folder_with("plan.geojson", &plan.to_string());
        run_in(place.path(), &["check", "plan.geojson", "--no-pictures", "--format", "json"])
    };
    // Soil is what is meant where nothing is said.
    assert_eq!(sensors(&under("soil").json()), sensors(&soil));
    let air = under("air").json();
    for (soil, air) in sensors(&soil).iter().zip(sensors(&air)) {
        let more = number(air, "margin_db") - number(soil, "margin_db");
        if text(soil, "room").starts_with("Annexe") {
            assert!(more > 5.0, "{more} dB at {soil}");
        } else {
            // Neither these nor the panel stand behind metal.
            assert!(more.abs() < 0.5, "{more} dB at {soil}");
        }
    }
    under("mud").refused(&["under \"mud\" is not known", "soil or air"]);
}

#[test]
fn a_joint_that_is_not_known_is_a_fault() {
    let place = changed("corner-shop", |features| {
        set(features, &COLD_ROOM[..1], "joint", &json!("glued"));
    });
    run_in(place.path(), &["check", "plan.geojson"])
        .refused(&["cold-room-floor: joint \"glued\" is not known", "seam or tight"]);
}

#[test]
fn powers_know_no_joints() {
    let powers = |features: fn(&mut Vec<Value>)| {
        let place = changed("corner-shop", features);
        let options = ["--no-pictures", "--format", "json", "--adding", "powers"];
        run_in(place.path(), &[&["check", "plan.geojson"], &options[..]].concat()).json()
    };
    let tight = powers(|_| {});
    let seam = powers(|features| set(features, &COLD_ROOM, "joint", &json!("seam")));
    assert_eq!(sensors(&tight), sensors(&seam));
    // Metal then stops what waves bring in.
    let margin = |report: &Value| number(sensor(report, "c-cold-room"), "margin_db");
    assert!(margin(&tight) < margin(&report("corner-shop", &[])));
}
