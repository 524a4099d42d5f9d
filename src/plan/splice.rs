//! Pieces of a plan's text replaced, all else byte for byte.

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
