//! What the readings make of the forecast: how much the site and each construction really lose, and
//! what every device's forecast then is.
//!
//! The paths are always traced with the plan as drawn: `diagnose` ignores an earlier calibration,
//! so that no reading counts twice. The result is kept as a member of the plan and not as new
//! constructions: a scale keeps the dependence on angle and band, which a measured loss would lose,
//! and spreads and devices need a place, too.

use std::collections::BTreeMap;

use nalgebra::DVector;
use rayon::prelude::*;

use super::channel::{Channel, ChannelKey, Prior};
use super::device_forecast::{DeviceForecast, StaticLevel, device_forecasts};
use super::factor::Factor;
use super::network::{Network, TracedHop, held};
use super::propagation::{Normal as _, Posterior, posterior};
use super::reading::{Circumstance, Reading, Seen};
use super::receiver::Air;
use super::shared_fade::{VISIT_MIN, weighted};
use super::tally::{Tally, tally};
use super::variables::{Layout, Variables};
use forecast::{Site, SiteError};
use plan::calibration::{LOSS_DB, SCALE, SCALE_SIGMA, SIGMA_DB};
use plan::{Calibration as Kept, ConstructionScale, DeviceCalibration};
use units::{Db, Dbm};

/// Most times that the paths are traced anew with the scales found.
const MOST_ROUNDS: usize = 3;

/// Most channels that may be read: their work grows with the third power, to a minute or so here.
pub const MOST_READ: usize = 512;

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

impl Estimate {
    fn times(self, factor: f64) -> Self {
        Self { mean: self.mean * factor, sigma: self.sigma * factor }
    }
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
    /// Loss at normal incidence with its standard deviation, dB, before the readings.
    #[must_use]
    pub fn loss_before(&self) -> Estimate {
        self.scale_before.times(self.normal_loss.0)
    }

    /// The same after them.
    #[must_use]
    pub fn loss_after(&self) -> Estimate {
        self.scale_after.times(self.normal_loss.0)
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
    pub before: DeviceForecast,
    /// The forecast with them.
    pub after: DeviceForecast,
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
    pub before: StaticLevel,
    /// After them.
    pub after: StaticLevel,
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
    /// listener; they do not count.
    pub unused: Vec<usize>,
    /// How often the paths were traced anew.
    pub rounds: usize,
    /// Whether the levels had settled then.
    pub settled: bool,
    /// The model about the scales found, for what builds on it.
    pub fit: Fit,
    /// The prior of offset and scales.
    pub prior: Prior,
    /// The channels, linear about the scales found.
    pub channels: Vec<Channel>,
}

impl Calibration {
    /// The calibration as a plan keeps it, for the panel where the site has it. Factors and losses
    /// beyond what a plan may hold are brought to its limits.
    #[must_use]
    pub fn for_plan(&self, site: &Site<'_>) -> Kept {
        let panel = &site.panel.device;
        let loss = |loss: f64| Db(loss.clamp(LOSS_DB.0, LOSS_DB.1));
        let device = |one: &DeviceEstimate| {
            let level = one.levels.first().map_or(0.0, |level| level.after.sigma.0);
            DeviceCalibration {
                loss: loss(one.loss.0),
                own: loss(one.own.mean),
                sigma: Db(level.clamp(SIGMA_DB.0, SIGMA_DB.1)),
            }
        };
        Kept {
            panel: panel.id.clone(),
            level: panel.level,
            position: panel.position,
            height_m: panel.height_m,
            site_offset: loss(self.site_after.mean),
            site_sigma: Db(self.site_after.sigma.clamp(SIGMA_DB.0, SIGMA_DB.1)),
            constructions: self
                .constructions
                .iter()
                .map(|one| {
                    let scale = ConstructionScale {
                        scale: one.scale_after.mean.clamp(SCALE.0, SCALE.1),
                        sigma: one.scale_after.sigma.clamp(SCALE_SIGMA.0, SCALE_SIGMA.1),
                    };
                    (one.name.clone(), scale)
                })
                .collect(),
            devices: self.devices.iter().map(|one| (one.id.clone(), device(one))).collect(),
        }
    }
}

/// Where the variables stand, and how each is distributed after the readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Where each variable stands.
    pub layout: Layout,
    /// What the readings say.
    pub posterior: Posterior,
    estimates: Vec<Estimate>,
}

