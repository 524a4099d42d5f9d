//! A sensor that is asked about, and the channels that tests of it would read.

use crate::{Channel, Circumstance, Receiver};

use super::next_test::{PLACES_PER_TEST, Test};
use super::state::Stand;
use super::way::{Case, Way, remarks, stand};

/// Most other sensors that a test reads.
const OTHERS_READ: usize = 6;

/// A sensor that is asked about.
pub(super) struct Subject {
    pub device: usize,
    pub band: usize,
    /// Numbers of its ways.
    pub ways: Vec<usize>,
    pub listeners: Vec<usize>,
    /// Channels of its ways, then those that the tests would read, in the order of [`Test::ALL`], then
    /// the further places to which it would be moved.
    pub block: Vec<usize>,
    pub stands: Vec<Stand>,
    /// What listens where it is read most.
    pub receiver: Receiver,
    pub battery_low: bool,
    pub tamper: bool,
    /// Channels of other sensors that a test would read, those of the best forecast.
    pub others: Vec<usize>,
}

impl Subject {
    /// `None` for a device without a channel. Channels that tests would read are added.
    pub fn new(
        case: &Case<'_>,
        device: usize,
        ways: &[Way],
        channels: &mut Vec<Channel>,
        bands: &mut Vec<usize>,
    ) -> Option<Self> {
        let own: Vec<usize> = (0..case.channels.len())
            .filter(|number| case.channels[*number].device == device)
            .collect();
        let read = |number: usize| {
            let of = |(channel, _): &&(Option<usize>, _)| *channel == Some(number);
            case.readings.iter().filter(of).count()
        };
        let as_found = |number: &usize| {
            let channel = &case.channels[*number];
            channel.placing == 0 && channel.transmitter == 0
        };
        let found = own.iter().copied().filter(as_found);
        // The most readings; of equals the first.
        let best = found.reduce(|a, b| if read(b) > read(a) { b } else { a });
        let main = match best {
            Some(main) => main,
            None => {
                let like = case.channels.get(*own.first()?)?;
                push(channels, bands, like, case.band(*own.first()?), (0, 0))
            }
        };
        let fresh = |of: fn(&Channel) -> u32| {
            let greatest = own.iter().map(|number| of(&case.channels[*number])).max();
            greatest.unwrap_or(0).saturating_add(1)
        };
        let (placing, transmitter) = (fresh(|c| c.placing), fresh(|c| c.transmitter));
        let like = channels[main].clone();
        let band = bands[main];
        let moved: Vec<usize> = (0..PLACES_PER_TEST as u32)
            .map(|n| push(channels, bands, &like, band, (placing.saturating_add(n), 0)))
            .collect();
        let swapped = push(channels, bands, &like, band, (0, transmitter));
        let numbers: Vec<usize> =
            (0..ways.len()).filter(|number| ways[*number].device == device).collect();
        let mut listeners: Vec<usize> = numbers.iter().map(|n| ways[*n].stand.listener).collect();
        listeners.push(like.listener);
        listeners.sort_unstable();
        listeners.dedup();
        let mut block: Vec<usize> = numbers.iter().map(|n| ways[*n].channel).collect();
        let mut stands: Vec<Stand> = numbers.iter().map(|n| ways[*n].stand).collect();
        for test in Test::ALL {
            let (channel, circumstance) = match test {
                Test::NoiseFloor | Test::Transmissions | Test::Others => {
                    (main, Circumstance::AsFound)
                }
                Test::WayCleared => (main, Circumstance::WayCleared),
                Test::FreshBattery => (main, Circumstance::FreshBattery),
                Test::OtherHour => (main, Circumstance::OtherHour),
                Test::Moved => (*moved.first()?, Circumstance::AsFound),
                Test::Swapped => (swapped, Circumstance::AsFound),
            };
            block.push(channel);
            stands.push(stand(&channels[channel], circumstance));
        }
        for channel in moved.into_iter().skip(1) {
            block.push(channel);
            stands.push(stand(&channels[channel], Circumstance::AsFound));
        }
        let (battery_low, tamper) = remarks(case, device);
        Some(Self {
            device,
            band,
            ways: numbers,
            listeners,
            block,
            stands,
            receiver: like.receiver.clone(),
            battery_low,
            tamper,
            others: others(case, device, like.listener, band),
        })
    }
}

/// Channels as found of other sensors of the band at a listener, the best forecasts first.
fn others(case: &Case<'_>, device: usize, listener: usize, band: usize) -> Vec<usize> {
    let wanted = |number: &usize| {
        let channel = &case.channels[*number];
        channel.device != device
            && channel.listener == listener
            && (channel.placing, channel.transmitter) == (0, 0)
            && case.band(*number) == band
    };
    let level = |number: usize| case.channels[number].level.0;
    let mut found: Vec<usize> = (0..case.channels.len()).filter(wanted).collect();
    found.sort_by(|a, b| level(*b).total_cmp(&level(*a)).then(a.cmp(b)));
    found.truncate(OTHERS_READ);
    found
}

/// A channel more, like another but for placing and transmitter; its number.
fn push(
    channels: &mut Vec<Channel>,
    bands: &mut Vec<usize>,
    like: &Channel,
    band: usize,
    (placing, transmitter): (u32, u32),
) -> usize {
    channels.push(Channel { placing, transmitter, ..like.clone() });
    bands.push(band);
    channels.len() - 1
}
