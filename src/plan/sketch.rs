//! Features as the file draws them, whether they can be used or not.

use std::collections::BTreeSet;

use geo::Coord;

use super::feature::{Named, address, named};
use super::fields::Fields;
use super::spelling::{Spelt, spelt};
use input::json::{Sort, Value};

/// A feature as the file draws it: nothing of it has been checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Sketch {
    /// The id by which [`Change`](crate::edit::Change) finds it.
    pub id: String,
    /// Its `kind`; empty if it says none.
    pub kind: String,
    /// Number of its level: as it says, else the one on which the plan has it, if any.
    pub level: Option<i32>,
    /// The type of its geometry, as the file has it; empty if it says none.
    pub geometry: String,
    /// Its positions, metres: a point is one line of one position, an outline a line for each ring.
    /// What is no position is left out.
    pub lines: Vec<Vec<Coord<f64>>>,
    /// Its properties as JSON text, an object, lengths in the plan's unit.
    pub properties: String,
    /// Whether it has a fault of its own.
    pub is_faulty: bool,
    /// Whether the plan that was read has it. What is not faulty and not used either is of an
    /// unknown kind, or depends on what is faulty, as an opening does on its wall.
    pub is_used: bool,
}

impl Sketch {
    fn of(feature: &Named<'_>, id: String, metres_per_unit: f64) -> Self {
        let properties = feature.fields.value("properties");
        let properties = properties.filter(|it| it.sort() == Sort::Object);
        let level = properties.and_then(|it| Fields::quietly(it).value("level")?.number());
        let geometry = feature.fields.value("geometry").map(Fields::quietly);
        let kind = geometry.and_then(|it| Some(it.value("type")?.text()?.into_owned()));
        let metres = |line: Vec<Spelt<'_>>| {
            line.into_iter().map(|position| position.said * metres_per_unit).collect()
        };
        #[expect(clippy::cast_possible_truncation, reason = "a whole number that fits")]
        let whole = |level: f64| {
            (level.fract() == 0.0 && level.abs() < f64::from(i32::MAX)).then_some(level as i32)
        };
        Self {
            id,
            kind: feature.kind.clone(),
            level: level.and_then(whole),
            geometry: kind.unwrap_or_default(),
            lines: lines(&feature.fields).into_iter().map(metres).collect(),
            properties: properties.map_or("{}", |it| it.raw).to_owned(),
            is_faulty: false,
            is_used: false,
        }
    }
}

/// All features of a list.
pub(super) fn sketches(items: &[Value<'_>], metres_per_unit: f64) -> Vec<Sketch> {
    let ids = named(items).map(|feature| feature.id).collect();
    let mut taken = BTreeSet::new();
    let sketch = |(number, feature): (usize, Named<'_>)| {
        let is_first = !feature.id.is_empty() && taken.insert(feature.id.clone());
        let id = if is_first { feature.id.clone() } else { address(number, &ids) };
        Sketch::of(&feature, id, metres_per_unit)
    };
    named(items).enumerate().map(sketch).collect()
}

/// Every position of a feature.
pub(super) fn positions(item: Value<'_>) -> Vec<Spelt<'_>> {
    lines(&Fields::quietly(item)).into_iter().flatten().collect()
}

fn lines<'t>(feature: &Fields<'t>) -> Vec<Vec<Spelt<'t>>> {
    let geometry = feature.value("geometry").map(Fields::quietly);
    let mut found = Vec::new();
    if let Some(coordinates) = geometry.and_then(|it| it.value("coordinates")) {
        gather(coordinates, &mut found);
    }
    found
}

/// Lists of positions however deep they are; a text nests no deeper than is read.
fn gather<'t>(list: Value<'t>, found: &mut Vec<Vec<Spelt<'t>>>) {
    if let Some(position) = spelt(list) {
        found.push(vec![position]);
        return;
    }
    let items = list.items();
    let line: Vec<Spelt<'t>> = items.iter().filter_map(|item| spelt(*item)).collect();
    if line.is_empty() {
        items.into_iter().for_each(|item| gather(item, found));
    } else {
        found.push(line);
    }
}
