//! What the README shows is what the program does.

use std::fs;

use fixtures::root;

use crate::run::{folder, folder_with, run_in};

fn readme() -> String {
    fs::read_to_string(root().join("README.md")).unwrap()
}

/// The blocks of the README between fences of a kind.
fn blocks(kind: &str) -> Vec<String> {
    let text = readme();
    let fence = format!("```{kind}\n");
    let mut parts = text.split(&fence);
    parts.next();
    parts.map(|part| part.split("```").next().unwrap().to_owned()).collect()
}

/// Checks that a block of the README shows what a run from the root prints, and how that ends.
#[track_caller]
fn shows(block: usize, arguments: &[&str], code: i32) -> String {
    let printed = run_in(root(), arguments).ends(code).out;
    let shown = &blocks("text")[block];
    assert!(printed.starts_with(shown.trim_end()), "the README shows\n{shown}\nit is\n{printed}");
    printed
}

#[test]
fn the_table_is_the_programs_own() {
    let plan = "floorplans/foil-garage.geojson";
    let printed = shows(0, &["check", plan, "--no-pictures"], 1);
    for caution in printed.lines().rev().take(3) {
        assert!(readme().contains(caution), "the README lacks: {caution}");
    }
}

#[test]
fn the_other_results_are_the_programs_own() {
    let garage = "floorplans/foil-garage.geojson";
    for (block, arguments, code) in [
        (1, vec!["place", "floorplans/workshop.geojson"], 0),
        (2, vec!["repeaters", "floorplans/annexe.geojson"], 0),
        (3, vec!["explain", garage, "13"], 1),
        (4, vec!["diagnose", garage, "--readings", "floorplans/foil-garage-readings.csv"], 1),
    ] {
        let arguments = [arguments, vec!["--no-pictures"]].concat();
        shows(block, &arguments, code);
    }
}

#[test]
fn the_report_of_an_import_is_the_programs_own() {
    let folder = folder();
    let plan = folder.path().join("cottage.geojson");
    let list = "floorplans/tape/heron-cottage.txt";
    shows(5, &["import", list, "--write", plan.to_str().unwrap()], 0);
}

#[test]
fn every_file_that_it_imports_is_shipped_and_becomes_a_plan() {
    let folder = folder();
    let text = readme();
    let commands: Vec<&str> = text
        .lines()
        .filter_map(|line| line.strip_prefix("$ drillonce import floorplans/"))
        .collect();
    assert_eq!(commands.len(), 4);
    for (number, command) in commands.iter().enumerate() {
        let file = command.split(' ').next().unwrap();
        let file = root().join("floorplans").join(file);
        let plan = folder.path().join(format!("{number}.geojson"));
        let (file, plan) = (file.to_str().unwrap(), plan.to_str().unwrap());
        run_in(root(), &["import", file, "--write", plan, "--contacts"]).ends(0);
        let tidy = run_in(folder.path(), &["tidy", plan]);
        assert!(matches!(tidy.code, Some(0 | 1)), "{tidy:?}");
    }
}

#[test]
fn the_smallest_plan_can_be_checked_and_its_faults_are_said() {
    let plan = blocks("json")[0].clone();
    let folder = folder_with("plan.geojson", &plan);
    run_in(folder.path(), &["check", "plan.geojson"]).ends(0);
    assert!(folder.path().join("output/plan-level0.png").is_file());

    let door = r#"},
  {"type": "Feature", "id": "door", "properties": {"kind": "opening", "construction": "door-hollow"},
   "geometry": {"type": "LineString", "coordinates": [[5, 1], [5, 1.9]]}}]}"#;
    let spoilt = plan
        .replace("brick-half", "brik-half")
        .replace("inner", "hall")
        .replace("\"number\": 1", "\"number\": 1, \"hieght\": 2")
        .replace("}]}", door);
    fs::write(folder.path().join("plan.geojson"), spoilt).unwrap();
    let said = run_in(folder.path(), &["check", "plan.geojson"]).ends(2).err;
    assert_eq!(said, blocks("text")[6]);
}

#[test]
fn its_pictures_and_links_are_there() {
    let text = readme();
    for target in text.split("](").skip(1).map(|part| part.split(')').next().unwrap()) {
        assert!(
            target.starts_with("https://") || root().join(target).is_file(),
            "the README points at {target}"
        );
    }
}
