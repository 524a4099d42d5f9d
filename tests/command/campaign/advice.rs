//! What messages advise can be done: an option that one names is one of the command that runs, or
//! of the command that stands before it in backticks.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use fixtures::root;

use super::{EVERY, site};
use crate::run::{PROGRAM, Run, plan_json, run};

/// The help of every command, by its name.
fn helps() -> BTreeMap<&'static str, String> {
    let names = EVERY.iter().map(|one| one.arguments[0]).chain(["serve"]);
    names.map(|name| (name, run(&[name, "--help"]).out)).collect()
}

/// The options that a text names, each with the word behind it.
fn options(text: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices("--") {
        let (before, rest) = (&text[..at], &text[at + 2..]);
        if before.ends_with(|c: char| c.is_alphanumeric() || c == '-') {
            continue;
        }
        let end = rest.find(|c: char| !c.is_ascii_lowercase() && c != '-').unwrap_or(rest.len());
        let name = rest[..end].trim_end_matches('-');
        if !name.is_empty() {
            let value = rest[end..].strip_prefix(' ').unwrap_or_default();
            let value = value.split(|c: char| !c.is_alphanumeric() && c != '-').next();
            found.push((name.to_owned(), value.unwrap_or_default().to_owned()));
        }
    }
    found
}

fn has(help: &str, option: &str) -> bool {
    help.split(|c: char| !c.is_alphanumeric() && c != '-').any(|word| word == format!("--{option}"))
}

/// Checks that a command has every option that its messages name.
#[track_caller]
fn can_be_done(command: &str, helps: &BTreeMap<&str, String>, run: &Run) {
    let text = format!("{}{}", run.err, run.out);
    // What stands in backticks is a command line of its own.
    for (number, part) in text.split('`').enumerate() {
        let named = part.strip_prefix("drillonce ").filter(|_| number % 2 == 1);
        let named = named.and_then(|line| line.split(' ').next());
        let help = &helps[named.unwrap_or(command)];
        for (option, value) in options(part) {
            assert!(has(help, &option), "{command} advises --{option}, which it lacks: {text}");
            if option == "format" && !value.is_empty() {
                let (_, formats) = help.split_once("--format").unwrap();
                assert!(formats.contains(&value), "{command} has no --format {value}: {text}");
            }
        }
    }
}

/// The string literals of a source, roughly: what stands between quotation marks that are not
/// escaped, comments apart.
fn literals(text: &str) -> String {
    let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
    let code: String = code.flat_map(|line| [line, "\n"]).collect();
    let tame = code.replace("\\\"", "'").replace("'\"'", "");
    tame.split('"').skip(1).step_by(2).flat_map(|literal| [literal, "\n"]).collect()
}

fn sources(folder: &Path) -> Vec<String> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(fs::read_to_string(path).unwrap());
        }
    }
    found
}

#[test]
fn every_option_that_a_message_names_is_one_of_some_command() {
    let helps = helps();
    let mut named = 0;
    for source in sources(&root().join("src")) {
        for (option, _) in options(&literals(&source)) {
            let known = helps.values().any(|help| has(help, &option));
            assert!(known || option == "release", "no command has --{option}");
            named += 1;
        }
    }
    assert!(named > 40, "only {named} options found: does the test still see the messages?");
}

/// Plans and options with which commands complain, or leave something out and say so.
fn attacks() -> Vec<(&'static str, serde_json::Value, &'static [&'static str])> {
    let without = |kinds: &[&str]| {
        let mut plan = plan_json("bungalow");
        let features = plan["features"].as_array_mut().unwrap();
        features.retain(|feature| {
            !kinds.iter().any(|kind| feature["properties"]["kind"].as_str() == Some(kind))
        });
        plan
    };
    let mut far = plan_json("bungalow");
    let last = far["features"].as_array_mut().unwrap();
    let mut wall = last.iter().find(|one| one["properties"]["kind"] == "wall").unwrap().clone();
    wall["id"] = "far-off".into();
    wall["geometry"]["coordinates"] = serde_json::json!([[900, 900], [990, 990]]);
    last.push(wall);
    vec![
        ("as it is", plan_json("bungalow"), &[]),
        ("no panel", without(&["panel"]), &[]),
        ("no outlet", without(&["outlet"]), &[]),
        ("no sensor", without(&["sensor"]), &[]),
        ("a heatmap too large", far, &["--cell", "0.1"]),
        ("an unknown link", plan_json("bungalow"), &["--link", "none"]),
        ("another site", plan_json("foil-garage"), &[]),
    ]
}

#[test]
fn what_a_command_advises_it_can_do() {
    let helps = helps();
    for (what, plan, more) in attacks() {
        for one in EVERY {
            let help = &helps[one.arguments[0]];
            if !one.arguments.contains(&"plan.geojson")
                || !more.iter().all(|word| !word.starts_with("--") || has(help, &word[2..]))
            {
                continue;
            }
            let place = site();
            fs::write(place.path().join("plan.geojson"), plan.to_string()).unwrap();
            for columns in ["40", "200"] {
                // A terminal that is narrow hides columns, and says how to see them.
                let _ = fs::remove_dir_all(place.path().join("out"));
                let mut command = Command::new(PROGRAM);
                command.current_dir(place.path()).args(one.arguments).args(more);
                let output = command.env("COLUMNS", columns).output().unwrap();
                let text = |bytes| String::from_utf8(bytes).unwrap();
                let run = Run {
                    code: output.status.code(),
                    out: text(output.stdout),
                    err: text(output.stderr),
                };
                assert!(matches!(run.code, Some(0..=3)), "{what}: {run:?}");
                can_be_done(one.arguments[0], &helps, &run);
                if run.code != Some(0) && run.code != Some(1) {
                    break;
                }
                let _ = fs::remove_file(place.path().join("new.geojson"));
            }
        }
    }
}

#[test]
fn what_a_command_advises_when_it_cannot_write_it_can_do() {
    let helps = helps();
    for one in EVERY {
        let place = site();
        for file in one.writes {
            fs::create_dir_all(place.path().join(file)).unwrap();
        }
        let run = crate::run::run_in(place.path(), one.arguments);
        can_be_done(one.arguments[0], &helps, &run);
        let _ = fs::remove_dir_all(place.path().join("out"));
        fs::write(place.path().join("out"), "").unwrap();
        let run = crate::run::run_in(place.path(), one.arguments);
        can_be_done(one.arguments[0], &helps, &run);
    }
}
