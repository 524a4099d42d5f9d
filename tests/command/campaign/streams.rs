//! Standard input, output and error that are closed, full, or left by their reader.

use std::fs::{self, OpenOptions};
use std::path::Path;
use std::process::{Command, Stdio};

use super::{EVERY, Use, site};
use crate::run::{PROGRAM, Run, contents, names, run_in};

/// Runs the program in a folder by a line of the shell, in which `$0` is the program and `$@` its
/// arguments.
fn by_shell(line: &str, folder: &Path, arguments: &[&str]) -> Run {
    let mut command = Command::new("bash");
    Run::of(command.current_dir(folder).args(["-c", line, PROGRAM]).args(arguments))
}

const CLOSED: [&str; 4] = ["0<&-", "1>&-", "2>&-", "0<&- 1>&- 2>&-"];

#[test]
fn a_closed_stream_changes_no_file_and_no_exit_code() {
    for one in EVERY {
        let usual = site();
        let code = run_in(usual.path(), one.arguments).code;
        for closed in [CLOSED[3], CLOSED[usize::from(one.arguments[0] < "h")]] {
            let place = site();
            let line = format!("exec \"$0\" \"$@\" {closed}");
            let run = by_shell(&line, place.path(), one.arguments);
            assert_eq!(run.code, code, "{closed}: {run:?}");
            for file in one.writes {
                let (now, then) = (place.path().join(file), usual.path().join(file));
                assert!(fs::read(now).unwrap() == fs::read(then).unwrap(), "{closed}: {file}");
            }
        }
    }
}

#[test]
fn a_fault_with_a_closed_stream_writes_nothing() {
    for one in EVERY {
        let Some(input) = one.arguments.iter().position(|word| word.ends_with(".geojson")) else {
            continue;
        };
        let mut arguments = one.arguments.to_vec();
        arguments[input] = "bad.geojson";
        for closed in CLOSED {
            let place = site();
            fs::write(place.path().join("bad.geojson"), "{\"type\": \"none\"}").unwrap();
            let before = contents(place.path());
            let line = format!("exec \"$0\" \"$@\" {closed}");
            let run = by_shell(&line, place.path(), &arguments);
            assert_eq!(run.code, Some(2), "{closed}: {run:?}");
            assert_eq!(run.err.is_empty(), closed.contains("2>"), "{closed}: {run:?}");
            assert_eq!(contents(place.path()), before, "{closed}: {run:?}");
        }
    }
}

/// Everything that the program prints: results, help, topics, the version.
fn printing() -> Vec<Vec<&'static str>> {
    let mut all: Vec<Vec<&str>> = EVERY.iter().map(|one| one.arguments.to_vec()).collect();
    all.extend(EVERY.iter().map(|one| vec![one.arguments[0], "--help"]));
    let more = [["--help"].as_slice(), &["--version"], &["help"], &["help", "plan"], &["-h"]];
    all.extend(more.map(<[&str]>::to_vec));
    all
}

#[cfg(target_os = "linux")]
#[test]
fn no_room_for_what_is_printed_is_said_in_one_line() {
    let full = OpenOptions::new().write(true).open("/dev/full").unwrap();
    for arguments in printing() {
        let place = site();
        let mut command = Command::new(PROGRAM);
        command.current_dir(place.path()).args(&arguments).stdin(Stdio::null());
        let output = command.stdout(full.try_clone().unwrap()).output().unwrap();
        let err = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(3), "{arguments:?}: {err}");
        assert_eq!(err.lines().count(), 1, "{arguments:?}: {err}");
        assert!(err.starts_with("cannot write to standard output: "), "{arguments:?}: {err}");
    }
}

#[test]
fn a_reader_that_leaves_is_no_fault() {
    for arguments in printing() {
        let place = site();
        let line = "\"$0\" \"$@\" | true; exit ${PIPESTATUS[0]}";
        let run = by_shell(line, place.path(), &arguments);
        assert!(matches!(run.code, Some(0 | 1)), "{arguments:?}: {run:?}");
        assert_eq!(run.err, "", "{arguments:?}");
    }
}

/// No file may hold a byte, as on a disk that is full.
#[test]
fn no_room_for_any_file_is_said_in_one_line() {
    for one in EVERY.into_iter().filter(|one| !one.writes.is_empty()) {
        let place = site();
        let before = names(place.path());
        let line = "ulimit -f 0; exec \"$0\" \"$@\"";
        let run = by_shell(line, place.path(), one.arguments);
        assert_eq!(run.code, Some(3), "{run:?}");
        assert_eq!(run.err.lines().count(), 1, "{run:?}");
        assert!(run.err.starts_with("cannot write "), "{run:?}");
        nothing_but(&one, place.path(), &before);
    }
}

/// A file system of a few pages, full from the start.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said_in_one_line() {
    for one in EVERY.into_iter().filter(|one| !one.writes.is_empty()) {
        let place = site();
        let before = names(place.path());
        let out = Path::new(one.writes[0]).parent().unwrap();
        let is_folder = out != Path::new("");
        let line = "set -e; mkdir disk; mount -t tmpfs -o size=4k none disk || exit 99; \
                    head -c 4096 /dev/zero > disk/full; exec \"$0\" \"$@\"";
        let line = format!("unshare -m bash -c '{line}' \"$0\" \"$@\"");
        let to = if is_folder { "disk" } else { "disk/new.geojson" };
        let named = if is_folder { "out" } else { "new.geojson" };
        let elsewhere = |word: &&'static str| if *word == named { to } else { *word };
        let arguments: Vec<&str> = one.arguments.iter().map(elsewhere).collect();
        let run = by_shell(&line, place.path(), &arguments);
        if run.err.contains("unshare") || run.code == Some(99) {
            println!("skipped: no file system can be mounted here");
            return;
        }
        assert_eq!(run.code, Some(3), "{run:?}");
        assert_eq!(run.err.lines().count(), 1, "{run:?}");
        assert!(run.err.contains("No space left on device (os error 28)"), "{run:?}");
        assert!(!run.err.contains(".drillonce-"), "{run:?}");
        fs::remove_dir(place.path().join("disk")).unwrap();
        nothing_but(&one, place.path(), &before);
    }
}

fn nothing_but(one: &Use, place: &Path, before: &[String]) {
    let out = place.join("out");
    if out.is_dir() {
        assert_eq!(names(&out), [""; 0], "{one:?}");
        fs::remove_dir(out).unwrap();
    }
    assert_eq!(names(place), before, "{one:?}");
}
