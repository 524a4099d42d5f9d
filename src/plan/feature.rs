//! A feature before its properties are understood: id, kind, properties, shape.

use std::collections::BTreeMap;

use super::DeviceKind;
use super::fields::Fields;
use super::frame::Frame;
use super::json::{Sort, Value};
use super::limits::MAX_FEATURES;
use super::names::{mend_name, one_of, quoted};
use super::shape::{Extent, Shape, ShapeReader};

/// What a feature of the plan stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Wall,
    Opening,
    Slab,
    Obstacle,
    Device(DeviceKind),
    Roam,
    Mountable,
    Outlet,
    Stairs,
    Room,
}

/// A kind with its name, the geometry types that draw it, and the properties that it knows.
#[derive(Debug)]
struct KindRow {
    name: &'static str,
    kind: Kind,
    types: &'static [&'static str],
    properties: &'static [&'static str],
}

const DEVICE_PROPERTIES: &[&str] = &[
    "kind",
    "level",
    "height",
    "name",
    "room",
    "number",
    "role",
    "device",
    "link",
    "mount",
    "supervised",
];

const REPEATER_PROPERTIES: &[&str] = &[
    "kind",
    "level",
    "height",
    "name",
    "room",
    "number",
    "role",
    "device",
    "link",
    "mount",
    "supervised",
    "capacity",
];

const LINE: &[&str] = &["LineString"];
const AREA: &[&str] = &["Polygon"];
const POINT: &[&str] = &["Point"];

const fn device(kind: DeviceKind) -> KindRow {
    KindRow {
        name: kind.word(),
        kind: Kind::Device(kind),
        types: POINT,
        properties: match kind {
            DeviceKind::Repeater => REPEATER_PROPERTIES,
            _ => DEVICE_PROPERTIES,
        },
    }
}

const KINDS: [KindRow; 14] = [
    KindRow {
        name: "wall",
        kind: Kind::Wall,
        types: LINE,
        properties: &["kind", "name", "level", "construction", "thickness_mm", "base", "top"],
    },
    KindRow {
        name: "opening",
        kind: Kind::Opening,
        types: LINE,
        properties: &["kind", "name", "level", "construction", "state", "entry", "base", "top"],
    },
    KindRow {
        name: "slab",
        kind: Kind::Slab,
        types: AREA,
        properties: &["kind", "name", "level", "construction"],
    },
    KindRow {
        name: "obstacle",
        kind: Kind::Obstacle,
        types: AREA,
        properties: &["kind", "name", "level", "construction", "base", "top"],
    },
    device(DeviceKind::Panel),
    device(DeviceKind::Sensor),
    device(DeviceKind::Repeater),
    device(DeviceKind::Keypad),
    device(DeviceKind::Siren),
    KindRow {
        name: "roam",
        kind: Kind::Roam,
        types: AREA,
        properties: &["kind", "name", "level", "height", "link", "worn"],
    },
    KindRow {
        name: "mountable",
        kind: Kind::Mountable,
        types: &["Point", "LineString", "Polygon"],
        properties: &["kind", "name", "level"],
    },
    KindRow {
        name: "outlet",
        kind: Kind::Outlet,
        types: POINT,
        properties: &["kind", "name", "level", "height"],
    },
    KindRow {
        name: "stairs",
        kind: Kind::Stairs,
        types: LINE,
        properties: &["kind", "name", "level", "to"],
    },
    KindRow {
        name: "room",
        kind: Kind::Room,
        types: &["Point", "Polygon"],
        properties: &["kind", "name", "level"],
    },
];

/// Every member of a feature.
pub(super) const FEATURE_MEMBERS: [&str; 5] = ["type", "id", "geometry", "properties", "bbox"];

