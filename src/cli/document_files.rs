//! Documents as files: what `quote` and `handover` have in common.

use std::fmt::Display;
use std::time::{SystemTime, UNIX_EPOCH};

use clap::ValueEnum;

use super::CommandError;
use super::output::NewFile;
use document::{self, Document, Paper};
use words::{Date, Language, Words};

/// A word for [`Language`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum LanguageWord {
    /// English
    En,
    /// Spanish
    Es,
}

impl LanguageWord {
    /// The language.
    #[must_use]
    pub const fn language(self) -> Language {
        match self {
            Self::En => Language::English,
            Self::Es => Language::Spanish,
        }
    }

    /// Its words; `what` is made with them.
    pub(super) fn words(self, what: &str) -> Result<Words, CommandError> {
        Words::load(self.language()).map_err(|error| unmade(what, &error))
    }
}

/// A word for [`Paper`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PaperWord {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 inches
    Letter,
}

impl PaperWord {
    /// The sheet.
    #[must_use]
    pub const fn paper(self) -> Paper {
        match self {
            Self::A4 => Paper::A4,
            Self::Letter => Paper::Letter,
        }
    }
}

/// One of the two forms of a document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// One page for a browser, with everything in it.
    Html,
    /// For print.
    Pdf,
}

/// A document in one form, as the file `NAME.html` or `NAME.pdf`: the one place that calls the
/// renderers.
pub(super) fn document_file(
    document: &Document,
    form: Form,
    paper: Paper,
    name: &str,
) -> Result<NewFile, CommandError> {
    let (name, bytes) = match form {
        Form::Html => (format!("{name}.html"), Ok(document::html(document).into_bytes())),
        Form::Pdf => (format!("{name}.pdf"), document::pdf(document, paper)),
    };
    match bytes {
        Ok(bytes) => Ok(NewFile { name, bytes }),
        Err(error) => Err(unmade(&name, &error)),
    }
}

/// Something could not be made.
pub(super) fn unmade(what: &str, why: &dyn Display) -> CommandError {
    CommandError::Output { what: what.to_owned(), why: why.to_string() }
}

/// The day that is given, else the day it is by UTC.
pub(super) fn day_or_today(given: Option<Date>) -> Result<Date, CommandError> {
    if let Some(date) = given {
        return Ok(date);
    }
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    let days = since.ok().and_then(|since| u32::try_from(since.as_secs() / 86_400).ok());
    days.map(Date::from_days)
        .ok_or_else(|| CommandError::Usage("the clock is wrong; give --date YYYY-MM-DD".to_owned()))
}
