//! Features that name a room, and the rooms of devices that follow from them.

use std::collections::BTreeSet;

use geo::{Contains, Geometry, InteriorPoint, Point};

use super::build::Built;
use super::feature::Feature;
use super::frame::Frame;
use super::inside::Inside;
use super::rooms::{RoomName, Rooms};
use super::{Plan, outline};
use input::quoted;

impl Frame<'_> {
    pub(super) fn room_name(&mut self, feature: &Feature<'_>, built: &mut Built) {
        let fields = &feature.properties;
        let level = self.required_level(fields);
        let name = fields.text("name", &mut self.faults);
        if fields.value("name").is_none() {
            let what = "the room has no name, so it is not used";
            let fix = "give it a \"name\"";
            self.faults.warning(feature.at, Some(&feature.id), || (what, fix));
        }
        let Some(shape) = &feature.shape else { return };
        let (at, outline) = match &shape.geometry {
            Geometry::Point(point) => (Some(point.0), None),
            _ if self.lengths_make_sense => {
                let outline =
                    outline::checked(shape, self.unit.metres, &feature.id, &mut self.faults);
                let within = outline.as_ref().and_then(InteriorPoint::interior_point);
                (within.map(|point| point.0), outline)
            }
            _ => (None, None),
        };
        if let (Some(level), Some(name), Some(at)) = (level, name, at) {
            built.room_names_at.push(feature.at);
            built.plan.room_names.push(RoomName {
                id: feature.id.clone(),
                level: level.number,
                name,
                at,
                outline,
            });
        }
    }

    /// Gives devices that say no room the name of the one in which they lie, and warns of names
    /// that name no room or another one. Nothing is derived where there is nothing to name.
    pub(super) fn name_rooms(
        &mut self,
        plan: &mut Plan,
        inside: &[Inside],
        names_at: &[usize],
        devices_at: &[usize],
    ) {
        let any_said = plan.devices.iter().any(|device| device.room.is_some());
        let all_said = plan.devices.iter().all(|device| device.room.is_some());
        if self.faults.any_fault() || (plan.room_names.is_empty() && (all_said || !any_said)) {
            return;
        }
        let rooms = Rooms::within(plan, inside);
        // The rooms that a feature names.
        let mut sure = BTreeSet::new();
        for (given, at) in plan.room_names.iter().zip(names_at) {
            let room = rooms.at(given.level, given.at);
            let room = room.filter(|room| room.outline.contains(&Point(given.at)));
            if let Some(room) = room {
                sure.insert(room.id.as_str());
            }
            match room.map(|room| room.name.as_deref()) {
                None => {
                    let name = quoted(&given.name);
                    let what = format!("{name} is in no room: no walls close off a space there");
                    let fix = "move it into a room, or close the gap in the walls";
                    self.faults.warning(*at, Some(&given.id), || (what, fix));
                }
                Some(Some(name)) if name != given.name => {
                    let (new, name) = (quoted(&given.name), quoted(name));
                    let what = format!("{new} and {name} name the same room");
                    let fix = "keep one name, or close the gap in the wall between them";
                    self.faults.warning(*at, Some(&given.id), || (what, fix));
                }
                Some(_) => {}
            }
        }
        for (device, at) in plan.devices.iter_mut().zip(devices_at) {
            let room = rooms.of(device);
            let name = room.and_then(|room| room.name.as_ref());
            // Only a feature names a room for sure; what devices say of it may be a nook of it.
            let given = name.filter(|_| room.is_some_and(|room| sure.contains(room.id.as_str())));
            match (&device.room, name, given) {
                (None, Some(name), _) => device.room = Some(name.clone()),
                (Some(said), _, Some(given))
                    if said != given
                        && room
                            .is_some_and(|room| room.outline.contains(&Point(device.position))) =>
                {
                    let (said, given) = (quoted(said), quoted(given));
                    let what = format!("its \"room\" is {said}, but it is in {given}");
                    let fix = "correct its \"room\" or its position";
                    self.faults.warning(*at, Some(&device.id), || (what, fix));
                }
                _ => {}
            }
        }
    }
}
