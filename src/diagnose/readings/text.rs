//! From bytes to text: spreadsheets save UTF-8 with a mark, UTF-16 or Latin-1.

use std::borrow::Cow;

use super::faults::{Place, RowFaults};

/// The text, or nothing after saying why not.
pub(super) fn decoded<'b>(bytes: &'b [u8], faults: &mut RowFaults) -> Option<Cow<'b, str>> {
    let text = match bytes {
        [0xff, 0xfe, rest @ ..] => utf_16(rest, u16::from_le_bytes, faults)?,
        [0xfe, 0xff, rest @ ..] => utf_16(rest, u16::from_be_bytes, faults)?,
        _ => {
            let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
            match std::str::from_utf8(bytes) {
                Ok(text) => Cow::Borrowed(text),
                Err(error) => {
                    let good = bytes.get(..error.valid_up_to()).unwrap_or_default();
                    let line = 1 + good.iter().filter(|byte| **byte == b'\n').count();
                    faults.warning(Place::line(line), None, || {
                        (
                            "the file is not UTF-8 text: it is read as Latin-1".to_owned(),
                            "save it as UTF-8 if letters with accents look wrong".to_owned(),
                        )
                    });
                    Cow::Owned(bytes.iter().map(|byte| char::from(*byte)).collect())
                }
            }
        }
    };
    if text.contains('\0') {
        faults.file_fault((
            "the file is not text".to_owned(),
            "save the table as CSV, in UTF-8".to_owned(),
        ));
        return None;
    }
    Some(text)
}

fn utf_16<'b>(
    bytes: &[u8],
    unit: fn([u8; 2]) -> u16,
    faults: &mut RowFaults,
) -> Option<Cow<'b, str>> {
    let pairs = bytes.chunks_exact(2);
    let whole = pairs.remainder().is_empty();
    let units = pairs.map(|pair| unit([pair[0], pair[1]]));
    let text: Result<String, _> = char::decode_utf16(units).collect();
    match text {
        Ok(text) if whole => Some(Cow::Owned(text)),
        _ => {
            faults.file_fault((
                "the file begins like UTF-16 text and is none".to_owned(),
                "save it as UTF-8".to_owned(),
            ));
            None
        }
    }
}
