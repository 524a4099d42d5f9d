//! However the program ends, no edit is lost.

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use crate::client::{Page, moves, parts, settings};
use crate::tape::{LIST, typed};
use forecast::vocabulary;
use plan::read_file;
use serde_json::json;
use serve::{Opened, serve};

const PLAN: &str = "SERVED_PLAN";

/// Not a test of its own: what the other tests here start as a process, to end it from outside.
#[test]
fn a_server_for_the_other_tests() {
    let Some(plan) = std::env::var_os(PLAN) else { return };
    let plan = PathBuf::from(plan);
    let opened = if plan.is_dir() { Opened::New(plan) } else { Opened::File(plan) };
    let done = serve(&settings(opened), |address| eprintln!("{address}"));
    if let Err(error) = done {
        eprintln!("refused: {error}");
    }
}

/// A server in a process of its own, and the first line that it says.
fn start(plan: &Path) -> (Child, String) {
    let program = std::env::current_exe().unwrap();
    let name = "ending::a_server_for_the_other_tests";
    let mut child = Command::new(program)
        .args(["--exact", name, "--nocapture"])
        .env(PLAN, plan)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stderr.take().unwrap()).read_line(&mut line).unwrap();
    (child, line)
}

struct Place {
    _folder: tempfile::TempDir,
    plan: PathBuf,
    panel: String,
}

impl Place {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let plan = folder.path().join("plan.geojson");
        fs::copy(fixtures::floorplan("workshop"), &plan).unwrap();
        let panel = read_file(&plan, &vocabulary()).unwrap().plan.panel().unwrap().id.clone();
        Self { _folder: folder, plan, panel }
    }

    fn beside(&self, ending: &str) -> PathBuf {
        self.plan.with_file_name(format!(".plan.geojson.drillonce-{ending}"))
    }

    fn page(line: &str) -> Page {
        let (port, key) = parts(line);
        Page::at(port, &key, "t")
    }
}

#[test]
fn killed_in_the_middle_of_edits_and_started_again() {
    let place = Place::new();
    let first = fs::read(&place.plan).unwrap();
    let (mut child, line) = start(&place.plan);
    let mut page = Place::page(&line);
    for seq in 1..=20_u32 {
        page.say(&moves("edit", seq, &place.panel, [2.0 + f64::from(seq) * 0.05, 2.0]));
    }
    page.wait_for("plan", |plan| plan["version"] == 15);
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(fs::read(&place.plan).unwrap(), first, "the plan's own file is as it was");
    let kept = fs::read(place.beside("edit")).unwrap();
    let read = plan::read("kept", &kept, &vocabulary()).unwrap();
    assert!(read.plan.panel().unwrap().position.x >= 2.7 - 1e-9, "at least 14 edits are kept");

    let (mut child, line) = start(&place.plan);
    let mut page = Place::page(&line);
    let shown = page.wait("plan");
    assert_eq!((&shown["undo"], &shown["unsaved"]), (&json!(1), &json!(1)));
    assert!(page.wait("elsewhere")["what"].as_str().unwrap().contains("not saved"));
    page.say(&json!({"type": "undo"}));
    page.wait_for("plan", |plan| plan["unsaved"] == 0);
    assert!(!place.beside("edit").exists());
    page.say(&json!({"type": "redo"}));
    page.wait_for("plan", |plan| plan["unsaved"] == 1);
    assert_eq!(fs::read(place.beside("edit")).unwrap(), kept);
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    assert_eq!(fs::read(&place.plan).unwrap(), kept);
    child.kill().unwrap();
    child.wait().unwrap();
}

#[test]
fn edits_of_a_file_that_was_changed_since_are_never_written_over_it() {
    let place = Place::new();
    let (mut child, line) = start(&place.plan);
    let mut page = Place::page(&line);
    page.say(&moves("edit", 1, &place.panel, [2.0, 2.0]));
    page.wait_for("plan", |plan| plan["version"] == 2);
    child.kill().unwrap();
    child.wait().unwrap();
    let newer = fs::read_to_string(fixtures::floorplan("bungalow")).unwrap();
    fs::write(&place.plan, &newer).unwrap();
    let (mut child, line) = start(&place.plan);
    let mut page = Place::page(&line);
    let said = page.wait("elsewhere");
    assert!(said["what"].as_str().unwrap().contains("changed since"), "{said}");
    page.say(&json!({"type": "save", "as": null}));
    page.wait("elsewhere");
    assert_eq!(fs::read_to_string(&place.plan).unwrap(), newer);
    child.kill().unwrap();
    child.wait().unwrap();
}

