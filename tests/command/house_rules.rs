//! The layout of the house, checked: who imports whom, how long files are.

use std::fs;
use std::path::{Path, PathBuf};

/// Modules in the order in which data flows; each may import from those before it.
const FLOW: [&str; 16] = [
    "units", "plan", "import", "trace", "radio", "budget", "place", "explain", "diagnose",
    "schedule", "draw", "wording", "pricing", "document", "report", "command",
];

/// Imports that the flow would allow and the layout forbids.
const FORBIDDEN: [(&str, &[&str]); 5] = [
    // Physics knows nothing of plans or geometry.
    ("radio", &["plan", "trace"]),
    // The reader learns of names from its caller.
    ("plan", &["trace", "radio"]),
    // Drawing knows margins, not physics.
    ("draw", &["plan", "trace", "radio", "budget", "place", "explain", "diagnose"]),
    // Readings are held against the forecast of what is there, not of what might be.
    ("diagnose", &["place", "explain"]),
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

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The module that a file of `src` belongs to.
fn module(path: &Path) -> String {
    let inside = path.strip_prefix(root().join("src")).unwrap();
    let first = inside.components().next().unwrap().as_os_str().to_string_lossy().into_owned();
    first.trim_end_matches(".rs").to_owned()
}

#[test]
fn imports_run_down_the_flow_only() {
    let mut seen = 0;
    for path in rust_files(&root().join("src")) {
        let module = module(&path);
        let Some(place) = FLOW.iter().position(|name| *name == module) else {
            continue;
        };
        let text = fs::read_to_string(&path).unwrap();
        for (number, name) in FLOW.iter().enumerate() {
            if !text.contains(&format!("crate::{name}")) || *name == module {
                continue;
            }
            seen += 1;
            let forbidden =
                FORBIDDEN.iter().any(|(from, names)| *from == module && names.contains(name));
            assert!(number < place && !forbidden, "{} imports crate::{name}", path.display());
        }
    }
    assert!(seen > 20, "only {seen} imports found: does the test still see the files?");
}

#[test]
fn no_file_is_too_long() {
    let mut files = rust_files(&root().join("src"));
    files.extend(rust_files(&root().join("tests")));
    assert!(files.len() > 50);
    for path in files {
        let lines = fs::read_to_string(&path).unwrap().lines().count();
        assert!(lines <= LONGEST_FILE, "{} has {lines} lines", path.display());
    }
}

#[test]
fn only_the_command_module_prints_or_reads_the_command_line() {
    for path in rust_files(&root().join("src")) {
        if module(&path) == "command" || path.ends_with("tests.rs") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        for word in ["use clap", "indicatif", "std::env::", "println!(", "std::process::exit"] {
            assert!(!text.contains(word), "{} contains {word}", path.display());
        }
    }
}
