//! The members of an archive as text, read so that no file can eat the memory or the time.
//!
//! Nothing that the archive states of itself is believed: how many members it has is checked before
//! the library makes room for them, and how long a member is shows when it has been unpacked, never
//! beyond what is left of [`MAX_UNPACKED_BYTES`]. Nothing is ever written, and archives within the
//! archive are not opened.

use std::collections::BTreeMap;
use std::io::{Cursor, Read};

use zip::result::ZipError;
use zip::{CompressionMethod, ZipArchive};

use crate::whole_file;
use plan::{Diagnostic, MAX_VALUES, outside_strings, quoted, tame};

/// Most members of an archive (our own choice: the format has seventeen).
const MAX_MEMBERS: usize = 1_000;
/// Most bytes of all members that are read, unpacked: 64 MiB (our own choice).
const MAX_UNPACKED_BYTES: u64 = 64 * 1024 * 1024;
const MANIFEST: &str = "manifest.json";
/// Bytes of the record at the end of an archive without its comment, and of the longest comment
/// (ZIP application note 6.3, §4.3.16; from memory, not confirmed).
const END_RECORD_BYTES: usize = 22;
const LONGEST_COMMENT_BYTES: usize = 65_535;

pub(super) struct Archive<'b> {
    file: &'b str,
    zip: ZipArchive<Cursor<&'b [u8]>>,
    /// The folder in which the manifest lies, with a slash behind it, or nothing.
    folder: String,
    /// Where each member is: by its whole name.
    members: BTreeMap<String, usize>,
    bytes_left: u64,
    values_left: usize,
}

impl<'b> Archive<'b> {
    /// Looks at the list of members. A fault for what is no archive, a broken or oversized one, one
    /// whose members point out of it or bear one name, and one without exactly one manifest.
    pub(super) fn open(file: &'b str, bytes: &'b [u8]) -> Result<Self, Diagnostic> {
        if stated_members(bytes) > MAX_MEMBERS as u64 {
            return Err(too_many(file));
        }
        let zip = ZipArchive::new(Cursor::new(bytes)).map_err(|error| {
            let what = format!("the ZIP archive cannot be read: {}", why(&error));
            whole_file(file, what, "it may be cut off; export or copy it again")
        })?;
        if zip.len() > MAX_MEMBERS {
            return Err(too_many(file));
        }
        let pack_anew = "pack it again without one of them";
        if zip.has_duplicate_names() {
            let what = "two members of the archive have the same name";
            return Err(whole_file(file, what, pack_anew));
        }
        let mut members = BTreeMap::new();
        for index in 0..zip.len() {
            let Some(entry) = zip.by_index_data(index).ok().filter(|entry| !entry.is_dir()) else {
                continue;
            };
            let name = match entry.name() {
                Ok(name) => name.replace('\\', "/"),
                Err(_) => String::from_utf8_lossy(entry.name_raw()).into_owned(),
            };
            if leads_out(&name) {
                let what = format!("the member {} points out of the archive", quoted(&name));
                let fix = "do not trust this archive; ask for one with plain names such as \
                           unit.geojson";
                return Err(whole_file(file, what, fix));
            }
            // Only differing separators lead here: the library compares the names as they are.
            if members.insert(name.clone(), index).is_some() {
                let what = format!("two members of the archive are called {}", quoted(&name));
                return Err(whole_file(file, what, pack_anew));
            }
        }
        let folder = manifest_folder(file, &members)?;
        let (bytes_left, values_left) = (MAX_UNPACKED_BYTES, MAX_VALUES);
        Ok(Self { file, zip, folder, members, bytes_left, values_left })
    }

    pub(super) fn place(&self, member: &str) -> String {
        format!("{}/{member}", self.file)
    }

    pub(super) fn has(&self, member: &str) -> bool {
        self.members.contains_key(&format!("{}{member}", self.folder))
    }

    /// The names of all members, without the folder of the manifest.
    pub(super) fn names(&self) -> impl Iterator<Item = &str> {
        self.members.keys().map(|name| name.strip_prefix(&self.folder).unwrap_or(name))
    }

    /// A member's text, if it is there. A fault for one that is encrypted, compressed in a way that
    /// cannot be read, damaged, too large, not UTF-8, or of more values than can be a plan.
    pub(super) fn text(&mut self, member: &str) -> Result<Option<String>, Diagnostic> {
        let Some(text) = self.unpacked(member)? else { return Ok(None) };
        let values = values(&text);
        if values > self.values_left {
            let what = format!("the archive holds more than {MAX_VALUES} values up to this member");
            let fix = "export one building alone, or simplify its outlines";
            return Err(whole_file(&self.place(member), what, fix));
        }
        self.values_left -= values;
        Ok(Some(text))
    }

