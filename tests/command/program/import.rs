//! `import`: a plan is written once, and nothing that stood there before is lost.

use std::fs;

use crate::run::{contents, folder, folder_with, json_of, run_in};

/// Two rooms side by side, 5 × 4 m and 3 × 4 m, a door between them and one in the front.
const LIST: &str = "\
name Two rooms
room Shop 5 x 4
room Store 3 x 4 right-of Shop
door Shop front 0.9 at 1 entry
door Shop right 0.8 at 1
window Store back 1.2 at 0.9
";

fn with_list() -> tempfile::TempDir {
    folder_with("shop.txt", LIST)
}

#[test]
fn a_list_becomes_a_plan_that_check_and_place_read() {
    let place = with_list();
    let out = run_in(place.path(), &["import", "shop.txt", "--contacts"]).ends(0).out;
    assert!(out.contains("tape-measure list"), "{out}");
    assert!(out.contains("Written: output/shop.geojson"), "{out}");
    assert!(out.contains("Shop 20 m²"), "{out}");
    assert!(out.contains("Store 12 m²"), "{out}");
    let plan = "output/shop.geojson";
    let found = run_in(place.path(), &["place", plan, "--no-pictures"]);
    assert_eq!(found.code, Some(0), "{found:?}");
    assert!(found.out.contains("Keeps every device sound"), "{found:?}");
}

#[test]
fn the_report_as_json_holds_the_same_counts_as_the_plan() {
    let place = with_list();
    let arguments = ["import", "shop.txt", "--write", "new.geojson", "--format", "json"];
    let report = run_in(place.path(), &arguments).ends(0).json();
    assert_eq!(report["plan"], "new.geojson");
    assert_eq!(report["ways_in"], 1);
    assert_eq!(report["devices"], 0);
    let text = fs::read_to_string(place.path().join("new.geojson")).unwrap();
    let plan = json_of(&text);
    let kinds = |kind: &str| {
        let features = plan["features"].as_array().unwrap().iter();
        features.filter(|f| f["properties"]["kind"] == kind).count()
    };
    let openings = report["levels"][0]["openings"].as_u64().unwrap();
    assert_eq!(kinds("opening") as u64, openings);
    assert_eq!(openings, 3);
    let rooms = report["levels"][0]["rooms"].as_array().unwrap();
    assert_eq!(rooms.len(), 2);
    assert_eq!(rooms[0]["name"], "Shop");
    assert!((rooms[0]["area_m2"].as_f64().unwrap() - 20.0).abs() < 0.01);
}

#[test]
fn no_file_is_overwritten() {
    let place = with_list();
    run_in(place.path(), &["import", "shop.txt"]).ends(0);
    let before = contents(&place.path().join("output"));
    run_in(place.path(), &["import", "shop.txt"]).refused(&["is not overwritten"]);
    assert_eq!(contents(&place.path().join("output")), before);
    let arguments = ["import", "shop.txt", "--write", "shop.txt"];
    run_in(place.path(), &arguments).ends(2);
    let list = fs::read_to_string(place.path().join("shop.txt")).unwrap();
    assert_eq!(list, LIST);
}

#[test]
fn constructions_are_known_ones() {
    let place = with_list();
    for (arguments, says) in [
        (vec!["--map", "WALLS=brik-half"], "did you mean \"brick-half\"?"),
        (vec!["--map", "WALLS"], "NAME=CONSTRUCTION"),
        (vec!["--inside", "stud-partitoin"], "--inside: the construction"),
        (vec!["--outside", "chalk"], "`drillonce catalogue` lists every name"),
        (vec!["--map-file", "none.toml"], "none.toml"),
    ] {
        let arguments = [vec!["import", "shop.txt"], arguments].concat();
        run_in(place.path(), &arguments).refused(&[says]);
    }
    assert!(!place.path().join("output").exists());
}

