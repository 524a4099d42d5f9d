//! JSON values that know where they stand in the text.
//!
//! Parsing is `serde_json`'s: a [`RawValue`] borrows its piece of the text, so its offset is the
//! distance between the two pointers.

use std::borrow::Cow;
use std::fmt;

use serde::de::{Deserialize, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::value::RawValue;

use super::diagnostic::Diagnostics;
use super::names::{mend_name, one_of, quoted};

/// Most members of one object; the names of a plan's constructions are the longest case.
pub(super) const MAX_MEMBERS: usize = 2_000;

/// A value: its text, well-formed and without space around it, and its byte offset.
#[derive(Debug, Clone, Copy)]
pub(super) struct Value<'t> {
    pub(super) at: usize,
    pub(super) raw: &'t str,
}

/// A member of an object.
#[derive(Debug, Clone)]
pub(super) struct Member<'t> {
    pub(super) key: Cow<'t, str>,
    pub(super) key_at: usize,
    pub(super) value: Value<'t>,
}

/// What sort of value a [`Value`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sort {
    Text,
    Number,
    Boolean,
    Null,
    List,
    Object,
}

impl Sort {
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Number => "a number",
            Self::Boolean => "true or false",
            Self::Null => "null",
            Self::List => "a list",
            Self::Object => "an object",
        }
    }
}

impl<'t> Value<'t> {
    /// The value that a well-formed text holds.
    pub(super) fn whole(text: &'t str) -> Self {
        let start = text.len() - text.trim_start().len();
        Self { at: start, raw: text.trim() }
    }

    /// A piece of this value's text, as a value.
    fn piece(&self, raw: &'t RawValue) -> Self {
        let raw = raw.get();
        Self { at: self.at + (raw.as_ptr().addr() - self.raw.as_ptr().addr()), raw }
    }

    /// Where the value's text ends.
    pub(super) fn end(&self) -> usize {
        self.at + self.raw.len()
    }

    /// What sort of value it is: the first byte says it.
    pub(super) fn sort(&self) -> Sort {
        match self.raw.as_bytes().first() {
            Some(b'"') => Sort::Text,
            Some(b'{') => Sort::Object,
            Some(b'[') => Sort::List,
            Some(b't' | b'f') => Sort::Boolean,
            Some(b'n') | None => Sort::Null,
            Some(_) => Sort::Number,
        }
    }

    /// What stands here, for a message: the sort, and the value itself where it is short.
    pub(super) fn described(&self) -> String {
        match self.sort() {
            Sort::Text => match self.text() {
                Some(text) => format!("text, {}", quoted(&text)),
                None => "text with a broken escape".to_owned(),
            },
            Sort::Number | Sort::Boolean => super::names::shown(self.raw),
            sort => sort.name().to_owned(),
        }
    }

