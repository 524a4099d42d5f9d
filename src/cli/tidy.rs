//! `drillonce tidy`: what of a plan's drawing can safely be mended.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;

use super::error::{CommandError, text_of};
use super::frame::{Answer, table_width};
use super::outputs::Outputs;
use forecast::vocabulary;
use plan::tidy::{Tidied, TidySettings, tidied};
use plan::{self, MAX_FILE_BYTES};
use report::fitted;

#[derive(Debug, Args)]
pub(crate) struct TidyOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// Write the fixed plan into a new file; without it nothing is changed
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    /// Farthest that an end is moved, metres
    #[arg(long, value_name = "METRES", default_value = "0.05", allow_hyphen_values = true,
        value_parser = snap)]
    snap: f64,
}

/// A length that the engine takes as it is.
fn snap(text: &str) -> Result<f64, &'static str> {
    match text.parse() {
        Ok(metres) if (0.005..=0.25).contains(&metres) => Ok(metres),
        Ok(_) => Err("give 0.005 to 0.25 m"),
        Err(_) => Err("give metres"),
    }
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
    let mends = match tidy.mends.len() {
        0 => "nothing to fix".to_owned(),
        1 => "1 fix".to_owned(),
        number => format!("{number} fixes"),
    };
    let fate = match (&options.write, tidy.mends.is_empty()) {
        (Some(to), _) => format!("; written to {}", to.display()),
        (None, true) => String::new(),
        (None, false) => "; nothing was written: --write FILE writes the plan so".to_owned(),
    };
    let written = format!("{mends}, {} left{fate}\n", tidy.left.len());
    // Exit code 1: there is something to fix, and it was not asked for.
    let failing = options.write.is_none() && !tidy.mends.is_empty();
    let written = fitted(written, table_width());
    let copy = options.write.is_some().then_some(tidy.text);
    Ok(Answer { text, written, copy, failing, ..Answer::default() })
}

fn listed(name: &str, tidy: &Tidied) -> String {
    let (name, mut text) = (plan::tame(name), String::new());
    for mend in &tidy.mends {
        let _ = writeln!(text, "fixed  {name}:{}  {}: {}", mend.line, mend.feature, mend.what);
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
