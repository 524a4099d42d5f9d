//! `drillonce serve`: the live page.

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use clap::Args;

use super::error::CommandError;
use super::frame::Answer;
use super::progress::complain;
use ::serve::{OpenError, PAGE, ServeError, ServeSettings, serve};
use forecast::Model;

#[derive(Debug, Args)]
pub(crate) struct ServeOptions {
    /// The floor plan, a .geojson file; without it the only one in this folder
    plan: Option<PathBuf>,
    /// Port of the page's address on this machine; 0 for any that is free
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    port: u16,
    /// Do not open the page in the browser
    #[arg(long)]
    no_open: bool,
}

pub(crate) fn run(options: &ServeOptions) -> Result<Answer, CommandError> {
    let plan = match &options.plan {
        Some(plan) => plan.clone(),
        None => only_plan()?,
    };
    let settings = ServeSettings { plan, port: options.port, model: Model::default(), page: PAGE };
    let ready = |address: &str| {
        // Who started the program may have closed its output; the page is served all the same.
        let mut out = io::stdout().lock();
        let _ = writeln!(out, "{address}").and_then(|()| out.flush());
        if !options.no_open && !opened(address) {
            complain("No browser could be opened; open the address above yourself.");
        }
        complain("Ctrl-C ends it; edits that are not saved are kept for the next time.");
    };
    serve(&settings, ready).map_err(|error| match error {
        ServeError::Open(OpenError::Plan(faults)) => CommandError::Plan(faults),
        error => CommandError::Usage(error.to_string()),
    })?;
    Ok(Answer::default())
}

/// The only plan of the folder that the program is in.
fn only_plan() -> Result<PathBuf, CommandError> {
    let names = std::fs::read_dir(".").into_iter().flatten().flatten();
    let is_plan = |path: &PathBuf| {
        let hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
        !hidden && path.extension().is_some_and(|ending| ending == "geojson")
    };
    let mut plans = names.map(|entry| PathBuf::from(entry.file_name())).filter(is_plan);
    match (plans.next(), plans.next()) {
        (Some(plan), None) => Ok(plan),
        (None, _) => Err(CommandError::Usage(
            "there is no .geojson file in this folder; name a plan, or make one with `drillonce \
             new house.geojson`"
                .to_owned(),
        )),
        _ => Err(CommandError::Usage(
            "there are several .geojson files in this folder; name one of them".to_owned(),
        )),
    }
}

/// Whether the system's own way to open an address took it.
fn opened(address: &str) -> bool {
    let (program, before): (&str, &[&str]) = if cfg!(target_os = "macos") {
        ("open", &[])
    } else if cfg!(target_os = "windows") {
        ("cmd", &["/C", "start", ""])
    } else {
        ("xdg-open", &[])
    };
    let quiet = || Stdio::null();
    let mut command = Command::new(Path::new(program));
    command.args(before).arg(address);
    command.stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn().is_ok()
}
