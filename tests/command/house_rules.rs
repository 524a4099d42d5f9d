//! The layout of the house, checked: which crate may use which, how long files are.

use std::fs;
use std::path::{Path, PathBuf};

use fixtures::root;

/// What crates of the house may never depend on; that nothing goes round in a circle, Cargo sees
/// to.
const FORBIDDEN: [(&str, &[&str]); 5] = [
    // Physics knows nothing of plans or geometry.
    ("radio", &["plan", "trace"]),
    // The reader learns of names from its caller.
    ("plan", &["trace", "radio"]),
    // Drawing knows margins, not physics.
    ("draw", &["plan", "trace", "radio", "forecast", "siting", "explain", "diagnose"]),
    // Readings are held against the forecast of what is there, not of what might be.
    ("diagnose", &["siting", "explain"]),
    ("report", &["draw"]),
];

const LONGEST_FILE: usize = 500;

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() && !path.ends_with("target") {
            found.extend(rust_files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

#[test]
fn no_crate_depends_on_what_it_must_not_know() {
    for (name, forbidden) in FORBIDDEN {
        let manifest = root().join(format!("src/{name}/Cargo.toml"));
        let manifest = fs::read_to_string(manifest).unwrap();
        assert!(manifest.contains(&format!("name = \"drillonce-{name}\"")));
        for other in forbidden {
            assert!(!manifest.contains(&format!("drillonce-{other}.")), "{name} knows {other}");
        }
    }
}

#[test]
fn no_file_is_too_long() {
    let files = [rust_files(&root().join("src")), rust_files(&root().join("tests"))].concat();
    assert!(files.len() > 50);
    for path in files {
        let lines = fs::read_to_string(&path).unwrap().lines().count();
        assert!(lines <= LONGEST_FILE, "{} has {lines} lines", path.display());
    }
}

#[test]
fn only_the_command_line_prints_or_reads_the_command_line() {
    let mut seen = 0;
    for path in rust_files(&root().join("src")) {
        // The example on the front page prints.
        let is_test = path.ends_with("tests.rs") || path == root().join("src/lib.rs");
        if is_test || path.starts_with(root().join("src/cli")) {
            continue;
        }
        seen += 1;
        let text = fs::read_to_string(&path).unwrap();
        for word in ["use clap", "indicatif", "std::env::", "println!(", "std::process::exit"] {
            assert!(!text.contains(word), "{} contains {word}", path.display());
        }
    }
    assert!(seen > 50, "only {seen} files: does the test still see the house?");
}
