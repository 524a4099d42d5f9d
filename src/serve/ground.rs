//! The picture under the plan: how it comes in, where it is kept, and how the page gets it.
//!
//! It comes in pieces, each a message of bytes: `PG2\0`, u32 bytes of the whole file, u32 place of
//! the piece in it, i32 level, u32 page of a PDF from 1, all little endian, then the piece. What is
//! kept is made anew of its pixels, under a bare name made of the plan's, and never over another
//! file.

use std::io::{self, Write as _};
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

use axum::body::Bytes;
use axum::http::{HeaderMap, HeaderValue, header};
use serde_json::{Value, json};

use crate::door::random_name;
use crate::message::Refusal;
use crate::outbox::TabNumber;
use crate::state::State;
use import::picture::{MAX_PICTURE_BYTES, free_name, size_of};
use input::file_bytes;
use plan::Backdrop;

/// With this a piece begins.
const MAGIC: &[u8; 4] = b"PG2\0";
/// Bytes before what a piece holds.
const HEAD: usize = 20;
/// What the address of a picture begins with.
const BEGIN: &str = "/ground/";

/// Pictures that are coming in: one at a time, so that they cost little memory.
#[derive(Debug, Default)]
pub(crate) struct Pieces {
    open: Mutex<Option<Open>>,
    /// Held while one is decoded.
    pub(crate) at_work: Mutex<()>,
}

#[derive(Debug)]
struct Open {
    number: TabNumber,
    total: usize,
    bytes: Vec<u8>,
}

/// What a picture is laid down as: its level, and the page of a PDF, from 1.
pub(crate) type Under = (i32, usize);

/// What a piece is: whole, place, level and page, bytes.
fn read_piece(piece: &[u8]) -> Option<(usize, usize, Under, &[u8])> {
    let (head, bytes) = piece.split_at_checked(HEAD)?;
    let word = |at: usize| <[u8; 4]>::try_from(head.get(at..at + 4)?).ok();
    (word(0)? == *MAGIC).then_some(())?;
    let size = |at: usize| usize::try_from(u32::from_le_bytes(word(at)?)).ok();
    Some((size(4)?, size(8)?, (i32::from_le_bytes(word(12)?), size(16)?), bytes))
}

impl Pieces {
    /// Takes a piece; the whole file, its level and page with the last one.
    pub(crate) fn take(
        &self,
        number: TabNumber,
        piece: &[u8],
    ) -> Result<Option<(Vec<u8>, Under)>, Refusal> {
        let again = "choose the picture again";
        let (total, at, under, bytes) = read_piece(piece).ok_or_else(|| {
            Refusal::new("a message in bytes is not understood", "reload the page")
        })?;
        if total > MAX_PICTURE_BYTES {
            let what = format!("the picture is larger than {} MB", MAX_PICTURE_BYTES >> 20);
            return Err(Refusal::new(what, "make it smaller, or cut it to the floor plan"));
        }
        let mut open = self.open();
        if at == 0 {
            *open = Some(Open { number, total, bytes: Vec::new() });
        }
        let fits = |one: &Open| {
            one.number == number
                && one.total == total
                && one.bytes.len() == at
                && at + bytes.len() <= total
        };
        if !open.as_ref().is_some_and(fits) {
            *open = None;
            return Err(Refusal::new("pieces of the picture are missing", again));
        }
        let is_whole = open.as_mut().is_some_and(|one| {
            one.bytes.extend_from_slice(bytes);
            one.bytes.len() == total
        });
        Ok(if is_whole { open.take().map(|one| (one.bytes, under)) } else { None })
    }

    /// Forgets what came of a page that goes.
    pub(crate) fn forget(&self, number: TabNumber) {
        let mut open = self.open();
        if open.as_ref().is_some_and(|one| one.number == number) {
            *open = None;
        }
    }

