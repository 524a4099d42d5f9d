//! `import` of a picture: a plan with the picture beside it, by a known length or four corners.

use std::fs;

use crate::run::{folder_with, run_in};
use fixtures::root;

/// Black on white, twenty pixels to a metre; the house is 9 by 7 m with one wall across.
fn with_picture() -> tempfile::TempDir {
    let place = folder_with("corners.txt", "10 10\n190 10\n190 150\n10 150\n9 m by 7 m\n");
    for ending in ["png", "jpg"] {
        let picture = fs::read(root().join(format!("tests/fuzz/pictures/house.{ending}"))).unwrap();
        fs::write(place.path().join(format!("house.{ending}")), picture).unwrap();
    }
    place
}

#[test]
fn a_picture_becomes_a_plan_that_check_reads_with_the_picture_beside_it() {
    let place = with_picture();
    let length = ["--length", "9 m = 180 px"];
    let corners = ["--corners", "corners.txt"];
    for (number, (file, by)) in
        [("house.png", length), ("house.jpg", length), ("house.png", corners)].iter().enumerate()
    {
        let plan = format!("plan-{number}.geojson");
        let all = [&["import", file, "--format", "json", "--write", &plan], &by[..]].concat();
        let report = run_in(place.path(), &all).ends(0).json();
        assert_eq!(report["kind"], "picture");
        let rooms = report["levels"][0]["rooms"].as_array().unwrap();
        let area: f64 = rooms.iter().map(|room| room["area_m2"].as_f64().unwrap()).sum();
        // 8.4 by 6.4 m, less the wall across and what a pixel of five centimetres can tell.
        assert!((area - 52.5).abs() < 2.0, "{file}, {by:?}: {area}");
        let ending = &file[6..];
        let picture = place.path().join(format!("plan-{number}-picture.{ending}"));
        assert!(picture.is_file(), "{file}, {by:?}");
        let text = fs::read_to_string(place.path().join(&plan)).unwrap();
        assert!(text.contains(&format!("\"file\": \"plan-{number}-picture.{ending}\"")), "{text}");
        run_in(place.path(), &["tidy", &plan]);
    }
}

#[test]
fn nothing_is_overwritten_by_the_picture() {
    let place = with_picture();
    fs::write(place.path().join("a-picture.png"), "mine").unwrap();
    let all = ["import", "house.png", "--length", "9 m = 180 px", "--write", "a.geojson"];
    run_in(place.path(), &all).ends(0);
    assert_eq!(fs::read_to_string(place.path().join("a-picture.png")).unwrap(), "mine");
    assert!(place.path().join("a-picture-2.png").is_file());
}

#[test]
fn what_a_picture_needs_is_said() {
    let place = with_picture();
    fs::write(place.path().join("three.txt"), "1 1\n9 1\n9 9\n").unwrap();
    fs::write(place.path().join("words.txt"), "left top\n").unwrap();
    for (arguments, says) in [
        (vec!["house.png"], "a picture has no scale"),
        (vec!["house.png", "--length", "9 m = 180 pt"], "in a picture lengths are in px"),
        (vec!["house.png", "--length", "9 m = 3 px"], "pixels to a metre"),
        (vec!["house.png", "--scale", "1:50"], "only a PDF has pages"),
        (vec!["house.png", "--unit", "mm"], "a picture has none"),
        (vec!["house.png", "--corners", "three.txt"], "3 corners, not four"),
        (vec!["house.png", "--corners", "words.txt"], "line 1 is no corner"),
    ] {
        run_in(place.path(), &[&["import"], &arguments[..]].concat()).refused(&[says]);
    }
    let both = ["import", "house.png", "--length", "9 m = 180 px", "--length", "7 m = 150 px"];
    let out = run_in(place.path(), &both).ends(0).out;
    assert!(out.contains("disagree by"), "{out}");
}
