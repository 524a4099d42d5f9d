//! Every sensor's margin, chance of a fault and finding.

use rayon::prelude::*;
use serde::Serialize;

use super::coverage::{RoamResult, roam_result};
use super::ledger::{DeviceLosses, Ledger, mount_loss};
use super::model::Limits;
use super::paths::{Crossing, Follower};
use super::site::{Listener, Site, SiteError};
use crate::plan::{Device, DeviceKind};
use crate::radio::{Link, free_space_loss};
use crate::trace::{Climb, Ray};
use crate::units::{Db, Metres, PowerRatio};

/// The word for a device's state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Finding {
    /// It will keep supervision.
    Sound,
    /// It will probably keep it, with little to spare.
    Thin,
    /// It will probably drop it.
    Failing,
}

impl Finding {
    /// The finding for a chance of a fault in a year.
    #[must_use]
    pub fn of(chance: f64, limits: Limits) -> Self {
        if chance < limits.sound_below {
            Self::Sound
        } else if chance < limits.thin_below {
            Self::Thin
        } else {
            Self::Failing
        }
    }

    /// The word itself.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Sound => "sound",
            Self::Thin => "thin",
            Self::Failing => "failing",
        }
    }
}

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
    /// Chance of at least one supervision fault in a year.
    pub fault_per_year: f64,
}

/// What is forecast for one device.
#[derive(Debug, Clone)]
pub struct DeviceResult {
    /// The device.
    pub device: Device,
    /// Its link.
    pub link: Link,
    /// The radio of the hop that it takes.
    pub hop: Hop,
    /// The repeater that it takes, or `None` for the panel.
    pub via: Option<String>,
    /// Chance of a fault in a year on the whole way.
    pub fault_per_year: f64,
    /// Its finding.
    pub finding: Finding,
}

/// The forecast for a site.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// One result for every sensor, in plan order.
    pub sensors: Vec<DeviceResult>,
    /// One result for every keypad, siren and repeater, in plan order.
    pub two_way: Vec<DeviceResult>,
    /// One result for every roam area, in plan order.
    pub roams: Vec<RoamResult>,
}

impl Assessment {
    /// Works out the forecast for every device and roam area of a site.
    ///
    /// # Errors
    /// [`SiteError`] for a link that is not known.
    pub fn new(site: &Site<'_>) -> Result<Self, SiteError> {
        let repeaters: Vec<Hop> = site
            .repeaters
            .par_iter()
            .map(|repeater| {
                let link = site.link(repeater.device.link.as_ref())?;
                Ok(hop(site, &site.panel, &repeater.device, &link))
            })
            .collect::<Result<_, SiteError>>()?;
        let devices: Vec<&Device> = site
            .plan
            .devices
            .iter()
            .filter(|d| d.kind != DeviceKind::Panel)
            .collect();
        let results: Vec<DeviceResult> = devices
            .into_par_iter()
            .map(|device| forecast(site, device, &repeaters))
            .collect::<Result<_, SiteError>>()?;
        let (sensors, two_way) = results
            .into_iter()
            .partition(|result| result.device.kind == DeviceKind::Sensor);
        let roams = site
            .plan
            .roams
            .iter()
            .map(|roam| roam_result(site, roam, &repeaters));
        Ok(Self {
            sensors,
            two_way,
            roams: roams.collect::<Result<_, SiteError>>()?,
        })
    }

    /// Whether any device is failing.
    #[must_use]
    pub fn any_failing(&self) -> bool {
        self.sensors
            .iter()
            .chain(&self.two_way)
            .any(|result| result.finding == Finding::Failing)
    }
}

/// The better of the way to the panel and the ways over one repeater.
fn forecast(
    site: &Site<'_>,
    device: &Device,
    repeaters: &[Hop],
) -> Result<DeviceResult, SiteError> {
    let link = site.link(device.link.as_ref())?;
    let direct = hop(site, &site.panel, device, &link);
    let (mut best, mut via, mut chance) = (direct.clone(), None, direct.fault_per_year);
    if device.kind != DeviceKind::Repeater {
        for (repeater, onward) in site.repeaters.iter().zip(repeaters) {
            let first = hop(site, repeater, device, &link);
            let both = 1.0 - (1.0 - first.fault_per_year) * (1.0 - onward.fault_per_year);
            let fails = Finding::of(onward.fault_per_year, site.model.findings) == Finding::Failing;
            // A repeater that is not heard itself is no way, and rounding is no reason.
            if !fails && both < chance * (1.0 - 1e-6) {
                (chance, via) = (both, Some(repeater.device.id.clone()));
                best = first;
            }
        }
    }
    let finding = Finding::of(chance, site.model.findings);
    Ok(DeviceResult {
        device: device.clone(),
        link,
        hop: best,
        via,
        fault_per_year: chance,
        finding,
    })
}

/// The radio between a listener and a device.
fn hop(site: &Site<'_>, listener: &Listener, device: &Device, link: &Link) -> Hop {
    let mut follower = Follower::default();
    let from = listener.device.position;
    let heights = (listener.device.height_m, device.height_m);
    let climb = Climb::straight(&site.scene.floors, heights.0, heights.1);
    let distance = Metres(Ray::new(from, device.position, &climb).length);
    let free_space = free_space_loss(distance, link.frequency);
    let view = site.view(link.frequency);
    let (crossings, path_loss) = view.map_or((Vec::new(), free_space), |view| {
        let crossings = view.crossings(&mut follower, &listener.tree, &climb, device.position);
        let paths = view.paths(&mut follower, &listener.tree, heights, device.position);
        (crossings, view.summed(&paths).to_loss())
    });
    let crossed: f64 = crossings.iter().map(|c| (c.slab + c.excess).0).sum();
    let losses = DeviceLosses {
        mount: mount_loss(device.mount.as_deref()),
        body: Db(0.0),
        two_way: device.kind.is_two_way(),
    };
    let ledger = Ledger::new(link, &site.model, path_loss, losses);
    let direct_loss = free_space + Db(crossed);
    let direct_share = (path_loss - direct_loss).to_ratio();
    let sigma = site.static_sigma(&crossings, direct_share);
    let fault_per_year = site
        .fault_curve(link)
        .map_or(1.0, |curve| curve.averaged(ledger.margin_db, sigma));
    Hop {
        distance,
        free_space,
        direct_loss,
        crossings,
        path_loss,
        margin_p10: tenth_percentile(ledger.margin_db, sigma),
        ledger,
        sigma,
        fault_per_year,
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
///
/// `heights` are those of the first and second point.
#[must_use]
pub fn power_gain(site: &Site<'_>, listener: &Listener, to: &Device, link: &Link) -> PowerRatio {
    let heights = (listener.device.height_m, to.height_m);
    site.view(link.frequency).map_or(PowerRatio(0.0), |view| {
        view.summed(&view.paths(
            &mut Follower::default(),
            &listener.tree,
            heights,
            to.position,
        ))
    })
}
