//! Floor plans as PDF with vectors: the paths of one page go the way of the lines of a drawing.
//!
//! Which library: `hayro-syntax` (Apache-2.0 or MIT) takes broken files as viewers do (a torn list
//! of objects is made anew), and its content is read operator by operator. `lopdf` (MIT) was the
//! other: it brings a parser generator, ciphers, clocks and random numbers, and unpacks all objects
//! of a file at once. `hayro-interpret` of the same author says what a page draws, and `tiny-skia`
//! paints it (`canvas`); the author's own painter cannot be stopped, and builds twice as long.
//!
//! Read are lines, curves and rectangles that are stroked or filled, with forms in one another,
//! the rotation of the page and its unit. Layers are those of optional content; without any, the
//! width and the colour of the pen, so that walls drawn with a wide pen tell themselves apart.
//! What is filled white hides and is left out, as are clips, shadings, patterns, pictures and
//! scripts. Of texts only the scale is read. A page that is hardly more than a picture goes the way
//! of a picture.

mod canvas;
mod content;
mod guard;
mod painted;
mod path;
mod scale;
mod text;

use std::collections::BTreeSet;

use geo::{AffineTransform, Line};
use hayro_syntax::object::{Array, Dict, Name, ObjectIdentifier, Stream};
use hayro_syntax::page::{Page, Rotation};
use hayro_syntax::{LoadPdfError, Pdf};

use self::content::Content;
use self::guard::Trouble;
pub use self::painted::{Painted, is_pdf, painted};
pub use self::scale::{Scale, scales};
use crate::dxf::{self, Groups};
use crate::guess::Guesses;
use crate::line::length;
use crate::{Draft, Settings, picture, whole_file};
use plan::Diagnostic;

/// Most pages that are looked at (our own choice: a set of drawings of a house).
const MOST_PAGES: usize = 60;
/// A page with fewer lines, of which pictures cover so much, is a scan (our own choice: a title
/// block has some lines, and a plan may have a logo).
const SCAN: (usize, f64) = (60, 0.3);
/// With this a file begins.
pub(super) const HEADER: &[u8] = b"%PDF-";

/// Reads a page as a draft.
///
/// # Errors
/// A file that cannot be read, is protected or unpacks to too much; a page that is not there, draws
/// too much or in a circle; a scale that nobody says; and all faults of a drawing, or of a picture.
pub fn draft(name: &str, bytes: &[u8], settings: &Settings) -> Result<Draft, Vec<Diagnostic>> {
    let trouble = |(what, fix): Trouble| vec![whole_file(name, what, fix)];
    let pdf = guard::loaded(bytes).map_err(trouble)?;
    let off = off(&pdf);
    let mut guesses = Guesses::default();
    let (number, content) = page(&pdf, &off, settings, &mut guesses).map_err(trouble)?;
    if content.out.strokes.len() < SCAN.0 && content.pictures > SCAN.1 {
        let metres = scale::metres_per_point(settings, &content.texts, Vec::new(), &mut guesses);
        let metres = metres.map_err(|(_, fix)| {
            let what = format!("page {number} is a picture (a scan) that names no scale");
            trouble((what, fix))
        })?;
        let scan = painted(bytes, number).map_err(trouble)?;
        let mut draft = picture::grounded(name, &scan.picture, metres / scan.per_point, settings)?;
        draft.guesses.splice(0..0, guesses.0);
        return Ok(draft);
    }
    if content.out.strokes.is_empty() {
        let fix = "choose another page with --page, or export the floor plan with its lines";
        return Err(trouble((format!("page {number} has no lines"), fix)));
    }
    let swings = content.out.strokes.iter().filter_map(|stroke| {
        let round = stroke.drawn.round.filter(|it| (60.0..=100.0).contains(&it.sweep_deg.abs()))?;
        Some(length(Line::new(round.middle, stroke.drawn.start)))
    });
    let swings = swings.collect();
    let metres = scale::metres_per_point(settings, &content.texts, swings, &mut guesses);
    let metres = metres.map_err(trouble)?;
    let settings = Settings { metres_per_unit: Some(metres), ..settings.clone() };
    let groups = Groups::with_hidden(content.hidden);
    let mut draft = dxf::of_strokes(name, &groups, &content.out, &settings)?;
    draft.guesses.splice(0..0, guesses.0);
    Ok(draft)
}

