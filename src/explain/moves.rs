//! The device or the panel moved, raised, mounted in another way.

use geo::{Contains as _, Coord};
use rayon::prelude::*;

use super::hop_budget::ray_share;
use super::remedies::{Action, Remedy, Trials, elsewhere};
use super::wall_face::{WallFace, along_wall, obstacles_at, places, wall_face};
use super::{explainable, gain_spread};
use forecast::{
    Crossing, DeviceResult, Finding, Hop, Site, SiteError, best_way, mount_loss, onward_chances,
};
use plan::{Aerial, Device, Plan};
use siting::siting::spots_of;
use siting::spots::SpotSettings;
use trace::{dot, norm};
use units::{Db, Metres};

/// Distance between two heights, metres.
const RISE_M: f64 = 0.1;

/// How far a device stays from floor and ceiling, metres.
const CLEAR_OF_CEILING_M: f64 = 0.1;

impl Trials<'_, '_> {
    pub(super) fn moves(&mut self) -> Result<(), SiteError> {
        let device = self.device;
        let places = places(self.plan(), device, self.settings.reach_m);
        let none = "there is no room to move it";
        self.try_all("move", &places, none, |trials, (to, side)| {
            let way = *to - device.position;
            let by_m = Metres(norm(way));
            let then = trials.with_device(&Device { position: *to, ..device.clone() })?;
            let action = Action::MoveDevice {
                to_m: (*to).into(),
                by_m,
                along_wall: *side,
                on_plan: way_word(way),
            };
            Ok(trials.moved(action, by_m, &then))
        })
    }

    /// The remedy of a move. Walls that the direct path crosses only before or only after it add
    /// their spread to that of its gain.
    fn moved(&self, action: Action, by: Metres, then: &DeviceResult) -> Remedy {
        let places = gain_spread::of_move(&self.site.model, by, self.wavelength);
        let (now, then_hop) = (&self.now.hop, &then.hop);
        let walls = only_in(now, then_hop).hypot(only_in(then_hop, now));
        self.remedy(action, then, Db(places.0.hypot(walls)))
    }

    pub(super) fn heights(&mut self) -> Result<(), SiteError> {
        let device = self.device;
        let Some(level) = self.plan().level(device.level) else {
            return Ok(());
        };
        let floor_m = level.floor_m;
        let (low, high) = (floor_m + CLEAR_OF_CEILING_M, level.ceiling_m - CLEAR_OF_CEILING_M);
        if device.mount.as_deref() == Some("ceiling") || device.height_m > high {
            self.not_tried("raise", "it hangs on the ceiling");
            return Ok(());
        }
        if device.height_m < low {
            self.not_tried("raise", "it stands on the floor");
            return Ok(());
        }
        let face = wall_face(self.plan(), device);
        let mut free = heights(device.height_m, self.settings.raise_m, (low, high));
        free.retain(|z| is_free(self.plan(), device, face.as_ref(), *z));
        let none = "there is no room above or below it";
        self.try_all("raise", &free, none, |trials, height_m| {
            let by_m = Metres(height_m - device.height_m);
            let then = trials.with_device(&Device { height_m: *height_m, ..device.clone() })?;
            let action = Action::Raise { by_m, height_m: Metres(height_m - floor_m) };
            Ok(trials.moved(action, by_m, &then))
        })
    }

    /// The panel at every spot of its wall face where it may hang, up to the next door or window.
    pub(super) fn panel(&mut self) -> Result<(), SiteError> {
        let site = self.site;
        let panel = &site.panel.device;
        let Some(face) = wall_face(site.plan, panel) else {
            self.not_tried("move-panel", "the panel is on no wall of the plan");
            return Ok(());
        };
        let places = panel_places(site.plan, panel, &face);
        let moved = |to: Coord<f64>| Device { position: to, ..panel.clone() };
        let before = self.found.list.len();
        let none = "its wall has no other spot for the panel";
        self.try_all("move-panel", &places, none, |trials, (step, to)| {
            let by_m = Metres(norm(*to - panel.position));
            let action = Action::MovePanel {
                to_m: (*to).into(),
                by_m,
                along_wall: face.side(*step),
                not_sound_now: 0,
                not_sound_then: 0,
            };
            Ok(trials.moved(action, by_m, &trials.elsewhere(site.plan, moved(*to))?))
        })?;
        if let Some(Remedy {
            action: Action::MovePanel { to_m, not_sound_now, not_sound_then, .. },
            ..
        }) = self.found.list.get_mut(before)
        {
            *not_sound_now = not_sound(site)?;
            *not_sound_then = not_sound(&elsewhere(site, site.plan, moved((*to_m).into()))?)?;
        }
        Ok(())
    }

