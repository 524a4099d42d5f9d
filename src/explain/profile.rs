//! The level along the straight line from the listener to the device.

use rayon::prelude::*;
use serde::Serialize;

use super::hop_budget::HopBudget;
use forecast::{Follower, Listener, Site, View};
use plan::Device;
use trace::{HeightProfile, Ray};
use units::{Db, Dbm, Metres, PowerRatio};

/// Places at which the level is worked out.
const PLACES: u32 = 200;

/// The level at one place.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ProfilePoint {
    /// Distance from the listener along the straight line, in space.
    pub distance_m: Metres,
    /// Level received from the device if it were there, all paths summed.
    pub level_dbm: Dbm,
    /// The same of the direct path alone, with what goes round edges.
    pub direct_dbm: Dbm,
}

/// Where the straight line crosses something.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProfileCrossing {
    /// Distance from the listener along the straight line, in space.
    pub distance_m: Metres,
    /// Id of the feature.
    pub feature: String,
    /// Its construction.
    pub construction: String,
    /// What it loses.
    pub loss_db: Db,
}

/// The level along the straight line from the listener to the device: as if the device were carried
/// towards it with its mount and whatever else it loses.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Profile {
    /// The places, at even distances; the last is where the device is.
    pub points: Vec<ProfilePoint>,
    /// What is crossed, from the listener.
    pub crossings: Vec<ProfileCrossing>,
    /// The level needed.
    #[serde(skip)]
    pub level_needed: Dbm,
}

impl Profile {
    /// The profile of a hop.
    #[must_use]
    pub fn new(site: &Site<'_>, listener: &Listener, device: &Device, budget: &HopBudget) -> Self {
        let hop = &budget.hop;
        let (start, end) = (listener.device.position, device.position);
        let (low, high) = (listener.device.height_m, device.height_m);
        // What reaches the receiver of a device that loses nothing on the way.
        let radiated = hop.ledger.received_dbm + hop.path_loss;
        let floors = &site.scene.floors;
        let point = |view: &View<'_>, follower: &mut Follower, place: u32| {
            let t = f64::from(place) / f64::from(PLACES);
            let last = place == PLACES;
            let (to, z) = if last {
                (site.spot_of(device, budget.link.frequency), high)
            } else {
                (start + (end - start) * t, low + (high - low) * t)
            };
            let height_profiles = HeightProfile::all(floors, low, z, site.model.reflections);
            let tree = &listener.tree;
            let all = view.gain(follower, tree, &height_profiles, to);
            let distance = Metres(hop.distance.0 * t);
            let straight = HeightProfile::straight(floors, low, z);
            let kept = view.interaction(follower, tree, 0, &straight, to);
            let length_m = Ray::new(start, to, &straight).length;
            let direct = PowerRatio(kept.unwrap_or(0.0) * view.spreading(length_m));
            ProfilePoint {
                distance_m: distance,
                level_dbm: radiated - all.to_loss(),
                direct_dbm: radiated - direct.to_loss(),
            }
        };
        let points = site.view(budget.link.frequency).map(|view| {
            let places = (1..=PLACES).into_par_iter();
            places.map_init(Follower::default, move |follower, place| point(&view, follower, place))
        });
        let points = points.map_or_else(Vec::new, ParallelIterator::collect);
        let crossings = hop.crossings.iter().map(|crossing| ProfileCrossing {
            distance_m: Metres(hop.distance.0 * crossing.t),
            feature: crossing.feature.clone(),
            construction: crossing.construction.clone(),
            loss_db: crossing.slab + crossing.excess,
        });
        Self { points, crossings: crossings.collect(), level_needed: hop.ledger.level_needed_dbm }
    }
}
