//! Properties of one feature set or taken out.

use std::collections::{BTreeMap, BTreeSet};

use super::super::feature::Named;
use super::super::fields::Fields;
use super::super::layout::{Layout, Node};
use super::super::source::is_sound;
use super::super::splice::{Splice, cuts};
use super::error::EditError;
use input::Diagnostics;
use input::json::{Sort, Value};

/// What sets properties of a feature to JSON values, and takes out those that have none.
pub(super) fn splices(
    text: &str,
    feature: &Named<'_>,
    properties: &[(String, Option<String>)],
) -> Result<Vec<Splice>, EditError> {
    // Of two of one name the last counts.
    let wishes: BTreeMap<&str, Option<&str>> =
        properties.iter().map(|(name, value)| (name.as_str(), value.as_deref())).collect();
    let mut set = Vec::new();
    let mut named = BTreeSet::new();
    for (name, _) in properties {
        let Some(value) = wishes.get(name.as_str()).copied().flatten() else { continue };
        if !is_sound(value, &mut Diagnostics::new("")) {
            return Err(EditError::NotJson(name.clone()));
        }
        if named.insert(name) {
            set.push((name.as_str(), Node::of(Value::whole(value))));
        }
    }
    let Some(old) = feature.fields.value("properties") else {
        return Ok(set_in(text, feature, &set));
    };
    let holder = Fields::quietly(old);
    let members = holder.members();
    let is_gone = |number: usize| {
        members.get(number).is_some_and(|it| wishes.get(&*it.key).is_some_and(Option::is_none))
    };
    if !set.is_empty() && (0..members.len()).all(is_gone) {
        // Nothing is left behind which a new one could be put.
        let layout = Layout::of(text, &feature.fields);
        let value = layout.map(|layout| layout.write_member(&Node::object(set), 0));
        return Ok(value.map(|value| Splice::value(old, value)).into_iter().collect());
    }
    let mut splices = cuts(members.iter().map(|it| it.key_at..it.value.end()), is_gone);
    splices.extend(set_in(text, feature, &set));
    Ok(splices)
}

/// What sets properties of a feature, which may have none so far.
pub(super) fn set_in(text: &str, feature: &Named<'_>, set: &[(&str, Node)]) -> Vec<Splice> {
    if set.is_empty() {
        return Vec::new();
    }
    let holder = feature.fields.value("properties").filter(|it| it.sort() == Sort::Object);
    let holder = holder.map(Fields::quietly).filter(|holder| !holder.members().is_empty());
    if let Some(holder) = holder {
        return set_members(text, &holder, set);
    }
    let node = Node::object(set.iter().cloned());
    let layout = Layout::of(text, &feature.fields);
    let value = layout.map(|layout| layout.write_member(&node, 0));
    let splice = value.and_then(|it| Layout::set(text, &feature.fields, "properties", &it));
    splice.into_iter().collect()
}

/// What sets members of an object that has some.
pub(super) fn set_members(text: &str, holder: &Fields<'_>, set: &[(&str, Node)]) -> Vec<Splice> {
    let splice = |(name, node): &(&str, Node)| {
        let value = Layout::of(text, holder)?.write_member(node, 0);
        Layout::set(text, holder, name, &value)
    };
    set.iter().filter_map(splice).collect()
}
