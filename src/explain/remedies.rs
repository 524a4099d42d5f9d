//! What would help: one change after another, each put to the model.

use super::account::Account;
use super::remedy::{Action, Remedy};
use super::{ExplainSettings, doubt};
use forecast::{DeviceResult, Finding, Listener, Site, SiteError, best_way, onward_chances};
use plan::{Device, Plan};
use units::{Db, Metres};

/// Least gain that counts as help, dB: less is not known so well.
pub const LEAST_GAIN: Db = Db(0.1);

/// Why something tried does not help, or was not tried.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum VainWhy {
    /// It was tried, at so many places, and nothing gained [`LEAST_GAIN`] or lowered the chance.
    NoGain {
        /// How many places or changes were tried.
        tried: usize,
    },
    /// There is nothing to try, for this reason.
    NotTried(&'static str),
}

/// Something that does not help.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vain {
    /// The word of the [`Action`].
    pub action: &'static str,
    /// Why.
    pub why: VainWhy,
}

/// A repeater at one outlet, whether it helps or not.
#[derive(Debug, Clone, PartialEq)]
pub struct RepeaterTrial {
    /// The outlet's id.
    pub outlet: String,
    /// Margin of the hop from the device to it.
    pub margin: Db,
    /// Margin of the hop from it to the panel.
    pub onward_margin: Db,
    /// Finding of the hop from it to the panel: only a sound repeater is offered.
    pub onward_finding: Finding,
    /// Chance of a fault in a year over it, both hops, 0 to 1.
    pub fault_per_year: f64,
    /// Whether it is offered.
    pub helps: bool,
}

/// What would help.
#[derive(Debug, Clone, Default)]
pub struct Remedies {
    /// What helps: the lowest chance of a fault first, then the largest gain.
    pub list: Vec<Remedy>,
    /// Every outlet, in plan order.
    pub repeaters: Vec<RepeaterTrial>,
    /// What does not help.
    pub vain: Vec<Vain>,
}

/// What all of them ask for.
pub(super) struct Bench<'a, 's> {
    pub(super) site: &'a Site<'s>,
    pub(super) device: &'a Device,
    pub(super) now: &'a DeviceResult,
    pub(super) listener: &'a Listener,
    pub(super) onward: Vec<f64>,
    pub(super) wavelength: Metres,
    pub(super) settings: &'a ExplainSettings,
    pub(super) found: Remedies,
}

impl Remedies {
    /// Tries everything.
    pub(super) fn new(
        site: &Site<'_>,
        device: &Device,
        now: &DeviceResult,
        account: &Account,
        listener: &Listener,
        settings: &ExplainSettings,
    ) -> Result<Self, SiteError> {
        let mut bench = Bench {
            site,
            device,
            now,
            listener,
            onward: onward_chances(site)?,
            wavelength: account.link.frequency.wavelength(),
            settings,
            found: Self::default(),
        };
        bench.moves()?;
        bench.heights()?;
        bench.panel()?;
        bench.structure()?;
        bench.repeaters(&account.link)?;
        bench.mount()?;
        let mut found = bench.found;
        found.list.sort_by(|a, b| {
            let by_chance = a.fault_per_year.total_cmp(&b.fault_per_year);
            by_chance.then(b.gain.0.total_cmp(&a.gain.0))
        });
        Ok(found)
    }
}

impl Bench<'_, '_> {
    pub(super) fn plan(&self) -> &Plan {
        self.site.plan
    }

    /// The forecast of the device at another place, height or mount.
    pub(super) fn with_device(&self, device: &Device) -> Result<DeviceResult, SiteError> {
        best_way(self.site, device, &self.onward)
    }

    /// Keeps the best of what was tried, if it helps.
    pub(super) fn keep_best(&mut self, action: &'static str, tried: Vec<Remedy>) {
        let count = tried.len();
        let helping = tried.into_iter().filter(|remedy| self.helps(remedy));
        let best = helping.min_by(|a, b| {
            let by_chance = a.fault_per_year.total_cmp(&b.fault_per_year);
            by_chance.then(b.gain.0.total_cmp(&a.gain.0))
        });
        match best {
            Some(best) => self.found.list.push(best),
            None => self.vain(action, VainWhy::NoGain { tried: count }),
        }
    }

    pub(super) fn helps(&self, remedy: &Remedy) -> bool {
        let now = self.now.fault_per_year;
        remedy.gain.0 >= LEAST_GAIN.0 && remedy.fault_per_year <= now
    }

    pub(super) fn vain(&mut self, action: &'static str, why: VainWhy) {
        self.found.vain.push(Vain { action, why });
    }

    pub(super) fn remedy(&self, action: Action, then: &DeviceResult, spread: Db) -> Remedy {
        let null = doubt::null_distance(self.wavelength);
        Remedy::new(action, self.now, then, spread, null)
    }
}

/// A site of the same model with another plan or its panel elsewhere.
pub(super) fn elsewhere<'p>(
    site: &Site<'_>,
    plan: &'p Plan,
    panel: Device,
) -> Result<Site<'p>, SiteError> {
    Site::new(plan, site.model, site.over.clone(), Some(panel))
}
