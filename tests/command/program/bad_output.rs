//! Results that cannot be written: exit code 3, and what stood there before is whole.

use std::fs;
use std::path::Path;
use std::process::Command;

use crate::run::{PROGRAM, Run, contents, folder, run_in, shipped};

const PNG: &str = "bungalow-level0.png";
const SVG: &str = "bungalow-level0.svg";

/// Checks that `check --out` fails, and names the place.
fn fails(folder: &Path, out: &str) -> String {
    let plan = shipped("bungalow");
    let err = run_in(folder, &["check", &plan, "--cell", "0.5", "--out", out]).ends(3).err;
    assert!(err.contains(out) && err.starts_with("cannot write"), "{err}");
    assert!(err.contains("--no-pictures"), "a way out is named: {err}");
    err
}

#[test]
fn a_file_where_the_folder_should_be() {
    let place = folder();
    fs::write(place.path().join("taken"), "a shopping list").unwrap();
    fails(place.path(), "taken");
    fails(place.path(), "taken/below");
    let left = contents(place.path());
    assert_eq!(left.len(), 1);
    assert_eq!(left["taken"], b"a shopping list");
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_where_nobody_may_write() {
    // Not even the superuser makes a folder there.
    fails(folder().path(), "/proc/drillonce-pictures");
}

#[test]
fn a_folder_in_the_place_of_a_picture() {
    let place = folder();
    let out = place.path().join("out");
    fs::create_dir_all(out.join(SVG).join("inner")).unwrap();
    fs::write(out.join(PNG), "an older picture").unwrap();
    fails(place.path(), "out");
    let left = contents(&out);
    // No leftovers, and the PNG is the old one.
    assert_eq!(left.keys().collect::<Vec<_>>(), [PNG, SVG]);
    assert!(out.join(SVG).join("inner").is_dir());
    assert_eq!(left[PNG], b"an older picture");
}

/// A limit on the size of a file makes writing fail in its midst as a full disk does.
#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_in_the_midst() {
    let place = folder();
    let out = place.path().join("out");
    let plan = shipped("bungalow");
    let limited = |kibibytes: u32| {
        let script = format!(
            "trap '' XFSZ; ulimit -f {kibibytes}; exec \"$0\" check \"$1\" --out out --cell 0.5"
        );
        let mut command = Command::new("bash");
        command.current_dir(place.path()).args(["-c", &script, PROGRAM, &plan]);
        Run::of(&mut command)
    };
    // Where nothing stood, nothing stands.
    let err = limited(8).ends(3).err;
    assert!(err.starts_with("cannot write out/bungalow-level0"), "{err}");
    assert_eq!(contents(&out).len(), 0);
    // What stood there is whole, at either file that the disk has no room for.
    fs::write(out.join(PNG), "an older picture").unwrap();
    fs::write(out.join(SVG), "an older drawing").unwrap();
    let before = contents(&out);
    for kibibytes in [0, 8, 64] {
        limited(kibibytes).ends(3);
        assert_eq!(contents(&out), before, "with room for {kibibytes} KiB");
    }
    // Just too small for the larger file only: the smaller one must not take its place alone.
    limited(100_000).ends(0);
    let sizes: Vec<usize> = contents(&out).values().map(Vec::len).collect();
    let larger = sizes.iter().max().unwrap();
    let smaller = sizes.iter().min().unwrap();
    let room = (larger - 1) / 1024;
    assert!(room * 1024 > *smaller, "the two sizes differ: {sizes:?}");
    fs::write(out.join(PNG), "an older picture").unwrap();
    fs::write(out.join(SVG), "an older drawing").unwrap();
    limited(u32::try_from(room).unwrap()).ends(3);
    assert_eq!(contents(&out), before);
}

#[cfg(target_os = "linux")]
#[test]
fn standard_output_on_a_full_disk() {
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    for arguments in [
        vec!["catalogue".to_owned()],
        vec!["check".to_owned(), shipped("bungalow"), "--no-pictures".to_owned()],
    ] {
        let child = Command::new(PROGRAM)
            .args(&arguments)
            .stdout(full.try_clone().unwrap())
            .output()
            .unwrap();
        let err = String::from_utf8_lossy(&child.stderr);
        assert_eq!(child.status.code(), Some(3), "{err}");
        assert!(err.contains("cannot write to standard output"), "{err}");
    }
}

#[cfg(unix)]
#[test]
fn a_reader_that_leaves_early() {
    let place = folder();
    // Output far beyond what a pipe holds, so that the program still writes when the reader is
    // gone.
    let script = "\"$0\" catalogue --sources | true; echo ${PIPESTATUS[0]}; \
                  \"$0\" check \"$1\" --no-pictures --format json | head -1; echo ${PIPESTATUS[0]}";
    let plan = shipped("brick-house");
    let run = Run::of(
        Command::new("bash").current_dir(place.path()).args(["-c", script, PROGRAM, &plan]),
    );
    assert_eq!(run.err, "");
    assert_eq!(run.out, "0\n{\n0\n");
}
