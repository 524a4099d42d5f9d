//! A file of readings, read forgivingly: every bad row is named with its line, the good ones are
//! used.
//!
//! # Format
//! CSV with a header: columns in any order, by the names of [`Column`] or obvious other words for
//! them; comma, semicolon, tab or `|` between fields, whichever the header uses. A field may stand
//! in quotation marks, within one line. Blank lines and lines that begin with `#` are passed over,
//! but for the scales, which stand before the header:
//!
//! ```text
//! # bars: -105, -95, -85, -75
//! # percent: -110 to -50
//! sensor,time,level_dbm,bars,note
//! 3,2026-03-01T18:20:00Z,-87.5,,
//! 4,,,2,fresh battery
//! ```
//!
//! JSON is an object `{"scales": {"bars": […], "percent": […]}, "readings": [{…}, …]}`, or the list
//! alone; the entries have the same names. Which of the two a file is, its first character tells.

mod column;
mod csv;
mod json;
mod moment;
mod note;
mod row;
mod scales;
mod sheet;
mod template;
mod who;
mod written;

use std::path::Path;

pub use column::Column;
pub use row::{MAX_LISTED_ROWS, MAX_READINGS_BYTES, MAX_ROWS, ReadingsFile, UnusedNote};
pub use scales::{BarScale, PercentScale, ScaleError, Scales};
pub use sheet::{Sheet, SheetRow};
pub use template::template;
pub use written::{Entry, Unwritten, with_entry, with_scales};

use input::{decoded, file_bytes, too_large, with_line_feeds};
use plan::Plan;
use row::{Rows, TEMPLATE_FIX, TOO_MANY_FIX};

/// Reads readings from the bytes of a file whose name is `source_name`. Devices are those of the
/// plan; `given` scales go before those of the file. No input makes it panic, and the limits
/// ([`MAX_READINGS_BYTES`], [`MAX_ROWS`]) bound what it costs.
#[must_use]
pub fn read_readings(source_name: &str, bytes: &[u8], plan: &Plan, given: &Scales) -> ReadingsFile {
    let mut rows = Rows::new(source_name, plan, given);
    if bytes.len() > MAX_READINGS_BYTES {
        let what = too_large(bytes.len() as u64, MAX_READINGS_BYTES);
        rows.faults.fault(None, None, || (what, TOO_MANY_FIX));
        return rows.finish("");
    }
    let text = with_line_feeds(decoded(bytes, &mut rows.faults).unwrap_or_default());
    match text.trim_start().as_bytes().first() {
        None if rows.faults.any_fault() => {}
        None => rows.faults.fault(None, None, || ("the file is empty", TEMPLATE_FIX)),
        Some(b'[' | b'{') => json::read(&text, &mut rows),
        Some(_) => csv::read(&text, &mut rows),
    }
    rows.finish(&text)
}

/// Reads readings from a file, of which never more than [`MAX_READINGS_BYTES`] are read. One that
/// is missing or cannot be read is a fault without a line.
#[must_use]
pub fn read_readings_file(path: &Path, plan: &Plan, given: &Scales) -> ReadingsFile {
    match file_bytes(path, MAX_READINGS_BYTES, "a file of readings", TOO_MANY_FIX) {
        Ok(bytes) => read_readings(&path.display().to_string(), &bytes, plan, given),
        Err(fault) => {
            ReadingsFile { faults: vec![*fault], scales: given.clone(), ..ReadingsFile::default() }
        }
    }
}
