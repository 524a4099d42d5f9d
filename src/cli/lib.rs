//! The commands: each wires plan, forecast, drawing and report together. [`main`] is the program.
//!
//! # Exit codes
//! 0: done, every device sound or thin. 1: done, some device failing, or `tidy` found what it would
//! fix and was not asked to write. 2: bad usage or a bad plan; nothing was written. 3: a result
//! could not be written, and then none was: what stood there before is whole. What was worked out
//! is printed all the same. 130: stopped by Ctrl-C or a signal to end; nothing is half-written.

mod args;
mod catalogue;
mod check;
mod diagnose;
mod error;
mod explain;
mod files;
mod frame;
mod handover;
mod help;
mod import;
mod new;
mod options;
mod outputs;
mod panel;
mod picture;
mod place;
mod progress;
mod quote;
mod repeaters;
mod serve;
mod tidy;

use std::env::args_os;
use std::ffi::OsString;
use std::io::{self, Write as _};
use std::process::ExitCode;

use clap::Parser as _;

pub use error::CommandError;
pub use quote::QuoteDocument;

use args::{Args, Command};
use error::{EXIT_FINE, EXIT_OUTPUT, EXIT_USAGE};
use frame::Answer;
use input::{printable, tame};
use outputs::Outputs;
use progress::{at_work, complain};

/// Parses the command line, runs the command, prints, and gives the exit code.
#[must_use]
pub fn main() -> ExitCode {
    let tricky = |word: &OsString| word.to_string_lossy().contains(char::is_control);
    let none = Outputs::default();
    outputs::outlive_limits();
    let (printed, code) = match Args::try_parse() {
        // A name that holds a line could forge one in what is said of it.
        _ if args_os().any(|word| tricky(&word)) => {
            let what = "an argument holds a control character: leave it out, or rename the file";
            printed(Err(CommandError::Usage(what.to_owned())), &none)
        }
        Ok(Args { command }) => {
            let to = command.outputs();
            let work = || {
                if command.is_service() {
                    return command.run();
                }
                outputs::watch();
                at_work(|| command.run())
            };
            printed(to.check().and_then(|()| work()), &to)
        }
        Err(mistake) => match help::topic(&mistake) {
            Some(answer) => printed(answer, &none),
            None if mistake.use_stderr() => {
                // The library repeats what was written as it is: so it gets to see it tamed.
                let tamed = args_os().map(|word| tame(&word.to_string_lossy()));
                let _ = Args::try_parse_from(tamed).err().unwrap_or(mistake).print();
                (Ok(()), EXIT_USAGE)
            }
            None => (mistake.print(), EXIT_FINE),
        },
    };
    match printed.and_then(|()| io::stdout().flush()) {
        // The reader of a pipe may leave when it has seen enough.
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => {
            complain(&format!("cannot write to standard output: {error}"));
            ExitCode::from(EXIT_OUTPUT)
        }
        _ => ExitCode::from(code),
    }
}

/// Writes what a command answers, and prints it; gives the exit code.
fn printed(answer: Result<Answer, CommandError>, to: &Outputs<'_>) -> (io::Result<()>, u8) {
    match answer {
        Ok(answer) => {
            let (text, code) = answer.finish(to);
            (io::stdout().lock().write_all(printable(&text).as_bytes()), code)
        }
        Err(error) => {
            complain(&error.to_string());
            (Ok(()), error.exit_code())
        }
    }
}

/// The quote that `drillonce quote ARGUMENTS` writes, as a document, without writing anything. The
/// clock is read only if no date is given.
///
/// # Errors
/// [`CommandError`]: bad arguments, a bad plan, business file, price list or setting.
pub fn quote_document(arguments: &[&str]) -> Result<QuoteDocument, CommandError> {
    let line = [&["drillonce", "quote"], arguments].concat();
    match Args::try_parse_from(line) {
        Ok(Args { command: Command::Quote(options) }) => quote::made(&options),
        Ok(_) => Err(CommandError::Usage("no quote is asked for".to_owned())),
        Err(error) => Err(CommandError::Usage(error.to_string())),
    }
}
