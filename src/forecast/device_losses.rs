//! The losses of a device on the hop that is asked about, with what a calibration says of it.

use super::ledger::{DeviceLosses, mount_loss};
use super::model::POLARISATION_LOSS;
use super::site::Site;
use plan::{Aerial, Device, SAME_PLACE_M};
use radio::{Alignment, alignment_loss};
use trace::Point;
use units::{Db, PowerRatio};

/// The losses that a device brings along by what it is and how it is mounted.
fn losses_of(device: &Device) -> DeviceLosses {
    DeviceLosses {
        mount: mount_loss(device.mount.as_deref()),
        two_way: device.kind.is_two_way(),
        ..DeviceLosses::NONE
    }
}

/// What a hop is like, as far as it decides what two aerials lose by the way they stand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct AerialHop {
    /// How the listener's aerial stands, where that is known.
    pub listener: Option<Aerial>,
    /// The share of the power that the direct path brings, 0 to 1.
    pub direct: PowerRatio,
    /// Sine of the angle by which it rises or falls.
    pub sine: f64,
}

/// The loss of two aerials that stand as they do, against the mean over all that the site offset
/// holds; none where nothing is known of either.
fn aerial_loss(device: &Device, hop: AerialHop) -> Db {
    let loss = |alignment| alignment_loss(alignment, hop.direct, hop.sine);
    match (device.aerial, hop.listener) {
        (Some(one), Some(other)) => {
            let alignment = match (one, other) {
                (Aerial::Upright, Aerial::Upright) => Alignment::Upright,
                (Aerial::Level, Aerial::Level) => Alignment::Level,
                _ => Alignment::Crossed,
            };
            loss(alignment) - POLARISATION_LOSS
        }
        (Some(Aerial::Upright), None) | (None, Some(Aerial::Upright)) => {
            loss(Alignment::OneUpright)
        }
        (Some(Aerial::Level), None) | (None, Some(Aerial::Level)) => loss(Alignment::OneLevel),
        (None, None) => Db(0.0),
    }
}

/// The losses of a device on one hop, and its static spread where the plan is calibrated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HopLosses {
    /// The losses, the calibrated one among them.
    pub losses: DeviceLosses,
    /// Standard deviation of the calibrated static spread; `None` where the usual one holds.
    pub sigma: Option<Db>,
}

/// The losses of a device on the hop between two ends, each a place and a height above the plan's
/// zero in metres; the end that lies farther from the device listens.
///
/// Where the panel of the calibration listens at the place for which that holds, to the device
/// where the plan has it, the loss that was read there counts, and its spread unless the user gave
/// one of his own. Anywhere else only the part counts that goes with the device.
pub(crate) fn hop_losses(
    site: &Site<'_>,
    device: &Device,
    ends: [(Point, f64); 2],
    aerials: AerialHop,
) -> HopLosses {
    let losses = DeviceLosses { aerials: aerial_loss(device, aerials), ..losses_of(device) };
    let usual = HopLosses { losses, sigma: None };
    let Some(calibration) = &site.plan.calibration else {
        return usual;
    };
    let Some(read) = calibration.devices.get(&device.id) else {
        return usual;
    };
    let off = |(place, height_m): (Point, f64)| distance(device, place, height_m);
    let listener = if off(ends[0]) > off(ends[1]) { ends[0] } else { ends[1] };
    let hung = site.plan.devices.iter().find(|own| own.id == device.id);
    let has_stayed =
        hung.is_some_and(|own| distance(device, own.position, own.height_m) <= SAME_PLACE_M);
    let at_place = has_stayed
        && site.panel.device.id == calibration.panel
        && calibration.is_place(listener.0, listener.1);
    let calibrated = if at_place { read.loss } else { read.own };
    HopLosses {
        losses: DeviceLosses { calibrated, ..losses },
        sigma: (at_place && site.model.sigma_db.is_none()).then_some(read.sigma),
    }
}

/// The losses of a device wherever the panel may hang: of a calibration, the part that goes with
/// it; of the aerials, what they lose on a level hop of which the direct path brings half.
#[must_use]
pub fn losses_anywhere(site: &Site<'_>, device: &Device) -> DeviceLosses {
    let calibration = site.plan.calibration.as_ref();
    let read = calibration.and_then(|calibration| calibration.devices.get(&device.id));
    let listener = site.panel.device.aerial;
    let aerials = AerialHop { listener, direct: PowerRatio(0.5), sine: 0.0 };
    DeviceLosses {
        calibrated: read.map_or(Db(0.0), |read| read.own),
        aerials: aerial_loss(device, aerials),
        ..losses_of(device)
    }
}

fn distance(device: &Device, place: Point, height_m: f64) -> f64 {
    let off = device.position - place;
    off.x.hypot(off.y).hypot(device.height_m - height_m)
}
