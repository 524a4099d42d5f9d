//! `repeaters` on the shipped plans: what it prints, and that it prints the same again.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use super::formats::same_cell;
use crate::run::{
    Run, by_id, close, devices, list, made_with, number, numbers, on, sensor, sensors, text, told,
};

/// Runs `repeaters` on a shipped plan without pictures.
fn repeaters(plan: &str, options: &[&str]) -> Run {
    on(plan, "repeaters", options)
}

fn report(plan: &str, options: &[&str]) -> Value {
    told(plan, "repeaters", options)
}

#[test]
fn a_house_with_an_annexe() {
    // One repeater serves all but the contact on the steel door, which it makes thin.
    insta::assert_snapshot!("annexe", repeaters("annexe", &[]).ends(0).out);
    insta::assert_snapshot!("annexe_csv", repeaters("annexe", &["--format", "csv"]).ends(0).out);
    // The machine's last digits may differ: what is new against `check`, and no more.
    let report = report("annexe", &[]);
    let new: BTreeMap<&str, &Value> =
        ["search", "panel_moves_m", "proof", "new_repeaters", "unheard"]
            .into_iter()
            .map(|member| (member, &report[member]))
            .collect();
    insta::assert_json_snapshot!("annexe_json", new);
}

#[test]
fn a_garage_that_one_repeater_serves() {
    insta::assert_snapshot!("foil_garage", repeaters("foil-garage", &[]).ends(0).out);
}

#[test]
fn devices_that_nothing_reaches() {
    // The panel hangs in a metal box, and the site takes more than usual: no repeater is heard
    // there, either.
    let far = ["--site-offset", "24"];
    insta::assert_snapshot!("workshop", repeaters("workshop", &far).ends(1).out);
}

#[test]
fn two_repeaters_one_after_the_other() {
    insta::assert_snapshot!("annexe_two_hops", repeaters("annexe", &["--hops", "2"]).ends(0).out);
}

#[test]
fn the_report_keeps_the_members_of_check_and_tells_the_ways() {
    for (plan, options) in [("foil-garage", &[][..]), ("annexe", &["--hops", "2"])] {
        let checked = crate::run::report(plan, &[]);
        let told = report(plan, options);
        for (member, value) in checked.as_object().unwrap() {
            assert_eq!(
                std::mem::discriminant(value),
                std::mem::discriminant(&told[member]),
                "{member}"
            );
        }
        for device in sensors(&checked) {
            let row = sensor(&told, text(device, "id"));
            let members =
                |row: &Value| -> Vec<String> { row.as_object().unwrap().keys().cloned().collect() };
            assert_eq!(members(device), members(row));
        }
        // Before: what `check` says.
        let before = list(&told, "before");
        assert_eq!(before.len(), devices(&checked).count());
        for (row, device) in before.iter().zip(devices(&checked)) {
            for member in ["id", "name", "number", "margin_db", "fault_per_year", "finding", "via"]
            {
                assert_eq!(row[member], device[member], "{member} of {device}");
            }
        }
        // After: every repeater carries those whose ways lead over it, and no others.
        let over = |id: &str| -> Vec<String> {
            let mut way = Vec::new();
            let mut next = devices(&told).find(|device| device["id"] == id);
            while let Some(via) = next.and_then(|device| device["via"].as_str()) {
                way.push(via.to_owned());
                assert!(way.len() <= 2, "{id}: {way:?}");
                next = devices(&told).find(|device| device["id"] == via);
            }
            way
        };
        let new = list(&told, "new_repeaters");
        assert_eq!(number(&told["proof"], "found"), new.len() as f64);
        assert_eq!(told["proof"]["best"], true);
        for repeater in new {
            let id = text(repeater, "id");
            let is_new = |device: &&Value| new.iter().any(|r| r["id"] == device["id"]);
            let carried: Vec<&Value> = devices(&told)
                .filter(|device| !is_new(device))
                .filter(|device| over(text(device, "id")).iter().any(|via| via == id))
                .map(|device| &device["id"])
                .collect();
            assert_eq!(json!(carried), repeater["carries"], "{id}");
            let row = by_id(devices(&told), id);
            assert_eq!(row["position_m"], repeater["position_m"]);
        }
        // The whole way's chance is that of its hops: never less than that of the rest of the way.
        for device in devices(&told) {
            if let Some(via) = device["via"].as_str() {
                let rest = number(by_id(devices(&told), via), "fault_per_year");
                assert!(number(device, "fault_per_year") >= rest, "{device}");
            }
        }
        assert!(devices(&told).all(|device| device["finding"] == "sound"));
        assert_eq!(told["unheard"], json!([]));
    }
}

