//! What is wrong with a file of readings, by line and column.

use std::fmt;

use plan::{Severity, tame};

/// How many faults, and how many warnings, are listed; one more then says how many follow.
pub const MAX_LISTED_ROWS: usize = 1_000;

/// A column's name is shown no longer than this.
const LONGEST_NAME: usize = 60;

/// One thing that is wrong or doubtful in a file of readings.
///
/// `Display` gives two lines: severity, place and what is wrong; then how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowFault {
    /// Name of the file, as the caller gave it.
    pub file: String,
    /// Line, from 1; 0 where the fault is the whole file's.
    pub line: usize,
    /// Number of the entry in a JSON list, from 1; `None` elsewhere.
    pub entry: Option<usize>,
    /// Name of the column as the file has it; `None` where the fault is the whole row's.
    pub column: Option<String>,
    /// A fault leaves its row out; a warning does not.
    pub severity: Severity,
    /// What is wrong.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

impl fmt::Display for RowFault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}  {}", self.severity, tame(&self.file))?;
        if self.line > 0 {
            write!(out, ":{}", self.line)?;
        }
        out.write_str("  ")?;
        let entry = self.entry.map(|entry| format!("entry {entry}"));
        let places: Vec<&str> =
            [entry.as_deref(), self.column.as_deref()].into_iter().flatten().collect();
        if !places.is_empty() {
            write!(out, "{}: ", places.join(", "))?;
        }
        write!(out, "{}\n       mend: {}", self.what, self.mend)
    }
}

/// Where a row stands.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Place {
    pub(super) line: usize,
    pub(super) entry: Option<usize>,
}

impl Place {
    /// A line of the file.
    pub(super) fn line(line: usize) -> Self {
        Self { line, entry: None }
    }
}

/// What is wrong, and how to mend it.
pub(super) type Words = (String, String);

/// Where faults are gathered; memory stays bounded.
#[derive(Debug)]
pub(super) struct RowFaults {
    file: String,
    faults: Vec<RowFault>,
    warnings: Vec<RowFault>,
    more: [usize; 2],
}

impl RowFaults {
    pub(super) fn new(file: &str) -> Self {
        Self { file: file.to_owned(), faults: Vec::new(), warnings: Vec::new(), more: [0; 2] }
    }

    /// Notes a fault of a row; `words` are asked only if it will be listed.
    pub(super) fn fault(
        &mut self,
        place: Place,
        column: Option<&str>,
        words: impl FnOnce() -> Words,
    ) {
        self.note(Severity::Error, place, column, words);
    }

    /// Notes a fault of the whole file.
    pub(super) fn file_fault(&mut self, words: Words) {
        self.fault(Place::default(), None, || words);
    }

    /// Notes what is doubtful.
    pub(super) fn warning(
        &mut self,
        place: Place,
        column: Option<&str>,
        words: impl FnOnce() -> Words,
    ) {
        self.note(Severity::Warning, place, column, words);
    }

    fn note(
        &mut self,
        severity: Severity,
        place: Place,
        column: Option<&str>,
        words: impl FnOnce() -> Words,
    ) {
        let (list, more) = match severity {
            Severity::Error => (&mut self.faults, &mut self.more[0]),
            Severity::Warning => (&mut self.warnings, &mut self.more[1]),
        };
        if list.len() >= MAX_LISTED_ROWS {
            *more += 1;
            return;
        }
        let (what, mend) = words();
        list.push(RowFault {
            file: self.file.clone(),
            line: place.line,
            entry: place.entry,
            column: column.map(|name| tame(&name.chars().take(LONGEST_NAME).collect::<String>())),
            severity,
            what,
            mend,
        });
    }

    /// Faults and warnings, each with one that counts those left out.
    pub(super) fn finish(self) -> (Vec<RowFault>, Vec<RowFault>) {
        let counted = |mut list: Vec<RowFault>, more: usize| {
            if let (Some(last), true) = (list.last().cloned(), more > 0) {
                list.push(RowFault {
                    column: None,
                    what: format!("and {more} more after this place"),
                    mend: "mend those above first, then read the file again".to_owned(),
                    ..last
                });
            }
            list
        };
        (counted(self.faults, self.more[0]), counted(self.warnings, self.more[1]))
    }
}
