//! A page that is being laid out: its head and foot, and what is drawn on it so far.

use crate::base::font;
use crate::base::{Canvas, DrawError, INK, Ink, Point, QUIET, Rect, Type, clean};
use crate::output::Drawing;
use crate::picture::Size;

/// A page of which the height is not settled yet.
pub(crate) struct Sketch {
    pub pen: Canvas,
    /// Width of the page, pixels.
    pub width: f64,
    /// Width of its rim, pixels.
    pub edge: f64,
    /// Size of text and marks against those of a picture 1600 pixels wide.
    pub size: f64,
}

/// The entries of a legend: words, and what draws the sample round a place at a size.
#[derive(Default)]
pub(crate) struct Entries(Vec<(&'static str, Sample)>);

type Sample = fn(&mut Canvas, Point, f64);

impl Entries {
    /// Adds an entry, if it holds.
    pub fn add(&mut self, holds: bool, text: &'static str, draw: Sample) {
        self.0.extend(holds.then_some((text, draw)));
    }
}

/// Pages are no higher than this, pixels.
pub(crate) const MOST_HEIGHT_PX: f64 = 6000.0;

impl Sketch {
    /// An empty page of a width.
    pub fn new(size: Size) -> Result<Self, DrawError> {
        font::register()?;
        let width = f64::from(size.width_px.clamp(480, 6000));
        let size = (width / 1600.0).clamp(0.7, 3.0);
        Ok(Self { pen: Canvas::default(), width, edge: (24.0 * size).round(), size })
    }

    /// Width between the rims, pixels.
    pub fn room(&self) -> f64 {
        self.width - 2.0 * self.edge
    }

    /// Sets title, subtitle and headline; returns where they end.
    pub fn open(&mut self, title: &str, subtitle: &str, headline: &str) -> f64 {
        let (size, edge, room) = (self.size, self.edge, self.room());
        let mut y = edge;
        let title = clean(title);
        if !title.is_empty() {
            let kind = Type::bold(27.0 * size);
            y += 26.0 * size;
            self.pen.write(&kind.fit(&title, room), [edge, y], kind, INK);
            y += 6.0 * size;
        }
        for (text, kind, high, ink) in [
            (subtitle, Type::regular(16.0 * size), 20.0, QUIET),
            (headline, Type::bold(17.0 * size), 25.0, INK),
        ] {
            for line in kind.wrap(&clean(text), room, 2) {
                y += high * size;
                self.pen.write(&line, [edge, y], kind, ink);
            }
        }
        y
    }

    /// Sets the legend in a row, or in several if need be, from `y` on; returns where it ends.
    pub fn legend(&mut self, Entries(entries): &Entries, y: f64) -> f64 {
        const ROW: f64 = 26.0;
        const SAMPLE: f64 = 54.0;
        let size = self.size;
        let kind = Type::regular(14.0 * size);
        let [mut x, mut middle] = [self.edge, y + ROW / 2.0 * size];
        let mut end = y;
        for (text, sample) in entries {
            let text = kind.fit(text, self.room() - (SAMPLE + 8.0) * size);
            let width = (SAMPLE + 8.0) * size + kind.width(&text);
            if x > self.edge && x + width > self.width - self.edge {
                (x, middle) = (self.edge, middle + ROW * size);
            }
            sample(&mut self.pen, [x + SAMPLE / 2.0 * size, middle], size);
            self.pen.write(&text, [x + (SAMPLE + 8.0) * size, middle + 5.0 * size], kind, INK);
            x += width + 24.0 * size;
            end = middle + ROW / 2.0 * size;
        }
        end
    }

    /// The lines of a note at the foot.
    pub fn lines(&self, text: &str) -> Vec<String> {
        Type::regular(14.0 * self.size).wrap(&clean(text), self.room(), 4)
    }

    /// Sets a note under `y`; returns where it ends.
    pub fn note(&mut self, text: &str, ink: Ink, mut y: f64) -> f64 {
        let kind = Type::regular(14.0 * self.size);
        for line in self.lines(text) {
            y += 20.0 * self.size;
            self.pen.write(&line, [self.edge, y], kind, ink);
        }
        y
    }

    /// The page if it ends a rim below `y`, and is no higher than `most`.
    pub fn page(&self, y: f64, most: f64) -> Rect {
        let height = (y + self.edge).ceil().clamp(200.0, most);
        Rect { x0: 0.0, y0: 0.0, x1: self.width, y1: height }
    }

    /// Sets the caution at the foot and ends the page there.
    pub fn close(mut self, caution: &str, y: f64) -> Drawing {
        let y = self.note(caution, INK, y);
        let page = self.page(y, MOST_HEIGHT_PX);
        Drawing { page, canvas: self.pen, dense: false }
    }
}
