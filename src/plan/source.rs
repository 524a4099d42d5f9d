//! The text of a plan before anything is known of its meaning: limits, encoding, syntax.
//!
//! The limits keep a hostile file from costing much time or memory. They are counted in one walk
//! over the bytes before anything is parsed.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use serde::de::IgnoredAny;

use super::diagnostic::Diagnostics;
use super::limits::{MAX_FILE_BYTES, MAX_NESTING, MAX_VALUES};
use super::names::{quoted, shown};

/// Reads a plan's file whole, but never more than [`MAX_FILE_BYTES`].
pub(super) fn bytes_of(path: &Path) -> Result<Vec<u8>, (String, String)> {
    file_bytes(path, MAX_FILE_BYTES, "a GeoJSON file", PLAN_TOO_LARGE)
}

/// How to mend a plan that is too large.
const PLAN_TOO_LARGE: &str =
    "leave out what is not walls, openings and devices, or split the site into several plans";

/// Reads a file whole, but never more than so many bytes; a fault says what is wrong and how to mend it, for a
/// folder that such a file is `expected`, for one that is too large `smaller`.
pub fn file_bytes(
    path: &Path,
    most: usize,
    expected: &str,
    smaller: &str,
) -> Result<Vec<u8>, (String, String)> {
    let trouble = |error: std::io::Error| {
        (format!("the file cannot be read: {error}"), "check its name and its permissions".into())
    };
    let about = std::fs::metadata(path).map_err(trouble)?;
    if !about.is_file() {
        let what = if about.is_dir() { "a folder" } else { "not a regular file" };
        return Err((format!("this is {what}"), format!("give the name of {expected}")));
    }
    let too_large = |bytes: u64| (too_large(bytes, most), smaller.to_owned());
    if about.len() > most as u64 {
        return Err(too_large(about.len()));
    }
    let mut bytes = Vec::new();
    // One byte beyond the limit, so that a file that has grown since is still noticed.
    File::open(path)
        .and_then(|file| file.take(most as u64 + 1).read_to_end(&mut bytes))
        .map_err(trouble)?;
    if bytes.len() > most {
        return Err(too_large(bytes.len() as u64));
    }
    Ok(bytes)
}

fn too_large(bytes: u64, most: usize) -> String {
    format!("the file has {bytes} bytes; at most {most} ({} MiB) are read", most >> 20)
}

/// The text of well-formed JSON within the limits, or nothing after noting why not.
pub(super) fn checked_text<'t>(bytes: &'t [u8], faults: &mut Diagnostics) -> Option<&'t str> {
    if bytes.len() > MAX_FILE_BYTES {
        faults.fault(0, None, || {
            (too_large(bytes.len() as u64, MAX_FILE_BYTES), PLAN_TOO_LARGE.to_owned())
        });
        return None;
    }
    let text = decoded(bytes, faults)?;
    if text.trim().is_empty() {
        faults.fault(0, None, || {
            (
                "the file is empty".to_owned(),
                "a plan is a GeoJSON object: {\"type\": \"FeatureCollection\", \"features\": […]}"
                    .to_owned(),
            )
        });
        return None;
    }
    if !within_limits(text, faults) {
        return None;
    }
    if let Err(error) = serde_json::from_str::<IgnoredAny>(text) {
        let at = offset_of(text, error.line(), error.column());
        syntax_fault(text, at, &error, faults);
        return None;
    }
    Some(text)
}

/// The bytes as UTF-8.
///
/// A byte order mark is a fault because RFC 8259 §8.1 forbids it (from memory); saying so beats a
/// puzzling syntax error.
fn decoded<'t>(bytes: &'t [u8], faults: &mut Diagnostics) -> Option<&'t str> {
    if bytes.starts_with(b"\xef\xbb\xbf") {
        faults.fault(0, None, || {
            (
                "the file begins with a byte order mark, which JSON does not allow".to_owned(),
                "save it as UTF-8 without BOM".to_owned(),
            )
        });
        return None;
    }
    if bytes.starts_with(b"\xff\xfe") || bytes.starts_with(b"\xfe\xff") {
        faults.fault(0, None, || {
            ("the file is UTF-16".to_owned(), "save it as UTF-8 without BOM".to_owned())
        });
        return None;
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Some(text),
        Err(error) => {
            let at = error.valid_up_to();
            let byte = bytes.get(at).copied().unwrap_or_default();
            faults.fault(at, None, || {
                (
                    format!("the file is not UTF-8 text: byte {at} is 0x{byte:02x}"),
                    "save it as UTF-8".to_owned(),
                )
            });
            None
        }
    }
}