#[test]
fn a_second_process_is_sent_to_the_first() {
    let place = Place::new();
    let (mut child, line) = start(&place.plan);
    let (mut second, refused) = start(&place.plan);
    assert!(refused.starts_with("refused: "), "{refused}");
    assert!(refused.contains(line.trim()), "{refused}");
    second.wait().unwrap();
    Place::page(&line).wait("plan");
    child.kill().unwrap();
    child.wait().unwrap();
    let (mut third, line) = start(&place.plan);
    Place::page(&line).wait("plan");
    third.kill().unwrap();
    third.wait().unwrap();
}

#[test]
fn a_plan_without_a_file_is_found_again() {
    let folder = tempfile::tempdir().unwrap();
    let beside = |name: &str| folder.path().join(format!(".unnamed-plan.drillonce-{name}"));
    let (mut child, line) = start(folder.path());
    let mut page = Place::page(&line);
    page.say(&json!({"type": "start", "with": "example", "name": "workshop"}));
    page.wait_for("plan", |plan| plan["undo"] == 1);
    let (mut second, refused) = start(folder.path());
    assert!(refused.contains("is open already") && refused.contains(line.trim()), "{refused}");
    second.wait().unwrap();
    child.kill().unwrap();
    child.wait().unwrap();
    let workshop = fs::read_to_string(fixtures::floorplan("workshop")).unwrap();
    assert_eq!(fs::read_to_string(beside("edit")).unwrap(), workshop);

    let (mut child, line) = start(folder.path());
    let mut page = Place::page(&line);
    let shown = page.wait("plan");
    assert_eq!((&shown["undo"], &shown["file"]), (&json!(1), &json!(null)));
    assert_eq!(shown["name"], "Joinery workshop");
    assert!(page.wait("elsewhere")["what"].as_str().unwrap().contains("not saved"));
    page.say(&json!({"type": "save", "as": "shop.geojson"}));
    page.wait("saved");
    assert_eq!(fs::read_to_string(folder.path().join("shop.geojson")).unwrap(), workshop);
    assert!(!beside("edit").exists() && !beside("lock").exists());
    assert!(folder.path().join(".shop.geojson.drillonce-lock").is_file());
    child.kill().unwrap();
    child.wait().unwrap();
}

#[cfg(unix)]
#[test]
fn ctrl_c_ends_it_and_keeps_the_working_copy() {
    let interrupt = |child: &Child| {
        let done = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
        assert!(done.unwrap().success());
    };
    let place = Place::new();
    let (mut child, line) = start(&place.plan);
    let mut page = Place::page(&line);
    page.say(&moves("edit", 1, &place.panel, [2.0, 2.0]));
    page.table(1);
    interrupt(&child);
    assert!(child.wait().unwrap().success());
    while page.next().is_some() {}
    assert!(place.beside("edit").is_file());
    fs::remove_file(place.beside("edit")).unwrap();

    let (mut child, line) = start(&place.plan);
    Place::page(&line).wait("plan");
    interrupt(&child);
    assert!(child.wait().unwrap().success());
    assert!(!place.beside("edit").exists());
    assert!(!place.beside("lock").exists(), "nothing is left behind where nothing was changed");
}

#[test]
fn a_list_that_is_not_saved_outlives_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let asked = |page: &mut Page| {
        page.say(&json!({"type": "tape", "seq": 9}));
        page.wait_for("tape", |answer| answer["number"] == 9)["text"].as_str().unwrap().to_owned()
    };
    let hidden = folder.path().join(".unnamed-plan.drillonce-list");
    let (mut child, line) = start(folder.path());
    let (port, key) = parts(&line);
    let mut page = Page::at(port, &key, "t");
    typed(&mut page, 1, "room Hall 2.0 x");
    typed(&mut page, 2, LIST);
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(fs::read_to_string(&hidden).unwrap(), LIST);
    let (mut child, line) = start(folder.path());
    let (port, key) = parts(&line);
    let mut page = Page::at(port, &key, "t");
    assert_eq!(asked(&mut page), LIST);
    page.say(&json!({"type": "use", "text": LIST}));
    page.wait("used");
    // Typed on, and not used: the plan's file gets what it was made of, and the rest is kept.
    let more = format!("{LIST}room Store 2 x 2 left-of Hall\n");
    typed(&mut page, 3, &more);
    page.say(&json!({"type": "save", "as": "plan.geojson"}));
    page.wait("saved");
    assert!(!hidden.exists());
    assert_eq!(fs::read_to_string(folder.path().join("plan.txt")).unwrap(), LIST);
    let hidden = folder.path().join(".plan.geojson.drillonce-list");
    assert_eq!(fs::read_to_string(&hidden).unwrap(), more);
    page.say(&json!({"type": "use", "text": more}));
    page.wait("used");
    page.say(&json!({"type": "save", "as": null}));
    page.wait("saved");
    assert!(!hidden.exists());
    assert_eq!(asked(&mut page), more);
    child.kill().unwrap();
    child.wait().unwrap();
}
