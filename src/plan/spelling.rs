//! Positions as a text spells them, and the list of them changed: what stays keeps its spelling.

use geo::Coord;

use super::shape::MAX_ORDINATES;
use super::splice::{Splice, piece, written};
use input::json::{Sort, Value};

/// A position of the text, in the plan's own unit.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spelt<'t> {
    pub(super) whole: Value<'t>,
    pub(super) x: Value<'t>,
    pub(super) y: Value<'t>,
    pub(super) said: Coord<f64>,
}

/// A position with two to four values, of which the first two are finite numbers.
pub(super) fn spelt(whole: Value<'_>) -> Option<Spelt<'_>> {
    if whole.sort() != Sort::List {
        return None;
    }
    let items = whole.items();
    let (&x, &y) = (items.first()?, items.get(1)?);
    // Adding zero: both zeros are one place.
    let said = Coord { x: x.number()? + 0.0, y: y.number()? + 0.0 };
    (items.len() <= MAX_ORDINATES).then_some(Spelt { whole, x, y, said })
}

/// All positions of a list; nothing if there are fewer than two or one is not as it should be.
pub(super) fn all_spelt(list: Value<'_>) -> Option<Vec<Spelt<'_>>> {
    let all: Vec<Spelt<'_>> = list.items().into_iter().map(spelt).collect::<Option<_>>()?;
    (all.len() >= 2).then_some(all)
}

/// Where a position shall be, in the plan's unit, and the one of the text that it was, if any.
pub(super) type Now<'t> = (Coord<f64>, Option<Spelt<'t>>);

/// A list of two or more positions changed to others, and every `bbox` around it with it.
pub(super) fn changed(
    text: &str,
    list: Value<'_>,
    before: &[Spelt<'_>],
    now: &[Now<'_>],
    boxes: &[Value<'_>],
) -> Vec<Splice> {
    let mut splices = Vec::new();
    if has_the_same(before, now) {
        for (place, spelt) in now {
            let Some(spelt) = spelt else { continue };
            splices.extend(Splice::number(spelt.x, place.x));
            splices.extend(Splice::number(spelt.y, place.y));
        }
    } else {
        splices.push(Splice::value(list, written_list(text, list, before, now)));
    }
    if !splices.is_empty() {
        splices.extend(around(now, boxes));
    }
    splices
}

/// Whether a line has all its positions, and no others.
fn has_the_same(before: &[Spelt<'_>], now: &[Now<'_>]) -> bool {
    let is_same = |((_, now), before): (&Now<'_>, &Spelt<'_>)| {
        now.is_some_and(|spelt| spelt.whole.at == before.whole.at)
    };
    now.len() == before.len() && now.iter().zip(before).all(is_same)
}

fn written_list(text: &str, list: Value<'_>, before: &[Spelt<'_>], now: &[Now<'_>]) -> String {
    let [first, second, ..] = before else { return list.raw.to_owned() };
    let last = before.last().unwrap_or(second);
    let gap = piece(text, first.whole.end(), second.whole.at);
    let mut out = piece(text, list.at, first.whole.at).to_owned();
    for (index, position) in now.iter().enumerate() {
        if index > 0 {
            out.push_str(gap);
        }
        out.push_str(&written_position(text, first, position));
    }
    out.push_str(piece(text, last.whole.end(), list.end()));
    out
}

/// A position as it was spelt, but for numbers that changed; a new one is laid out as the first.
fn written_position(text: &str, like: &Spelt<'_>, (place, spelt): &Now<'_>) -> String {
    if let Some(spelt) = spelt {
        let ordinate = |value: Value<'_>, now: f64| {
            Splice::number(value, now).map_or_else(|| value.raw.to_owned(), |splice| splice.with)
        };
        return [
            piece(text, spelt.whole.at, spelt.x.at),
            &ordinate(spelt.x, place.x),
            piece(text, spelt.x.end(), spelt.y.at),
            &ordinate(spelt.y, place.y),
            piece(text, spelt.y.end(), spelt.whole.end()),
        ]
        .concat();
    }
    // Without what the first has beside x and y.
    let tail = piece(text, like.y.end(), like.whole.end());
    let tail = if tail.contains(',') { "]" } else { tail };
    [
        piece(text, like.whole.at, like.x.at),
        &written(place.x),
        piece(text, like.x.end(), like.y.at),
        &written(place.y),
        tail,
    ]
    .concat()
}

/// Brings every `bbox` in line with the positions within.
pub(super) fn around(now: &[Now<'_>], boxes: &[Value<'_>]) -> Vec<Splice> {
    let ends = |ordinate: fn(&Now<'_>) -> f64| {
        let all = now.iter().map(ordinate);
        let low = all.clone().fold(f64::INFINITY, f64::min);
        (low, all.fold(f64::NEG_INFINITY, f64::max))
    };
    let (west, east) = ends(|(place, _)| place.x);
    let (south, north) = ends(|(place, _)| place.y);
    boxes.iter().flat_map(|value| Splice::sides(*value, [west, south, east, north])).collect()
}