impl Fit {
    /// A variable's mean and standard deviation.
    #[must_use]
    pub fn estimate(&self, variable: usize) -> Estimate {
        self.estimates[variable]
    }
}

/// Joins channels with the likelihoods of some of them, each with its channel's number.
#[must_use]
pub fn fit(prior: &Prior, channels: &[Channel], factors: &[(usize, &Factor)]) -> Fit {
    let variables = Variables::new(prior, channels);
    let layout = &variables.layout;
    let placed: Vec<(usize, &Factor)> =
        factors.iter().map(|(number, factor)| (layout.channel(*number), *factor)).collect();
    let (posterior, after) = posterior(&variables, &placed);
    let estimate = |variable: usize| {
        let before = || (variables.mean(variable), variables.covariance(variable, variable));
        let (mean, variance) = after.as_ref().map_or_else(before, |after| after.marginal(variable));
        Estimate { mean, sigma: variance.max(0.0).sqrt() }
    };
    let estimates = (0..layout.count()).into_par_iter().map(estimate).collect();
    Fit { posterior, estimates, layout: variables.layout }
}

/// Readings by the channel that they are of.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ReadingsByChannel<'r> {
    /// The readings of each channel.
    pub channels: BTreeMap<ChannelKey, Vec<&'r Reading>>,
    /// Lines of those that belong to none.
    pub unused: Vec<usize>,
}

impl<'r> ReadingsByChannel<'r> {
    /// Sorts readings. A device held by another transmitter is a channel of its own, and so is each
    /// place that it was moved to; readings that share a fade are of one place. Readings of a
    /// listener alone are left out.
    #[must_use]
    pub fn new(site: &Site<'_>, readings: &'r [Reading]) -> Self {
        let mut sorted = Self::default();
        let mut moved: BTreeMap<usize, Vec<(f64, ChannelKey, &Reading)>> = BTreeMap::new();
        for reading in readings {
            let Some(sensor) = &reading.sensor else {
                continue;
            };
            let Some(mut key) = channel_as_found(site, sensor, reading.listener.as_ref()) else {
                sorted.unused.push(reading.line);
                continue;
            };
            if reading.circumstance == Circumstance::Moved {
                let time = reading.time_min.unwrap_or(f64::NEG_INFINITY);
                moved.entry(key.device).or_default().push((time, key, reading));
                continue;
            }
            key.transmitter = u32::from(reading.circumstance == Circumstance::Swapped);
            sorted.channels.entry(key).or_default().push(reading);
        }
        for mut readings in moved.into_values() {
            readings.sort_by(|a, b| a.0.total_cmp(&b.0));
            let (mut placing, mut since) = (0, f64::NAN);
            for (time, key, reading) in readings {
                // Not a number at first; two times that nobody knows are the same.
                if !(time == since || time - since <= VISIT_MIN) {
                    (placing, since) = (placing + 1, time);
                }
                let key = ChannelKey { placing, ..key };
                sorted.channels.entry(key).or_default().push(reading);
            }
        }
        sorted
    }
}

/// The channel of a device and a listener, by their ids; `None` if the plan has no such two, or
/// they are one.
fn channel_as_found(
    site: &Site<'_>,
    sensor: &str,
    listener: Option<&String>,
) -> Option<ChannelKey> {
    let device = site.plan.devices.iter().position(|one| one.id == *sensor)?;
    let (number, heard_by) = match listener {
        None => (0, &site.panel),
        Some(id) => site.listeners().enumerate().skip(1).find(|(_, one)| one.device.id == *id)?,
    };
    let is_panel = site.plan.devices[device].kind == plan::DeviceKind::Panel;
    (!is_panel && heard_by.device.id != sensor).then(|| ChannelKey::as_found(device, number))
}

