//! Which repeaters are needed, and where: the question put to [`cover`], and what comes of it.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use rayon::prelude::*;

use super::cover::{CoverError, CoverProblem, Hops, Matrix, Proof, RepeaterOption, cover};
use super::reach::{Reach, Transmitter};
use forecast::{Crossing, Follower, HopFigures, SiteError};
use plan::{Device, DeviceKind, Outlet, Plan};
use trace::{HeightProfile, ImageTree, Point};

/// A repeater that is there, or could be.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// The repeater as it would be.
    pub device: Device,
    /// Whether the plan has it already.
    pub given: bool,
    /// Where it would be plugged in: the outlet's id, if it is at one.
    pub outlet: Option<String>,
}

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct RelaySettings {
    /// Most repeaters on a way.
    pub hops: Hops,
    /// How many sensors a new repeater passes on; `None`: any number.
    pub capacity: Option<u32>,
    /// Whether all must still be heard when any one repeater fails.
    pub lose_one: bool,
}

/// The hops between devices, places for repeaters and places for the panel.
#[derive(Debug)]
pub struct Relays<'r, 's, 'p> {
    reach: &'r Reach<'s, 'p>,
    settings: RelaySettings,
    /// The places for the panel.
    pub panels: Vec<Device>,
    /// The places for repeaters.
    pub candidates: Vec<Candidate>,
    /// The reception of every device, in the order of [`Reach::transmitters`], at each panel place
    /// and at each candidate.
    at_panel: Vec<Vec<HopFigures>>,
    at_site: Vec<Vec<HopFigures>>,
    /// From each candidate to each panel place.
    site_panel: Vec<Vec<HopFigures>>,
    /// From each candidate to each other; empty unless two repeaters may follow one another.
    site_site: Vec<Vec<HopFigures>>,
    /// The devices that must be heard, indices of [`Reach::transmitters`]: the supervised ones.
    pub wanted: Vec<usize>,
    /// How many places for repeaters or the panel there was no time for. Nothing is heard there.
    pub left_out: usize,
}

/// A device that no number of repeaters makes sound.
#[derive(Debug, Clone)]
pub struct Unheard {
    /// The device, an index of [`Reach::transmitters`].
    pub transmitter: usize,
    /// Whether the choice serves it all the same, by a first hop that is thin.
    pub is_thin: bool,
    /// The best way that it has over at most one repeater: an index of [`Relays::candidates`] and
    /// the figures of the hop to it, or `None` for straight to the panel.
    pub over: Option<(usize, HopFigures)>,
    /// The figures of the last hop, to the panel.
    pub to_panel: HopFigures,
    /// The wall or floor that costs most on the hop that fails more often.
    pub wall: Option<Crossing>,
}

/// The choice.
#[derive(Debug, Clone)]
pub struct RelayAnswer {
    /// Index of the panel's place.
    pub panel: usize,
    /// The repeaters that are used or given, indices of [`Relays::candidates`].
    pub open: Vec<usize>,
    /// The new ones among them.
    pub new: Vec<usize>,
    /// The way of each wanted device that is served, if only thinly: its index among the
    /// transmitters, and the candidates that it goes over, from the device to the panel.
    pub ways: Vec<(usize, Vec<usize>)>,
    /// Chance of a fault in a year on any hop in use.
    pub chance_of_any_fault: f64,
    /// How far it is proven.
    pub proof: Proof,
    /// Those that are not served, or only thinly.
    pub unheard: Vec<Unheard>,
}

/// Why there is no choice at all.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoChoice {
    /// What stands in the way.
    pub why: CoverError,
    /// The devices that it names, indices of [`Reach::transmitters`].
    pub transmitters: Vec<usize>,
}

/// New repeaters at the outlets of a plan.
#[must_use]
pub fn at_outlets(plan: &Plan, settings: &RelaySettings) -> Vec<Candidate> {
    let new = |outlet: &Outlet| Candidate {
        outlet: Some(outlet.id.clone()),
        ..new_at(outlet.level, outlet.position, outlet.height_m, settings)
    };
    plan.outlets.iter().map(new).collect()
}

/// New repeaters at some spots.
#[must_use]
pub fn at_spots(spots: &[super::spots::Spot], settings: &RelaySettings) -> Vec<Candidate> {
    spots.iter().map(|s| new_at(s.level, s.position, s.height_m, settings)).collect()
}

