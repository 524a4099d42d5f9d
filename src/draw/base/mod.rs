//! What all drawing rests on: points, boxes, type, inks, and the list of what is drawn.

pub(crate) mod canvas;
pub(crate) mod error;
pub(crate) mod font;
pub(crate) mod geometry;
pub(crate) mod hatch;
pub(crate) mod ink;
pub(crate) mod rect;
pub(crate) mod view;

pub(crate) use canvas::{Canvas, Shape};
pub(crate) use error::DrawError;
pub(crate) use font::{Align, CAPITALS_PER_EM, Type, clean};
pub(crate) use geometry::{
    Point, along, arrow, between, distance, edges, heading, length, level_line, middle,
};
pub(crate) use hatch::hatch;
pub(crate) use ink::{
    ACCENT, CONCRETE, DIRECT, FRAME, INK, Ink, MASONRY, PAPER, PARTITION, QUIET, REFLECTED, TIMBER,
    ramp,
};
pub(crate) use rect::Rect;
pub(crate) use view::View;
