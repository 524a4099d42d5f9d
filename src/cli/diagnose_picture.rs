//! A diagnosis put into the terms of pictures: forecasts against readings, and the margin over the
//! floor before and after them.

use super::CommandError;
use super::diagnose_args::DiagnoseOptions;
use super::explain_picture::{likely, numbered};
use super::output::{NewFile, both_kinds, stem, undrawn};
use super::picture::level_picture;
use super::progress::progress;
use diagnose::cause::SensorCauses;
use diagnose::readings::ReadingsFile;
use diagnose::{Calibration, Circumstance, Reading, Seen, StaticLevel};
use draw::{ComparedSensor, Comparison, Likely, Pair, Picture, ReadLevel, Size};
use forecast::{Assessment, Site, level_field};
use plan::{Level, Plan};
use report::PICTURE_CAUTION;

/// The chart of all devices, and a pair of pictures for every level that has walls.
pub(super) fn pictures(
    site: &Site<'_>,
    file: &ReadingsFile,
    calibration: &Calibration,
    suspects: &[SensorCauses],
    options: &DiagnoseOptions,
) -> Result<Vec<NewFile>, CommandError> {
    let stem = stem(&options.plan);
    let name = format!("{stem}-readings");
    let drawing = comparison(site, file, calibration, suspects)
        .layout(Size::default())
        .map_err(|error| undrawn(&name, &error))?;
    let mut files = Vec::from(both_kinds(&name, || drawing.png(), || drawing.svg())?);
    let read = Plan { calibration: Some(calibration.for_plan(site)), ..site.plan.clone() };
    let model = options.radio.on(&read, site.model);
    let after = Site::new(&read, model, site.over.clone(), None)?;
    let before = (site, Assessment::new(site)?);
    let after = (&after, Assessment::new(&after)?);
    for level in &site.plan.levels {
        let bar = progress(&level.name);
        let tell = |done: u64| bar.set_position(done);
        let (Some(left), Some(right)) =
            (field_picture(&before, level, &tell)?, field_picture(&after, level, &tell)?)
        else {
            continue;
        };
        bar.finish_and_clear();
        let name = format!("{stem}-level{}-readings", level.number);
        let pair = Pair {
            title: format!("{}, {}", site.plan.name, level.name),
            subtitle: left.subtitle.clone(),
            headline: "What the readings change of the forecast".to_owned(),
            caution: PICTURE_CAUTION.to_owned(),
            titles: ["before the readings", "after the readings"].map(str::to_owned),
            pictures: [left, right],
        };
        let drawing = pair.layout(Size::default()).map_err(|error| undrawn(&name, &error))?;
        files.extend(both_kinds(&name, || drawing.png(), || drawing.svg())?);
    }
    Ok(files)
}

fn field_picture(
    (site, assessment): &(&Site<'_>, Assessment),
    level: &Level,
    tell: &(dyn Fn(u64) + Sync),
) -> Result<Option<Picture>, CommandError> {
    let repeaters = assessment.repeater_findings();
    let field = level_field(site, level, &repeaters, tell)?;
    Ok(field.map(|field| level_picture(site, assessment, level, field)))
}

/// Forecasts at the panel against what was read there.
fn comparison(
    site: &Site<'_>,
    file: &ReadingsFile,
    calibration: &Calibration,
    suspects: &[SensorCauses],
) -> Comparison {
    let link = site.link(None).ok();
    let (name, frequency) =
        link.map_or_else(Default::default, |link| (link.name, link.frequency.to_string()));
    let read = calibration.devices.iter().filter(|one| !one.read.is_empty());
    let (before, after) = (calibration.site_before, calibration.site_after);
    Comparison {
        title: format!("{}: forecasts and readings at the panel", site.plan.name),
        subtitle: format!(
            "Link {name} at {frequency}. {} readings of {} devices; bars: nine cases in ten.",
            file.readings.len(),
            read.count()
        ),
        headline: format!(
            "Loss that no wall explains: {:.1} ± {:.1} dB before the readings, {:.1} ± {:.1} dB after",
            before.mean, before.sigma, after.mean, after.sigma
        ),
        caution: PICTURE_CAUTION.to_owned(),
        sensors: calibration
            .devices
            .iter()
            .filter_map(|one| {
                let device = site.plan.devices.get(one.device)?;
                let level = one.levels.first()?;
                let suspect = suspects.iter().find(|suspect| suspect.device == one.device);
                let cause = suspect.and_then(|suspect| suspect.causes.first());
                let own = |reading: &&Reading| {
                    reading.sensor.as_ref() == Some(&one.id)
                        && reading.listener.is_none()
                        && reading.circumstance == Circumstance::AsFound
                };
                Some(ComparedSensor {
                    number: device.number,
                    name: if device.number.is_some() {
                        device.name.clone()
                    } else {
                        numbered(device)
                    },
                    before: likely_level(level.before),
                    after: likely_level(level.after),
                    needed_dbm: Some(level.before.level.0 - level.before.margin.0)
                        .filter(|needed| needed.is_finite()),
                    readings: file
                        .readings
                        .iter()
                        .filter(own)
                        .filter_map(|reading| read_level(&reading.seen))
                        .collect(),
                    flag: cause.map_or_else(String::new, |one| format!("{}?", one.cause.name())),
                })
            })
            .collect(),
    }
}

fn likely_level(shown: StaticLevel) -> Option<Likely> {
    let level = shown.level.0;
    level.is_finite().then(|| likely(level, shown.sigma))
}

fn read_level(seen: &Seen) -> Option<ReadLevel> {
    match *seen {
        Seen::Level(level) => Some(ReadLevel::At { level_dbm: level.0, spread_db: 0.0 }),
        Seen::Between { low, high } => Some(ReadLevel::Between {
            low_dbm: low.map(|end| end.0),
            high_dbm: high.map(|end| end.0),
        }),
        Seen::CheckIn { heard: false } | Seen::Lost => Some(ReadLevel::Missed),
        Seen::CheckIn { heard: true } | Seen::NoiseFloor(_) | Seen::Nothing => None,
    }
}
