//! The way by which most of a hop's power comes, and what costs most on it.

use super::assess::DeviceResult;
use super::hop::Hop;
use super::paths::{Crossing, Follower, PathGain};
use super::site::{Listener, Site};
use plan::Device;
use trace::HeightProfile;
use units::{Db, PowerRatio};

/// How the most power comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carrier {
    /// Straight, through what it crosses.
    Straight,
    /// Along the straight line, but round edges, through joints and openings beside it.
    RoundEdges,
    /// Off a mirror or more.
    Reflected,
    /// Scattered, by ways that are not followed one by one.
    Scattered,
}

impl Carrier {
    /// The word for it in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Straight => "straight",
            Self::RoundEdges => "round-edges",
            Self::Reflected => "reflected",
            Self::Scattered => "scattered",
        }
    }
}

/// The way that carries most power from a listener to a device.
#[derive(Debug, Clone, PartialEq)]
pub struct CarryingWay {
    /// How it comes.
    pub carrier: Carrier,
    /// Its share of the power, 0 to 1.
    pub share: f64,
    /// What it loses beyond free space over its own length.
    pub loss: Db,
    /// What it crosses, from the listener to the device; of [`Carrier::RoundEdges`] and
    /// [`Carrier::Scattered`] what the straight line crosses and the power gets round.
    pub crossings: Vec<Crossing>,
}

impl CarryingWay {
    /// What costs most on it with its cost, which is never more than the whole way loses: a metal
    /// wall that the power gets round costs what getting round it costs. `None` where it crosses
    /// nothing.
    #[must_use]
    pub fn heaviest(&self) -> Option<(&Crossing, Db)> {
        let loss = |crossing: &Crossing| (crossing.slab + crossing.excess).0;
        let heaviest = self.crossings.iter().max_by(|a, b| loss(a).total_cmp(&loss(b)))?;
        Some((heaviest, Db(loss(heaviest).min(self.loss.0.max(0.0)))))
    }
}

/// The way that carries most of a hop's power; `None` for a link that is not in use. `found` is the
/// hop between the same two.
#[must_use]
pub fn carrying_way(
    site: &Site<'_>,
    listener: &Listener,
    device: &Device,
    found: &Hop,
    frequency: units::Hertz,
) -> Option<CarryingWay> {
    let view = site.view(frequency)?;
    let heights = (listener.device.height_m, device.height_m);
    let (floors, order) = (&site.scene.floors, site.model.reflections);
    let profiles = HeightProfile::all(floors, heights.0, heights.1, order);
    let mut follower = Follower::default();
    let to = site.spot_of(device, frequency);
    let paths = view.paths(&mut follower, &listener.tree, heights, to);
    let power = |path: &PathGain| path.interaction.0 * view.spreading(path.length_m);
    let scattered = view.sum(&mut follower, &listener.tree, &profiles, to).scattered;
    let all = paths.iter().map(power).sum::<f64>() + scattered;
    let share = |power: f64| if all > 0.0 { power / all } else { 0.0 };
    let straight = || found.crossings.clone();
    // What stands in the way, as the bundle of waves meets it that grazes some of it.
    let mut crossed = || {
        let profile = HeightProfile::straight(floors, heights.0, heights.1);
        let crossed = view.crossed(&mut follower, &listener.tree, &profile, to);
        let losses = crossed.map(|one| {
            let cos = view.bundled(one.cos_incidence, found.distance.0);
            let loss = view.surfaces.get(one.part.surface).loss(cos);
            (loss.slab + loss.excess).0
        });
        Db(losses.sum())
    };
    // Of equals the first, which is the straight one.
    let best = paths.iter().reduce(|a, b| if power(b) > power(a) { b } else { a });
    match best {
        Some(best) if power(best) >= scattered => {
            let loss = best.interaction.to_loss();
            let (carrier, crossings) = if best.order > 0 {
                let profile = profiles.get(best.height_profile)?;
                let own = view.crossings_of(&mut follower, &listener.tree, best.image, profile, to);
                (Carrier::Reflected, own)
            } else if is_round(loss, crossed()) {
                (Carrier::RoundEdges, straight())
            } else {
                (Carrier::Straight, straight())
            };
            Some(CarryingWay { carrier, share: share(power(best)), loss, crossings })
        }
        _ => Some(CarryingWay {
            carrier: Carrier::Scattered,
            share: share(scattered),
            loss: PowerRatio(scattered).to_loss() - found.free_space,
            crossings: straight(),
        }),
    }
}

/// The way that carries most of the power of a device's hop, to the panel or the repeater that it
/// takes.
#[must_use]
pub fn way_of(site: &Site<'_>, result: &DeviceResult) -> Option<CarryingWay> {
    let over = |listener: &&Listener| Some(&listener.device.id) == result.via.as_ref();
    let listener = site.repeaters.iter().find(over).unwrap_or(&site.panel);
    carrying_way(site, listener, &result.device, &result.hop, result.link.frequency)
}

/// Whether a straight path loses so much less than what it crosses that more power comes round
/// edges than through: 3 dB is half of it.
fn is_round(loss: Db, crossed: Db) -> bool {
    (crossed - loss).0 > 3.0
}
