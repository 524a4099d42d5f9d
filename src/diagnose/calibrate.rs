//! What the readings make of the forecast: how much the site and each construction really lose, and
//! how every device then stands.

use std::collections::BTreeMap;

use nalgebra::DVector;
use rayon::prelude::*;

use super::channel::{Channel, Layout, Prior};
use super::factor::Factor;
use super::network::{ChannelKey, Line, Network, held};
use super::outlook::{Outlook, Shown, outlooks};
use super::propagation::{Posterior, posterior};
use super::reading::{Circumstance, Reading, Seen};
use super::receiver::Air;
use super::tally::{Tally, tally};
use super::visits::{VISIT_MIN, weighted};
use forecast::{Site, SiteError};
use units::{Db, Dbm};

/// Most times that the paths are traced anew with the scales found.
const MOST_ROUNDS: usize = 3;

/// A change of every level below this ends the rounds.
const SETTLED: Db = Db(0.05);

/// A mean with its standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sigma: f64,
}

/// What a construction seems to lose in this house.
#[derive(Debug, Clone, PartialEq)]
pub struct ConstructionEstimate {
    /// Its name.
    pub name: String,
    /// Loss at normal incidence that is forecast, at the frequency of the plan's link.
    pub normal_loss: Db,
    /// Factor on its loss in decibels, before the readings.
    pub scale_before: Estimate,
    /// The same after them; its mean is never below zero.
    pub scale_after: Estimate,
}

impl ConstructionEstimate {
    /// Loss at normal incidence with its standard deviation before the readings, dB.
    #[must_use]
    pub fn loss_before(&self) -> Estimate {
        self.loss(self.scale_before)
    }

    /// The same after them.
    #[must_use]
    pub fn loss_after(&self) -> Estimate {
        self.loss(self.scale_after)
    }

    fn loss(&self, scale: Estimate) -> Estimate {
        Estimate { mean: scale.mean * self.normal_loss.0, sigma: scale.sigma * self.normal_loss.0 }
    }
}

/// One device before and after the readings.
#[derive(Debug, Clone, PartialEq)]
pub struct DeviceEstimate {
    /// Its index in the plan's devices.
    pub device: usize,
    /// Its id.
    pub id: String,
    /// What the device itself loses more than another at its place, dB, after the readings.
    pub own: Estimate,
    /// What the path to the panel loses beyond what the calibrated site and constructions explain,
    /// [`DeviceEstimate::own`] included: a check with those would expect a level higher by this.
    pub loss: Db,
    /// The forecast, as without readings.
    pub before: Outlook,
    /// The forecast with them.
    pub after: Outlook,
    /// The levels at every listener before and after, the panel first.
    pub levels: Vec<ListenerLevel>,
    /// What was read of it, by listener; empty if nothing was.
    pub read: Vec<Tally>,
}

/// The static level of a device at one listener.
#[derive(Debug, Clone, PartialEq)]
pub struct ListenerLevel {
    /// Id of the repeater; `None` for the panel.
    pub listener: Option<String>,
    /// Before the readings.
    pub before: Shown,
    /// After them.
    pub after: Shown,
}

/// What readings make of a site.
#[derive(Debug, Clone)]
pub struct Calibration {
    /// Mean loss of the site that no wall explains, dB, before the readings.
    pub site_before: Estimate,
    /// The same after them.
    pub site_after: Estimate,
    /// Every construction in use, by name.
    pub constructions: Vec<ConstructionEstimate>,
    /// Every device but the panel, in plan order.
    pub devices: Vec<DeviceEstimate>,
    /// Lines of readings that name no device or listener of the plan, or a device as its own
    /// listener; they count for nothing.
    pub unused: Vec<usize>,
    /// What was assumed of the noise at every listener, the panel first.
    pub air: Vec<Air>,
    /// How often the paths were traced anew.
    pub rounds: usize,
    /// Whether the levels had settled then.
    pub settled: bool,
    /// The model about the scales found, for what builds on it.
    pub fit: Fit,
    /// What the prior says of offset and scales.
    pub prior: Prior,
    /// The channels, linear about the scales found.
    pub channels: Vec<Channel>,
}

