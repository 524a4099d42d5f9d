//! The tidied drawing put back into the text: only what was changed is written anew.

use std::collections::BTreeSet;

use super::super::fields::Fields;
use super::super::layout::Layout;
use super::super::splice::{Splice, piece, spliced, written};
use super::drawing::{Drawing, Drawn, Point};
use super::log::{FixKind, Log};
use input::json::Value;

/// The text with all changes of the drawing. Walls that would get another id, since one before them
/// is taken out, get theirs written down.
pub(super) fn put_into(text: &str, drawing: &Drawing<'_>, log: &mut Log) -> String {
    let mut splices = Vec::new();
    for line in drawing.walls.iter().chain(&drawing.openings) {
        if !line.gone {
            lines(text, line, &mut splices);
        }
    }
    let gone = drawing.walls.iter().filter(|wall| wall.gone).map(|wall| wall.feature).collect();
    ids(text, drawing, &gone, &mut splices, log);
    removals(drawing, &gone, &mut splices);
    spliced(text, splices)
}

/// Whether a line has all its positions, and no others.
fn has_the_same(line: &Drawn<'_>) -> bool {
    line.points.len() == line.before.len()
        && line
            .points
            .iter()
            .zip(&line.before)
            .all(|(now, before)| now.spelt.is_some_and(|spelt| spelt.whole.at == before.whole.at))
}

fn lines(text: &str, line: &Drawn<'_>, splices: &mut Vec<Splice>) {
    let before = splices.len();
    if has_the_same(line) {
        for point in &line.points {
            if let Some(spelt) = point.spelt {
                splices.extend(Splice::number(spelt.x, point.place.x));
                splices.extend(Splice::number(spelt.y, point.place.y));
            }
        }
    } else {
        splices.push(Splice::value(line.list, list(text, line)));
    }
    if splices.len() > before {
        boxes(line, splices);
    }
}

fn list(text: &str, line: &Drawn<'_>) -> String {
    // A line has two positions or more.
    let (first, last) = (line.before[0], line.before[line.before.len() - 1]);
    let gap = piece(text, first.whole.end(), line.before[1].whole.at);
    let mut out = piece(text, line.list.at, first.whole.at).to_owned();
    for (index, point) in line.points.iter().enumerate() {
        if index > 0 {
            out.push_str(gap);
        }
        out.push_str(&position(text, line, point));
    }
    out.push_str(piece(text, last.whole.end(), line.list.end()));
    out
}

/// A position as it was spelt, but for numbers that changed; a new one is laid out as the first.
fn position(text: &str, line: &Drawn<'_>, point: &Point<'_>) -> String {
    if let Some(spelt) = point.spelt {
        let ordinate = |value: Value<'_>, now: f64| {
            Splice::number(value, now).map_or_else(|| value.raw.to_owned(), |splice| splice.with)
        };
        return [
            piece(text, spelt.whole.at, spelt.x.at),
            &ordinate(spelt.x, point.place.x),
            piece(text, spelt.x.end(), spelt.y.at),
            &ordinate(spelt.y, point.place.y),
            piece(text, spelt.y.end(), spelt.whole.end()),
        ]
        .concat();
    }
    let like = line.before[0];
    // Without what the first has beside x and y.
    let tail = piece(text, like.y.end(), like.whole.end());
    let tail = if tail.contains(',') { "]" } else { tail };
    [
        piece(text, like.whole.at, like.x.at),
        &written(point.place.x),
        piece(text, like.x.end(), like.y.at),
        &written(point.place.y),
        tail,
    ]
    .concat()
}

/// Brings every `bbox` of a line in line.
fn boxes(line: &Drawn<'_>, splices: &mut Vec<Splice>) {
    let ends = |ordinate: fn(&Point<'_>) -> f64| {
        let all = line.points.iter().map(ordinate);
        let low = all.clone().fold(f64::INFINITY, f64::min);
        (low, all.fold(f64::NEG_INFINITY, f64::max))
    };
    let (west, east) = ends(|point| point.place.x);
    let (south, north) = ends(|point| point.place.y);
    for value in &line.boxes {
        splices.extend(Splice::sides(*value, [west, south, east, north]));
    }
}

/// Writes down the ids of walls that have none and stand behind one that goes.
fn ids(
    text: &str,
    drawing: &Drawing<'_>,
    gone: &BTreeSet<usize>,
    splices: &mut Vec<Splice>,
    log: &mut Log,
) {
    let Some(&first) = gone.first() else {
        return;
    };
    for (number, feature) in drawing.features.iter().enumerate().skip(first) {
        if gone.contains(&number) || feature.has_id || feature.kind != "wall" {
            continue;
        }
        let id = serde_json::Value::from(feature.id.as_str()).to_string();
        let fields = Fields::quietly(feature.fields.whole);
        // Null counts as absent but stands where the value shall be.
        let absent = fields.value("id").is_none();
        let splice = absent.then(|| Layout::set(text, &fields, "id", &id)).flatten();
        if let Some(splice) = splice {
            splices.push(splice);
            let what = "wrote down the id that it went by: a wall before it is gone".to_owned();
            log.fix(feature.fields.at, &feature.id, FixKind::Named, what);
        }
    }
}

/// Takes features out of the list, each with its comma and line.
fn removals(drawing: &Drawing<'_>, gone: &BTreeSet<usize>, splices: &mut Vec<Splice>) {
    let cut = |from, until| Splice { from, until, with: String::new() };
    let mut before: Option<Value<'_>> = None;
    // Where a run of features that are taken out begins with the first of the list.
    let mut leading: Option<usize> = None;
    let mut kept_any = false;
    for (number, feature) in drawing.features.iter().enumerate() {
        let value = feature.fields.whole;
        match (gone.contains(&number), before) {
            (true, Some(before)) if kept_any => {
                splices.push(cut(before.end(), value.end()));
            }
            (true, _) => {
                leading.get_or_insert(value.at);
            }
            (false, _) => {
                if let Some(from) = leading.take() {
                    splices.push(cut(from, value.at));
                }
                kept_any = true;
            }
        }
        before = Some(value);
    }
    if let (Some(from), Some(last)) = (leading, before) {
        splices.push(cut(from, last.end()));
    }
}
