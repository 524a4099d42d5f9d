//! The zone schedule: every sensor with what is programmed for it and how it is heard; and numbers
//! for devices that have none.

use std::collections::{BTreeMap, BTreeSet};

use super::delays::PanelDelays;
use super::role::{Active, ENTRY_REACH_M, NearEntry, Response, Role, near_entry, role_of};
use forecast::{Assessment, DeviceResult};
use plan::{Device, DeviceKind, MAX_NUMBER, Plan};

/// One row of the schedule.
#[derive(Debug, Clone)]
pub struct Zone {
    /// The device and its radio.
    pub result: DeviceResult,
    /// Where it is: its room and level.
    pub place: String,
    /// Its role: the plan's or, where that has none that is known, the proposed one.
    pub role: Option<Role>,
    /// Whether the role is only proposed.
    pub role_is_proposed: bool,
    /// What the panel does when it trips.
    pub response: Option<Response>,
    /// When it counts.
    pub active: Option<Active>,
    /// Entry delay that it starts, s; `None` where it starts none or the walk is not known.
    pub entry_delay_s: Option<f64>,
}

/// The zones of a plan by number; those without a number last, in the plan's order.
///
/// An entry-exit device gets the delay of the entry that it stands at or, away from any, the
/// longest.
#[must_use]
pub fn zones(plan: &Plan, assessment: &Assessment, delays: &PanelDelays) -> Vec<Zone> {
    let mut zones: Vec<Zone> =
        assessment.sensors.iter().map(|result| zone(plan, result, delays)).collect();
    zones.sort_by_key(|zone| (zone.result.device.number.is_none(), zone.result.device.number));
    zones
}

fn zone(plan: &Plan, result: &DeviceResult, delays: &PanelDelays) -> Zone {
    let device = &result.device;
    let known = device.role.as_deref().and_then(Role::of);
    let role = role_of(plan, device);
    let response = role.map(Role::response);
    let entry_delay_s = (response == Some(Response::Delayed))
        .then(|| {
            let own = near_entry(plan, device).filter(|near| near.distance_m <= ENTRY_REACH_M);
            let delay = |near: NearEntry| {
                let mut walks = delays.entries.iter();
                Some(walks.find(|one| one.walk.entry == near.entry)?.delay.proposed_s)
            };
            own.and_then(delay).or(delays.entry_s)
        })
        .flatten();
    Zone {
        place: plan.place_of(device),
        role,
        role_is_proposed: known.is_none() && role.is_some(),
        response,
        active: role.map(Role::active),
        entry_delay_s,
        result: result.clone(),
    }
}

/// A device and the number that it gets.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Numbering {
    /// Id of the device.
    pub id: String,
    /// Its number.
    pub number: u32,
}

/// Where a device stands in the order of numbering.
///
/// Sensors by role in the order of [`Role::ALL`] (a proposed role counts like one that is set),
/// then sensors without any, then keypads, sirens and repeaters; within each by level from below,
/// and in the plan's order.
fn rank(plan: &Plan, device: &Device) -> (usize, i32) {
    let place = match device.kind {
        DeviceKind::Sensor => role_of(plan, device).map_or(Role::ALL.len(), |role| role as usize),
        DeviceKind::Keypad => Role::ALL.len() + 1,
        DeviceKind::Siren => Role::ALL.len() + 2,
        DeviceKind::Repeater | DeviceKind::Panel => Role::ALL.len() + 3,
    };
    (place, device.level)
}

/// Numbers for all devices but the panel that have none: each the lowest from 1 that no device has,
/// in the order of roles (see [`Role::ALL`]), levels and the plan. Numbers that are there stay.
#[must_use]
pub fn missing_numbers(plan: &Plan) -> Vec<Numbering> {
    let taken: BTreeSet<u32> = plan.devices.iter().filter_map(|d| d.number).collect();
    let mut without: Vec<&Device> = plan
        .devices
        .iter()
        .filter(|device| device.number.is_none() && device.kind != DeviceKind::Panel)
        .collect();
    without.sort_by_key(|device| rank(plan, device));
    let free = (1..=MAX_NUMBER).filter(|number| !taken.contains(number));
    without
        .iter()
        .zip(free)
        .map(|(device, number)| Numbering { id: device.id.clone(), number })
        .collect()
}

/// The plan with these numbers.
#[must_use]
pub fn with_numbers(mut plan: Plan, numbers: &[Numbering]) -> Plan {
    let numbers: BTreeMap<&str, u32> =
        numbers.iter().map(|given| (given.id.as_str(), given.number)).collect();
    for device in &mut plan.devices {
        device.number = numbers.get(device.id.as_str()).copied().or(device.number);
    }
    plan
}

/// Most gaps that are reported one by one.
const MOST_GAPS: usize = 100;

/// Runs of numbers below the highest one in use that no device has, from 1, each as its first and
/// last number; the first hundred of them.
#[must_use]
pub fn free_numbers(plan: &Plan) -> Vec<(u32, u32)> {
    let taken: BTreeSet<u32> = plan.devices.iter().filter_map(|d| d.number).collect();
    let mut gaps = Vec::new();
    let mut next = 1;
    for number in taken.into_iter().filter(|number| *number > 0) {
        if number > next {
            gaps.push((next, number - 1));
        }
        next = number + 1;
    }
    gaps.truncate(MOST_GAPS);
    gaps
}
