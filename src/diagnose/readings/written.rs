//! One row put into the text of a table of readings, and all else left as it stands.

use std::borrow::Cow;
use std::collections::BTreeMap;

use thiserror::Error;

use super::column::Column;
use super::moment::moment;
use super::row::ReadingsFile;
use super::scales::{Scales, directive};
use super::who::Who;
use super::{MAX_READINGS_BYTES, read_readings};
use input::table::{DELIMITERS, Holds, Table, text_cell};
use input::{Diagnostic, one_line};
use plan::Plan;

/// The columns of a new file.
const HEADER: [Column; 12] = [
    Column::Sensor,
    Column::Time,
    Column::At,
    Column::Level,
    Column::Bars,
    Column::Percent,
    Column::Heard,
    Column::Noise,
    Column::Trips,
    Column::Restores,
    Column::Tamper,
    Column::Note,
];

/// Longest cell that is written, characters.
const LONGEST_CELL: usize = 200;

/// A row to be written: what stands in each column that is filled in. The sensor is a device's id.
pub type Entry = BTreeMap<Column, String>;

/// Why a row is not written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{what}; {fix}")]
pub struct Unwritten {
    /// What is wrong.
    pub what: String,
    /// How to fix it.
    pub fix: String,
}

fn unwritten(what: impl Into<String>, fix: impl Into<String>) -> Unwritten {
    Unwritten { what: what.into(), fix: fix.into() }
}

/// A text with a row in it: in the place of the one of the same device, listener and time, else of
/// the device's first row that is not filled in, else at the end. Columns that the file lacks are
/// added to its heading; every other row stays as it is. A blank text becomes a new file.
///
/// # Errors
/// [`Unwritten`]: the text is no table, the row cannot be read back, or other rows would be read in
/// another way with it.
pub fn with_entry(text: &str, plan: &Plan, entry: &Entry) -> Result<String, Unwritten> {
    if entry.values().any(|cell| cell.chars().count() > LONGEST_CELL) {
        let what = format!("an entry is longer than {LONGEST_CELL} characters");
        return Err(unwritten(what, "write a shorter note"));
    }
    let text = if text.trim().is_empty() { new_file() } else { text.to_owned() };
    let (new, line) = Sheet::of(&text)?.with(&text, plan, entry)?;
    if new.len() > MAX_READINGS_BYTES {
        return Err(unwritten("the file of readings is full", "begin another one"));
    }
    let [before, after] = [&text, &new].map(|text| read(text, plan));
    same_but(line, &before, &after)?;
    Ok(new)
}

/// A text with the scales in it that are given, above its heading; the others stay.
///
/// # Errors
/// [`Unwritten`]: the text is no table, or rows could not be read with these scales.
pub fn with_scales(text: &str, plan: &Plan, scales: &Scales) -> Result<String, Unwritten> {
    let text = if text.trim().is_empty() { new_file() } else { text.to_owned() };
    let sheet = Sheet::of(&text)?;
    let mut lines = String::new();
    if let Some(bars) = &scales.bars {
        let edges: Vec<String> = bars.edges_dbm().iter().map(ToString::to_string).collect();
        lines.push_str(&format!("# bars: {}{}", edges.join(", "), sheet.line_end));
    }
    if let Some(percent) = &scales.percent {
        let ([low, high], step) = percent.ends_dbm();
        let steps = if step == 1.0 { String::new() } else { format!(" in steps of {step} %") };
        lines.push_str(&format!("# percent: {low} to {high}{steps}{}", sheet.line_end));
    }
    let mut new = String::new();
    for line in text.get(..sheet.at).unwrap_or_default().split_inclusive('\n') {
        let comment = line.trim().trim_start_matches('"').strip_prefix('#');
        let mut found = Scales::default();
        let is_scale = comment.and_then(|comment| directive(comment.trim(), &mut found)).is_some();
        let is_replaced = found.bars.is_some() && scales.bars.is_some()
            || found.percent.is_some() && scales.percent.is_some();
        if !(is_scale && is_replaced) {
            new.push_str(line);
        }
    }
    new.push_str(&lines);
    new.push_str(text.get(sheet.at..).unwrap_or_default());
    let [before, after] = [&text, &new].map(|text| read(text, plan));
    let rows = |file: &ReadingsFile| file.rows - file.faults.len().min(file.rows);
    match after.faults.iter().find(|fault| !before.faults.iter().any(|old| old.what == fault.what))
    {
        Some(fault) if rows(&after) < rows(&before) => Err(of_fault(fault)),
        _ => Ok(new),
    }
}