/// Noise at every listener, the panel first: what the noise floor that was read as found exceeds
/// the expected one by, the median of several; nothing where it was not read.
#[must_use]
pub fn noise(site: &Site<'_>, expected: Dbm, readings: &[Reading]) -> Vec<Air> {
    let rise = |id: Option<&String>| {
        let floor = |one: &Reading| match one.seen {
            Seen::NoiseFloor(level) if one.listener.as_ref() == id => {
                (one.circumstance == Circumstance::AsFound).then_some(level.0)
            }
            _ => None,
        };
        let mut read: Vec<f64> = readings.iter().filter_map(floor).collect();
        read.sort_by(f64::total_cmp);
        let middle = read.get(read.len() / 2);
        let noise_rise = Db(middle.map_or(0.0, |level| (level - expected.0).max(0.0)));
        Air { noise_rise, ..Air::QUIET }
    };
    let repeaters = site.repeaters.iter().map(|one| Some(&one.device.id));
    std::iter::once(None).chain(repeaters).map(rise).collect()
}

/// Calibrates a site by readings; an error for a link that is not known. Without any reading the
/// forecast is left to the bit.
///
/// The losses of the walls are linear in the scales only near those that the paths were traced
/// with, so that they are traced again with the scales found until no level changes.
pub fn calibrate<'s>(site: &'s Site<'s>, readings: &[Reading]) -> Result<Calibration, SiteError> {
    let network = Network::new(site)?;
    let sorted = ReadingsByChannel::new(site, readings);
    let link = site.link(None)?;
    let air = noise(site, link.noise_floor(site.model.noise), readings);
    let keys: Vec<ChannelKey> = sorted.channels.keys().copied().collect();
    let mut channels = network.channels(&keys);
    let says_level = |one: &&Reading| !matches!(one.seen, Seen::NoiseFloor(_) | Seen::Nothing);
    let read: Vec<(ChannelKey, &Vec<&Reading>)> = sorted
        .channels
        .iter()
        .filter(|(_, readings)| readings.iter().any(says_level))
        .map(|(key, readings)| (*key, readings))
        .collect();
    let factors: Vec<(usize, Factor)> = read
        .par_iter()
        .filter_map(|(key, readings)| {
            let number = number(&channels, key)?;
            let receiver = &channels[number].receiver;
            let here = air.get(key.listener).copied().unwrap_or(Air::QUIET);
            Some((number, Factor::weighted(receiver, here, &weighted(receiver, readings))))
        })
        .collect();
    let factors: Vec<(usize, &Factor)> = factors.iter().map(|(n, factor)| (*n, factor)).collect();
    let mut found = fit(&network.prior, &channels, &factors);
    let (mut rounds, mut settled) = (0, factors.is_empty());
    while !settled && rounds < MOST_ROUNDS {
        let scales = scales(&found);
        let about = network.channels_about(&scales, &network.traced(&scales, true), &keys);
        let next = fit(&network.prior, &about, &factors);
        rounds += 1;
        let moved = (0..about.len()).map(|number| {
            let at = next.layout.channel(number);
            (next.estimate(at).mean - found.estimate(at).mean).abs()
        });
        settled = moved.fold(0.0, f64::max) < SETTLED.0;
        (found, channels) = (next, about);
    }
    let results = Results {
        network: &network,
        sorted: &sorted,
        channels: &channels,
        fit: &found,
        nothing_read: factors.is_empty(),
    };
    let prior = &network.prior;
    Ok(Calibration {
        site_before: Estimate { mean: prior.site_offset.0, sigma: prior.site_sigma.0 },
        site_after: found.estimate(Layout::OFFSET),
        constructions: results.constructions(),
        devices: results.devices(),
        rounds,
        settled: settled && found.posterior.settled,
        prior: prior.clone(),
        unused: sorted.unused,
        channels,
        fit: found,
    })
}

