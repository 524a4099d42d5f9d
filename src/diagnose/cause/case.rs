//! A case: the readings of a house grouped by the level that they share.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use crate::channel::{Channel, Prior};
use crate::factor::Factor;
use crate::reading::{Circumstance, Reading, Remark, Seen, lines_of};
use crate::receiver::{Air, Receiver};
use units::{Db, Dbm};

use super::kind::Shares;
use super::sensor_state::Setup;

/// Standard deviation of the noise floor that is expected at a quiet panel, dB (our choice, no
/// source: less than the deciles of man-made noise, which a site keeps in part).
pub const FLOOR_SIGMA: Db = Db(3.0);

/// Error of a reading of the noise floor, dB (our choice, no source).
pub const FLOOR_METER_SIGMA: Db = Db(2.0);

/// All that the causes are worked out from.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// The prior of the site.
    pub prior: &'a Prior,
    /// The channels: one for each device, listener, placing and transmitter that is read.
    pub channels: &'a [Channel],
    /// For each channel the number of its band: sensors of one band suffer together. Zero where
    /// there are none.
    pub bands: &'a [usize],
    /// Each reading with its channel; `None` for a noise floor at the panel (of band 0), and for
    /// readings whose channel is not known, which are passed over.
    pub readings: &'a [(Option<usize>, Reading)],
    /// The prior of the causes.
    pub shares: Shares,
}

impl Case<'_> {
    /// Band of a channel.
    #[must_use]
    pub fn band(&self, channel: usize) -> usize {
        self.bands.get(channel).copied().unwrap_or(0)
    }

    /// The readings whose channel is known, with its number.
    pub(super) fn known(&self) -> impl Iterator<Item = (usize, &Channel, &Reading)> + Clone {
        let all = self.readings.iter();
        all.filter_map(|(n, reading)| Some(((*n)?, self.channels.get((*n)?)?, reading)))
    }

    /// The devices that have a channel, in rising order.
    pub(super) fn devices(&self) -> BTreeSet<usize> {
        self.channels.iter().map(|channel| channel.key.device).collect()
    }
}

/// Readings of one channel under one circumstance: they share a level and an air.
#[derive(Debug, Clone)]
pub(super) struct ReadingGroup {
    pub channel: usize,
    pub band: usize,
    pub setup: Setup,
    /// Which of [`Tables::receivers`].
    pub receiver: usize,
    levels: Factor,
    /// Levels of check-ins that are known to have been heard.
    decoded: Vec<Seen>,
    heard: f64,
    missed: f64,
    lost: f64,
}

/// How a channel is read under a circumstance. A moved sensor and a swapped one are channels of
/// their own, so that the circumstance is then as found.
pub(super) fn setup(channel: &Channel, circumstance: Circumstance) -> Setup {
    let circumstance = match circumstance {
        Circumstance::Moved | Circumstance::Swapped => Circumstance::AsFound,
        other => other,
    };
    Setup { key: channel.key, circumstance, spot_sigma: channel.spot_sigma.0 }
}

/// Groups the readings; groups are in the order of their channel and circumstance.
pub(super) fn groups(case: &Case<'_>, tables: &Tables<'_>) -> Vec<ReadingGroup> {
    let all = || case.readings.iter().map(|(_, reading)| reading);
    let with_level = lines_of(all(), Reading::has_level);
    let heard = lines_of(all(), Reading::is_heard);
    let mut groups: BTreeMap<(usize, Circumstance), Vec<&Reading>> = BTreeMap::new();
    for (channel, found, reading) in case.known() {
        // A check-in goes with its level, which shows how it had faded.
        let is_with_level = reading.is_heard() && with_level.contains(&reading.line);
        if !is_with_level && !matches!(reading.seen, Seen::NoiseFloor(_) | Seen::Nothing) {
            let circumstance = setup(found, reading.circumstance).circumstance;
            groups.entry((channel, circumstance)).or_default().push(reading);
        }
    }
    let build = |((channel, circumstance), readings): ((usize, Circumstance), Vec<&Reading>)| {
        let found = &case.channels[channel];
        let count = |wanted: Seen| readings.iter().filter(|one| one.seen == wanted).count() as f64;
        let levels = || readings.iter().filter(|one| one.has_level());
        let decoded = levels().filter(|one| heard.contains(&one.line));
        ReadingGroup {
            channel,
            band: case.band(channel),
            setup: setup(found, circumstance),
            receiver: tables.receiver(&found.receiver),
            levels: Factor::new(&found.receiver, Air::QUIET, levels().map(|one| &one.seen)),
            decoded: decoded.map(|one| one.seen).collect(),
            heard: count(Seen::CheckIn { heard: true }),
            missed: count(Seen::CheckIn { heard: false }),
            lost: count(Seen::Lost),
        }
    };
    let groups: Vec<_> = groups.into_iter().collect();
    groups.into_par_iter().map(build).collect()
}

