//! A feature before its properties are understood: id, kind, properties, shape.

use std::collections::{BTreeMap, BTreeSet};

use super::fields::Fields;
use super::frame::Frame;
use super::layout::Layout;
use super::limits::MAX_FEATURES;
use super::members::{FEATURE, KINDS, Kind, KindRow, rows};
use super::shape::{Extent, Shape, ShapeReader};
use super::splice::Splice;
use input::json::{Sort, Value};
use input::{Diagnostics, fix_name, one_line, one_of, quoted};

pub(super) struct Feature<'t> {
    pub(super) id: String,
    pub(super) kind: Kind,
    pub(super) properties: Fields<'t>,
    /// Nothing if the geometry has a fault.
    pub(super) shape: Option<Shape>,
    pub(super) at: usize,
    /// Its place in the list, from 0.
    pub(super) number: usize,
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
            let what =
                format!("the plan has {} features; at most {MAX_FEATURES} are read", items.len());
            let fix = "keep only walls, openings and devices";
            self.faults.fault(at, None, || (what, fix));
            return None;
        }
        self.faults.watch(items.iter().map(|item| item.at..item.end()).collect());
        let mut ids = BTreeMap::new();
        let mut counts = BTreeMap::new();
        let read = |item| self.read_feature(item, extent, &mut ids, &mut counts);
        Some(items.into_iter().enumerate().filter_map(read).collect())
    }

    fn read_feature<'t>(
        &mut self,
        (number, item): (usize, Value<'t>),
        extent: &mut Extent,
        ids: &mut BTreeMap<String, usize>,
        counts: &mut BTreeMap<String, usize>,
    ) -> Option<Feature<'t>> {
        let faults = &mut self.faults;
        let feature = Fields::named_freely(item, FEATURE.thing, "a feature", None, faults);
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
            let first = *ids.entry(id.to_owned()).or_insert(at);
            if first != at {
                let what = "two features have this id";
                let fix = "give each feature its own id, or none: it is then named by kind and \
                           order";
                faults.fault_with_other(at, first, Some(id), || (what, fix));
            }
        }
        warn_unknown_members(&feature, known_as, faults);
        let fix = "write \"type\": \"Feature\"";
        feature.need("type", fix, faults);
        if let Some(name) = feature.text("type", faults).filter(|name| name != "Feature") {
            let what = format!("\"features\" holds an item of type {}", quoted(&name));
            feature.fault("type", faults, || (what, fix));
        }
        let Some(properties) = feature.value("properties") else {
            let fix = "give at least \"properties\": {\"kind\": …}";
            faults.fault(feature.at, known_as, || ("the feature has no properties", fix));
            return None;
        };
        let mut properties =
            Fields::named_freely(properties, "property", "\"properties\"", known_as, faults);
        let row = self.kind_row(&properties)?;
        properties.know(row.members, &mut self.faults);
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
                let what = format!("the {} has no geometry", row.name);
                let fix = format!("draw it as {}", one_of(row.types.iter().copied()));
                self.faults.fault(feature.at, known_as, || (what, fix));
                None
            }
        };
        Some(Feature { id, kind: row.kind, properties, shape, at: item.at, number })
    }

    fn kind_row(&mut self, properties: &Fields<'_>) -> Option<&'static KindRow> {
        let names = || KINDS.iter().map(|row| row.name);
        let Some(name) = properties.text("kind", &mut self.faults) else {
            let fix = format!("it can be {}", one_of(names()));
            properties.need("kind", &fix, &mut self.faults);
            return None;
        };
        let row = KINDS.iter().find(|row| row.name == name);
        if row.is_none() {
            // Only asked for where it is listed: a name near to one is dear to look for.
            properties.warning("kind", &mut self.faults, || {
                let known: Vec<_> = names().collect();
                let fix = fix_name(&name, known, &format!("known: {}", one_of(names())));
                (
                    format!(
                        "the kind {} is not known, so the feature is not \
                          used",
                        quoted(&name)
                    ),
                    fix,
                )
            });
        }
        row
    }
}

pub(super) struct Named<'t> {
    pub(super) fields: Fields<'t>,
    /// Empty if it says none.
    pub(super) kind: String,
    /// Its id, or what it goes by without one; empty if it has neither id nor kind.
    pub(super) id: String,
    pub(super) has_id: bool,
}