/// The number of a channel in a list in rising order of the keys.
pub(super) fn number(channels: &[Channel], key: &ChannelKey) -> Option<usize> {
    channels.binary_search_by_key(key, |channel| channel.key).ok()
}

fn scales(fit: &Fit) -> DVector<f64> {
    let mean = |number: usize| fit.estimate(fit.layout.scale(number)).mean;
    DVector::from_fn(fit.layout.constructions, |number, _| held(mean(number)))
}

struct Results<'a> {
    network: &'a Network<'a>,
    sorted: &'a ReadingsByChannel<'a>,
    channels: &'a [Channel],
    fit: &'a Fit,
    nothing_read: bool,
}

impl Results<'_> {
    fn constructions(&self) -> Vec<ConstructionEstimate> {
        let prior = &self.network.prior;
        let names = prior.constructions.iter().zip(&self.network.normal_losses).enumerate();
        let estimate = |(number, (name, loss)): (usize, (&String, &Db))| {
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
        };
        names.map(estimate).collect()
    }

    fn levels(&self, hop: &TracedHop) -> (StaticLevel, StaticLevel) {
        let (margin, sigma) = (hop.figures.margin, hop.figures.sigma);
        let before = StaticLevel { level: hop.received, margin, sigma };
        let found = number(self.channels, &ChannelKey::as_found(hop.device, hop.listener));
        let Some(at) = found.filter(|_| !self.nothing_read) else {
            return (before, before);
        };
        let after = self.fit.estimate(self.fit.layout.channel(at));
        let level = Dbm(after.mean);
        let margin = margin + (level - hop.received);
        (before, StaticLevel { level, margin, sigma: Db(after.sigma) })
    }

    fn devices(&self) -> Vec<DeviceEstimate> {
        let network = self.network;
        let site = network.site;
        let levels: Vec<(StaticLevel, StaticLevel)> =
            network.hops.iter().map(|hop| self.levels(hop)).collect();
        let (before, after): (Vec<StaticLevel>, Vec<StaticLevel>) = levels.iter().copied().unzip();
        let before = device_forecasts(network, &before);
        let losses = (!self.nothing_read).then(|| network.traced(&scales(self.fit), false));
        let after =
            if losses.is_some() { device_forecasts(network, &after) } else { before.clone() };
        let losses = losses.as_ref().unwrap_or(&network.losses);
        let offset = self.fit.estimate(Layout::OFFSET).mean - network.prior.site_offset.0;
        let listener = |number: usize| {
            let repeater = number.checked_sub(1).and_then(|number| site.repeaters.get(number));
            repeater.map(|one| one.device.id.clone())
        };
        let estimate = |((device, before), (_, after)): ((usize, _), (usize, _))| {
            let direct = network.hop(device, 0)?;
            let place = self.fit.layout.devices.binary_search(&device).ok()?;
            let change = losses[direct].loss - network.losses[direct].loss;
            let explained = network.hops[direct].received - change - Db(offset);
            let loss = explained - levels[direct].1.level;
            let own = network.hops.iter().zip(&levels).filter(|(hop, _)| hop.device == device);
            let own_level = |(hop, (before, after)): (&TracedHop, &(StaticLevel, StaticLevel))| {
                ListenerLevel { listener: listener(hop.listener), before: *before, after: *after }
            };
            let as_found = self.sorted.channels.iter();
            let as_found = as_found.filter(|(key, _)| key.device == device && key.is_as_found());
            Some(DeviceEstimate {
                device,
                id: site.plan.devices.get(device)?.id.clone(),
                own: self.fit.estimate(self.fit.layout.own(place)),
                loss: Db(if loss.0.is_finite() { loss.0 } else { 0.0 }),
                before,
                after,
                levels: own.map(own_level).collect(),
                read: as_found
                    .map(|(key, readings)| tally(listener(key.listener), readings))
                    .collect(),
            })
        };
        before.into_iter().zip(after).filter_map(estimate).collect()
    }
}
