//! `drillonce explain`: one device's link in full, and what would help.

pub(crate) mod picture;

use std::path::PathBuf;

use clap::Args;

use super::error::{CommandError, OrStop as _};
use super::files::stem;
use super::frame::{Answer, House, pictures, table_width};
use super::options::{
    Format, LENGTHS, PanelOption, PictureOptions, RadioOptions, Word, length, one_of,
};
use super::outputs::Outputs;
use super::panel::site_with;
use explain::{ExplainSettings, explain, find};
use forecast::Finding;
use report::{ExplainReport, explain_table};

const FORMATS: [Word<Format>; 2] =
    [("table", "Tables to read", Format::Table), ("json", "One JSON object", Format::Json)];

#[derive(Debug, Args)]
#[command(after_help = LENGTHS)]
pub(crate) struct ExplainOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// The device, by id, number or name
    sensor: String,
    /// How to print the explanation
    #[arg(long, value_parser = one_of(&FORMATS), default_value = "table")]
    format: Format,
    #[command(flatten)]
    pictures: PictureOptions,
    /// How far the device may move along its wall, or in any direction if it is on none
    #[arg(long, value_name = "LENGTH", default_value = "0.5m", allow_hyphen_values = true,
        value_parser = length(0.0, 5.0))]
    reach: f64,
    /// How far the device may move up or down
    #[arg(long, value_name = "LENGTH", default_value = "0.5m", allow_hyphen_values = true,
        value_parser = length(0.0, 5.0))]
    raise: f64,
    #[command(flatten)]
    panel: PanelOption,
    #[command(flatten)]
    radio: RadioOptions,
}

/// Where the results go.
pub(crate) fn outputs(options: &ExplainOptions) -> Outputs<'_> {
    options.pictures.outputs(options.plan.as_path())
}

pub(crate) fn run(options: &ExplainOptions) -> Result<Answer, CommandError> {
    let house = House::read(&options.plan, &options.radio)?;
    let device = find(&house.plan, &options.sensor).or_usage()?;
    let site = site_with(&house, &options.panel)?;
    let settings = ExplainSettings { reach_m: options.reach, raise_m: options.raise };
    let told = explain(&site, device, &settings)?;
    let report = ExplainReport::new(&site, &told, &settings, house.doubts(&site));
    let text = match options.format {
        Format::Json => house.plan.as_written.put_back(report.json()),
        _ => explain_table(&report, table_width()),
    };
    let stem = stem(&options.plan);
    let files = pictures(&options.pictures, || picture::pictures(&site, &told, &stem))?;
    let failing = told.result.finding == Finding::Failing;
    Ok(Answer { text, files, failing, ..Answer::default() })
}
