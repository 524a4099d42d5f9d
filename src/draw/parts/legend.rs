//! The legend's blocks on the page, and its samples; what it lists is settled elsewhere.

use crate::base::{Canvas, INK, Point, Rect, Type};

/// A part of the legend that is kept together.
pub(crate) struct Block {
    pub heading: Vec<String>,
    pub rows: Vec<Row>,
    pub height: f64,
    corner: Point,
}

impl Block {
    /// The block of rows under a heading; none without rows.
    pub fn new(heading: &str, Rows { rows, .. }: Rows, width: f64, size: f64) -> Option<Self> {
        let heading = Type::bold(15.0 * size).wrap(heading, width, 4);
        let rows_height: f64 = rows.iter().map(|row| row.height).sum();
        let height = head(&heading, size) + rows_height;
        (!rows.is_empty()).then_some(Self { heading, rows, height, corner: [0.0; 2] })
    }
}

fn head(heading: &[String], size: f64) -> f64 {
    (28.0 + HEADING * heading.len().saturating_sub(1) as f64) * size
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
    /// Draws the row; `along`: where the sample's middle and the words begin, pixels at size 1.
    pub fn draw(&self, canvas: &mut Canvas, [x, y]: Point, along: [f64; 2], size: f64) {
        let kind = Type::regular(14.0 * size);
        let middle = y + self.height / 2.0;
        if let Some(sample) = &self.sample {
            sample(canvas, [x + along[0] * size, middle], size);
        }
        let first = middle - 9.0 * size * (self.lines.len() as f64 - 1.0) + kind.lift();
        for (count, line) in self.lines.iter().enumerate() {
            let at = [x + along[1] * size, first + 18.0 * size * count as f64];
            canvas.write(line, at, kind, INK);
        }
    }
}

/// Rows of a legend as they are collected.
pub(crate) struct Rows {
    pub rows: Vec<Row>,
    size: f64,
    /// Room for the words, pixels.
    room: f64,
    /// Lines that the words of a row take at most.
    pub lines: usize,
    /// White between the words of two rows, pixels at size 1.
    pad: f64,
}

impl Rows {
    pub const fn new(size: f64, room: f64, pad: f64) -> Self {
        Self { rows: Vec::new(), size, room, lines: 3, pad }
    }

    /// Adds a row, if it holds, with a sample that is `high` pixels high at size 1.
    pub fn add(
        &mut self,
        holds: bool,
        high: f64,
        text: &str,
        sample: impl Fn(&mut Canvas, Point, f64) + 'static,
    ) {
        if holds {
            let lines = Type::regular(14.0 * self.size).wrap(text, self.room, self.lines);
            let words = 18.0 * self.size * lines.len() as f64 + self.pad * self.size;
            let height = words.max(high * self.size);
            self.rows.push(Row { sample: Some(Box::new(sample)), lines, height });
        }
    }
}

/// From one line of a heading to the next, pixels at size 1.
const HEADING: f64 = 19.0;

/// How many blocks fit under one another within a height; at least one, if there is any.
pub(crate) fn fitting(blocks: &[Block], height: f64, gap: f64) -> usize {
    let mut end = -gap;
    let fit = blocks.iter().take_while(|block| {
        end += block.height + gap;
        end <= height
    });
    fit.count().max(1).min(blocks.len())
}

/// Sets blocks in columns, each under the shortest so far; returns the longest column's height.
pub(crate) fn flow(blocks: &mut [Block], columns: usize, width: f64, gap: f64) -> f64 {
    let mut ends = vec![0.0_f64; columns.max(1)];
    for block in blocks {
        let shortest = (0..ends.len())
            .fold(0, |best, column| if ends[column] < ends[best] { column } else { best });
        block.corner = [shortest as f64 * (width + gap), ends[shortest]];
        ends[shortest] += block.height + gap;
    }
    (ends.into_iter().fold(0.0, f64::max) - gap).max(0.0)
}

/// Moves the legend's upper left corner to a place; returns where it ends, 0 if it is empty.
pub(crate) fn settle(blocks: &mut [Block], [x, y]: Point) -> f64 {
    for block in &mut *blocks {
        block.corner = [x + block.corner[0], y + block.corner[1]];
    }
    blocks.iter().map(|block| block.corner[1] + block.height).fold(0.0, f64::max)
}

/// Draws a legend of a width; `along` as for [`Row::draw`], `bar` draws the colour bar.
pub(crate) fn draw(
    canvas: &mut Canvas,
    blocks: &[Block],
    width: f64,
    along: [f64; 2],
    bar: &dyn Fn(&mut Canvas, Rect),
    size: f64,
) {
    let kind = Type::bold(15.0 * size);
    for block in blocks {
        let [x0, y0] = block.corner;
        for (count, line) in block.heading.iter().enumerate() {
            canvas.write(line, [x0, y0 + (14.0 + HEADING * count as f64) * size], kind, INK);
        }
        let mut y = y0 + head(&block.heading, size);
        for row in &block.rows {
            if row.sample.is_none() {
                bar(canvas, Rect { x0, y0: y, x1: x0 + width, y1: y + row.height });
            }
            row.draw(canvas, [x0, y], along, size);
            y += row.height;
        }
    }
}
