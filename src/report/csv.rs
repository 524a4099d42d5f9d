//! Rows as CSV: columns taken out of the JSON of each row.

use input::table::{line, text_cell};
use serde_json::Value;

/// Rows as CSV with a header line. Columns are divided by blanks; each is the name of a member of a
/// row, or a title and, after `=`, the JSON pointer of its value.
pub(crate) fn written(columns: &str, rows: impl IntoIterator<Item = Value>) -> String {
    let column = |column: &str| match column.split_once('=') {
        Some((title, at)) => (title.to_owned(), at.to_owned()),
        None => (column.to_owned(), format!("/{column}")),
    };
    let columns: Vec<(String, String)> = columns.split_whitespace().map(column).collect();
    let head = line(columns.iter().map(|(title, _)| title));
    let cells = |row: Value| line(columns.iter().map(|(_, at)| cell(row.pointer(at))));
    rows.into_iter().map(cells).fold(head, |text, row| text + &row)
}

/// A value in a cell: nothing for null, the number of its elements for an array.
fn cell(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(text)) => text_cell(text).into_owned(),
        Some(Value::Array(all)) => all.len().to_string(),
        Some(Value::Number(number)) if number.is_f64() => {
            number.as_f64().unwrap_or_default().to_string()
        }
        Some(other) => other.to_string(),
    }
}
