//! Every hop from a device to a listener as a channel, and the prior of the site.
//!
//! Without a reading a channel's level, static spread and so its chance of a fault are those of the
//! forecast: the static variance of [`Site::static_sigma`] is split into its parts. The luck of the
//! spot is the model's. The site takes [`SITE_SIGMA`], a device [`OWN_SIGMA`], the walls what the
//! spread of their constructions makes of the path at hand, and shadowing all that is left.
//!
//! All walls of one construction vary together here, where the forecast takes each by itself, so
//! that behind several of them the walls alone could exceed the whole. They get no more than
//! [`WALLS_MOST`] of what site and device leave; the slopes of such a path are made smaller in
//! proportion. Measurements agree with less for deep places: in a furnished flat at 2.4 GHz 6 dB
//! more arrived behind two walls than twice the first wall's loss allows (doi
//! 10.5281/zenodo.5457591, calculated here), since power finds other ways round. The right share is
//! not known: our choice.

use std::collections::BTreeMap;

use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

use super::channel::{Channel, ChannelKey, Prior};
use super::receiver::Receiver;
use forecast::{
    DeviceLosses, FadeMoments, Fading, Follower, HopFigures, Ledger, Listener, ListenerEnd,
    SHADOWING_SIGMA, SITE_SIGMA, Site, SiteError, Surface, Surfaces, Trail, View, class_of,
    hop_figures,
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

/// Step of the weight of what is scattered within which two hops fade alike (our choice: 0.2 dB of
/// the fading's spread).
const FADING_STEP: f64 = 0.25;

/// No forecast is taken for less than this, dBm: nothing is heard there in any case.
const LEAST_LEVEL: Dbm = Dbm(-190.0);

/// The hop between one device and one listener, as it is forecast.
#[derive(Debug, Clone)]
pub struct TracedHop {
    /// The device, an index of the plan's devices.
    pub device: usize,
    /// The listener: 0 the panel, then the repeaters in plan order.
    pub listener: usize,
    /// The device's link.
    pub link: Link,
    /// Its forecast.
    pub figures: HopFigures,
    /// Level that the listener receives.
    pub received: Dbm,
    /// Share of the walls' slopes that counts, 0 to 1.
    walls_share: f64,
    shadow_sigma: Db,
    receiver: usize,
}

/// What one hop loses at some scales of the constructions.
#[derive(Debug, Clone, PartialEq)]
pub struct LinearLoss {
    /// Loss of all paths together.
    pub loss: Db,
    /// Loss in decibels for each unit of scale, for each construction.
    pub slopes: Vec<f64>,
}

/// All hops of a site, and its prior.
#[derive(Debug)]
pub struct Network<'s> {
    /// The site.
    pub site: &'s Site<'s>,
    /// Offset, scales and places before any reading.
    pub prior: Prior,
    /// What each construction loses at normal incidence at the frequency of the plan's link.
    pub normal_losses: Vec<Db>,
    /// Every device but the panel with every listener but itself, devices in plan order.
    pub hops: Vec<TracedHop>,
    /// Losses at the prior scales, for each hop.
    pub losses: Vec<LinearLoss>,
    /// Standard deviation of each device's own loss.
    own_sigma: Db,
    receivers: Vec<Receiver>,
}

impl<'s> Network<'s> {
    /// Traces all hops of a site; an error for a link that is not known.
    pub fn new(site: &'s Site<'s>) -> Result<Self, SiteError> {
        let (prior, normal_losses, own_sigma) = prior(site)?;
        let mut asked = Vec::new();
        for (number, device) in site.plan.devices.iter().enumerate() {
            if device.kind == DeviceKind::Panel {
                continue;
            }
            let link = site.link(device.link.as_ref())?;
            for (listener, heard_by) in site.listeners().enumerate() {
                if listener == 0 || heard_by.device.id != device.id {
                    asked.push((number, (listener, heard_by), link.clone()));
                }
            }
        }
        let mut hops: Vec<TracedHop> = asked
            .into_par_iter()
            .map(|(device, listener, link)| hop(site, device, listener, link))
            .collect();
        let receivers = receivers(site, &mut hops);
        let losses = Vec::new();
        let mut network = Self { site, prior, normal_losses, hops, own_sigma, receivers, losses };
        network.losses = network.traced(&network.prior.scales, true);
        network.split_variances();
        Ok(network)
    }

