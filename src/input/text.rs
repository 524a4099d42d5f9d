//! From the bytes of a file to its text, alike for every reader.

use std::borrow::Cow;
use std::fs::File;
use std::io::Read as _;
use std::ops::RangeInclusive;
use std::path::Path;

use encoding_rs::{Encoding, WINDOWS_1252};

use crate::diagnostic::{Diagnostic, Diagnostics};

/// The text of a file, and what is doubtful in it.
#[derive(Debug, Clone)]
pub struct FileText {
    /// The text, without a byte-order mark.
    pub text: String,
    /// Warnings, in order of place.
    pub warnings: Vec<Diagnostic>,
}

/// Reads a file whole, but never more than so many bytes. A folder gets the hint that such a file
/// is `expected`, a file that is too large the hint `smaller`.
///
/// # Errors
/// A fault without a place: the file is missing, unreadable, too large or not a regular file.
pub fn file_bytes(
    path: &Path,
    most: usize,
    expected: &str,
    smaller: &str,
) -> Result<Vec<u8>, Box<Diagnostic>> {
    let fault = |what: String, fix: &str| {
        Box::new(Diagnostic::at(&path.display().to_string(), (0, 0), what, fix))
    };
    let trouble = |error: std::io::Error| {
        fault(format!("the file cannot be read: {error}"), "check its name and its permissions")
    };
    let about = std::fs::metadata(path).map_err(trouble)?;
    if !about.is_file() {
        let what = if about.is_dir() { "a folder" } else { "not a regular file" };
        return Err(fault(format!("it is {what}"), &format!("give the name of {expected}")));
    }
    if about.len() > most as u64 {
        return Err(fault(too_large(about.len(), most), smaller));
    }
    let mut bytes = Vec::new();
    // One byte beyond the limit, so that a file that has grown since is still noticed.
    File::open(path)
        .and_then(|file| file.take(most as u64 + 1).read_to_end(&mut bytes))
        .map_err(trouble)?;
    if bytes.len() > most {
        return Err(fault(too_large(bytes.len() as u64, most), smaller));
    }
    Ok(bytes)
}

/// What is wrong with a file of so many bytes, where `most` are read.
#[must_use]
pub fn too_large(bytes: u64, most: usize) -> String {
    let size =
        if most < 1 << 20 { format!("{} KiB", most >> 10) } else { format!("{} MiB", most >> 20) };
    format!("the file has {bytes} bytes, more than {most} ({size})")
}

/// Reads a file of text; the limits and hints are those of [`file_bytes`].
///
/// # Errors
/// As [`file_bytes`], and a fault for what [`decoded`] takes for no text.
pub fn file_text(
    path: &Path,
    most: usize,
    expected: &str,
    smaller: &str,
) -> Result<FileText, Vec<Diagnostic>> {
    let bytes = file_bytes(path, most, expected, smaller).map_err(|fault| vec![*fault])?;
    let mut faults = Diagnostics::new(&path.display().to_string());
    match decoded(&bytes, &mut faults) {
        Some(text) => {
            let warnings = faults.finish(&text).1;
            Ok(FileText { text: text.into_owned(), warnings })
        }
        None => Err(faults.finish("").0),
    }
}

/// The text of a file, without a byte-order mark; nothing after noting why not.
///
/// UTF-8, UTF-16 with a mark, or whatever else as Windows-1252, in which the printable letters of
/// Latin-1 have the same bytes; for the last there is a warning at the first byte that is not
/// UTF-8.
pub fn decoded<'b>(bytes: &'b [u8], faults: &mut Diagnostics) -> Option<Cow<'b, str>> {
    let (encoding, mark) = Encoding::for_bom(bytes).unwrap_or((encoding_rs::UTF_8, 0));
    let bytes = bytes.get(mark..).unwrap_or_default();
    let text = match encoding.decode_without_bom_handling_and_without_replacement(bytes) {
        Some(text) => text,
        None if encoding != encoding_rs::UTF_8 => {
            let what = "the file begins like UTF-16 but is not UTF-16";
            faults.fault(0, None, || (what, "save it as UTF-8"));
            return None;
        }
        None => {
            let sound = Encoding::utf8_valid_up_to(bytes);
            let before = one_byte_each(bytes.get(..sound).unwrap_or_default());
            let what = "the file is not UTF-8, so it is read as Latin-1";
            let fix = "save it as UTF-8 if letters with accents look wrong";
            faults.warning(before.len(), None, || (what, fix));
            one_byte_each(bytes)
        }
    };
    if text.contains('\0') {
        faults.fault(0, None, || ("the file is not text", "save it as text, in UTF-8"));
        return None;
    }
    Some(text)
}

