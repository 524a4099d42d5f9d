//! Files are written beside their place and then renamed, so that nothing is ever half-written.

use std::fmt::Display;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::error::{CommandError, OrStop as _};
use document::{Document, Paper};
use draw::{DrawError, Picture, Size};
use input::{file_text, one_line};
use plan::edit::{Change, edited};
use plan::{MAX_FILE_BYTES, Plan};

/// A file to be written.
#[derive(Debug)]
pub(crate) struct NewFile {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
}

/// Writes files into a folder, which is made if it is not there. All of them are written beside
/// their places before the first takes its own; a file that stood there before is whole until its
/// successor is.
pub(crate) fn write_all(folder: &Path, files: &[NewFile]) -> Result<(), CommandError> {
    let is_picture = |file: &NewFile| [".png", ".svg"].iter().any(|end| file.name.ends_with(end));
    let without = if files.iter().all(is_picture) { ", or --no-pictures" } else { "" };
    let failed = |what: &Path, why: &dyn Display| CommandError::Output {
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
    for (beside, place) in ready {
        beside.persist(&place).map_err(|error| failed(&place, &error.error))?;
    }
    Ok(())
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

/// The name of a plan's file without its ending and hidden characters, for the names of what is
/// written.
pub(crate) fn stem(plan: &Path) -> String {
    let stem = plan.file_stem().map_or("plan".into(), |stem| stem.to_string_lossy());
    one_line(&stem).into_owned()
}

/// The pictures of levels, as files named PREFIX-levelN.
pub(crate) fn level_files(
    prefix: &str,
    levels: &[(i32, Picture)],
) -> Result<Vec<NewFile>, CommandError> {
    let drawn = levels.par_iter().map(|(n, picture)| drawn(&format!("{prefix}-level{n}"), picture));
    let drawn: Vec<Result<[NewFile; 2], CommandError>> = drawn.collect();
    let drawn: Vec<[NewFile; 2]> = drawn.into_iter().collect::<Result<_, _>>()?;
    Ok(drawn.into_iter().flatten().collect())
}

/// A picture of a plan as PNG and as SVG at the usual size.
pub(crate) fn drawn(name: &str, picture: &Picture) -> Result<[NewFile; 2], CommandError> {
    let page = draw::layout(picture, Size::default());
    both_kinds(name, page, |page| page.png(picture), |page| page.svg(picture))
}

/// A picture as PNG and as SVG, drawn at the same time from what laid it out.
pub(crate) fn both_kinds<P: Sync>(
    name: &str,
    page: Result<P, DrawError>,
    png: impl FnOnce(&P) -> Result<Vec<u8>, DrawError> + Send,
    svg: impl FnOnce(&P) -> Result<String, DrawError> + Send,
) -> Result<[NewFile; 2], CommandError> {
    let picture = format!("the picture {name}");
    let page = page.or_unwritten(&picture)?;
    let (png, svg) = rayon::join(|| png(&page), || svg(&page));
    Ok([
        NewFile { name: format!("{name}.png"), bytes: png.or_unwritten(&picture)? },
        NewFile { name: format!("{name}.svg"), bytes: svg.or_unwritten(&picture)?.into_bytes() },
    ])
}

/// One of the two forms of a document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Form {
    /// One page for a browser, with everything in it.
    Html,
    /// For print.
    Pdf,
}

/// A document in one form, as the file `NAME.html` or `NAME.pdf`: the one place that calls the
/// renderers.
pub(crate) fn document_file(
    document: &Document,
    form: Form,
    paper: Paper,
    name: &str,
) -> Result<NewFile, CommandError> {
    let (name, bytes) = match form {
        Form::Html => (format!("{name}.html"), Ok(document::html(document).into_bytes())),
        Form::Pdf => (format!("{name}.pdf"), document::pdf(document, paper)),
    };
    Ok(NewFile { bytes: bytes.or_unwritten(&name)?, name })
}

/// The text of a plan with changes made to it, for a file that must not be there yet.
#[derive(Debug)]
pub(crate) struct PlanCopy {
    place: PathBuf,
    text: String,
}

impl PlanCopy {
    /// Makes the copy, without writing it.
    pub(crate) fn new(
        from: &Path,
        plan: &Plan,
        changes: &[Change],
        to: &Path,
    ) -> Result<Self, CommandError> {
        refuse_existing("--write ", to)?;
        let text = file_text(from, MAX_FILE_BYTES, "a GeoJSON file", "make the plan smaller")
            .map_err(CommandError::Plan)?
            .text;
        let text = edited(&text, plan, changes)
            .map_err(|why| CommandError::Usage(format!("--write: {}: {why}", from.display())))?;
        Ok(Self { place: to.to_owned(), text })
    }

    /// A text for a file that must not be there yet; `option` is what named the file, with the
    /// space behind it, or nothing.
    pub(crate) fn of_text(option: &str, to: &Path, text: String) -> Result<Self, CommandError> {
        refuse_existing(option, to)?;
        Ok(Self { place: to.to_owned(), text })
    }

    /// Writes it beside its place and then renames it, if nothing has come to stand there
    /// meanwhile.
    pub(crate) fn write(&self) -> Result<(), CommandError> {
        let what = &self.place.display();
        let folder = self.place.parent().filter(|folder| *folder != Path::new(""));
        let file = beside(folder.unwrap_or(Path::new(".")), self.text.as_bytes());
        let file = file.or_unwritten(what)?;
        file.persist_noclobber(&self.place).map_err(|error| error.error).or_unwritten(what)?;
        Ok(())
    }
}

/// No file is overwritten; `option` is what named the file, with the space behind it, or nothing.
pub(crate) fn refuse_existing(option: &str, to: &Path) -> Result<(), CommandError> {
    if fs::symlink_metadata(to).is_ok() {
        return Err(CommandError::Usage(format!(
            "{option}{}: the file is there already, and no file is overwritten; give another name",
            to.display()
        )));
    }
    Ok(())
}
