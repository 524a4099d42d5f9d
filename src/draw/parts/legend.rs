//! The legend's blocks on the page, and its samples; what it lists is settled elsewhere.

use crate::base::{Align, Canvas, INK, Point, Rect, Type};
use crate::parts::bands::Bands;
use crate::parts::bar::{SAMPLE, draw_bar};
use crate::picture::Picture;

/// A part of the legend that is kept together.
pub(crate) struct Block {
    pub heading: Vec<String>,
    pub rows: Vec<Row>,
    pub height: f64,
    /// Its box, once settled.
    pub rect: Rect,
}

/// Draws a sample round a place at a size.
pub(crate) type DrawSample = Box<dyn Fn(&mut Canvas, Point, f64)>;

/// A line of the legend, set in several if need be.
pub(crate) struct Row {
    /// None for the colour bar.
    pub sample: Option<DrawSample>,
    pub lines: Vec<String>,
    pub height: f64,
}

impl Row {
    /// Draws the row from its upper left corner on; `along` says where the sample's middle and the
    /// words' beginning lie, pixels at size 1.
    pub fn draw(&self, canvas: &mut Canvas, [x, y]: Point, along: [f64; 2], size: f64) {
        let kind = Type::regular(14.0 * size);
        let middle = y + self.height / 2.0;
        if let Some(sample) = &self.sample {
            sample(canvas, [x + along[0] * size, middle], size);
        }
        let first = middle - 9.0 * size * (self.lines.len() as f64 - 1.0) + kind.lift();
        for (count, line) in self.lines.iter().enumerate() {
            let at = [x + along[1] * size, first + 18.0 * size * count as f64];
            canvas.text(line, at, kind, Align::Left, INK);
        }
    }
}

/// How rows are set.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Setting {
    pub size: f64,
    /// Room for the words, pixels.
    pub room: f64,
    /// Lines that the words take at most.
    pub lines: usize,
    /// White between the words of two rows, pixels at size 1.
    pub pad: f64,
}

impl Setting {
    /// A row with a sample that is `high` pixels high at size 1.
    pub fn row(
        &self,
        high: f64,
        text: &str,
        sample: impl Fn(&mut Canvas, Point, f64) + 'static,
    ) -> Row {
        let lines = Type::regular(14.0 * self.size).wrap(text, self.room, self.lines);
        let words = 18.0 * self.size * lines.len() as f64 + self.pad * self.size;
        let height = words.max(high * self.size);
        Row { sample: Some(Box::new(sample)), lines, height }
    }
}

/// Where the blocks go when they are set in columns.
#[derive(Debug, Clone)]
pub(crate) struct Flow {
    /// Offset of each block from the legend's upper left corner.
    offsets: Vec<Point>,
    width: f64,
    /// Height of the longest column.
    pub height: f64,
}

/// From one line of a heading to the next, pixels at size 1.
pub(crate) const HEADING: f64 = 19.0;

/// How many blocks fit under one another within a height; at least one, if there is any.
pub(crate) fn fitting(blocks: &[Block], height: f64, gap: f64) -> usize {
    let mut end = -gap;
    let fit = blocks.iter().take_while(|block| {
        end += block.height + gap;
        end <= height
    });
    fit.count().max(1).min(blocks.len())
}

/// Sets blocks in columns, each under the shortest so far.
pub(crate) fn flow(blocks: &[Block], columns: usize, width: f64, gap: f64) -> Flow {
    let mut ends = vec![0.0_f64; columns.max(1)];
    let mut offsets = Vec::with_capacity(blocks.len());
    for block in blocks {
        let shortest = (0..ends.len())
            .fold(0, |best, column| if ends[column] < ends[best] { column } else { best });
        offsets.push([shortest as f64 * (width + gap), ends[shortest]]);
        ends[shortest] += block.height + gap;
    }
    let height = ends.iter().copied().fold(0.0, f64::max) - gap;
    Flow { offsets, width, height: height.max(0.0) }
}

/// Fixes the blocks' boxes, with the legend's upper left corner at `corner`.
pub(crate) fn settle(blocks: &mut [Block], flow: &Flow, corner: Point) -> Vec<Rect> {
    for (block, offset) in blocks.iter_mut().zip(&flow.offsets) {
        let (x, y) = (corner[0] + offset[0], corner[1] + offset[1]);
        block.rect = Rect { x0: x, y0: y, x1: x + flow.width, y1: y + block.height };
    }
    blocks.iter().map(|block| block.rect).collect()
}

/// Draws the legend.
pub(crate) fn draw(
    canvas: &mut Canvas,
    blocks: &[Block],
    picture: &Picture,
    bands: &Bands,
    size: f64,
) {
    for block in blocks {
        let Rect { x0, y0, .. } = block.rect;
        let heading = Type::bold(15.0 * size);
        let mut y = y0 + 28.0 * size;
        for (count, line) in block.heading.iter().enumerate() {
            let base = y0 + (14.0 + HEADING * count as f64) * size;
            canvas.text(line, [x0, base], heading, Align::Left, INK);
            if count > 0 {
                y += HEADING * size;
            }
        }
        for row in &block.rows {
            if row.sample.is_none() {
                let rect = Rect { x0, y0: y, x1: block.rect.x1, y1: y + row.height };
                draw_bar(canvas, bands, picture, rect, size);
            }
            row.draw(canvas, [x0, y], [SAMPLE / 2.0, SAMPLE + 10.0], size);
            y += row.height;
        }
    }
}
