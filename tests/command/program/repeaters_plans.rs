//! `repeaters` on plans that are changed: written copies, missing parts, what cannot be had.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use crate::run::{
    Run, changed, close, contents, json_of, list, number, numbers, on, run_in, sensors, text,
};

fn kind(feature: &Value) -> &str {
    feature["properties"]["kind"].as_str().unwrap_or_default()
}

/// Runs `repeaters` on plan.geojson without pictures.
fn repeaters(place: &Path, options: &[&str]) -> Run {
    run_in(place, &[&["repeaters", "plan.geojson", "--no-pictures"], options].concat())
}

/// The JSON of `repeaters` on plan.geojson.
fn answer(place: &Path, options: &[&str], code: i32) -> Value {
    repeaters(place, &[&["--format", "json"], options].concat()).ends(code).json()
}

/// The JSON of `check` on another file beside it, which must be sound.
fn check(place: &Path, file: &str, options: &[&str]) -> Value {
    let usual = ["check", file, "--no-pictures", "--format", "json"];
    run_in(place, &[&usual[..], options].concat()).ends(0).json()
}

/// The annexe, with the contact of its steel door on the frame beside it: then one repeater serves
/// every device.
fn annexe_off_the_metal(more: impl FnOnce(&mut Vec<Value>)) -> tempfile::TempDir {
    changed("annexe", |features| {
        let door = features.iter_mut().find(|feature| feature["id"] == "c-annexe-door");
        door.unwrap()["properties"]["mount"] = json!("frame");
        more(features);
    })
}

#[test]
fn the_copy_reads_again_and_checks_as_told() {
    for (plan, options, new) in [
        ("annexe", &[][..], 1),
        ("annexe", &["--capacity", "5", "--move-panel"], 1),
        ("annexe", &["--lose-one", "--anywhere"], 2),
        ("foil-garage", &[], 1),
        ("brick-house", &["--site-offset", "36"], 2),
    ] {
        let place = match plan {
            "annexe" => annexe_off_the_metal(|_| {}),
            _ => changed(plan, |_| {}),
        };
        let told = answer(place.path(), &[&["--write", "copy.geojson"], options].concat(), 0);
        assert_eq!(list(&told, "new_repeaters").len(), new, "{plan} {options:?}");
        let radio: &[&str] = if plan == "brick-house" { options } else { &[] };
        let checked = check(place.path(), "copy.geojson", radio);
        // A spot along a wall is written to the millimetre.
        let at = |report: &Value| numbers(&report["panel"], "position_m");
        for (is, was) in at(&checked).into_iter().zip(at(&told)) {
            close(is, was, 0.000_51, "where the panel is");
        }
        let is_exact = !options.contains(&"--move-panel") && !options.contains(&"--anywhere");
        let rank = |row: &Value| match text(row, "finding") {
            "sound" => 0,
            "thin" => 1,
            _ => 2,
        };
        assert_eq!(sensors(&checked).len(), sensors(&told).len());
        for (row, then) in sensors(&checked).iter().zip(sensors(&told)) {
            assert_eq!(row["id"], then["id"]);
            assert!(rank(row) <= rank(then), "{row} is worse than {then}");
            // One hop: `check` takes the best way of each, the report's or a better one.
            // Chances are sums that are rounded at some 1e-15.
            let most = number(then, "fault_per_year") * (1.0 + 1e-5) + 1e-12;
            assert!(
                !is_exact || number(row, "fault_per_year") <= most,
                "{row} is worse than {then}"
            );
        }
        // Asked again, nothing more is needed.
        let arguments = ["repeaters", "copy.geojson", "--no-pictures", "--format", "json"];
        let again: Vec<&str> =
            options.iter().copied().filter(|option| *option != "--move-panel").collect();
        let again = run_in(place.path(), &[&arguments[..], &again].concat()).ends(0).json();
        assert_eq!(again["new_repeaters"], json!([]), "{plan} {options:?}");
    }
}

