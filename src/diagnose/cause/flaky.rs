//! Which sensors want an explanation.

use crate::{Circumstance, Seen};
use units::Db;

use super::way::Case;

/// Most check-ins that a sound sensor misses: one in fifty (our choice, no source).
const SOUND_MISSES: f64 = 0.02;

/// As many misses as a sound sensor has with less than this chance make it flaky (our choice).
const RARE: f64 = 0.05;

/// A sensor read with less margin than this is flaky (our choice, no source).
const LITTLE_MARGIN: Db = Db(6.0);

/// The devices that are flaky by their own readings as found, in rising order: a window was lost;
/// or more check-ins were missed than a sound sensor misses one time in twenty; or the middle level
/// read lies less than 6 dB above what is needed, at the listener where that is best.
#[must_use]
pub fn flaky(case: &Case<'_>) -> Vec<usize> {
    let mut devices: Vec<usize> = case.channels.iter().map(|channel| channel.device).collect();
    devices.sort_unstable();
    devices.dedup();
    devices.retain(|device| is_flaky(case, *device));
    devices
}

fn is_flaky(case: &Case<'_>, device: usize) -> bool {
    let own = |number: &usize| {
        case.channels.get(*number).is_some_and(|channel| {
            channel.device == device && channel.placing == 0 && channel.transmitter == 0
        })
    };
    let as_found = |circumstance: Circumstance| {
        matches!(circumstance, Circumstance::AsFound | Circumstance::OtherHour)
    };
    let (mut checked, mut missed, mut lost) = (0_u32, 0_u32, false);
    let mut margins: Vec<(usize, Vec<f64>)> = Vec::new();
    for (channel, reading) in case.readings {
        let Some(number) = channel.filter(own) else {
            continue;
        };
        if !as_found(reading.circumstance) {
            continue;
        }
        let receiver = &case.channels[number].receiver;
        let level = match reading.seen {
            Seen::Level(level) => Some(level),
            Seen::Between { low, high } => low.zip(high).map(|(l, h)| l + (h - l) * 0.5),
            Seen::CheckIn { heard } => {
                checked += 1;
                missed += u32::from(!heard);
                None
            }
            Seen::Lost => {
                lost = true;
                None
            }
            Seen::NoiseFloor(_) | Seen::Nothing => None,
        };
        if let Some(level) = level {
            let margin = (level - receiver.fade_mean - receiver.needed).0;
            match margins.iter_mut().find(|(known, _)| *known == number) {
                Some((_, list)) => list.push(margin),
                None => margins.push((number, vec![margin])),
            }
        }
    }
    let middle = |list: &mut Vec<f64>| {
        list.sort_by(f64::total_cmp);
        list.get(list.len() / 2).copied()
    };
    let best = margins.iter_mut().filter_map(|(_, list)| middle(list)).reduce(f64::max);
    lost || best.is_some_and(|margin| margin < LITTLE_MARGIN.0)
        || missed > 0 && at_least(missed, checked) < RARE
}

/// Chance that a sound sensor misses so many check-ins or more.
fn at_least(missed: u32, checked: u32) -> f64 {
    let mut term = (1.0 - SOUND_MISSES).powf(f64::from(checked));
    let mut fewer = 0.0;
    for k in 0..missed {
        fewer += term;
        let left = f64::from(checked - k.min(checked));
        term *= left / f64::from(k + 1) * SOUND_MISSES / (1.0 - SOUND_MISSES);
    }
    1.0 - fewer
}
