//! `drillonce diagnose` as a user runs it.

use std::fs;
use std::path::Path;

use fixtures::root;
use serde_json::Value;

use crate::run::{
    Run, by_id, changed, close, devices, json_of, list, number, run_in, run_with, text,
};

const PLAN: &str = "floorplans/foil-garage.geojson";
const READINGS: &str = "floorplans/foil-garage-readings.csv";

fn drillonce(arguments: &[&str]) -> Run {
    run_in(root(), arguments)
}

fn json(arguments: &[&str]) -> Value {
    drillonce(&[arguments, &["--no-pictures", "--format", "json"]].concat()).json()
}

fn with_rows(folder: &Path, more: &str) -> String {
    let text = fs::read_to_string(root().join(READINGS)).unwrap() + more;
    let file = folder.join("more.csv");
    fs::write(&file, text).unwrap();
    file.to_str().unwrap().to_owned()
}

fn first_cause(report: &Value, id: &str) -> (String, f64) {
    let first = &by_id(list(report, "causes").iter(), id)["causes"][0];
    (text(first, "cause").to_owned(), number(first, "chance"))
}

/// The id of the flaky door, by its number.
fn door_id(report: &Value) -> String {
    let door = list(report, "devices").iter().find(|row| row["number"] == 8).unwrap();
    text(door, "id").to_owned()
}

#[test]
fn the_table_says_what_is_most_likely_and_what_to_try() {
    // By the readings two sensors are failing, one of them thin before.
    let run = drillonce(&["diagnose", PLAN, "--readings", READINGS, "--no-pictures"]).ends(1);
    insta::assert_snapshot!(run.out);
}

#[test]
fn nothing_depends_on_the_number_of_threads() {
    let run = |threads| {
        let all = ["diagnose", PLAN, "--readings", READINGS, "--no-pictures", "--format", "json"];
        run_with(threads, root(), &all).out
    };
    assert_eq!(run("1"), run("3"));
}

#[test]
fn the_result_of_a_test_written_into_the_file_tells_the_causes_apart() {
    let folder = tempfile::tempdir().unwrap();
    let before = json(&["diagnose", PLAN, "--readings", READINGS]);
    let id = door_id(&before);
    let causes = |more: &str| {
        let file = with_rows(folder.path(), more);
        first_cause(&json(&["diagnose", PLAN, "--readings", &file]), &id)
    };
    // It reads 20 dB more wherever it is moved to, and as little as before with another
    // transmitter.
    let moved: String = (0..5)
        .map(|n| format!("8,2026-11-04T10:{:02}:00Z,-{},heard,,moved\n", 10 * n, 79 + n))
        .collect();
    let swapped = "8,2026-11-04T11:10:00Z,-101,heard,,swapped\n\
                   8,2026-11-04T11:30:00Z,-100,heard,,swapped\n\
                   8,2026-11-04T11:50:00Z,-99,heard,,swapped\n";
    let (cause, chance) = causes(&format!("{moved}{swapped}"));
    assert_eq!(cause, "null at its spot");
    assert!(chance > 0.7, "{chance}");
    // It stays as weak wherever it is moved to, and is well heard with another transmitter.
    let moved = moved.replace("-79", "-99").replace("-80", "-102").replace("-81", "-100");
    let moved = moved.replace("-82", "-101").replace("-83", "-98");
    let swapped = swapped.replace("-101", "-81").replace("-100", "-82").replace("-99", "-80");
    let (cause, chance) = causes(&format!("{moved}{swapped}"));
    assert_eq!(cause, "weak transmitter or low battery");
    assert!(chance > 0.7, "{chance}");
}

#[test]
fn bad_rows_are_told_and_the_others_used() {
    let folder = tempfile::tempdir().unwrap();
    let file = with_rows(folder.path(), "99,,-70,,,\n1,,loud,,,\n");
    let run =
        drillonce(&["diagnose", PLAN, "--readings", &file, "--no-pictures", "--format", "json"]);
    assert!(run.err.contains("99") && run.err.contains("loud"), "{}", run.err);
    let report = json_of(&run.out);
    let used = json(&["diagnose", PLAN, "--readings", READINGS]);
    assert_eq!(report["readings"]["used"], used["readings"]["used"]);
    assert_eq!(list(&report["readings"], "faults").len(), 2);
    assert_eq!(report["devices"], used["devices"]);
}

#[test]
fn without_a_usable_reading_nothing_is_written() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("none.csv");
    fs::write(&file, "sensor,level_dbm\n99,-70\n").unwrap();
    let out = folder.path().join("out");
    let copy = folder.path().join("copy.geojson");
    let arguments = [
        "diagnose",
        PLAN,
        "--readings",
        file.to_str().unwrap(),
        "--out",
        out.to_str().unwrap(),
        "--write",
        copy.to_str().unwrap(),
    ];
    drillonce(&arguments).refused(&["--template"]);
    assert!(!out.exists() && !copy.exists());
}

#[test]
fn the_template_reads_back_without_a_reading() {
    let folder = tempfile::tempdir().unwrap();
    let template = drillonce(&["diagnose", PLAN, "--template"]).ends(0).out;
    let file = folder.path().join("template.csv");
    fs::write(&file, template).unwrap();
    let arguments = ["diagnose", PLAN, "--readings", file.to_str().unwrap()];
    let told = drillonce(&arguments).ends(2).err;
    assert!(told.contains("no reading can be used"), "{told}");
    assert_eq!(told.lines().count(), 1, "{told}");
}