#[test]
fn a_copy_overwrites_nothing() {
    let place = annexe_off_the_metal(|_| {});
    let write = ["--write", "copy.geojson"];
    repeaters(place.path(), &write).ends(0);
    let before = contents(place.path());
    assert!(before.contains_key("copy.geojson"));
    for target in ["copy.geojson", "plan.geojson"] {
        let run = repeaters(place.path(), &["--write", target]);
        assert!(matches!(run.code, Some(2 | 3)), "{run:?}");
        assert_eq!(run.out, "", "{target}");
        assert!(run.err.contains(target), "{run:?}");
    }
    assert_eq!(contents(place.path()), before);
}

#[test]
fn usage_that_cannot_be_meant() {
    for (options, named) in [
        (&["--move-panel", "--panel", "1,1"][..], "--move-panel"),
        (&["--capacity", "0"], "--capacity"),
        (&["--capacity", "-1"], "--capacity"),
        (&["--hops", "0"], "--hops"),
        (&["--hops", "3"], "--hops"),
        (&["--time-limit", "-1"], "--time-limit"),
        (&["--time-limit", "nan"], "--time-limit"),
        (&["--panel", "1,1,1.5,9"], "level"),
    ] {
        on("annexe", "repeaters", options).refused(&[named]);
    }
}

#[test]
fn capacities_that_are_too_small() {
    let place = annexe_off_the_metal(|_| {});
    // Five devices need one, and fewer outlets hear some of them than there are.
    repeaters(place.path(), &["--capacity", "1"]).refused(&["larger --capacity"]);
    let told = answer(place.path(), &["--capacity", "5"], 0);
    let [repeater] = list(&told, "new_repeaters") else {
        panic!("{}", told["new_repeaters"]);
    };
    assert_eq!(repeater["capacity"], 5);
    assert_eq!(list(repeater, "carries").len(), 5);
    let printed = repeaters(place.path(), &["--capacity", "5"]).ends(0).out;
    assert!(printed.contains("carries 5 devices of at most 5"), "{printed}");
}

#[test]
fn devices_that_depend_on_one_place_are_named() {
    // The kitchen's outlet hears the office, too.
    let garage = changed("foil-garage", |features| {
        features.retain(|feature| feature["id"] != "outlet-kitchen");
    });
    let refused = repeaters(garage.path(), &["--lose-one"]).ends(2);
    for name in ["m-office", "--anywhere"] {
        assert!(refused.err.contains(name), "{name}: {}", refused.err);
    }
    assert!(!refused.err.contains("c-front-door"), "{}", refused.err);
    // Where there are two, either alone does.
    let place = annexe_off_the_metal(|_| {});
    let told = answer(place.path(), &["--lose-one", "--anywhere", "--write", "two.geojson"], 0);
    assert_eq!(list(&told, "new_repeaters").len(), 2);
    let two = fs::read_to_string(place.path().join("two.geojson")).unwrap();
    let two = json_of(&two);
    for lost in list(&told, "new_repeaters") {
        let mut one = two.clone();
        let features = one["features"].as_array_mut().unwrap();
        let before = features.len();
        features.retain(|feature| feature["id"] != lost["id"]);
        assert_eq!(features.len(), before - 1);
        fs::write(place.path().join("one.geojson"), one.to_string()).unwrap();
        for row in sensors(&check(place.path(), "one.geojson", &[])) {
            assert_eq!(row["finding"], "sound", "without {}: {row}", lost["id"]);
        }
    }
}

