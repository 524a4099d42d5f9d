//! Pictures of one level, and a chart of spots against one another, as PNG and as SVG.
//!
//! The picture of coverage shows the margin over the level needed as bands of colour, walls by construction
//! class at their true thickness, openings, obstacles, areas for portable transmitters, and every
//! device with a mark whose shape and words say its finding. This module knows margins in decibels
//! and places in metres; it knows nothing of how they came about.
//!
//! The same picture, otherwise filled in, is the map of spots for the panel (the field is then the
//! worst margin over all devices; spots, strips where the panel may not hang, outlets, walks and wires
//! come on top), that of the ways by which devices are heard, and that of the paths by which the power of
//! one sensor comes ([`PathMark`]). The chart of what is gained and lost from spot to spot is in
//! [`tradeoff`]; the level along one path is a [`Profile`], forecasts beside readings a [`Comparison`],
//! and two pictures side by side a [`Pair`]. These three are laid out as a [`Drawing`].
//!
//! # How a picture comes about
//! 1. [`layout`] measures all text and fixes where everything goes: header, plan, labels, legend,
//!    key and footer never overlap. It draws nothing, so that it can be tested alone.
//! 2. One drawing routine then runs over the layout, once for each kind of picture: on plotters'
//!    SVG back end, or on a raster whose text and PNG file plotters makes.
//!
//! # Reading without colour
//! The colour ramp grows darker as the margin falls, without a turn, so that a grey print keeps the
//! order. The region in which a sensor would be failing is hatched besides, the two lines at which
//! the finding changes are drawn and labelled, and the marks differ in shape, size and words.
//!
//! # Font
//! Text is set in `DejaVu` Sans, carried by the crate `dejavu`, so that no system font is needed. The
//! font's licence is a permissive one of its own; see `FONT-LICENCE.txt` in this folder.

mod apart;
mod areas;
mod axis;
mod bar;
mod candidates;
mod canvas;
mod compare;
mod cover;
mod drawing;
mod extent;
mod field;
mod font;
mod glyphs;
mod heading;
mod key;
mod labels;
mod legend;
mod links;
mod marks;
mod page;
mod pair;
mod paths;
mod picture;
mod pins;
mod plate;
mod print;
mod print_key;
mod profile;
mod ramp;
mod raster;
mod rect;
mod rows;
mod scale;
mod search;
mod siting;
pub mod tradeoff;
mod walls;

#[cfg(test)]
mod sample;
#[cfg(test)]
mod tests;

pub use compare::{ComparedSensor, Comparison, ReadLevel};
pub use drawing::Drawing;
pub use labels::{LabelOf, PlacedLabel};
pub use links::{Link, LinkEnd};
pub use page::{Layout, layout};
pub use pair::Pair;
pub use paths::{CrossingMark, PathMark};
pub use picture::{
    AreaMark, DeviceKind, DeviceMark, Field, Finding, LengthUnit, OpeningMark, Picture, Size,
    Thresholds, WallClass, WallMark,
};
pub use print::{Print, printed};
pub use print_key::{KeyEntry, KeySample, print_key};
pub use profile::{Likely, Profile, ProfileSensor, ProfileWall};
pub use rect::Rect;
pub use siting::{ForbiddenMark, LineKind, LineMark, MOST_PINS, SpotMark};

use canvas::{Canvas, Surface};
use plotters::backend::{DrawingBackend, SVGBackend};
use raster::Raster;

/// Why a picture could not be drawn.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum DrawError {
    /// A coordinate, thickness or cell size is not a finite number, or is out of range.
    #[error("cannot draw {what}: {value} is not a usable number")]
    Number {
        /// What the number belongs to.
        what: String,
        /// The number as given.
        value: f64,
    },
    /// The field does not hold one value for each cell.
    #[error("the field has {found} values, but {columns} columns of {rows} rows need {expected}")]
    FieldShape {
        /// Columns of the field.
        columns: usize,
        /// Rows of the field.
        rows: usize,
        /// Values that are needed.
        expected: usize,
        /// Values that were given.
        found: usize,
    },
    /// The carried font could not be read.
    #[error("the built-in font could not be read")]
    Font,
    /// The back end could not draw, or the PNG could not be encoded.
    #[error("the picture could not be drawn: {0}")]
    Backend(String),
}

/// Units of the SVG's own coordinates for one pixel of the picture: plotters draws on whole
/// numbers, so this is the precision of the SVG.
const SVG_SCALE: u32 = 4;

