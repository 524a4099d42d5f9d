//! What readings taken on site showed of this house: the top-level member `calibration`.

use std::collections::BTreeMap;

use geo::Coord;

use super::fields::Fields;
use super::frame::Frame;
use super::limits::MAX_COORDINATE_M;
pub use super::limits::{LOSS_DB, SCALE, SCALE_SIGMA, SIGMA_DB};
use super::members::{CALIBRATED_CONSTRUCTION, CALIBRATED_DEVICE, CALIBRATION, Object, rows};
use super::{DEFAULT_DEVICE_HEIGHT_M, Device, DeviceKind};
use input::json::{Member, Value};
use input::{fix_name, quoted};
use units::Db;

/// How far a panel may hang from the calibrated place and still count as hanging there, metres.
/// (Our own choice, no source: what is measured with a tape, and well below half a wavelength.)
pub const SAME_PLACE_M: f64 = 0.05;

/// What readings showed of a house: it narrows what the forecast takes for typical.
#[derive(Debug, Clone, PartialEq)]
pub struct Calibration {
    /// Id of the panel that heard the readings.
    pub panel: String,
    /// Number of the level on which it hung.
    pub level: i32,
    /// Where it hung, metres.
    pub position: Coord<f64>,
    /// Height at which it hung above the plan's zero, metres.
    pub height_m: f64,
    /// Mean loss of the site that no wall explains, −60 to 60 dB.
    pub site_offset: Db,
    /// Spread of that loss, 0 to 60 dB.
    pub site_sigma: Db,
    /// What each construction loses here, by its name; names that the plan does not know are kept.
    pub constructions: BTreeMap<String, ConstructionScale>,
    /// What each device loses, by its id; ids that the plan does not have are kept.
    pub devices: BTreeMap<String, DeviceCalibration>,
}

/// How much more or less than typical a construction loses in one house.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConstructionScale {
    /// Factor on all decibels of the wall, 0.05 to 5.
    pub scale: f64,
    /// Standard deviation of that factor, 0 to 5.
    pub sigma: f64,
}

/// What readings showed of one device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeviceCalibration {
    /// Extra loss on its path to the panel where that hung, beyond walls and site, −60 to 60 dB.
    pub loss: Db,
    /// The part of it that goes with the device wherever the panel is, −60 to 60 dB.
    pub own: Db,
    /// Standard deviation of its level at that panel which is left, 0 to 60 dB.
    pub sigma: Db,
}

impl Calibration {
    /// Whether a place (metres, height above the plan's zero) is the one where the panel hung: to
    /// within [`SAME_PLACE_M`] in plan and in height, which also makes it the same level.
    #[must_use]
    pub fn is_place(&self, position: Coord<f64>, height_m: f64) -> bool {
        let off = position - self.position;
        off.x.hypot(off.y) <= SAME_PLACE_M && (height_m - self.height_m).abs() <= SAME_PLACE_M
    }
}