    fn open(&self) -> MutexGuard<'_, Option<Open>> {
        // Pieces are put together as a whole or not at all.
        self.open.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Writes a picture into a folder, under a name that no other file has: its bare name. The same
/// picture is not written twice.
pub(crate) fn kept(folder: &Path, plan: &str, bytes: &[u8], ending: &str) -> io::Result<String> {
    let is_same = |place: &Path| {
        let size = place.symlink_metadata().map(|about| about.is_file().then_some(about.len()));
        matches!(size, Ok(Some(size)) if size == bytes.len() as u64)
            && file_bytes(place, MAX_PICTURE_BYTES, "", "").is_ok_and(|known| known == bytes)
    };
    loop {
        let is_taken = |name: &str| {
            let place = folder.join(name);
            place.symlink_metadata().is_ok() && !is_same(&place)
        };
        let name = free_name(plan, ending, is_taken);
        let place = folder.join(&name);
        if place.exists() {
            return Ok(name);
        }
        let mut new = tempfile::Builder::new();
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            // All who may read what this user writes.
            new.permissions(std::fs::Permissions::from_mode(0o666));
        }
        let mut file = new.prefix(".drillonce-").tempfile_in(folder)?;
        file.write_all(bytes)?;
        match file.persist_noclobber(&place) {
            Ok(_) => return Ok(name),
            Err(error) if error.error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error.error),
        }
    }
}

/// A picture as it was read.
#[derive(Debug)]
pub(crate) struct Ground {
    file: String,
    /// What can be shown, or why nothing can.
    shown: Result<Shown, String>,
}

#[derive(Debug)]
struct Shown {
    /// The path of its address, which nobody can guess.
    at: String,
    bytes: Bytes,
    size: (u32, u32),
}

impl Ground {
    fn read(folder: &Path, file: &str) -> Self {
        let read = || {
            let place = folder.join(file);
            let bytes = file_bytes(&place, MAX_PICTURE_BYTES, "a picture", "make it smaller");
            let bytes = bytes.map_err(|fault| fault.what)?;
            let size = size_of(&bytes).map_err(|(what, _)| what)?;
            let at = random_name().map_err(|why| why.to_string())?;
            Ok(Shown { at: format!("{BEGIN}{at}"), bytes: bytes.into(), size })
        };
        Self { file: file.to_owned(), shown: read() }
    }

    /// Its file's bytes, if they could be read.
    pub(crate) fn bytes(&self) -> Option<Bytes> {
        self.shown.as_ref().ok().map(|shown| shown.bytes.clone())
    }

    /// What is sent for the path of an address.
    pub(crate) fn get(&self, path: &str) -> Option<(HeaderMap, Bytes)> {
        let shown = self.shown.as_ref().ok().filter(|shown| shown.at == path)?;
        let is_png = shown.bytes.starts_with(b"\x89PNG");
        let mime = if is_png { "image/png" } else { "image/jpeg" };
        let mut headers = HeaderMap::new();
        headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(mime));
        Some((headers, shown.bytes.clone()))
    }
}

/// A picture as the page is given it.
pub(crate) fn backdrop(picture: &Backdrop, ground: Option<&Ground>) -> Value {
    let mut members = json!({
        "file": picture.file,
        "transform": picture.transform,
        "opacity": picture.opacity,
        "level": picture.level,
    });
    match ground.filter(|ground| ground.file == picture.file).map(|ground| &ground.shown) {
        Some(Ok(shown)) => {
            members["at"] = shown.at.as_str().into();
            members["columns"] = shown.size.0.into();
            members["rows"] = shown.size.1.into();
        }
        Some(Err(what)) => members["what"] = what.as_str().into(),
        None => {}
    }
    members
}

impl State {
    /// Reads the picture of the plan, unless it is the one that was read last.
    pub(crate) fn look_at_ground(&mut self) {
        let Some(file) = self.drawn.backdrop.as_ref().map(|picture| picture.file.clone()) else {
            return;
        };
        let is_known = |ground: &Ground| ground.file == file && ground.shown.is_ok();
        if !self.ground.as_ref().is_some_and(is_known) {
            self.ground = Some(Ground::read(self.copy.folder(), &file));
        }
    }
}
