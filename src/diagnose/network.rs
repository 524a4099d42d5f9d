//! Every way from a device to a listener as a channel, and what is known of the site before it is
//! read.
//!
//! Without a reading a channel's level, static spread and so its chance of a fault are those of the
//! forecast: the static variance of [`Site::static_sigma`] is split into its parts. The luck of the
//! spot is the model's. The site takes [`SITE_SIGMA`], a device [`OWN_SIGMA`], the walls what the
//! spread of their constructions makes of the path at hand, and shadowing all that is left.
//!
//! All walls of one construction go together here, where the forecast takes each by itself, so that
//! behind several of them the walls alone could exceed the whole. They get no more than
//! [`WALLS_MOST`] of what site and device leave; the slopes of such a path are made smaller in
//! proportion. Power that finds other ways round makes the same of deep places: in a furnished flat at
//! 2.4 GHz 6 dB more arrived behind two walls than twice the first wall's loss allows
//! (doi 10.5281/zenodo.5457591, calculated here). Nothing is known of the right share: our choice.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

use super::channel::{Channel, Prior};
use super::receiver::Receiver;
use forecast::{
    DeviceLosses, Follower, HopFigures, Ledger, Listener, SHADOWING_SIGMA, SITE_SIGMA, Site,
    SiteError, Surface, Surfaces, Trail, View, class_of, hop_figures, losses_of,
};
use plan::{Device, DeviceKind};
use radio::Link;
use trace::HeightProfile;
use units::{Db, Dbm};

/// Standard deviation of what one device loses more or less than another at its place: spread of
/// production, its battery, what stands close before it (our choice, no source).
pub const OWN_SIGMA: Db = Db(3.0);

/// Least and most that the scale of a construction may be uncertain by, as a share of its loss (our
/// choice, no source): the catalogue's spread is a standard deviation in decibels, which for light
/// constructions exceeds their loss.
pub const SCALE_SIGMA: (f64, f64) = (0.1, 0.6);

/// Correlation of the scales of two constructions of one class in one house: the same builder, the
/// same moisture (our choice, no source).
pub const CLASS_CORRELATION: f64 = 0.8;

/// The most that walls take of the static variance that site and device leave (our choice).
pub const WALLS_MOST: f64 = 0.75;

/// Scales are held within this when paths are traced with them.
const TRACED_SCALES: (f64, f64) = (0.05, 4.0);

/// Step of the scale for slopes.
const SCALE_STEP: f64 = 0.05;

/// No forecast is taken for less than this, dBm: nothing is heard there in any case.
const LEAST_LEVEL: Dbm = Dbm(-190.0);

/// Which channel: the indices of a [`Channel`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ChannelKey {
    /// The device, an index of the plan's devices.
    pub device: usize,
    /// The listener: 0 the panel, then the repeaters in plan order.
    pub listener: usize,
    /// Which placing: 0 as found, else moved.
    pub placing: u32,
    /// Which transmitter: 0 the device's own, else another in its place.
    pub transmitter: u32,
}

impl ChannelKey {
    /// The channel of a device as found.
    #[must_use]
    pub const fn as_found(device: usize, listener: usize) -> Self {
        Self { device, listener, placing: 0, transmitter: 0 }
    }
}

impl Channel {
    /// Which channel it is.
    #[must_use]
    pub const fn key(&self) -> ChannelKey {
        ChannelKey {
            device: self.device,
            listener: self.listener,
            placing: self.placing,
            transmitter: self.transmitter,
        }
    }
}

/// One device and one listener, as the forecast has them.
#[derive(Debug, Clone)]
pub struct Way {
    /// The device, an index of the plan's devices.
    pub device: usize,
    /// The listener: 0 the panel, then the repeaters in plan order.
    pub listener: usize,
    /// The device's link.
    pub link: Link,
    /// Forecast of the hop.
    pub figures: HopFigures,
    /// Level that the listener receives.
    pub received: Dbm,
    /// Share of the walls' slopes that counts, 0 to 1.
    walls_share: f64,
    shadow_sigma: Db,
    receiver: usize,
}

