//! The parts of an explanation in JSON.

use geo::Coord;
use serde::{Serialize, Serializer};

use super::report::ExplainReport;
use super::words::{side_word, way_word};
use crate::CAUTIONS;
use crate::check::json::{DeviceRow, PanelRow};
use crate::json::{members, object, rows};
use crate::settings::Settings;
use explain::{
    Action, ExplainSettings, HopBudget, Item, Line, NeededBy, NoHelp, NoHelpReason, Profile,
    ProfileCrossing, ProfilePoint, Reflection, Reflector, Remedy, RepeaterTrial, SigmaParts,
    TracedPath,
};
use forecast::Crossing;

impl Serialize for ExplainReport<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let told = self.told;
        members!(to;
            "plan": self.site.plan.name,
            "model": Settings::new(self.site),
            "search": SearchRow(&self.search),
            "panel": PanelRow(&self.site.panel.device),
            "sensor": DeviceRow(&told.result),
            // The sort of device, as the plan says it: contact, motion, smoke…
            "device": told.result.device.device,
            // From the repeater on; null if it goes straight to the panel.
            "onward_fault_per_year": told.onward_fault_per_year,
            "hop": HopRow(&told.budget, &false),
            // Null if that is the hop that it takes.
            "to_panel": told.to_panel.as_ref().map(|budget| HopRow(budget, &true)),
            "null": self.null(),
            // The lowest chance of a fault first.
            "remedies": rows(&told.remedies.list, RemedyRow),
            // At every outlet, whether it helps or not.
            "repeaters": rows(&told.remedies.repeaters, TrialRow),
            "vain": rows(&told.remedies.vain, VainRow),
            "profile": ProfileRow(&told.profile),
            "warnings": self.warnings,
            "cautions": CAUTIONS,
        )
    }
}

object! {
    /// How far was searched.
    SearchRow(search: ExplainSettings) {
        "reach_m": search.reach_m,
        "raise_m": search.raise_m,
    }
}

object! {
    /// One hop; of the one straight to the panel, of a device that goes over a repeater, more.
    HopRow(budget: HopBudget, to_panel: bool) {
        if *to_panel => "distance_m": budget.hop.distance,
        if *to_panel => "path_loss_db": budget.hop.path_loss,
        if *to_panel => "direction": budget.hop.ledger.direction,
        if *to_panel => "received_dbm": budget.hop.ledger.received_dbm,
        if *to_panel => "level_needed_dbm": budget.hop.ledger.level_needed_dbm,
        if *to_panel => "margin_db": budget.hop.ledger.margin_db,
        if *to_panel => "margin_p10_db": budget.hop.margin_p10,
        if *to_panel => "fault_per_year": budget.hop.fault_per_year,
        "listener": budget.listener,
        "ledger": rows(&budget.lines, LedgerRow),
        "needed_by": NeededByRow(&budget.needed_by),
        "sigma": SigmaRow(&budget.sigma),
        // The direct one first, then by their share.
        "paths": rows(&budget.paths, PathRow),
        "other_paths": budget.rest.count,
        "other_share": budget.rest.share,
    }
}

/// The crossing that a line of the ledger stands for, if it does.
fn crossing(line: &Line) -> Option<&Crossing> {
    match &line.item {
        Item::Crossing(crossing) => Some(crossing),
        _ => None,
    }
}

object! {
    /// A line of the ledger.
    LedgerRow(line: Line) {
        "line": item_word(&line.item),
        // A loss is negative. EIRP and level needed count from 0 dBm.
        "adds_db": line.adds,
        if crossing(line).is_some() => "feature": crossing(line).map(|c| &c.feature),
        if crossing(line).is_some() => "construction": crossing(line).map(|c| &c.construction),
        if crossing(line).is_some() => "incidence_deg": crossing(line).map(|c| c.incidence_deg),
        if crossing(line).is_some() => "slab_db": crossing(line).map(|c| c.slab),
        if crossing(line).is_some() => "excess_db": crossing(line).map(|c| c.excess),
    }
}

const fn item_word(item: &Item) -> &'static str {
    match item {
        Item::Eirp => "eirp",
        Item::FreeSpace => "free-space",
        Item::Crossing(_) => "crossing",
        Item::RoundEdges => "round-edges",
        Item::OtherPaths => "other-paths",
        Item::AntennaGain => "antenna-gain",
        Item::Mount => "mount",
        Item::Body => "body",
        Item::SiteOffset => "site-offset",
        Item::Calibrated => "calibrated-loss",
        Item::LevelNeeded => "level-needed",
    }
}

object! {
    /// What sets the level needed; floor and ratio are null for the sensitivity.
    NeededByRow(needed: NeededBy) {
        "by": match needed {
            NeededBy::Sensitivity => "sensitivity",
            NeededBy::Noise { .. } => "noise",
        },
        "noise_floor_dbm": match needed {
            NeededBy::Sensitivity => None,
            NeededBy::Noise { floor, .. } => Some(floor),
        },
        "snr_needed_db": match needed {
            NeededBy::Sensitivity => None,
            NeededBy::Noise { snr, .. } => Some(snr),
        },
    }
}