fn new_at(level: i32, position: Point, height_m: f64, settings: &RelaySettings) -> Candidate {
    let bare = Device::bare(DeviceKind::Repeater, level);
    let device = Device { position, height_m, capacity: settings.capacity, ..bare };
    Candidate { device, given: false, outlet: None }
}

/// The repeaters that a plan has.
#[must_use]
pub fn given(plan: &Plan) -> Vec<Candidate> {
    let repeaters = plan.devices.iter();
    repeaters
        .filter(|device| device.kind == DeviceKind::Repeater)
        .map(|device| Candidate { device: device.clone(), given: true, outlet: None })
        .collect()
}

impl<'r, 's, 'p> Relays<'r, 's, 'p> {
    /// Works out every hop. New candidates go by their outlet's id, or by number, until they are
    /// chosen. `progress` is called, from any thread, for each place that is done. Once `stop` says
    /// true, further new places are left out, but for the first of the panel.
    pub fn new(
        reach: &'r Reach<'s, 'p>,
        settings: RelaySettings,
        panels: Vec<Device>,
        mut candidates: Vec<Candidate>,
        progress: &(dyn Fn(u64) + Sync),
        stop: &(dyn Fn() -> bool + Sync),
    ) -> Result<Self, SiteError> {
        for (number, candidate) in candidates.iter_mut().enumerate() {
            if !candidate.given {
                let number = format!("place-{}", number + 1);
                candidate.device.id = candidate.outlet.clone().unwrap_or(number);
            }
        }
        let left_out = AtomicUsize::new(0);
        let in_time = |needed: bool| {
            let go = needed || !stop();
            progress(1);
            left_out.fetch_add(usize::from(!go), Ordering::Relaxed);
            go
        };
        let receptions = |places: &[(&Device, bool)]| -> Vec<Vec<HopFigures>> {
            let hears = |follower: &mut Follower, (device, needed): &(&Device, bool)| {
                let mut heard = || reach.direct(follower, device);
                if in_time(*needed) { heard() } else { Vec::new() }
            };
            places.par_iter().map_init(Follower::default, hears).collect()
        };
        let at_panel: Vec<(&Device, bool)> =
            panels.iter().enumerate().map(|(number, panel)| (panel, number == 0)).collect();
        let at_panel = receptions(&at_panel);
        let at_site: Vec<(&Device, bool)> =
            candidates.iter().map(|one| (&one.device, one.given)).collect();
        let at_site = receptions(&at_site);
        let others: Vec<Device> = match settings.hops {
            Hops::Two => candidates.iter().map(|one| one.device.clone()).collect(),
            Hops::One => Vec::new(),
        };
        let onward: Vec<(Vec<HopFigures>, Vec<HopFigures>)> = candidates
            .par_iter()
            .zip(&at_site)
            .map_init(Follower::default, |follower, (from, heard)| {
                let heard = !heard.is_empty() || reach.transmitters.is_empty();
                if !heard || !in_time(from.given) {
                    return Ok((Vec::new(), Vec::new()));
                }
                Ok((
                    onward(reach, follower, from, &panels)?,
                    onward(reach, follower, from, &others)?,
                ))
            })
            .collect::<Result<_, SiteError>>()?;
        let (site_panel, site_site) = onward.into_iter().unzip();
        let transmitters = reach.transmitters.iter().enumerate();
        let wanted = transmitters
            .filter(|(_, t)| t.device.supervised && t.device.kind != DeviceKind::Repeater)
            .map(|(number, _)| number);
        Ok(Self {
            wanted: wanted.collect(),
            reach,
            settings,
            panels,
            candidates,
            at_panel,
            at_site,
            site_panel,
            site_site,
            left_out: left_out.into_inner(),
        })
    }

