//! Properties of one feature set or taken out.

use super::super::feature::Named;
use super::super::fields::Fields;
use super::super::layout::{Layout, Node};
use super::super::source::is_sound;
use super::super::splice::{Splice, cuts, spliced};
use super::error::EditError;
use super::listing::Listing;
use input::Diagnostics;
use input::json::{Sort, Value};

/// The text with properties of a feature set to JSON values, or taken out where there is none.
pub(super) fn put_into(
    text: &str,
    id: &str,
    properties: &[(String, Option<String>)],
) -> Result<String, EditError> {
    let mut set = Vec::new();
    for (number, (name, value)) in properties.iter().enumerate() {
        let again = properties.get(number + 1..).unwrap_or_default();
        let Some(value) = value.as_deref().filter(|_| again.iter().all(|(it, _)| it != name))
        else {
            continue;
        };
        if !is_sound(value, &mut Diagnostics::new("")) {
            return Err(EditError::NotJson(name.clone()));
        }
        set.push((name.as_str(), Node::of(Value::whole(value))));
    }
    let feature = Listing::of(text)?.find_full(id)?;
    let text = spliced(text, set_in(text, &feature, &set));
    let last = |name: &str| properties.iter().rev().find(|(it, _)| it == name);
    let is_gone = |name: &str| last(name).is_some_and(|(_, value)| value.is_none());
    let listing = Listing::of(&text)?;
    let feature = listing.find_at(feature.fields.at)?;
    let Some(holder) = feature.fields.value("properties").map(Fields::quietly) else {
        return Ok(text);
    };
    let members = holder.members();
    let places = members.iter().map(|member| member.key_at..member.value.end());
    let splices =
        cuts(places, |number| members.get(number).is_some_and(|member| is_gone(&member.key)));
    Ok(spliced(&text, splices))
}

/// What sets properties of a feature, which may have none so far.
pub(super) fn set_in(text: &str, feature: &Named<'_>, set: &[(&str, Node)]) -> Vec<Splice> {
    if set.is_empty() {
        return Vec::new();
    }
    let holder = feature.fields.value("properties").filter(|it| it.sort() == Sort::Object);
    let holder = holder.map(Fields::quietly).filter(|holder| !holder.members().is_empty());
    let written = |within: &Fields<'_>, node: &Node, levels| {
        Layout::of(text, within).map(|layout| layout.write_member(node, levels))
    };
    if let Some(holder) = holder {
        let splice = |(name, node): &(&str, Node)| {
            let value = written(&holder, node, 0)?;
            Layout::set(text, &holder, name, &value)
        };
        return set.iter().filter_map(splice).collect();
    }
    let node = Node::object(set.iter().cloned());
    let value = written(&feature.fields, &node, 0);
    let splice = value.and_then(|it| Layout::set(text, &feature.fields, "properties", &it));
    splice.into_iter().collect()
}
