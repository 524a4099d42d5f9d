//! A case: the readings of a house grouped by the level that they share.

use crate::reading::lines_of;
use crate::{Air, Channel, Circumstance, Factor, Prior, Reading, Receiver, Remark, Seen};
use units::{Db, Dbm};

use super::kind::Shares;
use super::state::Stand;

/// Standard deviation of the noise floor that is expected at a quiet panel, dB (our choice, no source:
/// less than the deciles of man-made noise, which a site keeps in part).
pub const FLOOR_SIGMA: Db = Db(3.0);

/// Error of a reading of the noise floor, dB (our choice, no source).
pub const FLOOR_METER_SIGMA: Db = Db(2.0);

/// All that the causes are worked out from.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// What is known of the site beforehand.
    pub prior: &'a Prior,
    /// The channels: one for each device, listener, placing and transmitter that is read.
    pub channels: &'a [Channel],
    /// For each channel the number of its band: sensors of one band suffer together. Zero where
    /// there are none.
    pub bands: &'a [usize],
    /// Each reading with its channel; `None` for a noise floor at the panel (of band 0), and for
    /// what no channel is known for, which is passed over.
    pub readings: &'a [(Option<usize>, Reading)],
    /// How likely each cause is beforehand.
    pub shares: Shares,
}

impl Case<'_> {
    /// The channel that a reading of a device at a listener needs: device, listener, placing,
    /// transmitter. `fresh` is a number that no other moved or swapped reading has; readings taken
    /// at the same new place, or of the same sensor held there, may share it.
    #[must_use]
    pub fn channel_key(
        device: usize,
        listener: usize,
        circumstance: Circumstance,
        fresh: u32,
    ) -> (usize, usize, u32, u32) {
        match circumstance {
            Circumstance::Moved => (device, listener, fresh.max(1), 0),
            Circumstance::Swapped => (device, listener, 0, fresh.max(1)),
            _ => (device, listener, 0, 0),
        }
    }

    /// Band of a channel.
    #[must_use]
    pub fn band(&self, channel: usize) -> usize {
        self.bands.get(channel).copied().unwrap_or(0)
    }
}

/// Readings of one channel under one circumstance: they share a level and an air.
#[derive(Debug, Clone)]
pub(super) struct Way {
    pub channel: usize,
    pub device: usize,
    pub band: usize,
    pub stand: Stand,
    /// Which of [`Tables::receivers`].
    pub receiver: usize,
    levels: Factor,
    /// Levels of check-ins that were told of besides.
    decoded: Vec<Seen>,
    heard: f64,
    missed: f64,
    lost: f64,
}

/// How a channel stands under a circumstance. A moved sensor and a swapped one are channels of their
/// own, so that the circumstance is then as found.
pub(super) fn stand(channel: &Channel, circumstance: Circumstance) -> Stand {
    Stand {
        listener: channel.listener,
        placing: channel.placing,
        transmitter: channel.transmitter,
        circumstance: match circumstance {
            Circumstance::Moved | Circumstance::Swapped => Circumstance::AsFound,
            other => other,
        },
        spot_sigma: channel.spot_sigma.0,
    }
}

/// Groups the readings; groups are in the order of their channel and circumstance.
pub(super) fn ways(case: &Case<'_>, tables: &Tables<'_>) -> Vec<Way> {
    let mut keys: Vec<(usize, Circumstance)> = Vec::new();
    let mut seen: Vec<Vec<(Seen, bool)>> = Vec::new();
    let mut sorted: Vec<(usize, Circumstance, (Seen, bool))> = Vec::new();
    let placed = || case.readings.iter().map(|(_, reading)| reading);
    let levels = lines_of(placed(), Reading::tells_level);
    let heard = lines_of(placed(), Reading::is_heard);
    for (channel, reading) in case.readings {
        let Some(channel) = *channel else { continue };
        let Some(found) = case.channels.get(channel) else {
            continue;
        };
        if matches!(reading.seen, Seen::NoiseFloor(_) | Seen::Nothing) {
            continue;
        }
        let circumstance = stand(found, reading.circumstance).circumstance;
        // A check-in goes with its level, which tells how it had faded.
        if !(reading.is_heard() && levels.contains(&reading.line)) {
            let told = reading.tells_level() && heard.contains(&reading.line);
            sorted.push((channel, circumstance, (reading.seen, told)));
        }
    }
    // Stable by group; within a group alike readings are counted, so that order is of no account.
    sorted.sort_by_key(|(channel, circumstance, _)| (*channel, *circumstance));
    for (channel, circumstance, one) in sorted {
        if keys.last() != Some(&(channel, circumstance)) {
            keys.push((channel, circumstance));
            seen.push(Vec::new());
        }
        if let Some(group) = seen.last_mut() {
            group.push(one);
        }
    }
    let build = |((channel, circumstance), seen): (&(usize, Circumstance), &Vec<(Seen, bool)>)| {
        let found = &case.channels[*channel];
        let count = |wanted: Seen| seen.iter().filter(|(one, _)| *one == wanted).count() as f64;
        let is_level = |one: &Seen| matches!(one, Seen::Level(_) | Seen::Between { .. });
        let levels = seen.iter().map(|(one, _)| one).filter(|one| is_level(one));
        let decoded = seen.iter().filter(|(_, told)| *told).map(|(one, _)| *one);
        Way {
            channel: *channel,
            device: found.device,
            band: case.band(*channel),
            stand: stand(found, *circumstance),
            receiver: tables.receiver(&found.receiver),
            levels: Factor::new(&found.receiver, Air::QUIET, levels),
            decoded: decoded.collect(),
            heard: count(Seen::CheckIn { heard: true }),
            missed: count(Seen::CheckIn { heard: false }),
            lost: count(Seen::Lost),
        }
    };
    use rayon::prelude::*;
    let groups: Vec<_> = keys.iter().zip(&seen).collect();
    groups.into_par_iter().map(build).collect()
}

