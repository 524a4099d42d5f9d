//! The radio of every spot, traced from the devices.
//!
//! Paths are the same in both directions, so the images are those of each device, built once; a
//! spot then costs one look along them. Repeaters that the plan already has are used as `check`
//! uses them.

use geo::{BoundingRect as _, Contains as _, Coord};
use rayon::prelude::*;

use super::spots::Spot;
use forecast::{
    Finding, Follower, HopFigures, Ledger, Listener, ListenerEnd, Site, SiteError, Trail, View,
    better_over_repeater, covering, hop_figures, roam_budget, tenth_percentile,
};
use plan::{Aerial, Device, DeviceKind, Roam};
use radio::Link;
use trace::{HeightProfile, ImageTree, Point};
use units::{Db, PowerRatio};

/// Sample points of one roam area: enough for a share to one part in fifty or so.
const ROAM_SAMPLES: f64 = 64.0;

/// A device that must be heard at the panel.
#[derive(Debug, Clone)]
pub struct Transmitter<'a> {
    /// The device.
    pub device: &'a Device,
    /// Its link.
    pub link: Link,
    /// Its images.
    pub tree: ImageTree,
    /// Its figures to each repeater of the plan, in plan order; empty for a repeater itself.
    pub to_repeaters: Vec<HopFigures>,
}

impl<'a> Transmitter<'a> {
    pub(crate) fn new(site: &Site<'_>, device: &'a Device) -> Result<Self, SiteError> {
        let link = site.link(device.link.as_ref())?;
        let spot = site.spot_of(device, link.frequency);
        let tree = ImageTree::new(&site.scene, spot, site.model.reflections)?;
        Ok(Self { device, link, tree, to_repeaters: Vec::new() })
    }

    /// The figures of its hop to what listens at a place and height.
    pub(crate) fn hop_to(
        &self,
        site: &Site<'_>,
        follower: &mut Follower,
        listener: &Device,
    ) -> HopFigures {
        let profiles = height_profiles(site, self.device.height_m, listener.height_m);
        self.hop(site, follower, (listener.position, listener.aerial), &profiles)
    }

    /// The same, the ways to gain height being known.
    fn hop(
        &self,
        site: &Site<'_>,
        follower: &mut Follower,
        (to, aerial): (Point, Option<Aerial>),
        height_profiles: &[HeightProfile],
    ) -> HopFigures {
        let listener = ListenerEnd::Far;
        let trail = Trail { tree: &self.tree, height_profiles, to, listener, aerial };
        hop_figures(site, follower, trail, self.device, &self.link)
    }
}

/// The points of a roam area at which a portable transmitter is tried.
#[derive(Debug)]
struct RoamSamples<'a> {
    roam: &'a Roam,
    link: Link,
    budget: Ledger,
    samples: Vec<Sample>,
}

#[derive(Debug)]
struct Sample {
    tree: ImageTree,
    /// The transmitter alone.
    transmitter: ImageTree,
    /// For each repeater of the plan, whether it hears a transmitter here.
    by_repeaters: Vec<bool>,
}

/// All devices of a site, ready to be asked from any spot.
#[derive(Debug)]
pub struct Reach<'s, 'p> {
    /// The site.
    pub site: &'s Site<'p>,
    /// Every device but the panel, in plan order.
    pub transmitters: Vec<Transmitter<'p>>,
    roams: Vec<RoamSamples<'p>>,
    /// For each repeater of the plan, its place in `transmitters`.
    repeaters: Vec<usize>,
}

/// How one device would be heard with the panel at a spot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heard {
    /// The lower of the margins of its hops.
    pub margin: Db,
    /// Chance of a fault in a year on the whole way.
    pub fault_per_year: f64,
    /// The repeater that it takes (by its number among the plan's), or `None` for the panel.
    pub via: Option<usize>,
}

/// The radio of one spot.
#[derive(Debug, Clone, PartialEq)]
pub struct SpotRadio {
    /// Every device's way, in the order of [`Reach::transmitters`].
    pub heard: Vec<Heard>,
    /// The device with the least margin, an index of [`Reach::transmitters`].
    pub worst: Option<usize>,
    /// Chance that any supervised device has a fault in a year, each by itself.
    pub any_fault_per_year: f64,
    /// Number of devices that are not sound.
    pub not_sound: usize,
    /// Number of devices that are failing.
    pub failing: usize,
    /// Share of each roam area, in plan order, that is served: estimated from some sixty points.
    pub roam_shares: Vec<f64>,
}