    pub(super) fn mount(&mut self) -> Result<(), SiteError> {
        let from = self.device.mount.clone().unwrap_or_default();
        let loss = mount_loss(Some(&from));
        let others: &[&str] = if loss.0 > 0.0 { &["wall"] } else { &[] };
        self.try_all("mount", others, "its mount costs nothing", |trials, to| {
            let mount = Some((*to).to_owned());
            let then = trials.with_device(&Device { mount, ..trials.device.clone() })?;
            let action = Action::Remount { from: from.clone(), to };
            Ok(trials.remedy(action, &then, gain_spread::of_mount(loss)))
        })
    }

    /// Its aerial the other way, where it is known how it stands.
    pub(super) fn turn(&mut self) -> Result<(), SiteError> {
        let turned = self.device.aerial.map(Aerial::turned);
        let none = "the plan does not say how its aerial stands";
        self.try_all("turn", turned.as_slice(), none, |trials, to| {
            let turned = Device { aerial: Some(*to), ..trials.device.clone() };
            let then = trials.with_device(&turned)?;
            Ok(trials.remedy(Action::Turn { to: *to }, &then, gain_spread::OF_TURN))
        })
    }
}

/// The spreads of what one hop crosses and another does not, dB: their squares added, and weighed
/// with the share of the power that comes by the ray.
fn only_in(hop: &Hop, other: &Hop) -> f64 {
    let own = hop.crossings.iter().filter(|crossing| {
        let same = |known: &Crossing| known.feature == crossing.feature;
        !other.crossings.iter().any(same)
    });
    let squares: f64 = own.map(|crossing| crossing.spread.0 * crossing.spread.0).sum();
    squares.sqrt() * ray_share(hop).0
}

/// How many devices of a site are not sound.
fn not_sound(site: &Site<'_>) -> Result<usize, SiteError> {
    let onward = onward_chances(site)?;
    let devices: Vec<&Device> = explainable(&site.plan.devices).collect();
    let findings = devices
        .par_iter()
        .map(|device| Ok(best_way(site, device, &onward)?.finding))
        .collect::<Result<Vec<Finding>, SiteError>>()?;
    let count = findings.iter().filter(|f| **f != Finding::Sound).count();
    Ok(count)
}

/// The heights within reach, in steps, with the limits of the room.
fn heights(now: f64, raise_m: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let steps = (raise_m / RISE_M + 1e-9).floor() as usize;
    let way = |sign: f64| (1..=steps).map(move |n| now + sign * RISE_M * n as f64);
    way(-1.0).chain(way(1.0)).filter(|z| *z >= low - 1e-9 && *z <= high + 1e-9).collect()
}

/// Whether a device can hang at another height: its wall is there, no opening and no obstacle is.
fn is_free(plan: &Plan, device: &Device, face: Option<&WallFace>, z: f64) -> bool {
    let on_wall = face.is_none_or(|face| {
        let now_over = face.over_opening(plan, face.s_m, device.height_m);
        let wall = plan.walls.get(face.wall);
        wall.is_some_and(|wall| (wall.base_m..wall.top_m).contains(&z))
            && (now_over || !face.over_opening(plan, face.s_m, z))
    });
    let mut obstacles = obstacles_at(plan, device.level, z);
    on_wall && !obstacles.any(|obstacle| obstacle.outline.contains(&device.position))
}

/// The spots on the panel's own wall face where a panel may hang, as far as the wall runs on
/// without an opening at its height; each with its distance along the segment.
fn panel_places(plan: &Plan, panel: &Device, face: &WallFace) -> Vec<(f64, Coord<f64>)> {
    let floor_m = plan.level(panel.level).map_or(0.0, |level| level.floor_m);
    let settings = SpotSettings {
        height_m: panel.height_m - floor_m,
        every_wall: true,
        ..SpotSettings::default()
    };
    let Ok(spots) = spots_of(plan, &settings) else {
        return Vec::new();
    };
    let step_m = settings.spacing_m;
    let free = along_wall(plan, panel, face, face.length_m, step_m / 5.0);
    let least = free.iter().map(|(s, _)| *s).fold(0.0, f64::min);
    let most = free.iter().map(|(s, _)| *s).fold(0.0, f64::max);
    let own = spots.allowed.iter().filter(|spot| {
        let facing = spot.facing.is_some_and(|facing| dot(facing, face.off) > 0.99);
        spot.level == panel.level && spot.wall == Some(face.wall) && facing
    });
    let places = own.filter_map(|spot| {
        let step = dot(face.along, spot.position - panel.position);
        let across = dot(face.off, spot.position - panel.position).abs();
        // Another piece of the same wall may be parallel to this one.
        let is_here = across < step_m && (least..=most).contains(&step);
        // The spots are not laid out from where the panel is; one beside it is no other spot.
        (is_here && step.abs() >= step_m / 2.0).then_some((step, spot.position))
    });
    places.collect()
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
