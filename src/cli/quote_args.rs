//! Options of `quote`.

use std::path::PathBuf;

use clap::{Args as ClapArgs, ValueEnum};

use super::args::RadioOptions;
use super::document_files::{Form, LanguageWord, PaperWord};
use words::Date;

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

impl DocumentFormat {
    /// The forms that it stands for.
    pub(super) const fn forms(self) -> &'static [Form] {
        match self {
            Self::Html => &[Form::Html],
            Self::Pdf => &[Form::Pdf],
            Self::Both => &[Form::Html, Form::Pdf],
        }
    }
}
