//! What people see on standard error while a command works: bars, the time that goes by, warnings.

use std::io::{self, Write as _};
use std::sync::LazyLock;
use std::thread;
use std::time::Duration;

use indicatif::{MultiProgress, ProgressBar, ProgressStyle};

use input::printable;

/// Every bar on standard error, one below the other.
static BARS: LazyLock<MultiProgress> = LazyLock::new(MultiProgress::new);

/// How long a command may take before it says that it is at work.
const PATIENCE: Duration = Duration::from_secs(1);

/// A progress bar on standard error, if that is a terminal.
pub(crate) fn progress(what: &str) -> ProgressBar {
    let bar = BARS.add(ProgressBar::new(1000));
    if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {percent} %") {
        bar.set_style(style);
    }
    bar.set_message(what.to_owned());
    bar
}

/// Does a command's work; if it takes long, the time that went by is shown on standard error, if
/// that is a terminal, below any bars.
pub(crate) fn at_work<T>(work: impl FnOnce() -> T) -> T {
    let bar = BARS.add(ProgressBar::new_spinner());
    if let Ok(style) = ProgressStyle::with_template("{spinner} working, {elapsed}; Ctrl-C stops") {
        bar.set_style(style);
    }
    let shown = bar.clone();
    thread::spawn(move || {
        thread::sleep(PATIENCE);
        shown.enable_steady_tick(Duration::from_millis(250));
    });
    let done = work();
    bar.finish_and_clear();
    done
}

/// Prints a line on standard error, above any bars; if that is closed there is nobody left to read
/// it.
pub(crate) fn complain(line: &str) {
    BARS.suspend(|| {
        let _ = writeln!(io::stderr().lock(), "{}", printable(line));
    });
}
