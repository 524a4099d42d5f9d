//! Changes to the *text* of a plan: the panel moved, repeaters added, devices numbered, a
//! calibration written down, all else byte for byte.
//!
//! A plan may hold what drillonce does not know: kinds and properties of other programs, a layout
//! that somebody likes, numbers spelt in their own way. So a change is spliced into the text at
//! the places of the values that it touches; nothing else is written anew.

mod calibrate;
mod number;

use std::collections::BTreeSet;

use geo::Coord;

use super::feature::named;
use super::fields::Fields;
use super::layout::{Layout, Node};
use super::members::MAX_CAPACITY;
use super::splice::{Splice, spliced, written};
use super::unit::thousandths;
use super::{
    Calibration, Construction, Device, DeviceKind, Diagnostic, Layer, LinkChoice, Plan, Severity,
    Vocabulary, read, source,
};
use input::Diagnostics;
use input::json::{Member, Sort, Value};

/// One change to a plan.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Hangs the panel elsewhere: the plan's first panel, which keeps all its other properties; if
    /// there is none, a panel with the id `panel` is added.
    MovePanel {
        /// Number of the level.
        level: i32,
        /// Where it hangs, metres.
        position: Coord<f64>,
        /// Height above that level's floor, metres.
        height_above_floor_m: f64,
    },
    /// Adds a repeater after all other features.
    AddRepeater {
        /// Its id; if that is taken, `-2`, `-3`, … is put behind it.
        id: String,
        /// Its name for people.
        name: String,
        /// Number of the level.
        level: i32,
        /// Where it hangs, metres.
        position: Coord<f64>,
        /// Height above that level's floor, metres.
        height_above_floor_m: f64,
        /// How many sensors it can pass on, from 1 to [`super::MAX_CAPACITY`], if that is said.
        capacity: Option<u32>,
    },
    /// Writes down what readings showed, in place of what was written down before.
    Calibrate(Calibration),
    /// Gives a device its number in the panel, in place of the one that it has.
    Number {
        /// Id of the device.
        id: String,
        /// Its number, from 0 to [`super::MAX_NUMBER`].
        number: u32,
    },
}

/// Why a change cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EditError {
    /// The plan has no such level.
    #[error("the plan has no level {0}")]
    NoLevel(i32),
    /// A position or height is not a finite number.
    #[error("the position or the height is not a finite number")]
    NotFinite,
    /// A repeater without an id.
    #[error("a new repeater needs an id")]
    NoId,
    /// A capacity out of range.
    #[error("a capacity of {0} is outside 1 to {MAX_CAPACITY}")]
    Capacity(u32),
    /// A figure of a calibration is not a finite number.
    #[error("a figure of the calibration is not a finite number")]
    Calibration,
    /// A device to be numbered is not there.
    #[error("the plan has no device \"{0}\"")]
    NoDevice(String),
    /// A number out of range.
    #[error("the number {0} is outside 0 to {max}", max = super::MAX_NUMBER)]
    Number(u32),
    /// The text does not hold the plan that came with it.
    #[error("the text belongs to another plan")]
    NotThisPlan,
    /// With the change made, the reader refuses the plan: it would be beyond a limit.
    #[error("the plan would no longer be readable: {}", .0.what)]
    Refused(Box<Diagnostic>),
}

/// The text of a plan with changes made to it, one after the other.
///
/// `plan` is what [`read`] made of `text`; it gives the unit and the levels. Lengths are written in
/// the plan's own unit, rounded to a thousandth of it; a number that already says the same stays as
/// it is spelt. A panel's `level` is written only if it has one or the plan has several. A `bbox`
/// of the panel's feature is brought in line; one of the whole plan is left as it is. New features
/// follow the last one and are laid out like it.
///
/// # Errors
/// [`EditError`]. What is returned has been read again: it is a sound plan with just these changes.
pub fn edited(text: &str, plan: &Plan, changes: &[Change]) -> Result<String, EditError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if !source::is_sound(text, &mut Diagnostics::new("")) {
        return Err(EditError::NotThisPlan);
    }
    let vocabulary = names_in(plan);
    let mut text = text.to_owned();
    for change in changes {
        text = match change {
            Change::Calibrate(calibration) => calibrate::put_into(&text, plan, calibration)?,
            Change::Number { id, number } => number::put_into(&text, id, *number)?,
            _ => Target::of(change, plan)?.put_into(&text, plan)?,
        };
        let reading = read("", text.as_bytes(), &vocabulary).map_err(refused)?;
        if !change.is_made(&reading.plan, plan) {
            return Err(EditError::NotThisPlan);
        }
    }
    Ok(text)
}