    /// The text, if it is text and its escapes make sense.
    pub(super) fn text(&self) -> Option<Cow<'t, str>> {
        if self.sort() != Sort::Text {
            return None;
        }
        let inner = self.raw.get(1..self.raw.len().saturating_sub(1))?;
        if inner.contains('\\') {
            serde_json::from_str(self.raw).ok().map(Cow::Owned)
        } else {
            Some(Cow::Borrowed(inner))
        }
    }

    /// The number, if it is one and finite.
    pub(super) fn number(&self) -> Option<f64> {
        if self.sort() != Sort::Number {
            return None;
        }
        self.raw.parse().ok().filter(|number: &f64| number.is_finite())
    }

    /// `true` or `false`, if it is one.
    pub(super) fn boolean(&self) -> Option<bool> {
        match self.raw {
            "true" => Some(true),
            "false" => Some(false),
            _ => None,
        }
    }

    /// The items of a list; nothing for anything else.
    pub(super) fn items(&self) -> Vec<Value<'t>> {
        if self.sort() != Sort::List {
            return Vec::new();
        }
        serde_json::from_str::<Items<'t, { usize::MAX }>>(self.raw)
            .map(|items| items.0.into_iter().map(|raw| self.piece(raw)).collect())
            .unwrap_or_default()
    }

    /// The members of an object; nothing for anything else. A name that comes twice is a fault,
    /// because programs differ in which of the two they take.
    pub(super) fn members(
        &self,
        feature: Option<&str>,
        faults: &mut Diagnostics,
    ) -> Vec<Member<'t>> {
        if self.sort() != Sort::Object {
            return Vec::new();
        }
        let Ok(raw) = serde_json::from_str::<Pairs<'t>>(self.raw) else {
            return Vec::new();
        };
        if raw.more {
            faults.fault(self.at, feature, || {
                (
                    format!("the object has more than {MAX_MEMBERS} members"),
                    "leave out what the plan does not need".to_owned(),
                )
            });
        }
        let mut members = Vec::with_capacity(raw.pairs.len());
        for (key, value) in raw.pairs {
            let key = self.piece(key);
            match key.text() {
                Some(name) => {
                    members.push(Member { key: name, key_at: key.at, value: self.piece(value) });
                }
                None => faults.fault(key.at, feature, || {
                    ("a name has a broken escape".to_owned(), "write it without one".to_owned())
                }),
            }
        }
        note_repeated(&members, feature, faults);
        members
    }
}

fn note_repeated(members: &[Member<'_>], feature: Option<&str>, faults: &mut Diagnostics) {
    let mut by_key: Vec<&Member<'_>> = members.iter().collect();
    by_key.sort_by(|a, b| (&a.key, a.key_at).cmp(&(&b.key, b.key_at)));
    for pair in by_key.windows(2) {
        if let [first, second] = pair
            && first.key == second.key
        {
            faults.fault_with_other(second.key_at, first.key_at, feature, || {
                (
                    format!("{} stands twice in one object", quoted(&second.key)),
                    "keep one of them".to_owned(),
                )
            });
        }
    }
}

/// Notes every member whose name is not allowed here.
pub(super) fn warn_unknown(
    members: &[Member<'_>],
    thing: &str,
    allowed: &[&'static str],
    feature: Option<&str>,
    faults: &mut Diagnostics,
) {
    for member in members {
        if !allowed.contains(&member.key.as_ref()) {
            faults.warning(member.key_at, feature, || {
                (
                    format!("{thing} {} is not known and not used", quoted(&member.key)),
                    mend_name(
                        &member.key,
                        allowed.iter().copied(),
                        &format!("known here: {}", one_of(allowed.iter().copied())),
                    ),
                )
            });
        }
    }
}

/// The items of a list: all of them up to `MOST`, and one more where there are more.
#[derive(Debug)]
pub struct Items<'t, const MOST: usize>(pub Vec<&'t RawValue>);

impl<'de, const MOST: usize> Deserialize<'de> for Items<'de, MOST> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct ItemsVisitor<const MOST: usize>;
        impl<'de, const MOST: usize> Visitor<'de> for ItemsVisitor<MOST> {
            type Value = Items<'de, MOST>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a list")
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
                let mut items = Vec::new();
                while items.len() <= MOST {
                    match list.next_element()? {
                        Some(item) => items.push(item),
                        None => return Ok(Items(items)),
                    }
                }
                while list.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Items(items))
            }
        }
        deserializer.deserialize_seq(ItemsVisitor)
    }
}

struct Pairs<'t> {
    pairs: Vec<(&'t RawValue, &'t RawValue)>,
    more: bool,
}

impl<'de> Deserialize<'de> for Pairs<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct PairsVisitor;
        impl<'de> Visitor<'de> for PairsVisitor {
            type Value = Pairs<'de>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Pairs<'de>, A::Error> {
                let (mut pairs, mut more) = (Vec::new(), false);
                while let Some(pair) = map.next_entry()? {
                    if pairs.len() < MAX_MEMBERS {
                        pairs.push(pair);
                    } else {
                        more = true;
                    }
                }
                Ok(Pairs { pairs, more })
            }
        }
        deserializer.deserialize_map(PairsVisitor)
    }
}