    /// As [`Archive::text`], for a text of which no value is kept: their number does not count.
    pub(super) fn unpacked(&mut self, member: &str) -> Result<Option<String>, Diagnostic> {
        let Some(&index) = self.members.get(&format!("{}{member}", self.folder)) else {
            return Ok(None);
        };
        let place = self.place(member);
        let trouble = |what: String, fix: &str| whole_file(&place, what, fix);
        let damaged = |error: &ZipError| {
            let what = format!("the member cannot be unpacked: {}", why(error));
            trouble(what, "it may be damaged; export or copy the archive again")
        };
        let entry = self.zip.by_index_data(index).map_err(|error| damaged(&error))?;
        let (is_encrypted, method) = (entry.encrypted(), entry.compression());
        if is_encrypted {
            let what = "the member is encrypted".to_owned();
            return Err(trouble(what, "pack the archive without a password"));
        }
        if !matches!(method, CompressionMethod::Stored | CompressionMethod::Deflated) {
            let method = quoted(&method.to_string());
            let what =
                format!("the member is compressed by the method {method}, which is not read");
            let fix = "pack the archive with Deflate or without compression";
            return Err(trouble(what, fix));
        }
        let packed = self.zip.by_index(index).map_err(|error| damaged(&error))?;
        let mut bytes = Vec::new();
        // One byte beyond what is left shows that there is more.
        let read = packed.take(self.bytes_left + 1).read_to_end(&mut bytes);
        if bytes.len() as u64 > self.bytes_left {
            let mib = MAX_UNPACKED_BYTES >> 20;
            let what = format!("unpacked, the members hold more than {mib} MiB");
            return Err(trouble(what, "export one building alone"));
        }
        read.map_err(|error| damaged(&ZipError::Io(error)))?;
        self.bytes_left -= bytes.len() as u64;
        let text = String::from_utf8(bytes).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            let what = format!("the member is not UTF-8 text: byte {at} is out of place");
            trouble(what, "export it as UTF-8")
        })?;
        Ok(Some(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text)))
    }
}

fn too_many(file: &str) -> Diagnostic {
    let fix = "check that it is one of the Indoor Mapping Data Format, which has about seventeen";
    whole_file(file, format!("the archive has more than {MAX_MEMBERS} members"), fix)
}

/// What the library says of an archive, fit for a message.
fn why(error: &ZipError) -> String {
    tame(&error.to_string()).chars().take(200).collect()
}

/// Whether a name is absolute, goes up, or holds what no name holds.
fn leads_out(name: &str) -> bool {
    let is_absolute = name.starts_with('/') || name.get(1..2) == Some(":");
    is_absolute || name.contains('\0') || name.split('/').any(|step| step == "..")
}

/// The folder of the manifest, which all other members must share: at the top, or one down.
fn manifest_folder(file: &str, members: &BTreeMap<String, usize>) -> Result<String, Diagnostic> {
    let folders = members.keys().filter_map(|name| {
        let folder = name.strip_suffix(MANIFEST)?;
        let depth = folder.matches('/').count();
        // Some packers add folders of their own, which begin like this.
        let hidden = folder.starts_with('.') || folder.starts_with("__");
        let whole_name = folder.is_empty() || folder.ends_with('/');
        (whole_name && depth <= 1 && !hidden).then(|| folder.to_owned())
    });
    match folders.collect::<Vec<_>>().as_slice() {
        [folder] => Ok(folder.clone()),
        [] => {
            let what = "the archive has no manifest.json, so it is not one of the Indoor Mapping \
                        Data Format";
            let fix = "add one: {\"version\": \"1.0.0\", \"created\": \"…\", \"language\": \"en\"}";
            Err(whole_file(file, what, fix))
        }
        [first, second, ..] => {
            let (first, second) = (quoted(first), quoted(second));
            let what = format!("the archive holds two venues, in {first} and {second}");
            Err(whole_file(file, what, "export one of them"))
        }
    }
}

/// The largest number of members that any record at the end states.
///
/// The library makes room for as many as the record says, so this is looked at before. Only a
/// record that says so in its short form has a long one, which may stand anywhere before it.
fn stated_members(bytes: &[u8]) -> u64 {
    let tail_bytes = END_RECORD_BYTES + LONGEST_COMMENT_BYTES + 4;
    let tail = bytes.get(bytes.len().saturating_sub(tail_bytes)..).unwrap_or_default();
    let (mut most, mut has_long) = (0, false);
    for record in records(tail, b"PK\x05\x06") {
        let short = |at: usize| number(record, at, 2);
        let wide = |at: usize| number(record, at, 4);
        most = most.max(short(8)).max(short(10));
        has_long |= short(10) == u64::from(u16::MAX);
        has_long |= wide(12) == u64::from(u32::MAX) || wide(16) == u64::from(u32::MAX);
    }
    if has_long {
        for record in records(bytes, b"PK\x06\x06") {
            most = most.max(number(record, 24, 8)).max(number(record, 32, 8));
        }
    }
    most
}

/// The bytes from every place on at which a record of a signature begins.
fn records<'b>(bytes: &'b [u8], signature: &'static [u8; 4]) -> impl Iterator<Item = &'b [u8]> {
    let places = bytes.windows(4).enumerate();
    let found = places.filter(move |(_, window)| window == signature);
    found.map(|(at, _)| bytes.get(at..).unwrap_or_default())
}

/// A number of some bytes, the least first; zero where the record ends before it.
fn number(record: &[u8], at: usize, length: usize) -> u64 {
    let bytes = record.get(at..at.saturating_add(length)).unwrap_or_default();
    bytes.iter().rev().fold(0, |sum, byte| (sum << 8) | u64::from(*byte))
}

/// How many values JSON text holds at most: parsed, each costs many times its own bytes.
fn values(text: &str) -> usize {
    let marks = outside_strings(text);
    marks.filter(|(_, byte)| matches!(byte, b'[' | b'{' | b',')).count()
}