fn refused(faults: Vec<Diagnostic>) -> EditError {
    let fault = faults.into_iter().find(|fault| fault.severity == Severity::Error);
    fault.map_or(EditError::NotThisPlan, |fault| EditError::Refused(Box::new(fault)))
}

/// Every name that a plan uses: what its text must know to be read again.
fn names_in(plan: &Plan) -> Vocabulary {
    let constructions = plan
        .walls
        .iter()
        .map(|wall| &wall.construction)
        .chain(plan.openings.iter().map(|opening| &opening.construction))
        .chain(plan.slabs.iter().map(|slab| &slab.construction))
        .chain(plan.obstacles.iter().map(|obstacle| &obstacle.construction));
    let layers = plan.constructions.values().flat_map(|own| match own {
        Construction::Layers(layers) => layers.as_slice(),
        Construction::Measured(_) => &[],
    });
    let materials = layers.filter_map(|layer| match layer {
        Layer::Bulk { material, .. } => Some(material),
        Layer::Film { .. } => None,
    });
    let links = plan
        .link
        .iter()
        .chain(plan.devices.iter().filter_map(|device| device.link.as_ref()))
        .chain(plan.roams.iter().filter_map(|roam| roam.link.as_ref()))
        .filter_map(|link: &LinkChoice| link.like.as_ref());
    let mounts = plan.devices.iter().filter_map(|device| device.mount.as_ref());
    Vocabulary {
        constructions: once_each(constructions),
        materials: once_each(materials),
        links: once_each(links),
        mounts: once_each(mounts),
        ..Vocabulary::default()
    }
}

fn once_each<'n>(names: impl Iterator<Item = &'n String>) -> Vec<String> {
    let names: BTreeSet<&String> = names.collect();
    names.into_iter().cloned().collect()
}

impl Change {
    /// Where a device shall hang, if one shall: level, position, height above the floor in metres.
    fn place(&self) -> Option<(i32, Coord<f64>, f64)> {
        match self {
            Self::MovePanel { level, position, height_above_floor_m }
            | Self::AddRepeater { level, position, height_above_floor_m, .. } => {
                Some((*level, *position, *height_above_floor_m))
            }
            _ => None,
        }
    }

    /// Whether a plan that was read again holds the change, to a thousandth of its unit.
    fn is_made(&self, now: &Plan, before: &Plan) -> bool {
        let hangs = |device: &Device| {
            let Some((level, position, height_m)) = self.place() else { return true };
            let near = |a: f64, b: f64| (a - b).abs() <= 0.001 * now.metres_per_unit;
            let floor_m = now.level(level).map_or(0.0, |level| level.floor_m);
            device.level == level
                && near(device.position.x, position.x)
                && near(device.position.y, position.y)
                && near(device.height_m, floor_m + height_m)
        };
        let mut devices = now.devices.iter();
        let is_made = match self {
            Self::Calibrate(calibration) => calibrate::is_made(calibration, now),
            Self::MovePanel { .. } => now.panel().is_some_and(hangs),
            Self::AddRepeater { .. } => {
                devices.next_back().is_some_and(|it| it.kind == DeviceKind::Repeater && hangs(it))
            }
            Self::Number { id, number } => {
                devices.any(|device| device.id == *id && device.number == Some(*number))
            }
        };
        is_made
            && now.levels == before.levels
            && now.metres_per_unit.to_bits() == before.metres_per_unit.to_bits()
    }
}

/// A change in the plan's own unit, as numbers of the text.
struct Target<'c> {
    change: &'c Change,
    level: i32,
    x: f64,
    y: f64,
    height: f64,
}

fn features_of(text: &str) -> Result<Member<'_>, EditError> {
    let top = Value::whole(text).members(None, &mut Diagnostics::new(""));
    let is_list = |it: &Member<'_>| it.key == "features" && it.value.sort() == Sort::List;
    top.into_iter().find(is_list).ok_or(EditError::NotThisPlan)
}

impl<'c> Target<'c> {
    fn of(change: &'c Change, plan: &Plan) -> Result<Self, EditError> {
        let (level, position, height_m) = change.place().ok_or(EditError::NotThisPlan)?;
        if plan.level(level).is_none() {
            return Err(EditError::NoLevel(level));
        }
        let in_unit = |metres: f64| thousandths(metres / plan.metres_per_unit);
        let (x, y) = (in_unit(position.x), in_unit(position.y));
        let height = in_unit(height_m);
        if ![x, y, height].iter().all(|number| number.is_finite()) {
            return Err(EditError::NotFinite);
        }
        Ok(Self { change, level, x, y, height })
    }