fn new_file() -> String {
    let names: Vec<&str> = HEADER.iter().map(|column| column.name()).collect();
    format!("{}\n", names.join(","))
}

fn read(text: &str, plan: &Plan) -> ReadingsFile {
    read_readings("", text.as_bytes(), plan, &Scales::default())
}

fn of_fault(fault: &Diagnostic) -> Unwritten {
    let place = if fault.line > 0 { format!("line {}: ", fault.line) } else { String::new() };
    unwritten(format!("{place}{}", fault.what), &fault.fix)
}

/// Whether two files differ in one line only.
fn same_but(line: usize, before: &ReadingsFile, after: &ReadingsFile) -> Result<(), Unwritten> {
    let is_new =
        |fault: &&Diagnostic| fault.line == line || !before.faults.iter().any(|old| old == *fault);
    if let Some(fault) = after.faults.iter().find(is_new) {
        return Err(of_fault(fault));
    }
    let others = |file: &ReadingsFile| -> Vec<_> {
        file.readings.iter().filter(|reading| reading.line != line).cloned().collect()
    };
    if others(before) != others(after) {
        let what = "other rows of the file would be read in another way with this one";
        return Err(unwritten(what, "put the file's rows right, or begin another file"));
    }
    Ok(())
}

/// Where the heading of a table is, and what stands in it.
struct Sheet {
    /// Byte at which the heading begins, and its line.
    at: usize,
    line: usize,
    delimiter: char,
    columns: Vec<Option<Column>>,
    line_end: &'static str,
}

impl Sheet {
    fn of(text: &str) -> Result<Self, Unwritten> {
        if text.trim_start().starts_with(['[', '{']) {
            let what = "the file of readings is JSON, and entries are written as a table";
            return Err(unwritten(what, "give the name of another file"));
        }
        let mut table = Table::new(text);
        while let Some(row) = table.next(|name| Column::of(name).is_some(), false) {
            let names = match row.holds {
                Holds::Comment(_) => continue,
                Holds::Fields(names) => names,
                Holds::OpenQuote => break,
            };
            let columns: Vec<_> = names.iter().map(|name| Column::of(name)).collect();
            // What is a table of something else stays one.
            let has =
                |wanted: &dyn Fn(Column) -> bool| columns.iter().flatten().any(|c| wanted(*c));
            let is_shown = |column: Column| column.is_value() && column != Column::Note;
            if !(has(&|column| column == Column::Sensor)
                || (has(&|column| column == Column::Name) && has(&is_shown)))
            {
                break;
            }
            let delimiter = table.delimiter().unwrap_or(',');
            let line_end = if line_at(text, row.at).ends_with("\r\n") { "\r\n" } else { "\n" };
            return Ok(Self { at: row.at, line: row.line, delimiter, columns, line_end });
        }
        let what = "the file of readings has no heading with a column for the sensor";
        Err(unwritten(what, "put it right, or give the name of another file"))
    }

    /// The text with an entry, and the line that it is in.
    fn with(
        mut self,
        text: &str,
        plan: &Plan,
        entry: &Entry,
    ) -> Result<(String, usize), Unwritten> {
        let who = Who::new(plan);
        let own = entry.get(&Column::Sensor).and_then(|id| who.find(id));
        let Some(own) = own else {
            return Err(unwritten("the plan has no such device", "choose one of the walk"));
        };
        let place = self.place(text, &who, &own.id, entry);
        let mut new = text.to_owned();
        let heading = line_at(text, self.at);
        // Columns before the place only move it.
        let mut added = String::new();
        for column in HEADER {
            let is_filled = entry.get(&column).is_some_and(|cell| !cell.is_empty());
            if is_filled && !self.columns.contains(&Some(column)) {
                added.push(self.delimiter);
                added.push_str(column.name());
                self.columns.push(Some(column));
            }
        }
        let row = self.row(entry);
        let (at, length, line) = match place {
            Some(place) => place,
            None => {
                if !new.ends_with('\n') {
                    new.push_str(self.line_end);
                }
                (new.len(), 0, new.matches('\n').count() + 1)
            }
        };
        new.replace_range(at..at + length, &row);
        let end = self.at + heading.trim_end_matches(['\n', '\r']).len();
        new.insert_str(end, &added);
        Ok((new, line))
    }

