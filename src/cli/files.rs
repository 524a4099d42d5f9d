//! The files that a command makes, before they are written: pictures and documents.

use std::path::Path;

use rayon::prelude::*;

use super::error::{CommandError, OrStop as _};
use document::{Document, Paper};
use draw::{DrawError, Picture, Size};
use input::one_line;

/// A file to be written.
#[derive(Debug)]
pub(crate) struct NewFile {
    pub(crate) name: String,
    pub(crate) bytes: Vec<u8>,
    /// Whether somebody fills it in by hand: what was filled in is not overwritten.
    pub(crate) is_form: bool,
}

impl NewFile {
    /// A file that is made anew by every run.
    pub(crate) fn new(name: String, bytes: Vec<u8>) -> Self {
        Self { name, bytes, is_form: false }
    }
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
        NewFile::new(format!("{name}.png"), png.or_unwritten(&picture)?),
        NewFile::new(format!("{name}.svg"), svg.or_unwritten(&picture)?.into_bytes()),
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
    let bytes = bytes.or_unwritten(&name)?;
    Ok(NewFile::new(name, bytes))
}
