//! Pieces of a plan's text replaced, all else byte for byte.

use std::ops::Range;

use super::unit::thousandths;
use input::json::Value;

pub(super) struct Splice {
    pub(super) from: usize,
    pub(super) until: usize,
    pub(super) with: String,
}

impl Splice {
    pub(super) fn value(value: Value<'_>, with: String) -> Self {
        Self { from: value.at, until: value.end(), with }
    }

    pub(super) fn new(at: usize, with: String) -> Self {
        Self { from: at, until: at, with }
    }

    /// A value replaced by a number, unless it is the same number already.
    pub(super) fn number(value: Value<'_>, number: f64) -> Option<Self> {
        (value.number() != Some(number)).then(|| Self::value(value, written(number)))
    }

    /// A value replaced by a number that was rounded to thousandths, unless it is the same to a
    /// thousandth.
    pub(super) fn rounded(value: Value<'_>, number: f64) -> Option<Self> {
        let same = value.number().map(thousandths) == Some(number);
        (!same).then(|| Self::value(value, written(number)))
    }

    /// The `bbox` of a feature or geometry brought in line: its west, south, east and north side.
    pub(super) fn sides(
        value: Value<'_>,
        [west, south, east, north]: [f64; 4],
    ) -> impl Iterator<Item = Self> {
        let splices = match *value.items().as_slice() {
            [w, s, e, n] | [w, s, _, e, n, _] => [
                Self::number(w, west),
                Self::number(s, south),
                Self::number(e, east),
                Self::number(n, north),
            ],
            _ => [const { None }; 4],
        };
        splices.into_iter().flatten()
    }
}

/// What takes entries out of a list or an object, each with its comma and its line. `entries` are
/// the places of all of them in order, and `is_gone` says of each number whether it goes.
pub(super) fn cuts(
    entries: impl IntoIterator<Item = Range<usize>>,
    is_gone: impl Fn(usize) -> bool,
) -> Vec<Splice> {
    let cut = |from, until| Splice { from, until, with: String::new() };
    let mut splices = Vec::new();
    let mut before: Option<Range<usize>> = None;
    // Where a run of entries that go begins with the first of all.
    let mut leading: Option<usize> = None;
    let mut kept_any = false;
    for (number, entry) in entries.into_iter().enumerate() {
        match (is_gone(number), &before) {
            (true, Some(before)) if kept_any => splices.push(cut(before.end, entry.end)),
            (true, _) => {
                leading.get_or_insert(entry.start);
            }
            (false, _) => {
                splices.extend(leading.take().map(|from| cut(from, entry.start)));
                kept_any = true;
            }
        }
        before = Some(entry);
    }
    if let (Some(from), Some(last)) = (leading, before) {
        splices.push(cut(from, last.end));
    }
    splices
}

/// A number that was rounded to thousandths, as text with at least one decimal.
pub(super) fn written(number: f64) -> String {
    format!("{number:?}")
}

/// A piece of the text; nothing where the places make no sense.
pub(super) fn piece(text: &str, from: usize, until: usize) -> &str {
    text.get(from..until).unwrap_or_default()
}

/// The text with pieces replaced, which do not overlap; at one place the first comes first.
pub(super) fn spliced(text: &str, mut splices: Vec<Splice>) -> String {
    splices.sort_by_key(|splice| (splice.from, splice.until));
    let mut out = String::with_capacity(text.len() + 256);
    let mut done = 0;
    for splice in splices {
        out.push_str(piece(text, done, splice.from));
        out.push_str(&splice.with);
        done = splice.until;
    }
    out.push_str(piece(text, done, text.len()));
    out
}
