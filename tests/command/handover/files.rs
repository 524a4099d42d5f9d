//! The files that a hand-over is written into.

use std::fs;
use std::path::Path;

use tempfile::tempdir;

use crate::handover::program::{self, program, shipped_path};
use crate::run::{Run, json_of, list, names};

fn handover(folder: &Path, options: &[&str]) -> Run {
    let out = ["--out", folder.to_str().unwrap()];
    program::handover(&shipped_path("bungalow"), &[&out, options].concat())
}

#[test]
fn html_pdf_and_the_sheet_are_written_and_the_same_every_time() {
    let (one, other) = (tempdir().unwrap(), tempdir().unwrap());
    for folder in [&one, &other] {
        let run = handover(folder.path(), &[]);
        assert_eq!(run.code, Some(0), "{run:?}");
    }
    let all = ["bungalow-handover.html", "bungalow-handover.pdf", "bungalow-readings.csv"];
    assert_eq!(names(one.path()), all);
    for name in all {
        let bytes = fs::read(one.path().join(name)).unwrap();
        assert!(bytes.len() > 500, "{name}");
        assert!(bytes == fs::read(other.path().join(name)).unwrap(), "{name}");
    }
    let pdf = fs::read(one.path().join(all[1])).unwrap();
    assert!(pdf.starts_with(b"%PDF-") && pdf.len() < 2_000_000);
    let sheet = fs::read_to_string(one.path().join(all[2])).unwrap();
    // Nothing is filled in yet, so there is nothing to be read; with a level it is a reading.
    let first = sheet.lines().find(|line| line.starts_with("c-front-door,"));
    let filled = sheet.replace(first.unwrap(), "c-front-door,,,-61,,,yes,,");
    let file = one.path().join("filled.csv");
    let filled: Vec<&str> = filled
        .lines()
        .filter(|line| line.starts_with(['#', 's']) || line.starts_with("c-front-door,"))
        .collect();
    fs::write(&file, filled.join("\n")).unwrap();
    let run = program(&[
        "diagnose",
        &shipped_path("bungalow"),
        "--readings",
        file.to_str().unwrap(),
        "--no-pictures",
    ]);
    assert!(matches!(run.code, Some(0 | 1)), "{run:?}");
}

#[test]
fn a_sheet_that_somebody_filled_in_is_kept() {
    let folder = tempdir().unwrap();
    handover(folder.path(), &[]);
    let sheet = folder.path().join("bungalow-readings.csv");
    let filled = fs::read_to_string(&sheet).unwrap() + "c-front-door,,,-61,,,yes,,\n";
    fs::write(&sheet, &filled).unwrap();
    let run = handover(folder.path(), &[]);
    assert_eq!(run.code, Some(0));
    assert_eq!(fs::read_to_string(&sheet).unwrap(), filled);
    let told = &run.err;
    assert!(told.contains("is kept") && told.contains("--out"), "{told}");
    assert_eq!(names(folder.path()).len(), 3);
}

#[test]
fn the_sheet_is_filled_in_from_a_file_of_readings() {
    let folder = tempdir().unwrap();
    let file = folder.path().join("filled.csv");
    let rows = "sensor,time,level_dbm,heard,trips,restores,tamper\n\
                c-front-door,2026-11-24T09:00:00Z,-61,,yes,yes,\n\
                c-front-door,2026-11-25T14:30:00Z,-63.5,heard,yes,no,yes\n";
    fs::write(&file, rows).unwrap();
    let from = ["--readings", file.to_str().unwrap()];
    let run = handover(folder.path(), &[&from[..], &["--format", "json"]].concat());
    let report = json_of(&run.out);
    let tests = list(&report, "tests");
    let of = |id: &str| &tests.iter().find(|row| row["id"] == id).unwrap()["entry"];
    assert_eq!(of("c-front-door")["level_dbm"], "-63.5");
    assert_eq!(of("c-front-door")["restores"], "no");
    let blank = tests.iter().filter(|row| row["entry"].is_null()).count();
    assert_eq!(blank, tests.len() - 1);
    let run = handover(folder.path(), &[&from[..], &["--format", "html"]].concat());
    assert_eq!(run.code, Some(0), "{run:?}");
    let page = fs::read_to_string(folder.path().join("bungalow-handover.html")).unwrap();
    assert!(page.contains("\u{2212}63.5 dBm, 2026-11-25 14:30"), "the reading");
    // No empty form beside a sheet that is filled in.
    assert!(!folder.path().join("bungalow-readings.csv").exists());
    fs::write(&file, "sensor,level_dbm\nnobody,-61\n").unwrap();
    let run = handover(folder.path(), &from);
    assert_eq!(run.code, Some(2), "{run:?}");
    assert!(run.err.contains("no row of it is of a device of this plan"), "{run:?}");
}

#[test]
fn one_format_alone_can_be_asked_for() {
    for (format, document) in [("html", "bungalow-handover.html"), ("pdf", "bungalow-handover.pdf")]
    {
        let folder = tempdir().unwrap();
        let run = handover(folder.path(), &["--format", format]);
        assert_eq!(run.code, Some(0));
        assert_eq!(names(folder.path()), [document, "bungalow-readings.csv"]);
    }
}

#[test]
fn what_stands_in_the_way_is_told_and_kept() {
    let folder = tempdir().unwrap();
    let file = folder.path().join("taken");
    fs::write(&file, "mine").unwrap();
    let run = handover(&file, &[]);
    assert_eq!(run.code, Some(3));
    let told = &run.err;
    assert!(told.contains("taken") && told.contains("--out"), "{told}");
    assert!(!told.contains("--no-pictures"), "{told}");
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    assert!(run.out.is_empty());
}