#[test]
fn a_file_of_pairs_is_read_and_its_faults_have_a_line() {
    let place = with_list();
    let pairs = place.path().join("map.toml");
    for (text, says) in [
        ("\"A\" = \"brick-half\"\n\"B\" = \"brik-half\"\n", "map.toml:2:7"),
        ("\"A\" = \"brick-half\"\n\"B\" =\n", "map.toml:2:"),
        ("\"A\" = 3\n", "map.toml:1:"),
    ] {
        fs::write(&pairs, text).unwrap();
        let arguments = ["import", "shop.txt", "--map-file", "map.toml"];
        run_in(place.path(), &arguments).refused(&[says]);
    }
    fs::write(&pairs, "\"A\" = \"brick-half\"\n\"B\" = \"none\"\n").unwrap();
    let arguments = ["import", "shop.txt", "--map-file", "map.toml"];
    run_in(place.path(), &arguments).ends(0);
}

#[test]
fn files_that_cannot_be_read_are_refused_with_a_way_out() {
    let place = folder();
    let file = |name: &str, bytes: &[u8]| fs::write(place.path().join(name), bytes).unwrap();
    file("photo.jpg", b"\xff\xd8\xff\xe0");
    file("notes.doc", b"kitchen 3 by 4");
    file("empty.dxf", b"");
    file("bomb.osm", b"<?xml version='1.0'?><!DOCTYPE osm [<!ENTITY a 'aaaa'><!ENTITY b '&a;&a;'>]><osm>&b;</osm>");
    file("torn.zip", b"PK\x03\x04torn");
    file("list.txt", b"room A 3 x 3 right-of B\nroom B 3 x 3 right-of A\n");
    file("other.geojson", b"{\"type\": \"FeatureCollection\", \"features\": []}");
    for (name, says) in [
        ("photo.jpg", "save it again"),
        ("notes.doc", "--kind"),
        ("empty.dxf", "empty.dxf"),
        ("bomb.osm", "entit"),
        ("torn.zip", "torn.zip"),
        ("list.txt", "list.txt:1"),
        ("other.geojson", "other.geojson"),
        ("missing.dxf", "cannot be read"),
        (".", "a folder"),
    ] {
        run_in(place.path(), &["import", name, "--write", "new.geojson"]).refused(&[says, "fix: "]);
        assert!(!place.path().join("new.geojson").exists());
    }
}

#[test]
fn the_picture_of_what_was_understood_is_named_and_has_the_numbers_of_the_report() {
    let place = with_list();
    let out = run_in(place.path(), &["import", "shop.txt"]).ends(0).out;
    assert!(out.contains("\n1. "), "{out}");
    assert!(out.contains("Picture of what was understood: output/shop-import-level0.png"), "{out}");
    let svg = fs::read_to_string(place.path().join("output/shop-import-level0.svg")).unwrap();
    for words in ["SHOP", "20 m²", "STORE", "entry door", "window"] {
        assert!(svg.contains(words), "{words}");
    }
    // A door without a place is a guess with one.
    fs::write(place.path().join("shop.txt"), LIST.replace("0.8 at 1", "0.8")).unwrap();
    let arguments = ["import", "shop.txt", "--write", "new.geojson", "--format", "json"];
    let report = run_in(place.path(), &arguments).ends(0).json();
    let pictures = ["output/new-import-level0.png", "output/new-import-level0.svg"];
    assert_eq!(report["pictures"], serde_json::json!(pictures));
    assert!(pictures.iter().all(|file| place.path().join(file).is_file()));
    let guesses = report["guesses"].as_array().unwrap();
    let door = guesses.iter().find(|guess| guess["about"] == "doors without a place").unwrap();
    let marks = report["marks"].as_array().unwrap();
    assert_eq!(marks.len(), 1, "{marks:?}");
    assert_eq!((&marks[0]["number"], &marks[0]["level"]), (&door["number"], &0.into()));
    let at: Vec<f64> =
        marks[0]["at"][0].as_array().unwrap().iter().filter_map(|x| x.as_f64()).collect();
    assert!((at[0] - 5.0).abs() < 0.2 && (at[1] - 2.0).abs() < 0.2, "{at:?}");
}