object! {
    /// The static spread.
    SigmaRow(sigma: SigmaParts) {
        "sigma_db": sigma.sigma,
        "shadowing_db": sigma.shadowing,
        "spot_sigma_db": sigma.spot,
        "walls_db": sigma.walls,
        "direct_share": sigma.direct_share,
    }
}

object! {
    /// One path; its corners from panel or repeater to the device.
    PathRow(path: TracedPath) {
        "label": path.label,
        "order": path.order,
        "reflections": rows(&path.reflections, ReflectionRow),
        "length_m": path.length,
        "loss_db": path.loss,
        "share": path.share,
        "points_m": path.points.iter().zip(&path.heights_m).map(|(p, z)| [p.x, p.y, *z])
            .collect::<Vec<_>>(),
    }
}

object! {
    /// One reflection; a wall is anything upright.
    ReflectionRow(reflection: Reflection) {
        "feature": reflection.feature,
        "at": match reflection.at {
            Reflector::Upright => "wall",
            Reflector::Floor => "floor",
            Reflector::Ceiling => "ceiling",
        },
    }
}

/// Something that would help.
#[derive(Debug)]
pub(crate) struct RemedyRow<'a>(pub(crate) &'a Remedy);

impl Serialize for RemedyRow<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        /// What all remedies have, before what the action has of its own.
        macro_rules! remedy {
            ($($own:tt)*) => {
                members!(to;
                    "action": self.0.action.word(),
                    "gain_db": self.0.gain,
                    // Standard deviation of what the gain rests on.
                    "gain_sigma_db": self.0.spread,
                    "uncertain": self.0.is_uncertain,
                    "received_dbm": self.0.received,
                    "margin_db": self.0.margin,
                    "fault_per_year": self.0.fault_per_year,
                    "finding": self.0.finding,
                    "via": self.0.via,
                    $($own)*
                )
            };
        }
        let flat = |p: &Coord<f64>| [p.x, p.y];
        match &self.0.action {
            Action::MoveDevice { to: there, by, side, way } => remedy! {
                "to_m": flat(there),
                "by_m": by,
                // As one sees it who faces the wall; null for a device that hangs on none.
                "along_wall": side.map(side_word),
                "on_plan": way_word(*way),
            },
            Action::Raise { by, above_floor, .. } => remedy! {
                "by_m": by,
                "height_m": above_floor,
            },
            Action::MovePanel { to: there, by, side, not_sound_now, not_sound_then } => remedy! {
                "to_m": flat(there),
                "by_m": by,
                "along_wall": side_word(*side),
                "not_sound_now": not_sound_now,
                "not_sound_then": not_sound_then,
            },
            Action::Open { feature, construction } => remedy! {
                "feature": feature,
                "construction": construction,
            },
            Action::Replace { feature, construction, by } => remedy! {
                "feature": feature,
                "construction": construction,
                "by": by,
            },
            Action::TakeAway { feature, construction, is_obstacle } => remedy! {
                "feature": feature,
                "construction": construction,
                // What is no obstacle cannot be moved.
                "upper_bound": !is_obstacle,
            },
            Action::Repeater {
                outlet,
                level,
                at,
                height,
                onward_margin,
                onward_fault_per_year,
            } => remedy! {
                "outlet": outlet,
                "level": level,
                "position_m": [at.x, at.y, height.0],
                "onward_margin_db": onward_margin,
                "onward_fault_per_year": onward_fault_per_year,
            },
            Action::Remount { from, to: then } => remedy! {
                "from": from,
                "to": then,
            },
        }
    }
}

object! {
    /// A repeater at one outlet; only one whose own hop is sound is offered.
    TrialRow(trial: RepeaterTrial) {
        "outlet": trial.outlet,
        "margin_db": trial.margin,
        "onward_margin_db": trial.onward_margin,
        "onward_finding": trial.onward_finding,
        // On both hops.
        "fault_per_year": trial.fault_per_year,
        "helps": trial.helps,
    }
}

object! {
    /// Something that does not help: how much was tried, or why nothing was.
    VainRow(vain: NoHelp) {
        "action": vain.action,
        "tried": match vain.why {
            NoHelpReason::NoGain { tried } => tried,
            NoHelpReason::NotTried(_) => 0,
        },
        "why": match vain.why {
            NoHelpReason::NoGain { .. } => None,
            NoHelpReason::NotTried(why) => Some(why),
        },
    }
}

object! {
    /// The level along the straight line from panel or repeater to the device.
    ProfileRow(profile: Profile) {
        "points": rows(&profile.points, ProfilePointRow),
        "crossings": rows(&profile.crossings, ProfileCrossingRow),
    }
}

object! {
    /// The level at one place.
    ProfilePointRow(point: ProfilePoint) {
        "distance_m": point.distance,
        "level_dbm": point.level,
        "direct_dbm": point.direct,
    }
}

object! {
    /// Where the line crosses something.
    ProfileCrossingRow(crossing: ProfileCrossing) {
        "distance_m": crossing.distance,
        "feature": crossing.feature,
        "construction": crossing.construction,
        "loss_db": crossing.loss,
    }
}
