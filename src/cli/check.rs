//! `drillonce check`: forecast the margin of every sensor, and draw it.

mod compare;

use std::path::PathBuf;

use clap::Args;

use super::error::CommandError;
use super::files::{level_files, stem};
use super::frame::{Answer, House, check_maps, each_level, pictures, table_width};
use super::options::{FORMATS, Format, LENGTHS, PanelOption, PictureOptions, RadioOptions, one_of};
use super::outputs::Outputs;
use super::panel::site_with;
use super::picture::coverage;
use forecast::Assessment;
use report::{CheckReport, check_csv, check_geojson, check_table};

#[derive(Debug, Args)]
#[command(after_help = LENGTHS)]
pub(crate) struct CheckOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// How to print the forecast
    #[arg(long, value_parser = one_of(&FORMATS), default_value = "table")]
    format: Format,
    /// Compare links of the catalogue, or "all" those of the plan's region
    #[arg(long, value_name = "LINKS", conflicts_with_all = ["link", "frequency"])]
    compare: Option<String>,
    #[command(flatten)]
    pictures: PictureOptions,
    #[command(flatten)]
    panel: PanelOption,
    #[command(flatten)]
    radio: RadioOptions,
}

/// Where the results go.
pub(crate) fn outputs(options: &CheckOptions) -> Outputs<'_> {
    options.pictures.outputs(options.plan.as_path())
}

pub(crate) fn run(options: &CheckOptions) -> Result<Answer, CommandError> {
    let house = House::read(&options.plan, &options.radio)?;
    if let Some(links) = &options.compare {
        return compare::run(options, &house, links);
    }
    let site = site_with(&house, &options.panel)?;
    check_maps(&options.pictures, &site)?;
    let assessment = Assessment::new(&site)?;
    let report = CheckReport::new(&site, &assessment, house.doubts(&site));
    let text = match options.format {
        Format::Table => check_table(&report, &site, table_width()),
        Format::Json => house.plan.as_written.put_back(report.json()),
        Format::Csv => check_csv(&report),
        Format::Geojson => house.plan.as_written.put_back(check_geojson(&report)),
    };
    let files = pictures(&options.pictures, || {
        let levels =
            each_level(&house.plan, "", |level, tell| coverage(&site, &assessment, level, tell))?;
        level_files(&stem(&options.plan), &levels)
    })?;
    Ok(Answer {
        text,
        doubts: options.format.unsaid(report.warnings),
        files,
        failing: assessment.any_failing(),
        ..Answer::default()
    })
}
