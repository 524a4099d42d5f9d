//! What is wrong with a plan, where, and how to mend it.
//!
//! [`Diagnostics`] gathers while a plan is read; every fault remembers a byte offset only. Lines and
//! columns are worked out once, at the end, in a single walk over the text. Memory stays bounded:
//! of each severity the first [`MAX_LISTED`] by place are kept and the rest are counted.

use std::collections::{BTreeMap, BinaryHeap};
use std::fmt;

use super::names::{shown, tame};

/// How many faults, and how many warnings, are listed; one more entry then says how many follow.
pub const MAX_LISTED: usize = 200;

/// How bad a [`Diagnostic`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The plan cannot be used.
    Error,
    /// The plan can be used; something in it is doubtful.
    Warning,
}

/// One thing that is wrong or doubtful in a plan.
///
/// `Display` gives two lines: severity, place, feature and what is wrong; then how to mend it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// Name of the file, as the caller gave it.
    pub file: String,
    /// Line, from 1; 0 where the fault has no place in the text (a file that cannot be read).
    pub line: usize,
    /// Column in characters, from 1; 0 where the fault has no place in the text.
    pub column: usize,
    /// Id of the feature, where the fault belongs to one (shortened, without control characters).
    pub feature: Option<String>,
    /// Whether the plan can still be used.
    pub severity: Severity,
    /// What is wrong.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

impl Diagnostic {
    /// A fault of a file at a line and column, both from 1; zeros for the file as a whole.
    pub fn at(
        file: &str,
        (line, column): (usize, usize),
        what: impl Into<String>,
        mend: impl Into<String>,
    ) -> Self {
        Self {
            file: file.to_owned(),
            line,
            column,
            feature: None,
            severity: Severity::Error,
            what: what.into(),
            mend: mend.into(),
        }
    }
}

/// Line and column in characters, from 1, of a byte of a text.
pub fn place_of_byte(text: &str, byte: usize) -> (usize, usize) {
    let (mut line, mut column) = (1, 1);
    for (_, character) in text.char_indices().take_while(|(at, _)| *at < byte) {
        if character == '\n' {
            (line, column) = (line + 1, 1);
        } else {
            column += 1;
        }
    }
    (line, column)
}

impl fmt::Display for Severity {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Self::Error => "fault",
            Self::Warning => "warning",
        })
    }
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}  {}", self.severity, tame(&self.file))?;
        if self.line > 0 {
            write!(out, ":{}:{}", self.line, self.column)?;
        }
        out.write_str("  ")?;
        if let Some(feature) = &self.feature {
            write!(out, "{feature}: ")?;
        }
        write!(out, "{}\n       mend: {}", self.what, self.mend)
    }
}

impl std::error::Error for Diagnostic {}

/// A fault whose place is still a byte offset.
#[derive(Debug)]
struct Draft {
    at: usize,
    /// Order of discovery: keeps faults at one place in a fixed order.
    sequence: usize,
    also_at: Option<usize>,
    feature: Option<String>,
    what: String,
    mend: String,
}

impl Draft {
    fn rank(&self) -> (usize, usize) {
        (self.at, self.sequence)
    }
}

impl PartialEq for Draft {
    fn eq(&self, other: &Self) -> bool {
        self.rank() == other.rank()
    }
}

impl Eq for Draft {}

impl PartialOrd for Draft {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Draft {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.rank().cmp(&other.rank())
    }
}

/// The first [`MAX_LISTED`] drafts by place, and the count of the others.
#[derive(Debug, Default)]
struct Listed {
    first: BinaryHeap<Draft>,
    seen: usize,
}

impl Listed {
    /// Whether a draft at this place would be listed.
    fn has_room(&self, at: usize) -> bool {
        self.first.len() < MAX_LISTED || self.first.peek().is_some_and(|last| at < last.at)
    }

    fn keep(&mut self, draft: Draft) {
        self.first.push(draft);
        if self.first.len() > MAX_LISTED {
            self.first.pop();
        }
    }
}

/// Where faults are gathered while a plan is read.
#[derive(Debug)]
pub(super) struct Diagnostics {
    file: String,
    faults: Listed,
    warnings: Listed,
}

impl Diagnostics {
    /// Nothing wrong so far with the file of this name.
    pub(super) fn new(file: &str) -> Self {
        Self { file: file.to_owned(), faults: Listed::default(), warnings: Listed::default() }
    }

    /// Whether the plan is beyond use.
    pub(super) fn any_fault(&self) -> bool {
        self.faults.seen > 0
    }

    /// Notes a fault; `words` (what is wrong, how to mend it) is asked only if it will be listed.
    pub(super) fn fault<W>(&mut self, at: usize, feature: Option<&str>, words: W)
    where
        W: FnOnce() -> (String, String),
    {
        self.note(Severity::Error, at, None, feature, words);
    }

