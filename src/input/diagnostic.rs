//! What is wrong with a file, where, and how to fix it.
//!
//! [`Diagnostics`] gathers while a file is read; every fault remembers a byte offset only. Lines
//! and columns are worked out once, at the end, in a single walk over the text. Memory stays
//! bounded: of each severity the first [`MAX_LISTED`] by place are kept and the rest are counted.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::num::NonZeroU32;
use std::ops::Range;

use crate::shown::{shown, tame};

/// How many faults, and how many warnings, are listed; one more entry then says how many follow.
pub const MAX_LISTED: usize = 200;

/// How bad a [`Diagnostic`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The file, or the row of a table, cannot be used.
    Error,
    /// It can be used; something in it is doubtful.
    Warning,
}

/// One thing that is wrong or doubtful in a file.
///
/// `Display` gives two lines: severity, place, feature and what is wrong; then how to fix it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// Name of the file, as the caller gave it.
    pub file: String,
    /// Line, from 1; 0 where the fault has no place in the text (a file that cannot be read).
    pub line: usize,
    /// Column in characters, from 1; 0 where the fault is a whole line's, or has no place.
    pub column: usize,
    /// Number of the entry in a JSON list of readings, from 1; `None` elsewhere.
    pub entry: Option<NonZeroU32>,
    /// Id of the feature, or name of the table's column as the file has it, where the fault belongs
    /// to one (shortened, without control characters).
    pub feature: Option<String>,
    /// Whether the file, or the row, can still be used.
    pub severity: Severity,
    /// What is wrong.
    pub what: String,
    /// How to fix it.
    pub fix: String,
}

impl Diagnostic {
    /// A fault of a file at a line and column, both from 1; zeros for the file as a whole.
    pub fn at(
        file: &str,
        (line, column): (usize, usize),
        what: impl Into<String>,
        fix: impl Into<String>,
    ) -> Self {
        Self {
            file: file.to_owned(),
            line,
            column,
            entry: None,
            feature: None,
            severity: Severity::Error,
            what: what.into(),
            fix: fix.into(),
        }
    }
}

/// Line and column in characters, from 1, of a byte of a text.
pub fn place_of_byte(text: &str, byte: usize) -> (usize, usize) {
    places(text, std::iter::once(byte)).into_values().next().unwrap_or((1, 1))
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let severity = if self.severity == Severity::Error { "fault" } else { "warning" };
        write!(out, "{severity}  {}", tame(&self.file))?;
        for number in [self.line, self.column].into_iter().filter(|number| *number > 0) {
            write!(out, ":{number}")?;
        }
        out.write_str("  ")?;
        let entry = self.entry.map(|entry| format!("entry {entry}"));
        let about: Vec<String> = entry.into_iter().chain(self.feature.clone()).collect();
        if !about.is_empty() {
            write!(out, "{}: ", about.join(", "))?;
        }
        write!(out, "{}\n        fix: {}", self.what, self.fix)
    }
}

impl std::error::Error for Diagnostic {}

/// Where a fault stands, and what it belongs to.
#[derive(Debug, Clone, Copy, Default)]
pub struct Spot<'s> {
    /// Byte of the text; `None` for the file as a whole.
    pub at: Option<usize>,
    /// A second byte, whose line is added to what is wrong.
    pub also_at: Option<usize>,
    /// As [`Diagnostic::entry`].
    pub entry: Option<usize>,
    /// As [`Diagnostic::feature`].
    pub feature: Option<&'s str>,
}

/// The first faults by place, as many as are listed, and the count of all.
#[derive(Debug, Default)]
struct Listed {
    /// By byte and, at one place, in order of discovery; with a second byte. No lines yet.
    first: BTreeMap<(Option<usize>, usize), (Option<usize>, Diagnostic)>,
    seen: usize,
}

/// Where faults are gathered while a file is read.
#[derive(Debug)]
pub struct Diagnostics {
    file: String,
    most: usize,
    whole_lines: bool,
    lists: [Listed; 2],
    pieces: Vec<Range<usize>>,
    faulty: BTreeSet<usize>,
    elsewhere: usize,
}

/// A fault or warning with the byte of the text where it is, if it is at one.
pub type Placed = (Option<usize>, Diagnostic);

impl Diagnostics {
    /// Nothing wrong so far with the file of this name.
    #[must_use]
    pub fn new(file: &str) -> Self {
        let lists = [Listed::default(), Listed::default()];
        let (file, most, pieces, faulty) =
            (file.to_owned(), MAX_LISTED, Vec::new(), BTreeSet::new());
        Self { file, most, whole_lines: false, lists, pieces, faulty, elsewhere: 0 }
    }

    /// The same for a table: faults belong to whole lines, and up to `most` are listed.
    #[must_use]
    pub fn of_rows(file: &str, most: usize) -> Self {
        Self { most, whole_lines: true, ..Self::new(file) }
    }

    /// How many faults there are.
    #[must_use]
    pub fn count(&self) -> usize {
        self.lists[0].seen
    }

    /// Keeps from now on which pieces of the text have a fault. They are in order and apart.
    pub fn watch(&mut self, pieces: Vec<Range<usize>>) {
        self.pieces = pieces;
    }

    /// The piece in which a byte is, by its number.
    #[must_use]
    pub fn piece_at(&self, byte: usize) -> Option<usize> {
        let next = self.pieces.partition_point(|piece| piece.start <= byte);
        let number = next.checked_sub(1)?;
        self.pieces.get(number)?.contains(&byte).then_some(number)
    }

    /// The numbers of all pieces that have a fault, whether it is listed or not.
    #[must_use]
    pub fn faulty_pieces(&self) -> &BTreeSet<usize> {
        &self.faulty
    }

