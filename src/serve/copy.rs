//! The plan's file, and the working copy beside it that survives whatever ends the program.
//!
//! After every edit the text is in `.NAME.drillonce-edit`, written beside and renamed. The file
//! `.NAME.drillonce-lock` is locked as long as the program runs, whatever way it ends; it holds the
//! address of the page and a hash of the plan's file as it was read. A plan that has no file yet
//! has the same two files, under the name `unnamed-plan`, until it is saved under one of its own.
//! A tape-measure list that is not yet beside the plan's file is in `.NAME.drillonce-list`.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use crate::message::MOST_LIST_BYTES;
use input::{Diagnostic, Diagnostics, decoded, file_bytes};
use plan::MAX_FILE_BYTES;

/// The ending of plans, which a new one must have.
const ENDING: &str = ".geojson";

/// What a plan is called that has no file yet, in the names of the files beside it.
const UNNAMED: &str = "unnamed-plan";

/// Where the edits of such a plan are kept, in the folder in which it will be.
pub const UNNAMED_EDITS: &str = ".unnamed-plan.drillonce-edit";

/// Most bytes of a lock file: an address and a hash are shorter.
const MOST_LOCK_BYTES: u64 = 1024;

/// Most bytes of a new file's name: what every usual file system takes.
const MOST_NAME_BYTES: usize = 200;

/// Why a plan cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// It cannot be read.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Plan(Vec<Diagnostic>),
    /// Another process has it open.
    #[error("{plan} is open already, at {address}; use that page, or end that program first")]
    Open {
        /// The plan's file.
        plan: String,
        /// The address of its page.
        address: String,
    },
    /// The folder cannot be written.
    #[error(
        "cannot write beside {plan}, where edits are kept until they are saved: {why}; copy the \
         plan into a folder of your own"
    )]
    Folder {
        /// The plan's file.
        plan: String,
        /// The system's answer.
        why: io::Error,
    },
}

/// Why a text is not saved.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    /// The file is no longer what was read.
    #[error("the file {0} was changed by another program since it was read")]
    Elsewhere(String),
    /// The name is no bare name of a plan.
    #[error("{0:?} is not the bare name of a plan; give a name such as house-2.geojson")]
    Name(String),
    /// It has no name yet.
    #[error("the plan has no file yet; give it a name such as house.geojson")]
    Unnamed,
    /// There is such a file.
    #[error("there is a file {0} already, and it is not overwritten; give another name")]
    Exists(String),
    /// It cannot be written.
    #[error("cannot write {what}: {why}")]
    Unwritten {
        /// The file.
        what: String,
        /// The system's answer.
        why: io::Error,
    },
}

/// A plan's file with its working copy and lock.
#[derive(Debug)]
pub struct Copy {
    file: PathBuf,
    /// Whether there is such a file.
    is_named: bool,
    /// The file's bytes as they were read or saved last.
    known: Vec<u8>,
    /// The hash of what the file held when the edits began.
    began_with: String,
    lock: File,
    address: String,
}

/// What was found of a plan.
#[derive(Debug)]
pub struct Found {
    /// The file, locked.
    pub copy: Copy,
    /// Its text.
    pub text: String,
    /// The text of edits that were not saved, where some were found.
    pub unsaved: Option<String>,
    /// Whether the file was changed after those edits began.
    pub is_older: bool,
}

