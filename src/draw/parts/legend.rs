//! The legend's blocks on the page, and its samples; what it lists is settled elsewhere.

use crate::base::{Align, Canvas, FRAME, INK, PAPER, Point, Rect, Type};
use crate::parts::areas::{draw_obstacle, draw_roam};
use crate::parts::bands::Bands;
use crate::parts::bar::{SAMPLE, draw_bar};
use crate::parts::links::{Style, draw_arrow, draw_link};
use crate::parts::mark::{Badge, Mark, pin_radius, pin_reach};
use crate::parts::marks::{draw_mark, draw_tie};
use crate::parts::siting::{draw_line, draw_outlet, draw_strip, draw_tick};
use crate::parts::walls::{Body, draw_body, draw_entry, draw_opening, entry_arrow};
use crate::parts::{marks, paths};
use crate::picture::{DeviceKind, Finding, LineKind, Picture, WallClass};

/// A part of the legend that is kept together.
#[derive(Debug, Clone)]
pub(crate) struct Block {
    pub heading: Vec<String>,
    pub rows: Vec<Row>,
    pub height: f64,
    /// Its box, once settled.
    pub rect: Rect,
}

#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub swatch: Swatch,
    pub lines: Vec<String>,
    pub height: f64,
}

/// The sample beside a line of the legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Swatch {
    Bar,
    Device(DeviceKind, Option<Finding>),
    Wall(WallClass),
    Opening(WallClass, bool),
    Entry,
    Obstacle,
    Roam,
    NoValue,
    Link(Style),
    Stub,
    NotHeard,
    New,
    Moved,
    PanelNow,
    Pin(bool),
    Tick,
    Forbidden,
    Outlet,
    Line(LineKind),
    /// A path: whether it is direct, and the width of its line in tenths of a pixel at size 1.
    Path(bool, u16),
    Crossing,
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
    let kind = Type::regular(14.0 * size);
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
            let middle = y + row.height / 2.0;
            if row.swatch == Swatch::Bar {
                let rect = Rect { x0, y0: y, x1: block.rect.x1, y1: y + row.height };
                draw_bar(canvas, bands, picture, rect, size);
            } else {
                draw_sample(canvas, row.swatch, [x0 + SAMPLE / 2.0 * size, middle], size);
            }
            let first = middle - 9.0 * size * (row.lines.len() as f64 - 1.0) + kind.lift();
            for (count, line) in row.lines.iter().enumerate() {
                let base = first + 18.0 * size * count as f64;
                let at = [x0 + (SAMPLE + 10.0) * size, base];
                canvas.text(line, at, kind, Align::Left, INK);
            }
            y += row.height;
        }
    }
}

fn draw_sample(canvas: &mut Canvas, swatch: Swatch, centre: Point, size: f64) {
    let [x, y] = centre;
    let wide = 27.0 * size;
    let line = [[x - wide, y], [x + wide, y]];
    let body = |thick: f64| Body { a: line[0], b: line[1], thick: thick * size };
    let area = Rect::around(centre, 2.0 * wide, 18.0 * size);
    match swatch {
        Swatch::Bar => {}
        Swatch::Device(kind, finding) => {
            draw_mark(canvas, &Mark::sample(centre, kind, finding, 1.0, size), size);
        }
        Swatch::PanelNow => {
            let mark = Mark::sample(centre, DeviceKind::Panel, None, 1.0, size);
            draw_mark(canvas, &Mark { faint: true, ..mark }, size);
        }
        Swatch::NotHeard => {
            let mark = Mark::sample(centre, DeviceKind::Sensor, None, 1.0, size);
            draw_mark(canvas, &mark, size);
            marks::draw_badge(canvas, &Mark { badge: Some(Badge::NotHeard), ..mark }, size);
        }
        Swatch::New => {
            let place = [x, y - 15.0 * size];
            let mark = Mark::plain(place, 7.0 * size, String::new(), DeviceKind::Sensor, None);
            marks::draw_badge(canvas, &Mark { badge: Some(Badge::New), ..mark }, size);
        }
        Swatch::Pin(first) => {
            let rank = if first { 1 } else { 2 };
            let tip = [x, y + (pin_radius(rank) * size + pin_reach(rank) * size) / 2.0];
            let head = [x, tip[1] - pin_reach(rank) * size];
            draw_mark(canvas, &Mark::pin(rank, tip, head, size), size);
        }
        Swatch::Tick => {
            draw_body(canvas, &body(9.0), WallClass::Light, size);
            for run in [-18.0, -6.0, 6.0, 18.0] {
                let place = [x + run * size, y - 4.5 * size];
                draw_tick(canvas, place, Some([0.0, -1.0]), size);
            }
        }
        Swatch::Forbidden => {
            draw_body(canvas, &body(9.0), WallClass::Light, size);
            let (low, high) = (y - 4.5 * size, y - 13.5 * size);
            let strip = [[x - wide, low], [x + wide, low], [x + wide, high], [x - wide, high]];
            draw_strip(canvas, &strip, size);
        }
        Swatch::Outlet => draw_outlet(canvas, centre, size),
        Swatch::Line(kind) => draw_line(canvas, &line, kind, size),
        Swatch::Path(direct, tenths) => {
            paths::draw_path(canvas, &line, direct, f64::from(tenths) / 10.0, size);
        }
        Swatch::Crossing => {
            paths::draw_path(canvas, &line, true, 4.0, size);
            paths::draw_crossing(canvas, centre, [0.0, 1.0], size);
        }
        Swatch::Wall(class) => draw_body(canvas, &body(12.0), class, size),
        Swatch::Opening(class, open) => {
            if open {
                let gap = Body {
                    a: [x - 16.0 * size, y + 14.0 * size],
                    b: [x + 16.0 * size, y + 14.0 * size],
                    thick: 9.0 * size,
                };
                draw_opening(canvas, &gap, class, Some(-1.0), size);
            } else {
                let stub = Body { a: line[0], b: line[1], thick: 9.0 * size };
                draw_body(canvas, &stub, WallClass::Light, size);
                let gap = Body { a: [x - 17.0 * size, y], b: [x + 17.0 * size, y], ..stub };
                draw_opening(canvas, &gap, class, None, size);
            }
        }
        Swatch::Entry => {
            let arrow = entry_arrow([x, y - 8.0 * size], [0.0, 1.0], size);
            draw_entry(canvas, &arrow, size);
        }
        Swatch::Obstacle => draw_obstacle(canvas, &area.corners(), size),
        Swatch::Roam => draw_roam(canvas, &area.corners(), size),
        Swatch::NoValue => {
            canvas.rectangle(area, PAPER);
            canvas.outline(&area.corners(), size, FRAME);
        }
        Swatch::Link(style) => draw_link(canvas, line, style, size),
        Swatch::Stub => {
            let stub = [[x - 18.0 * size, y], [x + 18.0 * size, y]];
            draw_link(canvas, [stub[0], [x + 14.0 * size, y]], Style::Direct, size);
            draw_arrow(canvas, stub, size);
        }
        Swatch::Moved => draw_tie(canvas, [x - 16.0 * size, y], [x + 16.0 * size, y], size),
    }
}
