//! The paths of a hop in the plan's coordinates, with their share of the power.

use geo::Coord;
use serde::Serialize;

use forecast::{Follower, Listener, PathGain, Site, View};
use plan::Device;
use trace::{Facet, HeightProfile, PathTracer, Ray};
use units::{Db, Metres, PowerRatio};

/// Share of the received power from which a reflected path is listed by itself.
pub const LEAST_SHARE: f64 = 0.01;

/// Most reflected paths that are listed by themselves.
pub const MOST_REFLECTED: usize = 8;

/// What sort of thing a path is reflected at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Reflector {
    /// A wall, an opening, or a face of an obstacle.
    #[serde(rename = "wall")]
    Upright,
    /// A slab, from above.
    Floor,
    /// A slab, from below.
    Ceiling,
}

/// One reflection.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Reflection {
    /// Id of the feature.
    pub feature: String,
    /// What it is.
    pub at: Reflector,
}

/// One path between a listener and a device.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TracedPath {
    /// The path in words: `direct`, or what it is reflected at.
    pub label: String,
    /// Number of reflections.
    pub order: u8,
    /// Where it is reflected, from the listener to the device; empty for the direct path.
    pub reflections: Vec<Reflection>,
    /// Its length.
    pub length_m: Metres,
    /// Its loss: free space, walls, floors and mirrors.
    pub loss_db: Db,
    /// Its part of the received power, 0 to 1.
    pub share: f64,
    /// From the listener to the device with all reflections between: x, y and height above the
    /// plan's zero.
    pub points_m: Vec<[f64; 3]>,
}

/// The paths that are not listed by themselves.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rest {
    /// How many.
    pub count: usize,
    /// Their part of the received power, 0 to 1.
    pub share: f64,
    /// The part that is scattered and comes by ways that are not followed, 0 to 1.
    pub scattered_share: f64,
}

/// The paths of a hop: the direct one first, then the reflected ones that carry weight, strongest
/// first; and the rest. `scattered` is the power gain of what comes by other ways.
pub(super) fn traced(
    site: &Site<'_>,
    view: &View<'_>,
    listener: &Listener,
    device: &Device,
    scattered: f64,
) -> (Vec<TracedPath>, Rest) {
    let heights = (listener.device.height_m, device.height_m);
    let (floors, reflections) = (&site.scene.floors, site.model.reflections);
    let height_profiles = HeightProfile::all(floors, heights.0, heights.1, reflections);
    let mut follower = Follower::default();
    let spot = site.spot_of(device, view.surfaces.frequency);
    let gains = view.paths(&mut follower, &listener.tree, heights, spot);
    let power = |path: &PathGain| path.interaction.0 * view.spreading(path.length_m);
    let all: f64 = gains.iter().map(power).sum::<f64>() + scattered;
    let share = |path: &PathGain| if all > 0.0 { power(path) / all } else { 0.0 };
    let (direct, mut reflected): (Vec<&PathGain>, Vec<&PathGain>) =
        gains.iter().partition(|path| path.order == 0);
    // Stable: of equals the first in the tracer's order stays first.
    reflected.sort_by(|a, b| power(b).total_cmp(&power(a)));
    let weighty =
        reflected.iter().take(MOST_REFLECTED).take_while(|path| share(path) >= LEAST_SHARE).count();
    let rest = Rest {
        count: reflected.len() - weighty,
        share: reflected[weighty..].iter().map(|path| share(path)).sum(),
        scattered_share: if all > 0.0 { scattered / all } else { 0.0 },
    };
    let listed = direct.iter().chain(&reflected[..weighty]);
    let traced = listed.filter_map(|path| {
        let height_profile = height_profiles.get(path.height_profile)?;
        let corners = corners(site, listener, spot, path, height_profile)?;
        let reflections: Vec<Reflection> = corners.iter().filter_map(|c| c.2.clone()).collect();
        let place = |(t, at, _): &Corner| [at.x, at.y, height_profile.height_at(*t)];
        Some(TracedPath {
            label: label(&reflections),
            order: path.order,
            reflections,
            length_m: Metres(path.length_m),
            loss_db: PowerRatio(power(path)).to_loss(),
            share: share(path),
            points_m: corners.iter().map(place).collect(),
        })
    });
    (traced.collect(), rest)
}

/// A corner of a path by its fraction of the length, with what the path is reflected at there.
type Corner = (f64, Coord<f64>, Option<Reflection>);

/// The corners of one path, from the listener to the middle of the device's spot.
fn corners(
    site: &Site<'_>,
    listener: &Listener,
    spot: Coord<f64>,
    path: &PathGain,
    height_profile: &HeightProfile,
) -> Option<Vec<Corner>> {
    let mut tracer = PathTracer::default();
    let scene = &site.scene;
    if !tracer.unfold(scene, &listener.tree, path.image, spot) {
        return None;
    }
    let source = listener.tree.images.get(path.image as usize)?.position;
    let ray = Ray::new(source, spot, height_profile);
    let name = |feature: u32| scene.features.get(feature as usize).cloned();
    let mut corners = Vec::new();
    for leg in &tracer.legs {
        let mirror = leg.mirror_before.and_then(|id| {
            let screen = scene.screens.get(id as usize)?;
            let strike = ray.strike(&Facet::new(screen, &leg.unfolding));
            Some(Reflection {
                feature: name(screen.part_at(strike.s, strike.z)?.feature)?,
                at: Reflector::Upright,
            })
        });
        corners.push((leg.from_t, leg.from, mirror));
        let bounces = height_profile
            .events
            .iter()
            .filter(|event| event.bounce && event.t > leg.from_t && event.t <= leg.to_t);
        for event in bounces {
            let span = leg.to_t - leg.from_t;
            let part = if span > 0.0 { (event.t - leg.from_t) / span } else { 1.0 };
            let at = if height_profile.rises_to(event.t) {
                Reflector::Ceiling
            } else {
                Reflector::Floor
            };
            let place = leg.from + (leg.to - leg.from) * part;
            let feature = name(scene.floors.over(event.sheet, place)?.part.feature)?;
            corners.push((event.t, place, Some(Reflection { feature, at })));
        }
    }
    corners.push((1.0, spot, None));
    Some(corners)
}

/// A path in words.
fn label(reflections: &[Reflection]) -> String {
    if reflections.is_empty() {
        return "direct".to_owned();
    }
    let named = reflections.iter().map(|reflection| {
        let feature = &reflection.feature;
        match reflection.at {
            Reflector::Upright => feature.clone(),
            Reflector::Floor => format!("{feature} (floor)"),
            Reflector::Ceiling => format!("{feature} (ceiling)"),
        }
    });
    format!("off {}", named.collect::<Vec<_>>().join(", "))
}