#[test]
fn the_other_commands_use_what_was_written_and_no_file_is_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("calibrated.geojson");
    let copy = copy.to_str().unwrap();
    let told = json(&["diagnose", PLAN, "--readings", READINGS, "--write", copy]);
    let checked = json(&["check", copy]);
    let plain = json(&["check", PLAN]);
    for device in list(&told, "devices") {
        let id = text(device, "id");
        for (report, when) in [(&plain, "before"), (&checked, "after")] {
            let row = by_id(devices(report), id);
            for key in ["margin_db", "sigma_db"] {
                // The copy keeps thousandths.
                let what = format!("{key} of {id} {when}, against what diagnose says");
                close(number(row, key), number(&device[when], key), 0.02, &what);
            }
        }
    }
    let note = checked["model"]["calibration"].as_str().unwrap();
    assert!(note.contains("readings"), "{note}");
    let was = fs::read(copy).unwrap();
    let again = ["diagnose", PLAN, "--readings", READINGS, "--no-pictures", "--write", copy];
    drillonce(&again).ends(2);
    assert_eq!(fs::read(copy).unwrap(), was);
    // Readings count once: held against the copy they say the same.
    let once_more = json(&["diagnose", copy, "--readings", READINGS]);
    assert_eq!(once_more["devices"], told["devices"]);
}

#[test]
fn a_sensor_that_is_not_flaky_can_be_asked_about() {
    let told = json(&["diagnose", PLAN, "--readings", READINGS, "--sensor", "Front door"]);
    let rows = list(&told, "causes");
    assert!(rows.iter().any(|row| row["name"] == "Front door"));
    let sums = rows
        .iter()
        .map(|row| list(row, "causes").iter().map(|one| number(one, "chance")).sum::<f64>());
    assert!(sums.into_iter().all(|sum| (sum - 1.0).abs() < 1e-4));
}

#[test]
fn the_pictures_are_written() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().to_str().unwrap();
    drillonce(&["diagnose", PLAN, "--readings", READINGS, "--out", out, "--cell", "0.5"]);
    for name in ["foil-garage-readings", "foil-garage-level0-readings"] {
        for ending in ["png", "svg"] {
            let file = folder.path().join(format!("{name}.{ending}"));
            assert!(fs::metadata(&file).unwrap().len() > 10_000, "{file:?}");
        }
    }
}

#[test]
fn the_obvious_is_said_first_and_in_one_sentence() {
    let run = drillonce(&["diagnose", PLAN, "--readings", READINGS, "--no-pictures"]).ends(1);
    // Behind foil and not heard: no cause is weighed and no test asked for.
    let part = |name: &str| {
        let own = run.out.split("\n\n").find(|part| part.starts_with(name));
        own.unwrap_or_else(|| panic!("{name} in {}", run.out)).to_owned()
    };
    let both = part("13 Office window");
    assert!(both.contains("Too far behind metal (foil-board-stud)"), "{both}");
    assert_eq!(both.lines().count(), 3, "one paragraph of two devices: {both}");
    assert!(both.lines().nth(1).unwrap().starts_with("14 Office motion"), "{both}");
    // Six check-ins of twelve missed: failing, although the level alone is thin.
    let door = part("8 Door to the conversion");
    assert!(door.contains("Failing by its readings"), "{door}");
    assert!(!run.out.contains("bit"), "bits are for the JSON: {}", run.out);
    // Battery first, then mounting, then moving.
    let order = ["low battery: ", "obstruction near the sensor", "null at its spot: "];
    let at = |words: &str| door.find(words).unwrap_or_else(|| panic!("{words} in {door}"));
    assert!(order.map(at).is_sorted(), "{door}");
    let report = json(&["diagnose", PLAN, "--readings", READINGS]);
    let own = by_id(list(&report, "devices").iter(), &door_id(&report));
    assert_eq!(own["finding_by_readings"], "failing");
    let causes = list(&report, "causes");
    let window = causes.iter().find(|row| row["number"] == 13).unwrap();
    assert_eq!(window["out_of_reach"], true);
    assert_eq!(window["causes"][0]["cause"], "path too weak as built");
    assert!(number(&window["next_tests"][0], "bits") > 0.0);
}

#[test]
fn more_readings_than_can_be_weighed_are_refused() {
    let place = changed("bungalow", |features| {
        let sensor = features.iter().find(|one| one["id"] == "m-corridor").unwrap().clone();
        features.extend((0..520).map(|number| {
            let mut sensor = sensor.clone();
            sensor["id"] = format!("s{number}").into();
            sensor["properties"].as_object_mut().unwrap().remove("number");
            sensor
        }));
    });
    let rows: String = (0..520).map(|number| format!("s{number},-70\n")).collect();
    fs::write(place.path().join("r.csv"), format!("sensor,level_dbm\n{rows}")).unwrap();
    let run = run_in(place.path(), &["diagnose", "plan.geojson", "--readings", "r.csv"]);
    run.refused(&["r.csv", "520 pairs of device and listener", "at most 512"]);
}
