//! A page as a picture, to be laid under a plan.

use std::collections::BTreeSet;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use hayro_interpret::kurbo::{Affine, Rect};
use hayro_interpret::{
    Context, InterpreterCache, InterpreterSettings, RenderContent, TransformExt, interpret_page,
};
use hayro_syntax::page::Page;

use super::canvas::Canvas;
use super::content::Content;
use super::guard::{self, Trouble};
use super::{data, nth, place, unit};
use crate::picture::Picture;

/// Pixels to an inch of paper (our own choice: a wall of 1:100 is a few pixels wide).
const PER_INCH: f64 = 300.0;
/// Most pixels along the longer side: 16 million in all on usual paper (our own choice).
const LONGEST: f64 = 4_800.0;
/// Fewest pixels along a side.
const FEWEST: f64 = 16.0;

/// A page as a picture.
#[derive(Debug)]
pub struct Painted {
    /// The page, upright.
    pub picture: Picture,
    /// How many pages the file has.
    pub pages: usize,
    /// Pixels to a point of paper.
    pub(super) per_point: f64,
}

/// Whether a file begins as a PDF does.
#[must_use]
pub fn is_pdf(bytes: &[u8]) -> bool {
    bytes.trim_ascii_start().starts_with(super::HEADER)
}

/// Paints a page of a PDF, counted from 1. Nothing of the file runs and nothing of it but pixels
/// comes through; time and memory are bounded.
///
/// # Errors
/// A file that cannot be read, is protected or unpacks to too much; a page that is not there, shows
/// nothing, or draws too much.
pub fn painted(bytes: &[u8], number: usize) -> Result<Painted, Trouble> {
    let pdf = guard::loaded(bytes)?;
    let page = nth(&pdf, number)?;
    // Counts the steps and the letters of the page and its forms, however they are nested.
    let off = BTreeSet::new();
    Content::new(&off, 0).page(&data(page)?, page.resources(), place(page))?;
    let ((wide, high), scale) = size(page);
    if wide < FEWEST || high < FEWEST {
        let what = format!("page {number} is a strip, {wide:.0} by {high:.0} pixels");
        return Err((what, "choose another page, or cut the page to the floor plan"));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "16 to 4,800")]
    let canvas = Canvas::new((wide as u32, high as u32));
    let too_much = || {
        let what = format!("page {number} draws more than can be shown");
        (what, "print the floor plan alone into a new PDF, or take a picture of the screen")
    };
    let mut canvas = canvas.ok_or_else(too_much)?;
    let whole = Rect::new(0.0, 0.0, wide, high);
    // A fault of the library in a strange file must not end the program.
    let drawn = catch_unwind(AssertUnwindSafe(|| {
        let cache = InterpreterCache::new();
        let place = Affine::scale(scale) * page.initial_transform(true).to_kurbo();
        let mut context = Context::new(place, whole, &cache, page.xref(), settings());
        interpret_page(page, &mut context, &mut canvas);
    }));
    if drawn.is_err() || canvas.is_torn {
        return Err(too_much());
    }
    let picture = canvas.painted().map(Picture::of).ok_or_else(|| {
        (format!("page {number} shows nothing"), "choose another page, counted from 1")
    })?;
    Ok(Painted { picture, pages: pdf.pages().len(), per_point: scale / unit(page) })
}

/// Columns and rows of a page, whole, and pixels to a unit of the page.
fn size(page: &Page<'_>) -> ((f64, f64), f64) {
    let (wide, high) = page.render_dimensions();
    let (wide, high) = (f64::from(wide), f64::from(high));
    let scale = (PER_INCH / 72.0 * unit(page)).min(LONGEST / wide.max(high));
    (((wide * scale).floor(), (high * scale).floor()), scale)
}

/// Letters of fonts that are not in the file have the shapes of ours; notes are not drawn.
fn settings() -> InterpreterSettings {
    InterpreterSettings {
        font_resolver: Arc::new(|_| Some((Arc::new(dejavu::sans::regular()), 0))),
        cmap_resolver: Arc::new(|_| None),
        warning_sink: Arc::new(|_| {}),
        render_content: RenderContent::PAGE,
    }
}