impl<'s, 'p> Reach<'s, 'p> {
    /// Builds the images of every device and of the sample points of the roam areas.
    ///
    /// # Errors
    /// [`SiteError`]: an unknown link, too many reflected paths.
    pub fn new(site: &'s Site<'p>) -> Result<Self, SiteError> {
        let devices: Vec<&Device> =
            site.plan.devices.iter().filter(|device| device.kind != DeviceKind::Panel).collect();
        let transmitters: Vec<Transmitter<'p>> = devices
            .into_par_iter()
            .map(|device| {
                let mut own = Transmitter::new(site, device)?;
                if device.kind != DeviceKind::Repeater {
                    let mut follower = Follower::default();
                    let hop =
                        |repeater: &Listener| own.hop_to(site, &mut follower, &repeater.device);
                    own.to_repeaters = site.repeaters.iter().map(hop).collect();
                }
                Ok(own)
            })
            .collect::<Result<_, SiteError>>()?;
        let repeaters = transmitters
            .iter()
            .enumerate()
            .filter(|(_, transmitter)| transmitter.device.kind == DeviceKind::Repeater)
            .map(|(number, _)| number);
        let roams = site.plan.roams.iter().map(|roam| samples(site, roam));
        Ok(Self {
            repeaters: repeaters.collect(),
            roams: roams.collect::<Result<_, SiteError>>()?,
            site,
            transmitters,
        })
    }

    /// The radio of every spot, in their order. `progress` is called, from any thread, with how
    /// many spots are done since the last call.
    #[must_use]
    pub fn radio(&self, spots: &[Spot], progress: &(dyn Fn(u64) + Sync)) -> Vec<SpotRadio> {
        let mut heights: Vec<f64> = spots.iter().map(|spot| spot.height_m).collect();
        heights.sort_by(f64::total_cmp);
        heights.dedup();
        let rises: Vec<Rises> = heights.iter().map(|z| self.rises(*z)).collect();
        spots
            .par_iter()
            .map_init(Follower::default, |follower, spot| {
                let place = heights.partition_point(|z| *z < spot.height_m);
                let radio = self.at(follower, spot.position, &rises[place]);
                progress(1);
                radio
            })
            .collect()
    }

    /// How every device is heard, directly, by what listens somewhere.
    pub fn direct(&self, follower: &mut Follower, listener: &Device) -> Vec<HopFigures> {
        let all = self.transmitters.iter();
        all.map(|one| one.hop_to(self.site, follower, listener)).collect()
    }

    fn rises(&self, height_m: f64) -> Rises {
        let from = |z: f64| height_profiles(self.site, z, height_m);
        Rises {
            transmitters: self.transmitters.iter().map(|t| from(t.device.height_m)).collect(),
            roams: self.roams.iter().map(|r| from(r.roam.height_m)).collect(),
        }
    }

    fn at(&self, follower: &mut Follower, to: Coord<f64>, rises: &Rises) -> SpotRadio {
        let limits = self.site.model.findings;
        let profiles = self.transmitters.iter().zip(&rises.transmitters);
        let panel = (to, self.site.panel.device.aerial);
        let direct: Vec<HopFigures> = profiles
            .map(|(transmitter, profiles)| transmitter.hop(self.site, follower, panel, profiles))
            .collect();
        let onward: Vec<HopFigures> = self.repeaters.iter().map(|place| direct[*place]).collect();
        let transmitters = self.transmitters.iter().zip(&direct);
        let heard: Vec<Heard> = transmitters
            .map(|(transmitter, direct)| best_way(transmitter, direct, &onward, limits))
            .collect();
        let finding = |heard: &Heard| Finding::of(heard.fault_per_year, limits);
        let worst =
            (0..heard.len()).min_by(|a, b| heard[*a].margin.0.total_cmp(&heard[*b].margin.0));
        let none_faults: f64 = self
            .transmitters
            .iter()
            .zip(&heard)
            .filter(|(transmitter, _)| transmitter.device.supervised)
            .map(|(_, heard)| (-heard.fault_per_year.min(1.0)).ln_1p())
            .sum();
        let roams = self.roams.iter().zip(&rises.roams);
        SpotRadio {
            worst,
            any_fault_per_year: -none_faults.exp_m1(),
            not_sound: heard.iter().filter(|h| finding(h) != Finding::Sound).count(),
            failing: heard.iter().filter(|h| finding(h) == Finding::Failing).count(),
            roam_shares: roams
                .map(|(roam, height_profiles)| {
                    self.share(follower, roam, height_profiles, to, &onward)
                })
                .collect(),
            heard,
        }
    }

