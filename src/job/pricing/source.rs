//! Files of the business, and what is wrong with them.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

use super::MAX_TEXT_BYTES;
use plan::{Diagnostic, place_of_byte};

/// Most characters of the user's text that a message repeats.
const LONGEST_SHOWN: usize = 60;

/// The user's text as a message shows it: in quotation marks, cut, control characters spelt out.
pub(super) fn quoted(text: &str) -> String {
    let mut shown: String = text.chars().take(LONGEST_SHOWN).collect();
    if text.chars().nth(LONGEST_SHOWN).is_some() {
        shown.push('…');
    }
    format!("{shown:?}")
}

/// All bytes of a file that is no larger than allowed, or why not: what is wrong and how to mend
/// it.
pub(super) fn bytes(path: &Path, most: u64) -> Result<Vec<u8>, (String, String)> {
    let unread = |error: &std::io::Error| {
        (
            format!("the file cannot be read: {error}"),
            "check the path and who may read the file".to_owned(),
        )
    };
    let known = std::fs::metadata(path).map_err(|error| unread(&error))?;
    if !known.is_file() {
        return Err(("this is no file".to_owned(), "give the path of a file".to_owned()));
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(|error| unread(&error))?;
    file.take(most + 1).read_to_end(&mut bytes).map_err(|error| unread(&error))?;
    if bytes.len() as u64 > most {
        return Err((
            format!("the file is larger than {} KiB", most / 1024),
            "is it the right file? If so, make it smaller".to_owned(),
        ));
    }
    Ok(bytes)
}

/// The text of a file, without a byte order mark.
pub(super) fn text(path: &Path) -> Result<String, Diagnostic> {
    let file = path.display().to_string();
    let bytes = bytes(path, MAX_TEXT_BYTES)
        .map_err(|(what, mend)| Diagnostic::at(&file, (0, 0), what, mend))?;
    match String::from_utf8(bytes) {
        Ok(text) => Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text)),
        Err(error) => {
            let good = error.utf8_error().valid_up_to();
            let before = error.as_bytes().get(..good).unwrap_or_default();
            let before = String::from_utf8_lossy(before);
            Err(Diagnostic::at(
                &file,
                place_of_byte(&before, good),
                "the text is not UTF-8",
                "save the file as UTF-8",
            ))
        }
    }
}