/// Every kind: its name, the geometry types that draw it, and the properties that it knows.
pub(super) fn kind_rows()
-> impl Iterator<Item = (&'static str, &'static [&'static str], &'static [&'static str])> {
    KINDS.iter().map(|row| (row.name, row.types, row.properties))
}

/// A feature of a known kind.
#[derive(Debug)]
pub(super) struct Feature<'t> {
    pub(super) id: String,
    pub(super) kind: Kind,
    pub(super) properties: Fields<'t>,
    /// Nothing if the geometry has a fault.
    pub(super) shape: Option<Shape>,
    /// Where the feature begins.
    pub(super) at: usize,
}

impl Frame<'_> {
    /// Reads all features of the member `features`, in file order; nothing if there are too many.
    pub(super) fn read_features<'t>(
        &mut self,
        list: Value<'t>,
        extent: &mut Extent,
    ) -> Option<Vec<Feature<'t>>> {
        let items = list.items();
        if items.len() > MAX_FEATURES {
            let at = items.get(MAX_FEATURES).map_or(list.at, |item| item.at);
            self.faults.fault(at, None, || {
                (
                    format!(
                        "the plan has {} features; at most {MAX_FEATURES} are read",
                        items.len()
                    ),
                    "leave out what is not walls, openings and devices".to_owned(),
                )
            });
            return None;
        }
        let mut ids = BTreeMap::new();
        let mut counts = BTreeMap::new();
        let features = items
            .into_iter()
            .filter_map(|item| self.read_feature(item, extent, &mut ids, &mut counts))
            .collect();
        Some(features)
    }

    fn read_feature<'t>(
        &mut self,
        item: Value<'t>,
        extent: &mut Extent,
        ids: &mut BTreeMap<String, usize>,
        counts: &mut BTreeMap<String, usize>,
    ) -> Option<Feature<'t>> {
        let faults = &mut self.faults;
        let feature = Fields::of(item, "feature member", "a feature", None, faults);
        if item.sort() != Sort::Object {
            return None;
        }
        // The kind comes first: it gives a feature without an id its name in messages.
        let default = default_id(&feature, counts);
        let given = given_id(&feature, self);
        let id = given.clone().or(default).unwrap_or_default();
        let known_as = (!id.is_empty()).then_some(id.as_str());
        let faults = &mut self.faults;
        if let Some(id) = known_as {
            let at = if given.is_some() { feature.place("id") } else { item.at };
            if let Some(&first) = ids.get(id) {
                faults.fault_with_other(at, first, Some(id), || {
                    (
                        "two features have this id".to_owned(),
                        "give each feature an id of its own; without one it gets its kind and its \
                         number in file order"
                            .to_owned(),
                    )
                });
            } else {
                ids.insert(id.to_owned(), at);
            }
        }
        warn_unknown_members(&feature, known_as, faults);
        match feature.text("type", faults) {
            Some(name) if name != "Feature" => feature.fault("type", faults, || {
                (
                    format!("a member of \"features\" has the type {}", quoted(&name)),
                    "write \"type\": \"Feature\"".to_owned(),
                )
            }),
            None if feature.value("type").is_none() => {
                feature.missing("type", "write \"type\": \"Feature\"", faults);
            }
            _ => {}
        }
        let Some(properties) = feature.value("properties") else {
            faults.fault(feature.at, known_as, || {
                (
                    "the feature has no properties".to_owned(),
                    "give at least \"properties\": {\"kind\": …}".to_owned(),
                )
            });
            return None;
        };
        let properties = Fields::of(properties, "property", "\"properties\"", known_as, faults);
        let row = self.kind_row(&properties)?;
        properties.warn_unknown(row.properties, &mut self.faults);
        let shape = match feature.value("geometry") {
            Some(geometry) => ShapeReader {
                metres_per_unit: self.unit.metres,
                extent,
                faults: &mut self.faults,
                feature: &id,
                warned_of_third: false,
            }
            .read(geometry, row.name, row.types),
            None => {
                self.faults.fault(feature.at, known_as, || {
                    (
                        format!("the {} has no geometry", row.name),
                        format!("draw it as {}", one_of(row.types.iter().copied())),
                    )
                });
                None
            }
        };
        Some(Feature { id, kind: row.kind, properties, shape, at: item.at })
    }

    /// The row of the kind that the properties name.
    fn kind_row(&mut self, properties: &Fields<'_>) -> Option<&'static KindRow> {
        let names = || KINDS.iter().map(|row| row.name);
        let Some(name) = properties.text("kind", &mut self.faults) else {
            if properties.value("kind").is_none() {
                let mend = format!("it can be {}", one_of(names()));
                properties.missing("kind", &mend, &mut self.faults);
            }
            return None;
        };
        let row = KINDS.iter().find(|row| row.name == name);
        if row.is_none() {
            properties.warning("kind", &mut self.faults, || {
                (
                    format!("the kind {} is not known: the feature is not used", quoted(&name)),
                    mend_name(
                        &name,
                        names().collect::<Vec<_>>(),
                        &format!("known: {}", one_of(names())),
                    ),
                )
            });
        }
        row
    }
}

/// The kind as the properties say it, whether known or not.
pub(super) fn kind_name(feature: &Fields<'_>) -> Option<String> {
    let properties = feature.value("properties")?;
    // Diagnostics of the object are noted when it is read in earnest.
    let mut ignored = super::diagnostic::Diagnostics::new("");
    let members = properties.members(None, &mut ignored);
    let kind = members.iter().find(|member| member.key == "kind")?;
    kind.value.text().map(std::borrow::Cow::into_owned)
}

/// The id that a feature without one gets: its kind and its number among all of that kind. Every
/// feature must be asked in file order, whether it has an id or not.
pub(super) fn default_id(
    feature: &Fields<'_>,
    counts: &mut BTreeMap<String, usize>,
) -> Option<String> {
    let name = kind_name(feature)?;
    let count = counts.entry(name.clone()).or_default();
    *count += 1;
    Some(format!("{name}-{count}"))
}

/// The member `id` where it makes sense: text, or a number as its text.
pub(super) fn id_of(feature: &Fields<'_>) -> Option<String> {
    let value = feature.value("id")?;
    match value.sort() {
        Sort::Number => Some(value.raw.to_owned()),
        Sort::Text => {
            let text = value.text()?.trim().to_owned();
            (!text.is_empty()).then_some(text)
        }
        _ => None,
    }
}

/// The member `id`; one that makes no sense is a fault.
fn given_id(feature: &Fields<'_>, frame: &mut Frame<'_>) -> Option<String> {
    let value = feature.value("id")?;
    if let Some(id) = id_of(feature) {
        return Some(id);
    }
    feature.fault("id", &mut frame.faults, || {
        (
            format!("an id must be text or a number, but here is {}", value.described()),
            "give a short name, or leave \"id\" out".to_owned(),
        )
    });
    None
}

fn warn_unknown_members(
    feature: &Fields<'_>,
    known_as: Option<&str>,
    faults: &mut super::diagnostic::Diagnostics,
) {
    for member in feature.members() {
        let key = member.key.as_ref();
        if FEATURE_MEMBERS.contains(&key) {
            continue;
        }
        faults.warning(member.key_at, known_as, || {
            let is_property = KINDS.iter().any(|row| row.properties.contains(&key));
            let mend = if is_property {
                "it belongs into \"properties\"".to_owned()
            } else {
                let known = one_of(FEATURE_MEMBERS);
                mend_name(key, FEATURE_MEMBERS, &format!("known here: {known}"))
            };
            (format!("feature member {} is not known and not used", quoted(key)), mend)
        });
    }
}
