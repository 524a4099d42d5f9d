//! Tables of text with a heading: CSV as spreadsheets write it, and rows for them to read.
//!
//! A spreadsheet takes a text that begins with one of `=+-@` for a formula and may run it: such a
//! text is written with an apostrophe before it ([`text_cell`]), which reading takes off.

use std::borrow::Cow;

/// What may stand between fields; of equals the first wins.
pub const DELIMITERS: [char; 4] = ['\t', ';', '|', ','];

/// How to fix a row that has more cells than its heading, by what stands between them.
#[must_use]
pub fn fix_surplus(delimiter: Option<char>) -> &'static str {
    match delimiter {
        Some(',') => {
            "a decimal comma needs a point or quotation marks, for commas stand between fields"
        }
        _ => "put a field that holds the delimiter into quotation marks",
    }
}

/// Most columns of a table (our own choice, no source).
const MAX_COLUMNS: usize = 200;

/// The rows of a table, one after the other: blank lines are passed over.
#[derive(Debug, Clone)]
pub struct Table<'t> {
    text: &'t str,
    /// Byte at which what is not read yet begins.
    from: usize,
    line: usize,
    delimiter: Option<char>,
    has_heading: bool,
}

/// A line of a table.
#[derive(Debug, Clone)]
pub struct Row<'t> {
    /// Byte at which it begins.
    pub at: usize,
    /// Number of its first line, from 1.
    pub line: usize,
    /// What it holds.
    pub holds: Holds<'t>,
}

/// What a line of a table holds.
#[derive(Debug, Clone)]
pub enum Holds<'t> {
    /// A comment, without `#`, and without what a spreadsheet puts round it.
    Comment(&'t str),
    /// Fields.
    Fields(Vec<Cow<'t, str>>),
    /// A quotation mark that is not closed.
    OpenQuote,
}

impl<'t> Table<'t> {
    /// The table of a text.
    #[must_use]
    pub fn new(text: &'t str) -> Self {
        Self { text, from: 0, line: 0, delimiter: None, has_heading: false }
    }

    /// What stands between fields; known from the heading on.
    #[must_use]
    pub fn delimiter(&self) -> Option<char> {
        self.delimiter
    }

    /// The next line that is not blank; the first that is no comment is the heading. What stands
    /// between fields is what gives the most headings that are `known`, if no line `sep=;` before
    /// it says it. With `many_lines` a field in quotation marks may go over several lines.
    pub fn next(&mut self, known: impl Fn(&str) -> bool, many_lines: bool) -> Option<Row<'t>> {
        loop {
            let at = self.from;
            let rest = self.text.get(at..).filter(|rest| !rest.is_empty())?;
            let whole = rest.split_inclusive('\n').next().unwrap_or(rest);
            self.from += whole.len();
            self.line += 1;
            let line = whole.trim_end_matches(['\n', '\r']);
            let bare = line.trim();
            if bare.chars().all(|sign| sign.is_whitespace() || DELIMITERS.contains(&sign)) {
                continue;
            }
            let mut row = Row { at, line: self.line, holds: Holds::OpenQuote };
            // A spreadsheet may put a comment into quotation marks; below the heading that is a
            // field.
            let unquoted = if self.has_heading { bare } else { bare.trim_start_matches('"') };
            if let Some(comment) = unquoted.strip_prefix('#') {
                let comment = comment.trim_end_matches([',', ';', '\t', '|', '"', ' ']);
                row.holds = Holds::Comment(comment);
                return Some(row);
            }
            if let (false, Some(hint)) = (self.has_heading, hint(bare)) {
                self.delimiter = Some(hint);
                continue;
            }
            self.has_heading = true;
            let delimiter = *self.delimiter.get_or_insert_with(|| delimiter_of(line, &known));
            if let Some((fields, left)) = fields(if many_lines { rest } else { line }, delimiter) {
                row.holds = Holds::Fields(fields);
                if many_lines {
                    self.go_on_behind(self.text.len() - left.len());
                }
            }
            return Some(row);
        }
    }

    /// Passes over the lines that a row took beyond its first; it ends at this byte.
    fn go_on_behind(&mut self, end: usize) {
        if let Some(rest) = self.text.get(end..).filter(|_| end > self.from) {
            let next = rest.find('\n').map_or(self.text.len(), |line_end| end + line_end + 1);
            let more = self.text.get(self.from..next).unwrap_or_default();
            self.line += more.matches('\n').count();
            self.from = next;
        }
    }
}

