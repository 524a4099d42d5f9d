//! `drillonce tidy`: what of a plan's drawing can safely be fixed.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;

use super::error::{CommandError, text_of};
use super::frame::{Answer, table_width};
use super::options::{LENGTHS, length};
use super::outputs::Outputs;
use forecast::vocabulary;
use plan::tidy::{Tidied, TidySettings, tidied};
use plan::{self, MAX_FILE_BYTES};
use report::fitted;

#[derive(Debug, Args)]
#[command(after_help = LENGTHS)]
pub(crate) struct TidyOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// Write the fixed plan to a new file; without it nothing is written
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    /// Farthest that the end of a wall may move
    #[arg(long, value_name = "LENGTH", default_value = "0.05m", allow_hyphen_values = true,
        value_parser = length(0.005, 0.25))]
    snap: f64,
}

/// Where the results go.
pub(crate) fn outputs(options: &TidyOptions) -> Outputs<'_> {
    Outputs::default().and_copy("--write ", options.write.as_ref())
}

pub(crate) fn run(options: &TidyOptions) -> Result<Answer, CommandError> {
    let (name, drawn) = text_of(
        &options.plan,
        MAX_FILE_BYTES,
        "a GeoJSON file",
        "split the site into several plans",
    )?;
    let settings = TidySettings { snap_m: options.snap };
    let tidy = tidied(&name, &drawn, &vocabulary(), &settings).map_err(CommandError::Plan)?;
    let text = fitted(listed(&name, &tidy), table_width());
    let fixes = match tidy.fixes.len() {
        0 => "nothing to fix".to_owned(),
        1 => "1 fix".to_owned(),
        number => format!("{number} fixes"),
    };
    let fate = match (&options.write, tidy.fixes.is_empty()) {
        (Some(to), _) => format!("; written to {}", to.display()),
        (None, true) => String::new(),
        (None, false) => "; nothing was written (--write FILE writes the fixed plan)".to_owned(),
    };
    let written = format!("{fixes}, {} left{fate}\n", tidy.left.len());
    // Exit code 1: there is something to fix, and it was not asked for.
    let failing = options.write.is_none() && !tidy.fixes.is_empty();
    let written = fitted(written, table_width());
    let copy = options.write.is_some().then_some(tidy.text);
    Ok(Answer { text, written, copy, failing, ..Answer::default() })
}

fn listed(name: &str, tidy: &Tidied) -> String {
    let (name, mut text) = (plan::tame(name), String::new());
    for fix in &tidy.fixes {
        let _ = writeln!(text, "fixed  {name}:{}  {}: {}", fix.line, fix.feature, fix.what);
    }
    for doubt in &tidy.left {
        let feature =
            if doubt.feature.is_empty() { String::new() } else { format!("{}: ", doubt.feature) };
        let _ = writeln!(
            text,
            "left  {name}:{}  {feature}{}\n      why: {}",
            doubt.line, doubt.what, doubt.why
        );
    }
    text
}