#[test]
fn a_plan_without_outlets() {
    let place = annexe_off_the_metal(|features| {
        features.retain(|feature| kind(feature) != "outlet");
    });
    let run = repeaters(place.path(), &[]).ends(1);
    let note = "note: the plan has no outlet for a new repeater";
    assert!(run.out.contains(note), "{}", run.out);
    assert!(run.out.contains("7 of 12 devices are sound without a new repeater"), "{}", run.out);
    assert!(run.out.contains("What costs most: annexe-"), "{}", run.out);
    let told = answer(place.path(), &[], 1);
    assert_eq!(list(&told, "unheard").len(), 5);
    for row in list(&told, "unheard") {
        assert_eq!(row["best_over"], Value::Null);
        let metal = ["foil-board-brick", "glass-triple-coated", "door-steel"];
        assert!(metal.contains(&text(&row["wall"], "construction")), "{row}");
    }
    let anywhere = repeaters(place.path(), &["--anywhere"]).ends(0);
    assert!(anywhere.out.contains("Every device is sound with 1 new repeater"), "{}", anywhere.out);
}

#[test]
fn a_plan_without_a_panel() {
    let place = annexe_off_the_metal(|features| {
        features.retain(|feature| kind(feature) != "panel");
    });
    repeaters(place.path(), &[]).refused(&["no panel", "--panel", "--move-panel"]);
    let free = repeaters(place.path(), &["--move-panel", "--write", "copy.geojson"]).ends(0);
    assert!(free.out.contains("no panel"), "the state before: {}", free.out);
    check(place.path(), "copy.geojson", &[]);
    let free = answer(place.path(), &["--move-panel"], 0);
    assert_eq!(free["before"], json!([]));
    assert_eq!(free["panel_moves_m"], Value::Null);
    let put = answer(place.path(), &["--panel", "7.78,4.55"], 0);
    assert_eq!(list(&put, "new_repeaters").len(), 1);
}

#[test]
fn no_time_at_all() {
    let place = changed("annexe", |_| {});
    repeaters(place.path(), &["--time-limit", "0"])
        .refused(&["no choice of repeaters was found", "larger --time-limit"]);
}

#[test]
fn a_repeater_of_the_plan_that_does_it_already() {
    let relay = |capacity: Option<u32>| {
        let mut relay = json!({
            "type": "Feature", "id": "relay",
            "geometry": {"type": "Point", "coordinates": [20.3, 9.92]},
            "properties": {"kind": "repeater", "name": "Pump house repeater", "level": 0,
                "height": 0.3},
        });
        if let Some(capacity) = capacity {
            relay["properties"]["capacity"] = json!(capacity);
        }
        relay
    };
    let place = annexe_off_the_metal(|features| features.push(relay(None)));
    let told = answer(place.path(), &[], 0);
    assert_eq!(told["new_repeaters"], json!([]));
    let over = sensors(&told).iter().filter(|row| row["via"] == "relay");
    assert_eq!(over.count(), 5);
    let printed = repeaters(place.path(), &[]).ends(0).out;
    assert!(printed.contains("Every device is sound without a new repeater"), "{printed}");
    // One that can pass on three needs a second beside it.
    let place = annexe_off_the_metal(|features| features.push(relay(Some(3))));
    let told = answer(place.path(), &[], 0);
    assert_eq!(list(&told, "new_repeaters").len(), 1);
    let over = sensors(&told).iter().filter(|row| row["via"] == "relay");
    assert!(over.count() <= 3);
}

#[test]
fn a_new_name_is_one_that_the_plan_does_not_have() {
    let place = annexe_off_the_metal(|features| {
        let sensor = features.iter_mut().find(|feature| feature["id"] == "m-hall");
        sensor.unwrap()["id"] = json!("repeater-1");
    });
    let told = answer(place.path(), &[], 0);
    assert_eq!(told["new_repeaters"][0]["id"], "repeater-2");
}

#[test]
fn what_check_does_not_follow_is_said() {
    let place = changed("annexe", |_| {});
    let note = "`drillonce check` follows one repeater only";
    let two = repeaters(place.path(), &["--hops", "2"]).ends(0).out;
    assert!(two.contains(note), "{two}");
    let one = repeaters(place.path(), &[]).ends(0).out;
    assert!(!one.contains(note), "{one}");
}
