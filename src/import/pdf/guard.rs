//! What is looked at before a file is read: whether it is protected, and how much it unpacks to.
//!
//! The library that reads the file unpacks whole streams. So every stream is unpacked once before,
//! into nothing, and counted; what is packed in ways that cannot be counted so counts as if it grew
//! as far as such packing can.

use std::borrow::Cow;
use std::io::{Read as _, copy, sink};

use flate2::read::ZlibDecoder;
use hayro_syntax::object::{Object, Stream};
use hayro_syntax::{LoadPdfError, Pdf};

/// Most that all streams may unpack to, bytes (our own choice: far beyond a sheet of plans).
const MOST: u64 = 256 << 20;
/// How many times as long as it was a stream can become, at most: LZW with a table of 4096 rows.
const LONGER: u64 = 1_400;
/// How many times as many bytes as a file has are looked at for dictionaries (our own choice).
const MOST_LOOKS: usize = 64;

/// Why a file is not read, and how to help it.
pub(super) type Trouble = (String, &'static str);

/// Loads a file, if it is open and small enough.
///
/// # Errors
/// A file that is none or is damaged, one that is protected, and one that unpacks to more than is
/// read.
pub(super) fn loaded(bytes: &[u8]) -> Result<Pdf, Trouble> {
    check(bytes)?;
    let pdf = Pdf::new(bytes.to_vec()).map_err(not_loaded)?;
    // Once more by the library's own eyes, which see what the bytes alone do not say.
    let mut all: u64 = 0;
    for object in pdf.objects() {
        if let Object::Stream(stream) = object {
            all = all.saturating_add(unpacks_to(&stream, MOST.saturating_sub(all)));
        }
        if all > MOST {
            return Err(too_much());
        }
    }
    Ok(pdf)
}

pub(super) fn not_loaded(error: LoadPdfError) -> Trouble {
    let fix = "open it in a viewer, and print or export it again as a PDF";
    match error {
        LoadPdfError::Decryption(_) => ("the PDF is protected, and is not read".to_owned(), fix),
        LoadPdfError::Invalid => ("the PDF is damaged: no page can be read of it".to_owned(), fix),
    }
}

/// Goes through the streams of a file before it is loaded.
fn check(bytes: &[u8]) -> Result<(), Trouble> {
    const WORD: &[u8] = b"stream";
    let mut all: u64 = 0;
    let mut looked_at: usize = 0;
    // Behind the last stream; at the next word; at the end of the stream that begins there.
    let (mut behind, mut at, mut ends) = (0, 0, 0);
    while let Some(begin) = find(bytes, at, WORD) {
        at = begin + WORD.len();
        if bytes[..begin].ends_with(b"end") {
            behind = at;
            continue;
        }
        // The word may stand in a text: what comes before it is looked at again for the next one.
        let dictionary = plain(&bytes[behind..begin]);
        looked_at += dictionary.len();
        if looked_at > bytes.len().saturating_mul(MOST_LOOKS) {
            return Err(not_loaded(LoadPdfError::Invalid));
        }
        check_open(&dictionary)?;
        let data = &bytes[at..];
        let line_end = data.iter().take_while(|byte| matches!(byte, b'\r' | b'\n')).count().min(2);
        let data = &data[line_end..];
        if ends < begin {
            ends = find(bytes, begin, b"endstream").unwrap_or(bytes.len());
        }
        let long = (ends + data.len()).saturating_sub(bytes.len());
        all = all.saturating_add(grown(&dictionary, data, long, MOST.saturating_sub(all)));
        if all > MOST {
            return Err(too_much());
        }
    }
    check_open(&plain(&bytes[behind..]))
}

/// A dictionary with its names as they are read: `#46` is an F.
fn plain(dictionary: &[u8]) -> Cow<'_, [u8]> {
    let Some(first) = dictionary.iter().position(|byte| *byte == b'#') else {
        return dictionary.into();
    };
    let mut plain = dictionary[..first].to_vec();
    let mut rest = &dictionary[first..];
    while let Some((byte, after)) = rest.split_first() {
        let code = after.get(..2).and_then(|two| std::str::from_utf8(two).ok());
        let code = code.and_then(|two| u8::from_str_radix(two, 16).ok());
        let escaped = code.filter(|_| *byte == b'#');
        plain.push(escaped.unwrap_or(*byte));
        rest = if escaped.is_some() { &after[2..] } else { after };
    }
    plain.into()
}

