//! A file of readings, read forgivingly: every bad row is told with its line, the good ones are used.
//!
//! # Format
//! CSV with a header: columns in any order, by the names of [`Column`] or obvious other words for
//! them; comma, semicolon, tab or `|` between fields, whichever the header uses. A field may stand in
//! quotation marks, within one line. Blank lines and lines that begin with `#` are passed over, but
//! for the scales, which stand before the header:
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
mod faults;
mod json;
mod note;
mod number;
mod row;
mod scales;
mod template;
mod text;
mod who;

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

pub use column::Column;
pub use faults::{MAX_LISTED_ROWS, RowFault};
pub use scales::{BarScale, PercentScale, Scales};
pub use template::template;

use super::Reading;
use plan::Plan;
use row::Rows;

/// Largest file that is read, in bytes: 16 MiB (our own choice, no source).
pub const MAX_READINGS_BYTES: usize = 16 * 1024 * 1024;

/// Most rows that are read (our own choice, no source).
pub const MAX_ROWS: usize = 1_000_000;

/// A note of which nothing, or not all, was understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnusedNote {
    /// Its line, or the number of its entry in a JSON list, as in [`Reading::line`].
    pub line: usize,
    /// The note.
    pub text: String,
}

/// What a file of readings holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ReadingsFile {
    /// The readings of all good rows, in file order; a row may hold several.
    pub readings: Vec<Reading>,
    /// What is wrong, in file order: at most [`MAX_LISTED_ROWS`] and one that counts the others.
    pub faults: Vec<RowFault>,
    /// What is doubtful but was used, likewise.
    pub warnings: Vec<RowFault>,
    /// Notes that were not, or not wholly, understood.
    pub unused: Vec<UnusedNote>,
    /// The scales in force: the caller's, else the file's.
    pub scales: Scales,
    /// Rows that held something, good and bad.
    pub rows: usize,
}

/// Reads readings from the bytes of a file whose name is `source_name`. Devices are those of the
/// plan; `given` scales go before those of the file. No input makes it panic, and the limits
/// ([`MAX_READINGS_BYTES`], [`MAX_ROWS`]) bound what it costs.
#[must_use]
pub fn read_readings(source_name: &str, bytes: &[u8], plan: &Plan, given: &Scales) -> ReadingsFile {
    let mut rows = Rows::new(source_name, plan, given);
    if bytes.len() > MAX_READINGS_BYTES {
        rows.faults.file_fault(too_large());
    } else if let Some(text) = text::decoded(bytes, &mut rows.faults) {
        match text.trim_start().as_bytes().first() {
            None => rows.faults.file_fault((
                "the file is empty".to_owned(),
                "`drillonce diagnose PLAN --template` prints one to fill in".to_owned(),
            )),
            Some(b'[' | b'{') => json::read(&text, &mut rows),
            Some(_) => csv::read(&text, &mut rows),
        }
    }
    rows.finish()
}

/// Reads readings from a file, of which never more than [`MAX_READINGS_BYTES`] are read. One that is
/// missing or cannot be read is a fault without a line.
#[must_use]
pub fn read_readings_file(path: &Path, plan: &Plan, given: &Scales) -> ReadingsFile {
    let name = path.display().to_string();
    let mut bytes = Vec::new();
    // One byte beyond the limit tells that there is more.
    let read = std::fs::metadata(path).and_then(|about| {
        if !about.is_file() {
            return Err(std::io::Error::other("it is not a regular file"));
        }
        let file = File::open(path)?;
        file.take(MAX_READINGS_BYTES as u64 + 1).read_to_end(&mut bytes)
    });
    match read {
        Ok(_) => read_readings(&name, &bytes, plan, given),
        Err(error) => {
            let mut rows = Rows::new(&name, plan, given);
            rows.faults.file_fault((
                format!("the file cannot be read: {error}"),
                "check its name and its permissions".to_owned(),
            ));
            rows.finish()
        }
    }
}

fn too_large() -> (String, String) {
    (
        format!("the file has more than {} MiB", MAX_READINGS_BYTES >> 20),
        "give the readings of the last months only".to_owned(),
    )
}
