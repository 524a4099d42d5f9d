//! Files that are no plan: a clear complaint, no panic, nothing written.

use std::fs;

use fixtures::Dice;

use crate::run::{contents, folder, run_in, shipped};

/// Runs `check` on a file of these bytes; gives what it complains of.
fn complaint(bytes: &[u8]) -> String {
    let place = folder();
    fs::write(place.path().join("the plan.geojson"), bytes).unwrap();
    let err = run_in(place.path(), &["check", "the plan.geojson"]).ends(2).err;
    assert_eq!(contents(place.path()).len(), 1, "nothing is written");
    assert!(err.contains("the plan.geojson"), "the file is named: {err}");
    assert!(err.contains("nothing was written"), "{err}");
    assert!(err.len() < 100_000, "a complaint of {} bytes", err.len());
    err
}

#[cfg(unix)]
#[test]
fn what_is_no_file_is_no_plan() {
    let place = folder();
    fs::create_dir(place.path().join("house")).unwrap();
    for (name, says) in [
        ("nowhere.geojson", "cannot be read"),
        ("house", "it is a folder"),
        ("/dev/zero", "not a regular file"),
    ] {
        run_in(place.path(), &["check", name]).refused(&[name, says]);
    }
    assert_eq!(contents(place.path()).len(), 1);
}

#[test]
fn an_empty_file() {
    insta::assert_snapshot!(complaint(b""));
}

#[test]
fn a_file_cut_at_any_place() {
    let whole = fs::read(shipped("bungalow")).unwrap();
    let end = whole.trim_ascii_end().len();
    for cut in [1, 2, 40, end / 3, end / 2, end - 2, end - 1] {
        let err = complaint(&whole[..cut]);
        assert!(err.contains("the plan.geojson:"), "a place is named: {err}");
    }
    insta::assert_snapshot!(complaint(&whole[..end / 2]));
}

#[test]
fn a_file_of_17_mebibytes() {
    // A sound plan, and blanks up to the size.
    let mut bytes = fs::read(shipped("bungalow")).unwrap();
    bytes.resize(17 * 1024 * 1024, b' ');
    let err = complaint(&bytes);
    assert!(err.contains("16"), "the limit is named: {err}");
    bytes.truncate(15 * 1024 * 1024);
    let place = folder();
    fs::write(place.path().join("plan.geojson"), bytes).unwrap();
    run_in(place.path(), &["check", "plan.geojson", "--no-pictures"]).ends(0);
}

#[test]
fn a_hundred_thousand_brackets() {
    for opening in ["[", "{\"a\":", "{\"type\":\"FeatureCollection\",\"features\":[["] {
        let closing = if opening.ends_with('[') { "]" } else { "}" };
        let deep = opening.repeat(100_000);
        complaint(deep.as_bytes());
        complaint(format!("{deep}1{}", closing.repeat(100_000)).as_bytes());
    }
}

#[test]
fn random_bytes() {
    let mut dice = Dice::new(1);
    for length in [1, 16, 1000, 100_000] {
        let bytes: Vec<u8> = (0..length).map(|_| dice.below(256) as u8).collect();
        complaint(&bytes);
    }
}

#[test]
fn a_plan_with_one_byte_changed_never_panics() {
    let whole = fs::read(shipped("bungalow")).unwrap();
    let place = folder();
    for turn in 0..24 {
        let mut bytes = whole.clone();
        let at = (turn * 7919 + 101) % whole.len();
        bytes[at] = b"\x00\xff\"{]-9"[turn % 7];
        fs::write(place.path().join("plan.geojson"), &bytes).unwrap();
        let run = run_in(place.path(), &["check", "plan.geojson", "--no-pictures"]);
        assert!(matches!(run.code, Some(0..=2)), "byte {at}: {run:?}");
    }
}
