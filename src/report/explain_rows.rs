//! From an explanation to the rows of its report.

use geo::Coord;

use super::check::{chance, rounded};
use super::explain::{
    HopRow, LedgerRow, NeededByRow, PathRow, ProfileCrossingRow, ProfilePointRow, ProfileRow,
    ReflectionRow, RemedyDetail, RemedyRow, RepeaterTrialRow, SigmaRow, ToPanelRow, VainRow,
};
use explain::{
    Action, HopBudget, Item, Line, NeededBy, NoHelp, NoHelpReason, Profile, Reflector, Remedy,
    RepeaterTrial, Side, TracedPath,
};

pub(super) fn hop_row(account: &HopBudget) -> HopRow {
    let sigma = &account.sigma;
    HopRow {
        listener: account.listener.clone(),
        ledger: account.lines.iter().map(ledger_row).collect(),
        needed_by: match account.needed_by {
            NeededBy::Sensitivity => {
                NeededByRow { by: "sensitivity", noise_floor_dbm: None, snr_needed_db: None }
            }
            NeededBy::Noise { floor, snr } => NeededByRow {
                by: "noise",
                noise_floor_dbm: Some(rounded(floor.0)),
                snr_needed_db: Some(rounded(snr.0)),
            },
        },
        sigma: SigmaRow {
            sigma_db: rounded(sigma.sigma.0),
            shadowing_db: rounded(sigma.shadowing.0),
            spot_sigma_db: rounded(sigma.spot.0),
            walls_db: rounded(sigma.walls.0),
            direct_share: rounded(sigma.direct_share),
        },
        paths: account.paths.iter().map(path_row).collect(),
        other_paths: account.rest.count,
        other_share: rounded(account.rest.share),
    }
}

pub(super) fn to_panel_row(account: &HopBudget) -> ToPanelRow {
    let (hop, ledger) = (&account.hop, &account.hop.ledger);
    ToPanelRow {
        distance_m: rounded(hop.distance.0),
        path_loss_db: rounded(hop.path_loss.0),
        direction: ledger.direction,
        received_dbm: rounded(ledger.received_dbm.0),
        level_needed_dbm: rounded(ledger.level_needed_dbm.0),
        margin_db: rounded(ledger.margin_db.0),
        margin_p10_db: rounded(hop.margin_p10.0),
        fault_per_year: chance(hop.fault_per_year),
        hop: hop_row(account),
    }
}

fn ledger_row(line: &Line) -> LedgerRow {
    let crossing = match &line.item {
        Item::Crossing(crossing) => Some(crossing),
        _ => None,
    };
    LedgerRow {
        line: match line.item {
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
        },
        adds_db: rounded(line.adds.0),
        feature: crossing.map(|c| c.feature.clone()),
        construction: crossing.map(|c| c.construction.clone()),
        incidence_deg: crossing.map(|c| rounded(c.incidence_deg)),
        slab_db: crossing.map(|c| rounded(c.slab.0)),
        excess_db: crossing.map(|c| rounded(c.excess.0)),
    }
}

fn path_row(path: &TracedPath) -> PathRow {
    let reflections = path.reflections.iter().map(|reflection| ReflectionRow {
        feature: reflection.feature.clone(),
        at: match reflection.at {
            Reflector::Upright => "wall",
            Reflector::Floor => "floor",
            Reflector::Ceiling => "ceiling",
        },
    });
    let points = path.points.iter().zip(&path.heights_m);
    PathRow {
        label: path.label.clone(),
        order: path.order,
        reflections: reflections.collect(),
        length_m: rounded(path.length.0),
        loss_db: rounded(path.loss.0),
        share: rounded(path.share),
        points_m: points.map(|(p, z)| [rounded(p.x), rounded(p.y), rounded(*z)]).collect(),
    }
}

pub(super) fn remedy_row(remedy: &Remedy) -> RemedyRow {
    RemedyRow {
        action: remedy.action.word(),
        gain_db: rounded(remedy.gain.0),
        gain_sigma_db: rounded(remedy.spread.0),
        uncertain: remedy.is_uncertain,
        received_dbm: rounded(remedy.received.0),
        margin_db: rounded(remedy.margin.0),
        fault_per_year: chance(remedy.fault_per_year),
        finding: remedy.finding,
        via: remedy.via.clone(),
        detail: detail(&remedy.action),
    }
}

