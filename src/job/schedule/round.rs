//! The round past all devices at the hand-over or with readings: the order in which they are walked
//! to.

use super::delays::facing;
use plan::{Device, DeviceKind, Plan};
use siting::order::quickest_order;
use siting::walk::{
    Goal, Leg, NoWalk, Start, WalkError, WalkMap, WalkSettings, passable_by_default,
};

/// Most devices that a round is put in order for (our own choice): its work grows with their
/// square.
pub const MOST_STOPS: usize = 300;

/// One device of a round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Its number in the plan's list of devices.
    pub device: usize,
    /// The walk from the stop before, or from the start; why there is none.
    pub leg: Result<Leg, NoWalk>,
}

/// The walking order of all devices but the panel.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Round {
    /// Those that are walked to, in that order; then the others, by their number.
    pub stops: Vec<Stop>,
    /// Ids of the entries at which a round can begin.
    pub entries: Vec<String>,
}

/// The quickest round past all devices, from in front of the panel or from an entry, by its id. The
/// way back is not counted.
///
/// # Errors
/// [`WalkError`] for a plan too large for walks.
pub fn round(plan: &Plan, panel: &Device, from: Option<&str>) -> Result<Round, WalkError> {
    let mut devices: Vec<usize> = (0..plan.devices.len()).collect();
    devices.retain(|number| plan.devices[*number].kind != DeviceKind::Panel);
    devices.sort_by_key(|number| {
        let number = plan.devices[*number].number;
        (number.is_none(), number)
    });
    WalkError::unless_at_most("devices to walk to", devices.len(), MOST_STOPS)?;
    let settings = WalkSettings::USUAL;
    let map = WalkMap::new(plan, &settings, &|opening| passable_by_default(plan, opening))?;
    let goal = |device: &Device| Goal {
        level: device.level,
        at: device.position,
        facing: facing(plan, device),
    };
    let goals: Vec<Goal> = devices.iter().map(|number| goal(&plan.devices[*number])).collect();
    let start = from.map_or_else(|| Start::Spot(goal(panel)), Start::Entry);
    let found = map.legs(start, &goals);
    let seconds = |leg: &Option<Leg>| leg.map_or(f64::INFINITY, |leg| leg.time_s);
    let times: Vec<Vec<f64>> =
        found.legs.iter().map(|row| row.iter().map(seconds).collect()).collect();
    let mut round = Round::default();
    let mut here = 0;
    for next in quickest_order(&times) {
        let (leg, goal) = (found.legs[here][next], found.reached[next - 1]);
        round.stops.push(Stop { device: devices[goal], leg: leg.ok_or(NoWalk::NoWay) });
        here = next;
    }
    let others = found.unreached.iter();
    round.stops.extend(others.map(|(goal, why)| Stop { device: devices[*goal], leg: Err(*why) }));
    round.entries = map.entries().map(str::to_owned).collect();
    round.entries.dedup();
    Ok(round)
}
