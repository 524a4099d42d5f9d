//! `drillonce check`: forecast the margin of every sensor, and draw it.

use std::io::{IsTerminal as _, stdout};
use std::path::Path;

use super::args::{CheckOptions, Format, PanelSpot};
use super::output::{NewFile, drawn, stem, write_all};
use super::picture::level_picture;
use super::progress::progress;
use super::{CommandError, EXIT_FAILING, EXIT_FINE, complain};
use forecast::{Assessment, Site, level_field, vocabulary};
use plan::{DEFAULT_DEVICE_HEIGHT_M, Device, DeviceKind, Plan, Reading, read_file};
use report::{CheckReport, check_csv, check_geojson, check_table};

/// Runs the command; what is to be printed goes to `text`.
pub(super) fn run(options: &CheckOptions, text: &mut String) -> Result<u8, CommandError> {
    let model = options.radio.model().map_err(CommandError::Usage)?;
    let Reading { plan, warnings, .. } =
        read_file(&options.plan, &vocabulary()).map_err(CommandError::Plan)?;
    let model = options.radio.on(&plan, model);
    let over = options.radio.over();
    let panel = options.panel.map(|spot| moved_panel(&plan, spot)).transpose()?;
    let site = Site::new(&plan, model, over, panel)?;
    let assessment = Assessment::new(&site)?;
    let doubts = warnings.iter().map(ToString::to_string).chain(site.warnings()).collect();
    let report = CheckReport::new(&site, &assessment, doubts);
    let unprintable = |why: &dyn std::fmt::Display| CommandError::Output {
        what: "the forecast".to_owned(),
        why: why.to_string(),
    };
    let printed = match options.format {
        Format::Table => check_table(&report, table_width()),
        Format::Json => report.json().map_err(|error| unprintable(&error))?,
        Format::Csv => check_csv(&report).map_err(|error| unprintable(&error))?,
        Format::Geojson => check_geojson(&report).map_err(|error| unprintable(&error))?,
    };
    if !options.no_pictures {
        let files = pictures(&site, &assessment, &options.plan)?;
        write_all(&options.out, &files)?;
    }
    // The other two formats carry the doubts themselves.
    if matches!(options.format, Format::Csv | Format::Geojson) {
        report.warnings.iter().for_each(|warning| complain(warning));
    }
    text.push_str(&printed);
    Ok(if assessment.any_failing() { EXIT_FAILING } else { EXIT_FINE })
}

/// The terminal's width, where standard output is one.
pub(super) fn table_width() -> Option<u16> {
    stdout().is_terminal().then(|| comfy_table::Table::new().width().unwrap_or(100))
}

/// The plan's panel (or a new one) at another spot.
pub(super) fn moved_panel(plan: &Plan, spot: PanelSpot) -> Result<Device, CommandError> {
    let old = plan.panel();
    let number = spot.level.or_else(|| old.map(|device| device.level));
    let number = number.or_else(|| plan.levels.first().map(|level| level.number)).unwrap_or(0);
    let level = plan.level(number).ok_or_else(|| {
        let known: Vec<String> = plan.levels.iter().map(|l| l.number.to_string()).collect();
        CommandError::Usage(format!(
            "--panel names level {number}, which the plan does not have; it has {}",
            known.join(", ")
        ))
    })?;
    let unit = plan.metres_per_unit;
    let above_floor = match (spot.height, old) {
        (Some(height), _) => height * unit,
        (None, Some(device)) => {
            device.height_m - plan.level(device.level).map_or(0.0, |level| level.floor_m)
        }
        (None, None) => DEFAULT_DEVICE_HEIGHT_M,
    };
    let template = old.cloned().unwrap_or_else(|| new_panel(number));
    Ok(Device {
        level: number,
        position: geo::Coord { x: spot.x * unit, y: spot.y * unit },
        height_m: level.floor_m + above_floor,
        ..template
    })
}

/// A panel for a plan that has none; where it hangs is still to be filled in.
pub(super) fn new_panel(level: i32) -> Device {
    Device {
        id: "panel".to_owned(),
        name: "Panel".to_owned(),
        ..Device::bare(DeviceKind::Panel, level)
    }
}

/// A PNG and an SVG of every level that has walls.
fn pictures(
    site: &Site<'_>,
    assessment: &Assessment,
    plan: &Path,
) -> Result<Vec<NewFile>, CommandError> {
    let stem = stem(plan);
    let repeaters = assessment.repeater_findings();
    let mut files = Vec::new();
    for level in &site.plan.levels {
        let bar = progress(&level.name);
        let tell = |done: u64| bar.set_position(done);
        let Some(field) = level_field(site, level, &repeaters, &tell)? else {
            continue;
        };
        bar.finish_and_clear();
        let picture = level_picture(site, assessment, level, field);
        let name = format!("{stem}-level{}", level.number);
        files.extend(drawn(&name, &picture)?);
    }
    Ok(files)
}
