//! What pictures consist of: walls, marks, labels, the field, legends, scales.

pub(crate) mod areas;
pub(crate) mod axis;
pub(crate) mod bands;
pub(crate) mod bar;
pub(crate) mod cover;
pub(crate) mod decibels;
pub(crate) mod field;
pub(crate) mod heading;
pub(crate) mod key;
pub(crate) mod labels;
pub(crate) mod legend;
pub(crate) mod links;
pub(crate) mod mark;
pub(crate) mod marks;
pub(crate) mod original;
pub(crate) mod paths;
pub(crate) mod plate;
pub(crate) mod rows;
pub(crate) mod scale;
pub(crate) mod search;
pub(crate) mod siting;
pub(crate) mod sketch;
pub(crate) mod walls;