    /// Share of the sample points from which a portable transmitter is heard, directly or by a
    /// repeater that itself is heard.
    fn share(
        &self,
        follower: &mut Follower,
        roam: &RoamSamples<'_>,
        height_profiles: &[HeightProfile],
        to: Point,
        onward: &[HopFigures],
    ) -> f64 {
        let Some(view) = self.site.view(roam.link.frequency) else {
            return 0.0;
        };
        let view = View { listener: ListenerEnd::Far, ..view };
        let limits = self.site.model.findings;
        let sigma = self.site.clear_sigma();
        let is_heard = |sample: &&Sample| {
            let relayed = sample.by_repeaters.iter().zip(onward).any(|(heard, onward)| {
                *heard && Finding::of(onward.fault_per_year, limits) != Finding::Failing
            });
            let mut is_enough = |tree: &ImageTree, height_profiles: &[HeightProfile], least| {
                let gain = view.gain(follower, tree, height_profiles, to);
                is_served(&roam.budget, gain * PowerRatio(least), sigma)
            };
            // Where the direct path is enough, whatever interference takes from it, reflections
            // need not be followed.
            let direct = &height_profiles[..height_profiles.len().min(1)];
            relayed
                || is_enough(&sample.transmitter, direct, self.site.model.adding.least_left())
                || is_enough(&sample.tree, height_profiles, 1.0)
        };
        let heard = roam.samples.iter().filter(is_heard).count();
        heard as f64 / roam.samples.len().max(1) as f64
    }
}

/// The ways to gain height from each device and roam area to spots at one height.
struct Rises {
    transmitters: Vec<Vec<HeightProfile>>,
    roams: Vec<Vec<HeightProfile>>,
}

/// The ways to gain height from one height to another.
fn height_profiles(site: &Site<'_>, from_z: f64, to_z: f64) -> Vec<HeightProfile> {
    HeightProfile::all(&site.scene.floors, from_z, to_z, site.model.reflections)
}

/// The better of the way to the panel and the ways over one repeater, chosen as `check` does.
fn best_way(
    transmitter: &Transmitter<'_>,
    direct: &HopFigures,
    onward: &[HopFigures],
    limits: forecast::Limits,
) -> Heard {
    let mut best =
        Heard { margin: direct.margin, fault_per_year: direct.fault_per_year, via: None };
    for (number, (first, onward)) in transmitter.to_repeaters.iter().zip(onward).enumerate() {
        let (now, after) = (best.fault_per_year, onward.fault_per_year);
        if let Some(both) = better_over_repeater(now, first.fault_per_year, after, limits) {
            let margin = Db(first.margin.0.min(onward.margin.0));
            best = Heard { margin, fault_per_year: both, via: Some(number) };
        }
    }
    best
}

/// Whether nine of ten portable transmitters would be heard over a path.
fn is_served(budget: &Ledger, gain: PowerRatio, sigma: Db) -> bool {
    tenth_percentile(budget.margin_db - gain.to_loss(), sigma).0 >= 0.0
}

fn samples<'p>(site: &Site<'p>, roam: &'p Roam) -> Result<RoamSamples<'p>, SiteError> {
    let link = site.link(roam.link.as_ref())?;
    let budget = roam_budget(site, roam, &link);
    let sigma = site.clear_sigma();
    let mut follower = Follower::default();
    let mut samples = Vec::new();
    for point in sample_points(roam) {
        let tree = ImageTree::new(&site.scene, point, site.model.reflections)?;
        let mut heard_by = |repeater: &Listener| {
            let height_profiles = height_profiles(site, roam.height_m, repeater.device.height_m);
            let to = repeater.device.position;
            site.view(link.frequency).is_some_and(|view| {
                let view = View { listener: ListenerEnd::Far, ..view };
                is_served(&budget, view.gain(&mut follower, &tree, &height_profiles, to), sigma)
            })
        };
        let by_repeaters = site.repeaters.iter().map(&mut heard_by).collect();
        samples.push(Sample { transmitter: tree.transmitter(), tree, by_repeaters });
    }
    Ok(RoamSamples { roam, link, budget, samples })
}

/// Middles of square cells that lie in the area.
fn sample_points(roam: &Roam) -> Vec<Point> {
    let Some(bounds) = roam.outline.bounding_rect() else {
        return Vec::new();
    };
    let area = geo::Area::unsigned_area(&roam.outline);
    // However thin the area, its bounding box takes no more than some ten thousand cells.
    let least = (bounds.width() * bounds.height() / 10_000.0).sqrt();
    let cell = (area / ROAM_SAMPLES).sqrt().max(least).max(0.1);
    let grid = covering(bounds.min(), bounds.max(), cell, roam.height_m);
    let cells = (0..grid.rows).flat_map(|row| (0..grid.columns).map(move |column| (column, row)));
    cells
        .map(|(column, row)| grid.centre(column, row))
        .filter(|centre| roam.outline.contains(centre))
        .collect()
}