/// Where the variables stand, and their joint distribution after the readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Where each variable stands.
    pub layout: Layout,
    /// Their distribution.
    pub posterior: Posterior,
}

impl Fit {
    /// A variable's mean and standard deviation.
    #[must_use]
    pub fn estimate(&self, variable: usize) -> Estimate {
        let joint = &self.posterior.joint;
        Estimate {
            mean: joint.mean[variable],
            sigma: joint.covariance[(variable, variable)].max(0.0).sqrt(),
        }
    }
}

/// Joins channels with the likelihoods of some of them, each with its channel's number.
#[must_use]
pub fn fit(prior: &Prior, channels: &[Channel], factors: &[(usize, &Factor)]) -> Fit {
    let (layout, joint) = prior.joint(channels);
    let placed: Vec<(usize, &Factor)> =
        factors.iter().map(|(number, factor)| (layout.channel(*number), *factor)).collect();
    Fit { posterior: posterior(&joint, &placed), layout }
}

/// Readings sorted by the channel that they are of.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Sorted<'r> {
    /// The readings of each channel.
    pub by_channel: BTreeMap<ChannelKey, Vec<&'r Reading>>,
    /// Lines of those that belong to none.
    pub unused: Vec<usize>,
}

impl<'r> Sorted<'r> {
    /// Sorts readings. A device held by another transmitter is a channel of its own, and so is each
    /// place that it was moved to; readings of one visit are of one place. Readings of a listener
    /// alone are left out.
    #[must_use]
    pub fn new(site: &Site<'_>, readings: &'r [Reading]) -> Self {
        let mut sorted = Self::default();
        let mut moved: BTreeMap<usize, Vec<(f64, usize, &Reading)>> = BTreeMap::new();
        for reading in readings {
            let Some(sensor) = &reading.sensor else {
                continue;
            };
            let device = site.plan.devices.iter().position(|one| one.id == *sensor);
            let listener = reading.listener.as_ref().map_or(Some(0), |id| {
                let at = site.repeaters.iter().position(|one| one.device.id == *id);
                at.map(|at| at + 1)
            });
            let known = device.zip(listener).filter(|(device, listener)| {
                let is = &site.plan.devices[*device];
                let heard_by = site.listeners().nth(*listener);
                is.kind != plan::DeviceKind::Panel
                    && heard_by.is_some_and(|one| one.device.id != is.id)
            });
            let Some((device, listener)) = known else {
                sorted.unused.push(reading.line);
                continue;
            };
            let mut key = ChannelKey::as_found(device, listener);
            match reading.circumstance {
                Circumstance::Moved => {
                    let time = reading.time_min.unwrap_or(f64::NEG_INFINITY);
                    moved.entry(device).or_default().push((time, listener, reading));
                    continue;
                }
                Circumstance::Swapped => key.transmitter = 1,
                Circumstance::AsFound
                | Circumstance::OtherHour
                | Circumstance::FreshBattery
                | Circumstance::WayCleared => {}
            }
            sorted.by_channel.entry(key).or_default().push(reading);
        }
        for (device, mut readings) in moved {
            readings.sort_by(|a, b| a.0.total_cmp(&b.0));
            let (mut placing, mut since) = (0, f64::NAN);
            for (time, listener, reading) in readings {
                // Not a number at first; two times that nobody knows are the same.
                if !(time == since || time - since <= VISIT_MIN) {
                    (placing, since) = (placing + 1, time);
                }
                let key = ChannelKey { placing, ..ChannelKey::as_found(device, listener) };
                sorted.by_channel.entry(key).or_default().push(reading);
            }
        }
        sorted
    }
}

