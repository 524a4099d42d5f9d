//! Readings as a table of text.

use std::borrow::Cow;

use super::column::{COLUMNS, Column, unknown_column};
use super::faults::Place;
use super::row::{Cell, Cells, Rows};
use super::scales::directive;
use plan::quoted;

/// What may stand between fields; of equals the first wins.
const DELIMITERS: [char; 4] = ['\t', ';', '|', ','];

/// Most columns of a table (our own choice, no source).
const MAX_COLUMNS: usize = 200;

/// The columns of a table, in file order.
struct Header<'t> {
    delimiter: char,
    names: Vec<Cow<'t, str>>,
    columns: Vec<Option<Column>>,
}

/// Reads a table.
pub(super) fn read(text: &str, rows: &mut Rows<'_>) {
    // Some programs end lines with a carriage return alone.
    let end = if text.contains('\n') { '\n' } else { '\r' };
    let lines = text.split(end).map(|line| line.trim_end_matches('\r'));
    let (mut header, mut hinted) = (None, None);
    for (line, number) in lines.zip(1..) {
        let place = Place::line(number);
        let bare = line.trim();
        if is_blank(bare) {
            continue;
        }
        // A spreadsheet may put a comment into quotation marks; below the header that is a field.
        let unquoted = if header.is_none() { bare.trim_start_matches('"') } else { bare };
        if let Some(comment) = unquoted.strip_prefix('#') {
            take_comment(comment, place, header.is_some(), rows);
            continue;
        }
        let Some(header) = &header else {
            if let Some(hint) = hint(bare) {
                hinted = Some(hint);
                continue;
            }
            let Some(found) = Header::read(line, hinted, place, rows) else {
                return;
            };
            header = Some(found);
            continue;
        };
        if !rows.has_room(place) {
            return;
        }
        header.take(line, place, rows);
    }
    if header.is_none() {
        rows.faults.file_fault((
            "the file holds no table".to_owned(),
            "`drillonce diagnose PLAN --template` prints one to fill in".to_owned(),
        ));
    }
}

/// Whether a line holds nothing but delimiters, as spreadsheets leave behind.
fn is_blank(line: &str) -> bool {
    line.chars().all(|c| c.is_whitespace() || DELIMITERS.contains(&c))
}

/// The delimiter that a first line `sep=;` announces.
fn hint(line: &str) -> Option<char> {
    let named = line.get(..4)?.eq_ignore_ascii_case("sep=");
    let mut rest = line.get(4..)?.chars();
    let delimiter = rest.next().unwrap_or('\t');
    (named && rest.next().is_none() && DELIMITERS.contains(&delimiter)).then_some(delimiter)
}

fn take_comment(comment: &str, place: Place, is_late: bool, rows: &mut Rows<'_>) {
    // A spreadsheet puts delimiters behind the comment, and perhaps quotation marks round it.
    let comment = comment.trim_end_matches([',', ';', '\t', '|', '"', ' ']);
    let mut scales = rows.of_file.clone();
    match directive(comment, &mut scales) {
        None => {}
        Some(_) if is_late => rows.faults.warning(place, None, || {
            (
                "a scale behind the header is not used".to_owned(),
                "put it before the header, where it holds for all rows".to_owned(),
            )
        }),
        Some(Ok(())) => rows.of_file = scales,
        Some(Err(words)) => rows.faults.fault(place, None, || words),
    }
}

impl<'t> Header<'t> {
    fn read(
        line: &'t str,
        hinted: Option<char>,
        place: Place,
        rows: &mut Rows<'_>,
    ) -> Option<Self> {
        let known = |delimiter: char| {
            let names = fields(line, delimiter, MAX_COLUMNS).unwrap_or_default();
            let known = names.iter().filter(|name| Column::of(name).is_some());
            (known.count(), names.len())
        };
        let candidates = hinted.map_or(DELIMITERS.to_vec(), |hint| vec![hint]);
        let delimiter = candidates.into_iter().rev().max_by_key(|delimiter| known(*delimiter))?;
        let Some(names) = fields(line, delimiter, MAX_COLUMNS) else {
            rows.faults.fault(place, None, || {
                (
                    "the header has a quotation mark that is not closed".to_owned(),
                    "take it out".to_owned(),
                )
            });
            return None;
        };
        let mut columns: Vec<Option<Column>> = Vec::new();
        for name in &names {
            let column = Column::of(name);
            match column {
                Some(column) if columns.contains(&Some(column)) => {
                    rows.faults.warning(place, Some(name), || {
                        (
                            format!("another column says the same: {}", column.name()),
                            "the first is used; take one out".to_owned(),
                        )
                    });
                    columns.push(None);
                }
                None if !name.trim().is_empty() => {
                    rows.faults.warning(place, Some(name), || unknown_column(name));
                    columns.push(None);
                }
                column => columns.push(column),
            }
        }
        let has = |wanted: &dyn Fn(Column) -> bool| columns.iter().flatten().any(|c| wanted(*c));
        let who = |column| matches!(column, Column::Sensor | Column::Name | Column::Noise);
        if !has(&who) || !has(&Column::is_value) {
            rows.faults.fault(place, None, || {
                let missing = if has(&who) {
                    "what was read"
                } else {
                    "the sensor"
                };
                (
                    format!("the header has no column for {missing}"),
                    "the first line names the columns: sensor, and level_dbm, bars, percent, heard, \
                     noise_dbm or note"
                        .to_owned(),
                )
            });
            return None;
        }
        Some(Self { delimiter, names, columns })
    }