    /// The fewest repeaters for all wanted devices. A device that no number of them makes sound may
    /// be thin; one that they do not even make thin is left out. The new ones get ids that the plan
    /// does not have yet. `stop` is asked often; once it says true the best choice so far is taken.
    ///
    /// # Errors
    /// [`NoChoice`]: capacities too small, devices that depend on one repeater, no time.
    pub fn solve(&mut self, stop: &dyn Fn() -> bool) -> Result<RelayAnswer, NoChoice> {
        let mut wanted = self.wanted.clone();
        let mut unheard: Vec<Unheard> = Vec::new();
        loop {
            let thin: Vec<usize> =
                unheard.iter().filter(|one| one.is_thin).map(|one| one.transmitter).collect();
            match cover(&self.problem(&wanted, &thin), stop) {
                Ok(answer) => {
                    name(&mut self.candidates, &answer.new, self.reach.site.plan);
                    let found = answer.new.len();
                    // With a place that was left out one repeater might do, and nothing is known
                    // of its chance.
                    let proof = match answer.proof {
                        _ if self.left_out > 0 && (found > 0 || self.panels.len() > 1) => {
                            Proof::Gap {
                                found,
                                at_least: usize::from(found > 0 && self.panels.len() == 1),
                                chance_found: answer.chance_of_any_fault,
                                chance_at_least: 0.0,
                            }
                        }
                        proof => proof,
                    };
                    return Ok(RelayAnswer {
                        panel: answer.panel,
                        ways: wanted.into_iter().zip(answer.ways).collect(),
                        open: answer.open,
                        new: answer.new,
                        chance_of_any_fault: answer.chance_of_any_fault,
                        proof,
                        unheard,
                    });
                }
                Err(CoverError::Unreachable { panel, sensors }) if !sensors.is_empty() => {
                    let named: Vec<usize> = sensors.iter().map(|s| wanted[*s]).collect();
                    for transmitter in named {
                        match unheard.iter_mut().find(|one| one.transmitter == transmitter) {
                            None => unheard.push(self.unheard(transmitter, panel)),
                            Some(one) => {
                                one.is_thin = false;
                                wanted.retain(|other| *other != transmitter);
                            }
                        }
                    }
                }
                Err(why) => {
                    let named = match &why {
                        CoverError::NotTwice { sensors, .. } => sensors.as_slice(),
                        _ => &[],
                    };
                    let transmitters = named.iter().map(|s| wanted[*s]).collect();
                    return Err(NoChoice { why, transmitters });
                }
            }
        }
    }

    fn problem(&self, wanted: &[usize], thin: &[usize]) -> CoverProblem {
        let limits = self.reach.site.model.findings;
        let below = |transmitter: &usize| {
            if thin.contains(transmitter) { limits.thin_below } else { limits.sound_below }
        };
        let chance = |figures: Option<&HopFigures>| figures.map_or(1.0, |f| f.fault_per_year);
        let (panels, sites) = (self.panels.len(), self.candidates.len());
        CoverProblem {
            panels,
            sites: (self.candidates.iter())
                .map(|c| RepeaterOption { capacity: c.device.capacity, given: c.given })
                .collect(),
            sensors: wanted.len(),
            sensor_panel: Matrix::from_fn(wanted.len(), panels, |s, p| {
                chance(self.at_panel[p].get(wanted[s]))
            }),
            sensor_site: Matrix::from_fn(wanted.len(), sites, |s, j| {
                chance(self.at_site[j].get(wanted[s]))
            }),
            site_panel: Matrix::from_fn(sites, panels, |j, p| chance(self.site_panel[j].get(p))),
            site_site: Matrix::from_fn(sites, sites, |j, k| {
                if j == k { 1.0 } else { chance(self.site_site[j].get(k)) }
            }),
            sound_below: limits.sound_below,
            sensor_below: wanted.iter().map(below).collect(),
            hops: self.settings.hops,
            lose_one: self.settings.lose_one,
        }
    }

    /// The best way of a device that is not good enough, and the wall that stops it.
    fn unheard(&self, transmitter: usize, panel: usize) -> Unheard {
        let at_panel = &self.panels[panel];
        let direct = self.at_panel[panel].get(transmitter).copied();
        let direct = direct.unwrap_or(HopFigures::NONE);
        let ways = self.at_site.iter().zip(&self.site_panel).enumerate();
        let over = ways.filter_map(|(site, (reception, onward))| {
            let (first, last) = (*reception.get(transmitter)?, *onward.get(panel)?);
            let kept = (1.0 - first.fault_per_year) * (1.0 - last.fault_per_year);
            Some((site, first, last, 1.0 - kept))
        });
        let best = over.min_by(|a, b| a.3.total_cmp(&b.3));
        let device = self.reach.transmitters[transmitter].device;
        let Some((site, first, last, _)) = best.filter(|best| best.3 < direct.fault_per_year)
        else {
            let wall = self.heaviest(device, at_panel);
            return Unheard { transmitter, is_thin: true, over: None, to_panel: direct, wall };
        };
        let relay = &self.candidates[site].device;
        let wall = if first.fault_per_year > last.fault_per_year {
            self.heaviest(device, relay)
        } else {
            self.heaviest(relay, at_panel)
        };
        Unheard { transmitter, is_thin: true, over: Some((site, first)), to_panel: last, wall }
    }

