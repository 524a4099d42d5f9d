//! Panel, sensors, repeaters, keypads and sirens.

use super::feature::Feature;
use super::fields::Fields;
use super::frame::Frame;
use super::members::{AERIALS, Aerial, LIFE_SAFETY, MAX_CAPACITY, ROLES};
use super::{DEFAULT_DEVICE_HEIGHT_M, Device, DeviceKind, Level};
use input::{fix_name, one_of, quoted};

/// Usual height of a mains outlet above the floor, metres (common practice, no source).
pub const DEFAULT_OUTLET_HEIGHT_M: f64 = 0.3;

impl Frame<'_> {
    /// Reads a device, and where its position stands in the text.
    pub(super) fn device(
        &mut self,
        kind: DeviceKind,
        feature: &Feature<'_>,
    ) -> Option<(Device, usize)> {
        let fields = &feature.properties;
        let level = self.required_level(fields);
        let height_m = self.height_above_floor(fields, level.as_ref(), DEFAULT_DEVICE_HEIGHT_M);
        let name = fields.text("name", &mut self.faults);
        let room = fields.text("room", &mut self.faults);
        let number = fields.count("number", &mut self.faults);
        let serial = fields.text("serial", &mut self.faults);
        let role = self.role(fields);
        let device = fields.text("device", &mut self.faults);
        let link = self.link(fields);
        let mount = self.mount(fields);
        let aerial = fields.word("aerial", &AERIALS, &mut self.faults).map(|word| {
            if word == Aerial::Upright.word() { Aerial::Upright } else { Aerial::Level }
        });
        let supervised = fields.boolean("supervised", &mut self.faults).unwrap_or(true);
        let capacity = match kind {
            DeviceKind::Repeater => self.capacity(fields),
            _ => None,
        };
        if let Some(role) = role.as_deref().filter(|role| LIFE_SAFETY.contains(role))
            && !supervised
        {
            let what = format!("a device with the role {} must be supervised", quoted(role));
            let fix = "remove \"supervised\": false, or nobody would notice a failure";
            fields.fault("supervised", &mut self.faults, || (what, fix));
        }
        if let Some(number) = number {
            let at = fields.place("number");
            let first = *self.numbers.entry(number).or_insert(at);
            if first != at {
                let what = format!("two devices have the number {number}");
                let fix = "give each device its own number, or none";
                self.faults.fault_with_other(at, first, Some(&feature.id), || (what, fix));
            }
        }
        if let Some(serial) = &serial {
            let at = fields.place("serial");
            let first = *self.serials.entry(serial.trim().to_uppercase()).or_insert(at);
            if first != at {
                let what = format!("two devices have the transmitter number {}", quoted(serial));
                let fix = "read both transmitters again, or leave \"serial\" out";
                self.faults.fault_with_other(at, first, Some(&feature.id), || (what, fix));
            }
        }
        // Counted even where something else is wrong with it, or "no sensor" would be said as well.
        match kind {
            DeviceKind::Panel => self.panels.push((feature.at, feature.id.clone())),
            DeviceKind::Sensor => self.sensors += 1,
            _ => {}
        }
        let shape = feature.shape.as_ref()?;
        let (level, position) = (level?, shape.point()?);
        let device = Device {
            id: feature.id.clone(),
            kind,
            level: level.number,
            position,
            height_m,
            name: name.unwrap_or_else(|| feature.id.clone()),
            room,
            number,
            serial,
            role,
            device,
            link,
            mount,
            aerial,
            supervised,
            capacity,
        };
        Some((device, shape.place(0, 0)))
    }

    /// The member `height`, given above the level's floor, as a height above the plan's zero.
    pub(super) fn height_above_floor(
        &mut self,
        fields: &Fields<'_>,
        level: Option<&Level>,
        default_m: f64,
    ) -> f64 {
        let given = fields.height_m("height", self.unit.metres, &mut self.faults);
        let Some(level) = level else { return default_m };
        if let Some(height_m) = given {
            let storey_m = level.ceiling_m - level.floor_m;
            // A millimetre of grace: feet do not convert to round metres.
            if height_m < -0.001 || height_m > storey_m + 0.001 {
                let unit = self.unit;
                let side = if height_m < 0.0 { "below the floor" } else { "above the ceiling" };
                let (height, high) = (unit.show(height_m), unit.show(storey_m));
                let side = format!("{side} of level {}", level.number);
                let what = format!("the height, {height}, is {side}, which is {high} high");
                let fix = "measure height from the level's own floor";
                fields.warning("height", &mut self.faults, || (what, fix));
            }
        }
        level.floor_m + given.unwrap_or(default_m)
    }

    fn role(&mut self, fields: &Fields<'_>) -> Option<String> {
        let role = fields.text("role", &mut self.faults)?;
        if !ROLES.contains(&role.as_str()) {
            fields.warning("role", &mut self.faults, || {
                let fix = fix_name(&role, ROLES, &format!("known: {}", one_of(ROLES)));
                (format!("the role {} is not known", quoted(&role)), fix)
            });
        }
        Some(role)
    }

    /// The member `capacity` of a repeater.
    fn capacity(&mut self, fields: &Fields<'_>) -> Option<u32> {
        let given = fields.number("capacity", &mut self.faults)?;
        if given <= 0.0 {
            let what = format!("a capacity of {given} lets the repeater pass nothing on");
            let fix = format!("give 1 to {MAX_CAPACITY} sensors, or leave \"capacity\" out");
            fields.fault("capacity", &mut self.faults, || (what, fix));
            return None;
        }
        fields.count("capacity", &mut self.faults)
    }

    fn mount(&mut self, fields: &Fields<'_>) -> Option<String> {
        let mount = fields.text("mount", &mut self.faults)?;
        let known = self.vocabulary.mounts.iter().map(String::as_str);
        fields.must_be_known("mount", ("mount", &mount), known, None, &mut self.faults);
        Some(mount)
    }
}