    /// Splits the static variance of every hop into its parts.
    fn split_variances(&mut self) {
        let square = |x: Db| x.0 * x.0;
        let spot = square(self.site.model.spot_sigma_db);
        let apart = square(self.prior.site_sigma) + square(self.own_sigma);
        for (hop, loss) in self.hops.iter_mut().zip(&self.losses) {
            let slopes = DVector::from_column_slice(&loss.slopes);
            let walls = slopes.dot(&(&self.prior.scale_covariance * &slopes));
            let left = (square(hop.figures.sigma) - spot - apart).max(0.0);
            hop.walls_share =
                if walls > WALLS_MOST * left { (WALLS_MOST * left / walls).sqrt() } else { 1.0 };
            let taken = hop.walls_share * hop.walls_share * walls;
            hop.shadow_sigma = Db((left - taken).max(0.0).sqrt());
        }
    }

    /// What every hop loses with the losses of the constructions multiplied by `scales`; without
    /// slopes unless asked for.
    #[must_use]
    pub fn traced(&self, scales: &DVector<f64>, with_slopes: bool) -> Vec<LinearLoss> {
        let names = &self.prior.constructions;
        let mut variants = BTreeMap::new();
        for hop in &self.hops {
            let frequency = hop.link.frequency;
            let Some(view) = self.site.view(frequency) else {
                continue;
            };
            variants.entry(frequency.0.to_bits()).or_insert_with(|| {
                let here = scaled(view.surfaces, names, scales);
                let steps = if with_slopes { names.as_slice() } else { &[] };
                let pairs: Vec<[Surfaces; 2]> = steps
                    .par_iter()
                    .zip(scales.as_slice())
                    .map(|(name, scale)| {
                        let part = SCALE_STEP / held(*scale);
                        [1.0 + part, 1.0 - part].map(|step| here.rescaled(name, step))
                    })
                    .collect();
                (view, here, pairs)
            });
        }
        let listeners: Vec<&Listener> = self.site.listeners().collect();
        self.hops
            .par_iter()
            .map_init(Follower::default, |follower, hop| {
                let device = &self.site.plan.devices[hop.device];
                let listener = listeners[hop.listener];
                let Some((view, here, pairs)) = variants.get(&hop.link.frequency.0.to_bits())
                else {
                    let slopes = vec![0.0; names.len()];
                    return LinearLoss { loss: Db(f64::INFINITY), slopes };
                };
                let height_profiles = height_profiles(self.site, listener, device);
                let to = self.site.spot_of(device, hop.link.frequency);
                let mut loss = |surfaces: &Surfaces| {
                    let view = View { surfaces, ..*view };
                    view.gain(follower, &listener.tree, &height_profiles, to).to_loss()
                };
                let slope = |[more, less]: &[Surfaces; 2]| {
                    let slope = (loss(more) - loss(less)).0 / (2.0 * SCALE_STEP);
                    if slope.is_finite() { slope } else { 0.0 }
                };
                let mut slopes: Vec<f64> = pairs.iter().map(slope).collect();
                slopes.resize(names.len(), 0.0);
                LinearLoss { loss: loss(here), slopes }
            })
            .collect()
    }

    /// The channels of all hops as found, and of what else is read, in rising order of their keys,
    /// linear about the prior scales.
    #[must_use]
    pub fn channels(&self, more: &[ChannelKey]) -> Vec<Channel> {
        self.channels_about(&self.prior.scales, &self.losses, more)
    }

    /// The same, linear about other scales, for which the hops were [traced](Self::traced).
    #[must_use]
    pub fn channels_about(
        &self,
        scales: &DVector<f64>,
        losses: &[LinearLoss],
        more: &[ChannelKey],
    ) -> Vec<Channel> {
        let as_found = |hop: &TracedHop| ChannelKey::as_found(hop.device, hop.listener);
        let mut keys: Vec<ChannelKey> = self.hops.iter().map(as_found).collect();
        keys.extend_from_slice(more);
        keys.sort_unstable();
        keys.dedup();
        let channel = |key: &ChannelKey| {
            let number = self.hop(key.device, key.listener)?;
            let (hop, here) = (&self.hops[number], losses.get(number)?);
            let slopes: Vec<f64> = here.slopes.iter().map(|g| g * hop.walls_share).collect();
            let change = (here.loss - self.losses[number].loss) * hop.walls_share;
            // The straight line through the level at those scales, where the prior's are.
            let back: f64 = slopes
                .iter()
                .zip(scales.iter().zip(&self.prior.scales))
                .map(|(slope, (here, prior))| slope * (held(*here) - prior))
                .sum();
            let level = hop.received - Db(if change.0.is_finite() { change.0 } else { 0.0 });
            Some(Channel {
                key: *key,
                level: Dbm((level.0 + back).max(LEAST_LEVEL.0)),
                slopes,
                shadow_sigma: hop.shadow_sigma,
                spot_sigma: self.site.model.spot_sigma_db,
                own_sigma: self.own_sigma,
                receiver: self.receivers[hop.receiver].clone(),
            })
        };
        keys.iter().filter_map(channel).collect()
    }

