//! Running the program as a user or a script does, and reading what it says.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// The program under test.
pub const PROGRAM: &str = env!("CARGO_BIN_EXE_drillonce");

/// The path of a shipped plan.
pub use fixtures::floorplan as shipped;

/// What a run left behind.
#[derive(Debug)]
pub struct Run {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

impl Run {
    /// The run's outcome; see [`output_of`].
    pub fn of(command: &mut Command) -> Self {
        let output = output_of(command);
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Self { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
    }

    /// Checks the exit code, and that a run without complaint is silent on standard error and one
    /// that did not work anything out prints no result.
    #[track_caller]
    pub fn ends(self, code: i32) -> Self {
        assert_eq!(self.code, Some(code), "{self:?}");
        assert_eq!(self.err.is_empty(), code < 2, "{self:?}");
        assert!(code != 2 || self.out.is_empty(), "{self:?}");
        self
    }

    /// Checks that a run is refused as bad usage, and what it says.
    #[track_caller]
    pub fn refused(self, says: &[&str]) {
        let err = self.ends(2).err;
        for part in says {
            assert!(err.contains(part), "{part:?} is not in {err}");
        }
    }

    /// The JSON that a run without complaint printed.
    #[track_caller]
    pub fn json(self) -> Value {
        assert!(matches!(self.code, Some(0 | 1)), "{self:?}");
        assert_eq!(self.err, "");
        json_of(&self.out)
    }

    /// The rows of the CSV that a run printed, each by its header.
    pub fn rows(&self) -> Vec<Vec<(String, String)>> {
        let mut reader = csv::Reader::from_reader(self.out.as_bytes());
        let header = reader.headers().unwrap().clone();
        let pair = |(name, cell): (&str, &str)| (name.to_owned(), cell.to_owned());
        let row = |row: csv::StringRecord| header.iter().zip(&row).map(pair).collect();
        reader.records().map(|record| row(record.unwrap())).collect()
    }
}

/// What a command left behind that was run without a terminal, after a check that no panic's text
/// got out.
pub fn output_of(command: &mut Command) -> Output {
    let command = command.stdin(Stdio::null());
    let output = command.env_remove("COLUMNS").env_remove("LINES").env_remove("RUST_BACKTRACE");
    let output = output.output().unwrap();
    assert!(!String::from_utf8_lossy(&output.stderr).contains("panicked"), "{output:?}");
    output
}

/// Runs the program in a folder with as many threads.
pub fn run_with(threads: &str, folder: &Path, arguments: &[&str]) -> Run {
    let mut command = Command::new(PROGRAM);
    Run::of(command.current_dir(folder).env("RAYON_NUM_THREADS", threads).args(arguments))
}

/// What a command prints as JSON and writes for a shipped plan with as many threads.
pub fn made_with(
    threads: &str,
    command: &str,
    plan: &str,
    options: &[&str],
) -> (String, BTreeMap<String, Vec<u8>>) {
    let (place, plan) = (folder(), shipped(plan));
    let usual = [command, &plan, "--format", "json", "--out", "."];
    let run = run_with(threads, place.path(), &[&usual, options].concat());
    assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
    (run.out, contents(place.path()))
}

/// Runs the program in a folder.
pub fn run_in(folder: &Path, arguments: &[&str]) -> Run {
    Run::of(Command::new(PROGRAM).current_dir(folder).args(arguments))
}

/// Runs the program in an empty folder and checks that it left the folder empty.
pub fn run(arguments: &[&str]) -> Run {
    let place = folder();
    let run = run_in(place.path(), arguments);
    assert_eq!(contents(place.path()), BTreeMap::new(), "{arguments:?}");
    run
}

/// Runs a command on a shipped plan without pictures.
pub fn on(plan: &str, command: &str, options: &[&str]) -> Run {
    run(&[&[command, &shipped(plan), "--no-pictures"], options].concat())
}

/// The JSON of a command on a shipped plan.
#[track_caller]
pub fn told(plan: &str, command: &str, options: &[&str]) -> Value {
    on(plan, command, &[&["--format", "json"], options].concat()).json()
}

/// The JSON of `check` on a shipped plan.
#[track_caller]
pub fn report(plan: &str, options: &[&str]) -> Value {
    told(plan, "check", options)
}

/// A folder of one test's own.
pub fn folder() -> TempDir {
    tempfile::tempdir().unwrap()
}

/// A folder of one test's own with a file in it.
pub fn folder_with(name: &str, text: &str) -> TempDir {
    let place = folder();
    fs::write(place.path().join(name), text).unwrap();
    place
}

/// A shipped plan, changed, in a folder of its own, under the name plan.geojson.
pub fn changed(plan: &str, change: impl FnOnce(&mut Vec<Value>)) -> TempDir {
    let mut plan = plan_json(plan);
    change(plan["features"].as_array_mut().unwrap());
    folder_with("plan.geojson", &plan.to_string())
}

/// A text as JSON.
#[track_caller]
pub fn json_of(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|why| panic!("{why}: {text}"))
}

/// A shipped plan as JSON.
pub fn plan_json(plan: &str) -> Value {
    json_of(&fs::read_to_string(shipped(plan)).unwrap())
}

/// The file in which a folder keeps of which plan its files are.
pub const RECORD: &str = ".drillonce.json";

/// Everything in a folder but its record: names and bytes; folders have none.
pub fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let bytes = |path: &Path| if path.is_dir() { Vec::new() } else { fs::read(path).unwrap() };
    names(folder).into_iter().map(|name| (name.clone(), bytes(&folder.join(name)))).collect()
}

/// The names of what is in a folder, sorted, but its record.
pub fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
    let names = entries.map(|name| name.into_string().unwrap());
    let mut names: Vec<String> = names.filter(|name| name != RECORD).collect();
    names.sort_unstable();
    names
}

/// The sensors of a report.
pub fn sensors(report: &Value) -> &[Value] {
    list(report, "sensors")
}

/// The devices of a report, sensors and others.
pub fn devices(report: &Value) -> impl Iterator<Item = &Value> {
    sensors(report).iter().chain(list(report, "devices"))
}

/// The row of a list with an id.
#[track_caller]
pub fn by_id<'v>(mut rows: impl Iterator<Item = &'v Value>, id: &str) -> &'v Value {
    rows.find(|row| row["id"] == id).unwrap_or_else(|| panic!("no {id}"))
}

/// The sensor with an id.
#[track_caller]
pub fn sensor<'v>(report: &'v Value, id: &str) -> &'v Value {
    by_id(sensors(report).iter(), id)
}

/// A member that is a list.
#[track_caller]
pub fn list<'v>(value: &'v Value, member: &str) -> &'v [Value] {
    value[member].as_array().unwrap_or_else(|| panic!("{member} is a list in {value}"))
}

/// A member that is a number.
#[track_caller]
pub fn number(value: &Value, member: &str) -> f64 {
    value[member].as_f64().unwrap_or_else(|| panic!("{member} is a number in {value}"))
}

/// A member that is a text.
#[track_caller]
pub fn text<'v>(value: &'v Value, member: &str) -> &'v str {
    value[member].as_str().unwrap_or_else(|| panic!("{member} is a text in {value}"))
}

/// A member that is a list of numbers.
#[track_caller]
pub fn numbers(value: &Value, member: &str) -> Vec<f64> {
    list(value, member).iter().map(|one| one.as_f64().unwrap()).collect()
}

/// Checks that two numbers agree.
#[track_caller]
pub fn close(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: {got} is not {want} within {tolerance}");
}