    fn put_into(&self, text: &str, plan: &Plan) -> Result<String, EditError> {
        let list = features_of(text)?;
        let items = list.value.items();
        let mut ids = BTreeSet::new();
        let mut panel = None;
        for feature in named(&items) {
            ids.insert(feature.id);
            if panel.is_none() && feature.kind == DeviceKind::Panel.word() {
                panel = Some(feature.fields);
            }
        }
        let splices = match (self.change, panel) {
            (Change::MovePanel { .. }, Some(panel)) => self
                .panel_moved(text, &panel, plan.levels.len() > 1)
                .ok_or(EditError::NotThisPlan)?,
            (Change::MovePanel { .. }, None) => {
                vec![self.added(text, &list, &items, self.device("panel", "Panel", None, &ids))]
            }
            (Change::AddRepeater { id, name, capacity, .. }, _) => {
                if id.trim().is_empty() {
                    return Err(EditError::NoId);
                }
                if let Some(capacity) = capacity.filter(|n| !(1..=MAX_CAPACITY).contains(n)) {
                    return Err(EditError::Capacity(capacity));
                }
                let device = self.device(id.trim(), name, *capacity, &ids);
                vec![self.added(text, &list, &items, device)]
            }
            _ => return Err(EditError::NotThisPlan),
        };
        Ok(spliced(text, splices))
    }

    /// What moves an existing panel; nothing if the feature is not what the reader takes.
    fn panel_moved(
        &self,
        text: &str,
        panel: &Fields<'_>,
        several_levels: bool,
    ) -> Option<Vec<Splice>> {
        let geometry = Fields::quietly(panel.value("geometry")?);
        let mut splices = Vec::new();
        let position = geometry.value("coordinates")?.items();
        let [x, y, ..] = position.as_slice() else {
            return None;
        };
        splices.extend(Splice::number(*x, self.x));
        splices.extend(Splice::number(*y, self.y));
        for sides in [panel, &geometry].into_iter().filter_map(|holder| holder.value("bbox")) {
            splices.extend(Splice::sides(sides, [self.x, self.y, self.x, self.y]));
        }
        let properties = Fields::quietly(panel.value("properties")?);
        let mut set = |name, with: &str| {
            splices.extend(Layout::set(text, &properties, name, with));
        };
        if several_levels || properties.value("level").is_some() {
            set("level", &self.level.to_string());
        }
        set("height", &written(self.height));
        Some(splices)
    }

    /// A new feature for a device, under an id that is not taken.
    fn device(&self, id: &str, name: &str, capacity: Option<u32>, ids: &BTreeSet<String>) -> Node {
        let numbered = (2_usize..).map(|number| format!("{id}-{number}"));
        let mut wishes = std::iter::once(id.to_owned()).chain(numbered);
        let id = wishes.find(|id| !ids.contains(id)).unwrap_or_default();
        let kind = match self.change {
            Change::AddRepeater { .. } => DeviceKind::Repeater,
            _ => DeviceKind::Panel,
        };
        let mut properties = vec![
            ("kind", Node::text(kind.word())),
            ("name", Node::text(name)),
            ("level", Node::Leaf(self.level.to_string())),
            ("height", Node::Leaf(written(self.height))),
        ];
        properties.extend(capacity.map(|n| ("capacity", Node::Leaf(n.to_string()))));
        let geometry = vec![
            ("type", Node::text("Point")),
            ("coordinates", Node::List(vec![written(self.x), written(self.y)])),
        ];
        Node::object([
            ("type", Node::text("Feature")),
            ("id", Node::text(&id)),
            ("geometry", Node::object(geometry)),
            ("properties", Node::object(properties)),
        ])
    }

    /// A new feature behind the last one.
    fn added(&self, text: &str, list: &Member<'_>, items: &[Value<'_>], feature: Node) -> Splice {
        let layout = items
            .last()
            .and_then(|&last| Layout::of(text, &Fields::quietly(last)))
            .unwrap_or_else(|| Layout::one_line(text, list));
        let at = items.last().map_or(list.value.at + 1, |last| last.end());
        let gap = Layout::gap(text, list.value, items);
        Splice::new(at, format!("{gap}{}", layout.write(&feature)))
    }
}
