//! `drillonce diagnose`: what readings say of the house, and why a sensor is flaky.

mod picture;

use std::path::PathBuf;

use clap::Args;

use super::error::{CommandError, OrStop as _};
use super::files::stem;
use super::frame::{Answer, House, check_maps, pictures, table_width};
use super::options::{Format, LENGTHS, PictureOptions, RadioOptions, Word, one_of};
use super::outputs::Outputs;
use super::progress::complain;
use diagnose::readings::{BarScale, PercentScale, Scales, read_readings_file, template};
use diagnose::{DeviceEstimate, calibrate, causes};
use explain::find;
use forecast::Finding;
use plan::Plan;
use plan::edit::Change;
use report::{DiagnoseReport, EARLIER_NOT_USED, diagnose_table, readings_not_used, too_many_read};

const FORMATS: [Word<Format>; 2] =
    [("table", "Text to read", Format::Table), ("json", "One JSON object", Format::Json)];

#[derive(Debug, Args)]
#[command(after_help = LENGTHS)]
pub(crate) struct DiagnoseOptions {
    /// The floor plan, a .geojson file
    plan: PathBuf,
    /// The panel's readings, a CSV or JSON file
    #[arg(long, value_name = "FILE", required_unless_present = "template")]
    readings: Option<PathBuf>,
    /// Only print a blank table of readings for this plan
    #[arg(long, conflicts_with_all = ["readings", "write", "sensor"])]
    template: bool,
    /// Ask about this device as well, by id, number or name; repeatable
    #[arg(long, value_name = "SENSOR")]
    sensor: Vec<String>,
    /// Levels from which the panel shows 1, 2, 3 ... bars: -105,-95,-85,-75
    #[arg(long, value_name = "DBM,DBM,...", allow_hyphen_values = true)]
    bars: Option<BarScale>,
    /// Levels at which the panel shows 0 and 100 %: "-110 to -50"
    #[arg(long, value_name = "DBM to DBM", allow_hyphen_values = true)]
    percent: Option<PercentScale>,
    /// How to print the diagnosis
    #[arg(long, value_parser = one_of(&FORMATS), default_value = "table")]
    format: Format,
    #[command(flatten)]
    pictures: PictureOptions,
    /// Write a copy of the plan calibrated by the readings
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    #[command(flatten)]
    radio: RadioOptions,
}

/// Where the results go.
pub(crate) fn outputs(options: &DiagnoseOptions) -> Outputs<'_> {
    if options.template {
        return Outputs::default();
    }
    options.pictures.outputs(options.plan.as_path()).and_copy("--write ", options.write.as_ref())
}

pub(crate) fn run(options: &DiagnoseOptions) -> Result<Answer, CommandError> {
    let mut house = House::read(&options.plan, &options.radio)?;
    let Some(from) = options.readings.as_ref().filter(|_| !options.template) else {
        return Ok(Answer { text: template(&house.plan), ..Answer::default() });
    };
    let asked = asked(&house.plan, &options.sensor)?;
    // Ignore an earlier calibration, so that no reading counts twice.
    if house.plan.calibration.take().is_some() {
        house.doubts.push(EARLIER_NOT_USED.to_owned());
    }
    let scales = Scales { bars: options.bars.clone(), percent: options.percent };
    let file = read_readings_file(from, &house.plan, &scales);
    for fault in file.faults.iter().chain(&file.warnings) {
        complain(&fault.to_string());
    }
    if file.readings.is_empty() {
        return Err(CommandError::Usage(format!(
            "{}: no reading can be used; `drillonce diagnose {} --template` prints a table to \
             fill in",
            from.display(),
            options.plan.display()
        )));
    }
    let site = house.site(None)?;
    if let Some((what, fix)) = too_many_read(&site, &file) {
        return Err(CommandError::file(&from.display().to_string(), what, fix));
    }
    check_maps(&options.pictures, &site)?;
    let calibration = calibrate(&site, &file.readings)?;
    let suspects = causes(&site, &file.readings, &calibration, &asked)?;
    let mut doubts = house.doubts(&site);
    doubts.extend(readings_not_used(&file, &calibration));
    let change = || Ok(vec![Change::Calibrate(calibration.for_plan(&site))]);
    let copy = house.copy(options.write.as_ref(), change)?;
    let report = DiagnoseReport::new(&site, &file, &calibration, &suspects, doubts);
    let text = match options.format {
        Format::Json => house.plan.as_written.put_back(report.json()),
        _ => diagnose_table(&report, table_width()),
    };
    let stem = stem(&options.plan);
    let files = pictures(&options.pictures, || {
        picture::pictures(&house, &site, &file, &calibration, &suspects, &stem)
    })?;
    let failing = |one: &DeviceEstimate| one.finding() == Finding::Failing;
    let failing = calibration.devices.iter().any(failing);
    Ok(Answer { text, files, copy, failing, ..Answer::default() })
}

/// The devices that the user asks about, as indices of the plan's.
fn asked(plan: &Plan, names: &[String]) -> Result<Vec<usize>, CommandError> {
    let number = |name: &String| {
        let device = find(plan, name).or_usage()?;
        let number = plan.devices.iter().position(|one| one.id == device.id);
        Ok(number.unwrap_or(usize::MAX))
    };
    names.iter().map(number).collect()
}