    /// The same pieces without a fault so far; of what is noted nothing will be listed.
    #[must_use]
    pub fn emptied(&self) -> Self {
        Self { most: 0, pieces: self.pieces.clone(), ..Self::new("") }
    }

    /// How many faults are in no piece.
    #[must_use]
    pub fn faults_elsewhere(&self) -> usize {
        self.elsewhere
    }

    /// Whether the file is beyond use.
    #[must_use]
    pub fn any_fault(&self) -> bool {
        self.count() > 0
    }

    /// Notes a fault; `words` (what is wrong, how to fix it) is asked only if it will be listed.
    pub fn fault<A: Into<String>, B: Into<String>>(
        &mut self,
        at: impl Into<Option<usize>>,
        feature: Option<&str>,
        words: impl FnOnce() -> (A, B),
    ) {
        self.note(Severity::Error, Spot { at: at.into(), feature, ..Spot::default() }, words);
    }

    /// Notes a fault that has a second place, whose line is added to what is wrong.
    pub fn fault_with_other<A: Into<String>, B: Into<String>>(
        &mut self,
        at: usize,
        other: usize,
        feature: Option<&str>,
        words: impl FnOnce() -> (A, B),
    ) {
        let spot = Spot { at: Some(at), also_at: Some(other), feature, entry: None };
        self.note(Severity::Error, spot, words);
    }

    /// Notes a warning.
    pub fn warning<A: Into<String>, B: Into<String>>(
        &mut self,
        at: usize,
        feature: Option<&str>,
        words: impl FnOnce() -> (A, B),
    ) {
        self.note(Severity::Warning, Spot { at: Some(at), feature, ..Spot::default() }, words);
    }

    /// Notes a fault or a warning; `words` is asked only if it will be listed.
    pub fn note<A: Into<String>, B: Into<String>>(
        &mut self,
        severity: Severity,
        spot: Spot<'_>,
        words: impl FnOnce() -> (A, B),
    ) {
        if severity == Severity::Error {
            match spot.at.and_then(|at| self.piece_at(at)) {
                Some(number) => drop(self.faulty.insert(number)),
                None => self.elsewhere += 1,
            }
        }
        let listed = &mut self.lists[severity as usize];
        let key = (spot.at, listed.seen);
        listed.seen += 1;
        let is_full = listed.first.len() >= self.most;
        if is_full && listed.first.last_key_value().is_none_or(|(last, _)| key > *last) {
            return;
        }
        let (what, fix) = words();
        let fault = Diagnostic {
            entry: spot.entry.and_then(|entry| NonZeroU32::new(u32::try_from(entry).ok()?)),
            feature: spot.feature.map(shown),
            severity,
            ..Diagnostic::at(&self.file, (0, 0), what, fix)
        };
        listed.first.insert(key, (spot.also_at, fault));
        if is_full {
            listed.first.pop_last();
        }
    }

    /// Everything noted, in order of place: faults, and warnings.
    #[must_use]
    pub fn finish(self, text: &str) -> (Vec<Diagnostic>, Vec<Diagnostic>) {
        let without_bytes = |list: Vec<Placed>| list.into_iter().map(|(_, it)| it).collect();
        let [faults, warnings] = self.finish_lists(text).map(without_bytes);
        (faults, warnings)
    }

    /// The same in one list, as [`merged`] puts it, each with its byte.
    #[must_use]
    pub fn finish_placed(self, text: &str) -> Vec<Placed> {
        let mut all = self.finish_lists(text).concat();
        all.sort_by_key(|(_, fault)| order(fault));
        all
    }

    fn finish_lists(self, text: &str) -> [Vec<Placed>; 2] {
        let listed = self.lists.iter().flat_map(|listed| &listed.first);
        let offsets = listed.flat_map(|((at, _), (also_at, _))| [*at, *also_at]).flatten();
        let places = places(text, offsets);
        self.lists.map(|listed| finish_list(listed, &places, self.whole_lines))
    }
}

/// Diagnostics and warnings in one list, by place; a fault before a warning at the same place.
#[must_use]
pub fn merged(faults: Vec<Diagnostic>, warnings: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let mut all = [faults, warnings].concat();
    all.sort_by_key(order);
    all
}

fn order(fault: &Diagnostic) -> (usize, usize, Severity) {
    (fault.line, fault.column, fault.severity)
}

fn finish_list(
    listed: Listed,
    places: &BTreeMap<usize, (usize, usize)>,
    whole_lines: bool,
) -> Vec<Placed> {
    let more = listed.seen - listed.first.len();
    let place = |at: Option<usize>| places.get(&at?).copied();
    let finish = |((at, _), (also_at, mut fault)): (_, (_, Diagnostic))| {
        (fault.line, fault.column) = place(at).unwrap_or((0, 0));
        if let Some((line, column)) = place(also_at) {
            let in_line = line == fault.line && !whole_lines;
            let (what, number) = if in_line { ("column", column) } else { ("line", line) };
            fault.what.push_str(&format!(" (see {what} {number})"));
        }
        if whole_lines {
            fault.column = 0;
        }
        (at, fault)
    };
    let mut list: Vec<Placed> = listed.first.into_iter().map(finish).collect();
    if let (Some((_, last)), 1..) = (list.last().cloned(), more) {
        let rest = Diagnostic {
            feature: None,
            what: format!("and {more} more after this place"),
            fix: "fix those above first, then run this again".to_owned(),
            ..last
        };
        list.push((None, rest));
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
            (line, column) = if character == '\n' { (line + 1, 1) } else { (line, column + 1) };
        }
        *place = (line, column);
    }
    places
}
