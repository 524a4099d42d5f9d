//! What is in the way opened, built otherwise or taken away; a repeater at every outlet.

use geo::{Coord, LineString};
use rayon::prelude::*;

use super::gain_spread;
use super::hop_budget::ray_share;
use super::remedies::{Action, Remedy, RepeaterTrial, Trials};
use forecast::{
    Crossing, DeviceResult, Finding, Hop, Listener, SiteError, class_of, hop, is_better,
};
use plan::{Device, DeviceKind, Plan, Wall};
use radio::{self, ConstructionClass, Link};
use siting::distance_to_line;
use siting::relays::{RelaySettings, at_outlets};
use siting::walk::passable_by_default;
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
            self.not_tried("open", "nothing in the way costs a decibel");
            return Ok(());
        }
        crossed.sort_by(|a, b| loss(b).0.total_cmp(&loss(a).0));
        let mut changes: Vec<(Action, Plan, &Crossing)> = Vec::new();
        for (number, crossing) in crossed.iter().enumerate() {
            let from = self.listener.device.position;
            let at = from + (self.device.position - from) * crossing.t;
            let Some(part) = part_of(self.plan(), &crossing.feature) else {
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
            self.not_tried("repeater", "a repeater already goes straight to the panel");
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
                first_try: first.first_try * onward.first_try,
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
        Part::Wall(wall) => doors_in(plan, wall, at),
        Part::Slab(_) | Part::Obstacle(_) => Vec::new(),
    };
    let mut changes = Vec::new();
    for number in doors.into_iter().filter(|number| !plan.openings[*number].open) {
        let opening = &plan.openings[number];
        let (feature, construction) = (opening.id.clone(), opening.construction.clone());
        changes.push((Action::Open { feature, construction }, opened(plan, number)));
    }
    if !heavy {
        return changes;
    }
    let is_obstacle = matches!(part, Part::Obstacle(_));
    if !is_obstacle {
        for by in alternatives(plan, part, construction) {
            let action = Action::Replace {
                feature: feature.clone(),
                construction: construction.clone(),
                by: by.to_owned(),
            };
            changes.push((action, rebuilt(plan, part, by)));
        }
    }
    if !matches!(part, Part::Opening(_)) {
        let action = Action::TakeAway {
            feature: feature.clone(),
            construction: construction.clone(),
            upper_bound: !is_obstacle,
        };
        changes.push((action, without(plan, part, at)));
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

/// Something that a path can cross, by its index in the plan's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Wall(usize),
    Opening(usize),
    Slab(usize),
    Obstacle(usize),
}

/// The part with an id.
fn part_of(plan: &Plan, id: &str) -> Option<Part> {
    let wall = plan.walls.iter().position(|x| x.id == id).map(Part::Wall);
    wall.or_else(|| plan.openings.iter().position(|x| x.id == id).map(Part::Opening))
        .or_else(|| plan.slabs.iter().position(|x| x.id == id).map(Part::Slab))
        .or_else(|| plan.obstacles.iter().position(|x| x.id == id).map(Part::Obstacle))
}

/// The plan with an opening opened.
fn opened(plan: &Plan, opening: usize) -> Plan {
    let mut plan = plan.clone();
    if let Some(opening) = plan.openings.get_mut(opening) {
        opening.open = true;
    }
    plan
}

/// The plan with a part built of another construction, all of it.
fn rebuilt(plan: &Plan, part: Part, construction: &str) -> Plan {
    let mut plan = plan.clone();
    let place = match part {
        Part::Wall(n) => plan.walls.get_mut(n).map(|x| &mut x.construction),
        Part::Opening(n) => plan.openings.get_mut(n).map(|x| &mut x.construction),
        Part::Slab(n) => plan.slabs.get_mut(n).map(|x| &mut x.construction),
        Part::Obstacle(n) => plan.obstacles.get_mut(n).map(|x| &mut x.construction),
    };
    if let Some(place) = place {
        construction.clone_into(place);
    }
    plan
}

/// The plan without a part: of a wall the straight piece nearest to `at`, with its openings.
fn without(plan: &Plan, part: Part, at: Coord<f64>) -> Plan {
    let mut plan = plan.clone();
    match part {
        Part::Wall(wall) => without_segment(&mut plan, wall, at),
        Part::Opening(n) => plan = opened(&plan, n),
        Part::Slab(n) => drop(plan.slabs.remove(n)),
        Part::Obstacle(n) => drop(plan.obstacles.remove(n)),
    }
    plan
}

/// The piece of a wall nearest to a place.
fn segment_at(plan: &Plan, wall: usize, at: Coord<f64>) -> Option<usize> {
    let lines = plan.walls.get(wall)?.line.lines().enumerate();
    let nearest =
        lines.min_by(|a, b| distance_to_line(at, a.1).total_cmp(&distance_to_line(at, b.1)));
    nearest.map(|(segment, _)| segment)
}

/// Cuts a piece out of a wall. What is left of it becomes one or two walls of the same id; the
/// second goes to the end of the list, so that no other wall's index changes. A wall of one piece
/// stays in the list without a line.
fn without_segment(plan: &mut Plan, wall: usize, at: Coord<f64>) {
    let Some(cut) = segment_at(plan, wall, at) else {
        return;
    };
    let after = plan.walls.len();
    let Some(old) = plan.walls.get_mut(wall) else {
        return;
    };
    let points = std::mem::replace(&mut old.line, LineString::new(Vec::new())).0;
    let (first, second) = points.split_at(cut + 1);
    let piece = |points: &[Coord<f64>]| {
        LineString::new(if points.len() > 1 { points.to_vec() } else { Vec::new() })
    };
    old.line = piece(first);
    let rest = Wall { line: piece(second), ..old.clone() };
    plan.walls.push(rest);
    plan.openings.retain(|opening| (opening.wall, opening.segment) != (wall, cut));
    for opening in &mut plan.openings {
        if opening.wall == wall && opening.segment > cut {
            opening.wall = after;
            opening.segment -= cut + 1;
        }
    }
}

/// The closed doors in the piece of a wall that a path crosses at a place.
fn doors_in(plan: &Plan, wall: usize, at: Coord<f64>) -> Vec<usize> {
    let segment = segment_at(plan, wall, at);
    let openings = plan.openings.iter().enumerate();
    let doors = openings.filter(|(_, opening)| {
        opening.wall == wall
            && Some(opening.segment) == segment
            && !opening.open
            && passable_by_default(plan, opening)
    });
    doors.map(|(number, _)| number).collect()
}

/// What a construction with metal in it is usually built of where no metal is wanted (common
/// practice, no source). One with no such counterpart, as plain sheet metal, is not listed.
const UNMETALLED: [(&str, &str); 14] = [
    ("metal-lath-plaster", "lath-and-plaster"),
    ("foil-board-stud", "stud-partition-insulated"),
    ("foil-board-brick", "timber-frame-brick"),
    ("metal-panel-insulated", "stud-partition-insulated"),
    ("mirror-stud", "stud-partition"),
    ("glass-double-coated", "glass-double"),
    ("glass-triple-coated", "glass-double"),
    ("glass-wired", "glass-single"),
    ("door-steel", "door-solid"),
    ("garage-door-steel", "garage-door-timber"),
    ("ceiling-foil", "ceiling-board-roof"),
    ("floor-concrete-foil", "floor-concrete-screed"),
    ("floor-metal-panel", "floor-timber"),
    ("ceiling-metal-panel", "ceiling-board-roof"),
];

/// What a catalogue construction is used for: a sort of opening, a floor, or else a wall.
fn use_of(name: &str) -> &'static str {
    match name {
        _ if name.starts_with("door-") => "door",
        _ if name.starts_with("garage-door-") => "garage door",
        _ if name.starts_with("glass-") => "glass",
        _ if name.starts_with("floor-") || name.starts_with("ceiling-") => "floor",
        _ => "wall",
    }
}