impl Copy {
    /// Opens a plan and locks it; `address` is that of the page.
    ///
    /// # Errors
    /// [`OpenError`].
    pub fn open(path: &Path, address: &str) -> Result<Found, OpenError> {
        let smaller = "make the plan smaller";
        let read = |path: &Path| file_bytes(path, MAX_FILE_BYTES, "a GeoJSON file", smaller);
        let known = read(path).map_err(|fault| OpenError::Plan(vec![*fault]))?;
        let text = text_of(path, &known).map_err(OpenError::Plan)?;
        let plan = path.display().to_string();
        let folder = |why| OpenError::Folder { plan: plan.clone(), why };
        // Where the plan is a link to a file, the file is written, not the link.
        let file = path.canonicalize().map_err(folder)?;
        let (lock, began_with) = locked(&file, &plan)?;
        let unsaved = read(&beside(&file, "edit")).ok();
        let unsaved = unsaved.and_then(|bytes| text_of(&file, &bytes).ok());
        let unsaved = unsaved.filter(|unsaved| *unsaved != text);
        let is_older = unsaved.is_some() && began_with != hash(&known);
        let began_with = if unsaved.is_some() { began_with } else { hash(&known) };
        // Edits of another text are never written over what came after them.
        let known = if is_older { Vec::new() } else { known };
        let address = address.to_owned();
        let copy = Self { file, is_named: true, known, began_with, lock, address };
        copy.found(text, unsaved, is_older).map_err(folder)
    }

    /// Begins a plan that has no file yet, in a folder, with a text; or goes on with the one whose
    /// edits are kept there.
    ///
    /// # Errors
    /// [`OpenError`]: another process has it open, or the folder cannot be written.
    pub fn unnamed(folder: &Path, text: String, address: &str) -> Result<Found, OpenError> {
        let plan = format!("the new plan of {}", folder.display());
        let refused = |why| OpenError::Folder { plan: plan.clone(), why };
        let file = folder.canonicalize().map_err(refused)?.join(UNNAMED);
        let (lock, _) = locked(&file, &plan)?;
        let edits = beside(&file, "edit");
        let unsaved = file_bytes(&edits, MAX_FILE_BYTES, "", "").ok();
        let unsaved = unsaved.and_then(|bytes| text_of(&edits, &bytes).ok());
        let unsaved = unsaved.filter(|unsaved| *unsaved != text);
        let known = text.as_bytes().to_vec();
        let (began_with, address) = (hash(&known), address.to_owned());
        let copy = Self { file, is_named: false, known, began_with, lock, address };
        copy.found(text, unsaved, false).map_err(refused)
    }

    /// Whether edits of a plan without a file are kept in a folder.
    #[must_use]
    pub fn any_unnamed(folder: &Path) -> bool {
        beside(&folder.join(UNNAMED), "edit").is_file()
    }

    fn found(self, text: String, unsaved: Option<String>, is_older: bool) -> io::Result<Found> {
        self.mark()?;
        if unsaved.is_none() {
            self.forget()?;
        }
        Ok(Found { copy: self, text, unsaved, is_older })
    }

    /// The plan's file, in short; nothing where it has none yet.
    #[must_use]
    pub fn name(&self) -> Option<String> {
        let name = self.file.file_name().filter(|_| self.is_named)?;
        Some(name.to_string_lossy().into_owned())
    }

    /// Keeps a text in the working copy.
    ///
    /// # Errors
    /// What the system says.
    pub fn keep(&self, text: &str) -> io::Result<()> {
        if text.as_bytes() == self.known {
            return self.forget();
        }
        let place = beside(&self.file, "edit");
        // Not waited for until it is on the disk, as a plan that is saved: that takes longer than
        // the edit, and the copy outlives the program as it is.
        self.written(text)?.persist(place).map_err(|error| error.error)?;
        Ok(())
    }

    /// Writes a text to the plan's own file, if that is still what was read.
    ///
    /// # Errors
    /// [`SaveError`].
    pub fn save(&mut self, text: &str) -> Result<String, SaveError> {
        let name = self.name().ok_or(SaveError::Unnamed)?;
        if self.is_elsewhere() {
            return Err(SaveError::Elsewhere(name));
        }
        let unwritten = |why| SaveError::Unwritten { what: name.clone(), why };
        let new = self.on_disk(text).map_err(unwritten)?;
        new.persist(&self.file).map_err(|error| unwritten(error.error))?;
        self.known = text.as_bytes().to_vec();
        self.began_with = hash(&self.known);
        self.mark().and_then(|()| self.forget()).map_err(unwritten)?;
        Ok(name)
    }

