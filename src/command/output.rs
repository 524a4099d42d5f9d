//! Files are written beside their place and then renamed, so that nothing is ever half-written.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::CommandError;

/// A file to be written.
#[derive(Debug, Clone)]
pub struct NewFile {
    /// Its name in the folder.
    pub name: String,
    /// What it holds.
    pub bytes: Vec<u8>,
}

/// Writes files into a folder, which is made if it is not there. All of them are written beside
/// their places before the first takes its own; a file that stood there before is whole until its
/// successor is.
///
/// # Errors
/// [`CommandError::Output`] that names the folder or file and the system's answer.
pub fn write_all(folder: &Path, files: &[NewFile]) -> Result<Vec<PathBuf>, CommandError> {
    let failed = |what: &Path, why: &dyn std::fmt::Display| CommandError::Output {
        what: what.display().to_string(),
        why: format!("{why}; choose another folder with --out, or --no-pictures"),
    };
    fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let mut ready = Vec::with_capacity(files.len());
    for file in files {
        let place = folder.join(&file.name);
        let mut beside = new_file_in(folder).map_err(|error| failed(&place, &error))?;
        beside
            .write_all(&file.bytes)
            .and_then(|()| beside.flush())
            .and_then(|()| beside.as_file().sync_data())
            .map_err(|error| failed(&place, &error))?;
        ready.push((beside, place));
    }
    let mut written = Vec::with_capacity(ready.len());
    for (beside, place) in ready {
        beside
            .persist(&place)
            .map_err(|error| failed(&place, &error.error))?;
        written.push(place);
    }
    Ok(written)
}

fn new_file_in(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".drillonce-");
    // A result is for everybody whom the folder lets in, as any other new file.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}
