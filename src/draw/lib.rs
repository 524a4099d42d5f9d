//! Pictures of one level, and charts, as PNG and as SVG.
//!
//! The picture of coverage shows the margin over the level needed as bands of colour, walls by
//! construction class at their true thickness, openings, obstacles, areas for portable
//! transmitters, and every device with a mark whose shape and words say its finding. Otherwise
//! filled in, it is the map of spots for the panel, that of the ways by which devices are heard, or
//! that of the paths by which the power of one sensor comes ([`PathMark`]). The charts are
//! [`tradeoff`], [`Profile`], [`Comparison`] and [`Pair`]. This crate knows margins in decibels and
//! places in metres; it knows nothing of how they came about.
//!
//! [`layout`] measures all text and fixes where everything goes, so that header, plan, labels,
//! legend, key and footer never overlap. Everything is drawn once, onto a list of shapes, which
//! becomes an SVG by plotters' back end, or a raster on which plotters sets the text.
//!
//! `base` (points, type, inks, the list of shapes), `picture` (what the caller fills in), `output`
//! (files), `parts` (walls, marks, labels, legends), `pages` (the kinds of pictures): each folder
//! knows only those before.
//!
//! # Reading without colour
//! The colour ramp grows darker as the margin falls, without a turn, so that a grey print keeps the
//! order. The region in which a sensor would be failing is hatched besides, the two lines at which
//! the finding changes are drawn and labelled, and the marks differ in shape, size and words.
//!
//! # Font
//! Text is set in `DejaVu` Sans, carried by the crate `dejavu`, so that no system font is needed.
//! The font's licence is a permissive one of its own; see `FONT-LICENCE.txt` in this folder.

mod base;
mod output;
mod pages;
mod parts;
mod picture;

#[cfg(test)]
mod tests;

pub use base::error::DrawError;
pub use output::Drawing;
pub use pages::compare::{ComparedSensor, Comparison, ReadLevel};
pub use pages::multiples::Multiples;
pub use pages::page::{Layout, layout};
pub use pages::pair::Pair;
pub use pages::print::{KeyEntry, KeySample, Print, print_key, printed};
pub use pages::profile::{Likely, Profile, ProfileSensor, ProfileWall};
pub use pages::tradeoff;
pub use picture::plan::*;
pub use units::Finding;