    /// Writes a text to a new file in the plan's folder. A plan that had no file has this one from
    /// now on.
    ///
    /// # Errors
    /// [`SaveError`].
    pub fn save_as(&mut self, name: &str, text: &str) -> Result<String, SaveError> {
        if !is_bare(name, ENDING) {
            return Err(SaveError::Name(name.chars().take(80).collect()));
        }
        let unwritten = |why| SaveError::Unwritten { what: name.to_owned(), why };
        let place = self.folder().join(name);
        // Edits that somebody left of a file that is gone would be taken for those of this one.
        if beside(&place, "edit").exists() {
            return Err(SaveError::Exists(name.to_owned()));
        }
        let new = self.on_disk(text).map_err(unwritten)?;
        new.persist_noclobber(&place).map_err(|error| {
            if error.error.kind() == io::ErrorKind::AlreadyExists {
                return SaveError::Exists(name.to_owned());
            }
            unwritten(error.error)
        })?;
        if !self.is_named {
            self.takes_name(place, text).map_err(unwritten)?;
        }
        self.forget().map_err(unwritten)?;
        Ok(name.to_owned())
    }

    /// Keeps a tape-measure list as it is typed; nothing: it stands beside the plan's file.
    ///
    /// # Errors
    /// What the system says.
    pub(crate) fn keep_list(&self, text: Option<&str>) -> io::Result<()> {
        let Some(text) = text else { return removed(&beside(&self.file, "list")) };
        self.written(text)?.persist(beside(&self.file, "list")).map_err(|error| error.error)?;
        Ok(())
    }

    /// The list that is kept, if any.
    pub(crate) fn kept_list(&self) -> Option<String> {
        let place = beside(&self.file, "list");
        text_of(&place, &file_bytes(&place, MOST_LIST_BYTES, "", "").ok()?).ok()
    }

    /// Goes on as the plan of a file that was just written.
    fn takes_name(&mut self, file: PathBuf, text: &str) -> io::Result<()> {
        let (lock, _) = locked(&file, "").map_err(|error| io::Error::other(error.to_string()))?;
        self.forget()?;
        if let Some(list) = self.kept_list() {
            new_beside(&file, &list)?.persist(beside(&file, "list")).map_err(|why| why.error)?;
            self.keep_list(None)?;
        }
        self.end();
        let known = text.as_bytes().to_vec();
        let (began_with, address) = (hash(&known), self.address.clone());
        *self = Self { file, is_named: true, known, began_with, lock, address };
        self.mark()
    }

    /// Ends the use of the plan. The lock file goes unless there are edits to come back to, whose
    /// origin it holds.
    pub fn end(&self) {
        if !beside(&self.file, "edit").exists() {
            let _ = std::fs::remove_file(beside(&self.file, "lock"));
        }
    }

    /// Whether the plan's file is no longer what was read or saved last.
    #[must_use]
    pub fn is_elsewhere(&self) -> bool {
        if !self.is_named {
            return false;
        }
        let now = file_bytes(&self.file, MAX_FILE_BYTES, "", "");
        now.is_ok_and(|now| now != self.known)
    }

    /// Removes the working copy.
    fn forget(&self) -> io::Result<()> {
        removed(&beside(&self.file, "edit"))
    }

    /// Notes address and hash in the lock file.
    fn mark(&self) -> io::Result<()> {
        let mut lock = &self.lock;
        lock.seek(SeekFrom::Start(0))?;
        lock.set_len(0)?;
        lock.write_all(format!("{}\n{}\n", self.address, self.began_with).as_bytes())
    }

    /// A new file in the plan's folder with a text, that is still to take its place.
    /// Who may read the plan may read it, and nobody else.
    fn written(&self, text: &str) -> io::Result<tempfile::NamedTempFile> {
        new_beside(&self.file, text)
    }

