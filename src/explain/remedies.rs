//! What would help: one change after another, each put to the model.

use rayon::prelude::*;
use serde::Serialize;

use super::hop_budget::HopBudget;
use super::remedy::{Action, Remedy};
use super::{ExplainSettings, gain_spread};
use forecast::{DeviceResult, Finding, Listener, Site, SiteError, best_way, onward_chances};
use plan::{Device, Plan};
use units::{Db, Metres};

/// Least gain that counts as help, dB: less is not known so well.
pub const LEAST_GAIN: Db = Db(0.1);

/// Something that does not help.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NoHelp {
    /// The word of the [`Action`].
    pub action: &'static str,
    /// At how many places, or with how many changes, nothing gained [`LEAST_GAIN`] or lowered the
    /// chance.
    pub tried: usize,
    /// Why nothing was tried.
    pub why: Option<&'static str>,
}

/// A repeater at one outlet, whether it helps or not.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RepeaterTrial {
    /// The outlet's id.
    pub outlet: String,
    /// Margin of the hop from the device to it.
    pub margin_db: Db,
    /// Margin of the hop from it to the panel.
    pub onward_margin_db: Db,
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
    pub vain: Vec<NoHelp>,
}

/// What all trials ask for, and what they found.
pub(super) struct Trials<'a, 's> {
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
        budget: &HopBudget,
        listener: &Listener,
        settings: &ExplainSettings,
    ) -> Result<Self, SiteError> {
        let mut trials = Trials {
            site,
            device,
            now,
            listener,
            onward: onward_chances(site)?,
            wavelength: budget.link.frequency.wavelength(),
            settings,
            found: Self::default(),
        };
        trials.moves()?;
        trials.heights()?;
        trials.panel()?;
        trials.structure()?;
        trials.repeaters(&budget.link)?;
        trials.mount()?;
        let mut found = trials.found;
        found.list.sort_by(Remedy::by_help);
        Ok(found)
    }
}

impl Trials<'_, '_> {
    pub(super) fn plan(&self) -> &Plan {
        self.site.plan
    }

    /// The forecast of the device at another place, height or mount.
    pub(super) fn with_device(&self, device: &Device) -> Result<DeviceResult, SiteError> {
        best_way(self.site, device, &self.onward)
    }

    /// The forecast of the device with another plan, or the panel elsewhere.
    pub(super) fn elsewhere(&self, plan: &Plan, panel: Device) -> Result<DeviceResult, SiteError> {
        let there = elsewhere(self.site, plan, panel)?;
        best_way(&there, self.device, &onward_chances(&there)?)
    }

    /// Tries every place and keeps the best, if it helps; `none` says why there is no place to try.
    pub(super) fn try_all<T: Sync>(
        &mut self,
        action: &'static str,
        places: &[T],
        none: &'static str,
        remedy: impl Fn(&Self, &T) -> Result<Remedy, SiteError> + Sync,
    ) -> Result<(), SiteError> {
        if places.is_empty() {
            self.not_tried(action, none);
            return Ok(());
        }
        let here = &*self;
        let tried = places.par_iter().map(|place| remedy(here, place));
        let tried = tried.collect::<Result<Vec<_>, SiteError>>()?;
        let helping = tried.into_iter().filter(|remedy| self.helps(remedy));
        match helping.min_by(Remedy::by_help) {
            Some(best) => self.found.list.push(best),
            None => self.no_gain(action, places.len()),
        }
        Ok(())
    }

    pub(super) fn helps(&self, remedy: &Remedy) -> bool {
        remedy.gain_db.0 >= LEAST_GAIN.0 && remedy.fault_per_year <= self.now.fault_per_year
    }

    pub(super) fn no_gain(&mut self, action: &'static str, tried: usize) {
        self.found.vain.push(NoHelp { action, tried, why: None });
    }

    pub(super) fn not_tried(&mut self, action: &'static str, why: &'static str) {
        self.found.vain.push(NoHelp { action, tried: 0, why: Some(why) });
    }

    /// What a change makes of the forecast. A move is also uncertain if it leaves no null.
    pub(super) fn remedy(&self, action: Action, then: &DeviceResult, spread: Db) -> Remedy {
        let gain = then.hop.ledger.margin_db - self.now.hop.ledger.margin_db;
        let is_short = match &action {
            Action::MoveDevice { by_m, .. }
            | Action::Raise { by_m, .. }
            | Action::MovePanel { by_m, .. } => {
                by_m.0.abs() < gain_spread::null_distance(self.wavelength).0
            }
            _ => false,
        };
        Remedy {
            word: action.word(),
            gain_db: gain,
            gain_sigma_db: spread,
            uncertain: is_short || gain.0 < spread.0,
            received_dbm: then.hop.ledger.received_dbm,
            margin_db: then.hop.ledger.margin_db,
            fault_per_year: then.fault_per_year,
            finding: then.finding,
            via: then.via.clone(),
            action,
        }
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
