//! Files are written beside their place and then renamed, so that nothing is ever half-written.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::CommandError;
use draw::{self, DrawError, Picture, Size};
use input::file_text;
use plan::edit::{Change, edited};
use plan::{MAX_FILE_BYTES, Plan};

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
    let is_picture = |file: &NewFile| [".png", ".svg"].iter().any(|end| file.name.ends_with(end));
    let without = if files.iter().all(is_picture) { ", or --no-pictures" } else { "" };
    let failed = |what: &Path, why: &dyn std::fmt::Display| CommandError::Output {
        what: what.display().to_string(),
        why: format!("{why}; choose another folder with --out{without}"),
    };
    fs::create_dir_all(folder).map_err(|error| failed(folder, &error))?;
    let mut ready = Vec::with_capacity(files.len());
    for file in files {
        let place = folder.join(&file.name);
        let beside = beside(folder, &file.bytes).map_err(|error| failed(&place, &error))?;
        ready.push((beside, place));
    }
    let mut written = Vec::with_capacity(ready.len());
    for (beside, place) in ready {
        beside.persist(&place).map_err(|error| failed(&place, &error.error))?;
        written.push(place);
    }
    Ok(written)
}

/// A file in a folder, written to the disk, that is still to take its place.
fn beside(folder: &Path, bytes: &[u8]) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".drillonce-");
    // A result is for everybody whom the folder lets in, as any other new file.
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.flush()?;
    file.as_file().sync_data()?;
    Ok(file)
}

/// The name of a plan's file without its ending, for the names of what is written.
pub fn stem(plan: &Path) -> String {
    plan.file_stem().map_or_else(|| "plan".to_owned(), |stem| stem.to_string_lossy().into_owned())
}

/// A picture could not be drawn.
pub fn undrawn(name: &str, error: &DrawError) -> CommandError {
    CommandError::Output { what: format!("the picture {name}"), why: error.to_string() }
}

/// A picture of a plan as PNG and as SVG at the usual size.
///
/// # Errors
/// As [`both_kinds`].
pub fn drawn(name: &str, picture: &Picture) -> Result<[NewFile; 2], CommandError> {
    let layout = draw::layout(picture, Size::default()).map_err(|error| undrawn(name, &error))?;
    both_kinds(name, || layout.png(picture), || layout.svg(picture))
}

/// A picture as PNG and as SVG, drawn at the same time.
///
/// # Errors
/// [`CommandError::Output`] with what the drawing answered.
pub fn both_kinds(
    name: &str,
    png: impl FnOnce() -> Result<Vec<u8>, DrawError> + Send,
    svg: impl FnOnce() -> Result<String, DrawError> + Send,
) -> Result<[NewFile; 2], CommandError> {
    let undrawn = |error: DrawError| undrawn(name, &error);
    let (bitmap, vector) = rayon::join(png, svg);
    Ok([
        NewFile { name: format!("{name}.png"), bytes: bitmap.map_err(undrawn)? },
        NewFile { name: format!("{name}.svg"), bytes: vector.map_err(undrawn)?.into_bytes() },
    ])
}

/// The text of a plan with changes made to it, for a file that must not be there yet.
#[derive(Debug)]
pub struct PlanCopy {
    place: PathBuf,
    text: String,
}

impl PlanCopy {
    /// Makes the copy, without writing it. Whatever the plan's encoding, the copy is UTF-8 without
    /// a mark.
    ///
    /// # Errors
    /// [`CommandError::Usage`] if the file is there already or the changes cannot be made;
    /// [`CommandError::Plan`] if the plan cannot be read.
    pub fn new(
        from: &Path,
        plan: &Plan,
        changes: &[Change],
        to: &Path,
    ) -> Result<Self, CommandError> {
        refuse_existing("--write ", to)?;
        let refused = |why: &dyn std::fmt::Display| {
            CommandError::Usage(format!("--write: {}: {why}", from.display()))
        };
        let text = file_text(from, MAX_FILE_BYTES, "a GeoJSON file", "make the plan smaller")
            .map_err(CommandError::Plan)?
            .text;
        Ok(Self {
            place: to.to_owned(),
            text: edited(&text, plan, changes).map_err(|error| refused(&error))?,
        })
    }

    /// A text for a file that must not be there yet; `option` is what named the file, with the
    /// space behind it, or nothing.
    ///
    /// # Errors
    /// [`CommandError::Usage`] if the file is there already.
    pub fn of_text(option: &str, to: &Path, text: String) -> Result<Self, CommandError> {
        refuse_existing(option, to)?;
        Ok(Self { place: to.to_owned(), text })
    }

    /// Writes it beside its place and then renames it, if nothing has come to stand there
    /// meanwhile.
    ///
    /// # Errors
    /// [`CommandError::Output`].
    pub fn write(&self) -> Result<(), CommandError> {
        let failed = |why: &dyn std::fmt::Display| CommandError::Output {
            what: self.place.display().to_string(),
            why: why.to_string(),
        };
        let folder = self.place.parent().filter(|folder| *folder != Path::new(""));
        let folder = folder.unwrap_or(Path::new("."));
        beside(folder, self.text.as_bytes())
            .map_err(|error| failed(&error))?
            .persist_noclobber(&self.place)
            .map_err(|error| failed(&error.error))?;
        Ok(())
    }
}

/// No file is overwritten; `option` is what named the file, with the space behind it, or nothing.
///
/// # Errors
/// [`CommandError::Usage`] if the file is there already.
pub fn refuse_existing(option: &str, to: &Path) -> Result<(), CommandError> {
    if fs::symlink_metadata(to).is_ok() {
        return Err(CommandError::Usage(format!(
            "{option}{}: the file is there already, and no file is overwritten; give another name",
            to.display()
        )));
    }
    Ok(())
}
