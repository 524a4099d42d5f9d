//! What the guides show is what the program does.

use std::fs;

use fixtures::root;

use crate::run::{on, run_in};

const GUIDES: [&str; 9] = [
    "README.md",
    "floorplans/README.md",
    "floorplans/READINGS.md",
    "floorplans/drawing/README.md",
    "floorplans/map/README.md",
    "floorplans/model/README.md",
    "floorplans/quote/README.md",
    "floorplans/tape/README.md",
    "output/readme/README.md",
];

fn guide(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap()
}

/// The fenced blocks of a guide: kind and text.
fn blocks(text: &str) -> Vec<(String, String)> {
    let fenced = text.split("```").skip(1).step_by(2);
    fenced
        .map(|block| {
            let (kind, text) = block.split_once('\n').unwrap();
            (kind.to_owned(), text.to_owned())
        })
        .collect()
}

/// The arguments of the last command in a block, as a shell splits them.
fn last_command(block: &str) -> Option<Vec<String>> {
    let mut commands = block.lines().filter_map(|line| {
        line.strip_prefix("$ drillonce ").or(line.strip_prefix("$ cargo run --release -- "))
    });
    let quoted = commands.next_back()?.split('"').enumerate();
    let words = quoted.flat_map(|(number, part)| match number % 2 {
        0 => part.split_whitespace().map(str::to_owned).collect(),
        _ => vec![part.to_owned()],
    });
    Some(words.collect())
}

#[test]
fn every_result_shown_is_the_programs_own() {
    let mut shown = Vec::new();
    for name in GUIDES {
        let blocks = blocks(&guide(name));
        for pair in blocks.windows(2) {
            let [(console, commands), (text, result)] = pair else { unreachable!() };
            if console != "console" || text != "text" {
                continue;
            }
            let mut arguments = last_command(commands).unwrap();
            let folder = tempfile::tempdir().unwrap();
            let written = folder.path().join("plan.geojson").display().to_string();
            arguments.push("--no-pictures".to_owned());
            if arguments[0] == "import" {
                arguments.extend(["--write".to_owned(), written]);
            }
            let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
            let run = run_in(root(), &arguments);
            let printed = run.out;
            assert!(
                printed.starts_with(result.trim_end()),
                "{name} shows\n{result}\nit is\n{printed}"
            );
            shown.push((arguments[0].to_owned(), run.code.unwrap()));
        }
    }
    for wanted in [
        ("check", 1),
        ("place", 0),
        ("repeaters", 0),
        ("explain", 1),
        ("diagnose", 1),
        ("import", 0),
    ] {
        assert!(shown.iter().any(|(name, code)| (name.as_str(), *code) == wanted), "{wanted:?}");
    }
}

#[test]
fn the_readme_is_short_and_holds_the_cautions() {
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let readme = guide("README.md");
    assert!(readme.lines().count() <= 250);
    assert!(guide("DEVELOPERS.md").lines().count() <= 200);
    for caution in on("bungalow", "check", &[]).out.lines().rev().take(3) {
        assert!(words(&readme).contains(&words(caution)), "the README lacks: {caution}");
    }
}

#[test]
fn every_file_that_a_guide_imports_is_shipped_and_becomes_a_plan() {
    let folder = tempfile::tempdir().unwrap();
    let texts: Vec<String> = GUIDES.iter().map(|name| guide(name)).collect();
    let mut files: Vec<&str> = texts
        .iter()
        .flat_map(|text| text.lines())
        .filter_map(|line| line.strip_prefix("$ drillonce import floorplans/"))
        .map(|command| command.split(' ').next().unwrap())
        .collect();
    files.sort_unstable();
    files.dedup();
    assert_eq!(files.len(), 4);
    for (number, file) in files.iter().enumerate() {
        let file = root().join("floorplans").join(file);
        let plan = folder.path().join(format!("{number}.geojson"));
        let (file, plan) = (file.to_str().unwrap(), plan.to_str().unwrap());
        let arguments = ["import", file, "--write", plan, "--contacts", "--no-pictures"];
        let run = run_in(root(), &arguments);
        assert_eq!(run.code, Some(0), "{run:?}");
        let run = run_in(folder.path(), &["tidy", plan]);
        assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
    }
}

#[test]
fn the_smallest_plan_can_be_checked_and_its_faults_are_said() {
    let folder = tempfile::tempdir().unwrap();
    let text_of = |name: &str, kind: &str, holds: &str| {
        let blocks = blocks(&guide(name));
        let block = blocks.into_iter().find(|(of, text)| of == kind && text.contains(holds));
        block.unwrap_or_else(|| panic!("{name} has no {kind} with {holds}")).1
    };
    let plan = text_of("README.md", "json", "FeatureCollection");
    fs::write(folder.path().join("plan.geojson"), &plan).unwrap();
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
    let said = text_of("floorplans/README.md", "text", "brik-half");
    assert_eq!(run_in(folder.path(), &["check", "plan.geojson"]).ends(2).err, said);
}

#[test]
fn pictures_and_links_lead_somewhere() {
    for name in GUIDES.iter().chain(&["DEVELOPERS.md"]) {
        let text = guide(name);
        let folder = root().join(name).parent().unwrap().to_owned();
        for target in text.split("](").skip(1).map(|part| part.split(')').next().unwrap()) {
            let path = folder.join(target.split('#').next().unwrap());
            assert!(target.starts_with("https://") || path.exists(), "{name} points at {target}");
        }
    }
}
