//! The radio of one hop: from a device to what listens to it.

use super::device_losses::{AerialHop, hop_losses};
use super::fading::Fading;
use super::fault::FaultCurves;
use super::first_try::first_try;
use super::ledger::{DeviceLosses, Ledger};
use super::paths::{Crossed, Crossing, Follower, View};
use super::site::{Listener, Site};
use super::sum::ListenerEnd;
use plan::{Aerial, Device};
use radio::{Link, free_space_loss};
use trace::{HeightProfile, ImageTree, Point, Ray};
use units::{Db, Metres, PowerRatio};

/// The radio between one device and one listener.
#[derive(Debug, Clone)]
pub struct Hop {
    /// Distance in space.
    pub distance: Metres,
    /// Free-space loss of the direct path.
    pub free_space: Db,
    /// What the direct path crosses, from the listener to the device.
    pub crossings: Vec<Crossing>,
    /// Free-space loss and crossings.
    pub direct_loss: Db,
    /// Loss of all paths together.
    pub path_loss: Db,
    /// The link budget.
    pub ledger: Ledger,
    /// Standard deviation of the static spread.
    pub sigma: Db,
    /// Margin that nine of ten such sensors exceed.
    pub margin_p10: Db,
    /// How its level fades in time.
    pub fading: Fading,
    /// Chance of at least one supervision fault in a year.
    pub fault_per_year: f64,
    /// The share of messages that arrive at the first try, 0 to 1.
    pub first_try: f64,
}

/// The figures of a hop that decide, without its ledger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HopFigures {
    /// Loss of all paths together.
    pub path_loss: Db,
    /// Level over the level needed.
    pub margin: Db,
    /// Standard deviation of the static spread.
    pub sigma: Db,
    /// How its level fades in time.
    pub fading: Fading,
    /// What the device loses beside its paths.
    pub losses: DeviceLosses,
    /// Chance of at least one supervision fault in a year.
    pub fault_per_year: f64,
}

impl HopFigures {
    /// Nothing is heard.
    pub const NONE: Self = Self {
        path_loss: Db(f64::INFINITY),
        margin: Db(f64::NEG_INFINITY),
        sigma: Db(0.0),
        fading: Fading::NONE,
        losses: DeviceLosses::NONE,
        fault_per_year: 1.0,
    };
}

/// Where a hop is traced: from the transmitter of an image tree to a point.
///
/// Paths are the same in both directions, so it does not matter which end the tree stands at, as
/// long as `listener` says which of them is the panel's or the repeater's.
#[derive(Debug, Clone, Copy)]
pub struct Trail<'a> {
    /// The images of the end that is traced from.
    pub tree: &'a ImageTree,
    /// All ways from that end's height to the other end's, the straight one first
    /// ([`HeightProfile::all`] at the model's order).
    pub height_profiles: &'a [HeightProfile],
    /// The other end; the device's of the two is in the middle of its spot ([`Site::spot_of`]).
    pub to: Point,
    /// Which end is the listener's.
    pub listener: ListenerEnd,
    /// How the listener's aerial stands, where that is known.
    pub aerial: Option<Aerial>,
}

