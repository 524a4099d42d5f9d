//! The features of a plan's text: one of them found by its id, one added, one taken out.

use std::collections::BTreeSet;

use super::super::feature::{Named, id_written, named, number_of, renamed};
use super::super::fields::Fields;
use super::super::layout::{Layout, Node};
use super::super::splice::{Splice, cuts};
use super::error::EditError;
use input::Diagnostics;
use input::json::{Member, Sort, Value};

/// The member `features` of a well-formed text.
pub(super) struct Listing<'t> {
    pub(super) text: &'t str,
    list: Member<'t>,
    pub(super) features: Vec<Named<'t>>,
}

impl<'t> Listing<'t> {
    pub(super) fn of(text: &'t str) -> Result<Self, EditError> {
        let top = Value::whole(text).members(None, &mut Diagnostics::new(""));
        let is_list = |it: &Member<'_>| it.key == "features" && it.value.sort() == Sort::List;
        let list = top.into_iter().find(is_list).ok_or(EditError::NotThisPlan)?;
        Ok(Self { text, features: named(&list.value.items()).collect(), list })
    }

    /// The first feature of an id, which can be changed: it has members.
    pub(super) fn find_full(&self, id: &str) -> Result<&Named<'t>, EditError> {
        let feature = self.find(id)?;
        let is_empty = feature.fields.members().is_empty();
        if is_empty { Err(EditError::Empty(id.to_owned())) } else { Ok(feature) }
    }

    /// The first feature of an id.
    pub(super) fn find(&self, id: &str) -> Result<&Named<'t>, EditError> {
        let found = self.features.iter().find(|feature| feature.id == id && !id.is_empty());
        let found = found.or_else(|| self.features.get(number_of(id)?));
        found.ok_or_else(|| EditError::NoFeature(id.to_owned()))
    }

    /// An id with `-2`, `-3`, … behind it if a feature has it already or may go by it.
    pub(super) fn free_id(&self, id: &str) -> String {
        let ids: BTreeSet<&str> = self.features.iter().map(|feature| &*feature.id).collect();
        let numbered = (2_usize..).map(|number| format!("{id}-{number}"));
        let mut wishes = std::iter::once(id.to_owned()).chain(numbered);
        let is_free = |id: &String| !ids.contains(&**id) && number_of(id).is_none();
        wishes.find(is_free).unwrap_or_default()
    }

    /// A new feature behind the last one, laid out like it.
    pub(super) fn added(&self, feature: &Node) -> Splice {
        let text = self.text;
        let items: Vec<Value<'_>> = self.features.iter().map(|it| it.fields.whole).collect();
        let layout = items
            .last()
            .and_then(|&last| Layout::of(text, &Fields::quietly(last)))
            .unwrap_or_else(|| Layout::one_line(text, &self.list));
        let at = items.last().map_or(self.list.value.at + 1, |last| last.end());
        let gap = Layout::gap(text, self.list.value, &items);
        Splice::new(at, format!("{gap}{}", layout.write(feature)))
    }

    /// What takes a feature out. Those behind it that have no id of their own, and would go by
    /// another one now, get the one that they went by.
    pub(super) fn removed(&self, feature: &Named<'_>) -> Vec<Splice> {
        let features = &self.features;
        let at = feature.fields.at;
        let is_gone = |number: usize| features.get(number).is_some_and(|it| it.fields.at == at);
        let ids = renamed(features, is_gone);
        let mut splices: Vec<Splice> =
            ids.into_iter().filter_map(|feature| id_written(self.text, feature)).collect();
        let places = features.iter().map(|it| it.fields.at..it.fields.whole.end());
        splices.extend(cuts(places, is_gone));
        splices
    }

    /// What writes down the ids that features went by before a change of one of them, where they
    /// have none of their own and would go by others now.
    pub(super) fn ids_kept(mut self, before: &[String]) -> Vec<Splice> {
        let features = self.features.iter_mut().zip(before);
        let other = features.filter(|(feature, before)| {
            !feature.has_id && !before.is_empty() && feature.id != **before
        });
        let kept = other.filter_map(|(feature, before)| {
            feature.id.clone_from(before);
            id_written(self.text, feature)
        });
        kept.collect()
    }
}
