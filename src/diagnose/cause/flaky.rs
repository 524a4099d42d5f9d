//! Which sensors want an explanation.

use std::collections::BTreeMap;

use crate::reading::{Circumstance, Seen};
use crate::tally::{RARE, SOUND_MISSES, at_least};
use units::Db;

use super::case::Case;

/// A sensor read with less margin than this is flaky (our choice, no source).
const LITTLE_MARGIN: Db = Db(6.0);

/// The devices that are flaky by their own readings as found, in rising order: a window was lost;
/// or more check-ins were missed than a sound sensor misses one time in twenty; or the middle level
/// read lies less than 6 dB above what is needed, at the listener where that is best.
#[must_use]
pub fn flaky(case: &Case<'_>) -> Vec<usize> {
    case.devices().into_iter().filter(|device| is_flaky(case, *device)).collect()
}

fn is_flaky(case: &Case<'_>, device: usize) -> bool {
    let (mut checked, mut missed, mut lost) = (0_u32, 0_u32, false);
    let mut margins: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    for (number, channel, reading) in case.known() {
        let as_found =
            matches!(reading.circumstance, Circumstance::AsFound | Circumstance::OtherHour);
        if channel.key.device != device || !channel.key.is_as_found() || !as_found {
            continue;
        }
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
        let receiver = &channel.receiver;
        let margin = level.map(|level| (level - receiver.fade_mean - receiver.needed).0);
        margins.entry(number).or_default().extend(margin);
    }
    let middle = |mut list: Vec<f64>| {
        list.sort_by(f64::total_cmp);
        list.get(list.len() / 2).copied()
    };
    let best = margins.into_values().filter_map(middle).reduce(f64::max);
    lost || best.is_some_and(|margin| margin < LITTLE_MARGIN.0)
        || missed > 0 && at_least(missed, checked, SOUND_MISSES) < RARE
}
