//! The commands: each wires plan, budget, drawing and report together, and prints.
//!
//! # Exit codes
//! 0: done, every device sound or thin. 1: done, some device failing, or `tidy` found what it would mend and
//! was not asked to write. 2: bad usage or a bad plan;
//! nothing was written. 3: a result could not be written; what stood there before is whole.

mod args;
mod catalogue;
mod check;
mod diagnose;
mod diagnose_args;
mod diagnose_picture;
mod document_files;
mod explain;
mod explain_args;
mod explain_picture;
mod handover;
mod handover_args;
mod import;
mod import_args;
mod new;
mod output;
mod picture;
mod place;
mod progress;
mod quote;
mod quote_args;
mod quote_picture;
mod repeaters;
mod repeaters_picture;
mod schema;
mod siting_args;
mod siting_picture;
mod tidy;

use std::io::{self, Write};
use std::process::ExitCode;

use clap::Parser as _;

pub use args::{Args, Command};
pub use document_files::{LanguageWord, PaperWord};
pub use quote::{QuoteDocument, quote_document};
pub use quote_args::QuoteOptions;

use forecast::SiteError;
use plan::{Diagnostic, Severity};

/// Everything is sound or thin.
pub const EXIT_FINE: u8 = 0;
/// Some device is failing.
pub const EXIT_FAILING: u8 = 1;
/// Bad usage or a bad plan.
pub const EXIT_USAGE: u8 = 2;
/// A result could not be written.
pub const EXIT_OUTPUT: u8 = 3;

/// Why a command did not do its work.
#[derive(Debug, thiserror::Error)]
pub enum CommandError {
    /// The plan has faults.
    #[error("{}", listed(.0))]
    Plan(Vec<Diagnostic>),
    /// An option's value does not go with the plan.
    #[error("{0}")]
    Usage(String),
    /// The plan cannot be assessed.
    #[error(transparent)]
    Site(#[from] SiteError),
    /// A result could not be written.
    #[error("cannot write {what}: {why}")]
    Output {
        /// What was to be written.
        what: String,
        /// The system's answer.
        why: String,
    },
}

fn listed(faults: &[Diagnostic]) -> String {
    let lines: Vec<String> = faults.iter().map(ToString::to_string).collect();
    let number = |severity, one: &str| {
        let number = faults.iter().filter(|fault| fault.severity == severity).count();
        if number == 1 { format!("1 {one}") } else { format!("{number} {one}s") }
    };
    let warned = faults.iter().any(|fault| fault.severity == Severity::Warning);
    let warnings =
        if warned { format!(", {}", number(Severity::Warning, "warning")) } else { String::new() };
    let faults = number(Severity::Error, "fault");
    format!("{}\n{faults}{warnings}; nothing was written", lines.join("\n"))
}

impl CommandError {
    /// The exit code that tells a script what happened.
    #[must_use]
    pub const fn exit_code(&self) -> u8 {
        match self {
            Self::Plan(_) | Self::Usage(_) | Self::Site(_) => EXIT_USAGE,
            Self::Output { .. } => EXIT_OUTPUT,
        }
    }
}

/// Parses the command line, runs the command, prints, and gives the exit code.
#[must_use]
pub fn main() -> ExitCode {
    let args = Args::parse();
    let mut text = String::new();
    let outcome = match &args.command {
        Command::Check(options) => check::run(options, &mut text),
        Command::Place(options) => place::run(options, &mut text),
        Command::Repeaters(options) => repeaters::run(options, &mut text),
        Command::Explain(options) => explain::run(options, &mut text),
        Command::Diagnose(options) => diagnose::run(options, &mut text),
        Command::Quote(options) => quote::run(options, &mut text),
        Command::Handover(options) => handover::run(options, &mut text),
        Command::Import(options) => import::run(options, &mut text),
        Command::New(options) => new::run(options, &mut text),
        Command::Tidy(options) => tidy::run(options, &mut text),
        Command::Schema => schema::run(&mut text),
        Command::Catalogue(options) => catalogue::run(options, &mut text),
    };
    let code = outcome.unwrap_or_else(|error| {
        complain(&error.to_string());
        error.exit_code()
    });
    match io::stdout().lock().write_all(text.as_bytes()).and_then(|()| io::stdout().flush()) {
        // The reader of a pipe may leave when it has seen enough.
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            complain(&format!("cannot write to standard output: {error}"));
            ExitCode::from(EXIT_OUTPUT)
        }
        _ => ExitCode::from(code),
    }
}

/// Prints a line on standard error; if that is closed there is nobody left to tell.
fn complain(line: &str) {
    let _ = writeln!(io::stderr().lock(), "{line}");
}
