//! The machine-readable form of one device's link.

use serde::Serialize;

use super::check::{DeviceRow, PanelRow, Settings, chance, position, rounded};
use super::explain_rows::{hop_row, profile_row, remedy_row, to_panel_row, trial_row, vain_row};
use explain::{ExplainSettings, Explanation, null_distance, standing_wave_distance};
use forecast::{Direction, Finding, Site};

/// One run of `explain`.
#[derive(Debug, Clone, Serialize)]
pub struct ExplainReport {
    /// Name of the plan.
    pub plan: String,
    /// Settings that reproduce the run.
    pub model: Settings,
    /// How far the device was moved and raised in the search for what helps.
    pub search: ExplainSearchRow,
    /// The panel.
    pub panel: PanelRow,
    /// The device, with the members that `check` gives it.
    pub sensor: DeviceRow,
    /// What sort of device it is, as the plan says it: contact, motion, smoke…
    pub device: Option<String>,
    /// Chance of a fault in a year from the repeater on, 0 to 1; null if it goes straight to the panel.
    pub onward_fault_per_year: Option<f64>,
    /// The hop that it takes.
    pub hop: HopRow,
    /// The hop straight to the panel; null if that is the one that it takes.
    pub to_panel: Option<ToPanelRow>,
    /// How far a null reaches at this link.
    pub null: NullRow,
    /// What would help, the lowest chance of a fault first.
    pub remedies: Vec<RemedyRow>,
    /// A repeater at every outlet, whether it helps or not.
    pub repeaters: Vec<RepeaterTrialRow>,
    /// What does not help, or could not be tried.
    pub vain: Vec<VainRow>,
    /// The level along the straight line from panel or repeater to the device.
    pub profile: ProfileRow,
    /// What is doubtful.
    pub warnings: Vec<String>,
    /// What to keep in mind.
    pub cautions: Vec<&'static str>,
}

/// How far was searched.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ExplainSearchRow {
    /// How far the device may be moved, metres.
    pub reach_m: f64,
    /// How far it may be raised or lowered, metres.
    pub raise_m: f64,
}

/// One hop in full.
#[derive(Debug, Clone, Serialize)]
pub struct HopRow {
    /// Id of the panel or repeater that listens.
    pub listener: String,
    /// The lines that add up to the margin.
    pub ledger: Vec<LedgerRow>,
    /// What sets the level needed.
    pub needed_by: NeededByRow,
    /// What the static spread consists of.
    pub sigma: SigmaRow,
    /// The paths that carry weight, the direct one first, then by their share.
    pub paths: Vec<PathRow>,
    /// How many paths are not listed.
    pub other_paths: usize,
    /// Their share of the power received, 0 to 1.
    pub other_share: f64,
}

/// The hop straight to the panel of a device that goes over a repeater.
#[derive(Debug, Clone, Serialize)]
pub struct ToPanelRow {
    /// Distance, metres.
    pub distance_m: f64,
    /// All paths together, dB.
    pub path_loss_db: f64,
    /// The direction that the ledger holds for.
    pub direction: Direction,
    /// Level received, dBm.
    pub received_dbm: f64,
    /// Level needed, dBm.
    pub level_needed_dbm: f64,
    /// Level received less level needed, dB.
    pub margin_db: f64,
    /// Margin that nine of ten such devices exceed, dB.
    pub margin_p10_db: f64,
    /// Chance of a fault in a year, 0 to 1.
    pub fault_per_year: f64,
    /// The rest of it.
    #[serde(flatten)]
    pub hop: HopRow,
}

/// A line of the ledger.
#[derive(Debug, Clone, Serialize)]
pub struct LedgerRow {
    /// What it stands for: `eirp`, `free-space`, `crossing`, `round-edges`, `other-paths`,
    /// `antenna-gain`, `mount`, `body`, `site-offset`, `calibrated-loss` or `level-needed`.
    pub line: &'static str,
    /// What it adds to the margin, dB; a loss is negative. EIRP and level needed count from 0 dBm.
    pub adds_db: f64,
    /// Of a crossing: id of the feature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub feature: Option<String>,
    /// Of a crossing: its construction.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub construction: Option<String>,
    /// Of a crossing: angle of incidence, degrees from the normal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub incidence_deg: Option<f64>,
    /// Of a crossing: loss of the ideal slab, dB.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slab_db: Option<f64>,
    /// Of a crossing: excess of the typical construction, dB.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub excess_db: Option<f64>,
}