    /// The line of the same device and time, or of the device's first row that is not filled in:
    /// its byte, its length with its end, and its number.
    fn place(
        &self,
        text: &str,
        who: &Who<'_>,
        id: &str,
        entry: &Entry,
    ) -> Option<(usize, usize, usize)> {
        let at = |column: Column| entry.get(&column).map_or("", String::as_str);
        let time = moment(at(Column::Time)).map(|(minutes, _)| minutes);
        let listener = who.listener(at(Column::At)).flatten();
        let mut table = Table::new(text);
        let mut blank = None;
        while let Some(row) = table.next(|name| Column::of(name).is_some(), false) {
            let Holds::Fields(fields) = row.holds else { continue };
            if row.line <= self.line {
                continue;
            }
            let cell = |column: Column| self.cell(&fields, column);
            let named = if cell(Column::Sensor).is_empty() { Column::Name } else { Column::Sensor };
            if who.find(cell(named)).is_none_or(|device| device.id != id) {
                continue;
            }
            let found = (row.at, line_at(text, row.at).len(), row.line);
            let (date, clock) = (cell(Column::Date), cell(Column::Time));
            let both = format!("{date}T{clock}");
            let own = match (date.is_empty(), clock.is_empty()) {
                (true, _) => clock,
                (_, true) => date,
                _ => &both,
            };
            let own_time = moment(own).map(|(minutes, _)| minutes);
            let own_listener = who.listener(cell(Column::At)).flatten();
            if time.is_some() && own_time == time && own_listener == listener {
                return Some(found);
            }
            let is_filled = |column: &Option<Column>| {
                column.is_some_and(|column| {
                    (column.is_value() || column.is_tick()) && !cell(column).is_empty()
                })
            };
            if blank.is_none() && own.is_empty() && !self.columns.iter().any(is_filled) {
                blank = Some(found);
            }
        }
        blank
    }

    fn cell<'f>(&self, fields: &'f [Cow<'_, str>], column: Column) -> &'f str {
        let place = self.columns.iter().position(|own| *own == Some(column));
        place.and_then(|place| fields.get(place)).map_or("", |cell| cell.trim())
    }

    /// The row as a line with its end.
    fn row(&self, entry: &Entry) -> String {
        let given = |column: Column| one_line(entry.get(&column).map_or("", |cell| cell.trim()));
        let (time, has_date) = (given(Column::Time), self.columns.contains(&Some(Column::Date)));
        let split = time.split_once('T').filter(|_| has_date);
        let mut cells = Vec::new();
        for (place, column) in self.columns.iter().enumerate() {
            let Some(column) = column.filter(|one| !self.columns[..place].contains(&Some(*one)))
            else {
                cells.push(String::new());
                continue;
            };
            let cell = match column {
                Column::Date => split.map_or("", |(date, _)| date).to_owned(),
                Column::Time => split.map_or(&*time, |(_, clock)| clock).to_owned(),
                Column::Sensor | Column::Note => text_cell(&given(column)).into_owned(),
                column => given(column).into_owned(),
            };
            let special = |sign: char| DELIMITERS.contains(&sign) || sign == '"';
            let is_plain = !cell.contains(special) && cell.trim() == cell;
            cells.push(if is_plain { cell } else { format!("\"{}\"", cell.replace('"', "\"\"")) });
        }
        format!("{}{}", cells.join(&self.delimiter.to_string()), self.line_end)
    }
}

/// The line that begins at a byte, with its end.
fn line_at(text: &str, at: usize) -> &str {
    let rest = text.get(at..).unwrap_or_default();
    rest.split_inclusive('\n').next().unwrap_or(rest)
}