    /// The number of a hop; `None` if there is none.
    #[must_use]
    pub fn hop(&self, device: usize, listener: usize) -> Option<usize> {
        let key = |hop: &TracedHop| (hop.device, hop.listener);
        self.hops.binary_search_by_key(&(device, listener), key).ok()
    }
}

/// A scale within what paths are traced with.
pub(super) fn held(scale: f64) -> f64 {
    scale.clamp(TRACED_SCALES.0, TRACED_SCALES.1)
}

fn scaled(surfaces: &Surfaces, names: &[String], scales: &DVector<f64>) -> Surfaces {
    let changed = names.iter().zip(scales).filter(|(_, scale)| **scale != 1.0);
    changed.fold(surfaces.clone(), |surfaces, (name, scale)| surfaces.rescaled(name, held(*scale)))
}

fn height_profiles(site: &Site<'_>, listener: &Listener, device: &Device) -> Vec<HeightProfile> {
    let (low, high) = (listener.device.height_m, device.height_m);
    HeightProfile::all(&site.scene.floors, low, high, site.model.reflections)
}

fn hop(
    site: &Site<'_>,
    number: usize,
    (listener, heard_by): (usize, &Listener),
    link: Link,
) -> TracedHop {
    let device = &site.plan.devices[number];
    let height_profiles = height_profiles(site, heard_by, device);
    let trail = Trail {
        tree: &heard_by.tree,
        height_profiles: &height_profiles,
        to: site.spot_of(device, link.frequency),
        listener: ListenerEnd::Near,
        aerial: heard_by.device.aerial,
    };
    let figures = hop_figures(site, &mut Follower::default(), trail, device, &link);
    // A reading is of what the listener receives, whichever direction is the worse, and what
    // earlier ones said of the device is not read twice.
    let losses = DeviceLosses { two_way: false, calibrated: Db(0.0), ..figures.losses };
    let received = Ledger::new(&link, &site.model, figures.path_loss, losses).received_dbm;
    TracedHop {
        device: number,
        listener,
        link,
        figures,
        received: Dbm(received.0.max(LEAST_LEVEL.0)),
        walls_share: 1.0,
        shadow_sigma: Db(0.0),
        receiver: 0,
    }
}

/// What listens on the hops: one for each link and way of fading, this in steps of
/// [`FADING_STEP`]. Each hop learns which is its own.
fn receivers(site: &Site<'_>, hops: &mut [TracedHop]) -> Vec<Receiver> {
    let fades = FadeMoments::new(&site.model);
    let mut known: Vec<(Link, Fading)> = Vec::new();
    for hop in hops {
        let fading = hop.figures.fading;
        let weight = (fading.weight / FADING_STEP).round() * FADING_STEP;
        let fading = Fading { weight, ..fading };
        let is_own = |(link, other): &(Link, Fading)| *link == hop.link && *other == fading;
        hop.receiver = known.iter().position(is_own).unwrap_or_else(|| {
            known.push((hop.link.clone(), fading));
            known.len() - 1
        });
    }
    let receiver =
        |(link, fading): &(Link, Fading)| Receiver::new(link, (*fading, &fades), site.model.noise);
    known.iter().map(receiver).collect()
}

/// The prior of a site, the loss of each construction at normal incidence, and the spread of the
/// devices' own losses.
fn prior(site: &Site<'_>) -> Result<(Prior, Vec<Db>, Db), SiteError> {
    let link = site.link(None)?;
    let surfaces: Vec<&Surface> = site
        .view(link.frequency)
        .map_or_else(Vec::new, |view| view.surfaces.constructions().collect());
    let loss = |surface: &&Surface| {
        let parts = surface.loss(1.0);
        parts.slab + parts.excess
    };
    let losses: Vec<Db> = surfaces.iter().map(loss).collect();
    let sigma = |number: usize| {
        let share = surfaces[number].spread.0 / losses[number].0.max(1e-3);
        share.clamp(SCALE_SIGMA.0, SCALE_SIGMA.1)
    };
    let classes: Vec<_> =
        surfaces.iter().map(|surface| class_of(site.plan, &surface.name)).collect();
    let scale_covariance = DMatrix::from_fn(surfaces.len(), surfaces.len(), |a, b| {
        let correlation = match (a == b, classes[a] == classes[b]) {
            (true, _) => 1.0,
            (false, true) => CLASS_CORRELATION,
            (false, false) => 0.0,
        };
        correlation * sigma(a) * sigma(b)
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
