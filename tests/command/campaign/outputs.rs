//! Where results go: all of them take their places, or none does, and what cannot be written is
//! said before the work.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Command;

use super::{EVERY, Use, site};
use crate::run::{RECORD, Run, contents, folder, names, plan_json, run_in};

/// The commands that write into a folder.
fn with_folder() -> impl Iterator<Item = Use> {
    EVERY.into_iter().filter(|one| one.writes.first().is_some_and(|file| file.starts_with("out/")))
}

/// The arguments of a command with another folder.
fn with_out(one: &Use, out: &'static str) -> Vec<&'static str> {
    one.arguments.iter().map(|word| if *word == "out" { out } else { *word }).collect()
}

/// The arguments with which a command writes a copy of the plan, too, if it can.
fn with_copy(one: &Use) -> Vec<&'static str> {
    let mut arguments = one.arguments.to_vec();
    match one.arguments[0] {
        "place" | "repeaters" | "diagnose" => arguments.extend(["--write", "copy.geojson"]),
        "handover" => arguments.extend(["--number", "--write", "copy.geojson"]),
        _ => {}
    }
    arguments
}

/// Puts a text in a place whose folder may still have to be made.
fn put(place: &Path, text: &str) {
    fs::create_dir_all(place.parent().unwrap()).unwrap();
    fs::write(place, text).unwrap();
}

fn pipe(place: &Path) {
    assert!(Command::new("mkfifo").arg(place).status().unwrap().success());
}

/// What puts something into a place.
type Put<'a> = &'a dyn Fn(&Path);

