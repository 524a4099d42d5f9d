//! One sensor's link in full: every decibel, every path that carries weight, and what would help.
//!
//! [`find`] finds the device that is meant; [`explain`] gives its [`Explanation`]: the
//! [`HopBudget`] of the hop that it takes, the [`Profile`] of the level along it, and the
//! [`Remedies`], each worked out by running the model again on the plan with that one change.
//!
//! # What counts as uncertain
//! Every [`Remedy`] says by how much its gain may be off ([`Remedy::gain_sigma_db`]). It is
//! marked uncertain if
//! * the gain is smaller than that spread, so that about one in six such changes does harm, or
//! * it is a move shorter than it takes to leave a null ([`null_distance`]): then what is gained or
//!   lost is mostly the luck of the spot, which no plan knows.

mod changes;
mod find;
mod gain_spread;
mod hop_budget;
mod moves;
mod paths;
mod practice;
mod profile;
mod remedies;
mod wall_face;

use serde::Serialize;

use forecast::{DeviceResult, Site, SiteError, best_way, onward_chances};
use plan::{Device, DeviceKind};

pub use find::{NotFound, find};
pub use gain_spread::{null_distance, standing_wave_distance};
pub use hop_budget::{HopBudget, Item, Line, NoiseNeed, SigmaParts};
pub use paths::{LEAST_SHARE, MOST_REFLECTED, Reflection, Reflector, Rest, TracedPath};
pub use practice::Effort;
pub use profile::{Profile, ProfileCrossing, ProfilePoint};
pub use remedies::{Action, LEAST_GAIN, NoHelp, Remedies, Remedy, RepeaterTrial};
pub use wall_face::{Side, WallFace, places, wall_face};

/// What the user may settle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ExplainSettings {
    /// How far the device may be moved, metres.
    pub reach_m: f64,
    /// How far it may be raised or lowered, metres.
    pub raise_m: f64,
}

impl Default for ExplainSettings {
    fn default() -> Self {
        Self { reach_m: 0.5, raise_m: 0.5 }
    }
}

/// Everything about one device's link.
#[derive(Debug, Clone)]
pub struct Explanation {
    /// Its forecast, as `check` gives it.
    pub result: DeviceResult,
    /// The hop that it takes, to the panel or to a repeater.
    pub budget: HopBudget,
    /// Chance of a fault in a year from the repeater on; `None` if it goes straight to the panel.
    pub onward_fault_per_year: Option<f64>,
    /// The hop straight to the panel, if it goes over a repeater.
    pub to_panel: Option<HopBudget>,
    /// The level along the hop that it takes.
    pub profile: Profile,
    /// What would help.
    pub remedies: Remedies,
}

/// Explains the link of a device, which must not be the panel.
///
/// # Errors
/// [`SiteError`] for a link that is not known or too many reflected paths.
pub fn explain(
    site: &Site<'_>,
    device: &Device,
    settings: &ExplainSettings,
) -> Result<Explanation, SiteError> {
    let onward = onward_chances(site)?;
    let result = best_way(site, device, &onward)?;
    let mut repeaters = site.repeaters.iter().zip(onward.iter().copied());
    let over = repeaters.find(|(repeater, _)| Some(&repeater.device.id) == result.via.as_ref());
    let listener = over.map_or(&site.panel, |(repeater, _)| repeater);
    let budget = HopBudget::new(site, listener, device, &result.link);
    let to_panel = over.map(|_| HopBudget::new(site, &site.panel, device, &result.link));
    let profile = Profile::new(site, listener, device, &budget);
    let remedies = Remedies::new(site, device, &result, &budget, listener, settings)?;
    Ok(Explanation {
        onward_fault_per_year: over.map(|(_, onward)| onward.fault_per_year),
        result,
        budget,
        to_panel,
        profile,
        remedies,
    })
}

/// The devices that can be explained, in plan order: all but the panel.
pub fn explainable(devices: &[Device]) -> impl Iterator<Item = &Device> {
    devices.iter().filter(|device| device.kind != DeviceKind::Panel)
}
