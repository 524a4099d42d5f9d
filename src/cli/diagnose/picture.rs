//! A diagnosis put into the terms of pictures: forecasts against readings, and the margin over the
//! floor before and after them.

use crate::error::CommandError;
use crate::explain::picture::likely;
use crate::files::{NewFile, both_kinds};
use crate::frame::{House, each_level};
use crate::picture::{coverage, link_words};
use diagnose::cause::SensorCauses;
use diagnose::readings::ReadingsFile;
use diagnose::{Calibration, Circumstance, Reading, Seen, StaticLevel};
use draw::{ComparedSensor, Comparison, DeviceMark, Drawing, Likely, Pair, ReadLevel, Size};
use forecast::{Assessment, Site};
use plan::Plan;
use report::{PICTURE_CAUTION, cause_name};
use words::Words;

/// The chart of all devices, and a pair of pictures for every level that has walls; files are named
/// after `stem`.
pub(crate) fn pictures(
    house: &House<'_>,
    site: &Site<'_>,
    file: &ReadingsFile,
    calibration: &Calibration,
    suspects: &[SensorCauses],
    stem: &str,
) -> Result<Vec<NewFile>, CommandError> {
    let page = comparison(site, file, calibration, suspects).layout(Size::default());
    let chart = both_kinds(&format!("{stem}-readings"), page, Drawing::png, Drawing::svg)?;
    let read = Plan { calibration: Some(calibration.for_plan(site)), ..house.plan.clone() };
    let after = house.ready(&read, None)?;
    let forecasts = [(site, Assessment::new(site)?), (&after, Assessment::new(&after)?)];
    let pairs = each_level(&house.plan, "", |level, tell| {
        let mut pictures = Vec::new();
        for (site, assessment) in &forecasts {
            pictures.extend(coverage(site, assessment, level, tell)?);
        }
        let Ok(mut pictures) = <[_; 2]>::try_from(pictures) else { return Ok(None) };
        pictures[1].devices.iter_mut().for_each(|mark| by_check_ins(mark, site, calibration));
        Ok::<_, CommandError>(Some(Pair {
            title: format!("{}, {}", site.plan.name, level.name),
            subtitle: pictures[0].subtitle.clone(),
            headline: "The forecast before and after the readings".to_owned(),
            caution: PICTURE_CAUTION.to_owned(),
            titles: ["before the readings", "after the readings"].map(str::to_owned),
            pictures,
        }))
    })?;
    let mut files = Vec::from(chart);
    for (level, pair) in pairs {
        let name = format!("{stem}-level{level}-readings");
        let page = pair.layout(Size::default());
        files.extend(both_kinds(&name, page, Drawing::png, Drawing::svg)?);
    }
    Ok(files)
}

/// The finding of a device that its check-ins make worse than the forecast with the readings.
fn by_check_ins(mark: &mut DeviceMark, site: &Site<'_>, calibration: &Calibration) {
    let own = calibration.devices.iter().find(|one| {
        let device = site.plan.devices.get(one.device);
        device.is_some_and(|device| device.name == mark.name && device.number == mark.number)
    });
    mark.finding =
        mark.finding.map(|finding| own.map_or(finding, |one| finding.max(one.finding())));
}

/// Forecasts at the panel against what was read there.
fn comparison(
    site: &Site<'_>,
    file: &ReadingsFile,
    calibration: &Calibration,
    suspects: &[SensorCauses],
) -> Comparison {
    let read = calibration.devices.iter().filter(|one| !one.read.is_empty());
    let (before, after) = (calibration.site_before, calibration.site_after);
    Comparison {
        title: format!("{}: forecasts and readings at the panel", site.plan.name),
        subtitle: format!(
            "{} {} readings from {} devices; each bar holds nine cases in ten.",
            link_words(site),
            file.readings.len(),
            read.count()
        ),
        headline: format!(
            "Loss from antennas, mounting and clutter: {:.1} ± {:.1} dB before the readings, \
             {:.1} ± {:.1} dB after",
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
                let out_of_reach = suspect.is_some_and(|suspect| one.is_out_of_reach(suspect));
                let own = |reading: &&Reading| {
                    reading.sensor.as_ref() == Some(&one.id)
                        && reading.listener.is_none()
                        && reading.circumstance == Circumstance::AsFound
                };
                Some(ComparedSensor {
                    number: device.number,
                    name: device.name.clone(),
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
                    flag: match cause {
                        Some(_) if out_of_reach => "out of reach as drawn".to_owned(),
                        Some(one) => format!("{}?", cause_name(&Words::default(), one.cause)),
                        None => String::new(),
                    },
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
