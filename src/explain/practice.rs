//! What an installer can do about it, and how much work that is.

use geo::Coord;

use super::remedies::{Action, Trials};
use super::{explainable, gain_spread};
use forecast::{Crossing, SiteError, class_of, thickness};
use plan::{Device, Inside, Plan};
use radio::ConstructionClass;
use serde::Serialize;
use siting::distance_to_line;
use siting::walk::passable_by_default;
use trace::{dot, norm};
use units::Metres;

/// Longest cable from a reed switch to its transmitter, metres (common practice, no source).
const LONGEST_CABLE_M: f64 = 10.0;

/// How far a transmitter stays clear of the metal that it was moved away from, metres (common
/// practice, no source).
const CLEAR_OF_METAL_M: f64 = 0.15;

/// How far a transmitter hangs beside an opening, metres (common practice, no source).
const BESIDE_FRAME_M: f64 = 0.2;

/// A contact no farther from an opening watches it, metres (common practice, no source).
const WATCHES_M: f64 = 0.3;

/// Work in an installer's order, the least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Effort {
    /// Mount it in another way at its place.
    Mounting,
    /// Clear the way.
    Clearing,
    /// Move the device.
    Moving,
    /// Run a cable to a transmitter elsewhere.
    Wiring,
    /// Add a repeater.
    Repeater,
    /// Move the panel.
    Panel,
    /// Nobody does it for a radio: it shows how much a part takes.
    Limit,
}

/// How much work a change is.
pub(super) fn effort(plan: &Plan, action: &Action) -> Effort {
    match action {
        Action::Remount { .. } | Action::Turn { .. } => Effort::Mounting,
        Action::Open { feature, .. } if may_stand_open(plan, feature) => Effort::Clearing,
        Action::TakeAway { upper_bound: false, .. } => Effort::Clearing,
        Action::MoveDevice { .. } | Action::Raise { .. } => Effort::Moving,
        Action::WireReed { .. } => Effort::Wiring,
        Action::Repeater { .. } => Effort::Repeater,
        Action::MovePanel { .. } => Effort::Panel,
        Action::Open { .. } | Action::Replace { .. } | Action::TakeAway { .. } => Effort::Limit,
    }
}

fn is_metal(plan: &Plan, construction: &str) -> bool {
    let class = class_of(plan, construction);
    matches!(class, ConstructionClass::Metal | ConstructionClass::CoatedGlass)
}

fn is_contact(device: &Device) -> bool {
    device.device.as_deref() == Some("contact")
}

/// Whether a closed opening may be left open: a door inside that nothing watches. A window, an
/// entry and a steel door, which keeps out fire or thieves, are shut for a reason.
fn may_stand_open(plan: &Plan, feature: &str) -> bool {
    let Some(opening) = plan.openings.iter().find(|opening| opening.id == feature) else {
        return false;
    };
    let line = plan.walls.get(opening.wall).and_then(|wall| wall.line.lines().nth(opening.segment));
    let is_watched = line.is_none_or(|line| {
        let along = line.delta() / norm(line.delta()).max(f64::MIN_POSITIVE);
        let at = |from_m: f64| line.start + along * from_m;
        let leaf = geo::Line::new(at(opening.from_m), at(opening.to_m));
        let mut contacts = explainable(&plan.devices).filter(|device| is_contact(device));
        contacts.any(|device| distance_to_line(device.position, leaf) <= WATCHES_M)
    });
    !opening.entry
        && !is_watched
        && !is_metal(plan, &opening.construction)
        && passable_by_default(plan, opening)
}

/// A place in front of an opening put beside it, where something can hang; any other as it is.
fn beside_opening(plan: &Plan, feature: &str, place: Coord<f64>) -> Coord<f64> {
    let Some(opening) = plan.openings.iter().find(|opening| opening.id == feature) else {
        return place;
    };
    let line = plan.walls.get(opening.wall).and_then(|wall| wall.line.lines().nth(opening.segment));
    let Some(line) = line else { return place };
    let length_m = norm(line.delta());
    let along = line.delta() / length_m.max(f64::MIN_POSITIVE);
    let s_m = dot(along, place - line.start);
    let sides = [opening.from_m - BESIDE_FRAME_M, opening.to_m + BESIDE_FRAME_M];
    let free = sides.into_iter().filter(|side| (0.0..=length_m).contains(side));
    let nearest = free.min_by(|a, b| (a - s_m).abs().total_cmp(&(b - s_m).abs()));
    nearest.map_or(place, |side| place + along * (side - s_m))
}

impl Trials<'_, '_> {
    /// A contact behind metal as a wired reed switch, whose transmitter hangs on the other side.
    pub(super) fn reed(&mut self) -> Result<(), SiteError> {
        let places: Vec<(Coord<f64>, Crossing)> = self.beyond_metal().into_iter().collect();
        let none = "it is not a contact behind metal that a cable can pass";
        self.try_all("wired-reed", &places, none, |trials, (to, metal)| {
            let here = trials.device;
            let mount = Some("wall".to_owned());
            let moved = Device { position: *to, mount, ..here.clone() };
            let then = trials.with_device(&moved)?;
            let action = Action::WireReed {
                feature: metal.feature.clone(),
                construction: metal.construction.clone(),
                to_m: (*to).into(),
                height_m: here.height_m,
                cable_m: Metres(norm(*to - here.position)),
            };
            Ok(trials.remedy(action, &then, gain_spread::of_other_way(trials.now, &then)))
        })
    }

    /// Where a transmitter hangs clear of the metal that is next to a contact on its way; `None`
    /// where there is none, or it is nearer to what listens, or farther than a cable goes.
    fn beyond_metal(&self) -> Option<(Coord<f64>, Crossing)> {
        let (plan, device) = (self.plan(), self.device);
        let is_upright = |crossing: &&Crossing| {
            !plan.slabs.iter().any(|slab| slab.id == crossing.feature)
                && !plan.obstacles.iter().any(|obstacle| obstacle.id == crossing.feature)
        };
        let metal = self.now.hop.crossings.iter().filter(is_upright);
        // Foil, sheet and steel, but no pane: nothing hangs on glass.
        let metal = metal
            .filter(|crossing| class_of(plan, &crossing.construction) == ConstructionClass::Metal);
        let metal = metal.max_by(|a, b| a.t.total_cmp(&b.t)).filter(|metal| metal.t > 0.5)?;
        let from = self.listener.device.position;
        let way = device.position - from;
        let off = thickness(plan, &metal.construction).0 / 2.0 + CLEAR_OF_METAL_M;
        let cos = metal.incidence_deg.to_radians().cos().max(0.2);
        let t = metal.t - off / cos / norm(way).max(f64::MIN_POSITIVE);
        let to = beside_opening(plan, &metal.feature, from + way * t);
        let is_near = norm(to - device.position) <= LONGEST_CABLE_M;
        let level = plan.level(device.level)?;
        let inside = Inside::new(plan, level, &|name| Some(thickness(plan, name).0));
        let is_indoors = !inside.is_closed() || inside.holds(to);
        (is_contact(device) && is_near && is_indoors && t > 0.0).then(|| (to, metal.clone()))
    }
}
