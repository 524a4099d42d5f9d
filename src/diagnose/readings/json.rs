//! Readings as JSON.

use std::borrow::Cow;

use super::column::{COLUMNS, Column, unknown_column};
use super::row::{Cell, Cells, MAX_ROWS, Place, Rows};
use super::scales::directive;
use input::json::{Sort, Value, well_formed};
use input::quoted;

/// Reads a list of readings, or an object that holds one.
pub(super) fn read(text: &str, rows: &mut Rows<'_>) {
    if !well_formed(text, &mut rows.faults) {
        return;
    }
    let whole = Value::whole(text);
    let list = if whole.sort() == Sort::List { Some(whole) } else { in_object(whole, rows) };
    let Some(list) = list else {
        return rows.faults.fault(None, None, || {
            (
                "the object has no list \"readings\"",
                "write {\"readings\": [{\"sensor\": 3, \"level_dbm\": -87.5}]}",
            )
        });
    };
    for (item, number) in list.first_items::<MAX_ROWS>().into_iter().zip(1..) {
        let place = Place { at: item.at, number, is_entry: true };
        if !rows.has_room(place) {
            return;
        }
        take(item, place, rows);
    }
}

/// The list of readings in an object. Its scales hold for all readings, wherever they stand.
fn in_object<'t>(whole: Value<'t>, rows: &mut Rows<'_>) -> Option<Value<'t>> {
    let mut list = None;
    for member in whole.members(None, &mut rows.faults) {
        let place = Place { at: member.value.at, number: 0, is_entry: false };
        match member.key.as_ref() {
            "scales" => take_scales(member.value, place, rows),
            "readings" => list = Some(member.value).filter(|value| value.sort() == Sort::List),
            name => rows.warning(place, Some(name), || {
                let what = format!("{} is not known, so it is not used", quoted(name));
                (what, "known: scales, readings")
            }),
        }
    }
    list
}

fn take(item: Value<'_>, place: Place, rows: &mut Rows<'_>) {
    if item.sort() != Sort::Object {
        return rows.lost(place, None, || {
            ("an entry must be an object", "write {\"sensor\": 3, \"level_dbm\": -87.5}")
        });
    }
    let faults_before = rows.faults.count();
    let members = item.members(None, &mut rows.faults);
    if rows.faults.count() > faults_before {
        return rows.count_lost();
    }
    let mut texts: Vec<(Column, &str, Cow<'_, str>)> = Vec::new();
    for member in &members {
        let name = member.key.as_ref();
        let Some(column) = Column::of(name) else {
            rows.warning(place, Some(name), || unknown_column(name));
            continue;
        };
        if texts.iter().any(|(known, ..)| *known == column) {
            let what = format!("two members mean the same: {}", column.name());
            return rows.lost(place, Some(name), || (what, "keep one of them"));
        }
        let Some(text) = cell(member.value) else {
            let what = "must be text, a number, true, false or null";
            let fix = "give one value per entry";
            return rows.lost(place, Some(name), || (what, fix));
        };
        texts.push((column, name, text));
    }
    let mut cells: Cells<'_> = [Cell::default(); COLUMNS];
    for (column, name, text) in &texts {
        cells[*column as usize] = Cell { name, text };
    }
    rows.take(place, &cells);
}

/// A value as a cell of a table would hold it; `None` for a list or an object.
fn cell(value: Value<'_>) -> Option<Cow<'_, str>> {
    match value.sort() {
        Sort::Text => value.text(),
        Sort::Boolean => Some(Cow::Borrowed(if value.raw == "true" { "yes" } else { "no" })),
        Sort::Null => Some(Cow::Borrowed("")),
        Sort::List | Sort::Object => None,
        // Powers of ten, which JSON writers use and people do not.
        Sort::Number => value.number().map(|number| Cow::Owned(number.to_string())),
    }
}

fn take_scales(value: Value<'_>, place: Place, rows: &mut Rows<'_>) {
    if value.sort() != Sort::Object {
        return rows.fault(place, Some("scales"), || {
            let fix = "write {\"bars\": [-105, -95, -85, -75], \"percent\": [-110, -50]}";
            ("the scales must be an object", fix)
        });
    }
    for member in value.members(None, &mut rows.faults) {
        let name = member.key.as_ref();
        let levels: Option<Vec<String>> = (member.value.items().iter())
            .map(|level| level.number().map(|level| level.to_string()))
            .collect();
        let text = match levels.filter(|_| member.value.sort() == Sort::List) {
            Some(levels) => levels.join(", "),
            None => cell(member.value).unwrap_or_default().into_owned(),
        };
        match directive(&format!("{name}: {text}"), &mut rows.of_file) {
            Some(Ok(())) => {}
            Some(Err(words)) => rows.fault(place, Some(name), || words),
            None => rows.warning(place, Some(name), || {
                let what = format!("the scale {} is not known, so it is not used", quoted(name));
                (what, "known: bars, percent")
            }),
        }
    }
}
