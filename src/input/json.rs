//! JSON values that know where they stand in the text.
//!
//! Whether a text is JSON at all, [`well_formed`] says; a [`Value`] of one that is not has no
//! parts. Parsing is `serde_json`'s: a [`RawValue`] borrows its piece of the text, so its offset is
//! the distance between the two pointers.

use std::borrow::Cow;
use std::fmt;

use serde::de::{Deserialize, Deserializer, IgnoredAny, MapAccess, Visitor};
use serde_json::value::RawValue;

use crate::diagnostic::Diagnostics;
use crate::names::{fix_name, one_of};
use crate::shown::{one_line, quoted, shown};

/// Most members of one object; the names of a plan's constructions are the longest case.
pub const MAX_MEMBERS: usize = 2_000;

/// A value: its text, well-formed and without space around it, and its byte offset.
#[derive(Debug, Clone, Copy)]
pub struct Value<'t> {
    /// Byte of the whole text at which it begins.
    pub at: usize,
    /// Its text.
    pub raw: &'t str,
}

/// A member of an object.
#[derive(Debug, Clone)]
pub struct Member<'t> {
    /// Its name.
    pub key: Cow<'t, str>,
    /// Byte of the whole text at which the name begins.
    pub key_at: usize,
    /// Its value.
    pub value: Value<'t>,
}

/// What sort of value a [`Value`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    /// `"…"`.
    Text,
    /// Digits.
    Number,
    /// `true` or `false`.
    Boolean,
    /// `null`.
    Null,
    /// `[…]`.
    List,
    /// `{…}`.
    Object,
}

impl Sort {
    /// The sort as a message names it.
    #[must_use]
    pub fn name(self) -> &'static str {
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
    pub fn whole(text: &'t str) -> Self {
        let start = text.len() - text.trim_start().len();
        Self { at: start, raw: text.trim() }
    }

    fn piece(&self, raw: &'t RawValue) -> Self {
        let raw = raw.get();
        Self { at: self.at + offset(self.raw, raw), raw }
    }

    /// Where the value's text ends.
    pub fn end(&self) -> usize {
        self.at + self.raw.len()
    }

    /// What sort of value it is: the first byte says it.
    pub fn sort(&self) -> Sort {
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
    pub fn described(&self) -> String {
        match self.sort() {
            Sort::Text => match self.text() {
                Some(text) => format!("text, {}", quoted(&text)),
                None => "text with a broken escape".to_owned(),
            },
            Sort::Number | Sort::Boolean => shown(self.raw),
            sort => sort.name().to_owned(),
        }
    }

    /// The text, if it is text and its escapes make sense.
    pub fn text(&self) -> Option<Cow<'t, str>> {
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
    pub fn number(&self) -> Option<f64> {
        if self.sort() != Sort::Number {
            return None;
        }
        self.raw.parse().ok().filter(|number: &f64| number.is_finite())
    }

    /// `true` or `false`, if it is one.
    pub fn boolean(&self) -> Option<bool> {
        match self.raw {
            "true" => Some(true),
            "false" => Some(false),
            _ => None,
        }
    }

    /// The items of a list; nothing for anything else.
    #[must_use]
    pub fn items(&self) -> Vec<Value<'t>> {
        let items: Vec<&RawValue> = serde_json::from_str(self.raw).unwrap_or_default();
        items.into_iter().map(|raw| self.piece(raw)).collect()
    }