    /// What a decimal comma cut off a number, as far as that can be seen: bare digits behind it.
    fn cut_off<'f>(&self, fields: &'f [Cow<'_, str>]) -> Option<&'f Cow<'f, str>> {
        let is_number = |column: &Option<Column>| {
            matches!(column, Some(Column::Level | Column::Noise | Column::Percent))
        };
        let is_digits =
            |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        let behind = fields.iter().zip(fields.iter().skip(1));
        let mut found = behind.zip(&self.columns).filter(|((number, digits), column)| {
            is_number(column) && is_digits(digits) && !number.trim().is_empty()
        });
        found.next().map(|((_, digits), _)| digits)
    }

    fn take(&self, line: &str, place: Place, rows: &mut Rows<'_>) {
        let Some(fields) = fields(line, self.delimiter, MAX_COLUMNS) else {
            rows.lost();
            rows.faults.fault(place, None, || {
                (
                    "a quotation mark is not closed in this line".to_owned(),
                    "close it, or write two of them where one is meant; a note is one line"
                        .to_owned(),
                )
            });
            return;
        };
        let beyond = fields.get(self.columns.len()..).unwrap_or_default();
        let extra = beyond.iter().find(|field| !field.trim().is_empty());
        let extra = extra.or_else(|| {
            (self.delimiter == ',' && !beyond.is_empty()).then(|| self.cut_off(&fields)).flatten()
        });
        if let Some(extra) = extra {
            rows.lost();
            rows.faults.fault(place, None, || {
                let comma = if self.delimiter == ',' {
                    "a decimal comma needs a point or quotation marks, for commas stand between fields"
                } else {
                    "put a field that holds the delimiter into quotation marks"
                };
                (
                    format!(
                        "the row has more fields than the header ({}): {} is too many",
                        self.columns.len(),
                        quoted(extra)
                    ),
                    comma.to_owned(),
                )
            });
            return;
        }
        let mut cells: Cells<'_> = [Cell::default(); COLUMNS];
        let named = self.columns.iter().zip(&self.names);
        for ((column, name), text) in named.zip(&fields) {
            if let Some(column) = column {
                cells[*column as usize] = Cell { name, text };
            }
        }
        rows.take(place, &cells);
    }
}

/// The fields of a line; `None` if a quotation mark is not closed. At most `most` and one more.
fn fields(line: &str, delimiter: char, most: usize) -> Option<Vec<Cow<'_, str>>> {
    let mut fields = Vec::new();
    let mut rest = line;
    loop {
        if fields.len() > most {
            return Some(fields);
        }
        let trimmed = rest.trim_start_matches(' ');
        let after = if let Some(quoted) = trimmed.strip_prefix('"') {
            let (field, after) = quoted_field(quoted)?;
            fields.push(field);
            // What stands between the closing mark and the delimiter is not for us.
            after.find(delimiter).map(|at| after.split_at(at).1)
        } else {
            let end = rest.find(delimiter).unwrap_or(rest.len());
            let (field, after) = rest.split_at(end);
            fields.push(Cow::Borrowed(field));
            (!after.is_empty()).then_some(after)
        };
        match after.and_then(|after| after.strip_prefix(delimiter)) {
            Some(after) => rest = after,
            None => return Some(fields),
        }
    }
}

/// A field up to its closing quotation mark, and what follows that; two marks stand for one.
fn quoted_field(text: &str) -> Option<(Cow<'_, str>, &str)> {
    let mut from = 0;
    loop {
        let at = from + text.get(from..)?.find('"')?;
        let after = text.get(at + 1..)?;
        if after.starts_with('"') {
            from = at + 2;
            continue;
        }
        let field = text.get(..at)?;
        let field = if field.contains('"') {
            Cow::Owned(field.replace("\"\"", "\""))
        } else {
            Cow::Borrowed(field)
        };
        return Some((field, after));
    }
}
