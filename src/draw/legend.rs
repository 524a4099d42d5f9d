//! The legend: the colour bar, and every mark, wall and line that occurs in the picture.

use super::DrawError;
use super::areas::{draw_obstacle, draw_roam};
use super::bar::draw_bar;
use super::canvas::{Align, Canvas, Point, Surface};
use super::font::{CAPITALS_PER_EM, Type, clean};
use super::marks::{self, Mark, draw_mark, draw_tie, draw_via};
use super::page::Layout;
use super::picture::{DeviceKind, Finding, Picture, WallClass};
use super::ramp::{Bands, FRAME, INK, PAPER};
use super::rect::Rect;
use super::walls::{Body, ORDER, draw_body, draw_entry, draw_opening, entry_arrow};

/// A part of the legend that is kept together.
#[derive(Debug, Clone)]
pub(super) struct Block {
    heading: &'static str,
    rows: Vec<Row>,
    height: f64,
    /// Its box, once settled.
    rect: Rect,
}

#[derive(Debug, Clone)]
struct Row {
    swatch: Swatch,
    lines: Vec<String>,
    height: f64,
}

/// The sample beside a line of the legend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Swatch {
    Bar,
    Device(DeviceKind, Option<Finding>),
    Wall(WallClass),
    Opening(WallClass, bool),
    Entry,
    Obstacle,
    Roam,
    NoValue,
    Via,
    Moved,
}

/// Where the blocks go when they are set in columns.
#[derive(Debug, Clone)]
pub(super) struct Flow {
    /// Offset of each block from the legend's upper left corner.
    offsets: Vec<Point>,
    width: f64,
    /// Height of the longest column.
    pub height: f64,
}

/// Room for the sample, pixels at size 1.
pub(super) const SAMPLE: f64 = 70.0;

const fn class_name(class: WallClass) -> &'static str {
    match class {
        WallClass::Light => "light partition",
        WallClass::Timber => "timber",
        WallClass::Masonry => "masonry",
        WallClass::Concrete => "concrete",
        WallClass::Glass => "glass",
        WallClass::CoatedGlass => "coated glass or foil",
        WallClass::Metal => "metal",
        WallClass::Door => "door leaf",
    }
}

const fn kind_name(kind: DeviceKind) -> &'static str {
    match kind {
        DeviceKind::Panel => "panel",
        DeviceKind::Sensor => "sensor",
        DeviceKind::Repeater => "repeater",
        DeviceKind::Keypad => "keypad",
        DeviceKind::Siren => "siren",
    }
}

