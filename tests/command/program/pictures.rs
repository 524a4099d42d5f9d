//! The pictures that `check` writes.

use std::collections::BTreeMap;
use std::path::Path;

use super::PLANS;
use crate::run::{contents, folder, list, plan_json, run_in, run_with, shipped, text};

/// Runs `check` with pictures and gives what it wrote.
fn drawn(plan: &str, code: i32, options: &[&str]) -> BTreeMap<String, Vec<u8>> {
    let place = folder();
    let plan = shipped(plan);
    let arguments = [&["check", &plan, "--out", "pictures/of it"], options].concat();
    run_in(place.path(), &arguments).ends(code);
    assert_eq!(contents(place.path()).len(), 1, "only the folder asked for");
    contents(&place.path().join("pictures/of it"))
}

fn svg_text(files: &BTreeMap<String, Vec<u8>>, name: &str) -> String {
    String::from_utf8(files[name].clone()).unwrap()
}

/// The text elements of an SVG, in its order.
fn texts(svg: &str) -> Vec<String> {
    let elements = svg.split("<text ").skip(1);
    let inner = elements.filter_map(|rest| rest.split_once('>')?.1.split_once("</text>"));
    let plain = |text: &str| {
        let text = text.replace("&lt;", "<").replace("&gt;", ">");
        text.replace("&quot;", "\"").replace("&amp;", "&").trim().to_owned()
    };
    inner.map(|(text, _)| plain(text)).collect()
}

/// What of an SVG is said in words, and how many rings mark sound sensors.
fn summary(svg: &str) -> String {
    let rings = svg.matches("<circle ").count();
    format!("{rings} circles\n{}", texts(svg).join("\n"))
}

#[test]
fn every_level_with_walls_is_drawn_as_png_and_svg() {
    for (plan, code) in PLANS.into_iter().zip([0, 0, 0, 1]) {
        let json = plan_json(plan);
        let features = list(&json, "features");
        let walls = features.iter().filter(|f| f["properties"]["kind"] == "wall");
        let levels: std::collections::BTreeSet<String> =
            walls.map(|wall| wall["properties"]["level"].to_string()).collect();
        let names = levels
            .iter()
            .flat_map(|n| [format!("{plan}-level{n}.png"), format!("{plan}-level{n}.svg")]);
        let names: Vec<String> = names.collect();
        // Coarse cells, for a test's sake.
        let files = drawn(plan, code, &["--cell", "0.4"]);
        assert_eq!(files.keys().cloned().collect::<Vec<_>>(), names);
        let mut said = Vec::new();
        for (name, bytes) in &files {
            if name.ends_with(".png") {
                check_png(name, bytes);
            } else {
                let svg = svg_text(&files, name);
                assert!(svg.starts_with("<svg ") && svg.trim_end().ends_with("</svg>"), "{name}");
                said.extend(texts(&svg));
            }
        }
        // A long name may be broken over two lines; every number stands in its mark.
        for sensor in features.iter().filter(|f| f["properties"]["kind"] == "sensor") {
            let number = sensor["properties"]["number"].to_string();
            let name = text(&sensor["properties"], "name");
            assert!(said.contains(&number), "{plan}: no number {number}");
            let words = name.split(' ').all(|word| said.iter().any(|line| line.contains(word)));
            assert!(words, "{plan}: no name {name}");
        }
        let failing = said.iter().any(|line| line.to_uppercase().contains("FAILING !"))
            || said.iter().filter(|line| line.contains("FAILING")).count() > 1;
        assert_eq!(failing, code == 1, "{plan}: {said:?}");
    }
}

/// The signature, width and height of a PNG (ISO/IEC 15948, 5.2 and 11.2.2; from memory).
fn check_png(name: &str, bytes: &[u8]) {
    assert!(bytes.starts_with(b"\x89PNG\r\n\x1a\n"), "{name}");
    assert_eq!(&bytes[12..16], b"IHDR");
    let size = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
    let (width, height) = (size(16), size(20));
    assert_eq!(width, 1600, "{name}");
    assert!((400..4000).contains(&height), "{name} is {height} high");
    assert!(bytes.ends_with(b"IEND\xaeB`\x82"), "{name} is cut");
    assert!(bytes.len() > 20_000, "{name} holds {} bytes", bytes.len());
}

#[test]
fn what_the_picture_of_a_failing_house_says() {
    let files = drawn("foil-garage", 1, &[]);
    insta::assert_snapshot!(summary(&svg_text(&files, "foil-garage-level0.svg")));
}

#[test]
fn what_the_picture_of_a_house_in_feet_says() {
    let files = drawn("bungalow", 0, &[]);
    insta::assert_snapshot!(summary(&svg_text(&files, "bungalow-level0.svg")));
}

#[test]
fn no_byte_depends_on_the_run_or_the_number_of_threads() {
    let plan = shipped("foil-garage");
    let run = |place: &Path, threads: &str| {
        let options = ["check", &plan, "--format", "json", "--cell", "0.2", "--out", "out"];
        (run_with(threads, place, &options).ends(1).out, contents(&place.join("out")))
    };
    let places = [folder(), folder()];
    let first = run(places[0].path(), "1");
    assert_eq!(first.1.len(), 2);
    for (place, threads) in [(&places[1], "2"), (&places[0], "2"), (&places[0], "7")] {
        let again = run(place.path(), threads);
        assert_eq!(first.0, again.0, "JSON with {threads} threads");
        for (name, bytes) in &first.1 {
            assert!(again.1[name] == *bytes, "{name} with {threads} threads");
        }
        assert_eq!(again.1.len(), first.1.len(), "old files are replaced, none is added");
    }
}
