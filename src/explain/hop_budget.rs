//! The ledger of one hop, line by line, so that the lines add up to the margin.

use serde::Serialize;

use super::paths::{Rest, TracedPath, traced};
use forecast::{
    CarryingWay, Crossing, Direction, Follower, Hop, Listener, PathSum, Site, View, carrying_way,
    hop,
};
use plan::Device;
use radio::{Link, noise_floor};
use trace::HeightProfile;
use units::{Db, Dbm, PowerRatio};

/// What a line of the ledger stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Item {
    /// Power radiated, over 0 dBm.
    Eirp,
    /// Free-space loss of the direct path.
    FreeSpace,
    /// A wall, opening, floor or obstacle that the direct path crosses.
    Crossing,
    /// What goes round edges, through openings beside the direct path, past the joints of metal and
    /// steeper through what the ray grazes, against the ray alone.
    RoundEdges,
    /// What the reflected paths add to the direct one.
    OtherPaths,
    /// What reflections at a floor, a ceiling or a wall so near that they keep step with the direct
    /// wave add to it, or take.
    NearReflections,
    /// What arrives scattered or reflected many times, by ways that are not followed.
    Scattered,
    /// Gain of the panel's antenna.
    AntennaGain,
    /// Loss of the mount.
    Mount,
    /// Loss of how the aerials at both ends stand, against the mean; only where it is known of one.
    Aerials,
    /// Loss of a body.
    Body,
    /// Mean loss of the site that no wall explains.
    SiteOffset,
    /// What this device loses beyond walls and site; only where the plan is calibrated.
    CalibratedLoss,
    /// The level needed, over 0 dBm, which is taken off.
    LevelNeeded,
}

/// A line of the ledger.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// What it stands for.
    pub item: Item,
    /// What it adds to the margin; a loss is negative.
    pub adds: Db,
    /// What is crossed.
    pub crossing: Option<Crossing>,
}

/// The noise, where it sets the level needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoiseNeed {
    /// The noise floor in the link's bandwidth.
    pub floor: Dbm,
    /// The signal-to-noise ratio needed above it.
    pub snr: Db,
}

/// What the static spread consists of: σ² = shadowing² + spot².
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SigmaParts {
    /// All of it.
    pub sigma_db: Db,
    /// Shadowing: what the plan does not show.
    pub shadowing_db: Db,
    /// The luck of the spot.
    pub spot_sigma_db: Db,
    /// The spreads of the walls crossed, their squares added and weighed with the direct path's
    /// share of the power. It counts, together with the site's, only where both exceed the usual
    /// shadowing.
    pub walls_db: Db,
    /// The direct path's share of the power that `walls_db` is weighed with, 0 to 1: of the ray
    /// alone, without what goes round edges.
    pub direct_share: f64,
}

/// One hop in full.
#[derive(Debug, Clone)]
pub struct HopBudget {
    /// Id of the panel or repeater that listens.
    pub listener: String,
    /// Whether it is a repeater.
    pub is_repeater: bool,
    /// The link.
    pub link: Link,
    /// The figures of the hop.
    pub hop: Hop,
    /// The ledger; its lines add up to the margin.
    pub lines: Vec<Line>,
    /// The noise that sets the level needed; `None` where the receiver's sensitivity does.
    pub needed_by: Option<NoiseNeed>,
    /// The static spread.
    pub sigma: SigmaParts,
    /// The paths, the direct one first.
    pub paths: Vec<TracedPath>,
    /// The paths not among them.
    pub rest: Rest,
    /// The way that carries most power.
    pub way: Option<CarryingWay>,
}

impl HopBudget {
    /// The budget of the hop from a device to a listener.
    #[must_use]
    pub fn new(site: &Site<'_>, listener: &Listener, device: &Device, link: &Link) -> Self {
        let hop = hop(site, listener, device, link);
        let view = site.view(link.frequency);
        let sum = view.map_or_else(PathSum::default, |view| added(site, &view, listener, device));
        let (paths, rest) = view.map_or_else(Default::default, |view| {
            traced(site, &view, listener, device, sum.scattered)
        });
        let direct_path = paths.iter().find(|path| path.order == 0);
        let direct = direct_path.map_or(hop.path_loss, |path| path.loss_db);
        Self {
            listener: listener.device.id.clone(),
            is_repeater: listener.device.id != site.panel.device.id,
            lines: lines(&hop, direct, sum),
            needed_by: needed_by(site, link, &hop),
            sigma: sigma_parts(site, &hop),
            way: carrying_way(site, listener, device, &hop, link.frequency),
            link: link.clone(),
            hop,
            paths,
            rest,
        }
    }
}