/// The blocks that a picture needs.
pub(super) fn blocks(
    picture: &Picture,
    bands: &Bands,
    size: f64,
    width: f64,
    moved: bool,
) -> Vec<Block> {
    let kind = Type::regular(14.0 * size);
    let room = width - (SAMPLE + 12.0) * size;
    let row = |swatch: Swatch, text: &str| {
        let lines = kind.wrap(text, room, 3);
        let sample = match swatch {
            Swatch::Bar => {
                40.0_f64
                    .max(17.0 * bands.edges_db.len() as f64)
                    .clamp(250.0, 340.0)
                    + 40.0
            }
            Swatch::Device(_, Some(Finding::Failing)) => 60.0,
            Swatch::Device(DeviceKind::Sensor, Some(Finding::Thin)) => 48.0,
            Swatch::Device(DeviceKind::Sensor, _) => 33.0,
            Swatch::Device(..) => 50.0,
            Swatch::Opening(_, true) => 44.0,
            _ => 26.0,
        } * size;
        let height = sample.max(18.0 * size * lines.len() as f64 + 6.0 * size);
        Row {
            swatch,
            lines,
            height,
        }
    };
    let mut blocks = Vec::new();
    let mut add = |heading: &'static str, rows: Vec<Row>| {
        if !rows.is_empty() {
            let height = 28.0 * size + rows.iter().map(|row| row.height).sum::<f64>();
            blocks.push(Block {
                heading,
                rows,
                height,
                rect: Rect::default(),
            });
        }
    };
    if picture.field.is_some() {
        let mut rows = vec![row(Swatch::Bar, "")];
        let values = picture.field.iter().flat_map(|field| &field.margin_db);
        if values.clone().any(|value| value.is_nan()) {
            rows.push(row(Swatch::NoValue, "no value"));
        }
        add("Margin over the floor", rows);
    }

    let mut rows = Vec::new();
    let occurs = |kind: DeviceKind, finding: Option<Finding>| {
        picture
            .devices
            .iter()
            .any(|device| (device.kind, device.finding) == (kind, finding))
    };
    let findings = [
        Some(Finding::Failing),
        Some(Finding::Thin),
        Some(Finding::Sound),
        None,
    ];
    for finding in findings {
        if occurs(DeviceKind::Sensor, finding) {
            let text = match finding {
                Some(Finding::Failing) => "FAILING: likely to drop supervision",
                Some(Finding::Thin) => "thin: may drop supervision",
                Some(Finding::Sound) => "sound",
                None => "sensor, no finding",
            };
            rows.push(row(Swatch::Device(DeviceKind::Sensor, finding), text));
        }
    }
    let others = [
        DeviceKind::Panel,
        DeviceKind::Repeater,
        DeviceKind::Keypad,
        DeviceKind::Siren,
    ];
    for kind in others {
        // One line a kind: filled or not, the mark means the same as for sensors.
        if let Some(device) = picture.devices.iter().find(|device| device.kind == kind) {
            let plain = device.finding.filter(|finding| *finding == Finding::Sound);
            rows.push(row(Swatch::Device(kind, plain), kind_name(kind)));
        }
    }
    if picture.devices.iter().any(|device| device.via.is_some()) {
        rows.push(row(Swatch::Via, "heard through the repeater"));
    }
    if moved {
        rows.push(row(Swatch::Moved, "mark moved aside from its spot"));
    }
    add("Devices", rows);

    let mut rows = Vec::new();
    for class in ORDER.into_iter().rev() {
        let mut labels: Vec<String> = Vec::new();
        for wall in picture.walls.iter().filter(|wall| wall.class == class) {
            let label = clean(&wall.label);
            if !labels.contains(&label) {
                labels.push(label);
            }
        }
        if labels.is_empty() {
            continue;
        }
        labels.retain(|label| !label.is_empty());
        let name = class_name(class);
        let text = if labels.is_empty() {
            name.to_owned()
        } else {
            format!("{name}: {}", labels.join(", "))
        };
        rows.push(row(Swatch::Wall(class), &text));
    }
    add("Walls, to scale", rows);

    let mut rows = Vec::new();
    for class in ORDER {
        for open in [false, true] {
            let occurs = |one: &super::OpeningMark| one.class == class && one.open == open;
            if picture.openings.iter().any(occurs) {
                let text = match (class, open) {
                    (WallClass::Light | WallClass::Timber | WallClass::Door, false) => {
                        "door, closed"
                    }
                    (WallClass::Light | WallClass::Timber | WallClass::Door, true) => "door, open",
                    (WallClass::Glass, false) => "window",
                    (WallClass::Glass, true) => "glass door or window, open",
                    (WallClass::CoatedGlass, false) => "coated window",
                    (WallClass::CoatedGlass, true) => "coated window, open",
                    (WallClass::Metal, false) => "metal door or shutter",
                    (WallClass::Metal, true) => "metal door, open",
                    (WallClass::Masonry | WallClass::Concrete, _) => "filled opening",
                };
                let same = Swatch::Opening(class, open);
                if !rows.iter().any(|row: &Row| row.lines == [text]) {
                    rows.push(row(same, text));
                }
            }
        }
    }
    if picture.openings.iter().any(|opening| opening.entry) {
        rows.push(row(Swatch::Entry, "entry door"));
    }
    if picture.obstacles.iter().any(|area| area.outline.len() > 2) {
        rows.push(row(Swatch::Obstacle, "obstacle"));
    }
    if picture.roams.iter().any(|area| area.outline.len() > 2) {
        rows.push(row(Swatch::Roam, "area for a portable transmitter"));
    }
    add("Openings and areas", rows);
    blocks
}

/// How many blocks fit under one another within a height; at least one, if there is any.
pub(super) fn fitting(blocks: &[Block], height: f64, gap: f64) -> usize {
    let mut end = -gap;
    let fit = blocks.iter().take_while(|block| {
        end += block.height + gap;
        end <= height
    });
    fit.count().max(1).min(blocks.len())
}

/// Sets blocks in columns, each under the shortest so far.
pub(super) fn flow(blocks: &[Block], columns: usize, width: f64, gap: f64) -> Flow {
    let mut ends = vec![0.0_f64; columns.max(1)];
    let mut offsets = Vec::with_capacity(blocks.len());
    for block in blocks {
        let shortest = (0..ends.len()).fold(0, |best, column| {
            if ends[column] < ends[best] {
                column
            } else {
                best
            }
        });
        offsets.push([shortest as f64 * (width + gap), ends[shortest]]);
        ends[shortest] += block.height + gap;
    }
    let height = ends.iter().copied().fold(0.0, f64::max) - gap;
    Flow {
        offsets,
        width,
        height: height.max(0.0),
    }
}