/// What one way loses at some scales of the constructions.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Loss of all paths together.
    pub loss: Db,
    /// Loss in decibels for each unit of scale, for each construction.
    pub slopes: Vec<f64>,
}

/// All ways of a site, and what is known of it before it is read.
#[derive(Debug)]
pub struct Network<'s> {
    /// The site.
    pub site: &'s Site<'s>,
    /// What is known beforehand.
    pub prior: Prior,
    /// What each construction loses at normal incidence at the frequency of the plan's link.
    pub normal_losses: Vec<Db>,
    /// Every device but the panel with every listener but itself, devices in plan order.
    pub ways: Vec<Way>,
    /// Standard deviation of each device's own loss.
    pub own_sigma: Db,
    receivers: Vec<Receiver>,
    lines: Vec<Line>,
}

impl<'s> Network<'s> {
    /// Traces all ways of a site.
    ///
    /// # Errors
    /// [`SiteError`] for a link that is not known.
    pub fn new(site: &'s Site<'s>) -> Result<Self, SiteError> {
        let (prior, normal_losses, own_sigma) = prior(site)?;
        let mut receivers = Vec::new();
        let mut known: Vec<Link> = Vec::new();
        let mut asked = Vec::new();
        for (number, device) in site.plan.devices.iter().enumerate() {
            if device.kind == DeviceKind::Panel {
                continue;
            }
            let link = site.link(device.link.as_ref())?;
            let receiver = known.iter().position(|other| *other == link);
            let receiver = receiver.unwrap_or_else(|| {
                known.push(link.clone());
                let model = &site.model;
                receivers.push(Receiver::new(&link, model.k_factor_db, model.noise));
                known.len() - 1
            });
            for (listener, heard_by) in site.listeners().enumerate() {
                if listener == 0 || heard_by.device.id != device.id {
                    asked.push((number, listener, link.clone(), receiver));
                }
            }
        }
        let ways: Vec<Way> = asked
            .into_par_iter()
            .map(|(device, listener, link, receiver)| way(site, (device, listener), link, receiver))
            .collect();
        let mut network =
            Self { site, prior, normal_losses, ways, own_sigma, receivers, lines: Vec::new() };
        let ones = DVector::repeat(network.prior.constructions.len(), 1.0);
        network.lines = network.traced(&ones, true);
        network.split();
        Ok(network)
    }

    /// Splits the static variance of every way into its parts.
    fn split(&mut self) {
        let square = |x: Db| x.0 * x.0;
        let spot = square(self.site.model.spot_sigma_db);
        let apart = square(self.prior.site_sigma) + square(self.own_sigma);
        for (way, line) in self.ways.iter_mut().zip(&self.lines) {
            let slopes = DVector::from_column_slice(&line.slopes);
            let walls = slopes.dot(&(&self.prior.scale_covariance * &slopes));
            let left = (square(way.figures.sigma) - spot - apart).max(0.0);
            way.walls_share =
                if walls > WALLS_MOST * left { (WALLS_MOST * left / walls).sqrt() } else { 1.0 };
            let taken = way.walls_share * way.walls_share * walls;
            way.shadow_sigma = Db((left - taken).max(0.0).sqrt());
        }
    }

