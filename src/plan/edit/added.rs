//! A feature given as text, added to a plan.

use super::super::Plan;
use super::super::feature::{Named, named};
use super::super::layout::Node;
use super::super::source::is_sound;
use super::super::splice::{Splice, written};
use super::super::unit::thousandths;
use super::error::EditError;
use super::listing::Listing;
use input::Diagnostics;
use input::json::{Sort, Value};

/// What adds a feature, whose coordinates are in metres.
pub(super) fn splice(
    listing: &Listing<'_>,
    feature: &str,
    sheet: &Plan,
) -> Result<Splice, EditError> {
    if !is_sound(feature, &mut Diagnostics::new("")) {
        return Err(EditError::NotAFeature);
    }
    let whole = Value::whole(feature);
    let Some(given) = named(&[whole]).next().filter(|_| whole.sort() == Sort::Object) else {
        return Err(EditError::NotAFeature);
    };
    Ok(listing.added(&node(&given, listing, sheet)))
}

/// The feature as the plan shall have it: its id one that no other has, its coordinates in the
/// plan's unit, a `bbox` left out.
fn node(given: &Named<'_>, listing: &Listing<'_>, sheet: &Plan) -> Node {
    // Without an id of its own it goes by its kind and its number among all of that kind.
    let count = listing.features.iter().filter(|feature| feature.kind == given.kind).count() + 1;
    let id = if given.has_id { given.id.clone() } else { format!("{}-{count}", given.kind) };
    let free = listing.free_id(&id);
    let needs_id = free != id;
    let id = ("id", Node::text(&free));
    let mut members = Vec::new();
    for member in given.fields.members() {
        match member.key.as_ref() {
            "bbox" => {}
            "id" if given.has_id => members.push(id.clone()),
            "id" => {}
            "geometry" => members.push(("geometry", geometry(member.value, sheet))),
            key => members.push((key, Node::of(member.value))),
        }
    }
    if needs_id && !given.has_id {
        members.push(id);
    }
    Node::object(members)
}

fn geometry(value: Value<'_>, sheet: &Plan) -> Node {
    if value.sort() != Sort::Object {
        return Node::of(value);
    }
    let members = value.members(None, &mut Diagnostics::new(""));
    let kept = members.iter().filter(|member| member.key != "bbox");
    Node::object(kept.map(|member| match member.key.as_ref() {
        "coordinates" => ("coordinates", in_unit(member.value, sheet)),
        key => (key, Node::of(member.value)),
    }))
}

/// Coordinates with every number in the plan's unit; one that stays the same keeps its spelling.
fn in_unit(value: Value<'_>, sheet: &Plan) -> Node {
    match (value.sort(), value.number()) {
        (Sort::List, _) => {
            Node::List(value.items().into_iter().map(|item| in_unit(item, sheet)).collect())
        }
        (_, Some(metres)) => {
            let number = thousandths(metres / sheet.metres_per_unit);
            let raw = if number == metres { value.raw.to_owned() } else { written(number) };
            Node::Leaf(raw)
        }
        _ => Node::of(value),
    }
}