/// What sets the level needed.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct NeededByRow {
    /// `sensitivity`, or `noise`: the noise floor and the ratio needed above it.
    pub by: &'static str,
    /// The noise floor in the link's bandwidth, dBm; null for `sensitivity`.
    pub noise_floor_dbm: Option<f64>,
    /// The signal-to-noise ratio needed, dB; null for `sensitivity`.
    pub snr_needed_db: Option<f64>,
}

/// The static spread: its square is the sum of the squares of shadowing and spot.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct SigmaRow {
    /// All of it, dB.
    pub sigma_db: f64,
    /// Shadowing, dB.
    pub shadowing_db: f64,
    /// The luck of the spot, dB.
    pub spot_sigma_db: f64,
    /// The spreads of the walls crossed, weighed with the share of the direct ray, dB; part of shadowing.
    pub walls_db: f64,
    /// That share, 0 to 1.
    pub direct_share: f64,
}

/// One path.
#[derive(Debug, Clone, Serialize)]
pub struct PathRow {
    /// `direct`, or what it is reflected at.
    pub label: String,
    /// Number of reflections.
    pub order: u8,
    /// Where it is reflected, from panel or repeater to the device.
    pub reflections: Vec<ReflectionRow>,
    /// Its length, metres.
    pub length_m: f64,
    /// Its loss, dB.
    pub loss_db: f64,
    /// Its share of the power received, 0 to 1.
    pub share: f64,
    /// Its corners from panel or repeater to the device: x, y and height above the plan's zero, metres.
    pub points_m: Vec<[f64; 3]>,
}

/// One reflection.
#[derive(Debug, Clone, Serialize)]
pub struct ReflectionRow {
    /// Id of the feature.
    pub feature: String,
    /// `wall` (anything upright), `floor` or `ceiling`.
    pub at: &'static str,
}

/// How far a null reaches.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct NullRow {
    /// The wavelength, metres.
    pub wavelength_m: f64,
    /// A move of so much leaves a null behind, metres.
    pub leave_null_m: f64,
    /// Before a wall that reflects the best spot lies so far from the worst, metres.
    pub standing_wave_m: f64,
}

/// Something that would help.
#[derive(Debug, Clone, Serialize)]
pub struct RemedyRow {
    /// `move`, `raise`, `move-panel`, `open`, `replace`, `take-away`, `repeater` or `mount`.
    pub action: &'static str,
    /// Margin then less margin now, dB.
    pub gain_db: f64,
    /// Standard deviation of what the gain rests on, dB.
    pub gain_sigma_db: f64,
    /// Whether it counts as uncertain: the gain is below that, or a move does not leave a null.
    pub uncertain: bool,
    /// Level received then, dBm.
    pub received_dbm: f64,
    /// Margin then, dB.
    pub margin_db: f64,
    /// Chance of a fault in a year then, 0 to 1, on the whole way to the panel.
    pub fault_per_year: f64,
    /// Finding then.
    pub finding: Finding,
    /// The repeater that it takes then, or null for the panel.
    pub via: Option<String>,
    /// What distinguishes the action.
    #[serde(flatten)]
    pub detail: RemedyDetail,
}

/// What distinguishes one action from others of its kind.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum RemedyDetail {
    /// `move`.
    Move {
        /// Where to: x and y, metres.
        to_m: [f64; 2],
        /// How far, metres.
        by_m: f64,
        /// `left` or `right` along the wall that it hangs on, as one sees it who faces the wall; null
        /// for one that hangs on none.
        along_wall: Option<&'static str>,
        /// Which way on the plan, x to the right and y up.
        on_plan: &'static str,
    },
    /// `raise`.
    Raise {
        /// By how much, metres; negative: lower.
        by_m: f64,
        /// To which height above its level's floor, metres.
        height_m: f64,
    },
    /// `move-panel`.
    MovePanel {
        /// Where to: x and y, metres.
        to_m: [f64; 2],
        /// How far, metres.
        by_m: f64,
        /// `left` or `right` along its wall, as one sees it who faces the wall.
        along_wall: &'static str,
        /// Devices that are not sound now.
        not_sound_now: usize,
        /// Devices that would not be sound then.
        not_sound_then: usize,
    },
    /// `open`.
    Open {
        /// Id of the door or window.
        feature: String,
        /// Its construction.
        construction: String,
    },
    /// `replace`.
    Replace {
        /// Id of the feature.
        feature: String,
        /// Its construction now.
        construction: String,
        /// The other construction.
        by: String,
    },
    /// `take-away`.
    TakeAway {
        /// Id of the feature.
        feature: String,
        /// Its construction.
        construction: String,
        /// Whether it is no more than an upper bound: it is no obstacle that could be moved.
        upper_bound: bool,
    },
    /// `repeater`.
    Repeater {
        /// Id of the outlet.
        outlet: String,
        /// Level number.
        level: i32,
        /// x, y and height above the plan's zero, metres.
        position_m: [f64; 3],
        /// Margin of the repeater's own hop, dB.
        onward_margin_db: f64,
        /// Chance of a fault in a year of that hop, 0 to 1.
        onward_fault_per_year: f64,
    },
    /// `mount`.
    Mount {
        /// How it is mounted now.
        from: String,
        /// How then.
        to: &'static str,
    },
}