/// Noise at every listener, the panel first: what the noise floor that was read as found exceeds the
/// expected one by, the median of several; nothing where it was not read.
#[must_use]
pub fn noise(site: &Site<'_>, expected: Dbm, readings: &[Reading]) -> Vec<Air> {
    let floor = |id: Option<&String>| {
        let mut read: Vec<f64> = readings
            .iter()
            .filter(|one| one.listener.as_ref() == id)
            .filter(|one| one.circumstance == Circumstance::AsFound)
            .filter_map(|one| match one.seen {
                Seen::NoiseFloor(level) => Some(level.0),
                _ => None,
            })
            .collect();
        read.sort_by(f64::total_cmp);
        let middle = read.get(read.len() / 2).copied();
        let rise = middle.map_or(0.0, |level| (level - expected.0).max(0.0));
        Air { noise_rise: Db(rise), ..Air::QUIET }
    };
    let own = |one: &forecast::Listener| one.device.id.clone();
    let repeaters = site.repeaters.iter().map(own);
    let ids = std::iter::once(None).chain(repeaters.map(Some));
    ids.map(|id| floor(id.as_ref())).collect()
}

/// Calibrates a site by readings. Without any the forecast is left to the bit.
///
/// The losses of the walls are linear in the scales only near those that the paths were traced with, so
/// that they are traced again with the scales found until no level changes.
///
/// # Errors
/// [`SiteError`] for a link that is not known.
pub fn calibrate<'s>(site: &'s Site<'s>, readings: &[Reading]) -> Result<Calibration, SiteError> {
    let network = Network::new(site)?;
    let sorted = Sorted::new(site, readings);
    let link = site.link(None)?;
    let air = noise(site, link.noise_floor(site.model.noise), readings);
    let more: Vec<ChannelKey> = sorted.by_channel.keys().copied().collect();
    let mut channels = network.channels(&more);
    let read: Vec<(usize, &Vec<&Reading>)> = sorted
        .by_channel
        .iter()
        .filter(|(_, readings)| readings.iter().any(|one| says_something(&one.seen)))
        .filter_map(|(key, readings)| {
            let number = channels.binary_search_by_key(key, Channel::key).ok()?;
            Some((number, readings))
        })
        .collect();
    let factors: Vec<(usize, Factor)> = read
        .par_iter()
        .map(|(number, readings)| {
            let channel = &channels[*number];
            let seen = weighted(&channel.receiver, readings);
            let here = air.get(channel.listener).copied().unwrap_or(Air::QUIET);
            (*number, Factor::weighted(&channel.receiver, here, &seen))
        })
        .collect();
    let factors: Vec<(usize, &Factor)> = factors.iter().map(|(n, factor)| (*n, factor)).collect();
    let mut found = fit(&network.prior, &channels, &factors);
    let (mut rounds, mut settled) = (0, factors.is_empty());
    while !settled && rounds < MOST_ROUNDS {
        let scales = scales(&found);
        let lines = network.traced(&scales, true);
        let about = network.channels_about(&scales, &lines, &more);
        let next = fit(&network.prior, &about, &factors);
        rounds += 1;
        let moved = (0..about.len()).map(|number| {
            let at = next.layout.channel(number);
            (next.posterior.joint.mean[at] - found.posterior.joint.mean[at]).abs()
        });
        settled = moved.fold(0.0, f64::max) < SETTLED.0;
        (found, channels) = (next, about);
    }
    let lines = if factors.is_empty() {
        network.lines().to_vec()
    } else {
        network.traced(&scales(&found), false)
    };
    let known = Known {
        network: &network,
        sorted: &sorted,
        channels: &channels,
        fit: &found,
        nothing_read: factors.is_empty(),
        lines: &lines,
    };
    Ok(Calibration {
        site_before: Estimate {
            mean: network.prior.site_offset.0,
            sigma: network.prior.site_sigma.0,
        },
        site_after: found.estimate(Layout::OFFSET),
        constructions: known.constructions(),
        devices: known.devices(),
        unused: sorted.unused.clone(),
        air,
        rounds,
        settled: settled && found.posterior.settled,
        prior: network.prior.clone(),
        channels: channels.clone(),
        fit: found.clone(),
    })
}

const fn says_something(seen: &Seen) -> bool {
    !matches!(seen, Seen::NoiseFloor(_) | Seen::Nothing)
}

