//! The whole program as a user or a script meets it: what it prints, what it writes, how it ends.

mod bad_output;
mod bad_plan;
mod contract;
mod formats;
mod import;
mod new_plan;
mod options;
mod pictures;
mod place;
mod place_options;
mod printed;
mod repeater;
mod repeaters;
mod repeaters_plans;

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// The program under test.
const PROGRAM: &str = env!("CARGO_BIN_EXE_drillonce");

/// The shipped plans.
const PLANS: [&str; 4] = ["bungalow", "brick-house", "corner-shop", "foil-garage"];

/// What a run left behind.
#[derive(Debug)]
struct Run {
    code: Option<i32>,
    out: String,
    err: String,
}

impl Run {
    /// The run's outcome after a check that no panic's text got out.
    fn of(command: &mut Command) -> Self {
        let output = command
            .stdin(Stdio::null())
            .env_remove("COLUMNS")
            .env_remove("LINES")
            .env_remove("RUST_BACKTRACE")
            .output()
            .expect("the program starts");
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("the output is UTF-8");
        let run =
            Self { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) };
        assert!(!run.err.contains("panicked"), "{run:?}");
        run
    }

    /// Checks the exit code, and that a run without complaint is silent on standard error and one
    /// with a complaint prints no result.
    fn ends(self, code: i32) -> Self {
        assert_eq!(self.code, Some(code), "{self:?}");
        if code < 2 {
            assert_eq!(self.err, "");
        } else {
            assert_eq!(self.out, "");
            assert_ne!(self.err, "");
        }
        self
    }
}

/// A folder of one test's own.
fn folder() -> TempDir {
    tempfile::tempdir().expect("a folder")
}

/// Runs the program in a folder.
fn run_in(folder: &Path, arguments: &[&str]) -> Run {
    Run::of(Command::new(PROGRAM).current_dir(folder).args(arguments))
}

/// Runs the program in an empty folder and checks that it left the folder empty.
fn run(arguments: &[&str]) -> Run {
    let place = folder();
    let run = run_in(place.path(), arguments);
    assert_eq!(contents(place.path()), BTreeMap::new(), "{arguments:?}");
    run
}

/// Runs `check` on a shipped plan without pictures.
fn check(plan: &str, options: &[&str]) -> Run {
    let path = shipped(plan);
    run(&[&["check", &path, "--no-pictures"], options].concat())
}

/// The JSON report of a shipped plan.
fn report(plan: &str, options: &[&str]) -> Value {
    let run = check(plan, &[&["--format", "json"], options].concat());
    assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
    assert_eq!(run.err, "");
    serde_json::from_str(&run.out).expect("the report is JSON")
}

/// The path of a shipped plan.
fn shipped(plan: &str) -> String {
    format!("{}/floorplans/{plan}.geojson", env!("CARGO_MANIFEST_DIR"))
}

/// A shipped plan as JSON.
fn plan_json(plan: &str) -> Value {
    let text = fs::read_to_string(shipped(plan)).expect("the plan is there");
    serde_json::from_str(&text).expect("the plan is JSON")
}

/// Everything in a folder: names and bytes; folders have none.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    fs::read_dir(folder)
        .expect("the folder can be read")
        .map(|entry| {
            let entry = entry.expect("an entry");
            let bytes = if entry.path().is_dir() {
                Vec::new()
            } else {
                fs::read(entry.path()).expect("the file can be read")
            };
            (entry.file_name().to_string_lossy().into_owned(), bytes)
        })
        .collect()
}

/// The sensors of a report.
fn sensors(report: &Value) -> &[Value] {
    list(report, "sensors")
}

/// The sensor with an id.
fn sensor<'v>(report: &'v Value, id: &str) -> &'v Value {
    sensors(report)
        .iter()
        .find(|sensor| sensor["id"] == id)
        .unwrap_or_else(|| panic!("no sensor {id}"))
}

/// A member that is a list.
fn list<'v>(value: &'v Value, member: &str) -> &'v [Value] {
    value[member].as_array().unwrap_or_else(|| panic!("{member} is a list in {value}"))
}

/// A member that is a number.
fn number(value: &Value, member: &str) -> f64 {
    value[member].as_f64().unwrap_or_else(|| panic!("{member} is a number in {value}"))
}

/// A member that is a text.
fn text<'v>(value: &'v Value, member: &str) -> &'v str {
    value[member].as_str().unwrap_or_else(|| panic!("{member} is a text in {value}"))
}

/// Checks that two numbers agree.
#[track_caller]
fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: {got} is not {want} within {tolerance}");
}
