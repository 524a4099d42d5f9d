//! What people read: tables, catalogue and help.

use crate::run::{on, run};

#[test]
fn a_sound_house_ends_with_0_and_its_table() {
    insta::assert_snapshot!(on("bungalow", "check", &[]).ends(0).out);
}

#[test]
fn a_house_with_failing_sensors_ends_with_1_and_its_table() {
    insta::assert_snapshot!(on("foil-garage", "check", &[]).ends(1).out);
}

#[test]
fn the_catalogue() {
    insta::assert_snapshot!(run(&["catalogue"]).ends(0).out);
}

#[test]
fn the_catalogue_with_its_sources() {
    let plain = run(&["catalogue"]).ends(0).out;
    let full = run(&["catalogue", "--sources"]).ends(0).out;
    let hint = "`drillonce catalogue --sources`";
    assert!(plain.contains(hint) && !full.contains(hint));
    // The tables are the same; the sources come between and after them.
    for line in plain.lines().filter(|line| !line.contains(hint)) {
        assert!(full.contains(line), "{line}");
    }
    // Every construction and every link of the tables has its sources.
    let rows = |from: &str| -> Vec<String> {
        plain
            .lines()
            .skip_while(|line| !line.trim_start().starts_with(from))
            .skip(1)
            .take_while(|line| !line.is_empty())
            .filter_map(|line| line.split_whitespace().next().map(str::to_owned))
            .collect()
    };
    let (constructions, links) = (rows("construction "), rows("link "));
    assert!(constructions.len() >= 25, "{constructions:?}");
    assert!(links.len() >= 7, "{links:?}");
    for name in &constructions {
        assert!(full.contains(&format!("\n{name}\n  layers: ")), "{name}");
    }
    for name in &links {
        assert!(full.contains(&format!("\n{name}\n  frequency: ")), "{name}");
    }
    let empty: Vec<&str> = full
        .lines()
        .filter(|line| line.starts_with("  ") && line.trim_end().ends_with(':'))
        .collect();
    assert_eq!(empty, Vec::<&str>::new(), "sources that say nothing");
}

#[test]
fn help() {
    insta::assert_snapshot!("help", run(&["--help"]).ends(0).out);
    insta::assert_snapshot!("help_of_check", run(&["check", "--help"]).ends(0).out);
    let nothing = run(&[]).ends(2);
    assert!(nothing.err.contains("Usage: drillonce"), "{}", nothing.err);
}

#[test]
fn the_version_is_the_package_s() {
    let version = run(&["--version"]).ends(0).out;
    assert_eq!(version.trim(), concat!("drillonce ", env!("CARGO_PKG_VERSION")));
}

#[test]
fn help_on_a_topic_is_its_guide_and_an_unknown_topic_names_them_all() {
    let topics = [("plan", "README.md"), ("readings", "READINGS.md"), ("tape", "tape/README.md")];
    for (topic, file) in topics {
        let guide = std::fs::read_to_string(fixtures::floorplans().join(file)).unwrap();
        assert_eq!(run(&["help", topic]).ends(0).out, guide);
    }
    assert!(
        run(&["help", "members"]).ends(0).out.contains("| `construction` * | construction name |")
    );
    run(&["help", "plant"]).refused(&["\"plant\"", "members, plan, readings", "prices"]);
    // A command's help stays that of the command.
    assert_eq!(run(&["help", "quote"]).out, run(&["quote", "--help"]).ends(0).out);
    run(&["plan"]).refused(&["unrecognized subcommand"]);
}
