//! Checks of the site as a whole: its extent, whether the coordinates are degrees, what must be
//! there, and what stands outside every wall.

use geo::Coord;

use super::frame::Frame;
use super::inside::{Inside, distance_to_walls_m};
use super::limits::MAX_EXTENT_M;
use super::shape::Extent;
use super::strips::Gap;
use super::unit::{Unit, thousandths};
use super::{DeviceKind, Level, Plan, Severity};
use input::{Spot, quoted, shown};

/// A site in degrees is this small at most: 0.02° are about 2 km.
const LARGEST_SITE_DEG: f64 = 0.02;

/// …and lies farther from the zero than this many times its own size: real coordinates in degrees
/// do unless the site stands off the coast of West Africa.
const FAR_FROM_ZERO: f64 = 50.0;

/// How far outside the walls a device may be, metres: half a thick wall, for one on its face.
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
            let what = format!(
                "the coordinates look like degrees: the whole plan is {} wide, at {}",
                (size_in_file * 1e6).round() / 1e6,
                shown(low)
            );
            let [east, north] = [111_320.0, 110_574.0].map(|metres| self.unit.whole(metres));
            let fix = format!(
                "make a corner of the building the zero: x = (longitude − its longitude) × {east} \
                 × cos(latitude), y = (latitude − its latitude) × {north}"
            );
            let at = extent.positions.first().map(|(_, at)| *at);
            self.faults.fault(at, None, || (what, fix));
            return;
        }
        if self.lengths_make_sense && size.x.max(size.y) > MAX_EXTENT_M {
            let (low, high) = (shown(low), shown(high));
            let most = self.unit.whole(MAX_EXTENT_M);
            let what = format!("the plan reaches from {low} to {high} {unit}, over {most}");
            let fix = "check this position, which is farthest out, and \"units\"; a plan holds one \
                       site";
            self.faults.fault(extent.outlier_at(), None, || (what, fix));
        }
    }

    /// Checks that there is at most one panel, and something to hear. None at all is no fault:
    /// where it is to hang may be what is asked.
    pub(super) fn check_devices_present(&mut self, features_at: usize) {
        if let [(first_at, first), others @ ..] = self.panels.as_slice() {
            for (at, id) in others {
                let what = format!(
                    "the plan has a second panel; {} comes first and is \
                                    used",
                    shown(first)
                );
                let fix = "keep one, and mark other places for it with the kind \"mountable\"";
                let spot = Spot {
                    at: Some(*at),
                    also_at: Some(*first_at),
                    feature: Some(id),
                    entry: None,
                };
                self.faults.note(Severity::Warning, spot, || (what, fix));
            }
        }
        if self.sensors == 0 && self.needs_sensors {
            let fix = "add a Point of kind \"sensor\" for each";
            self.faults.fault(features_at, None, || ("the plan has no sensor", fix));
        }
    }

    /// Warns of a level of which no inside is known, at its first wall.
    fn name_tangle(&mut self, plan: &Plan, level: &Level, walls_at: &[usize]) {
        let mut walls = plan.walls.iter().zip(walls_at);
        let first = walls.find(|(wall, _)| wall.level == level.number);
        let what = format!(
            "level {} has more walls that meet one another than any building: its rooms and its \
             inside are not worked out",
            level.number
        );
        let mend = "see whether walls are drawn many times over; draw each wall once";
        if let Some((wall, at)) = first {
            self.faults.warning(*at, Some(&wall.id), || (what, mend));
        }
    }

    /// Warns of open levels, and of devices outside every wall: not of sirens, which hang there.
    pub(super) fn check_enclosure(
        &mut self,
        plan: &Plan,
        inside: &[Inside],
        walls_at: &[usize],
        devices_at: &[usize],
    ) {
        let unit = self.unit;
        for (level, inside) in plan.levels.iter().zip(inside) {
            // A wall that is left out for a fault of its own leaves a gap.
            let any_fault = self.faults.any_fault();
            if inside.is_tangle() && !any_fault {
                self.name_tangle(plan, level, walls_at);
            }
            let gaps = if any_fault { &[] } else { inside.gaps() };
            for gap in gaps {
                let (Some(wall), Some(other), Some(&at)) =
                    (plan.walls.get(gap.wall), plan.walls.get(gap.other), walls_at.get(gap.wall))
                else {
                    continue;
                };
                let what = gap.described(level, &other.id, unit);
                self.faults.warning(at, Some(&wall.id), || (what, Gap::FIX));
            }
        }
        for (device, &at) in plan.devices.iter().zip(devices_at) {
            let mut levels = plan.levels.iter().zip(inside);
            let inside = levels.find(|(level, _)| level.number == device.level);
            let is_outside =
                inside.is_some_and(|(_, inside)| inside.is_outside_every_wall(device.position));
            if device.kind == DeviceKind::Siren || !is_outside {
                continue;
            }
            let off_m = distance_to_walls_m(plan, device.level, device.position);
            if off_m.is_finite() && off_m > OUTSIDE_M {
                let (kind, level, off) = (device.kind.word(), device.level, unit.show(off_m));
                let what = format!("the {kind} is {off} outside the walls of level {level}");
                let fix = "check its coordinates and level, or leave it if that is right";
                self.faults.warning(at, Some(&device.id), || (what, fix));
            }
        }
    }
}

impl Gap {
    /// How to close an open level.
    pub(super) const FIX: &str = "close the gap; draw a door or window as an opening on the wall";

    pub(super) fn described(&self, level: &Level, other: &str, unit: Unit) -> String {
        let place = self.middle / unit.metres;
        let place = format!("({}, {})", thousandths(place.x), thousandths(place.y));
        let gap = format!("a gap of {} at {place}", unit.show(self.width_m));
        let (level, other) = (level.number, quoted(other));
        format!("level {level} is open to the outdoors: {gap}, between its end and {other}")
    }
}
