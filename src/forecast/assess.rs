//! Every sensor's margin, chance of a fault and finding.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::coverage::{RoamResult, roam_result};
use super::hop::{Hop, hop};
use super::model::better_over_repeater;
use super::site::{Listener, Site, SiteError};
use plan::{Device, DeviceKind};
use radio::Link;
use units::Finding;

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
    /// The share of its alarm messages that reach the panel at the first try, 0 to 1.
    pub first_try: f64,
}

/// What is left of the way from a repeater to the panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Onward {
    /// Chance of a fault in a year.
    pub fault_per_year: f64,
    /// The share of messages that pass at the first try, 0 to 1.
    first_try: f64,
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
    /// For each repeater the chance of a fault on its way to the panel.
    onward: Vec<f64>,
}

impl Assessment {
    /// Works out the forecast for every device and roam area of a site.
    ///
    /// # Errors
    /// [`SiteError`] for a link that is not known.
    pub fn new(site: &Site<'_>) -> Result<Self, SiteError> {
        Self::with_ways(site, &BTreeMap::new())
    }

    /// The same forecast, but the devices named take the ways given: over which repeaters, from the
    /// device to the panel; none for straight to the panel. All others, and the roam areas, find
    /// their own ways over repeaters that have room beside those devices.
    ///
    /// # Errors
    /// [`SiteError`] for a link that is not known.
    pub fn with_ways(
        site: &Site<'_>,
        ways: &BTreeMap<String, Vec<String>>,
    ) -> Result<Self, SiteError> {
        let mut whole = Self::of_devices(site, ways)?;
        whole.add_roams(site, &|| true)?;
        Ok(whole)
    }

    /// The same, but for the roam areas, which take most of the time: [`Self::add_roams`] works
    /// them out.
    ///
    /// # Errors
    /// [`SiteError`] for a link that is not known.
    pub fn of_devices(
        site: &Site<'_>,
        ways: &BTreeMap<String, Vec<String>>,
    ) -> Result<Self, SiteError> {
        let onward = onward(site, ways)?;
        let devices: Vec<&Device> =
            site.plan.devices.iter().filter(|d| d.kind != DeviceKind::Panel).collect();
        let results: Vec<DeviceResult> = devices
            .into_par_iter()
            .map(|device| match ways.get(&device.id) {
                Some(over) => along(site, device, over),
                None => best_way(site, device, &onward),
            })
            .collect::<Result<_, SiteError>>()?;
        let (sensors, two_way) =
            results.into_iter().partition(|result| result.device.kind == DeviceKind::Sensor);
        let onward = onward.iter().map(|onward| onward.fault_per_year).collect();
        Ok(Self { sensors, two_way, roams: Vec::new(), onward })
    }

    /// Works out the roam areas, one after the other as long as `go_on` says so; whether all of
    /// them are there.
    ///
    /// # Errors
    /// [`SiteError`] for a link that is not known.
    pub fn add_roams(
        &mut self,
        site: &Site<'_>,
        go_on: &dyn Fn() -> bool,
    ) -> Result<bool, SiteError> {
        while let Some(roam) = site.plan.roams.get(self.roams.len()) {
            if !go_on() {
                return Ok(false);
            }
            self.roams.push(roam_result(site, roam, &self.onward)?);
        }
        Ok(true)
    }

    /// The findings of the repeaters, in plan order.
    #[must_use]
    pub fn repeater_findings(&self) -> Vec<Finding> {
        let two_way = self.two_way.iter();
        two_way
            .filter(|result| result.device.kind == DeviceKind::Repeater)
            .map(|result| result.finding)
            .collect()
    }

    /// Whether any device is failing.
    #[must_use]
    pub fn any_failing(&self) -> bool {
        self.sensors.iter().chain(&self.two_way).any(|result| result.finding == Finding::Failing)
    }
}

/// For each repeater of a site what its whole way to the panel is worth, as [`Assessment::new`]
/// takes it: what [`best_way`] asks for.
///
/// # Errors
/// [`SiteError`] for a link that is not known.
pub fn onward_chances(site: &Site<'_>) -> Result<Vec<Onward>, SiteError> {
    onward(site, &BTreeMap::new())
}