/// Fixes the blocks' boxes, with the legend's upper left corner at `corner`.
pub(super) fn settle(blocks: &mut [Block], flow: &Flow, corner: Point) -> Vec<Rect> {
    for (block, offset) in blocks.iter_mut().zip(&flow.offsets) {
        let (x, y) = (corner[0] + offset[0], corner[1] + offset[1]);
        block.rect = Rect {
            x0: x,
            y0: y,
            x1: x + flow.width,
            y1: y + block.height,
        };
    }
    blocks.iter().map(|block| block.rect).collect()
}

/// Draws the legend.
pub(super) fn draw<S: Surface>(canvas: &mut Canvas<S>, layout: &Layout) -> Result<(), DrawError> {
    let size = layout.view.size;
    let kind = Type::regular(14.0 * size);
    for block in &layout.blocks {
        let Rect { x0, y0, .. } = block.rect;
        let heading = Type::bold(15.0 * size);
        canvas.text(
            block.heading,
            [x0, y0 + 14.0 * size],
            heading,
            Align::Left,
            INK,
        )?;
        let mut y = y0 + 28.0 * size;
        for row in &block.rows {
            let middle = y + row.height / 2.0;
            if row.swatch == Swatch::Bar {
                let rect = Rect {
                    x0,
                    y0: y,
                    x1: block.rect.x1,
                    y1: y + row.height,
                };
                draw_bar(canvas, &layout.bands, rect, size)?;
            } else {
                draw_sample(canvas, row.swatch, [x0 + SAMPLE / 2.0 * size, middle], size)?;
            }
            let first = middle - 9.0 * size * (row.lines.len() as f64 - 1.0)
                + kind.em * CAPITALS_PER_EM / 2.0;
            for (count, line) in row.lines.iter().enumerate() {
                let base = first + 18.0 * size * count as f64;
                let at = [x0 + (SAMPLE + 10.0) * size, base];
                canvas.text(line, at, kind, Align::Left, INK)?;
            }
            y += row.height;
        }
    }
    Ok(())
}

fn draw_sample<S: Surface>(
    canvas: &mut Canvas<S>,
    swatch: Swatch,
    centre: Point,
    size: f64,
) -> Result<(), DrawError> {
    let [x, y] = centre;
    let wide = 27.0 * size;
    let line = [[x - wide, y], [x + wide, y]];
    let body = |thick: f64| Body {
        a: line[0],
        b: line[1],
        thick: thick * size,
    };
    let area = Rect::around(centre, 2.0 * wide, 18.0 * size);
    match swatch {
        Swatch::Bar => Ok(()),
        Swatch::Device(kind, finding) => {
            let tag = match kind {
                DeviceKind::Sensor => "7",
                DeviceKind::Panel => "P",
                DeviceKind::Repeater => "R",
                DeviceKind::Keypad => "K",
                DeviceKind::Siren => "S",
            };
            let radius = marks::radius(kind, finding) * size;
            let tag = tag.to_owned();
            draw_mark(
                canvas,
                &Mark {
                    centre,
                    spot: centre,
                    radius,
                    tag,
                    kind,
                    finding,
                },
                size,
            )
        }
        Swatch::Wall(class) => draw_body(canvas, &body(12.0), class, size),
        Swatch::Opening(class, open) => {
            if open {
                let gap = Body {
                    a: [x - 16.0 * size, y + 14.0 * size],
                    b: [x + 16.0 * size, y + 14.0 * size],
                    thick: 9.0 * size,
                };
                draw_opening(canvas, &gap, class, Some(-1.0), size)
            } else {
                let stub = Body {
                    a: line[0],
                    b: line[1],
                    thick: 9.0 * size,
                };
                draw_body(canvas, &stub, WallClass::Light, size)?;
                let gap = Body {
                    a: [x - 17.0 * size, y],
                    b: [x + 17.0 * size, y],
                    ..stub
                };
                draw_opening(canvas, &gap, class, None, size)
            }
        }
        Swatch::Entry => {
            let arrow = entry_arrow([x, y - 8.0 * size], [0.0, 1.0], size);
            draw_entry(canvas, &arrow, size)
        }
        Swatch::Obstacle => draw_obstacle(canvas, &area.corners(), size),
        Swatch::Roam => draw_roam(canvas, &area.corners(), size),
        Swatch::NoValue => {
            canvas.rectangle(area, PAPER)?;
            canvas.outline(&area.corners(), size, FRAME)
        }
        Swatch::Via => draw_via(canvas, line, size),
        Swatch::Moved => draw_tie(canvas, [x - 16.0 * size, y], [x + 16.0 * size, y], size),
    }
}
