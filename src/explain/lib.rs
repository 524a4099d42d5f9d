//! One sensor's link in full: every decibel, every path that carries weight, and what would help.
//!
//! [`find`] tells which device is meant; [`explain`] gives its [`Explanation`]: the [`Account`] of the
//! hop that it takes, the [`Profile`] of the level along it, and the [`Remedies`], each worked out by
//! running the model again on the plan with that one change.
//!
//! # What counts as uncertain
//! Every [`Remedy`] says by how much its gain may be off ([`Remedy::spread`], see [`doubt`]). It is
//! marked uncertain if
//! * the gain is smaller than that spread, so that about one in six such changes does harm, or
//! * it is a move shorter than it takes to leave a null ([`null_distance`]): then what is gained or
//!   lost is mostly the luck of the spot, which no plan knows.

mod account;
mod changes;
pub mod doubt;
mod find;
mod hanging;
mod moves;
mod paths;
mod profile;
mod remedies;
mod remedy;
mod structure;

use forecast::{DeviceResult, Site, SiteError, best_way, onward_chances};
use plan::{Device, DeviceKind};

pub use account::{Account, Item, Line, NeededBy, SigmaParts};
pub use doubt::{null_distance, standing_wave_distance};
pub use find::{NotFound, find};
pub use hanging::{Hanging, Side, hanging, places};
pub use paths::{LEAST_SHARE, MOST_REFLECTED, Reflection, Reflector, Rest, TracedPath};
pub use profile::{Profile, ProfileCrossing, ProfilePoint};
pub use remedies::{LEAST_GAIN, Remedies, RepeaterTrial, Vain, VainWhy};
pub use remedy::{Action, Remedy};

/// What the user may settle.
#[derive(Debug, Clone, Copy, PartialEq)]
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
    pub account: Account,
    /// Chance of a fault in a year from the repeater on; `None` if it goes straight to the panel.
    pub onward_fault_per_year: Option<f64>,
    /// The hop straight to the panel, if it goes over a repeater.
    pub to_panel: Option<Account>,
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
    let repeaters = site.repeaters.iter().zip(&onward);
    let over = repeaters
        .filter(|(repeater, _)| Some(&repeater.device.id) == result.via.as_ref())
        .map(|(repeater, chance)| (repeater, *chance))
        .next();
    let listener = over.map_or(&site.panel, |(repeater, _)| repeater);
    let account = Account::new(site, listener, device, &result.link);
    let to_panel = over.map(|_| Account::new(site, &site.panel, device, &result.link));
    let profile = Profile::new(site, listener, device, &account);
    let remedies = Remedies::new(site, device, &result, &account, listener, settings)?;
    Ok(Explanation {
        onward_fault_per_year: over.map(|(_, chance)| chance),
        result,
        account,
        to_panel,
        profile,
        remedies,
    })
}

/// The devices that can be explained, in plan order: all but the panel.
pub fn explainable(devices: &[Device]) -> impl Iterator<Item = &Device> {
    devices.iter().filter(|device| device.kind != DeviceKind::Panel)
}
