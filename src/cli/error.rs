//! Why a command did not do its work, and the exit codes.

use std::fmt::Display;
use std::path::Path;

use forecast::SiteError;
use input::{Diagnostic, Severity, file_text};
use report::counted;

use super::progress::complain;

/// Everything is sound or thin.
pub(crate) const EXIT_FINE: u8 = 0;
/// Some device is failing.
pub(crate) const EXIT_FAILING: u8 = 1;
/// Bad usage or a bad plan.
pub(crate) const EXIT_USAGE: u8 = 2;
/// A result could not be written.
pub(crate) const EXIT_OUTPUT: u8 = 3;
/// The program was asked to stop: what shells give for Ctrl-C, 128 and the number of the signal.
pub(crate) const EXIT_STOPPED: u8 = 130;

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

impl CommandError {
    /// The exit code that tells a script what happened.
    #[must_use]
    pub const fn exit_code(&self) -> u8 {
        match self {
            Self::Plan(_) | Self::Usage(_) | Self::Site(_) => EXIT_USAGE,
            Self::Output { .. } => EXIT_OUTPUT,
        }
    }

    /// A fault of a whole file.
    pub(crate) fn file(name: &str, what: impl Into<String>, fix: impl Into<String>) -> Self {
        Self::Plan(vec![Diagnostic::at(name, (0, 0), what.into(), fix.into())])
    }
}

/// The kinds of trouble that any error may mean to a command.
pub(crate) trait OrStop<T> {
    /// The command was used wrongly.
    fn or_usage(self) -> Result<T, CommandError>;
    /// `what` cannot be written.
    fn or_unwritten(self, what: impl Display) -> Result<T, CommandError>;
}

impl<T, E: Display> OrStop<T> for Result<T, E> {
    fn or_usage(self) -> Result<T, CommandError> {
        self.map_err(|error| CommandError::Usage(error.to_string()))
    }

    fn or_unwritten(self, what: impl Display) -> Result<T, CommandError> {
        let what = what.to_string();
        self.map_err(|error| CommandError::Output { what, why: error.to_string() })
    }
}

/// The text of a file of at most so many bytes, and its name; `expected` says what it is to be and
/// `smaller` how to make it so. A doubtful encoding is complained of.
pub(crate) fn text_of(
    path: &Path,
    most: usize,
    expected: &str,
    smaller: &str,
) -> Result<(String, String), CommandError> {
    let file = file_text(path, most, expected, smaller).map_err(CommandError::Plan)?;
    file.warnings.iter().for_each(|warning| complain(&warning.to_string()));
    Ok((path.display().to_string(), file.text))
}

fn listed(found: &[Diagnostic]) -> String {
    let lines: Vec<String> = found.iter().map(ToString::to_string).collect();
    let number = |severity| found.iter().filter(|one| one.severity == severity).count();
    let faults = counted(number(Severity::Error), "fault");
    let warnings = match number(Severity::Warning) {
        0 => String::new(),
        warnings => format!(", {}", counted(warnings, "warning")),
    };
    format!("{}\n{faults}{warnings}; nothing was written", lines.join("\n"))
}
