//! How elements belong together: openings and what fills them, parts, types, materials, storeys.

use std::collections::{BTreeMap, BTreeSet};

use super::shape::Body;
use super::space::{Frame, Space};
use super::step::Model;
use super::value::Value;
use plan::Diagnostic;

/// Most parts of one element, and most times that parts have parts (our own choice).
const MAX_PARTS: usize = 2_000;
const MAX_DEPTH: usize = 4;

#[derive(Default)]
pub(super) struct Links {
    /// The openings of an element.
    pub(super) voids: BTreeMap<u32, Vec<u32>>,
    /// What fills an opening.
    pub(super) fills: BTreeMap<u32, u32>,
    pub(super) parts: BTreeMap<u32, Vec<u32>>,
    /// The storey, space or building that an element is in, or that it is a part of.
    pub(super) within: BTreeMap<u32, u32>,
    types: BTreeMap<u32, u32>,
    materials: BTreeMap<u32, u32>,
    /// Whether an element or type is said to be an outside one.
    external: BTreeMap<u32, bool>,
}

impl Links {
    pub(super) fn read(model: &Model<'_>) -> Self {
        let mut links = Self::default();
        // Who is related comes fifth, to what sixth, or the other way round.
        let each = |kind: &'static str, with: &mut dyn FnMut(Vec<u32>, Vec<u32>)| {
            for args in model.all(kind).filter_map(|number| model.get(number)) {
                with(args.references(4), args.references(5));
            }
        };
        each("IFCRELVOIDSELEMENT", &mut |host, openings| {
            for host in host {
                links.voids.entry(host).or_default().extend(&openings);
            }
        });
        each("IFCRELFILLSELEMENT", &mut |opening, by| {
            links.fills.extend(opening.into_iter().zip(by));
        });
        each("IFCRELAGGREGATES", &mut |whole, parts| {
            for whole in whole {
                links.within.extend(parts.iter().map(|part| (*part, whole)));
                links.parts.entry(whole).or_default().extend(&parts);
            }
        });
        each("IFCRELCONTAINEDINSPATIALSTRUCTURE", &mut |elements, storey| {
            let storey = storey.first().copied();
            links.within.extend(elements.into_iter().zip(storey.into_iter().cycle()));
        });
        each("IFCRELDEFINESBYTYPE", &mut |elements, of| {
            let of = of.first().copied();
            links.types.extend(elements.into_iter().zip(of.into_iter().cycle()));
        });
        each("IFCRELASSOCIATESMATERIAL", &mut |elements, material| {
            let material = material.first().copied();
            links.materials.extend(elements.into_iter().zip(material.into_iter().cycle()));
        });
        links.read_external(model);
        links
    }

    /// The property `IsExternal` of walls, doors and windows.
    fn read_external(&mut self, model: &Model<'_>) {
        let mut sets: BTreeMap<u32, Option<bool>> = BTreeMap::new();
        for relation in model.all("IFCRELDEFINESBYPROPERTIES") {
            let Some(relation) = model.get(relation) else { continue };
            for set in relation.references(5) {
                let said = *sets.entry(set).or_insert_with(|| is_external(model, set));
                if let Some(said) = said {
                    self.external.extend(relation.references(4).into_iter().map(|it| (it, said)));
                }
            }
        }
    }

    pub(super) fn material(&self, element: u32) -> Option<u32> {
        let of = |element: u32| self.materials.get(&element).copied();
        of(element).or_else(|| of(*self.types.get(&element)?))
    }

    pub(super) fn is_external(&self, element: u32) -> Option<bool> {
        self.external.get(&element).copied()
    }

    /// The first of some places that an element is in, up through all that it is part of.
    pub(super) fn within<T>(&self, element: u32, place: impl Fn(u32) -> Option<T>) -> Option<T> {
        let mut here = element;
        for _ in 0..10 {
            here = *self.within.get(&here)?;
            if let Some(found) = place(here) {
                return Some(found);
            }
        }
        None
    }
}

fn is_external(model: &Model<'_>, set: u32) -> Option<bool> {
    let set = model.get_as(set, "IFCPROPERTYSET")?;
    let Value::Text(name) = set.at(2) else { return None };
    let common: [&[u8]; 4] =
        [b"Pset_WallCommon", b"Pset_DoorCommon", b"Pset_WindowCommon", b"Pset_CurtainWallCommon"];
    if !common.contains(name) {
        return None;
    }
    set.references(4).into_iter().find_map(|property| {
        let property = model.get_as(property, "IFCPROPERTYSINGLEVALUE")?;
        let named = *property.at(0) == Value::Text(b"IsExternal");
        let Value::Typed(_, values) = property.at(2) else { return None };
        match values.as_slice() {
            [Value::Word(b"T")] if named => Some(true),
            [Value::Word(b"F")] if named => Some(false),
            _ => None,
        }
    })
}

/// An element of the building.
pub(super) struct Product {
    pub(super) number: u32,
    pub(super) name: Option<String>,
    pub(super) frame: Frame,
    pub(super) shape: Option<u32>,
}

impl Space<'_, '_> {
    /// An element with its place.
    ///
    /// # Errors
    /// As [`Space::placed`].
    pub(super) fn product(&mut self, number: u32) -> Result<Option<Product>, Diagnostic> {
        let Some(args) = self.model.get(number) else { return Ok(None) };
        let frame = self.placed(args.reference(5))?;
        Ok(Some(Product { number, name: args.text(2), frame, shape: args.reference(6) }))
    }

    /// The body of an element, and of its parts.
    ///
    /// # Errors
    /// As [`Space::placed`].
    pub(super) fn whole_body(
        &mut self,
        product: &Product,
        links: &Links,
    ) -> Result<Body, Diagnostic> {
        let mut body = self.body(product.shape, &product.frame);
        let mut seen = BTreeSet::from([product.number]);
        let mut open = vec![(product.number, 0)];
        while let Some((whole, depth)) = open.pop() {
            for part in links.parts.get(&whole).into_iter().flatten() {
                if depth < MAX_DEPTH && seen.len() < MAX_PARTS && seen.insert(*part) {
                    if let Some(part) = self.product(*part)? {
                        body.extend(self.body(part.shape, &part.frame));
                    }
                    open.push((*part, depth + 1));
                }
            }
        }
        Ok(body)
    }
}