    /// What every way loses with the losses of the constructions multiplied by `scales`; without
    /// slopes unless asked for.
    #[must_use]
    pub fn traced(&self, scales: &DVector<f64>, with_slopes: bool) -> Vec<Line> {
        let names = &self.prior.constructions;
        let mut variants = BTreeMap::new();
        for way in &self.ways {
            let frequency = way.link.frequency;
            let Some(view) = self.site.view(frequency) else {
                continue;
            };
            variants.entry(frequency.0.to_bits()).or_insert_with(|| {
                let here = scaled(view.surfaces, names, scales);
                let about = |name: &String, step: f64| here.rescaled(name, step);
                let pairs: Vec<(Surfaces, Surfaces)> = if with_slopes {
                    names
                        .par_iter()
                        .zip(scales.as_slice())
                        .map(|(name, scale)| {
                            let part = SCALE_STEP / held(*scale);
                            (about(name, 1.0 + part), about(name, 1.0 - part))
                        })
                        .collect()
                } else {
                    Vec::new()
                };
                (here, pairs)
            });
        }
        self.ways
            .par_iter()
            .map_init(Follower::default, |follower, way| {
                let nothing = Line { loss: Db(f64::INFINITY), slopes: vec![0.0; names.len()] };
                let frequency = way.link.frequency;
                let (Some(view), Some((here, pairs)), Some((device, listener))) = (
                    self.site.view(frequency),
                    variants.get(&frequency.0.to_bits()),
                    ends(self.site, way.device, way.listener),
                ) else {
                    return nothing;
                };
                let floors = &self.site.scene.floors;
                let order = self.site.model.reflections;
                let heights = (listener.device.height_m, device.height_m);
                let height_profiles = HeightProfile::all(floors, heights.0, heights.1, order);
                let mut loss = |surfaces: &Surfaces| {
                    let view = View { surfaces, ..view };
                    let gain =
                        view.gain(follower, &listener.tree, &height_profiles, device.position);
                    gain.to_loss()
                };
                let slope = |(more, less): &(Surfaces, Surfaces)| {
                    let slope = (loss(more) - loss(less)).0 / (2.0 * SCALE_STEP);
                    if slope.is_finite() { slope } else { 0.0 }
                };
                let mut slopes: Vec<f64> = pairs.iter().map(slope).collect();
                slopes.resize(names.len(), 0.0);
                Line { loss: loss(here), slopes }
            })
            .collect()
    }

    /// The channels of all ways as found, and of what else is read, in rising order of their keys,
    /// linear about the prior scales.
    #[must_use]
    pub fn channels(&self, more: &[ChannelKey]) -> Vec<Channel> {
        let ones = DVector::repeat(self.prior.constructions.len(), 1.0);
        self.channels_about(&ones, &self.lines, more)
    }

    /// The same, linear about other scales, for which the ways were [traced](Self::traced).
    #[must_use]
    pub fn channels_about(
        &self,
        scales: &DVector<f64>,
        lines: &[Line],
        more: &[ChannelKey],
    ) -> Vec<Channel> {
        let as_found = |way: &Way| ChannelKey::as_found(way.device, way.listener);
        let mut keys: Vec<ChannelKey> = self.ways.iter().map(as_found).collect();
        keys.extend_from_slice(more);
        keys.sort_unstable();
        keys.dedup();
        keys.iter()
            .filter_map(|key| {
                let number = self.way(key.device, key.listener)?;
                let (way, line) = (self.ways.get(number)?, lines.get(number)?);
                let before = self.lines.get(number)?;
                let receiver = self.receivers.get(way.receiver)?.clone();
                let slopes: Vec<f64> = line.slopes.iter().map(|g| g * way.walls_share).collect();
                let change = (line.loss - before.loss) * way.walls_share;
                // The straight line through the level at those scales, where the prior's are.
                let back: f64 = slopes
                    .iter()
                    .zip(scales.iter().zip(&self.prior.scales))
                    .map(|(slope, (here, prior))| slope * (held(*here) - prior))
                    .sum();
                let level = way.received - Db(if change.0.is_finite() { change.0 } else { 0.0 });
                Some(Channel {
                    device: key.device,
                    listener: key.listener,
                    placing: key.placing,
                    transmitter: key.transmitter,
                    level: Dbm((level.0 + back).max(LEAST_LEVEL.0)),
                    slopes,
                    shadow_sigma: way.shadow_sigma,
                    spot_sigma: self.site.model.spot_sigma_db,
                    own_sigma: self.own_sigma,
                    receiver,
                })
            })
            .collect()
    }

    /// The number of a way; `None` if there is none.
    #[must_use]
    pub fn way(&self, device: usize, listener: usize) -> Option<usize> {
        let key = |way: &Way| (way.device, way.listener);
        self.ways.binary_search_by_key(&(device, listener), key).ok()
    }

