//! From calibrated readings of a site to the causes of its flaky sensors.

use std::collections::BTreeMap;

use super::calibrate::{Calibration, ReadingsByChannel, number};
use super::cause::{Case, SensorCauses, Shares, diagnose_causes_of};
use super::reading::Reading;
use forecast::{Finding, Site, SiteError};
use plan::DeviceKind;

/// Time on the air of one burst, minutes: a tenth of a second (common practice, no source).
const AIRTIME_MIN: f64 = 0.1 / 60.0;

/// The causes of every flaky sensor of a site, and of those asked for (indices of the plan's
/// devices), in plan order; an error for a link that is not known. Sensors whose links share a
/// frequency suffer together from what is on the air there.
pub fn causes(
    site: &Site<'_>,
    readings: &[Reading],
    calibration: &Calibration,
    asked: &[usize],
) -> Result<Vec<SensorCauses>, SiteError> {
    let channels = &calibration.channels;
    let sorted = ReadingsByChannel::new(site, readings);
    let mut with_channel: Vec<(Option<usize>, Reading)> = readings
        .iter()
        .filter(|reading| reading.sensor.is_none() && reading.listener.is_none())
        .map(|reading| (None, reading.clone()))
        .collect();
    for (key, readings) in &sorted.channels {
        let number = number(channels, key);
        with_channel.extend(readings.iter().map(|reading| (number, (*reading).clone())));
    }
    // The plan's own link comes first: the noise floor at the panel is read on it.
    let mut numbers: BTreeMap<u64, usize> = BTreeMap::new();
    numbers.insert(site.link(None)?.frequency.0.to_bits(), 0);
    let mut load = 0.0;
    let mut band_of = Vec::with_capacity(site.plan.devices.len());
    for device in &site.plan.devices {
        let link = site.link(device.link.as_ref())?;
        let next = numbers.len();
        let band = numbers.entry(link.frequency.0.to_bits()).or_insert(next);
        band_of.push(*band);
        if device.kind != DeviceKind::Panel {
            load += f64::from(link.bursts) * AIRTIME_MIN / link.checkin_min;
        }
    }
    let bands: Vec<usize> = channels
        .iter()
        .map(|channel| band_of.get(channel.key.device).copied().unwrap_or(0))
        .collect();
    let case = Case {
        prior: &calibration.prior,
        channels,
        bands: &bands,
        readings: &with_channel,
        shares: Shares::default().with_load(load),
    };
    let failing = calibration.devices.iter();
    let failing = failing.filter(|one| one.before.finding == Finding::Failing);
    let failing: Vec<usize> = failing.map(|one| one.device).collect();
    Ok(diagnose_causes_of(&case, asked, &failing))
}
