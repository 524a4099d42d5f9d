//! Readings as a table of text.

use std::borrow::Cow;

use super::column::{COLUMNS, Column, unknown_column};
use super::row::{Cell, Cells, Place, Rows, TEMPLATE_FIX};
use super::scales::directive;
use input::quoted;
use input::table::{Holds, Table, fix_surplus};

/// The columns of a table, in file order.
struct Header<'t> {
    is_comma: bool,
    names: Vec<Cow<'t, str>>,
    columns: Vec<Option<Column>>,
}

pub(super) fn read(text: &str, rows: &mut Rows<'_>) {
    let mut table = Table::new(text);
    let mut header: Option<Header<'_>> = None;
    while let Some(row) = table.next(|name| Column::of(name).is_some(), false) {
        let place = Place { at: row.at, number: row.line, is_entry: false };
        match (row.holds, &header) {
            (Holds::Comment(comment), _) => take_comment(comment, place, header.is_some(), rows),
            (Holds::OpenQuote, None) => {
                let what = "the header has a quotation mark that is not closed";
                return rows.fault(place, None, || (what, "remove it"));
            }
            (Holds::Fields(names), None) => {
                header = Header::of(names, table.delimiter() == Some(','), place, rows);
                if header.is_none() {
                    return;
                }
            }
            (_, Some(_)) if !rows.has_room(place) => return,
            (Holds::OpenQuote, Some(_)) => rows.lost(place, None, || {
                (
                    "a quotation mark is not closed in this line",
                    "close it, or double it inside a field; a note is one line",
                )
            }),
            (Holds::Fields(fields), Some(header)) => header.take(&fields, place, rows),
        }
    }
    if header.is_none() {
        rows.faults.fault(None, None, || ("the file holds no table", TEMPLATE_FIX));
    }
}

fn take_comment(comment: &str, place: Place, is_late: bool, rows: &mut Rows<'_>) {
    let mut scales = rows.of_file.clone();
    match directive(comment, &mut scales) {
        None => {}
        Some(_) if is_late => rows.warning(place, None, || {
            ("a scale below the header is not used", "move it above the header")
        }),
        Some(Ok(())) => rows.of_file = scales,
        Some(Err(words)) => rows.fault(place, None, || words),
    }
}

impl<'t> Header<'t> {
    fn of(
        names: Vec<Cow<'t, str>>,
        is_comma: bool,
        place: Place,
        rows: &mut Rows<'_>,
    ) -> Option<Self> {
        let mut columns: Vec<Option<Column>> = Vec::new();
        for name in &names {
            let column = Column::of(name);
            let repeated = column.filter(|column| columns.contains(&Some(*column)));
            if let Some(column) = repeated {
                rows.warning(place, Some(name), || {
                    let what = format!("two columns mean the same: {}", column.name());
                    (what, "the first is used; remove one")
                });
            } else if column.is_none() && !name.trim().is_empty() {
                rows.warning(place, Some(name), || unknown_column(name));
            }
            columns.push(column.filter(|_| repeated.is_none()));
        }
        let has = |wanted: &dyn Fn(Column) -> bool| columns.iter().flatten().any(|c| wanted(*c));
        let who = has(&|c| matches!(c, Column::Sensor | Column::Name | Column::Noise));
        if who && has(&Column::is_value) {
            return Some(Self { is_comma, names, columns });
        }
        let missing = if who { "what was read" } else { "the sensor" };
        rows.fault(place, None, || {
            (
                format!("the header has no column for {missing}"),
                "name the columns in the first line: sensor, and level_dbm, bars, percent, heard, \
                 noise_dbm or note",
            )
        });
        None
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

    fn take(&self, fields: &[Cow<'_, str>], place: Place, rows: &mut Rows<'_>) {
        let beyond = fields.get(self.columns.len()..).unwrap_or_default();
        let extra = beyond.iter().find(|field| !field.trim().is_empty());
        let extra = extra.or_else(|| {
            (self.is_comma && !beyond.is_empty()).then(|| self.cut_off(fields)).flatten()
        });
        if let Some(extra) = extra {
            let fix = fix_surplus(self.is_comma.then_some(','));
            return rows.lost(place, None, || {
                let most = self.columns.len();
                let extra = quoted(extra);
                let what = format!(
                    "the row has more fields than the header ({most}); {extra} is one too many"
                );
                (what, fix)
            });
        }
        let mut cells: Cells<'_> = [Cell::default(); COLUMNS];
        for ((column, name), text) in self.columns.iter().zip(&self.names).zip(fields) {
            if let Some(column) = column {
                cells[*column as usize] = Cell { name, text };
            }
        }
        rows.take(place, &cells);
    }
}