    /// The same, on the disk.
    pub(crate) fn on_disk(&self, text: &str) -> io::Result<tempfile::NamedTempFile> {
        let file = self.written(text)?;
        file.as_file().sync_data()?;
        Ok(file)
    }

    /// The folder that the plan is in, or will be.
    pub(crate) fn folder(&self) -> &Path {
        self.file.parent().unwrap_or(Path::new("."))
    }
}

/// A new file with a text in the folder of another, that is still to take its place; who may read
/// that one may read it. Where there is none yet, all who may read what this user writes.
pub(crate) fn new_beside(like: &Path, text: &str) -> io::Result<tempfile::NamedTempFile> {
    let mut new = tempfile::Builder::new();
    let about = std::fs::metadata(like);
    #[cfg(unix)]
    if about.is_err() {
        use std::os::unix::fs::PermissionsExt as _;
        new.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let folder = like.parent().unwrap_or(Path::new("."));
    let mut file = new.prefix(".drillonce-").tempfile_in(folder)?;
    if let Ok(about) = about {
        file.as_file().set_permissions(about.permissions())?;
    }
    file.write_all(text.as_bytes())?;
    Ok(file)
}

/// The lock file of a plan, locked, and the mark of what its file held when the edits began that
/// may be kept; `plan` is what messages call it.
fn locked(file: &Path, plan: &str) -> Result<(File, String), OpenError> {
    let folder = |why| OpenError::Folder { plan: plan.to_owned(), why };
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt as _;
        // The address holds the key: it is for nobody else.
        options.mode(0o600);
    }
    let lock = options.open(beside(file, "lock")).map_err(folder)?;
    let mut held = String::new();
    let is_free = match lock.try_lock() {
        Ok(()) => true,
        Err(TryLockError::WouldBlock) => false,
        Err(TryLockError::Error(why)) => return Err(folder(why)),
    };
    // Where a locked file cannot be read, the address stays unknown.
    let _ = (&lock).take(MOST_LOCK_BYTES).read_to_string(&mut held);
    let (other, began_with) = held.split_once('\n').unwrap_or((&held, ""));
    if !is_free {
        let address = if other.is_empty() { "another window" } else { other };
        return Err(OpenError::Open { plan: plan.to_owned(), address: address.to_owned() });
    }
    let began_with = began_with.trim().to_owned();
    Ok((lock, began_with))
}

/// Sees to it that a file is not there.
fn removed(place: &Path) -> io::Result<()> {
    match std::fs::remove_file(place) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(error),
        _ => Ok(()),
    }
}

/// The hidden file beside a plan with this ending.
fn beside(file: &Path, ending: &str) -> PathBuf {
    let name = file.file_name().map(|name| name.to_string_lossy().into_owned());
    file.with_file_name(format!(".{}.drillonce-{ending}", name.unwrap_or_default()))
}

/// Whether a name is that of a file with this ending in the same folder, on every system.
pub(crate) fn is_bare(name: &str, ending: &str) -> bool {
    let plain = |c: char| !c.is_control() && !"/\\:*?\"<>|".contains(c);
    name.len() <= MOST_NAME_BYTES
        && name.len() > ending.len()
        && name.ends_with(ending)
        && !name.starts_with(['.', ' '])
        && !name.contains("..")
        && name.chars().all(plain)
}

fn text_of(path: &Path, bytes: &[u8]) -> Result<String, Vec<Diagnostic>> {
    let mut faults = Diagnostics::new(&path.display().to_string());
    match decoded(bytes, &mut faults) {
        Some(text) => Ok(text.into_owned()),
        None => Err(faults.finish("").0),
    }
}

/// A short mark of some bytes: FNV-1a, 64 bits. It need not withstand malice, since it only says
/// whether a file was changed between two runs.
fn hash(bytes: &[u8]) -> String {
    let mixed = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{mixed:016x}")
}