fn scales(fit: &Fit) -> DVector<f64> {
    let mean = |number: usize| fit.posterior.joint.mean[fit.layout.scale(number)];
    DVector::from_fn(fit.layout.constructions, |number, _| held(mean(number)))
}

/// All that the result is made of.
struct Known<'a> {
    network: &'a Network<'a>,
    sorted: &'a Sorted<'a>,
    channels: &'a [Channel],
    fit: &'a Fit,
    nothing_read: bool,
    /// Losses at the scales found.
    lines: &'a [Line],
}

impl Known<'_> {
    fn constructions(&self) -> Vec<ConstructionEstimate> {
        let prior = &self.network.prior;
        let names = prior.constructions.iter().zip(&self.network.normal_losses);
        names
            .enumerate()
            .map(|(number, (name, loss))| {
                let after = self.fit.estimate(self.fit.layout.scale(number));
                ConstructionEstimate {
                    name: name.clone(),
                    normal_loss: *loss,
                    scale_before: Estimate {
                        mean: prior.scales[number],
                        sigma: prior.scale_covariance[(number, number)].sqrt(),
                    },
                    scale_after: Estimate { mean: after.mean.max(0.0), ..after },
                }
            })
            .collect()
    }

    /// The level of a way before and after.
    fn levels(&self, number: usize) -> (Shown, Shown) {
        let way = &self.network.ways[number];
        let before =
            Shown { level: way.received, margin: way.figures.margin, sigma: way.figures.sigma };
        let key = ChannelKey::as_found(way.device, way.listener);
        let found = self.channels.binary_search_by_key(&key, Channel::key);
        let (false, Ok(at)) = (self.nothing_read, found) else {
            return (before, before);
        };
        let after = self.fit.estimate(self.fit.layout.channel(at));
        let level = Dbm(after.mean);
        let after = Shown {
            level,
            margin: way.figures.margin + (level - way.received),
            sigma: Db(after.sigma),
        };
        (before, after)
    }

    fn devices(&self) -> Vec<DeviceEstimate> {
        let network = self.network;
        let site = network.site;
        let levels: Vec<(Shown, Shown)> =
            (0..network.ways.len()).into_par_iter().map(|number| self.levels(number)).collect();
        let before: Vec<Shown> = levels.iter().map(|(before, _)| *before).collect();
        let after: Vec<Shown> = levels.iter().map(|(_, after)| *after).collect();
        let before = outlooks(network, &before);
        let after = if self.nothing_read { before.clone() } else { outlooks(network, &after) };
        let offset = self.fit.estimate(Layout::OFFSET).mean - network.prior.site_offset.0;
        let devices = before.into_iter().zip(after);
        devices
            .filter_map(|((device, before), (_, after))| {
                let direct = network.way(device, 0)?;
                let id = site.plan.devices.get(device)?.id.clone();
                let place = self.fit.layout.devices.binary_search(&device).ok()?;
                let change = self.lines.get(direct)?.loss - network.lines().get(direct)?.loss;
                let explained = network.ways[direct].received - change - Db(offset);
                let (_, here) = levels.get(direct)?;
                let loss = explained - here.level;
                let own = network.ways.iter().zip(&levels);
                let levels = own.filter(|(way, _)| way.device == device);
                let listener = |number: usize| {
                    let listener = (number > 0).then(|| site.repeaters.get(number - 1));
                    listener.flatten().map(|one| one.device.id.clone())
                };
                Some(DeviceEstimate {
                    device,
                    id,
                    own: self.fit.estimate(self.fit.layout.own(place)),
                    loss: Db(if loss.0.is_finite() { loss.0 } else { 0.0 }),
                    before,
                    after,
                    levels: levels
                        .map(|(way, (before, after))| ListenerLevel {
                            listener: listener(way.listener),
                            before: *before,
                            after: *after,
                        })
                        .collect(),
                    read: self
                        .sorted
                        .by_channel
                        .iter()
                        .filter(|(key, _)| **key == ChannelKey::as_found(device, key.listener))
                        .map(|(key, readings)| tally(listener(key.listener), readings))
                        .collect(),
                })
            })
            .collect()
    }
}