/// How the paths of a hop add up.
fn added(site: &Site<'_>, view: &View<'_>, listener: &Listener, device: &Device) -> PathSum {
    let (low, high) = (listener.device.height_m, device.height_m);
    let heights = HeightProfile::all(&site.scene.floors, low, high, site.model.reflections);
    let spot = site.spot_of(device, view.surfaces.frequency);
    view.sum(&mut Follower::default(), &listener.tree, &heights, spot)
}

/// The ledger of a hop whose direct path loses `direct`, what goes round edges counted.
fn lines(hop: &Hop, direct: Db, sum: PathSum) -> Vec<Line> {
    let ledger = &hop.ledger;
    let powers = PowerRatio(sum.powers).to_loss();
    let followed = PowerRatio(sum.total() - sum.scattered).to_loss();
    let line = |item, adds| Line { item, adds, crossing: None };
    let mut lines =
        vec![line(Item::Eirp, Db(ledger.eirp_dbm.0)), line(Item::FreeSpace, -hop.free_space)];
    lines.extend(hop.crossings.iter().map(|crossing| Line {
        item: Item::Crossing,
        adds: -(crossing.slab + crossing.excess),
        crossing: Some(crossing.clone()),
    }));
    lines.extend([
        line(Item::RoundEdges, hop.direct_loss - direct),
        line(Item::OtherPaths, direct - powers),
        line(Item::NearReflections, powers - followed),
        line(Item::Scattered, followed - hop.path_loss),
        line(Item::AntennaGain, ledger.antenna_gain_db),
        line(Item::Mount, -ledger.mount_loss_db),
        line(Item::Body, -ledger.body_loss_db),
        line(Item::SiteOffset, -ledger.site_offset_db),
    ]);
    if ledger.aerial_loss_db != Db(0.0) {
        lines.push(line(Item::Aerials, -ledger.aerial_loss_db));
    }
    if ledger.calibrated_loss_db != Db(0.0) {
        lines.push(line(Item::CalibratedLoss, -ledger.calibrated_loss_db));
    }
    lines.push(line(Item::LevelNeeded, Db(-ledger.level_needed_dbm.0)));
    lines
}

fn needed_by(site: &Site<'_>, link: &Link, hop: &Hop) -> Option<NoiseNeed> {
    let noise = site.model.noise;
    let floor = noise_floor(link.bandwidth_khz, link.noise_figure, link.frequency, noise);
    let sensitivity = match hop.ledger.direction {
        Direction::Inbound => link.sensitivity,
        Direction::Outbound => link.device_sensitivity,
    };
    let is_above = (floor + link.snr_needed).0 > sensitivity.0;
    is_above.then_some(NoiseNeed { floor, snr: link.snr_needed })
}

/// The share of the received power that the direct path would bring by its ray alone.
pub(super) fn ray_share(hop: &Hop) -> PowerRatio {
    let ratio = (hop.path_loss - hop.direct_loss).to_ratio();
    PowerRatio(ratio.0.clamp(0.0, 1.0))
}

fn sigma_parts(site: &Site<'_>, hop: &Hop) -> SigmaParts {
    let spot = site.model.spot_sigma_db;
    let squares: f64 = hop.crossings.iter().map(|c| c.spread.0 * c.spread.0).sum();
    let share = ray_share(hop).0;
    SigmaParts {
        sigma_db: hop.sigma,
        shadowing_db: Db((hop.sigma.0 * hop.sigma.0 - spot.0 * spot.0).max(0.0).sqrt()),
        spot_sigma_db: spot,
        walls_db: Db(share * squares.sqrt()),
        direct_share: share,
    }
}