fn detail(action: &Action) -> RemedyDetail {
    let flat = |p: &Coord<f64>| [rounded(p.x), rounded(p.y)];
    match action {
        Action::MoveDevice { to, by, side, way } => RemedyDetail::Move {
            to_m: flat(to),
            by_m: rounded(by.0),
            along_wall: side.map(side_word),
            on_plan: way_word(*way),
        },
        Action::Raise { by, above_floor, .. } => {
            RemedyDetail::Raise { by_m: rounded(by.0), height_m: rounded(above_floor.0) }
        }
        Action::MovePanel { to, by, side, not_sound_now, not_sound_then } => {
            RemedyDetail::MovePanel {
                to_m: flat(to),
                by_m: rounded(by.0),
                along_wall: side_word(*side),
                not_sound_now: *not_sound_now,
                not_sound_then: *not_sound_then,
            }
        }
        Action::Open { feature, construction } => {
            RemedyDetail::Open { feature: feature.clone(), construction: construction.clone() }
        }
        Action::Replace { feature, construction, by } => RemedyDetail::Replace {
            feature: feature.clone(),
            construction: construction.clone(),
            by: by.clone(),
        },
        Action::TakeAway { feature, construction, is_obstacle } => RemedyDetail::TakeAway {
            feature: feature.clone(),
            construction: construction.clone(),
            upper_bound: !is_obstacle,
        },
        Action::Repeater { outlet, level, at, height, onward_margin, onward_fault_per_year } => {
            RemedyDetail::Repeater {
                outlet: outlet.clone(),
                level: *level,
                position_m: [rounded(at.x), rounded(at.y), rounded(height.0)],
                onward_margin_db: rounded(onward_margin.0),
                onward_fault_per_year: chance(*onward_fault_per_year),
            }
        }
        Action::Remount { from, to } => RemedyDetail::Mount { from: from.clone(), to },
    }
}

/// The word for a side.
const fn side_word(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
    }
}

/// A direction on the plan to an eighth of a turn, x to the right and y up.
fn way_word(way: Coord<f64>) -> &'static str {
    const WORDS: [&str; 8] = [
        "right",
        "up and right",
        "up",
        "up and left",
        "left",
        "down and left",
        "down",
        "down and right",
    ];
    let eighths = libm::atan2(way.y, way.x) / std::f64::consts::FRAC_PI_4;
    let number = (eighths.round() as i32).rem_euclid(8);
    WORDS.get(number as usize).copied().unwrap_or_default()
}

pub(super) fn trial_row(trial: &RepeaterTrial) -> RepeaterTrialRow {
    RepeaterTrialRow {
        outlet: trial.outlet.clone(),
        margin_db: rounded(trial.margin.0),
        onward_margin_db: rounded(trial.onward_margin.0),
        onward_finding: trial.onward_finding,
        fault_per_year: chance(trial.fault_per_year),
        helps: trial.helps,
    }
}

pub(super) fn vain_row(vain: &NoHelp) -> VainRow {
    let (tried, why) = match vain.why {
        NoHelpReason::NoGain { tried } => (tried, None),
        NoHelpReason::NotTried(why) => (0, Some(why)),
    };
    VainRow { action: vain.action, tried, why }
}

pub(super) fn profile_row(profile: &Profile) -> ProfileRow {
    let points = profile.points.iter().map(|point| ProfilePointRow {
        distance_m: rounded(point.distance.0),
        level_dbm: rounded(point.level.0),
        direct_dbm: rounded(point.direct.0),
    });
    let crossings = profile.crossings.iter().map(|crossing| ProfileCrossingRow {
        distance_m: rounded(crossing.distance.0),
        feature: crossing.feature.clone(),
        construction: crossing.construction.clone(),
        loss_db: rounded(crossing.loss.0),
    });
    ProfileRow { points: points.collect(), crossings: crossings.collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_ways_on_the_plan() {
        let word = |x, y| way_word(Coord { x, y });
        assert_eq!(word(1.0, 0.1), "right");
        assert_eq!(word(-1.0, -0.1), "left");
        assert_eq!(word(0.0, -2.0), "down");
        assert_eq!(word(-1.0, 1.0), "up and left");
        assert_eq!(word(0.7, -0.7), "down and right");
    }
}
