//! What a file of readings holds, and the limits on reading it.

use super::scales::Scales;
use crate::Reading;
use input::Diagnostic;

/// Largest file that is read, in bytes: 16 MiB (our own choice, no source).
pub const MAX_READINGS_BYTES: usize = 16 * 1024 * 1024;

/// Most rows that are read (our own choice, no source).
pub const MAX_ROWS: usize = 1_000_000;

/// How many faults, and how many warnings, are listed; one more then says how many follow.
pub const MAX_LISTED_ROWS: usize = 1_000;

/// How to mend a file without a table.
pub(super) const TEMPLATE_MEND: &str = "`drillonce diagnose PLAN --template` prints one to fill in";

/// How to mend a file that is too large.
pub(super) const TOO_MANY_MEND: &str = "give the readings of the last months only";

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
    pub faults: Vec<Diagnostic>,
    /// What is doubtful but was used, likewise.
    pub warnings: Vec<Diagnostic>,
    /// Notes that were not, or not wholly, understood.
    pub unused: Vec<UnusedNote>,
    /// The scales in force: the caller's, else the file's.
    pub scales: Scales,
    /// Rows that held something, good and bad.
    pub rows: usize,
}
