//! A sensor that is asked about, and the channels that tests of it would read.

use std::collections::BTreeSet;

use crate::channel::{Channel, ChannelKey};
use crate::propagation::Joint;
use crate::reading::Circumstance;
use crate::receiver::{Air, Receiver};

use super::case::{Case, ReadingGroup, remarks, setup};
use super::next_test::{ExpectedReading, LEVELS_PER_TEST, PLACES_PER_TEST, Test, spread};
use super::sensor_state::Setup;

/// Most other sensors that a test reads.
const OTHERS_READ: usize = 6;

pub(super) struct Subject {
    pub device: usize,
    pub band: usize,
    /// Numbers of its groups of readings.
    pub groups: Vec<usize>,
    pub listeners: Vec<usize>,
    /// Channels of its groups, then those that the tests would read, in the order of [`Test::ALL`],
    /// then the further places to which it would be moved.
    pub block: Vec<usize>,
    /// How each of the block is read.
    pub setups: Vec<Setup>,
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
        groups: &[ReadingGroup],
        channels: &mut Vec<Channel>,
        bands: &mut Vec<usize>,
    ) -> Option<Self> {
        let own: Vec<usize> = (0..case.channels.len())
            .filter(|number| case.channels[*number].key.device == device)
            .collect();
        let first = *own.first()?;
        let read = |number: usize| {
            let of = |(channel, _): &&(Option<usize>, _)| *channel == Some(number);
            case.readings.iter().filter(of).count()
        };
        // The most readings; of equals the first.
        let as_found = own.iter().copied().filter(|n| case.channels[*n].key.is_as_found());
        let most_read = as_found.reduce(|a, b| if read(b) > read(a) { b } else { a });
        let like = case.channels[most_read.unwrap_or(first)].clone();
        let band = case.band(most_read.unwrap_or(first));
        // A channel more, like that one but for place and transmitter; its number.
        let mut push = |placing: u32, transmitter: u32| {
            let key = ChannelKey { placing, transmitter, ..like.key };
            channels.push(Channel { key, ..like.clone() });
            bands.push(band);
            channels.len() - 1
        };
        let main = most_read.unwrap_or_else(|| push(0, 0));
        let unused = |of: fn(&ChannelKey) -> u32| {
            let greatest = own.iter().map(|number| of(&case.channels[*number].key)).max();
            greatest.unwrap_or(0).saturating_add(1)
        };
        let placing = unused(|key| key.placing);
        let moved: Vec<usize> = (0..PLACES_PER_TEST as u32)
            .map(|number| push(placing.saturating_add(number), 0))
            .collect();
        let swapped = push(0, unused(|key| key.transmitter));
        let numbers: Vec<usize> =
            (0..groups.len()).filter(|number| groups[*number].setup.key.device == device).collect();
        let mut listeners: BTreeSet<usize> =
            numbers.iter().map(|n| groups[*n].setup.key.listener).collect();
        listeners.insert(like.key.listener);
        let mut block: Vec<usize> = numbers.iter().map(|n| groups[*n].channel).collect();
        let mut setups: Vec<Setup> = numbers.iter().map(|n| groups[*n].setup).collect();
        let tests = Test::ALL.map(|test| match test {
            Test::NoiseFloor | Test::Transmissions | Test::Others => (main, Circumstance::AsFound),
            Test::WayCleared => (main, Circumstance::WayCleared),
            Test::FreshBattery => (main, Circumstance::FreshBattery),
            Test::OtherHour => (main, Circumstance::OtherHour),
            Test::Moved => (moved[0], Circumstance::AsFound),
            Test::Swapped => (swapped, Circumstance::AsFound),
        });
        let further = moved[1..].iter().map(|channel| (*channel, Circumstance::AsFound));
        for (channel, circumstance) in tests.into_iter().chain(further) {
            block.push(channel);
            setups.push(setup(&channels[channel], circumstance));
        }
        let (battery_low, tamper) = remarks(case, device);
        Some(Self {
            device,
            band,
            groups: numbers,
            listeners: listeners.into_iter().collect(),
            block,
            setups,
            others: others(case, device, like.key.listener, band),
            receiver: like.receiver,
            battery_low,
            tamper,
        })
    }

    /// What a test of the sensor itself, by its number in [`Test::ALL`], is expected to read, given
    /// the levels of the block.
    pub fn expected(&self, test: usize, levels: &Joint, air: Air) -> ExpectedReading {
        let place = self.groups.len() + test;
        let mut places = vec![place];
        if test == Test::Moved as usize {
            places.extend(self.groups.len() + Test::ALL.len()..self.block.len());
        }
        let (mean, variance) = levels.mean_of(&places);
        // Places differ by the luck of the spot, less what their mean has of it.
        let count = places.len() as f64;
        let apart = self.setups[place].spot_sigma * (1.0 - 1.0 / count).sqrt();
        let places = spread(0.0, apart, 1.0).to_vec();
        ExpectedReading { mean, variance, places, levels: LEVELS_PER_TEST, air }
    }
}

/// Channels as found of other sensors of the band at a listener, the best forecasts first.
fn others(case: &Case<'_>, device: usize, listener: usize, band: usize) -> Vec<usize> {
    let wanted = |number: &usize| {
        let channel = &case.channels[*number];
        channel.key.device != device
            && channel.key.listener == listener
            && channel.key.is_as_found()
            && case.band(*number) == band
    };
    let level = |number: usize| case.channels[number].level.0;
    let mut found: Vec<usize> = (0..case.channels.len()).filter(wanted).collect();
    found.sort_by(|a, b| level(*b).total_cmp(&level(*a)).then(a.cmp(b)));
    found.truncate(OTHERS_READ);
    found
}
