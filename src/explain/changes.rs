//! What is in the way opened, built otherwise or taken away; a repeater at every outlet.

use geo::Coord;
use rayon::prelude::*;

use super::gain_spread;
use super::hop_budget::ray_share;
use super::remedies::{Action, Remedy, RepeaterTrial, Trials};
use super::structure::{self, Part};
use forecast::{Crossing, DeviceResult, Finding, Hop, Listener, SiteError, hop, is_better};
use plan::{Device, DeviceKind, Plan};
use radio::Link;
use siting::relays::{RelaySettings, at_outlets};
use trace::ImageTree;
use units::Db;

/// How many of the things crossed are looked into, the heaviest first.
const MOST_CROSSED: usize = 3;

/// Least loss of a crossing that is worth a change.
const LEAST_LOSS: Db = Db(1.0);

impl Trials<'_, '_> {
    /// The heaviest things crossed: opened, built otherwise, taken away.
    pub(super) fn structure(&mut self) -> Result<(), SiteError> {
        let mut crossed: Vec<&Crossing> = Vec::new();
        for crossing in &self.now.hop.crossings {
            let is_new = !crossed.iter().any(|x| x.feature == crossing.feature);
            if is_new && loss(crossing).0 >= LEAST_LOSS.0 {
                crossed.push(crossing);
            }
        }
        if crossed.is_empty() {
            self.not_tried("open", "the direct path crosses nothing that costs a decibel");
            return Ok(());
        }
        crossed.sort_by(|a, b| loss(b).0.total_cmp(&loss(a).0));
        let mut changes: Vec<(Action, Plan, &Crossing)> = Vec::new();
        for (number, crossing) in crossed.iter().enumerate() {
            let from = self.listener.device.position;
            let at = from + (self.device.position - from) * crossing.t;
            let Some(part) = structure::part(self.plan(), &crossing.feature) else {
                continue;
            };
            let heavy = number < MOST_CROSSED;
            for (action, plan) in changes_to(self.plan(), part, at, crossing, heavy) {
                if !changes.iter().any(|(known, ..)| *known == action) {
                    changes.push((action, plan, crossing));
                }
            }
        }
        let tried = changes.par_iter().map(|(action, plan, crossing)| {
            let then = self.elsewhere(plan, self.site.panel.device.clone())?;
            let gain = then.hop.ledger.margin_db - self.now.hop.ledger.margin_db;
            let before = (crossing.spread, ray_share(&self.now.hop));
            let after = (still_crossed(&then.hop, &crossing.feature), ray_share(&then.hop));
            let spread = if then.via == self.now.via {
                gain_spread::of_change(&self.site.model, gain, before, after)
            } else {
                gain_spread::of_other_way(self.now, &then)
            };
            Ok(self.remedy(action.clone(), &then, spread))
        });
        let tried = tried.collect::<Result<Vec<_>, SiteError>>()?;
        let count = tried.len();
        let helping: Vec<Remedy> = tried.into_iter().filter(|r| self.helps(r)).collect();
        let helping = best_of_each(helping);
        if helping.is_empty() {
            self.no_gain("open", count);
        }
        self.found.list.extend(helping);
        Ok(())
    }

