//! `place`: what it prints and what it writes.

use std::fs;

use geojson::FeatureCollection;
use serde_json::Value;

use super::{Run, close, contents, folder, list, number, plan_json, run, run_in, shipped, text};

/// Runs `place` on a shipped plan without pictures.
pub fn place(plan: &str, options: &[&str]) -> Run {
    let path = shipped(plan);
    run(&[&["place", &path, "--no-pictures"], options].concat())
}

/// The JSON of `place` on a shipped plan.
pub fn found(plan: &str, options: &[&str]) -> Value {
    let run = place(plan, &[&["--format", "json"], options].concat());
    assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
    assert_eq!(run.err, "");
    serde_json::from_str(&run.out).expect("JSON")
}

#[test]
fn a_house_in_feet_ends_with_0_and_its_table() {
    insta::assert_snapshot!(place("bungalow", &[]).ends(0).out);
}

#[test]
fn a_house_that_no_spot_keeps_ends_with_1_and_its_json() {
    insta::assert_snapshot!(place("annexe", &["--format", "json"]).ends(1).out);
}

#[test]
fn csv_has_a_row_for_every_spot() {
    insta::assert_snapshot!(place("annexe", &["--format", "csv"]).out);
    let report = found("bungalow", &[]);
    let printed = place("bungalow", &["--format", "csv"]).out;
    let mut reader = csv::Reader::from_reader(printed.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().collect::<Result<_, _>>().expect("rows");
    assert_eq!(rows.len() as f64, number(&report, "spots"));
    let ranks: Vec<String> = rows.iter().map(|row| row[1].to_owned()).collect();
    assert!(ranks.iter().zip(1..).all(|(rank, n)| *rank == format!("{n}")));
    let first = &list(&report, "best")[0];
    assert_eq!(&rows[0][0], "1");
    for (cell, part) in [(4, 0), (5, 1), (6, 2)] {
        let cell: f64 = rows[0][cell].parse().expect("a number");
        assert_eq!(Some(cell), first["position_m"][part].as_f64());
    }
}

#[test]
fn geojson_has_every_spot_the_places_left_out_and_the_ways() {
    insta::assert_snapshot!(place("annexe", &["--format", "geojson"]).out);
    let report = found("bungalow", &[]);
    let printed = place("bungalow", &["--format", "geojson"]).out;
    let collection: FeatureCollection = printed.parse().expect("a feature collection");
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
        let options = [
            "place",
            &plan,
            "--no-pictures",
            "--format",
            "json",
            "--write",
            "copy.geojson",
            "--spot",
            spot,
        ];
        let printed = run_in(place.path(), &options).ends(0).out;
        let report: Value = serde_json::from_str(&printed).expect("JSON");
        let best = &list(&report, "best")[spot.parse::<usize>().expect("a number") - 1];
        let options = ["check", "copy.geojson", "--no-pictures", "--format", "json"];
        let printed = run_in(place.path(), &options).ends(0).out;
        let checked: Value = serde_json::from_str(&printed).expect("JSON");
        let devices: Vec<&Value> =
            list(&checked, "sensors").iter().chain(list(&checked, "devices")).collect();
        assert_eq!(devices.len(), list(best, "heard").len());
        for heard in list(best, "heard") {
            let same = devices.iter().find(|device| device["id"] == heard["id"]).expect("it");
            close(number(same, "margin_db"), number(heard, "margin_db"), 0.01, text(heard, "id"));
            assert_eq!(same["finding"], heard["finding"]);
        }
        for part in 0..3 {
            // Coordinates are written to the millimetre.
            let at = |value: &Value| value["position_m"][part].as_f64().expect("metres");
            close(at(&checked["panel"]), at(best), 5.1e-4, "the panel's place");
        }
        // All else is as it was.
        let copy = fs::read_to_string(place.path().join("copy.geojson")).expect("the copy");
        let copy: Value = serde_json::from_str(&copy).expect("JSON");
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
    let place = folder();
    let write = |to: &str, code| {
        let options = ["place", &plan, "--no-pictures", "--write", to];
        run_in(place.path(), &options).ends(code).err
    };
    fs::write(place.path().join("taken.geojson"), "a shopping list").expect("a file");
    let err = write("taken.geojson", 2);
    assert!(err.contains("taken.geojson") && err.contains("there already"), "{err}");
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
    let names: Vec<String> = contents(&place.path().join("out")).into_keys().collect();
    let want = ["spots-level0.png", "spots-level0.svg", "tradeoff.png", "tradeoff.svg"];
    assert_eq!(names, want.map(|name| format!("annexe-{name}")));
}
