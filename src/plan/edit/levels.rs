//! A storey added, or one renamed or given other heights.

use super::super::fields::Fields;
use super::super::frame::Frame;
use super::super::layout::{Layout, Node};
use super::super::members::KINDS;
use super::super::splice::{Splice, spliced, written};
use super::super::unit::thousandths;
use super::super::{Plan, Vocabulary};
use super::error::EditError;
use super::listing::Listing;
use super::properties::{set_in, set_members};
use super::refused;
use input::Diagnostics;
use input::json::Value;

/// What is said of a level; what is not said stays as it is.
pub(super) struct Storey<'c> {
    number: i32,
    name: Option<&'c str>,
    /// Floor and ceiling, metres above the plan's zero.
    heights_m: (Option<f64>, Option<f64>),
}

impl<'c> Storey<'c> {
    pub(super) const fn new(
        number: i32,
        name: Option<&'c str>,
        heights_m: (Option<f64>, Option<f64>),
    ) -> Self {
        Self { number, name, heights_m }
    }

    /// The members that say it, in the plan's unit.
    fn members(&self, sheet: &Plan) -> Result<Vec<(&'static str, Node)>, EditError> {
        let height = |name, metres: Option<f64>| {
            let number = metres.map(|metres| thousandths(metres / sheet.metres_per_unit));
            match number {
                Some(number) if !number.is_finite() => Err(EditError::NotFinite),
                number => Ok(number.map(|number| (name, Node::Leaf(written(number))))),
            }
        };
        let name = self.name.map(|name| ("name", Node::text(name)));
        let (floor_m, ceiling_m) = self.heights_m;
        let heights = [height("floor", floor_m)?, height("ceiling", ceiling_m)?];
        Ok(name.into_iter().chain(heights.into_iter().flatten()).collect())
    }

    fn node(&self, sheet: &Plan) -> Result<Node, EditError> {
        let number = ("level", Node::Leaf(self.number.to_string()));
        Ok(Node::object([number].into_iter().chain(self.members(sheet)?)))
    }

    /// The text with this level behind the others. What named no level, since there was only one,
    /// names that one from now on.
    pub(super) fn added(&self, listing: &Listing<'_>, sheet: &Plan) -> Result<String, EditError> {
        if sheet.level(self.number).is_some() {
            return Err(EditError::LevelTaken(self.number));
        }
        let (text, new) = (listing.text, self.node(sheet)?);
        let top = Fields::quietly(Value::whole(text));
        let items = top.value("levels").map(|list| (list, list.items()));
        let mut splices = match &items {
            Some((list, items)) => {
                let last = *items.last().ok_or(EditError::NotThisPlan)?;
                let layout = Layout::of(text, &Fields::quietly(last));
                let new = layout.ok_or(EditError::NotThisPlan)?.write(&new);
                vec![Splice::new(last.end(), Layout::gap(text, *list, items) + &new)]
            }
            None => {
                let unsaid = sheet.levels.iter().map(|level| {
                    let heights_m = (Some(level.floor_m), Some(level.ceiling_m));
                    Self::new(level.number, None, heights_m).node(sheet)
                });
                let all: Vec<Node> = unsaid.chain([Ok(new)]).collect::<Result<_, _>>()?;
                member(text, &top, Node::List(all))?
            }
        };
        if let [only] = sheet.levels.as_slice() {
            let number = [("level", Node::Leaf(only.number.to_string()))];
            let is_known = |kind: &str| KINDS.iter().any(|row| row.name == kind);
            for feature in listing.features.iter().filter(|feature| is_known(&feature.kind)) {
                let properties = feature.fields.value("properties").map(Fields::quietly);
                if properties.is_some_and(|properties| properties.value("level").is_none()) {
                    splices.extend(set_in(text, feature, &number));
                }
            }
        }
        sound(spliced(text, splices))
    }

    /// The text with this said of the level.
    pub(super) fn set(&self, listing: &Listing<'_>, sheet: &Plan) -> Result<String, EditError> {
        let known = sheet.level(self.number).ok_or(EditError::NoLevel(self.number))?;
        let text = listing.text;
        let top = Fields::quietly(Value::whole(text));
        let Some(list) = top.value("levels") else {
            let (floor_m, ceiling_m) = self.heights_m;
            let known_m = (floor_m.or(Some(known.floor_m)), ceiling_m.or(Some(known.ceiling_m)));
            let all = Node::List(vec![Self { heights_m: known_m, ..*self }.node(sheet)?]);
            return sound(spliced(text, member(text, &top, all)?));
        };
        let mut levels = list.items().into_iter().map(Fields::quietly);
        let number = f64::from(self.number);
        let is_it =
            |level: &Fields<'_>| level.value("level").and_then(|it| it.number()) == Some(number);
        let level = levels.find(is_it).ok_or(EditError::NoLevel(self.number))?;
        sound(spliced(text, set_members(text, &level, &self.members(sheet)?)))
    }
}

/// What sets the member `levels` of a plan that has none.
fn member(text: &str, top: &Fields<'_>, levels: Node) -> Result<Vec<Splice>, EditError> {
    let layout = Layout::of(text, top).ok_or(EditError::NotThisPlan)?;
    let value = layout.write_member(&levels, 0);
    Ok(Layout::set(text, top, "levels", &value).into_iter().collect())
}

/// The text, if its levels have no fault: with one there would be no plan at all.
fn sound(text: String) -> Result<String, EditError> {
    let vocabulary = Vocabulary::default();
    let mut frame = Frame::new(&vocabulary, Diagnostics::new(""));
    let top = Fields::quietly(Value::whole(&text));
    frame.read_units(&top);
    frame.read_levels(&top);
    if frame.faults.any_fault() { Err(refused(frame.faults.finish(&text).0)) } else { Ok(text) }
}