    /// What is lost at the prior scales.
    #[must_use]
    pub fn lines(&self) -> &[Line] {
        &self.lines
    }
}

/// A scale within what paths are traced with.
pub(super) fn held(scale: f64) -> f64 {
    scale.clamp(TRACED_SCALES.0, TRACED_SCALES.1)
}

fn scaled(surfaces: &Surfaces, names: &[String], scales: &DVector<f64>) -> Surfaces {
    let mut changed = surfaces.clone();
    for (name, scale) in names.iter().zip(scales) {
        if *scale != 1.0 {
            changed = changed.rescaled(name, held(*scale));
        }
    }
    changed
}

fn ends<'s>(
    site: &'s Site<'_>,
    device: usize,
    listener: usize,
) -> Option<(&'s Device, &'s Listener)> {
    Some((site.plan.devices.get(device)?, site.listeners().nth(listener)?))
}

fn way(site: &Site<'_>, (number, listener): (usize, usize), link: Link, receiver: usize) -> Way {
    let mut figures = HopFigures::NONE;
    let mut received = LEAST_LEVEL;
    if let Some((device, heard_by)) = ends(site, number, listener) {
        let (low, high) = (heard_by.device.height_m, device.height_m);
        let height_profiles =
            HeightProfile::all(&site.scene.floors, low, high, site.model.reflections);
        let trail =
            Trail { tree: &heard_by.tree, height_profiles: &height_profiles, to: device.position };
        figures = hop_figures(site, &mut Follower::default(), trail, device, &link);
        // A reading is of what the listener receives, whichever direction is the worse.
        let losses = DeviceLosses { two_way: false, ..losses_of(device) };
        received = Ledger::new(&link, &site.model, figures.path_loss, losses).received_dbm;
    }
    Way {
        device: number,
        listener,
        link,
        figures,
        received: Dbm(received.0.max(LEAST_LEVEL.0)),
        walls_share: 1.0,
        shadow_sigma: Db(0.0),
        receiver,
    }
}

/// What is known of a site beforehand, the loss of each construction at normal incidence, and the
/// spread of the devices' own losses.
fn prior(site: &Site<'_>) -> Result<(Prior, Vec<Db>, Db), SiteError> {
    let link = site.link(None)?;
    let surfaces: Vec<&Surface> = site
        .view(link.frequency)
        .map_or_else(Vec::new, |view| view.surfaces.constructions().collect());
    let loss = |surface: &Surface| {
        let parts = surface.loss(1.0);
        parts.slab + parts.excess
    };
    let losses: Vec<Db> = surfaces.iter().map(|surface| loss(surface)).collect();
    let sigma = |number: usize| {
        let share = surfaces[number].spread.0 / losses[number].0.max(1e-3);
        share.clamp(SCALE_SIGMA.0, SCALE_SIGMA.1)
    };
    let classes: Vec<_> =
        surfaces.iter().map(|surface| class_of(site.plan, &surface.name)).collect();
    let scale_covariance = DMatrix::from_fn(surfaces.len(), surfaces.len(), |a, b| {
        let tied = if a == b {
            1.0
        } else if classes[a] == classes[b] {
            CLASS_CORRELATION
        } else {
            0.0
        };
        tied * sigma(a) * sigma(b)
    });
    // A user who trusts the plan more than we do trusts all parts of it more.
    let trust =
        site.model.sigma_db.map_or(1.0, |sigma| (sigma.0 / SHADOWING_SIGMA.0).clamp(0.0, 1.0));
    let prior = Prior {
        site_offset: site.model.site_offset_db,
        site_sigma: SITE_SIGMA * trust,
        constructions: surfaces.iter().map(|s| s.name.clone()).collect(),
        scales: DVector::repeat(surfaces.len(), 1.0),
        scale_covariance,
        places: site
            .plan
            .devices
            .iter()
            .map(|one| [one.position.x, one.position.y, one.height_m])
            .collect(),
    };
    Ok((prior, losses, OWN_SIGMA * trust))
}
