//! `drillonce serve`: the live page.

mod guest;

use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use clap::Args;

use super::error::{CommandError, OrStop as _};
use super::frame::Answer;
use super::progress::complain;
use ::serve::{
    Copy, Making, OpenError, Opened, PAGE, ServeError, ServeSettings, UNNAMED_EDITS, serve,
};
use forecast::Model;

#[derive(Debug, Args)]
pub(crate) struct ServeOptions {
    /// The floor plan, a .geojson file; without it the only one in this folder, or a new one if
    /// there is none
    plan: Option<PathBuf>,
    /// Begin a new plan, which the page saves in this folder
    #[arg(long, conflicts_with = "plan")]
    new: bool,
    /// Port of the page's address on this machine; 0 for any that is free
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    port: u16,
    /// Your business, a TOML file, for the quotes that are taken from the page
    #[arg(long, value_name = "FILE")]
    business: Option<PathBuf>,
    /// Your prices, a CSV file, for the same
    #[arg(long, value_name = "FILE", requires = "business")]
    prices: Option<PathBuf>,
    #[command(flatten)]
    guest: guest::GuestOptions,
    /// Do not open the page in the browser
    #[arg(long)]
    no_open: bool,
}

pub(crate) fn run(options: &ServeOptions) -> Result<Answer, CommandError> {
    let plan = opened_plan(options)?;
    let is_new = matches!(plan, Opened::New(_));
    let share = options.guest.opened()?;
    let making = Making {
        program: std::env::current_exe().or_usage()?,
        business: options.business.clone(),
        prices: options.prices.clone(),
    };
    let (port, model) = (options.port, Model::default());
    let settings = ServeSettings { plan, port, model, page: PAGE, making, share: share.clone() };
    let ready = |address: &str| {
        // Who started the program may have closed its output; the page is served all the same.
        let mut out = io::stdout().lock();
        let _ = writeln!(out, "{address}").and_then(|()| out.flush());
        if !options.no_open && !opened(address) {
            complain("No browser could be opened; open the address above yourself.");
        }
        if is_new {
            complain(&format!(
                "A new plan: until it is saved it is kept here, in {UNNAMED_EDITS}."
            ));
        }
        if let Some(share) = &share {
            options.guest.invite(share);
        }
        complain("Ctrl-C ends it; edits that are not saved are kept for the next time.");
    };
    serve(&settings, ready).map_err(|error| match error {
        ServeError::Open(OpenError::Plan(faults)) => CommandError::Plan(faults),
        error => CommandError::Usage(error.to_string()),
    })?;
    Ok(Answer::default())
}

/// The plan that is asked for: without a name the only one of the folder that the program is in, or
/// a new one where there is none, or where edits of one are kept that was never saved.
fn opened_plan(options: &ServeOptions) -> Result<Opened, CommandError> {
    let here = Path::new(".");
    if options.new || options.plan.is_none() && Copy::any_unnamed(here) {
        return Ok(Opened::New(here.to_owned()));
    }
    if let Some(plan) = &options.plan {
        return Ok(Opened::File(plan.clone()));
    }
    let names = std::fs::read_dir(here).into_iter().flatten().flatten();
    let is_plan = |path: &PathBuf| {
        let hidden = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with('.'));
        !hidden && path.extension().is_some_and(|ending| ending == "geojson")
    };
    let mut plans = names.map(|entry| PathBuf::from(entry.file_name())).filter(is_plan);
    match (plans.next(), plans.next()) {
        (Some(plan), None) => Ok(Opened::File(plan)),
        (None, _) => Ok(Opened::New(here.to_owned())),
        _ => Err(CommandError::Usage(
            "there are several .geojson files in this folder; name one of them, or begin a new \
             plan with --new"
                .to_owned(),
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
