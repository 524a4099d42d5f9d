//! Terms of the schedule in the words of a language.

use serde::Serialize;
use words::Words;

/// The word of a group for a term of the schedule, by the name under which the term is serialised.
pub(super) fn term(words: &Words, group: &str, of: impl Serialize) -> String {
    let name = serde_json::to_value(of).unwrap_or_default();
    let name = name.as_str().unwrap_or_default();
    words.term(group, name).unwrap_or_else(|| name.to_owned())
}