/// All features of a list in file order.
pub(super) fn named<'t>(items: &[Value<'t>]) -> impl Iterator<Item = Named<'t>> {
    let mut counts = BTreeMap::new();
    items.iter().map(move |&item| {
        let fields = Fields::quietly(item);
        let default = default_id(&fields, &mut counts);
        let given = id_of(&fields);
        Named {
            kind: kind_name(&fields).unwrap_or_default(),
            has_id: given.is_some(),
            id: given.or(default).unwrap_or_default(),
            fields,
        }
    })
}

/// What a feature goes by that has no id, or the id of one before it: `#1`, `#2`, … by its place in
/// the list, which is given from 0; with more of the signs where others have such ids.
pub(super) fn address(number: usize, ids: &BTreeSet<String>) -> String {
    let mut address = format!("#{}", number + 1);
    while ids.contains(&address) {
        address.insert(0, '#');
    }
    address
}

/// The place in the list, from 0, of the feature that an address stands for.
pub(super) fn number_of(address: &str) -> Option<usize> {
    let number = address.strip_prefix('#')?.trim_start_matches('#');
    number.parse::<usize>().ok()?.checked_sub(1)
}

/// Each feature that has no id of its own and would go by another one without those that are gone:
/// of their kinds, those behind them.
pub(super) fn renamed<'f, 't>(
    features: &'f [Named<'t>],
    is_gone: impl Fn(usize) -> bool,
) -> Vec<&'f Named<'t>> {
    let mut kinds = BTreeSet::new();
    let mut renamed = Vec::new();
    for (number, feature) in features.iter().enumerate() {
        if is_gone(number) {
            kinds.insert(feature.kind.as_str());
        } else if !feature.has_id && !feature.id.is_empty() && kinds.contains(&*feature.kind) {
            renamed.push(feature);
        }
    }
    renamed
}

/// The id that a feature goes by written down in it; nothing if it has a member of that name that
/// makes no sense.
pub(super) fn id_written(text: &str, feature: &Named<'_>) -> Option<Splice> {
    let id = serde_json::Value::from(feature.id.as_str()).to_string();
    // Null counts as absent but stands where the value shall be.
    let absent = feature.fields.value("id").is_none();
    absent.then(|| Layout::set(text, &feature.fields, "id", &id)).flatten()
}

/// The kind as the properties say it, whether known or not.
fn kind_name(feature: &Fields<'_>) -> Option<String> {
    let properties = Fields::quietly(feature.value("properties")?);
    let name = properties.value("kind")?.text()?;
    Some(one_line(&name).into_owned())
}

/// The id that a feature without one gets: its kind and its number among all of that kind. Every
/// feature must be asked in file order, whether it has an id or not.
fn default_id(feature: &Fields<'_>, counts: &mut BTreeMap<String, usize>) -> Option<String> {
    let name = kind_name(feature)?;
    let count = counts.entry(name.clone()).or_default();
    *count += 1;
    Some(format!("{name}-{count}"))
}

/// The member `id` where it makes sense: text, or a number as its text, as [`one_line`] reads it.
fn id_of(feature: &Fields<'_>) -> Option<String> {
    let value = feature.value("id")?;
    match value.sort() {
        Sort::Number => Some(one_line(value.raw).into_owned()),
        Sort::Text => {
            let text = value.text()?;
            let text = one_line(text.trim());
            (!text.is_empty()).then(|| text.into_owned())
        }
        _ => None,
    }
}

/// The member `id`; one that makes no sense is a fault.
fn given_id(feature: &Fields<'_>, frame: &mut Frame<'_>) -> Option<String> {
    let value = feature.value("id")?;
    if let Some(id) = id_of(feature) {
        let given = value.text();
        feature.as_line("id", given.as_deref().unwrap_or(value.raw).trim(), &mut frame.faults);
        return Some(id);
    }
    let what = format!("an id must be text or a number, not {}", value.described());
    feature.fault("id", &mut frame.faults, || (what, "give a short name, or leave \"id\" out"));
    None
}

fn warn_unknown_members(feature: &Fields<'_>, known_as: Option<&str>, faults: &mut Diagnostics) {
    for member in feature.members() {
        let key = member.key.as_ref();
        if rows(FEATURE.members).any(|known| known.name == key) {
            continue;
        }
        faults.warning(member.key_at, known_as, || {
            let is_property =
                KINDS.iter().any(|row| rows(row.members).any(|known| known.name == key));
            let fix = if is_property {
                "move it into \"properties\"".to_owned()
            } else {
                let known = FEATURE.names();
                let listed = one_of(known.iter().copied());
                fix_name(key, known, &format!("known: {listed}"))
            };
            (format!("feature member {} is not known, so it is not used", quoted(key)), fix)
        });
    }
}
