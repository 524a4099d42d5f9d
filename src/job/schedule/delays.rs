//! Entry and exit delay from the walks to the panel.

use geo::Coord;

use plan::{Device, Plan};
use siting::delay::{Delay, DelaySettings, TooLong, delays_for};
use siting::nearest_on;
use siting::walk::{Unreached, Walk, WalkError, WalkMap, WalkSettings, passable_by_default};

/// A panel this near to a wall hangs on it, metres (half a thick wall and the depth of a panel;
/// common sense, no source).
const ON_WALL_M: f64 = 0.5;

/// The walk from one entry and the delay that it needs.
#[derive(Debug, Clone, PartialEq)]
pub struct EntryDelay {
    /// The walk.
    pub walk: Walk,
    /// The entry delay of this entry alone.
    pub delay: Delay,
}

/// The delays of a panel where it hangs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PanelDelays {
    /// Every entry from which the panel can be reached, in the order of the plan.
    pub entries: Vec<EntryDelay>,
    /// The other entries.
    pub unreached: Vec<Unreached>,
    /// The longest entry delay, s; `None` without entries.
    pub entry_s: Option<f64>,
    /// The exit delay, s: never less than the longest entry delay.
    pub exit_s: Option<f64>,
    /// What the limits do not allow.
    pub too_long: Vec<TooLong>,
    /// The limits.
    pub limits: DelaySettings,
}

/// The way that a device on a wall looks: away from the nearest wall of its level at its height;
/// `None` where no wall is near or the device is on a wall's centre line.
#[must_use]
pub fn facing(plan: &Plan, device: &Device) -> Option<Coord<f64>> {
    let at_height = plan.walls.iter().filter(|wall| {
        wall.level == device.level
            && wall.base_m <= device.height_m
            && wall.top_m >= device.height_m
    });
    let off = at_height
        .flat_map(|wall| wall.line.lines())
        .map(|line| device.position - nearest_on(line, device.position))
        .min_by(|a, b| a.x.hypot(a.y).total_cmp(&b.x.hypot(b.y)))?;
    let distance_m = off.x.hypot(off.y);
    (distance_m > 1e-6 && distance_m <= ON_WALL_M).then(|| off / distance_m)
}

/// The delays of a panel: for each entry the walk to it with [`DelaySettings`], as `place` does it
/// for a spot; the exit delay from the longest walk, and never less than the longest entry delay.
///
/// # Errors
/// [`WalkError`] for a setting out of its range or a plan too large for walks.
pub fn panel_delays(
    plan: &Plan,
    panel: &Device,
    walk: &WalkSettings,
    delay: &DelaySettings,
) -> Result<PanelDelays, WalkError> {
    let map = WalkMap::new(plan, walk, &|opening| passable_by_default(plan, opening))?;
    let walks = map.from_entries().to(panel.level, panel.position, facing(plan, panel));
    let longest = walks.longest().map(|walk| delays_for(walk.time_s, delay));
    Ok(PanelDelays {
        entries: walks
            .walks
            .into_iter()
            .map(|walk| EntryDelay { delay: delays_for(walk.time_s, delay).entry, walk })
            .collect(),
        unreached: walks.unreached,
        entry_s: longest.as_ref().map(|delays| delays.entry.proposed_s),
        exit_s: longest.as_ref().map(|delays| delays.exit.proposed_s),
        too_long: longest.map(|delays| delays.too_long).unwrap_or_default(),
        limits: *delay,
    })
}