    /// Notes a fault that has a second place, whose line is added to what is wrong.
    pub(super) fn fault_with_other<W>(
        &mut self,
        at: usize,
        other: usize,
        feature: Option<&str>,
        words: W,
    ) where
        W: FnOnce() -> (String, String),
    {
        self.note(Severity::Error, at, Some(other), feature, words);
    }

    /// Notes a warning.
    pub(super) fn warning<W>(&mut self, at: usize, feature: Option<&str>, words: W)
    where
        W: FnOnce() -> (String, String),
    {
        self.note(Severity::Warning, at, None, feature, words);
    }

    /// Notes a warning that has a second place.
    pub(super) fn warning_with_other<W>(
        &mut self,
        at: usize,
        other: usize,
        feature: Option<&str>,
        words: W,
    ) where
        W: FnOnce() -> (String, String),
    {
        self.note(Severity::Warning, at, Some(other), feature, words);
    }

    fn note<W>(
        &mut self,
        severity: Severity,
        at: usize,
        also_at: Option<usize>,
        feature: Option<&str>,
        words: W,
    ) where
        W: FnOnce() -> (String, String),
    {
        let listed = match severity {
            Severity::Error => &mut self.faults,
            Severity::Warning => &mut self.warnings,
        };
        let sequence = listed.seen;
        listed.seen += 1;
        if listed.has_room(at) {
            let (what, mend) = words();
            let feature = feature.map(shown);
            listed.keep(Draft { at, sequence, also_at, feature, what, mend });
        }
    }

    /// Everything noted, in order of place: faults, and warnings.
    pub(super) fn finish(self, text: &str) -> (Vec<Diagnostic>, Vec<Diagnostic>) {
        let (faults, fault_count) = (self.faults.first.into_sorted_vec(), self.faults.seen);
        let (warnings, warning_count) = (self.warnings.first.into_sorted_vec(), self.warnings.seen);
        let offsets =
            faults.iter().chain(&warnings).flat_map(|draft| [Some(draft.at), draft.also_at]);
        let places = places(text, offsets.flatten());
        let finish =
            |drafts, count, severity| finish_list(&self.file, drafts, count, severity, &places);
        (
            finish(faults, fault_count, Severity::Error),
            finish(warnings, warning_count, Severity::Warning),
        )
    }
}

/// Diagnostics and warnings in one list, by place; a fault before a warning at the same place.
pub(super) fn merged(faults: Vec<Diagnostic>, warnings: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut all = faults;
    all.extend(warnings);
    all.sort_by_key(|fault| (fault.line, fault.column, fault.severity));
    all
}

fn finish_list(
    file: &str,
    drafts: Vec<Draft>,
    count: usize,
    severity: Severity,
    places: &BTreeMap<usize, (usize, usize)>,
) -> Vec<Diagnostic> {
    let place = |at: &usize| places.get(at).copied().unwrap_or((0, 0));
    let more = count - drafts.len();
    let mut list: Vec<Diagnostic> = drafts
        .into_iter()
        .map(|draft| {
            let (line, column) = place(&draft.at);
            let mut what = draft.what;
            if let Some(other) = draft.also_at.as_ref() {
                match place(other) {
                    (other, column) if other == line => {
                        what.push_str(&format!(" (see column {column})"));
                    }
                    (other, _) => what.push_str(&format!(" (see line {other})")),
                }
            }
            let feature = draft.feature;
            Diagnostic {
                file: file.to_owned(),
                line,
                column,
                feature,
                severity,
                what,
                mend: draft.mend,
            }
        })
        .collect();
    if more > 0 {
        let (line, column) = list.last().map_or((0, 0), |last| (last.line, last.column));
        list.push(Diagnostic {
            file: file.to_owned(),
            line,
            column,
            feature: None,
            severity,
            what: format!("and {more} more after this place"),
            mend: "mend those above first, then read the plan again".to_owned(),
        });
    }
    list
}

/// Line and column (in characters), both from 1, of each byte offset, in one walk over the text.
fn places(text: &str, offsets: impl Iterator<Item = usize>) -> BTreeMap<usize, (usize, usize)> {
    let mut places: BTreeMap<usize, (usize, usize)> =
        offsets.map(|offset| (offset, (0, 0))).collect();
    let (mut line, mut column) = (1, 1);
    let mut characters = text.char_indices().peekable();
    for (&offset, place) in &mut places {
        while let Some(&(at, character)) = characters.peek() {
            if at >= offset {
                break;
            }
            characters.next();
            if character == '\n' {
                (line, column) = (line + 1, 1);
            } else {
                column += 1;
            }
        }
        *place = (line, column);
    }
    places
}
