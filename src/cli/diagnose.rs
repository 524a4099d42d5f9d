//! `drillonce diagnose`: what readings tell of the house, and what is the matter with a flaky sensor.

use super::check::table_width;
use super::diagnose_args::{DiagnoseFormat, DiagnoseOptions};
use super::diagnose_picture::pictures;
use super::output::{PlanCopy, write_all};
use super::{CommandError, EXIT_FAILING, EXIT_FINE, complain};
use diagnose::readings::{ReadingsFile, read_readings_file, template};
use diagnose::{Calibration, calibrate, causes};
use explain::find;
use forecast::{Finding, Site, vocabulary};
use plan::edit::Change;
use plan::{Plan, Reading, read_file};
use report::{DiagnoseReport, diagnose_table};

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &DiagnoseOptions, text: &mut String) -> Result<u8, CommandError> {
    let model = options.radio.model().map_err(CommandError::Usage)?;
    let Reading { mut plan, warnings, .. } =
        read_file(&options.plan, &vocabulary()).map_err(CommandError::Plan)?;
    let Some(from) = options.readings.as_ref().filter(|_| !options.template) else {
        text.push_str(&template(&plan));
        return Ok(EXIT_FINE);
    };
    let asked = asked(&plan, &options.sensor)?;
    let mut doubts: Vec<String> = warnings.iter().map(ToString::to_string).collect();
    // Ignore an earlier calibration, so that no reading counts twice.
    if plan.calibration.take().is_some() {
        doubts.push(
            "the plan holds what earlier readings told; it is left out here: put all readings into \
             one file"
                .to_owned(),
        );
    }
    let file = read_readings_file(from, &plan, &options.scales());
    for fault in file.faults.iter().chain(&file.warnings) {
        complain(&fault.to_string());
    }
    if file.readings.is_empty() {
        return Err(CommandError::Usage(format!(
            "{}: no reading can be used; `drillonce diagnose {} --template` prints a table to fill in",
            from.display(),
            options.plan.display()
        )));
    }
    let site = Site::new(&plan, model, options.radio.over(), None)?;
    let calibration = calibrate(&site, &file.readings)?;
    let suspects = causes(&site, &file.readings, &calibration, &asked)?;
    doubts.extend(site.warnings());
    doubts.extend(unused(&file, &calibration));
    let copy = options
        .write
        .as_ref()
        .map(|to| {
            let change = Change::Calibrate(calibration.for_plan(&site));
            PlanCopy::new(&options.plan, &plan, &[change], to)
        })
        .transpose()?;
    let report = DiagnoseReport::new(&site, &file, &calibration, &suspects, doubts);
    let printed = match options.format {
        DiagnoseFormat::Table => diagnose_table(&report, table_width()),
        DiagnoseFormat::Json => report.json().map_err(|error| CommandError::Output {
            what: "the diagnosis".to_owned(),
            why: error.to_string(),
        })?,
    };
    if !options.no_pictures {
        let files = pictures(&site, &file, &calibration, &suspects, options)?;
        write_all(&options.out, &files)?;
    }
    if let Some(copy) = copy {
        copy.write()?;
    }
    text.push_str(&printed);
    let failing = |one: &diagnose::DeviceEstimate| one.after.finding == Finding::Failing;
    Ok(if calibration.devices.iter().any(failing) { EXIT_FAILING } else { EXIT_FINE })
}

/// The devices that the user asks about, as indices of the plan's.
fn asked(plan: &Plan, names: &[String]) -> Result<Vec<usize>, CommandError> {
    names
        .iter()
        .map(|name| {
            let device =
                find(plan, name).map_err(|error| CommandError::Usage(error.to_string()))?;
            let number = plan.devices.iter().position(|one| one.id == device.id);
            Ok(number.unwrap_or(usize::MAX))
        })
        .collect()
}

/// What became of readings that count for nothing.
fn unused(file: &ReadingsFile, calibration: &Calibration) -> Option<String> {
    let lines = &calibration.unused;
    let shown: Vec<String> = lines.iter().take(5).map(ToString::to_string).collect();
    let more = if lines.len() > shown.len() { " …" } else { "" };
    (!lines.is_empty()).then(|| {
        format!(
            "{} of {} readings are of no way from a device to the panel or a repeater and were left \
             out (line {}{more})",
            lines.len(),
            file.readings.len(),
            shown.join(", ")
        )
    })
}