#[test]
fn without_pictures_there_is_the_plan_alone() {
    let place = with_list();
    let arguments = ["import", "shop.txt", "--no-pictures", "--format", "json"];
    let report = run_in(place.path(), &arguments).ends(0).json();
    assert_eq!(report["pictures"], serde_json::json!([]));
    assert_eq!(crate::run::names(&place.path().join("output")), ["shop.geojson"]);
}

#[test]
fn pictures_of_another_plan_of_that_name_stay() {
    let place = with_list();
    fs::write(place.path().join("shop.geojson"), crate::run::plan_json("bungalow").to_string())
        .unwrap();
    run_in(place.path(), &["check", "shop.geojson"]).ends(0);
    let refused = run_in(place.path(), &["import", "shop.txt"]).ends(2).err;
    assert!(refused.contains("those of another plan") && refused.contains("--out"), "{refused}");
    run_in(place.path(), &["import", "shop.txt", "--no-pictures"]).ends(0);
}

/// A house of two rooms on one page, which says 1:50.
const PAGE: &[u8] = include_bytes!("../../fuzz/pages/plain.pdf");

#[test]
fn a_pdf_is_read_at_its_scale_or_by_a_known_length() {
    let place = with_list();
    fs::write(place.path().join("house.pdf"), PAGE).unwrap();
    let rooms = |arguments: &[&str], plan: &str| -> Vec<f64> {
        let all = ["import", "house.pdf", "--format", "json", "--no-pictures", "--write", plan];
        let report = run_in(place.path(), &[&all, arguments].concat()).ends(0).json();
        assert_eq!(report["kind"], "PDF");
        let rooms = report["levels"][0]["rooms"].as_array().unwrap().iter();
        let mut areas: Vec<f64> = rooms.map(|room| room["area_m2"].as_f64().unwrap()).collect();
        areas.sort_by(f64::total_cmp);
        areas
    };
    let said = rooms(&[], "a.geojson");
    // 3.2 by 4.4 m and 4.1 by 4.4 m between the faces.
    assert!((said[0] - 14.08).abs() < 0.1 && (said[1] - 18.04).abs() < 0.1, "{said:?}");
    let same = [
        vec!["--scale", "1:50"],
        vec!["--page", "1"],
        vec!["--length", "8 m = 453.54 pt"],
        vec!["--length", "26' 3\" = 160 mm"],
    ];
    for (number, arguments) in same.iter().enumerate() {
        let again = rooms(arguments, &format!("b{number}.geojson"));
        let near = |(a, b): (&f64, &f64)| (a - b).abs() < 0.05;
        assert!(said.iter().zip(&again).all(near), "{arguments:?}: {again:?}");
    }
    let smaller = rooms(&["--scale", "1:40"], "c.geojson");
    assert!((smaller[0] / said[0] - 0.64).abs() < 0.01, "{smaller:?}");
}

#[test]
fn options_of_a_page_are_for_a_pdf_and_say_how_they_are_written() {
    let place = with_list();
    fs::write(place.path().join("house.pdf"), PAGE).unwrap();
    for (file, arguments, says) in [
        ("shop.txt", ["--scale", "1:50"], "only a PDF has pages"),
        ("shop.txt", ["--page", "2"], "only a PDF has pages"),
        ("shop.txt", ["--group", "2"], "only a drawing has groups"),
        ("house.pdf", ["--unit", "mm"], "--unit: a PDF has none"),
        ("house.pdf", ["--scale", "50"], "write 1:N, for example 1:50"),
        ("house.pdf", ["--length", "3.6 m"], "\"3.6 m = 412 pt\""),
        ("house.pdf", ["--length", "3.6 m = 0 pt"], "\"3.6 m = 412 pt\""),
        ("house.pdf", ["--page", "7"], "there is no page 7; the PDF has 1"),
        ("house.pdf", ["--page", "0"], "--page"),
    ] {
        let arguments = [&["import", file], &arguments[..]].concat();
        run_in(place.path(), &arguments).refused(&[says]);
    }
}
