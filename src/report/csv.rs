//! Rows as CSV: columns taken out of the JSON of each row.

use csv::Writer;
use serde_json::Value;

/// Rows as CSV with a header line. Columns are divided by blanks; each is the name of a member of a
/// row, or a title and, after `=`, the JSON pointer of its value.
///
/// # Errors
/// What the CSV writer answers; writing to memory gives it no reason to.
pub(crate) fn written(
    columns: &str,
    rows: impl IntoIterator<Item = Result<Value, serde_json::Error>>,
) -> Result<String, csv::Error> {
    let column = |column: &str| match column.split_once('=') {
        Some((title, at)) => (title.to_owned(), at.to_owned()),
        None => (column.to_owned(), format!("/{column}")),
    };
    let columns: Vec<(String, String)> = columns.split_whitespace().map(column).collect();
    let mut records = vec![columns.iter().map(|(title, _)| title.clone()).collect()];
    for row in rows {
        let row = row.map_err(std::io::Error::from)?;
        records.push(columns.iter().map(|(_, at)| cell(row.pointer(at))).collect());
    }
    text(records)
}

/// Records as CSV.
///
/// # Errors
/// As [`written`].
pub(crate) fn text(records: impl IntoIterator<Item = Vec<String>>) -> Result<String, csv::Error> {
    let mut writer = Writer::from_writer(Vec::new());
    for record in records {
        writer.write_record(record)?;
    }
    let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A value in a cell: nothing for null, the number of its elements for an array.
fn cell(value: Option<&Value>) -> String {
    match value {
        None | Some(Value::Null) => String::new(),
        Some(Value::String(text)) => text.clone(),
        Some(Value::Array(all)) => all.len().to_string(),
        Some(Value::Number(number)) if number.is_f64() => {
            number.as_f64().unwrap_or_default().to_string()
        }
        Some(other) => other.to_string(),
    }
}
