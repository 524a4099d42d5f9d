//! Readings as JSON.

use std::borrow::Cow;
use std::fmt;

use serde::de::{Deserialize, Deserializer, IgnoredAny, MapAccess, Visitor};
use serde_json::value::RawValue;

use super::MAX_ROWS;
use super::column::{COLUMNS, Column, unknown_column};
use super::faults::{Place, Words};
use super::row::{Cell, Cells, Rows};
use super::scales::directive;
use plan::json::Items;
use plan::quoted;

/// Most members of one entry (our own choice, no source).
const MAX_MEMBERS: usize = 200;

/// Reads a list of readings, or an object that holds one.
pub(super) fn read(text: &str, rows: &mut Rows<'_>) {
    if let Err(error) = serde_json::from_str::<IgnoredAny>(text) {
        let reason = error.to_string();
        let reason = reason.split(" at line ").next().unwrap_or_default().to_owned();
        rows.faults.fault(Place::line(error.line()), None, || {
            (
                format!("not JSON: {reason}"),
                format!("look just before column {} of this line", error.column()),
            )
        });
        return;
    }
    let mut lines = Lines { text, line: 1, from: 0 };
    if text.trim_start().starts_with('[') {
        if let Ok(list) = serde_json::from_str::<Items<'_, MAX_ROWS>>(text) {
            take_all(&list, &mut lines, rows);
        }
        return;
    }
    let Ok(top) = serde_json::from_str::<Members<'_>>(text) else {
        return;
    };
    // Scales hold for all readings, wherever they stand.
    for (name, value) in &top.0 {
        match name.as_ref() {
            "scales" => take_scales(value.get(), lines.clone().of(value.get()), rows),
            "readings" => {}
            name => {
                let place = Place::line(lines.clone().of(value.get()));
                rows.faults.warning(place, Some(name), || {
                    (
                        format!("{} is not known here: it is not used", quoted(name)),
                        "known here: scales, readings".to_owned(),
                    )
                });
            }
        }
    }
    let list = top.0.iter().find(|(name, _)| name == "readings");
    let items =
        list.and_then(|(_, raw)| serde_json::from_str::<Items<'_, MAX_ROWS>>(raw.get()).ok());
    match items {
        Some(items) => take_all(&items, &mut lines, rows),
        None => rows.faults.file_fault((
            "the object has no list \"readings\"".to_owned(),
            "write {\"readings\": [{\"sensor\": 3, \"level_dbm\": -87.5}]}".to_owned(),
        )),
    }
}

/// The line of each piece of a text, asked for in order.
#[derive(Debug, Clone)]
struct Lines<'t> {
    text: &'t str,
    line: usize,
    from: usize,
}

impl Lines<'_> {
    /// The line at which a piece of the text begins.
    fn of(&mut self, piece: &str) -> usize {
        let at = piece.as_ptr().addr().saturating_sub(self.text.as_ptr().addr());
        let between = self.text.as_bytes().get(self.from..at).unwrap_or_default();
        self.line += between.iter().filter(|byte| **byte == b'\n').count();
        self.from = at.max(self.from);
        self.line
    }
}

fn take_all(items: &Items<'_, MAX_ROWS>, lines: &mut Lines<'_>, rows: &mut Rows<'_>) {
    for (item, number) in items.0.iter().zip(1..) {
        let place = Place { line: lines.of(item.get()), entry: Some(number) };
        if !rows.has_room(place) {
            return;
        }
        take(item.get(), place, rows);
    }
}

fn take(raw: &str, place: Place, rows: &mut Rows<'_>) {
    let lost = |rows: &mut Rows<'_>, name: Option<&str>, words: Words| {
        rows.lost();
        rows.faults.fault(place, name, || words);
    };
    let Ok(members) = serde_json::from_str::<Members<'_>>(raw) else {
        let what = "an entry must be an object".to_owned();
        let mend = "write {\"sensor\": 3, \"level_dbm\": -87.5}".to_owned();
        return lost(rows, None, (what, mend));
    };
    let mut texts: Vec<(Column, &str, Cow<'_, str>)> = Vec::new();
    for (name, value) in &members.0 {
        let Some(column) = Column::of(name) else {
            rows.faults.warning(place, Some(name), || unknown_column(name));
            continue;
        };
        if texts.iter().any(|(known, ..)| *known == column) {
            let what = format!("two members say the same: {}", column.name());
            return lost(rows, Some(name), (what, "keep one of them".to_owned()));
        }
        let Some(text) = cell(value.get()) else {
            let what = "must be text, a number, true, false or null".to_owned();
            let mend = "give one value; several readings are several entries".to_owned();
            return lost(rows, Some(name), (what, mend));
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
fn cell(raw: &str) -> Option<Cow<'_, str>> {
    match raw.as_bytes().first()? {
        b'"' => serde_json::from_str(raw).ok().map(Cow::Owned),
        b't' => Some(Cow::Borrowed("yes")),
        b'f' => Some(Cow::Borrowed("no")),
        b'n' => Some(Cow::Borrowed("")),
        b'[' | b'{' => None,
        _ => {
            // Powers of ten, which JSON writers use and people do not.
            let number: f64 = raw.parse().ok()?;
            Some(Cow::Owned(number.to_string()))
        }
    }
}

fn take_scales(raw: &str, line: usize, rows: &mut Rows<'_>) {
    let place = Place::line(line);
    let Ok(members) = serde_json::from_str::<Members<'_>>(raw) else {
        rows.faults.fault(place, Some("scales"), || {
            let mend = "write {\"bars\": [-105, -95, -85, -75], \"percent\": [-110, -50]}";
            ("the scales must be an object".to_owned(), mend.to_owned())
        });
        return;
    };
    for (name, value) in &members.0 {
        let text = match serde_json::from_str::<Vec<f64>>(value.get()) {
            Ok(levels) => {
                let levels: Vec<String> = levels.iter().map(f64::to_string).collect();
                levels.join(", ")
            }
            Err(_) => cell(value.get()).unwrap_or_default().into_owned(),
        };
        let mut scales = rows.of_file.clone();
        match directive(&format!("{name}: {text}"), &mut scales) {
            Some(Ok(())) => rows.of_file = scales,
            Some(Err(words)) => rows.faults.fault(place, Some(name), || words),
            None => rows.faults.warning(place, Some(name), || {
                (
                    format!("there is no scale {}: it is not used", quoted(name)),
                    "known here: bars, percent".to_owned(),
                )
            }),
        }
    }
}

/// The members of an object, at most [`MAX_MEMBERS`].
struct Members<'t>(Vec<(String, &'t RawValue)>);

impl<'de> Deserialize<'de> for Members<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct MembersVisitor;
        impl<'de> Visitor<'de> for MembersVisitor {
            type Value = Members<'de>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("an object")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Members<'de>, A::Error> {
                let mut members = Vec::new();
                while let Some(member) = map.next_entry()? {
                    if members.len() < MAX_MEMBERS {
                        members.push(member);
                    }
                }
                Ok(Members(members))
            }
        }
        deserializer.deserialize_map(MembersVisitor)
    }
}
