//! `drillonce new`: something to start from.

use std::fmt::Write as _;

use super::import::{known, one_fault, read_back};
use super::import_args::{NewOptions, PlanUnit};
use super::output::PlanCopy;
use super::{CommandError, EXIT_FINE};
use import::{self, Kind, STARTER_FT, STARTER_M, Settings};

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &NewOptions, text: &mut String) -> Result<u8, CommandError> {
    let list = match options.unit {
        PlanUnit::M => STARTER_M,
        PlanUnit::Ft => STARTER_FT,
    };
    let ending = options.file.extension().and_then(|ending| ending.to_str());
    let is_list = match ending.map(str::to_ascii_lowercase).as_deref() {
        Some("txt") => true,
        Some("geojson" | "json") => false,
        _ => {
            return Err(one_fault(
                &options.file.display().to_string(),
                "the name's ending does not say what to write".to_owned(),
                "end it in .geojson for a plan, in .txt for a tape-measure list".to_owned(),
            ));
        }
    };
    let (made, next) =
        if is_list { (list.to_owned(), "import") } else { (plan_of(list)?, "check") };
    let file = options.file.display();
    PlanCopy::of_text("", &options.file, made)?.write()?;
    let what = if is_list { "list" } else { "plan" };
    let _ = writeln!(
        text,
        "Written: {file}, a {what} of a small house. Change it, then: drillonce {next} {file}"
    );
    Ok(EXIT_FINE)
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
