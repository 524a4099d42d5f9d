//! One thing that could be done, and what it would bring.

use std::cmp::Ordering;

use serde::Serialize;

use super::wall_face::Side;
use forecast::Finding;
use units::{Db, Dbm, Metres};

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
    /// Mount the device on the wall in another way.
    Remount {
        /// How it is mounted now.
        from: String,
        /// How then.
        to: &'static str,
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
            Self::Remount { .. } => "mount",
        }
    }
}

/// What something would bring: the forecast of the plan with that one change.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Remedy {
    /// The word of the action.
    #[serde(rename = "action")]
    pub word: &'static str,
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