    /// A repeater at every outlet. Only one that is itself sound is offered.
    pub(super) fn repeaters(&mut self, link: &Link) -> Result<(), SiteError> {
        let site = self.site;
        if self.device.kind == DeviceKind::Repeater {
            self.not_tried("repeater", "a repeater goes straight to the panel");
            return Ok(());
        }
        let outlets = at_outlets(site.plan, &RelaySettings::default());
        if outlets.is_empty() {
            self.not_tried("repeater", "the plan has no outlet");
            return Ok(());
        }
        let onward_link = site.link(None)?;
        let trials = outlets.par_iter().map(|candidate| {
            let outlet = candidate.outlet.clone().unwrap_or_default();
            let repeater = Device { id: new_id(site.plan), ..candidate.device.clone() };
            let onward = hop(site, &site.panel, &repeater, &onward_link);
            let tree = ImageTree::new(&site.scene, repeater.position, site.model.reflections)?;
            let listener = Listener { device: repeater, tree };
            let first = hop(site, &listener, self.device, link);
            let kept = (1.0 - first.fault_per_year) * (1.0 - onward.fault_per_year);
            let then = DeviceResult {
                device: self.device.clone(),
                link: link.clone(),
                via: Some(listener.device.id.clone()),
                fault_per_year: 1.0 - kept,
                finding: Finding::of(1.0 - kept, site.model.findings),
                hop: first,
            };
            let action = Action::Repeater {
                outlet: outlet.clone(),
                level: listener.device.level,
                position_m: {
                    let at = listener.device.position;
                    [at.x, at.y, listener.device.height_m]
                },
                onward_margin_db: onward.ledger.margin_db,
                onward_fault_per_year: onward.fault_per_year,
            };
            let onward_finding = Finding::of(onward.fault_per_year, site.model.findings);
            // As `check` chooses: a way over a repeater must be better by more than rounding.
            let is_taken = is_better(then.fault_per_year, self.now.fault_per_year);
            let spread = gain_spread::of_other_way(self.now, &then);
            let trial = RepeaterTrial {
                outlet,
                margin_db: then.hop.ledger.margin_db,
                onward_margin_db: onward.ledger.margin_db,
                onward_finding,
                fault_per_year: then.fault_per_year,
                helps: is_taken && onward_finding == Finding::Sound,
            };
            Ok((trial, self.remedy(action, &then, spread)))
        });
        let trials = trials.collect::<Result<Vec<_>, SiteError>>()?;
        if !trials.iter().any(|(trial, _)| trial.helps) {
            self.no_gain("repeater", trials.len());
        }
        for (trial, remedy) in trials {
            if trial.helps {
                self.found.list.push(remedy);
            }
            self.found.repeaters.push(trial);
        }
        Ok(())
    }
}

fn loss(crossing: &Crossing) -> Db {
    crossing.slab + crossing.excess
}

/// The spread of a feature where a hop still crosses it; none where it does not.
fn still_crossed(hop: &Hop, feature: &str) -> Db {
    let mut crossings = hop.crossings.iter();
    let still = crossings.find(|crossing| crossing.feature == feature);
    still.map_or(Db(0.0), |crossing| crossing.spread)
}

/// What can be done to a part: with `heavy`, all of it; else only its doors are opened.
fn changes_to(
    plan: &Plan,
    part: Part,
    at: Coord<f64>,
    crossing: &Crossing,
    heavy: bool,
) -> Vec<(Action, Plan)> {
    let (feature, construction) = (&crossing.feature, &crossing.construction);
    let doors = match part {
        Part::Opening(number) => vec![number],
        Part::Wall(wall) => structure::doors_in(plan, wall, at),
        Part::Slab(_) | Part::Obstacle(_) => Vec::new(),
    };
    let mut changes = Vec::new();
    for number in doors.into_iter().filter(|number| !plan.openings[*number].open) {
        let opening = &plan.openings[number];
        let (feature, construction) = (opening.id.clone(), opening.construction.clone());
        changes.push((Action::Open { feature, construction }, structure::opened(plan, number)));
    }
    if !heavy {
        return changes;
    }
    let is_obstacle = matches!(part, Part::Obstacle(_));
    if !is_obstacle {
        for by in structure::alternatives(plan, part, construction) {
            let action = Action::Replace {
                feature: feature.clone(),
                construction: construction.clone(),
                by: by.to_owned(),
            };
            changes.push((action, structure::rebuilt(plan, part, by)));
        }
    }
    if !matches!(part, Part::Opening(_)) {
        let action = Action::TakeAway {
            feature: feature.clone(),
            construction: construction.clone(),
            upper_bound: !is_obstacle,
        };
        changes.push((action, structure::without(plan, part, at)));
    }
    changes
}

/// Of several constructions for one feature the one that helps most.
fn best_of_each(remedies: Vec<Remedy>) -> Vec<Remedy> {
    let replaced = |remedy: &Remedy| match &remedy.action {
        Action::Replace { feature, .. } => Some(feature.clone()),
        _ => None,
    };
    let mut kept: Vec<Remedy> = Vec::new();
    for remedy in remedies {
        let feature = replaced(&remedy);
        match kept.iter_mut().find(|other| feature.is_some() && replaced(other) == feature) {
            Some(other) if other.gain_db.0 >= remedy.gain_db.0 => {}
            Some(other) => *other = remedy,
            None => kept.push(remedy),
        }
    }
    kept
}

/// An id for a repeater that the plan does not have yet: the first that `repeaters` would give.
fn new_id(plan: &Plan) -> String {
    let ids = (1u32..).map(|number| format!("repeater-{number}"));
    let mut free = ids.filter(|id| !plan.has_feature(id));
    free.next().unwrap_or_default()
}
