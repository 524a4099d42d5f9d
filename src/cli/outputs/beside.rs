//! Files are written beside their places and then renamed, so that nothing is ever half-written,
//! whatever stops the program.

use std::fs::{self, File, TryLockError};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::process::exit;
use std::sync::{Mutex, MutexGuard, PoisonError};

use tempfile::NamedTempFile;

use super::super::error::EXIT_STOPPED;

/// What the names of files begin with that are still to take their places.
const PREFIX: &str = ".drillonce-";

/// How many letters and digits follow.
const RANDOM: usize = 6;

/// What ends the name of a file that is kept until all have taken their places.
const OLD: &str = ".old";

/// Files that are still to take their places; held while they do.
static UNFINISHED: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

fn unfinished() -> MutexGuard<'static, Vec<PathBuf>> {
    UNFINISHED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// From now on a file that would become larger than the caller allows is a write that fails, as on
/// a full disk, not the end of the program.
pub(crate) fn outlive_limits() {
    #[cfg(unix)]
    {
        let is_reached = std::sync::Arc::default();
        // Without it the program still works, but ends without a word at such a limit.
        let _ = signal_hook::flag::register(signal_hook::consts::SIGXFSZ, is_reached);
    }
}

/// From now on Ctrl-C, and whatever else asks the program to stop, removes what is unfinished and
/// ends it with [`EXIT_STOPPED`]; files that are just taking their places all do so first.
pub(crate) fn watch() {
    // Where the caller lets the program ignore such a signal, as nohup does, this fails and it
    // goes on ignoring it.
    let _ = ctrlc::try_set_handler(|| {
        // Held to the very end, so that no file is made after those that are known are removed.
        let known = unfinished();
        for path in known.iter() {
            let _ = fs::remove_file(path);
        }
        exit(i32::from(EXIT_STOPPED));
    });
}

/// An empty file in a folder, that is removed unless it takes a place. It is locked, so that no
/// other run takes it for one that was left over.
pub(super) fn made_in(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX).rand_bytes(RANDOM);
    // A result is for everybody whom the folder lets in, as any other new file.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    loop {
        let mut known = unfinished();
        let file = builder.tempfile_in(folder).map_err(|error| {
            // The name of the file says nothing to anybody.
            let cause = error.get_ref().and_then(|inner| inner.source()).map(ToString::to_string);
            cause.map_or(error, io::Error::other)
        })?;
        known.push(file.path().to_owned());
        drop(known);
        let locked = file.as_file().try_lock();
        // Another run may have found it before it was locked.
        if !matches!(locked, Err(TryLockError::WouldBlock)) && file.path().exists() {
            return Ok(file);
        }
    }
}