/// Draws the picture as a PNG file in memory.
///
/// The same picture and size always give the same bytes.
///
/// # Errors
/// [`DrawError::Number`] and [`DrawError::FieldShape`] for input that cannot be drawn; the others
/// for failures of the machine.
pub fn png(picture: &Picture, size: Size) -> Result<Vec<u8>, DrawError> {
    layout(picture, size)?.png(picture)
}

/// Draws the picture as the text of an SVG file.
///
/// Names are escaped, and characters that XML does not allow are left out. The same picture and
/// size always give the same text.
///
/// # Errors
/// As [`png()`].
pub fn svg(picture: &Picture, size: Size) -> Result<String, DrawError> {
    layout(picture, size)?.svg(picture)
}

impl Layout {
    /// Draws the picture that this layout was made for as PNG; as [`png()`], for callers that want
    /// both kinds and lay out only once.
    ///
    /// # Errors
    /// As [`png()`].
    pub fn png(&self, picture: &Picture) -> Result<Vec<u8>, DrawError> {
        to_png(&(self, picture))
    }

    /// Draws the picture that this layout was made for as SVG; as [`svg`].
    ///
    /// # Errors
    /// As [`png()`].
    pub fn svg(&self, picture: &Picture) -> Result<String, DrawError> {
        to_svg(&(self, picture))
    }
}

/// A page that can be drawn on any surface.
trait Sheet {
    /// The whole page, from (0, 0); its edges are whole pixels.
    fn page(&self) -> Rect;

    /// Whether its PNG file is to be small rather than quickly made: it is carried in a document.
    fn dense(&self) -> bool {
        false
    }

    /// Draws everything.
    fn draw<S: Surface>(&self, canvas: &mut Canvas<S>) -> Result<(), DrawError>;
}

impl Sheet for (&Layout, &Picture) {
    fn page(&self) -> Rect {
        self.0.page
    }

    fn dense(&self) -> bool {
        self.1.plain
    }

    fn draw<S: Surface>(&self, canvas: &mut Canvas<S>) -> Result<(), DrawError> {
        draw(canvas, self.1, self.0)
    }
}

/// A sheet as a PNG file.
fn to_png(sheet: &impl Sheet) -> Result<Vec<u8>, DrawError> {
    let page = sheet.page();
    let raster = Raster::new(page.x1 as u32, page.y1 as u32);
    let mut canvas = Canvas::new(raster, f64::from(raster::FINENESS));
    sheet.draw(&mut canvas)?;
    canvas.into_surface().encode(sheet.dense())
}

/// A sheet as the text of an SVG file.
fn to_svg(sheet: &impl Sheet) -> Result<String, DrawError> {
    let page = sheet.page();
    let (width, height) = (page.x1 as u32, page.y1 as u32);
    let (wide, high) = (width * SVG_SCALE, height * SVG_SCALE);
    let mut text = String::new();
    let backend = SVGBackend::with_string(&mut text, (wide, high));
    let mut canvas = Canvas::new(backend, f64::from(SVG_SCALE));
    canvas.rectangle(page, ramp::PAPER)?;
    sheet.draw(&mut canvas)?;
    canvas.into_surface().present().map_err(canvas::failed)?;
    // The back end writes one size for the drawing's units and the page; give the page its own.
    Ok(text.replacen(
        &format!("width=\"{wide}\" height=\"{high}\""),
        &format!("width=\"{width}\" height=\"{height}\" stroke-linejoin=\"round\""),
        1,
    ))
}

/// Draws everything, from the back to the front.
fn draw<S: Surface>(
    canvas: &mut Canvas<S>,
    picture: &Picture,
    layout: &Layout,
) -> Result<(), DrawError> {
    field::draw(canvas, layout)?;
    areas::draw(canvas, picture, layout)?;
    siting::draw_strips(canvas, picture, layout)?;
    walls::draw(canvas, picture, layout)?;
    siting::draw(canvas, picture, layout)?;
    paths::draw(canvas, picture, layout)?;
    marks::draw(canvas, picture, layout)?;
    labels::draw(canvas, layout)?;
    if picture.plain {
        return Ok(());
    }
    canvas.outline(&layout.plan.corners(), 1.0, ramp::FRAME)?;
    legend::draw(canvas, layout)?;
    key::draw(canvas, layout)?;
    page::draw_texts(canvas, layout)
}
