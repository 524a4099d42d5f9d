//! Checks of the site as a whole: its extent, whether the coordinates are degrees, what must be
//! there, and what stands outside every wall.

use geo::{Coord, Distance, Euclidean, Point};

use super::DeviceKind;
use super::build::Built;
use super::frame::Frame;
use super::limits::MAX_EXTENT_M;
use super::measure::hulls;
use super::shape::Extent;
use super::unit::Unit;

/// A site in degrees is this small at most: 0.02° are about 2 km.
const LARGEST_SITE_DEG: f64 = 0.02;

/// …and lies farther from the zero than this many times its own size: real coordinates in degrees
/// do unless the site stands off the coast of West Africa.
const FAR_FROM_ZERO: f64 = 50.0;

/// How far outside the walls a device may be before it is warned of, metres: half a thick wall,
/// so that a device on its outer face is not.
const OUTSIDE_M: f64 = 0.3;

impl Frame<'_> {
    /// Checks how far the plan reaches; must come before anything that judges lengths.
    pub(super) fn check_extent(&mut self, extent: &Extent) {
        let Some((low, high)) = extent.corners() else {
            return;
        };
        let Unit { metres: per_unit, symbol: unit } = self.unit;
        let shown = |corner: Coord<f64>| {
            let ordinate = |metres: f64| (metres / per_unit * 1e6).round() / 1e6;
            format!("({}, {})", ordinate(corner.x), ordinate(corner.y))
        };
        let size = high - low;
        let size_in_file = size.x.max(size.y) / per_unit;
        let farthest = |a: f64, b: f64| a.abs().max(b.abs()) / per_unit;
        let (x, y) = (farthest(low.x, high.x), farthest(low.y, high.y));
        let in_degrees = x <= 180.0
            && y <= 90.0
            && size_in_file > 0.0
            && size_in_file < LARGEST_SITE_DEG
            && x.max(y) > FAR_FROM_ZERO * size_in_file;
        if in_degrees {
            self.lengths_make_sense = false;
            self.faults.fault(extent.first_at(), None, || {
                (
                    format!(
                        "the coordinates look like longitudes and latitudes: the whole plan is {} \
                         wide, at {}",
                        (size_in_file * 1e6).round() / 1e6,
                        shown(low)
                    ),
                    "project them into a local frame: take a corner of the building as zero; x = \
                     (longitude − its longitude) × 111320 m × cos(latitude), y = (latitude − its \
                     latitude) × 110574 m"
                        .to_owned(),
                )
            });
            return;
        }
        if self.lengths_make_sense && size.x.max(size.y) > MAX_EXTENT_M {
            self.faults.fault(extent.outlier_at(), None, || {
                (
                    format!(
                        "the plan reaches from {} to {} {unit}: more than {} km",
                        shown(low),
                        shown(high),
                        MAX_EXTENT_M / 1_000.0
                    ),
                    "this position stands out most; a plan holds one site, check \"units\" too"
                        .to_owned(),
                )
            });
        }
    }

    /// Checks that there is at most one panel, and something to hear. None at all is no fault:
    /// where it is to hang may be what is asked.
    pub(super) fn check_devices_present(&mut self, features_at: usize) {
        if let [(first_at, first), others @ ..] = self.panels.as_slice() {
            for (at, id) in others {
                self.faults.warning_with_other(*at, *first_at, Some(id), || {
                    (
                        format!(
                            "another panel: {} comes first and is used",
                            super::names::shown(first)
                        ),
                        "keep one; the kind \"mountable\" marks where else it may hang".to_owned(),
                    )
                });
            }
        }
        if self.sensors == 0 && self.needs_sensors {
            self.faults.fault(features_at, None, || {
                (
                    "the plan has no sensor".to_owned(),
                    "add a Point with the kind \"sensor\" for each".to_owned(),
                )
            });
        }
    }

    /// Warns of devices outside the walls of their level.
    ///
    /// Outside means outside the convex hull of all walls of the level: that never calls a device
    /// outside which has walls on every side, however the rooms lie; it overlooks one in the notch
    /// of an L-shaped house. Sirens often hang outside and are not judged.
    pub(super) fn check_enclosure(&mut self, built: &Built) {
        if !self.lengths_make_sense {
            return;
        }
        let walls = built.plan.walls.iter();
        let corners = walls.flat_map(|wall| wall.line.0.iter().map(|&corner| (wall.level, corner)));
        let hulls = hulls(corners);
        let unit = self.unit;
        for (device, at) in built.plan.devices.iter().zip(&built.devices_at) {
            let Some(hull) = hulls.get(&device.level) else {
                continue;
            };
            if device.kind == DeviceKind::Siren {
                continue;
            }
            let off_m = Euclidean.distance(&Point(device.position), hull);
            if off_m > OUTSIDE_M {
                self.faults.warning(*at, Some(&device.id), || {
                    (
                        format!(
                            "the {} stands outside every wall of level {}, {} from them",
                            device.kind.word(),
                            device.level,
                            unit.show(off_m)
                        ),
                        "check its coordinates and its level; nothing to mend if it is meant so"
                            .to_owned(),
                    )
                });
            }
        }
    }
}