/// For each repeater what its whole way to the panel is worth; nothing where it, or one that it
/// goes over, has no room left for more than the devices of `ways`.
fn onward(site: &Site<'_>, ways: &BTreeMap<String, Vec<String>>) -> Result<Vec<Onward>, SiteError> {
    let is_repeater = |id: &String| site.repeaters.iter().any(|r| r.device.id == *id);
    let carried = |id: &String| {
        let over = ways.iter().filter(|(from, _)| !is_repeater(from));
        over.filter(|(_, over)| over.contains(id)).count()
    };
    let is_full = |device: &Device| {
        let capacity = device.capacity.and_then(|most| usize::try_from(most).ok());
        capacity.is_some_and(|most| carried(&device.id) >= most)
    };
    let chance = |repeater: &Listener| {
        let over = ways.get(&repeater.device.id).map_or(&[][..], Vec::as_slice);
        let mut next = site.repeaters.iter().filter(|r| over.contains(&r.device.id));
        if is_full(&repeater.device) || next.any(|next| is_full(&next.device)) {
            return Ok(Onward { fault_per_year: 1.0, first_try: 0.0 });
        }
        let DeviceResult { fault_per_year, first_try, .. } = along(site, &repeater.device, over)?;
        Ok(Onward { fault_per_year, first_try })
    };
    site.repeaters.par_iter().map(chance).collect()
}

/// A device's way, given: over these repeaters in this order, or straight to the panel. A repeater
/// that the site does not have ends the way at the panel.
fn along(site: &Site<'_>, device: &Device, over: &[String]) -> Result<DeviceResult, SiteError> {
    let listener = |id: Option<&String>| {
        let known = site.repeaters.iter().find(|r| Some(&r.device.id) == id);
        known.unwrap_or(&site.panel)
    };
    let link = site.link(device.link.as_ref())?;
    let hop =
        |from: &Device, link: &Link, next: Option<&String>| hop(site, listener(next), from, link);
    let first = hop(device, &link, over.first());
    let (mut kept, mut first_try) = (1.0 - first.fault_per_year, first.first_try);
    for (number, id) in over.iter().enumerate() {
        let repeater = &listener(Some(id)).device;
        let onward = site.link(repeater.link.as_ref())?;
        let next = hop(repeater, &onward, over.get(number + 1));
        kept *= 1.0 - next.fault_per_year;
        first_try *= next.first_try;
    }
    let worth = Onward { fault_per_year: 1.0 - kept, first_try };
    Ok(result(site, device, link, (first, over.first().cloned()), worth))
}

/// One device's forecast: the better of the way to the panel and the ways over one repeater and on
/// from there, worth what is given for each repeater ([`onward_chances`]). The device
/// need not be one of the plan, but its link must be one that the plan uses.
///
/// # Errors
/// [`SiteError`] for a link that is not known.
pub fn best_way(
    site: &Site<'_>,
    device: &Device,
    repeaters: &[Onward],
) -> Result<DeviceResult, SiteError> {
    let link = site.link(device.link.as_ref())?;
    let direct = hop(site, &site.panel, device, &link);
    let (mut chance, mut best, mut via) = (direct.fault_per_year, direct, None);
    let mut rest = 1.0;
    if device.kind != DeviceKind::Repeater {
        for (repeater, onward) in site.repeaters.iter().zip(repeaters) {
            let first = hop(site, repeater, device, &link);
            let limits = site.model.findings;
            if let Some(both) =
                better_over_repeater(chance, first.fault_per_year, onward.fault_per_year, limits)
            {
                (chance, best, via) = (both, first, Some(repeater.device.id.clone()));
                rest = onward.first_try;
            }
        }
    }
    let worth = Onward { fault_per_year: chance, first_try: best.first_try * rest };
    Ok(result(site, device, link, (best, via), worth))
}

fn result(
    site: &Site<'_>,
    device: &Device,
    link: Link,
    (hop, via): (Hop, Option<String>),
    Onward { fault_per_year, first_try }: Onward,
) -> DeviceResult {
    let finding = Finding::of(fault_per_year, site.model.findings);
    DeviceResult { device: device.clone(), link, hop, via, fault_per_year, finding, first_try }
}
