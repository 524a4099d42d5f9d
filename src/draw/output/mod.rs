//! From the list of what is drawn to files.

mod raster;
mod svg;

use crate::base::{Canvas, DrawError, PAPER, Rect, Shape};
use raster::Raster;
use svg::svg;

/// A laid-out page: every line and every word has its place.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    pub(crate) page: Rect,
    pub(crate) canvas: Canvas,
    /// Whether its PNG file is to be small rather than quickly made: it is carried in a document.
    pub(crate) dense: bool,
}

impl Drawing {
    /// Width and height in whole pixels.
    #[must_use]
    pub fn size_px(&self) -> (u32, u32) {
        (self.page.x1 as u32, self.page.y1 as u32)
    }

    /// The page as a PNG file in memory. The same page always gives the same bytes.
    ///
    /// # Errors
    /// [`DrawError::Backend`] for failures of the machine.
    pub fn png(&self) -> Result<Vec<u8>, DrawError> {
        let (width, height) = self.size_px();
        let mut raster = Raster::new(width, height);
        for shape in &self.canvas.shapes {
            raster.draw(shape)?;
        }
        raster.encode(self.dense)
    }

    /// The page as the text of an SVG file. Names are escaped, and characters that XML does not
    /// allow are left out. The same page always gives the same text.
    ///
    /// # Errors
    /// As [`Drawing::png`].
    pub fn svg(&self) -> Result<String, DrawError> {
        let ground = Shape::Fill(self.page.corners().to_vec(), PAPER);
        let shapes: Vec<&Shape> = std::iter::once(&ground).chain(&self.canvas.shapes).collect();
        svg(&shapes, self.size_px())
    }

    /// Every piece of text with the box that it takes up, in the order in which it is drawn.
    #[cfg(test)]
    pub(crate) fn texts(&self) -> Vec<(&str, Rect)> {
        let texts = self.canvas.shapes.iter().filter_map(|shape| match shape {
            Shape::Text(text, [x, y], kind, align, _) => {
                let x0 = kind.left(text, *x, *align);
                let (y0, y1) = (y - 0.76 * kind.em, y + 0.24 * kind.em);
                Some((text.as_str(), Rect { x0, y0, x1: x0 + kind.width(text), y1 }))
            }
            _ => None,
        });
        texts.collect()
    }
}