    /// The wall or floor that costs most between two devices.
    fn heaviest(&self, from: &Device, to: &Device) -> Option<Crossing> {
        let site = self.reach.site;
        let link = site.link(from.link.as_ref()).ok()?;
        let view = site.view(link.frequency)?;
        let tree = ImageTree::new(&site.scene, from.position, 0).ok()?;
        let height_profile =
            HeightProfile::straight(&site.scene.floors, from.height_m, to.height_m);
        let crossed = view.crossings(&mut Follower::default(), &tree, &height_profile, to.position);
        let loss = |crossing: &Crossing| (crossing.slab + crossing.excess).0;
        crossed.into_iter().max_by(|a, b| loss(a).total_cmp(&loss(b)))
    }

    /// The ways of an answer by ids: of every wanted device that is served, and of every repeater
    /// that carries something; each names the repeaters that it goes over.
    #[must_use]
    pub fn ways_by_id(&self, answer: &RelayAnswer) -> BTreeMap<String, Vec<String>> {
        let id = |site: &usize| self.candidates[*site].device.id.clone();
        let mut ways = BTreeMap::new();
        for (transmitter, over) in &answer.ways {
            let device = self.reach.transmitters[*transmitter].device;
            ways.insert(device.id.clone(), over.iter().map(id).collect());
            for (number, site) in over.iter().enumerate() {
                ways.insert(id(site), over[number + 1..].iter().map(id).collect());
            }
        }
        ways
    }

    /// The plan with the panel and the new repeaters of an answer.
    #[must_use]
    pub fn plan_with(&self, answer: &RelayAnswer) -> Plan {
        let mut plan = self.reach.site.plan.clone();
        let new = answer.new.iter().filter_map(|n| self.candidates.get(*n));
        plan.devices.extend(new.map(|candidate| candidate.device.clone()));
        let panel = &self.panels[answer.panel];
        match plan.devices.iter_mut().find(|d| d.kind == DeviceKind::Panel) {
            Some(old) => *old = panel.clone(),
            None => plan.devices.push(panel.clone()),
        }
        plan
    }
}

/// Traces the hops and looks for the fewest repeaters, both together no longer than `limit`.
/// `progress` is called as in [`Relays::new`].
///
/// # Errors
/// [`SiteError`]: a link that is not known. Beside the hops, [`NoChoice`], as [`Relays::solve`].
pub fn fewest<'r, 's, 'p>(
    reach: &'r Reach<'s, 'p>,
    settings: RelaySettings,
    (panels, candidates): (Vec<Device>, Vec<Candidate>),
    limit: Duration,
    progress: &(dyn Fn(u64) + Sync),
) -> Result<(Relays<'r, 's, 'p>, Result<RelayAnswer, NoChoice>), SiteError> {
    let started = Instant::now();
    // Half of the time for the hops leaves as much for the choice.
    let late = || started.elapsed() >= limit / 2;
    let mut relays = Relays::new(reach, settings, panels, candidates, progress, &late)?;
    let answer = relays.solve(&|| started.elapsed() >= limit);
    Ok((relays, answer))
}

/// Gives the candidates that were chosen names, and ids: `repeater-1` and so on, those that the
/// plan has left out.
fn name(candidates: &mut [Candidate], chosen: &[usize], plan: &Plan) {
    let mut next = 1;
    for site in chosen {
        while plan.has_feature(&format!("repeater-{next}")) {
            next += 1;
        }
        if let Some(candidate) = candidates.get_mut(*site) {
            candidate.device.id = format!("repeater-{next}");
            candidate.device.name = format!("Repeater {next}");
        }
        next += 1;
    }
}

/// The hops of a repeater to some listeners.
fn onward(
    reach: &Reach<'_, '_>,
    follower: &mut Follower,
    from: &Candidate,
    listeners: &[Device],
) -> Result<Vec<HopFigures>, SiteError> {
    let from = Transmitter::new(reach.site, &from.device)?;
    let mut hop = |to: &Device| from.hop_to(reach.site, follower, to);
    Ok(listeners.iter().map(&mut hop).collect())
}