/// What may stand in the place of a result and is not to be replaced, by what is said of it.
const OBSTACLES: [(&str, Put<'static>); 4] = [
    ("a folder has that name", &|place| fs::create_dir(place).unwrap()),
    ("not a regular file", &pipe),
    ("read-only", &|place| {
        fs::write(place, "mine").unwrap();
        let mut rights = fs::metadata(place).unwrap().permissions();
        rights.set_readonly(true);
        fs::set_permissions(place, rights).unwrap();
    }),
    ("it is a link, and", &|place| {
        std::os::unix::fs::symlink("nowhere", place).unwrap();
    }),
];

#[test]
fn one_result_that_cannot_be_written_leaves_all_as_it_was() {
    for (number, one) in with_folder().enumerate() {
        let obstacles = if number == 0 { &OBSTACLES[..] } else { &OBSTACLES[number % 4..][..1] };
        for (says, obstacle) in obstacles {
            let place = site();
            let at = |file: &str| place.path().join(file);
            let (first, others) = one.writes.split_first().unwrap();
            others.iter().for_each(|file| put(&at(file), "older"));
            fs::create_dir_all(at("out")).unwrap();
            obstacle(&at(first));
            let before = (names(place.path()), names(&at("out")));
            let run = run_in(place.path(), &with_copy(&one));
            assert_eq!(run.code, Some(3), "{run:?}");
            assert!(run.err.contains(says) && run.err.contains(first), "{run:?}");
            // What was worked out is not lost; the quote prints nothing but what it wrote.
            assert_eq!(run.out.is_empty(), one.arguments[0] == "quote", "{run:?}");
            assert_eq!((names(place.path()), names(&at("out"))), before, "{run:?}");
            for file in others {
                assert_eq!(fs::read_to_string(at(file)).unwrap(), "older", "{file}");
            }
        }
    }
}

#[test]
fn a_link_is_followed_and_stays() {
    let one = with_folder().next().unwrap();
    let place = site();
    let (link, to) = (place.path().join(one.writes[0]), place.path().join("elsewhere/map.png"));
    put(&to, "older");
    fs::create_dir_all(link.parent().unwrap()).unwrap();
    std::os::unix::fs::symlink("../elsewhere/map.png", &link).unwrap();
    run_in(place.path(), one.arguments).ends(0);
    assert!(link.is_symlink());
    assert!(fs::read(&to).unwrap().starts_with(b"\x89PNG"));
    assert_eq!(names(to.parent().unwrap()), ["map.png"]);
}

/// A folder in which every input is there and none is any good: who complains of them has begun to
/// work.
fn bad_inputs() -> tempfile::TempDir {
    let place = folder();
    for name in ["plan.geojson", "readings.csv", "house.txt"] {
        fs::write(place.path().join(name), "\u{1}").unwrap();
    }
    place
}

#[test]
fn what_cannot_be_written_is_said_before_the_work() {
    for one in with_folder() {
        let place = bad_inputs();
        put(&place.path().join("taken"), "mine");
        for out in ["taken", "taken/below", "/proc/none"] {
            let run = run_in(place.path(), &with_out(&one, out));
            assert!(run.err.starts_with(&format!("cannot write {out}: ")), "{run:?}");
            run.ends(3);
        }
        assert_eq!(names(place.path()).len(), 4);
    }
    for one in EVERY {
        let mut arguments = with_copy(&one);
        let Some(last) = arguments.iter_mut().rfind(|word| word.ends_with(".geojson")) else {
            continue;
        };
        if !matches!(*last, "copy.geojson" | "new.geojson") {
            continue;
        }
        for (to, code, says) in [
            ("plan.geojson", 2, "the file exists and is not overwritten"),
            ("nowhere/copy.geojson", 3, "there is no folder of that name"),
            ("plan.geojson/copy.geojson", 3, "plan.geojson/copy.geojson"),
        ] {
            *arguments.iter_mut().rfind(|word| word.ends_with(".geojson")).unwrap() = to;
            let run = run_in(bad_inputs().path(), &arguments);
            assert!(run.err.contains(says), "{run:?}");
            run.ends(code);
        }
    }
}

#[test]
fn a_folder_that_takes_no_file_is_said_before_the_work() {
    for one in with_folder() {
        let place = bad_inputs();
        let out = place.path().join("out");
        fs::create_dir(&out).unwrap();
        let mut rights = fs::metadata(&out).unwrap().permissions();
        rights.set_readonly(true);
        fs::set_permissions(&out, rights).unwrap();
        if File::create(out.join("probe")).is_ok() {
            println!("skipped: this user may write into any folder");
            return;
        }
        let run = run_in(place.path(), one.arguments).ends(3);
        assert!(run.err.contains("Permission denied"), "{run:?}");
    }
}

/// The folders a and b in one folder, each with a site of its own.
fn two_sites() -> tempfile::TempDir {
    let place = folder();
    for name in ["a", "b"] {
        let own = site();
        fs::create_dir(place.path().join(name)).unwrap();
        for entry in fs::read_dir(own.path()).unwrap() {
            let entry = entry.unwrap();
            fs::copy(entry.path(), place.path().join(name).join(entry.file_name())).unwrap();
        }
    }
    place
}

#[test]
fn two_plans_of_one_name_do_not_overwrite_each_other() {
    let place = two_sites();
    let (a, b) = (place.path().join("a"), place.path().join("b"));
    let shared = |one: &Use| with_out(one, "../out");
    let check = with_folder().next().unwrap();
    run_in(&a, &shared(&check)).ends(0);
    let out = place.path().join("out");
    let before = contents(&out);
    for one in with_folder() {
        let err = run_in(&b, &shared(&one)).ends(2).err;
        assert!(err.contains("another plan") && err.contains("a/plan.geojson"), "{err}");
        assert_eq!(contents(&out), before);
    }
    // The plan itself may be changed, and each may have a folder of its own.
    let named = |name: &str| {
        let mut plan = plan_json("bungalow");
        plan["name"] = name.into();
        fs::write(a.join("plan.geojson"), plan.to_string()).unwrap();
    };
    named("Another name");
    run_in(&a, &shared(&check)).ends(0);
    assert_ne!(contents(&out), before);
    run_in(&b, check.arguments).ends(0);
    // Without a record, or without the files, there is nothing to be kept.
    let record = fs::read(out.join(RECORD)).unwrap();
    fs::remove_file(out.join(RECORD)).unwrap();
    run_in(&b, &shared(&check)).ends(0);
    fs::write(out.join(RECORD), &record).unwrap();
    for name in names(&out) {
        fs::remove_file(out.join(name)).unwrap();
    }
    run_in(&b, &shared(&check)).ends(0);
    // A damaged record is none.
    fs::write(out.join(RECORD), "{\"plans\": 3").unwrap();
    run_in(&a, &shared(&check)).ends(0);
    run_in(&b, &shared(&check)).ends(2);
    // A plan that was moved is no other plan.
    fs::rename(&a, place.path().join("c")).unwrap();
    run_in(&place.path().join("c"), &shared(&check)).ends(0);
}

#[test]
fn a_copied_job_writes_over_its_own_copies() {
    let place = folder();
    let job = site();
    let check = with_folder().next().unwrap();
    run_in(job.path(), check.arguments).ends(0);
    let copied = place.path().join("copy");
    let done = Command::new("cp").arg("-r").arg(job.path()).arg(&copied).status().unwrap();
    assert!(done.success());
    run_in(&copied, check.arguments).ends(0);
}

#[test]
fn what_a_killed_run_left_over_is_removed_and_nothing_else() {
    for one in EVERY.into_iter().filter(|one| !one.writes.is_empty()) {
        let place = site();
        let out = place.path().join(one.writes[0]).parent().unwrap().to_owned();
        let left = [".drillonce-Ab3xYz", ".drillonce-Ab3xYz.old"];
        let others = [".drillonce-notes", ".drillonce-Ab3xYz.txt", ".drillonce-held01"];
        left.iter().chain(&others).for_each(|name| put(&out.join(name), "x"));
        // Another run is still writing this one.
        let held = File::open(out.join(others[2])).unwrap();
        held.lock().unwrap();
        let run = run_in(place.path(), one.arguments);
        assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
        let there = names(&out);
        let is_there = |name: &&str| there.iter().any(|other| other == name);
        assert!(!left.iter().any(is_there), "{there:?}");
        assert!(others.iter().all(is_there), "{there:?}");
    }
}

#[test]
fn files_written_again_are_the_same_and_nothing_is_left_beside_them() {
    for one in with_folder() {
        let place = site();
        let out = place.path().join("out");
        let made = || -> BTreeMap<String, Vec<u8>> {
            let run = run_in(place.path(), one.arguments);
            assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
            contents(&out)
        };
        let first = made();
        assert_eq!(first.len(), one.writes.len(), "{:?}", first.keys());
        assert!(made() == first, "{}", one.arguments[0]);
    }
}

fn handover(place: &Path) -> Run {
    let one = with_folder().find(|one| one.arguments[0] == "handover").unwrap();
    run_in(place, one.arguments)
}

#[test]
fn an_empty_sheet_of_an_older_plan_is_replaced() {
    let place = site();
    let sheet = place.path().join("out/plan-readings.csv");
    handover(place.path()).ends(0);
    let first = fs::read_to_string(&sheet).unwrap();
    let mut plan = plan_json("bungalow");
    plan["name"] = "Another name".into();
    fs::write(place.path().join("plan.geojson"), plan.to_string()).unwrap();
    handover(place.path()).ends(0);
    let second = fs::read_to_string(&sheet).unwrap();
    assert!(second != first && second.contains("Another name"));
}

#[test]
fn whatever_may_hold_readings_is_kept() {
    let filled = |place: &Path| fs::write(place, "# by hand\nsensor,level_dbm\n1,-61\n").unwrap();
    let secret = |place: &Path| {
        filled(place);
        let rights = std::os::unix::fs::PermissionsExt::from_mode(0o000);
        fs::set_permissions(place, rights).unwrap();
    };
    let endless = |place: &Path| std::os::unix::fs::symlink("/dev/zero", place).unwrap();
    let huge = |place: &Path| File::create(place).unwrap().set_len(3 << 30).unwrap();
    let stands: [(&str, Put<'_>); 6] = [
        ("filled in", &filled),
        ("secret", &secret),
        ("pipe", &pipe),
        ("endless", &endless),
        ("huge", &huge),
        ("folder", &|place| fs::create_dir(place).unwrap()),
    ];
    for (what, stand) in stands {
        let place = site();
        let sheet = place.path().join("out/plan-readings.csv");
        fs::create_dir_all(sheet.parent().unwrap()).unwrap();
        stand(&sheet);
        let about = |path: &PathBuf| {
            let about = fs::symlink_metadata(path).unwrap();
            (about.file_type(), about.len(), about.modified().unwrap())
        };
        let before = about(&sheet);
        let run = handover(place.path());
        assert_eq!(run.code, Some(0), "{what}: {run:?}");
        assert!(run.err.starts_with("out/plan-readings.csv is kept: "), "{what}: {run:?}");
        assert_eq!(about(&sheet), before, "{what}");
        assert_eq!(names(&place.path().join("out")).len(), 3, "{what}");
    }
}