/// What is said of a file that unpacks to more than is read.
fn too_much() -> Trouble {
    let what = format!("what the PDF holds unpacks to more than {} MiB", MOST >> 20);
    (what, "print the page with the floor plan alone into a new PDF, without pictures")
}

/// What streams hold one after another, each as often as it is named.
///
/// # Errors
/// As [`loaded`].
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

/// What a stream holds, unpacked; [`loaded`] has looked how much that is.
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

/// What a stream unpacks to by the library's own reading, bytes, or anything above `most`; nothing
/// for pictures, which it leaves as they are.
pub(super) fn unpacks_to(stream: &Stream<'_>, most: u64) -> u64 {
    let filters = filters(stream);
    let packs =
        |filter: &&String| matches!(&***filter, "FlateDecode" | "LzwDecode" | "RunLengthDecode");
    let data = stream.raw_data();
    match (filters.iter().filter(packs).count(), filters.first()) {
        (0, _) => 0,
        (1, Some(first)) if first == "FlateDecode" => inflated(&data, data.len(), most),
        (times, _) => longer(data.len(), times),
    }
}

/// The filters of a stream, as the library calls them: it keeps their type to itself.
pub(super) fn filters(stream: &Stream<'_>) -> Vec<String> {
    stream.filters().iter().map(|filter| format!("{filter:?}")).collect()
}

/// The same of a file that is not loaded yet, by the bytes of its dictionary.
fn grown(dictionary: &[u8], data: &[u8], long: usize, most: u64) -> u64 {
    // Objects and their list are unpacked as the file is loaded; both keys are read there.
    let of_file = [&b"ObjStm"[..], b"XRef"].into_iter();
    let is_of_file = of_file.filter_map(|kind| find(dictionary, 0, kind)).next().is_some();
    let key = find(dictionary, 0, b"/Filter").map(|at| at + b"/Filter".len());
    let short = || find(dictionary, 0, b"/F").map(|at| at + b"/F".len());
    let Some(key) = key.or_else(|| short().filter(|_| is_of_file)) else { return 0 };
    let filter = &dictionary[key..];
    let names = || {
        let named = filter.iter().position(|byte| matches!(byte, b'/' | b'>' | b'R'));
        let list = filter.iter().take_while(|byte| byte.is_ascii_whitespace() || **byte == b'[');
        named.filter(|at| filter[*at] == b'/' && list.count() == *at).map(|at| &filter[at + 1..])
    };
    let begins = |name: &[u8]| names().is_some_and(|rest| rest.starts_with(name));
    let packings = [&b"Flate"[..], b"LZW", b"RunLength", b"/Fl", b"/RL"];
    let times: usize = packings.iter().map(|packing| count(filter, packing)).sum();
    match times {
        // Pictures: the library leaves them as they are.
        0 if names().is_some() => 0,
        _ if begins(b"FlateDecode") && times == 2 => inflated(data, long, most),
        _ => longer(long, times),
    }
}

fn inflated(data: &[u8], long: usize, most: u64) -> u64 {
    let mut unpacking = ZlibDecoder::new(data).take(most + 1);
    let _ = copy(&mut unpacking, &mut sink());
    // What is read beyond the end of the stream takes time, too.
    let beyond = unpacking.get_ref().total_in().saturating_sub(long as u64);
    most + 1 - unpacking.limit() + beyond
}

fn longer(long: usize, times: usize) -> u64 {
    let factor = (0..times.max(1)).fold(1_u64, |all, _| all.saturating_mul(LONGER));
    (long as u64).saturating_mul(factor)
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
