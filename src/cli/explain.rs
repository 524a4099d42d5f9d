//! `drillonce explain`: one device's link in full, and what would help.

use super::check::{moved_panel, table_width};
use super::explain_args::{ExplainFormat, ExplainOptions};
use super::explain_picture::pictures;
use super::output::write_all;
use super::{CommandError, EXIT_FAILING, EXIT_FINE};
use explain::{explain, find};
use forecast::{Finding, Site, vocabulary};
use plan::{Reading, read_file};
use report::{ExplainReport, explain_table};

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &ExplainOptions, text: &mut String) -> Result<u8, CommandError> {
    let model = options.radio.model().map_err(CommandError::Usage)?;
    let Reading { plan, warnings, .. } =
        read_file(&options.plan, &vocabulary()).map_err(CommandError::Plan)?;
    let device =
        find(&plan, &options.sensor).map_err(|error| CommandError::Usage(error.to_string()))?;
    let panel = options.panel.map(|spot| moved_panel(&plan, spot)).transpose()?;
    let model = options.radio.on(&plan, model);
    let site = Site::new(&plan, model, options.radio.over(), panel)?;
    let settings = options.settings();
    let told = explain(&site, device, &settings)?;
    let doubts = warnings.iter().map(ToString::to_string).chain(site.warnings());
    let report = ExplainReport::new(&site, &told, &settings, doubts.collect());
    let printed = match options.format {
        ExplainFormat::Table => explain_table(&report, table_width()),
        ExplainFormat::Json => report.json().map_err(|error| CommandError::Output {
            what: "the explanation".to_owned(),
            why: error.to_string(),
        })?,
    };
    if !options.no_pictures {
        let files = pictures(&site, &told, &options.plan)?;
        write_all(&options.out, &files)?;
    }
    text.push_str(&printed);
    Ok(if told.result.finding == Finding::Failing { EXIT_FAILING } else { EXIT_FINE })
}