/// What a part could be built of in place of a construction: its counterpart without metal, else
/// what else the catalogue has of its class and for its use. A class of its own, or the user's own
/// construction of metal, has none.
fn alternatives(plan: &Plan, part: Part, construction: &str) -> Vec<&'static str> {
    let is_own = plan.constructions.contains_key(construction);
    let known = UNMETALLED.iter().find(|(metal, _)| *metal == construction);
    if let (false, Some((_, plain))) = (is_own, known) {
        return vec![plain];
    }
    let class = class_of(plan, construction);
    // Of metal nothing is lighter than other metal, and that is no help.
    if matches!(class, ConstructionClass::Metal | ConstructionClass::CoatedGlass) {
        return Vec::new();
    }
    let usable = |name: &str| match (is_own, part) {
        (false, _) => use_of(name) == use_of(construction),
        (true, Part::Wall(_) | Part::Obstacle(_)) => use_of(name) == "wall",
        (true, Part::Slab(_)) => use_of(name) == "floor",
        (true, Part::Opening(_)) => ["door", "glass"].contains(&use_of(name)),
    };
    let all = radio::catalogue().iter();
    all.filter(|other| other.class == class && other.name != construction && usable(other.name))
        .map(|other| other.name)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_of_the_table_is_in_the_catalogue_and_every_metal_one_but_sheets_is_in_the_table()
    {
        for (metal, plain) in UNMETALLED {
            let class = |name| radio::construction(name).map(|c| c.class);
            assert!(matches!(
                class(metal),
                Some(ConstructionClass::Metal | ConstructionClass::CoatedGlass)
            ));
            let plain = class(plain).expect("it is there");
            assert!(plain != ConstructionClass::Metal && plain != ConstructionClass::CoatedGlass);
        }
        for one in radio::catalogue() {
            if matches!(one.class, ConstructionClass::Metal | ConstructionClass::CoatedGlass) {
                let listed = UNMETALLED.iter().any(|(metal, _)| *metal == one.name);
                assert_eq!(listed, one.name != "sheet-metal", "{}", one.name);
            }
        }
    }
}
