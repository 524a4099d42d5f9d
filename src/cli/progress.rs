//! Progress of long work, for people.

use std::io::{IsTerminal as _, stderr};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// A progress bar on standard error, if that is a terminal.
pub(super) fn progress(what: &str) -> ProgressBar {
    let target = if stderr().is_terminal() {
        ProgressDrawTarget::stderr()
    } else {
        ProgressDrawTarget::hidden()
    };
    let bar = ProgressBar::with_draw_target(Some(1000), target);
    if let Ok(style) = ProgressStyle::with_template("{msg} {bar:30} {percent} %") {
        bar.set_style(style);
    }
    bar.set_message(what.to_owned());
    bar
}
