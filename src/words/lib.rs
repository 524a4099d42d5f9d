//! What documents for customers say: one message file for each language.
//!
//! The words stand in `en.toml` and `es.toml` beside this file and are built into the program. Each
//! message is a method of [`Words`] with a parameter for every place that its text has, so that a
//! message that the program does not know, or is given too few values, does not compile. That every
//! file has exactly these messages with exactly these places is checked by [`Words::load`] and by
//! the tests: a missing message is an error, never a blank.
//!
//! # Numbers, dates and money
//! English: `1,234.50`, `EUR 1,234.50`, `2 October 2026`. Spanish: `1.234,50`, `1.234,50 EUR`,
//! `2 de octubre de 2026`. Groups of three from a thousand on, decimal comma, the currency's code
//! after the amount: common practice in Spain, no source; some countries of America write a decimal
//! point. A space that must not break is U+00A0, the minus sign U+2212.

mod date;
mod messages;
mod numbers;

use std::collections::BTreeMap;

use toml::de::{DeTable, DeValue};

pub use date::{Date, NoDate};
pub use messages::{Key, MESSAGES};

/// A language of the documents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// Spanish.
    Spanish,
}

impl Language {
    /// Every language that ships.
    pub const ALL: [Self; 2] = [Self::English, Self::Spanish];

    /// Its tag, after BCP 47.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::Spanish => "es",
        }
    }

    /// The text of its message file.
    const fn file(self) -> &'static str {
        match self {
            Self::English => include_str!("en.toml"),
            Self::Spanish => include_str!("es.toml"),
        }
    }
}

/// What is wrong with a message file.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum WordingError {
    /// It is not TOML.
    #[error("the messages cannot be read: {0}")]
    Unreadable(String),
    /// A message is not there, or empty.
    #[error("the message \"{0}\" is missing")]
    Missing(String),
    /// A message that nothing asks for.
    #[error("the message \"{0}\" is not known")]
    Superfluous(String),
    /// The places in a message are not those that the program fills.
    #[error("the message \"{key}\" has the places {found:?}, but must have {expected:?}")]
    Places {
        /// The message.
        key: String,
        /// Its places, in alphabetical order.
        found: Vec<String>,
        /// The places that it must have, in alphabetical order.
        expected: Vec<String>,
    },
}

/// A part of a message.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Piece {
    /// Words as they are.
    Text(String),
    /// A place: an index into the values.
    Place(usize),
}

/// All messages of a language.
#[derive(Debug, Clone)]
pub struct Words {
    /// The language.
    pub language: Language,
    /// In the order of [`MESSAGES`].
    texts: Vec<Vec<Piece>>,
}

impl Words {
    /// Reads the messages of a language.
    ///
    /// # Errors
    /// [`WordingError`]: a missing or superfluous message, or one whose places are wrong. Does not
    /// happen with the files that ship: the tests read them all.
    pub fn load(language: Language) -> Result<Self, WordingError> {
        Self::from_text(language, language.file())
    }

    /// Reads messages from the text of a file.
    ///
    /// # Errors
    /// As [`Words::load`].
    pub fn from_text(language: Language, text: &str) -> Result<Self, WordingError> {
        let mut found = flattened(text)?;
        let mut texts = Vec::with_capacity(MESSAGES.len());
        for (key, places) in MESSAGES {
            let text = found.remove(*key).filter(|text| !text.trim().is_empty());
            let text = text.ok_or_else(|| WordingError::Missing((*key).to_owned()))?;
            texts.push(pieces(key, &text, places)?);
        }
        match found.into_keys().next() {
            Some(key) => Err(WordingError::Superfluous(key)),
            None => Ok(Self { language, texts }),
        }
    }

    /// A message with its places filled. A value is put in as it is: what looks like a place in it
    /// is none.
    fn said(&self, key: Key, values: &[&str]) -> String {
        let pieces = self.texts.get(key as usize);
        pieces.map_or_else(String::new, |pieces| {
            let parts = pieces.iter().map(|piece| match piece {
                Piece::Text(text) => text.as_str(),
                Piece::Place(place) => values.get(*place).copied().unwrap_or_default(),
            });
            parts.collect()
        })
    }

    /// The text of a message as the file has it, its places in braces.
    #[must_use]
    pub fn template(&self, key: Key) -> String {
        let names = MESSAGES.get(key as usize).map_or(&[][..], |(_, names)| names);
        let filled: Vec<String> = names.iter().map(|name| format!("{{{name}}}")).collect();
        let values: Vec<&str> = filled.iter().map(String::as_str).collect();
        self.said(key, &values)
    }

    /// The message of a group for a term of plans and schedules, such as `entry-exit` of `zone`;
    /// `None` where there is none.
    #[must_use]
    pub fn term(&self, group: &str, term: &str) -> Option<String> {
        let name = format!("{group}_{}", term.replace('-', "_"));
        let at = MESSAGES.iter().position(|(key, places)| *key == name && places.is_empty())?;
        Key::ALL.get(at).map(|key| self.said(*key, &[]))
    }

    /// Names in a row: all of them up to six, else the first five and how many more.
    #[must_use]
    pub fn names(&self, names: &[&str]) -> String {
        const MOST: usize = 6;
        if names.len() <= MOST {
            return names.join(", ");
        }
        let (first, more) = names.split_at(MOST - 1);
        self.list_more(&first.join(", "), &more.len().to_string())
    }
}

/// The messages of a file by key: the table's name and the entry's, joined by an underscore.
fn flattened(text: &str) -> Result<BTreeMap<String, String>, WordingError> {
    let table = DeTable::parse(text)
        .map_err(|error| WordingError::Unreadable(error.message().to_owned()))?;
    let mut all = BTreeMap::new();
    for (group, entries) in table.get_ref() {
        let DeValue::Table(entries) = entries.get_ref() else {
            return Err(WordingError::Superfluous(group.get_ref().to_string()));
        };
        for (key, value) in entries {
            let key = format!("{}_{}", group.get_ref(), key.get_ref());
            let DeValue::String(text) = value.get_ref() else {
                return Err(WordingError::Unreadable(format!("{key} is no text")));
            };
            all.insert(key, text.to_string());
        }
    }
    Ok(all)
}

/// Takes a message apart.
fn pieces(key: &str, text: &str, places: &[&str]) -> Result<Vec<Piece>, WordingError> {
    let mut all = Vec::new();
    let mut found: Vec<String> = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        let (name, after) = after.split_once('}').unwrap_or((after, ""));
        if !before.is_empty() {
            all.push(Piece::Text(before.to_owned()));
        }
        if let Some(place) = places.iter().position(|known| *known == name) {
            all.push(Piece::Place(place));
        }
        if !found.iter().any(|known| known == name) {
            found.push(name.to_owned());
        }
        rest = after;
    }
    if !rest.is_empty() {
        all.push(Piece::Text(rest.to_owned()));
    }
    let mut expected: Vec<String> = places.iter().map(|&place| place.to_owned()).collect();
    expected.sort();
    found.sort();
    if found == expected {
        Ok(all)
    } else {
        Err(WordingError::Places { key: key.to_owned(), found, expected })
    }
}

#[cfg(test)]
mod tests;