/// The page that the user asks for, else the one with most lines; with its number.
fn page<'p>(
    pdf: &'p Pdf,
    off: &'p BTreeSet<ObjectIdentifier>,
    settings: &Settings,
    guesses: &mut Guesses,
) -> Result<(usize, Content<'p>), Trouble> {
    let pages = pdf.pages();
    let read = |page: &'p Page<'p>, steps: usize| {
        let mut content = Content::new(off, steps);
        content.page(&data(page)?, page.resources(), place(page))?;
        let media = page.media_box();
        content.pictures /= (media.width() * media.height()).abs().max(1.0);
        Ok(content)
    };
    if let Some(number) = settings.page {
        return Ok((number, read(nth(pdf, number)?, 0)?));
    }
    if pages.len() > MOST_PAGES {
        let what = format!("the PDF has {} pages, and no page is chosen", pages.len());
        return Err((what, "give --page N, counted from 1"));
    }
    let mut best: Option<(usize, Content<'p>)> = None;
    let mut steps = 0;
    for (number, page) in (1..).zip(pages.iter()) {
        let content = read(page, steps)?;
        steps = content.steps;
        let lines = content.out.strokes.len();
        if best.as_ref().is_none_or(|(_, most)| lines > most.out.strokes.len()) {
            best = Some((number, content));
        }
    }
    let best = best.ok_or_else(|| guard::not_loaded(LoadPdfError::Invalid))?;
    if pages.len() > 1 {
        let taken = format!("page {} of {}, the one with most lines", best.0, pages.len());
        guesses.add("page", taken, "--page N reads another one", 1);
    }
    Ok(best)
}

/// A page, counted from 1.
fn nth(pdf: &Pdf, number: usize) -> Result<&Page<'_>, Trouble> {
    let pages = pdf.pages();
    number.checked_sub(1).and_then(|at| pages.get(at)).ok_or_else(|| {
        let what = format!("there is no page {number}; the PDF has {}", pages.len());
        (what, "choose one of them, counted from 1")
    })
}

/// What a page draws, its streams one after another.
fn data(page: &Page<'_>) -> Result<Vec<u8>, Trouble> {
    let dict = page.raw();
    let only = dict.get::<Stream<'_>>("Contents").into_iter();
    let all = dict.get::<Array<'_>>("Contents");
    guard::joined(only.chain(all.iter().flat_map(Array::iter::<Stream<'_>>)))
}

/// Points to a unit of the page.
fn unit(page: &Page<'_>) -> f64 {
    let unit = page.raw().get::<f64>("UserUnit").filter(|unit| (0.01..=1e4).contains(unit));
    unit.unwrap_or(1.0)
}

/// How the page lies before the reader, in points.
fn place(page: &Page<'_>) -> AffineTransform<f64> {
    let unit = unit(page);
    let (a, b, d, e) = match page.rotation() {
        Rotation::None => (unit, 0.0, 0.0, unit),
        Rotation::Horizontal => (0.0, unit, -unit, 0.0),
        Rotation::Flipped => (-unit, 0.0, 0.0, -unit),
        Rotation::FlippedHorizontal => (0.0, -unit, unit, 0.0),
    };
    AffineTransform::new(a, b, 0.0, d, e, 0.0)
}

/// The groups of optional content that are switched off when the file is opened.
fn off(pdf: &Pdf) -> BTreeSet<ObjectIdentifier> {
    let catalogue = pdf.xref().get::<Dict<'_>>(pdf.xref().root_id());
    let all = catalogue.and_then(|catalogue| catalogue.get::<Dict<'_>>("OCProperties"));
    let Some((all, usual)) = all.and_then(|all| Some((all.clone(), all.get::<Dict<'_>>("D")?)))
    else {
        return BTreeSet::new();
    };
    let ids = |list: Option<Array<'_>>| -> Vec<ObjectIdentifier> {
        let refs = list.iter().flat_map(|list| list.raw_iter().collect::<Vec<_>>());
        refs.filter_map(|one| one.as_obj_ref()).map(ObjectIdentifier::from).collect()
    };
    let mut off = BTreeSet::new();
    if usual.get::<Name<'_>>("BaseState").is_some_and(|state| *state == *b"OFF") {
        off.extend(ids(all.get("OCGs")));
        for id in ids(usual.get("ON")) {
            off.remove(&id);
        }
    }
    off.extend(ids(usual.get("OFF")));
    off
}
