//! From the list of what is drawn to files.

pub(crate) mod drawing;
mod raster;
mod svg;
