//! The zone schedule: every sensor with what is programmed for it and how it is heard.

use super::delays::PanelDelays;
use super::role::{Active, ENTRY_REACH_M, NearEntry, Response, Role, near_entry, role_of};
use forecast::{Assessment, DeviceResult};
use plan::Plan;

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
