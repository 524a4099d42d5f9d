//! Options of `quote`.

use std::path::PathBuf;

use clap::{Args as ClapArgs, ValueEnum};

use super::args::RadioOptions;
use crate::document::Paper;
use crate::wording::{Date, Language};

/// Options of `quote`.
#[derive(Debug, ClapArgs)]
pub struct QuoteOptions {
    /// The floor plan, a .geojson file
    pub plan: PathBuf,
    /// Who makes the quote: a TOML file with name, address, currency, tax, validity, hourly rate;
    /// without it there is room to fill that in by hand
    #[arg(long, value_name = "FILE")]
    pub business: Option<PathBuf>,
    /// What everything costs: a CSV file with item, unit price, hours; without it there is room to
    /// fill the prices in by hand
    #[arg(long, value_name = "FILE", requires = "business")]
    pub prices: Option<PathBuf>,
    /// Language of the quote
    #[arg(long, value_enum, default_value_t = LanguageWord::En)]
    pub language: LanguageWord,
    /// Day of the quote [default: today, by UTC]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub date: Option<Date>,
    /// Paper of the PDF, and of the HTML when it is printed
    #[arg(long, value_enum, default_value_t = PaperWord::A4)]
    pub paper: PaperWord,
    /// What to write
    #[arg(long, value_enum, default_value_t = DocumentFormat::Both)]
    pub format: DocumentFormat,
    /// Folder for the quote; made if it is not there
    #[arg(long, value_name = "DIR", default_value = "output")]
    pub out: PathBuf,
    #[command(flatten)]
    /// Radio settings.
    pub radio: RadioOptions,
}

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

/// In which form a document is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DocumentFormat {
    /// One page for a browser, with everything in it
    Html,
    /// For print
    Pdf,
    /// Both
    Both,
}