/// A piece of text in a file that mixes encodings: UTF-8 or, failing that, Windows-1252.
#[must_use]
pub fn letters(bytes: &[u8]) -> Cow<'_, str> {
    std::str::from_utf8(bytes).map_or_else(|_| one_byte_each(bytes), Cow::Borrowed)
}

/// An encoding of two bytes a letter, with the first and second bytes of its common letters.
type Set = (&'static Encoding, RangeInclusive<u8>, RangeInclusive<u8>);

/// An encoding of the time before Unicode, as files name it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Codepage(&'static Encoding);

impl Codepage {
    /// The one of a name such as `ANSI_932`, `windows-1251` or `GB2312`; nothing for one that is
    /// not known.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let name = name.trim();
        let number = name.rsplit_once('_').map(|(_, number)| number);
        // Those of several bytes a letter have names, the others numbers (from memory).
        let label = match number {
            Some("932") => "shift_jis",
            Some("936") => "gbk",
            Some("949") => "euc-kr",
            Some("950") => "big5",
            Some(number) => return Self::labelled(&format!("windows-{number}")),
            None => name,
        };
        Self::labelled(label)
    }

    fn labelled(label: &str) -> Option<Self> {
        Encoding::for_label(label.as_bytes()).map(Self)
    }

    /// The one of Japan or China that lines of no named encoding are plainly written in: nearly all
    /// letters beyond ASCII are kana or common ideographs, several in a row. Letters of the West
    /// stand alone among those of ASCII, and Cyrillic words have odd numbers of bytes, too.
    #[must_use]
    pub fn guessed(bytes: &[u8]) -> Option<Self> {
        /// Most lines that are looked at (our own choice).
        const MOST: usize = 2_000;
        let is_foreign = |line: &&[u8]| !line.is_ascii() && std::str::from_utf8(line).is_err();
        let lines = bytes.split(|byte| *byte == b'\n').map(<[u8]>::trim_ascii);
        let lines: Vec<&[u8]> = lines.filter(is_foreign).take(MOST).collect();
        // The first bytes of kana and common ideographs (the sets' tables, from memory).
        let sets: [Set; 2] = [
            (encoding_rs::SHIFT_JIS, 0x82..=0x97, 0x40..=0xfc),
            (encoding_rs::GBK, 0xb0..=0xd7, 0xa1..=0xfe),
        ];
        let fits = |(encoding, first, second): &Set| {
            let (mut common, mut beyond, mut in_a_row) = (0, 0, false);
            for line in &lines {
                let Some(text) = encoding.decode_without_bom_handling_and_without_replacement(line)
                else {
                    return false;
                };
                let (mut at, mut row) = (0, 0);
                for letter in text.chars() {
                    let two = line.get(at..at + 2).unwrap_or_default();
                    let is_common = matches!(two, [a, b] if first.contains(a) && second.contains(b))
                        && matches!(letter, '\u{3040}'..='\u{30ff}' | '\u{4e00}'..='\u{9fff}');
                    row = if is_common { row + 1 } else { 0 };
                    in_a_row |= row >= 2;
                    common += usize::from(is_common);
                    beyond += usize::from(!letter.is_ascii());
                    // Kana of half the width have one byte.
                    let is_one = letter.is_ascii() || ('\u{ff61}'..='\u{ff9f}').contains(&letter);
                    at += if is_one { 1 } else { 2 };
                }
            }
            in_a_row && common >= 3 && 5 * common >= 4 * beyond
        };
        sets.iter().find(|set| fits(set)).map(|set| Self(set.0))
    }

    /// The letters of some bytes in it; but UTF-8 where they are that, and no less likely.
    #[must_use]
    pub fn letters(self, bytes: &[u8]) -> Cow<'_, str> {
        let is_short = |c: char| !c.is_ascii() && c < '\u{800}';
        match std::str::from_utf8(bytes) {
            // Two bytes of a letter of East Asia may look like one letter of UTF-8.
            Ok(text) if self.0.is_single_byte() || !text.contains(is_short) => Cow::Borrowed(text),
            read => {
                let own = self.0.decode_without_bom_handling_and_without_replacement(bytes);
                own.unwrap_or_else(|| read.map_or_else(|_| one_byte_each(bytes), Cow::Borrowed))
            }
        }
    }
}

fn one_byte_each(bytes: &[u8]) -> Cow<'_, str> {
    WINDOWS_1252.decode_without_bom_handling(bytes).0
}

/// The text with line feeds where it ends its lines with carriage returns alone.
#[must_use]
pub fn with_line_feeds(text: Cow<'_, str>) -> Cow<'_, str> {
    if text.contains('\r') && !text.contains('\n') {
        return Cow::Owned(text.replace('\r', "\n"));
    }
    text
}