    /// The items of a list, up to `MOST` and one more where there are more.
    #[must_use]
    pub fn first_items<const MOST: usize>(&self) -> Vec<Value<'t>> {
        let mut items = self.items();
        items.truncate(MOST.saturating_add(1));
        items
    }

    /// The members of an object, their names as [`one_line`] reads them; nothing for anything else.
    /// A name that comes twice is a fault,
    /// because programs differ in which of the two they take.
    pub fn members(&self, feature: Option<&str>, faults: &mut Diagnostics) -> Vec<Member<'t>> {
        if self.sort() != Sort::Object {
            return Vec::new();
        }
        let Ok(raw) = serde_json::from_str::<Pairs<'t>>(self.raw) else {
            return Vec::new();
        };
        if raw.more {
            let what = format!("the object has more than {MAX_MEMBERS} members");
            faults.fault(self.at, feature, || (what, "leave out what is not needed"));
        }
        let mut members = Vec::with_capacity(raw.pairs.len());
        for (key, value) in raw.pairs {
            let key = self.piece(key);
            match key.text() {
                Some(name) => {
                    let line = match one_line(&name) {
                        Cow::Owned(line) => Some(line),
                        Cow::Borrowed(_) => None,
                    };
                    let name = line.map_or(name, Cow::Owned);
                    members.push(Member { key: name, key_at: key.at, value: self.piece(value) });
                }
                None => faults.fault(key.at, feature, || {
                    ("a name has a broken escape", "write it without the backslash")
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
    for pair in by_key.windows(2).filter(|pair| pair[0].key == pair[1].key) {
        faults.fault_with_other(pair[1].key_at, pair[0].key_at, feature, || {
            (format!("{} is given twice in one object", quoted(&pair[1].key)), "keep one of them")
        });
    }
}

/// Notes every member whose name is not allowed here.
pub fn warn_unknown(
    members: &[Member<'_>],
    thing: &str,
    allowed: &[&'static str],
    feature: Option<&str>,
    faults: &mut Diagnostics,
) {
    for member in members.iter().filter(|member| !allowed.contains(&member.key.as_ref())) {
        faults.warning(member.key_at, feature, || {
            let what = format!("{thing} {} is not known, so it is not used", quoted(&member.key));
            let listed = format!("known: {}", one_of(allowed.iter().copied()));
            (what, fix_name(&member.key, allowed.iter().copied(), &listed))
        });
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

/// The bytes of JSON text that stand in no string, with their places; of strings the first `"`.
pub fn outside_strings(text: &str) -> impl Iterator<Item = (usize, u8)> + '_ {
    let (mut in_string, mut escaped) = (false, false);
    text.bytes().enumerate().filter(move |(_, byte)| {
        if !in_string {
            in_string = *byte == b'"';
            return true;
        }
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'"' => in_string = false,
            _ => {}
        }
        false
    })
}

/// Whether a text is JSON; if not, that is noted, with a hint where it is a known slip.
pub fn well_formed(text: &str, faults: &mut Diagnostics) -> bool {
    let error = serde_json::from_str::<IgnoredAny>(text).err();
    if let Some(error) = &error {
        let at = offset_of(text, error.line(), error.column());
        syntax_fault(text, at, error, faults);
    }
    error.is_none()
}

/// At which byte of a text a part of it begins.
pub fn offset(text: &str, part: &str) -> usize {
    part.as_ptr().addr().saturating_sub(text.as_ptr().addr())
}

/// What the library says of ill-formed text, without the place.
pub fn reason(error: &serde_json::Error) -> String {
    error.to_string().split(" at line ").next().unwrap_or_default().to_owned()
}

/// Byte offset of a line and a column in bytes, both from 1.
pub fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let before = text.split_inclusive('\n').take(line.saturating_sub(1));
    let start: usize = before.map(str::len).sum();
    text.floor_char_boundary(start + column.saturating_sub(1))
}

/// Notes a syntax error, with a hint where the token is a known slip.
fn syntax_fault(text: &str, at: usize, error: &serde_json::Error, faults: &mut Diagnostics) {
    let (before, rest) = text.split_at(at);
    // The word that the byte lies in: parsers differ in where in it they stop.
    let word_start = before.trim_end_matches(is_part_of_word).len();
    let word_end = text.len() - rest.trim_start_matches(is_part_of_word).len();
    let word = text.get(word_start..word_end).unwrap_or_default();
    let bare = word.trim_start_matches(['+', '-']).to_ascii_lowercase();
    let trimmed = before.trim_end();
    let reason = reason(error);
    let (place, what, fix) = if error.is_eof() {
        let what = "not JSON: the file ends too early".to_owned();
        (
            text.trim_end().len(),
            what,
            "it may be cut off: look for an open bracket or quotation mark",
        )
    } else if ["nan", "inf", "infinity"].contains(&bare.as_str()) {
        let what = format!("not JSON: {} is not a number that JSON knows", quoted(word));
        (word_start, what, "give a number such as 1.5")
    } else if rest.starts_with('/') || rest.starts_with('#') {
        (at, "not JSON: a comment".to_owned(), "JSON has no comments; remove it")
    } else if rest.starts_with([']', '}']) && trimmed.ends_with(',') {
        let what = "not JSON: a comma before a closing bracket".to_owned();
        (trimmed.len() - 1, what, "remove the comma")
    } else if rest.starts_with('\'') {
        (at, "not JSON: a single quotation mark".to_owned(), "text needs double ones: \"…\"")
    } else if reason.starts_with("trailing characters") {
        (at, "not JSON: more text after the end".to_owned(), "keep one object in the file")
    } else {
        let found: String = rest.chars().take(1).collect();
        let what = format!("not JSON: {reason}, found `{}`", shown(&found));
        (at, what, "look for a missing comma, colon or quotation mark just before this place")
    };
    faults.fault(place, None, || (what, fix));
}

fn is_part_of_word(character: char) -> bool {
    character.is_ascii_alphanumeric() || matches!(character, '+' | '-' | '.' | '_')
}
