//! Private folders in which something is made, and what a program that was killed left of them.

use std::fs::{self, File, TryLockError};
use std::io;
use std::path::Path;

use tempfile::TempDir;

/// What their names begin with.
const PREFIX: &str = "drillonce-taken-";

/// The file in each that is locked as long as the folder is in use, whatever ends the program.
const LOCK: &str = "held";

/// A new private folder, and its lock.
///
/// # Errors
/// What the system says.
pub fn private() -> io::Result<(TempDir, File)> {
    let place = tempfile::Builder::new().prefix(PREFIX).tempdir()?;
    // Locked before it has its name: nobody finds a lock that is not held yet.
    let new = place.path().join("new");
    let lock = File::create(&new)?;
    lock.try_lock().map_err(io::Error::other)?;
    fs::rename(&new, place.path().join(LOCK))?;
    Ok((place, lock))
}

/// Removes the folders that nobody holds any more. What cannot be removed stays: it is no reason
/// not to begin.
pub fn sweep(temporary: &Path) {
    for entry in fs::read_dir(temporary).into_iter().flatten().flatten() {
        let is_ours = entry.file_name().to_string_lossy().starts_with(PREFIX);
        if !is_ours || !entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            continue;
        }
        let is_free = File::open(entry.path().join(LOCK)).is_ok_and(|lock| {
            // Whoever holds it still works there.
            !matches!(lock.try_lock(), Err(TryLockError::WouldBlock))
        });
        if is_free {
            let _ = fs::remove_dir_all(entry.path());
        }
    }
}