/// The bytes of JSON text that stand in no string, with their places; of strings the opening quotation mark.
pub fn outside_strings(text: &str) -> impl Iterator<Item = (usize, u8)> + '_ {
    let (mut in_string, mut escaped) = (false, false);
    text.bytes().enumerate().filter(move |(_, byte)| {
        if !in_string {
            in_string = *byte == b'"';
            return true;
        }
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'"' => in_string = false,
            _ => {}
        }
        false
    })
}

/// Counts nesting and values in one walk that knows no more of JSON than strings and brackets.
fn within_limits(text: &str, faults: &mut Diagnostics) -> bool {
    let (mut depth, mut values) = (0_usize, 0_usize);
    for (at, byte) in outside_strings(text) {
        match byte {
            b'[' | b'{' => {
                depth += 1;
                values += 1;
            }
            b']' | b'}' => depth = depth.saturating_sub(1),
            b',' => values += 1,
            _ => {}
        }
        if depth > MAX_NESTING {
            faults.fault(at, None, || {
                (
                    format!("lists and objects are nested more than {MAX_NESTING} deep"),
                    "a plan needs eight at most; look for brackets too many".to_owned(),
                )
            });
            return false;
        }
        if values > MAX_VALUES {
            faults.fault(at, None, || {
                (
                    format!("the file holds more than {MAX_VALUES} values"),
                    "leave out what is not walls, openings and devices".to_owned(),
                )
            });
            return false;
        }
    }
    true
}

/// Byte offset of a line and a column in bytes, both from 1.
fn offset_of(text: &str, line: usize, column: usize) -> usize {
    let mut start = 0;
    for _ in 1..line {
        match text.get(start..).and_then(|rest| rest.find('\n')) {
            Some(end) => start += end + 1,
            None => break,
        }
    }
    let mut at = (start + column.saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Notes a syntax error, with a hint where the token is a known slip.
fn syntax_fault(text: &str, at: usize, error: &serde_json::Error, faults: &mut Diagnostics) {
    let before = text.get(..at).unwrap_or_default();
    let rest = text.get(at..).unwrap_or_default();
    let (word_start, word) = word_at(text, at);
    let trimmed = before.trim_end();
    let reason = error.to_string();
    let reason = reason.split(" at line ").next().unwrap_or_default();
    let (place, what, mend) = if error.is_eof() {
        let what = "not JSON: the file ends too early".to_owned();
        (text.trim_end().len(), what, "it may be cut off: brackets or quotation marks stay open")
    } else if is_not_finite(word) {
        let what = format!("not JSON: {} is not a number that JSON knows", quoted(word));
        (word_start, what, "every coordinate and property needs a finite number")
    } else if rest.starts_with('/') || rest.starts_with('#') {
        (at, "not JSON: a comment".to_owned(), "JSON has no comments; take it out")
    } else if rest.starts_with([']', '}']) && trimmed.ends_with(',') {
        let what = "not JSON: a comma before a closing bracket".to_owned();
        (trimmed.len() - 1, what, "take the comma out")
    } else if rest.starts_with('\'') {
        (at, "not JSON: a single quotation mark".to_owned(), "text needs double ones: \"…\"")
    } else if reason.starts_with("trailing characters") {
        (at, "not JSON: more text after the end of the plan".to_owned(), "a file holds one object")
    } else {
        let length = rest.chars().next().map_or(0, char::len_utf8);
        let found = shown(rest.get(..length).unwrap_or_default());
        let what = format!("not JSON: {reason}, found `{found}`");
        (at, what, "look for a missing comma, colon or quotation mark just before this place")
    };
    faults.fault(place, None, || (what, mend.to_owned()));
}

fn is_part_of_word(character: char) -> bool {
    character.is_ascii_alphanumeric() || matches!(character, '+' | '-' | '.' | '_')
}

/// The word that a byte lies in, and where it begins: parsers differ in where in it they stop.
fn word_at(text: &str, at: usize) -> (usize, &str) {
    let before = text.get(..at).unwrap_or_default();
    let rest = text.get(at..).unwrap_or_default();
    let start = before.trim_end_matches(is_part_of_word).len();
    let end = text.len() - rest.trim_start_matches(is_part_of_word).len();
    (start, text.get(start..end).unwrap_or_default())
}

fn is_not_finite(word: &str) -> bool {
    let bare = word.trim_start_matches(['+', '-']).to_ascii_lowercase();
    ["nan", "inf", "infinity"].contains(&bare.as_str())
}