/// The figures of a hop of `device` along a trail. They are those of [`hop`], for callers that ask
/// for thousands: it takes no memory of its own. A link that is not in use has no margin.
pub fn hop_figures(
    site: &Site<'_>,
    follower: &mut Follower,
    trail: Trail<'_>,
    device: &Device,
    link: &Link,
) -> HopFigures {
    let Trail { tree, height_profiles, to, listener, aerial } = trail;
    let (Some(view), Some(height_profile)) = (site.view(link.frequency), height_profiles.first())
    else {
        return HopFigures::NONE;
    };
    let Some(from) = tree.images.first().map(|image| image.position) else {
        return HopFigures::NONE;
    };
    let view = View { listener, ..view };
    let sum = view.sum(follower, tree, height_profiles, to);
    let path_loss = PowerRatio(sum.total()).to_loss();
    let distance = Metres(Ray::new(from, to, height_profile).length);
    let free_space = free_space_loss(distance, link.frequency);
    let (mut crossed, mut walls) = (0.0, 0.0);
    for Crossed { loss, spread, .. } in view.crossed(follower, tree, height_profile, to) {
        crossed += (loss.slab + loss.excess).0;
        walls += spread.0 * spread.0;
    }
    let direct = (path_loss - free_space - Db(crossed)).to_ratio();
    let ends = [(from, height_profile.height_at(0.0)), (to, height_profile.height_at(1.0))];
    let sine = height_profile.rise() / distance.0.max(f64::MIN_POSITIVE);
    let read = hop_losses(site, device, ends, AerialHop { listener: aerial, direct, sine });
    let ledger = Ledger::new(link, &site.model, path_loss, read.losses);
    let scattered = PowerRatio(sum.scattered / sum.total().max(f64::MIN_POSITIVE));
    let sigma = read.sigma.unwrap_or_else(|| site.static_sigma(walls, direct, scattered));
    let curves = site.fault_curves(link);
    let fading = site.model.fading(scattered);
    let chance = |curves: &FaultCurves| curves.averaged(ledger.margin_db, sigma, fading);
    HopFigures {
        path_loss,
        margin: ledger.margin_db,
        sigma,
        fading,
        losses: read.losses,
        fault_per_year: curves.map_or(1.0, chance),
    }
}

/// The radio between a listener and a device.
#[must_use]
pub fn hop(site: &Site<'_>, listener: &Listener, device: &Device, link: &Link) -> Hop {
    let mut follower = Follower::default();
    let from = listener.device.position;
    let floors = &site.scene.floors;
    let (low, high) = (listener.device.height_m, device.height_m);
    let height_profiles = HeightProfile::all(floors, low, high, site.model.reflections);
    let straight = HeightProfile::straight(floors, low, high);
    let trail = Trail {
        tree: &listener.tree,
        height_profiles: &height_profiles,
        to: site.spot_of(device, link.frequency),
        listener: ListenerEnd::Near,
        aerial: listener.device.aerial,
    };
    let figures = hop_figures(site, &mut follower, trail, device, link);
    let distance = Metres(Ray::new(from, device.position, &straight).length);
    let free_space = free_space_loss(distance, link.frequency);
    let crossings = site.view(link.frequency).map_or_else(Vec::new, |view| {
        view.crossings(&mut follower, &listener.tree, &straight, device.position)
    });
    let crossed: f64 = crossings.iter().map(|c| (c.slab + c.excess).0).sum();
    Hop {
        distance,
        free_space,
        direct_loss: free_space + Db(crossed),
        crossings,
        path_loss: figures.path_loss,
        margin_p10: tenth_percentile(figures.margin, figures.sigma),
        ledger: Ledger::new(link, &site.model, figures.path_loss, figures.losses),
        sigma: figures.sigma,
        fading: figures.fading,
        fault_per_year: figures.fault_per_year,
        first_try: first_try(figures.margin, figures.sigma, figures.fading),
    }
}

/// Standard normal deviate exceeded by nine in ten (from memory; Φ(−1.281552) = 0.1).
const TENTH_PERCENTILE_Z: f64 = -1.281_551_565_544_6;

/// The margin that nine of ten exceed.
#[must_use]
pub fn tenth_percentile(margin: Db, sigma: Db) -> Db {
    margin + sigma * TENTH_PERCENTILE_Z
}

/// Power gain of all paths between two points, for checks of the tracer against other solutions.
#[must_use]
pub fn power_gain(site: &Site<'_>, listener: &Listener, to: &Device, link: &Link) -> PowerRatio {
    let (low, high) = (listener.device.height_m, to.height_m);
    let height_profiles = HeightProfile::all(&site.scene.floors, low, high, site.model.reflections);
    let gain = |view: View<'_>| {
        view.gain(&mut Follower::default(), &listener.tree, &height_profiles, to.position)
    };
    site.view(link.frequency).map_or(PowerRatio(0.0), gain)
}