#[test]
fn csv_and_geojson_say_what_json_says() {
    let told = report("annexe", &[]);
    let rows = repeaters("annexe", &["--format", "csv"]).ends(0).rows();
    assert_eq!(rows.len(), devices(&told).count());
    for (row, device) in rows.iter().zip(devices(&told)) {
        let before = list(&told, "before").iter().find(|b| b["id"] == device["id"]);
        for (column, cell) in row {
            let value = match column.strip_prefix("before_") {
                Some(column) => before.map_or(&Value::Null, |row| &row[column]),
                None => &device[column.as_str()],
            };
            same_cell(column, cell, value);
        }
    }
    let collection = repeaters("annexe", &["--format", "geojson"]).ends(0).json();
    let feature = |id: &str| by_id(list(&collection, "features").iter(), id);
    for device in devices(&told) {
        let id = text(device, "id");
        assert_eq!(feature(id)["geometry"]["coordinates"], device["position_m"]);
        let heard_at = match device["via"].as_str() {
            Some(via) => &feature(via)["geometry"]["coordinates"],
            None => &told["panel"]["position_m"],
        };
        let hop = &feature(&format!("{id}-hop"))["geometry"]["coordinates"];
        assert_eq!(&hop[0], heard_at, "{id}");
        assert_eq!(hop[1], device["position_m"], "{id}");
    }
}

#[test]
fn settings_of_the_radio_count() {
    // With less asked of a sound hop none is needed.
    let strict = report("annexe", &["--site-offset", "0"]);
    assert_eq!(list(&strict, "new_repeaters").len(), 1);
    let lax = report("annexe", &["--sound-below", "0.95", "--thin-below", "0.96"]);
    assert_eq!(lax["new_repeaters"], json!([]));
    assert_eq!(lax["proof"]["at_least"], 0);
    close(number(&lax["model"]["findings"], "sound_below"), 0.95, 0.0, "the setting is told");
}

#[test]
fn a_panel_that_may_move() {
    let told = report("foil-garage", &["--move-panel", "--hops", "2"]);
    assert!(number(&told["search"], "panel_places") > 1.0);
    let fixed = report("foil-garage", &["--hops", "2"]);
    assert_eq!(number(&fixed["search"], "panel_places"), 1.0);
    assert_eq!(number(&fixed, "panel_moves_m"), 0.0);
    let new = |report: &Value| list(report, "new_repeaters").len();
    assert!(new(&told) <= new(&fixed));
    let far = number(&told, "panel_moves_m");
    let at = |report: &Value| numbers(&report["panel"], "position_m");
    let squares = at(&told).iter().zip(at(&fixed)).map(|(a, b)| (a - b).powi(2)).sum::<f64>();
    close(far, squares.sqrt(), 2e-4, "how far the panel moves");
    let printed = repeaters("foil-garage", &["--move-panel"]).ends(0).out;
    assert!(printed.contains(", panel moved "), "{printed}");
    let put = report("foil-garage", &["--panel", "14.3,4.61"]);
    assert_eq!(put["panel"]["position_m"], json!([14.3, 4.61, 1.5]));
}

#[test]
fn the_same_bytes_again_however_many_threads() {
    for (plan, options) in [
        ("foil-garage", &[][..]),
        ("annexe", &["--hops", "2"]),
        ("brick-house", &["--site-offset", "34"]),
    ] {
        let all = [&["--cell", "0.2"], options].concat();
        let run = |threads| made_with(threads, "repeaters", plan, &all);
        let (printed, files) = run("1");
        let levels = if plan == "brick-house" { 2 } else { 1 };
        assert_eq!(files.len(), 4 * levels, "{:?}", files.keys());
        let (again, files_again) = run("3");
        assert_eq!(printed, again, "{plan}");
        for (name, bytes) in &files {
            assert_eq!(Some(bytes), files_again.get(name), "{name} differs");
        }
    }
}

#[test]
fn pictures_show_the_state_before_and_after() {
    let (_, files) = made_with("2", "repeaters", "annexe", &["--hops", "2", "--cell", "0.2"]);
    let drawn = |name: &str| -> String {
        let bytes = files.get(name).unwrap_or_else(|| panic!("no {name}")).clone();
        String::from_utf8(bytes).unwrap()
    };
    let before = drawn("annexe-before-level0.svg");
    let after = drawn("annexe-after-level0.svg");
    for (words, in_before, in_after) in [
        ("no sound way", true, false),
        ("Repeater 1", false, true),
        ("Repeater 2", false, true),
        ("With 2 new repeaters every device is sound. This is the minimum.", false, true),
        ("As the plan has it now: 7 of 12 devices sound.", true, false),
    ] {
        assert_eq!(before.contains(words), in_before, "before: {words}");
        assert_eq!(after.contains(words), in_after, "after: {words}");
    }
    for name in ["before", "after"] {
        let png = &files[&format!("annexe-{name}-level0.png")];
        assert!(png.starts_with(b"\x89PNG"));
    }
}
