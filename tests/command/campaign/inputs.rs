//! Inputs that are no files: none may hang a command or eat the memory.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::Command;

use super::{EVERY, site};
use crate::run::{PROGRAM, Run, contents};

/// Seconds after which a command counts as hanging; it has nothing to do.
const HANGS: &str = "20";

/// Runs the program with at most 2 GiB of memory and no longer than [`HANGS`].
fn bounded(folder: &Path, arguments: &[&str]) -> Run {
    let script = format!("ulimit -v 2097152; exec timeout {HANGS} \"$0\" \"$@\"");
    let mut command = Command::new("bash");
    Run::of(command.current_dir(folder).args(["-c", &script, PROGRAM]).args(arguments))
}

#[test]
fn an_input_that_is_no_file_is_refused_at_once() {
    let mut uses: Vec<(Vec<&str>, &str)> = Vec::new();
    for one in EVERY {
        for input in ["plan.geojson", "readings.csv", "house.txt"] {
            if one.arguments.contains(&input) {
                uses.push((one.arguments.to_vec(), input));
            }
        }
    }
    assert!(uses.len() >= 10, "{uses:?}");
    let business = ["quote", "plan.geojson", "--business", "business.toml"];
    uses.push((business.to_vec(), "business.toml"));
    uses.push(([&business[..], &["--prices", "prices.csv"]].concat(), "prices.csv"));
    uses.push((business.to_vec(), "logo.png"));
    uses.push((vec!["import", "house.txt", "--map-file", "map.toml"], "map.toml"));
    for input in ["house.dxf", "map.geojson", "map.osm", "map.zip"] {
        uses.push((vec!["import", input], input));
    }
    for (arguments, input) in uses {
        for what in ["pipe", "/dev/zero", "/dev/full", "folder"] {
            let place = site();
            let business = "name = \"Alarms\"\ncurrency = \"EUR\"\nlogo = \"logo.png\"\n";
            fs::write(place.path().join("business.toml"), business).unwrap();
            let at = place.path().join(input);
            let _ = fs::remove_file(&at);
            match what {
                "pipe" => assert!(Command::new("mkfifo").arg(&at).status().unwrap().success()),
                "folder" => fs::create_dir(&at).unwrap(),
                device => symlink(device, &at).unwrap(),
            }
            let before = fs::read_dir(place.path()).unwrap().count();
            let run = bounded(place.path(), &arguments);
            assert_eq!(run.code, Some(2), "{arguments:?}, {input} is {what}: {run:?}");
            assert!(run.err.contains(input), "{arguments:?}, {input} is {what}: {run:?}");
            assert_eq!(fs::read_dir(place.path()).unwrap().count(), before);
        }
    }
}

#[test]
fn an_input_that_grows_without_end_is_read_to_its_limit() {
    // A file of no length that gives bytes as long as it is read.
    let place = site();
    let endless = "/proc/self/pagemap";
    if fs::metadata(endless).is_err() {
        println!("skipped: no {endless} here");
        return;
    }
    let run = bounded(place.path(), &["check", endless]);
    assert_eq!(run.code, Some(2), "{run:?}");
    assert_eq!(contents(place.path()).len(), 3);
}
