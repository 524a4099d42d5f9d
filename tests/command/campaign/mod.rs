//! Promises that hold of every command, tried on each of them. A command that is added must stand
//! in [`EVERY`]: a test holds the table against the program's own list.

mod advice;
mod files;
#[cfg(unix)]
mod inputs;
#[cfg(unix)]
mod outputs;
#[cfg(unix)]
mod stopped;
#[cfg(unix)]
mod streams;
mod text;

use super::run::{folder_with, plan_json, run, run_in};
use tempfile::TempDir;

/// One command as it is used, for attacks that do the same to all.
#[derive(Debug, Clone, Copy)]
pub struct Use {
    /// Its arguments, the command's name first, in a folder made by [`site`]: all of the command's
    /// work, done in seconds.
    pub arguments: &'static [&'static str],
    /// The files that it writes, from that folder.
    pub writes: &'static [&'static str],
}

/// Every command that ends by itself: all but `serve`, which has tests of its own.
pub const EVERY: [Use; 12] = [
    Use {
        arguments: &["check", "plan.geojson", "--out", "out"],
        writes: &["out/plan-level0.png", "out/plan-level0.svg"],
    },
    Use {
        arguments: &["place", "plan.geojson", "--spacing", "4", "--out", "out"],
        writes: &[
            "out/plan-spots-level0.png",
            "out/plan-spots-level0.svg",
            "out/plan-tradeoff.png",
            "out/plan-tradeoff.svg",
        ],
    },
    Use {
        arguments: &["repeaters", "plan.geojson", "--spacing", "4", "--out", "out"],
        writes: &[
            "out/plan-after-level0.png",
            "out/plan-after-level0.svg",
            "out/plan-before-level0.png",
            "out/plan-before-level0.svg",
        ],
    },
    Use {
        arguments: &["explain", "plan.geojson", "1", "--out", "out"],
        writes: &[
            "out/plan-c-front-door-paths.png",
            "out/plan-c-front-door-paths.svg",
            "out/plan-c-front-door-profile.png",
            "out/plan-c-front-door-profile.svg",
        ],
    },
    Use {
        arguments: &["diagnose", "plan.geojson", "--readings", "readings.csv", "--out", "out"],
        writes: &[
            "out/plan-level0-readings.png",
            "out/plan-level0-readings.svg",
            "out/plan-readings.png",
            "out/plan-readings.svg",
        ],
    },
    Use {
        arguments: &["quote", "plan.geojson", "--out", "out"],
        writes: &["out/plan-quote.html", "out/plan-quote.pdf"],
    },
    Use {
        arguments: &["handover", "plan.geojson", "--out", "out"],
        writes: &["out/plan-handover.html", "out/plan-handover.pdf", "out/plan-readings.csv"],
    },
    Use {
        arguments: &["import", "house.txt", "--write", "new.geojson", "--out", "out"],
        writes: &["new.geojson", "out/new-import-level0.png", "out/new-import-level0.svg"],
    },
    Use { arguments: &["new", "new.geojson"], writes: &["new.geojson"] },
    Use {
        arguments: &["tidy", "plan.geojson", "--write", "new.geojson"],
        writes: &["new.geojson"],
    },
    Use { arguments: &["schema"], writes: &[] },
    Use { arguments: &["catalogue"], writes: &[] },
];

/// A folder with all that the commands of [`EVERY`] read.
pub fn site() -> TempDir {
    let place = folder_with("plan.geojson", &plan_json("bungalow").to_string());
    std::fs::write(place.path().join("readings.csv"), "number,level_dbm\n1,-60\n2,-65\n").unwrap();
    run_in(place.path(), &["new", "house.txt"]).ends(0);
    place
}

#[test]
fn every_command_is_in_the_table_and_writes_what_it_says() {
    let help = run(&["--help"]).out;
    let (_, list) = help.split_once("Commands:\n").unwrap();
    let lines = list.lines().take_while(|line| !line.is_empty());
    let name =
        |line: &str| line.strip_prefix("  ")?.split_once(' ').map(|(name, _)| name.to_owned());
    let listed: Vec<String> =
        lines.filter_map(name).filter(|name| !name.is_empty() && name != "help").collect();
    let ending: Vec<&String> = listed.iter().filter(|name| *name != "serve").collect();
    assert_eq!(ending, EVERY.map(|one| one.arguments[0]));
    for one in EVERY {
        let place = site();
        let done = run_in(place.path(), one.arguments);
        assert!(matches!(done.code, Some(0 | 1)), "{done:?}");
        for file in one.writes {
            assert!(place.path().join(file).is_file(), "{file}: {done:?}");
        }
    }
}