impl ReadingGroup {
    /// The likelihood of its readings under an air.
    pub fn likelihood(&self, tables: &Tables<'_>, air: Air) -> Factor {
        let Some(table) = tables.of(self.receiver, air) else {
            return self.levels.clone();
        };
        let receiver = tables.receivers[self.receiver];
        let decoded: f64 = self.decoded.iter().map(|one| receiver.log_decoded(one, air)).sum();
        let [heard, missed, lost] = table;
        let parts =
            [(&self.levels, 1.0), (heard, self.heard), (missed, self.missed), (lost, self.lost)];
        Factor::product(&parts, decoded)
    }
}

/// The likelihoods of one check-in heard, one missed and one window lost, for each kind of receiver
/// and each air that is asked for.
#[derive(Debug)]
pub(super) struct Tables<'a> {
    pub receivers: Vec<&'a Receiver>,
    airs: Vec<Air>,
    entries: Vec<[Factor; 3]>,
}

impl<'a> Tables<'a> {
    /// For all receivers of the channels, under each air.
    pub fn new(channels: &'a [Channel], airs: &[Air]) -> Self {
        let receivers = distinct(channels.iter().map(|channel| &channel.receiver));
        let airs = distinct(airs.iter().copied());
        let pairs: Vec<(&Receiver, Air)> = receivers
            .iter()
            .flat_map(|receiver| airs.iter().map(move |air| (*receiver, *air)))
            .collect();
        let build = |(receiver, air): (&Receiver, Air)| {
            let seen = [Seen::CheckIn { heard: true }, Seen::CheckIn { heard: false }, Seen::Lost];
            seen.map(|seen| Factor::from_log(|level| receiver.log_likelihood(&seen, level, air)))
        };
        let entries = pairs.into_par_iter().map(build).collect();
        Self { receivers, airs, entries }
    }

    fn receiver(&self, receiver: &Receiver) -> usize {
        self.receivers.iter().position(|known| *known == receiver).unwrap_or(0)
    }

    fn of(&self, receiver: usize, air: Air) -> Option<&[Factor; 3]> {
        let place = self.airs.iter().position(|known| *known == air)?;
        self.entries.get(receiver * self.airs.len() + place)
    }
}

fn distinct<T: PartialEq>(all: impl Iterator<Item = T>) -> Vec<T> {
    let mut found = Vec::new();
    for one in all {
        if !found.contains(&one) {
            found.push(one);
        }
    }
    found
}

#[derive(Debug, Clone, Copy)]
pub(super) struct FloorSeen {
    pub band: usize,
    /// What was read less what is expected, dB.
    pub above: f64,
    pub other_hour: bool,
}

pub(super) fn floors(case: &Case<'_>) -> Vec<FloorSeen> {
    let expected = |band: usize| -> Option<Dbm> {
        let mut numbered = case.channels.iter().enumerate();
        let found = numbered.find(|(n, c)| c.key.listener == 0 && case.band(*n) == band);
        found.map(|(_, channel)| channel.receiver.noise_floor)
    };
    let one = |(channel, reading): &(Option<usize>, Reading)| {
        let Seen::NoiseFloor(read) = reading.seen else {
            return None;
        };
        let found = channel.and_then(|number| case.channels.get(number));
        if found.is_some_and(|channel| channel.key.listener != 0) {
            return None;
        }
        let band = channel.map_or(0, |number| case.band(number));
        Some(FloorSeen {
            band,
            above: (read - expected(band)?).0,
            other_hour: reading.circumstance == Circumstance::OtherHour,
        })
    };
    let mut found: Vec<FloorSeen> = case.readings.iter().filter_map(one).collect();
    found.sort_by(|a, b| {
        (a.band, a.other_hour).cmp(&(b.band, b.other_hour)).then(a.above.total_cmp(&b.above))
    });
    found
}

/// Whether a device's own readings report a low battery, and tamper.
pub(super) fn remarks(case: &Case<'_>, device: usize) -> (bool, bool) {
    let own = case
        .known()
        .filter(|(_, channel, _)| channel.key.device == device && channel.key.transmitter == 0);
    let says = |wanted: Remark| {
        own.clone().any(|(_, _, reading)| {
            let fresh = reading.circumstance == Circumstance::FreshBattery;
            reading.remarks.contains(&wanted) && !(fresh && wanted == Remark::BatteryLow)
        })
    };
    (says(Remark::BatteryLow), says(Remark::Tamper))
}
