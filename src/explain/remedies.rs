//! What would help: one change after another, each put to the model.

use std::cmp::Ordering;

use rayon::prelude::*;
use serde::Serialize;

use super::hop_budget::HopBudget;
use super::practice::{Effort, effort};
use super::wall_face::Side;
use super::{ExplainSettings, gain_spread};
use forecast::{
    DeviceResult, Finding, Listener, Onward, Site, SiteError, best_way, onward_chances,
};
use plan::{Aerial, Device, Plan};
use units::{Db, Dbm, Metres};

/// Least gain that counts as help, dB: less is not known so well.
pub const LEAST_GAIN: Db = Db(0.1);

/// What could be done.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Action {
    /// Move the device, at its height.
    MoveDevice {
        /// Where to.
        to_m: [f64; 2],
        /// How far.
        by_m: Metres,
        /// Which way along the wall that it hangs on, as one sees it who faces the wall; `None` for
        /// one that hangs on none.
        along_wall: Option<Side>,
        /// Which way on the plan, to an eighth of a turn.
        on_plan: &'static str,
    },
    /// Raise (or, for a negative value, lower) the device.
    Raise {
        /// By how much.
        by_m: Metres,
        /// To which height above its level's floor.
        height_m: Metres,
    },
    /// Move the panel along the wall face that it hangs on, at its height.
    MovePanel {
        /// Where to.
        to_m: [f64; 2],
        /// How far.
        by_m: Metres,
        /// Which way along the wall, as one sees it who faces the wall.
        along_wall: Side,
        /// Devices, this one included, that are not sound now.
        not_sound_now: usize,
        /// Those that would not be sound then.
        not_sound_then: usize,
    },
    /// Open a door or window.
    Open {
        /// Its id.
        feature: String,
        /// Its construction.
        construction: String,
    },
    /// Build something of another construction.
    Replace {
        /// Its id.
        feature: String,
        /// Its construction now.
        construction: String,
        /// The other construction.
        by: String,
    },
    /// Take a wall's straight piece, a slab or an obstacle away altogether: the most that any
    /// change to it could bring by itself.
    TakeAway {
        /// Its id.
        feature: String,
        /// Its construction.
        construction: String,
        /// Whether that is an upper bound only: of all but obstacles, which may be moved.
        upper_bound: bool,
    },
    /// Plug a repeater into an outlet.
    Repeater {
        /// The outlet's id.
        outlet: String,
        /// Its level.
        level: i32,
        /// x, y and height above the plan's zero.
        position_m: [f64; 3],
        /// The margin of the repeater's own hop to the panel.
        onward_margin_db: Db,
        /// Chance of a fault in a year of that hop, 0 to 1.
        onward_fault_per_year: f64,
    },
    /// Put a wired reed switch in a contact's place, and its transmitter clear of metal.
    WireReed {
        /// Id of the metal that the cable passes.
        feature: String,
        /// Its construction.
        construction: String,
        /// Where the transmitter hangs then.
        to_m: [f64; 2],
        /// Its height above the plan's zero, metres.
        height_m: f64,
        /// The cable, straight through: the least.
        cable_m: Metres,
    },
    /// Mount the device on the wall in another way.
    Remount {
        /// How it is mounted now.
        from: String,
        /// How then.
        to: &'static str,
    },
    /// Turn the aerial, or the device with it.
    Turn {
        /// How it stands then.
        to: Aerial,
    },
}

impl Action {
    /// The word for it in files.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::MoveDevice { .. } => "move",
            Self::Raise { .. } => "raise",
            Self::MovePanel { .. } => "move-panel",
            Self::Open { .. } => "open",
            Self::Replace { .. } => "replace",
            Self::TakeAway { .. } => "take-away",
            Self::Repeater { .. } => "repeater",
            Self::WireReed { .. } => "wired-reed",
            Self::Remount { .. } => "mount",
            Self::Turn { .. } => "turn",
        }
    }
}

/// What something would bring: the forecast of the plan with that one change.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Remedy {
    /// The word of the action.
    #[serde(rename = "action")]
    pub word: &'static str,
    /// How much work it is.
    pub effort: Effort,
    /// Margin then less margin now, each of the hop that the device takes.
    pub gain_db: Db,
    /// Standard deviation of what the gain rests on (see `gain_spread`).
    pub gain_sigma_db: Db,
    /// Whether it counts as uncertain (see [`super`]).
    pub uncertain: bool,
    /// Level received then.
    pub received_dbm: Dbm,
    /// Margin then, as `check` gives it: of the hop to the panel, or of that to the repeater.
    pub margin_db: Db,
    /// Chance of a fault in a year on the whole way then, 0 to 1.
    pub fault_per_year: f64,
    /// Finding then.
    pub finding: Finding,
    /// The repeater that it takes then, or `None` for the panel.
    pub via: Option<String>,
    /// What is done.
    #[serde(flatten)]
    pub action: Action,
}

impl Remedy {
    /// The order of help: the lowest chance of a fault first, then the largest gain.
    pub(super) fn by_help(&self, other: &Self) -> Ordering {
        let by_chance = self.fault_per_year.total_cmp(&other.fault_per_year);
        by_chance.then(other.gain_db.0.total_cmp(&self.gain_db.0))
    }
}

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
    pub(super) onward: Vec<Onward>,
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
        trials.turn()?;
        trials.reed()?;
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
            effort: effort(self.plan(), &action),
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