/// Removes what runs left in a folder that were killed. What is locked belongs to one that still
/// runs.
pub(super) fn remove_left_overs(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let (name, is_file) = (entry.file_name(), entry.file_type().is_ok_and(|it| it.is_file()));
        if !is_file || !name.to_str().is_some_and(is_ours) {
            continue;
        }
        if let Ok(file) = File::open(entry.path())
            && file.try_lock().is_ok()
        {
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn is_ours(name: &str) -> bool {
    let Some(rest) = name.strip_prefix(PREFIX) else { return false };
    let random = rest.strip_suffix(OLD).unwrap_or(rest);
    random.len() == RANDOM && random.bytes().all(|byte| byte.is_ascii_alphanumeric())
}

/// A file, written to the disk, that is still to take its place.
#[derive(Debug)]
pub(super) struct Ready {
    file: NamedTempFile,
    place: PathBuf,
    /// Whether nothing may stand there.
    is_new: bool,
}

impl Ready {
    /// A file for a place at which nothing stands, or a regular file that may be written, or a
    /// link to one.
    pub(super) fn replacing(place: &Path, bytes: &[u8]) -> io::Result<Self> {
        let mut place = place.to_owned();
        if let Ok(about) = fs::symlink_metadata(&place) {
            if about.is_symlink() {
                let leads = |error| io::Error::other(format!("it is a link, and: {error}"));
                place = fs::canonicalize(&place).map_err(leads)?;
            }
            let about = fs::metadata(&place)?;
            let obstacle = if about.is_dir() {
                "a folder has that name"
            } else if !about.is_file() {
                "what has that name is not a regular file"
            } else if about.permissions().readonly() {
                "the file that has that name is read-only"
            } else {
                ""
            };
            if !obstacle.is_empty() {
                return Err(io::Error::other(obstacle));
            }
        }
        let file = written(super::folder_of(&place), bytes)?;
        Ok(Self { file, place, is_new: false })
    }

    /// A file for a place in a folder at which nothing may stand.
    pub(super) fn new_in(folder: &Path, place: &Path, bytes: &[u8]) -> io::Result<Self> {
        Ok(Self { file: written(folder, bytes)?, place: place.to_owned(), is_new: true })
    }

    fn take_place(self) -> Result<Taken, (PathBuf, io::Error)> {
        let Self { file, place, is_new } = self;
        let renamed = || -> io::Result<Option<(PathBuf, File)>> {
            if is_new {
                file.persist_noclobber(&place).map_err(|error| error.error)?;
                return Ok(None);
            }
            let before = kept(&place, file.path())?;
            file.persist(&place).map_err(|error| {
                let _ = before.as_ref().map(|(aside, _)| fs::remove_file(aside));
                error.error
            })?;
            Ok(before)
        };
        match renamed() {
            Ok(before) => Ok(Taken { place, before }),
            Err(error) => Err((place, error)),
        }
    }
}

fn written(folder: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let file = made_in(folder)?;
    let mut inner = file.as_file();
    inner.write_all(bytes)?;
    inner.sync_data()?;
    Ok(file)
}

/// What stands at a place, under a second name until all is well; it is held, so that no other run
/// takes it for left over.
fn kept(place: &Path, beside: &Path) -> io::Result<Option<(PathBuf, File)>> {
    let mut aside = beside.as_os_str().to_owned();
    aside.push(OLD);
    let aside = PathBuf::from(aside);
    match fs::hard_link(place, &aside) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Ok(()) => {}
        // Not every disk has a second name for a file.
        Err(_) => {
            fs::copy(place, &aside)?;
        }
    }
    let held = File::open(&aside)?;
    let _ = held.try_lock();
    Ok(Some((aside, held)))
}

/// A place that a new file has taken, and what stood there before.
#[derive(Debug)]
struct Taken {
    place: PathBuf,
    before: Option<(PathBuf, File)>,
}

impl Taken {
    fn give_back(self) -> io::Result<()> {
        match self.before {
            Some((aside, _)) => fs::rename(aside, self.place),
            None => fs::remove_file(self.place),
        }
    }
}

/// Lets all files take their places, or none: the place that cannot be taken, and why.
pub(super) fn take_places(ready: Vec<Ready>) -> Result<(), (PathBuf, io::Error)> {
    // A signal waits until this is over.
    let _held = unfinished();
    let mut taken: Vec<Taken> = Vec::new();
    for one in ready {
        match one.take_place() {
            Ok(one) => taken.push(one),
            Err((place, mut error)) => {
                for one in taken.into_iter().rev() {
                    let what = one.place.display().to_string();
                    if let Err(second) = one.give_back() {
                        let more = format!("{error}; {what} is the new one already: {second}");
                        error = io::Error::other(more);
                    }
                }
                return Err((place, error));
            }
        }
    }
    for (aside, _) in taken.into_iter().filter_map(|one| one.before) {
        let _ = fs::remove_file(aside);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

    use super::*;

    #[test]
    fn one_that_cannot_take_its_place_gives_back_those_of_the_others() {
        let (here, gone) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let at = |name: &str| here.path().join(name);
        fs::write(at("old"), "old").unwrap();
        let ready = vec![
            Ready::replacing(&at("old"), b"newer").unwrap(),
            Ready::replacing(&at("first"), b"new").unwrap(),
            Ready::new_in(here.path(), &at("copy"), b"new").unwrap(),
            Ready::replacing(&gone.path().join("lost"), b"new").unwrap(),
        ];
        let lost = gone.path().join("lost");
        // The disk is pulled out before the last one.
        drop(gone);
        assert_eq!(take_places(ready).unwrap_err().0, lost);
        let left = fs::read_dir(here.path()).unwrap().map(|entry| entry.unwrap().file_name());
        assert_eq!(left.collect::<Vec<_>>(), ["old"]);
        assert_eq!(fs::read(at("old")).unwrap(), b"old");
    }

    #[test]
    fn all_take_their_places_and_nothing_is_left_beside_them() {
        let here = tempfile::tempdir().unwrap();
        let at = |name: &str| here.path().join(name);
        fs::write(at("old"), "old").unwrap();
        let old = Ready::replacing(&at("old"), b"newer").unwrap();
        take_places(vec![old, Ready::replacing(&at("first"), b"new").unwrap()]).unwrap();
        assert_eq!(fs::read(at("old")).unwrap(), b"newer");
        assert_eq!(fs::read(at("first")).unwrap(), b"new");
        assert_eq!(fs::read_dir(here.path()).unwrap().count(), 2);
    }
}
