//! What all drawing rests on: points, boxes, type, inks, and the list of what is drawn.

pub(crate) mod canvas;
pub(crate) mod error;
pub(crate) mod font;
pub(crate) mod geometry;
pub(crate) mod ink;

pub(crate) use canvas::{Canvas, Shape};
pub(crate) use error::DrawError;
pub(crate) use font::{Align, CAPITALS_PER_EM, Type, clean, joined};
pub(crate) use geometry::*;
pub(crate) use ink::{
    ACCENT, CONCRETE, DIRECT, FRAME, INK, Ink, MASONRY, PAPER, PARTITION, QUIET, REFLECTED, TIMBER,
    ramp,
};