impl Frame<'_> {
    /// Reads the top-level member `calibration`.
    pub(super) fn read_calibration(
        &mut self,
        top: &Fields<'_>,
        devices: &[Device],
    ) -> Option<Calibration> {
        let value = top.value("calibration")?;
        let fields = Fields::of(value, &CALIBRATION, "\"calibration\"", None, &mut self.faults)?;
        for (name, fix) in [
            ("panel", "give the id of the panel at which the levels were read"),
            ("panel_at", "give where the panel hung: [x, y]"),
            ("site_offset_db", "it is 6 without readings"),
            ("site_sigma_db", "it is 4 without readings"),
        ] {
            fields.need(name, fix, &mut self.faults);
        }
        let panel = fields.text("panel", &mut self.faults);
        if let Some(id) = &panel {
            self.warn_no_panel(&fields, id, devices);
        }
        let position = self.panel_at(&fields);
        let level = self.required_level(&fields);
        let height_m = self.height_above_floor(&fields, level.as_ref(), DEFAULT_DEVICE_HEIGHT_M);
        let site_offset = fields.within("site_offset_db", &mut self.faults).map(Db);
        let site_sigma = fields.within("site_sigma_db", &mut self.faults).map(Db);
        let own_names = self.own_names.clone();
        let known = own_names.iter().chain(&self.vocabulary.constructions);
        let known: Vec<&str> = known.map(String::as_str).collect();
        let names = ("constructions", "construction");
        let made = |[scale, sigma]: [f64; 2]| ConstructionScale { scale, sigma };
        let constructions = self.entries(&fields, names, &known, &CALIBRATED_CONSTRUCTION, made);
        let heard = devices.iter().filter(|device| device.kind != DeviceKind::Panel);
        let ids: Vec<&str> = heard.map(|device| device.id.as_str()).collect();
        let made = |figures: [f64; 3]| {
            let [loss, own, sigma] = figures.map(Db);
            DeviceCalibration { loss, own, sigma }
        };
        let names = ("devices", "device");
        let devices = self.entries(&fields, names, &ids, &CALIBRATED_DEVICE, made);
        Some(Calibration {
            panel: panel?,
            level: level?.number,
            position: position?,
            height_m,
            site_offset: site_offset?,
            site_sigma: site_sigma?,
            constructions,
            devices,
        })
    }

    fn warn_no_panel(&mut self, fields: &Fields<'_>, id: &str, devices: &[Device]) {
        let panels = devices.iter().filter(|device| device.kind == DeviceKind::Panel);
        let panels = panels.map(|device| device.id.as_str());
        if !panels.clone().any(|known| known == id) {
            let name = quoted(id);
            let what =
                format!("the plan has no panel {name}, so the readings taken there are not used");
            let fix = fix_name(id, panels, "write a new calibration with `drillonce diagnose`");
            fields.warning("panel", &mut self.faults, || (what, fix));
        }
    }

    /// The member `panel_at`: a position in the plan's unit.
    fn panel_at(&mut self, fields: &Fields<'_>) -> Option<Coord<f64>> {
        let value = fields.value("panel_at")?;
        let items = value.items();
        let metres = |item: &Value<'_>| {
            let metres = item.number()? * self.unit.metres;
            (metres.abs() <= MAX_COORDINATE_M).then_some(metres)
        };
        if let [x, y] = items.as_slice()
            && let (Some(x), Some(y)) = (metres(x), metres(y))
        {
            return Some(Coord { x, y });
        }
        let what = "\"panel_at\" must be a position of two numbers";
        let fix = "give where the panel hung in the plan's unit: [x, y]";
        fields.fault("panel_at", &mut self.faults, || (what, fix));
        None
    }

    /// The members of a member that is an object, each with its numbers; names that are not known
    /// are warned of and kept.
    fn entries<const N: usize, T>(
        &mut self,
        fields: &Fields<'_>,
        (name, thing): (&str, &'static str),
        known: &[&str],
        wanted: &'static Object,
        made: fn([f64; N]) -> T,
    ) -> BTreeMap<String, T> {
        let mut found = BTreeMap::new();
        let Some(value) = fields.value(name) else {
            return found;
        };
        let entries = Fields::named_freely(value, thing, &quoted(name), None, &mut self.faults);
        for member in entries.members() {
            if !known.contains(&member.key.as_ref()) {
                self.faults.warning(member.key_at, None, || {
                    let said = "its calibration is not used";
                    let what = format!("{thing} {} is not known: {said}", quoted(&member.key));
                    let fix = "remove it, or write the calibration again";
                    (what, fix_name(&member.key, known.iter().copied(), fix))
                });
            }
            let what = format!("the calibration of {}", quoted(&member.key));
            if let Some(numbers) = self.numbers(member, &what, wanted) {
                found.insert(member.key.to_string(), made(numbers));
            }
        }
        found
    }

    /// Numbers that an object must have, each within its bounds.
    fn numbers<const N: usize>(
        &mut self,
        member: &Member<'_>,
        what: &str,
        wanted: &'static Object,
    ) -> Option<[f64; N]> {
        let faults = &mut self.faults;
        let fields = Fields::of(member.value, wanted, what, None, faults)?;
        let mut numbers = [0.0; N];
        let mut sound = true;
        for (number, row) in numbers.iter_mut().zip(rows(wanted.members)) {
            let (least, most) = row.holds.bounds();
            let fix = format!("give a number from {least} to {most}");
            fields.need(row.name, &fix, faults);
            match fields.within(row.name, faults) {
                Some(given) => *number = given,
                None => sound = false,
            }
        }
        sound.then_some(numbers)
    }
}
