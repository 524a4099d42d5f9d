//! What is looked at before a file is read: whether it is protected, and how much it unpacks to.
//!
//! The library that reads the file unpacks whole streams. So every stream is unpacked once before,
//! into nothing, and counted; what is packed in ways that cannot be counted so counts as if it grew
//! as far as such packing can.

use std::borrow::Cow;
use std::io::{Read as _, copy, sink};

use flate2::read::ZlibDecoder;
use hayro_syntax::object::Stream;

/// Most that all streams may unpack to, bytes (our own choice: far beyond a sheet of plans).
const MOST: u64 = 256 << 20;
/// How many times as long as it was a stream can become, at most: LZW with a table of 4096 rows.
const LONGER: u64 = 1_400;

/// Why a file is not read, and how to help it.
pub(super) type Trouble = (String, &'static str);

/// Goes through the streams of a file.
///
/// # Errors
/// A file that is protected, and one that unpacks to more than is read.
pub(super) fn check(bytes: &[u8]) -> Result<(), Trouble> {
    let mut all: u64 = 0;
    let mut at = 0;
    while let Some(begin) = find(bytes, at, b"stream") {
        let dictionary = &bytes[at..begin];
        check_open(dictionary)?;
        let data = &bytes[begin + b"stream".len()..];
        let line_end = data.iter().take_while(|byte| matches!(byte, b'\r' | b'\n')).count().min(2);
        let data = &data[line_end..];
        let ends = find(data, 0, b"endstream").unwrap_or(data.len());
        all = all.saturating_add(grown(dictionary, data, ends, MOST.saturating_sub(all)));
        if all > MOST {
            return Err(too_much());
        }
        let skipped = if ends < data.len() { ends + b"endstream".len() } else { ends };
        at = bytes.len() - data.len() + skipped;
    }
    check_open(&bytes[at..])
}

/// What is said of a file that unpacks to more than is read.
fn too_much() -> Trouble {
    let what = format!("what the PDF holds unpacks to more than {} MiB", MOST >> 20);
    (what, "print the page with the floor plan alone into a new PDF, without pictures")
}

/// What streams hold one after another, each as often as it is named.
///
/// # Errors
/// As [`check`].
pub(super) fn joined<'a>(streams: impl Iterator<Item = Stream<'a>>) -> Result<Vec<u8>, Trouble> {
    let mut data = Vec::new();
    for stream in streams {
        data.extend_from_slice(&unpacked(&stream).unwrap_or_default());
        data.push(b'\n');
        if data.len() as u64 > MOST {
            return Err(too_much());
        }
    }
    Ok(data)
}

/// What a stream holds, unpacked; [`check`] has looked how much that is.
pub(super) fn unpacked<'a>(stream: &Stream<'a>) -> Option<Cow<'a, [u8]>> {
    stream.decoded_data().ok()
}

fn check_open(between: &[u8]) -> Result<(), Trouble> {
    if find(between, 0, b"/Encrypt").is_none() {
        return Ok(());
    }
    let fix = "open it, and print or export it again as a PDF without protection";
    Err(("the PDF is protected (encrypted), and is not read".to_owned(), fix))
}

/// What a stream unpacks to, bytes, or anything above `most`.
fn grown(dictionary: &[u8], data: &[u8], ends: usize, most: u64) -> u64 {
    let Some(filter) = find(dictionary, 0, b"/Filter") else { return 0 };
    let filter = &dictionary[filter + b"/Filter".len()..];
    let names = || {
        let named = filter.iter().position(|byte| matches!(byte, b'/' | b'>' | b'R'));
        let list = filter.iter().take_while(|byte| byte.is_ascii_whitespace() || **byte == b'[');
        named.filter(|at| filter[*at] == b'/' && list.count() == *at).map(|at| &filter[at + 1..])
    };
    let begins = |name: &[u8]| names().is_some_and(|rest| rest.starts_with(name));
    let packings = [&b"Flate"[..], b"LZW", b"RunLength", b"#"];
    let times: usize = packings.iter().map(|packing| count(filter, packing)).sum();
    let length = ends as u64;
    match times {
        // Pictures: the library leaves them as they are.
        0 if names().is_some() => 0,
        1 if begins(b"FlateDecode") => {
            let mut unpacking = ZlibDecoder::new(data).take(most + 1);
            let _ = copy(&mut unpacking, &mut sink());
            // What is read beyond the end of the stream takes time, too.
            let beyond = unpacking.get_ref().total_in().saturating_sub(length);
            most + 1 - unpacking.limit() + beyond
        }
        _ => {
            let factor = (0..times.max(1)).fold(1_u64, |all, _| all.saturating_mul(LONGER));
            length.saturating_mul(factor)
        }
    }
}

fn count(bytes: &[u8], word: &[u8]) -> usize {
    let mut at = 0;
    std::iter::from_fn(|| {
        let found = find(bytes, at, word)?;
        at = found + word.len();
        Some(found)
    })
    .count()
}

/// Where a word begins in bytes, from a place on.
fn find(bytes: &[u8], from: usize, word: &[u8]) -> Option<usize> {
    let rest = bytes.get(from..)?;
    rest.windows(word.len()).position(|window| window == word).map(|at| from + at)
}