impl Way {
    /// The likelihood of its readings under an air.
    pub fn likelihood(&self, tables: &Tables<'_>, air: Air) -> Factor {
        let Some(table) = tables.of(self.receiver, air) else {
            return self.levels.clone();
        };
        let product = Factor::product(&[
            (&self.levels, 1.0),
            (&table.heard, self.heard),
            (&table.missed, self.missed),
            (&table.lost, self.lost),
        ]);
        let Some(receiver) = tables.receivers.get(self.receiver) else {
            return product;
        };
        let decoded = self.decoded.iter();
        let log: f64 = decoded.map(|one| receiver.log_decoded(one, air)).sum();
        if log == 0.0 { product } else { product.times_constant(log) }
    }
}

/// Likelihoods of one check-in heard, one missed and one window lost.
#[derive(Debug)]
struct CheckIns {
    heard: Factor,
    missed: Factor,
    lost: Factor,
}

/// The likelihoods of check-ins, for each kind of receiver and each air that is asked for.
#[derive(Debug)]
pub(super) struct Tables<'a> {
    pub receivers: Vec<&'a Receiver>,
    airs: Vec<Air>,
    entries: Vec<CheckIns>,
}

impl<'a> Tables<'a> {
    /// For all receivers of the channels, under each air.
    pub fn new(channels: &'a [Channel], airs: Vec<Air>) -> Self {
        use rayon::prelude::*;
        let mut receivers: Vec<&Receiver> = Vec::new();
        for channel in channels {
            if !receivers.contains(&&channel.receiver) {
                receivers.push(&channel.receiver);
            }
        }
        let mut distinct: Vec<Air> = Vec::new();
        for air in airs {
            if !distinct.contains(&air) {
                distinct.push(air);
            }
        }
        let pairs: Vec<(&Receiver, Air)> = receivers
            .iter()
            .flat_map(|receiver| distinct.iter().map(move |air| (*receiver, *air)))
            .collect();
        let build = |(receiver, air): (&Receiver, Air)| {
            let of =
                |seen: Seen| Factor::from_log(|level| receiver.log_likelihood(&seen, level, air));
            CheckIns {
                heard: of(Seen::CheckIn { heard: true }),
                missed: of(Seen::CheckIn { heard: false }),
                lost: of(Seen::Lost),
            }
        };
        let entries = pairs.into_par_iter().map(build).collect();
        Self { receivers, airs: distinct, entries }
    }

    /// Number of a receiver.
    pub fn receiver(&self, receiver: &Receiver) -> usize {
        let found = self.receivers.iter().position(|known| *known == receiver);
        found.unwrap_or(0)
    }

    fn of(&self, receiver: usize, air: Air) -> Option<&CheckIns> {
        let place = self.airs.iter().position(|known| *known == air)?;
        self.entries.get(receiver * self.airs.len() + place)
    }
}

/// A noise floor that was read.
#[derive(Debug, Clone, Copy)]
pub(super) struct FloorSeen {
    pub band: usize,
    /// What was read less what is expected, dB.
    pub above: f64,
    pub other_hour: bool,
}

/// The noise floors read at the panel.
pub(super) fn floors(case: &Case<'_>) -> Vec<FloorSeen> {
    let expected = |band: usize| -> Option<Dbm> {
        let mut numbered = case.channels.iter().enumerate();
        let found = numbered.find(|(n, c)| c.listener == 0 && case.band(*n) == band);
        found.map(|(_, channel)| channel.receiver.noise_floor)
    };
    let one = |(channel, reading): &(Option<usize>, Reading)| {
        let Seen::NoiseFloor(read) = reading.seen else {
            return None;
        };
        let found = channel.and_then(|number| case.channels.get(number));
        if found.is_some_and(|channel| channel.listener != 0) {
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

/// Whether a device's own readings tell a low battery, and tamper.
pub(super) fn remarks(case: &Case<'_>, device: usize) -> (bool, bool) {
    let (mut battery, mut tamper) = (false, false);
    for (channel, reading) in case.readings {
        let of_device = channel
            .and_then(|number| case.channels.get(number))
            .is_some_and(|channel| channel.device == device && channel.transmitter == 0);
        if !of_device {
            continue;
        }
        let fresh = reading.circumstance == Circumstance::FreshBattery;
        battery |= !fresh && reading.remarks.contains(&Remark::BatteryLow);
        tamper |= reading.remarks.contains(&Remark::Tamper);
    }
    (battery, tamper)
}
