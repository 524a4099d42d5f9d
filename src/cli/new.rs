//! `drillonce new`: something to start from.

use std::path::PathBuf;

use clap::Args;

use super::error::CommandError;
use super::frame::Answer;
use super::import::{known, read_back};
use super::options::{Word, one_of};
use super::outputs::Outputs;
use import::{self, Kind, STARTER_FT, STARTER_M, Settings};

/// The list to start from in each unit.
const UNITS: [Word<&str>; 2] = [("m", "Metres", STARTER_M), ("ft", "Feet", STARTER_FT)];

#[derive(Debug, Args)]
pub(crate) struct NewOptions {
    /// File to write: NAME.geojson for a plan, NAME.txt for a tape-measure list
    file: PathBuf,
    /// Unit of lengths
    #[arg(long, value_parser = one_of(&UNITS), default_value = "m")]
    unit: &'static str,
}

/// Where it goes.
pub(crate) fn outputs(options: &NewOptions) -> Outputs<'_> {
    Outputs::default().and_copy("", Some(&options.file))
}

pub(crate) fn run(options: &NewOptions) -> Result<Answer, CommandError> {
    let file = options.file.display();
    let ending = options.file.extension().and_then(|ending| ending.to_str());
    let (made, what, next) = match ending.map(str::to_ascii_lowercase).as_deref() {
        Some("txt") => (options.unit.to_owned(), "list", "import"),
        Some("geojson" | "json") => (plan_of(options.unit)?, "plan", "check"),
        _ => {
            return Err(CommandError::file(
                &file.to_string(),
                "the name does not say what to write",
                "end it in .geojson for a plan or .txt for a tape-measure list",
            ));
        }
    };
    let written = format!(
        "Written: {file}, a {what} of a small house. Change it, then: drillonce {next} {file}\n"
    );
    Ok(Answer { written, copy: Some(made), ..Answer::default() })
}

/// The plan of the list to start from.
fn plan_of(list: &str) -> Result<String, CommandError> {
    let settings = Settings { known: known(), ..Settings::default() };
    let name = "the list to start from";
    let draft =
        import::draft(Kind::Tape, name, list.as_bytes(), &settings).map_err(CommandError::Plan)?;
    let made = draft.text();
    read_back(name, &made, &settings)?;
    Ok(made)
}
