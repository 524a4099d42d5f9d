//! Runs that are stopped in their midst.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::{EVERY, site};
use crate::run::{PROGRAM, contents};

/// How often each command is stopped.
const TIMES: u32 = 20;

/// Whether whoever runs the tests has them ignore Ctrl-C, which the program then does, too.
fn ctrl_c_is_ignored() -> bool {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let ignored = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    let ignored = ignored.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok());
    // Signal 2 is the second bit.
    ignored.is_some_and(|mask| mask & 0b10 != 0)
}

/// Starts a command, sends it a signal after a while, and gives its exit code and how long it took
/// to end.
fn stopped(
    folder: &Path,
    arguments: &[&str],
    signal: &str,
    after: Duration,
) -> (Option<i32>, Duration) {
    let mut command = Command::new(PROGRAM);
    command.current_dir(folder).args(arguments);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    let mut child = command.spawn().unwrap();
    sleep(after);
    let id = child.id().to_string();
    let sent = Command::new("kill").args([signal, &id]).stderr(Stdio::null()).status();
    sent.unwrap();
    let since = Instant::now();
    (child.wait().unwrap().code(), since.elapsed())
}

#[test]
fn whenever_it_is_stopped_all_is_old_or_all_is_new() {
    if ctrl_c_is_ignored() {
        println!("skipped: these tests were started with Ctrl-C ignored");
        return;
    }
    for name in ["check", "handover"] {
        let one = EVERY.into_iter().find(|one| one.arguments[0] == name).unwrap();
        let place = site();
        let out = place.path().join("out");
        let started = Instant::now();
        let whole = stopped(place.path(), one.arguments, "-0", Duration::ZERO).0;
        let (long, new) = (started.elapsed(), contents(&out));
        assert!(matches!(whole, Some(0 | 1)));
        let old: BTreeMap<_, _> =
            new.keys().map(|name| (name.clone(), b"older".to_vec())).collect();
        let mut count = 0;
        for time in 0..TIMES {
            for (name, bytes) in old.iter().filter(|(name, _)| !name.ends_with(".csv")) {
                fs::write(out.join(name), bytes).unwrap();
            }
            let signal = ["-INT", "-TERM", "-HUP"][time as usize % 3];
            // The program needs a moment until it listens for signals.
            let after = Duration::from_millis(20) + long * time / TIMES;
            let (code, took) = stopped(place.path(), one.arguments, signal, after);
            assert!(code == whole || code == Some(130), "{name} {signal} {after:?}: {code:?}");
            assert!(took < long + Duration::from_secs(2), "{name}: {took:?} to stop");
            let now = contents(&out);
            let is_new = now == new;
            let is_old = now.iter().all(|(name, bytes)| {
                name.ends_with(".csv") || old.get(name).is_some_and(|old| old == bytes)
            });
            assert!(is_new || (is_old && now.len() == new.len()), "{name}: {:?}", now.keys());
            count += u32::from(code == Some(130));
        }
        println!("{name}: {count} of {TIMES} runs were stopped before their end");
        assert!(count > 0);
    }
}

/// A caller that ignores a signal wants the run to go on.
#[test]
fn a_run_that_is_to_outlive_its_terminal_does() {
    let one = EVERY.into_iter().find(|one| one.arguments[0] == "check").unwrap();
    let place = site();
    let line = "trap '' HUP; \"$0\" \"$@\" & sleep 0.1; kill -HUP $!; wait $!";
    let mut command = Command::new("bash");
    command.current_dir(place.path()).args(["-c", line, PROGRAM]).args(one.arguments);
    let output = command.stdin(Stdio::null()).output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(one.writes.iter().all(|file| place.path().join(file).is_file()));
}
