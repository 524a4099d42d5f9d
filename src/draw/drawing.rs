//! A laid-out page as a list of what is drawn on it, so that the routines that draw on a surface can
//! be run once and the result be turned into both kinds of picture.

use super::canvas::{Align, Canvas, Point, Surface};
use super::font::{self, Type, clean};
use super::heading;
use super::page::Text;
use super::picture::Size;
use super::ramp::{INK, Ink};
use super::rect::Rect;
use super::{DrawError, Sheet, to_png, to_svg};

/// A laid-out page: every line and every word has its place.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    page: Rect,
    pub(super) shapes: Vec<Shape>,
    dense: bool,
}

/// One thing on the page, pixels.
#[derive(Debug, Clone)]
pub(super) enum Shape {
    Fill(Vec<Point>, Ink),
    Disc(Point, f64, Ink),
    Path(Vec<Point>, f64, Ink),
    Text(String, Point, Type, Align, Ink),
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
        to_png(self)
    }

    /// The page as the text of an SVG file. Names are escaped, and characters that XML does not allow
    /// are left out. The same page always gives the same text.
    ///
    /// # Errors
    /// As [`Drawing::png`].
    pub fn svg(&self) -> Result<String, DrawError> {
        to_svg(self)
    }

    /// What was drawn, on a page of a size in pixels, to be carried in a document.
    pub(super) fn on_page(self, [width, height]: [f64; 2]) -> Self {
        let page = Rect { x0: 0.0, y0: 0.0, x1: width.ceil(), y1: height.ceil() };
        Self { page, dense: true, ..self }
    }

    /// Every piece of text with the box that it takes up, in the order in which it is drawn.
    #[must_use]
    pub fn texts(&self) -> Vec<(&str, Rect)> {
        let texts = self.shapes.iter().filter_map(|shape| match shape {
            Shape::Text(text, [x, y], kind, align, _) => {
                let width = kind.width(text);
                let x0 = match align {
                    Align::Left => *x,
                    Align::Middle => x - width / 2.0,
                    Align::Right => x - width,
                };
                let rect =
                    Rect { x0, y0: y - 0.76 * kind.em, x1: x0 + width, y1: y + 0.24 * kind.em };
                Some((text.as_str(), rect))
            }
            _ => None,
        });
        texts.collect()
    }
}

impl Surface for Drawing {
    fn fill(&mut self, corners: &[Point], ink: Ink) -> Result<(), DrawError> {
        self.shapes.push(Shape::Fill(corners.to_vec(), ink));
        Ok(())
    }

    fn disc(&mut self, centre: Point, radius: f64, ink: Ink) -> Result<(), DrawError> {
        self.shapes.push(Shape::Disc(centre, radius, ink));
        Ok(())
    }

    fn path(&mut self, points: &[Point], width: f64, ink: Ink) -> Result<(), DrawError> {
        self.shapes.push(Shape::Path(points.to_vec(), width, ink));
        Ok(())
    }

    fn text(
        &mut self,
        text: &str,
        base: Point,
        kind: Type,
        align: Align,
        ink: Ink,
    ) -> Result<(), DrawError> {
        let shape = Shape::Text(text.to_owned(), base, kind, align, ink);
        self.shapes.push(shape);
        Ok(())
    }
}

impl Sheet for Drawing {
    fn page(&self) -> Rect {
        self.page
    }

    fn dense(&self) -> bool {
        self.dense
    }

    fn draw<S: Surface>(&self, canvas: &mut Canvas<S>) -> Result<(), DrawError> {
        for shape in &self.shapes {
            match shape {
                Shape::Fill(corners, ink) => canvas.polygon(corners, *ink)?,
                Shape::Disc(centre, radius, ink) => canvas.disc(*centre, *radius, *ink)?,
                Shape::Path(points, width, ink) => canvas.line(points, *width, *ink)?,
                Shape::Text(text, base, kind, align, ink) => {
                    canvas.text(text, *base, *kind, *align, *ink)?;
                }
            }
        }
        Ok(())
    }
}

/// What is drawn on while a page is laid out.
pub(super) type Pen = Canvas<Drawing>;

/// A page of which the height is not settled yet.
pub(super) struct Sketch {
    pub pen: Pen,
    /// Width of the page, pixels.
    pub width: f64,
    /// Width of its rim, pixels.
    pub edge: f64,
    /// Size of text and marks against those of a picture 1600 pixels wide.
    pub size: f64,
}

/// A sample of the legend, drawn round a place at a size.
pub(super) type Sample = fn(&mut Pen, Point, f64) -> Result<(), DrawError>;

/// Pages are no higher than this, pixels.
pub(super) const MOST_HEIGHT_PX: f64 = 6000.0;

impl Sketch {
    /// An empty page of a width.
    pub fn new(size: Size) -> Result<Self, DrawError> {
        font::register()?;
        let width = f64::from(size.width_px.clamp(480, 6000));
        let size = (width / 1600.0).clamp(0.7, 3.0);
        Ok(Self {
            pen: Canvas::new(Drawing::default(), 1.0),
            width,
            edge: (24.0 * size).round(),
            size,
        })
    }

    /// Sets title, subtitle and headline; returns where they end.
    pub fn open(&mut self, [title, subtitle, headline]: [&str; 3]) -> Result<f64, DrawError> {
        let mut texts: Vec<Text> = Vec::new();
        let page = [self.width, self.edge, self.size];
        let end = heading::opening(&[title], subtitle, headline, page, &mut texts);
        for text in texts {
            self.pen.text(&text.text, text.at, text.kind, text.align, text.ink)?;
        }
        Ok(end)
    }

    /// Sets the legend in a row, or in several if need be, from `y` on; returns where it ends.
    pub fn legend(&mut self, entries: &[(Sample, &str)], y: f64) -> Result<f64, DrawError> {
        const ROW: f64 = 26.0;
        const SAMPLE: f64 = 54.0;
        let size = self.size;
        let kind = Type::regular(14.0 * size);
        let [mut x, mut middle] = [self.edge, y + ROW / 2.0 * size];
        for (sample, text) in entries {
            let room = self.width - 2.0 * self.edge - (SAMPLE + 8.0) * size;
            let text = kind.fit(text, room);
            let width = (SAMPLE + 8.0) * size + kind.width(&text);
            if x > self.edge && x + width > self.width - self.edge {
                (x, middle) = (self.edge, middle + ROW * size);
            }
            sample(&mut self.pen, [x + SAMPLE / 2.0 * size, middle], size)?;
            let at = [x + (SAMPLE + 8.0) * size, middle + 5.0 * size];
            self.pen.text(&text, at, kind, Align::Left, INK)?;
            x += width + 24.0 * size;
        }
        Ok(if entries.is_empty() { y } else { middle + ROW / 2.0 * size })
    }

    /// Sets the caution at the foot and ends the page there.
    pub fn close(mut self, caution: &str, y: f64) -> Result<Drawing, DrawError> {
        let kind = Type::regular(14.0 * self.size);
        let mut y = y;
        for line in kind.wrap(&clean(caution), self.width - 2.0 * self.edge, 4) {
            y += 20.0 * self.size;
            self.pen.text(&line, [self.edge, y], kind, Align::Left, INK)?;
        }
        let height = (y + self.edge).ceil().clamp(200.0, MOST_HEIGHT_PX);
        let mut drawing = self.pen.into_surface();
        drawing.page = Rect { x0: 0.0, y0: 0.0, x1: self.width, y1: height };
        Ok(drawing)
    }
}