/// Whether a spreadsheet takes a text for a formula, or a reader a line with it for a comment;
/// apostrophes before it left aside.
fn is_formula(text: &str) -> bool {
    text.trim_start_matches('\'').starts_with(['=', '+', '-', '@', '#', '\t', '\r'])
}

/// A text as a cell that no spreadsheet takes for a formula and no reader for a comment. Numbers
/// need none of it.
#[must_use]
pub fn text_cell(text: &str) -> Cow<'_, str> {
    if is_formula(text) { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

/// The text that [`text_cell`] made a cell of.
fn text_of(cell: Cow<'_, str>) -> Cow<'_, str> {
    match cell {
        cell if !cell.starts_with('\'') || !is_formula(&cell) => cell,
        Cow::Borrowed(cell) => Cow::Borrowed(cell.get(1..).unwrap_or_default()),
        Cow::Owned(cell) => Cow::Owned(cell.get(1..).unwrap_or_default().to_owned()),
    }
}

/// Cells as a line of CSV with its end: commas between them, and quotation marks round what needs
/// them, be it only in the eyes of a reader that looks for other delimiters.
#[must_use]
pub fn line<C: AsRef<str>>(cells: impl IntoIterator<Item = C>) -> String {
    let special = |sign: char| DELIMITERS.contains(&sign) || matches!(sign, '"' | '\n' | '\r');
    let mut line = String::new();
    for (number, cell) in cells.into_iter().enumerate() {
        let cell = cell.as_ref();
        line.push_str(if number > 0 { "," } else { "" });
        if cell.contains(special) || cell.trim() != cell {
            line.extend(["\"", &cell.replace('"', "\"\""), "\""]);
        } else {
            line.push_str(cell);
        }
    }
    line.push('\n');
    line
}

/// The delimiter that a first line `sep=;` announces.
fn hint(line: &str) -> Option<char> {
    let named = line.get(..4)?.eq_ignore_ascii_case("sep=");
    let mut rest = line.get(4..)?.chars();
    let delimiter = rest.next().unwrap_or('\t');
    (named && rest.next().is_none() && DELIMITERS.contains(&delimiter)).then_some(delimiter)
}

/// The delimiter that gives a heading the most names that are known; of equals the most names.
fn delimiter_of(heading: &str, known: &impl Fn(&str) -> bool) -> char {
    let count = |delimiter: &char| {
        let names = fields(heading, *delimiter).unwrap_or_default().0;
        (names.iter().filter(|name| known(name)).count(), names.len())
    };
    DELIMITERS.into_iter().rev().max_by_key(count).unwrap_or(',')
}

/// The fields of a row, [`MAX_COLUMNS`] at most and one more, and the text from where it ends;
/// `None` if a quotation mark is not closed.
fn fields(text: &str, delimiter: char) -> Option<(Vec<Cow<'_, str>>, &str)> {
    let mut fields = Vec::new();
    let mut rest = text;
    while fields.len() <= MAX_COLUMNS {
        let (quoted, behind) = match rest.trim_start_matches(' ').strip_prefix('"') {
            Some(inner) => quoted_field(inner).map(|(field, behind)| (Some(field), behind))?,
            None => (None, rest),
        };
        // What stands between the closing mark and the delimiter is not for us.
        let end = behind.find([delimiter, '\n']).unwrap_or(behind.len());
        let (bare, after) = behind.split_at(end);
        fields.push(text_of(quoted.unwrap_or(Cow::Borrowed(bare))));
        match after.strip_prefix(delimiter) {
            Some(next) => rest = next,
            None => return Some((fields, after)),
        }
    }
    Some((fields, rest))
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
        let plain = || Cow::Owned(field.replace("\"\"", "\""));
        return Some((if from > 0 { plain() } else { Cow::Borrowed(field) }, after));
    }
}
