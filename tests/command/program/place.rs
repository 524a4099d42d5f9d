//! `place`: what it prints and what it writes.

use std::fs;

use geojson::FeatureCollection;
use serde_json::Value;

use crate::run::{
    Run, by_id, close, contents, devices, folder, folder_with, json_of, list, made_with, names,
    number, numbers, on, plan_json, run_in, shipped, text, told,
};

/// Runs `place` on a shipped plan without pictures.
pub fn place(plan: &str, options: &[&str]) -> Run {
    on(plan, "place", options)
}

/// The JSON of `place` on a shipped plan.
pub fn found(plan: &str, options: &[&str]) -> Value {
    told(plan, "place", options)
}

#[test]
fn a_house_in_feet_ends_with_0_and_its_table() {
    insta::assert_snapshot!(place("bungalow", &[]).ends(0).out);
}

#[test]
fn a_house_that_no_spot_keeps_ends_with_1_and_its_json() {
    // Some devices fail wherever the panel hangs, others are thin; who asks for less than sound
    // gets the other code.
    let lenient = ["--thin-below", "0.7"];
    place("annexe", &lenient).ends(0);
    insta::assert_snapshot!(place("annexe", &["--format", "json"]).ends(1).out);
}

#[test]
fn csv_has_a_row_for_every_spot() {
    insta::assert_snapshot!(place("annexe", &["--format", "csv"]).out);
    let report = found("bungalow", &[]);
    let rows = place("bungalow", &["--format", "csv"]).rows();
    assert_eq!(rows.len() as f64, number(&report, "spots"));
    assert!(rows.iter().zip(1..).all(|(row, n)| row[1].1 == format!("{n}")));
    let first = &list(&report, "best")[0];
    assert_eq!(rows[0][0].1, "1");
    for (cell, at) in rows[0][4..7].iter().zip(numbers(first, "position_m")) {
        assert_eq!(cell.1.parse(), Ok(at));
    }
}

#[test]
fn geojson_has_every_spot_the_places_left_out_and_the_ways() {
    insta::assert_snapshot!(place("annexe", &["--format", "geojson"]).out);
    let report = found("bungalow", &[]);
    let printed = place("bungalow", &["--format", "geojson"]).out;
    let collection: FeatureCollection = printed.parse().unwrap();
    let count = |kind: &str| {
        let is = |f: &&geojson::Feature| f.property("kind").is_some_and(|k| k == kind);
        collection.features.iter().filter(is).count()
    };
    let offered = list(&report, "best").len();
    assert_eq!(count("offered"), offered);
    assert_eq!((count("walk"), count("wire")), (offered, offered));
    assert_eq!((count("offered") + count("spot")) as f64, number(&report, "spots"));
    let out: f64 = list(&report, "left_out").iter().map(|row| number(row, "places")).sum();
    assert_eq!(count("left-out") as f64, out);
    let ids: std::collections::BTreeSet<String> =
        collection.features.iter().map(|f| format!("{:?}", f.id)).collect();
    assert_eq!(ids.len(), collection.features.len(), "every id is its own");
}

#[test]
fn a_copy_of_the_plan_keeps_what_was_foretold() {
    let plan = shipped("brick-house");
    for spot in ["1", "2"] {
        let place = folder();
        let run = |arguments: &[&str]| {
            let all = [arguments, &["--no-pictures", "--format", "json"]].concat();
            run_in(place.path(), &all).ends(0).json()
        };
        let report = run(&["place", &plan, "--write", "copy.geojson", "--spot", spot]);
        let best = &list(&report, "best")[spot.parse::<usize>().unwrap() - 1];
        let checked = run(&["check", "copy.geojson"]);
        assert_eq!(devices(&checked).count(), list(best, "heard").len());
        for heard in list(best, "heard") {
            let same = by_id(devices(&checked), text(heard, "id"));
            close(number(same, "margin_db"), number(heard, "margin_db"), 0.01, text(heard, "id"));
            assert_eq!(same["finding"], heard["finding"]);
        }
        let at = numbers(&checked["panel"], "position_m");
        for (is, want) in at.into_iter().zip(numbers(best, "position_m")) {
            // Coordinates are written to the millimetre.
            close(is, want, 5.1e-4, "the panel's place");
        }
        // All else is as it was.
        let copy = fs::read_to_string(place.path().join("copy.geojson")).unwrap();
        let copy = json_of(&copy);
        let kept = |plan: &Value| -> Vec<Value> {
            let features = list(plan, "features").iter();
            features.filter(|f| f["properties"]["kind"] != "panel").cloned().collect()
        };
        assert_eq!(kept(&copy), kept(&plan_json("brick-house")));
    }
}

#[test]
fn a_copy_takes_no_other_file_s_place() {
    let plan = shipped("annexe");
    let place = folder_with("taken.geojson", "a shopping list");
    let write = |to: &str, code| {
        let options = ["place", &plan, "--no-pictures", "--write", to];
        run_in(place.path(), &options).ends(code).err
    };
    let err = write("taken.geojson", 2);
    assert!(err.contains("taken.geojson") && err.contains("the file exists"), "{err}");
    let err = write("nowhere/copy.geojson", 3);
    assert!(err.contains("nowhere/copy.geojson"), "{err}");
    let left = contents(place.path());
    assert_eq!(left.len(), 1);
    assert_eq!(left["taken.geojson"], b"a shopping list");
}

#[test]
fn pictures_of_every_level_and_the_chart_are_written() {
    let place = folder();
    let plan = shipped("annexe");
    let options = ["place", &plan, "--cell", "0.4", "--out", "out"];
    run_in(place.path(), &options).ends(1);
    let names = names(&place.path().join("out"));
    let want = ["spots-level0.png", "spots-level0.svg", "tradeoff.png", "tradeoff.svg"];
    assert_eq!(names, want.map(|name| format!("annexe-{name}")));
}

#[test]
fn no_byte_depends_on_the_number_of_threads() {
    let run = |threads| made_with(threads, "place", "foil-garage", &["--cell", "0.3"]);
    let one = run("1");
    assert_eq!(one.1.len(), 4);
    assert!(one == run("3"));
}
