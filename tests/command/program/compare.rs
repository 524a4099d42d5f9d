//! `check --compare`: each link of a list, by the same figures as `check` has for it alone.

use crate::run::{list, number, on, report, run, shipped, told};

fn link<'a>(answer: &'a serde_json::Value, name: &str) -> &'a serde_json::Value {
    list(answer, "links").iter().find(|row| row["link"] == name).unwrap()
}

#[test]
fn each_link_has_the_figures_of_check_and_the_best_is_named() {
    let answer = told("foil-garage", "check", &["--compare", "us-345,us-433.92,us-345"]);
    assert_eq!(list(&answer, "links").len(), 2, "each once");
    for name in ["us-345", "us-433.92"] {
        let alone = report("foil-garage", &["--link", name]);
        let all = || list(&alone, "sensors").iter().chain(list(&alone, "devices"));
        let row = link(&answer, name);
        for finding in ["sound", "thin", "failing"] {
            let count = all().filter(|device| device["finding"] == finding).count();
            assert_eq!(number(row, finding), count as f64, "{name} {finding}");
        }
        let kept: f64 = all().map(|device| 1.0 - number(device, "fault_per_year")).product();
        assert!((number(row, "any_fault_per_year") - (1.0 - kept)).abs() < 1e-5, "{row}");
        let worst = all().map(|device| number(device, "fault_per_year")).fold(0.0, f64::max);
        assert!((number(row, "worst_fault_per_year") - worst).abs() < 1e-9, "{row}");
        let repeaters = told("foil-garage", "repeaters", &["--link", name]);
        let new = list(&repeaters, "new_repeaters").len() as f64;
        assert_eq!(number(row, "repeaters"), new, "{name}");
    }
    let chance = |name: &str| number(link(&answer, name), "any_fault_per_year");
    assert!(chance("us-433.92") < chance("us-345"));
    assert_eq!(answer["best"], "us-433.92");
}

#[test]
fn all_links_are_those_of_the_plan_s_region() {
    let answer = told("brick-house", "check", &["--compare", "all"]);
    let names = list(&answer, "links").iter().map(|row| row["link"].as_str().unwrap());
    let names: Vec<&str> = names.collect();
    assert!(names.iter().all(|name| name.starts_with("eu-") || name.starts_with("world-")));
    assert!(names.len() > 5, "{names:?}");
    let rows = on("brick-house", "check", &["--compare", "all", "--format", "csv"]).rows();
    assert_eq!(rows.len(), names.len());
}

#[test]
fn a_link_that_is_not_known_and_a_format_that_there_is_not_are_refused() {
    let plan = shipped("bungalow");
    run(&["check", &plan, "--compare", "us-345,us-999"])
        .refused(&["there is no link \"us-999\"", "us-433.92"]);
    run(&["check", &plan, "--compare", "all", "--format", "geojson"]).refused(&["no GeoJSON"]);
    run(&["check", &plan, "--compare", "all", "--link", "us-345"]).refused(&["--link"]);
}