/// A repeater at one outlet.
#[derive(Debug, Clone, Serialize)]
pub struct RepeaterTrialRow {
    /// Id of the outlet.
    pub outlet: String,
    /// Margin of the hop from the device to it, dB.
    pub margin_db: f64,
    /// Margin of the hop from it to the panel, dB.
    pub onward_margin_db: f64,
    /// Finding of that hop: only a sound one is offered.
    pub onward_finding: Finding,
    /// Chance of a fault in a year on both hops, 0 to 1.
    pub fault_per_year: f64,
    /// Whether it is among the remedies.
    pub helps: bool,
}

/// Something that does not help.
#[derive(Debug, Clone, Serialize)]
pub struct VainRow {
    /// As that of a remedy; `open` stands for open, replace and take away.
    pub action: &'static str,
    /// How many places or changes were tried.
    pub tried: usize,
    /// Why nothing was tried; null if something was.
    pub why: Option<&'static str>,
}

/// The level along the straight line.
#[derive(Debug, Clone, Serialize)]
pub struct ProfileRow {
    /// From panel or repeater to the device.
    pub points: Vec<ProfilePointRow>,
    /// What the line crosses.
    pub crossings: Vec<ProfileCrossingRow>,
}

/// The level at one place.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct ProfilePointRow {
    /// Distance from panel or repeater, metres.
    pub distance_m: f64,
    /// Level of all paths, dBm.
    pub level_dbm: f64,
    /// Level of the direct path alone, dBm.
    pub direct_dbm: f64,
}

/// Where the line crosses something.
#[derive(Debug, Clone, Serialize)]
pub struct ProfileCrossingRow {
    /// Distance from panel or repeater, metres.
    pub distance_m: f64,
    /// Id of the feature.
    pub feature: String,
    /// Its construction.
    pub construction: String,
    /// What it loses, dB.
    pub loss_db: f64,
}

impl ExplainReport {
    /// Puts an explanation into its machine-readable form.
    #[must_use]
    pub fn new(
        site: &Site<'_>,
        told: &Explanation,
        settings: &ExplainSettings,
        warnings: Vec<String>,
    ) -> Self {
        let wavelength = told.budget.link.frequency.wavelength();
        let remedies = &told.remedies;
        Self {
            plan: site.plan.name.clone(),
            model: Settings::new(site),
            search: ExplainSearchRow {
                reach_m: rounded(settings.reach_m),
                raise_m: rounded(settings.raise_m),
            },
            panel: PanelRow {
                id: site.panel.device.id.clone(),
                position_m: position(&site.panel.device),
            },
            sensor: DeviceRow::new(&told.result),
            device: told.result.device.device.clone(),
            onward_fault_per_year: told.onward_fault_per_year.map(chance),
            hop: hop_row(&told.budget),
            to_panel: told.to_panel.as_ref().map(to_panel_row),
            null: NullRow {
                wavelength_m: rounded(wavelength.0),
                leave_null_m: rounded(null_distance(wavelength).0),
                standing_wave_m: rounded(standing_wave_distance(wavelength).0),
            },
            remedies: remedies.list.iter().map(remedy_row).collect(),
            repeaters: remedies.repeaters.iter().map(trial_row).collect(),
            vain: remedies.vain.iter().map(vain_row).collect(),
            profile: profile_row(&told.profile),
            warnings,
            cautions: super::CAUTIONS.to_vec(),
        }
    }

    /// The report as JSON, with a line feed at its end.
    ///
    /// # Errors
    /// What `serde_json` answers; a report holds nothing that it refuses.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        super::pretty(self)
    }
}
