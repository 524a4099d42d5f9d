//! Names in messages: the nearest known one to a misspelt one, and lists of them.

use strsim::damerau_levenshtein;

use crate::shown::{quoted, shown};

/// A name longer than this, in bytes, is not compared: no known name comes near it.
const LONGEST_COMPARED: usize = 64;

/// How many names a message lists at most: all kinds of features, at least.
const MOST_LISTED: usize = 14;

/// The known name nearest to a misspelt one, if any comes near.
///
/// Case, spaces and underscores do not count. Beyond that, one edit in three characters (at most
/// three) by the Damerau–Levenshtein distance; failing that, a known name that begins or ends with
/// the given one. Of equals the first in the list wins.
pub fn nearest<'n>(name: &str, known: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    if name.is_empty() || name.len() > LONGEST_COMPARED {
        return None;
    }
    let plain = plain(name);
    let length = plain.chars().count();
    let reach = length.div_ceil(3).min(3);
    let known = known.into_iter().filter(|candidate| candidate.len() <= LONGEST_COMPARED);
    let known: Vec<(&str, String)> = known.map(|name| (name, self::plain(name))).collect();
    let distances = known.iter().map(|(name, other)| (damerau_levenshtein(&plain, other), *name));
    let near = distances.filter(|&(distance, _)| distance <= reach && distance < length);
    let by_distance = near.min_by_key(|&(distance, _)| distance).map(|(_, name)| name);
    let longer = known
        .iter()
        .filter(|(_, other)| length >= 3 && (other.starts_with(&plain) || other.ends_with(&plain)));
    by_distance.or_else(|| longer.map(|(name, _)| *name).min_by_key(|name| name.len()))
}

/// The question whether the nearest known name is meant, if any comes near.
pub fn did_you_mean<'n>(name: &str, known: impl IntoIterator<Item = &'n str>) -> Option<String> {
    nearest(name, known).map(|near| format!("did you mean {}?", quoted(near)))
}

/// How to fix a misspelt name: the nearest known one, and what there is to choose from.
pub fn fix_name<'n>(
    name: &str,
    known: impl IntoIterator<Item = &'n str>,
    otherwise: &str,
) -> String {
    match did_you_mean(name, known) {
        Some(question) => format!("{question} {otherwise}").trim_end().to_owned(),
        None => otherwise.to_owned(),
    }
}

/// Names joined by commas, the last by `or`; a long list is cut.
pub fn one_of<'n>(names: impl IntoIterator<Item = &'n str>) -> String {
    let mut names: Vec<String> = names.into_iter().map(shown).collect();
    if names.len() > MOST_LISTED {
        let more = names.len() - MOST_LISTED;
        names.truncate(MOST_LISTED);
        return format!("{} … and {more} more", names.join(", "));
    }
    match names.pop() {
        None => "none".to_owned(),
        Some(last) if names.is_empty() => last,
        Some(last) => format!("{} or {last}", names.join(", ")),
    }
}

/// A word with its article.
pub fn with_article(word: &str) -> String {
    if word == "stairs" {
        return "a flight of stairs".to_owned();
    }
    format!("{} {word}", if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" })
}

fn plain(name: &str) -> String {
    name.to_lowercase().replace(['_', ' '], "-")
}
