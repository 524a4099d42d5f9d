//! Where everything goes: the page, the plan's frame, and the way from metres to pixels.

use super::bar::Captions;
use super::canvas::{Align, Canvas, Point, Surface};
use super::field::Shapes;
use super::font::{self, Type, clean};
use super::key::{self, KeyRow};
use super::labels::{self, PlacedLabel};
use super::legend::{self, Block};
use super::marks::{self, Mark};
use super::picture::{Picture, Size};
use super::ramp::{Bands, INK, Ink};
use super::rect::Rect;
use super::scale::{self, ScaleBar};
use super::{DrawError, extent, heading, rows};

/// From metres on the plan to pixels on the picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct View {
    /// Pixels for a metre.
    pub scale: f64,
    /// Where the plan's origin lies.
    pub zero: Point,
    /// Size of text and marks against those of a picture 1600 pixels wide.
    pub size: f64,
    /// The middle of the plan, metres.
    pub middle: [f64; 2],
}

impl View {
    /// The view that puts a place of the plan in the middle of a frame.
    pub fn new(frame: &Rect, middle: [f64; 2], scale: f64, size: f64) -> Self {
        Self {
            scale,
            zero: [
                (frame.x0 + frame.x1) / 2.0 - middle[0] * scale,
                (frame.y0 + frame.y1) / 2.0 + middle[1] * scale,
            ],
            size,
            middle,
        }
    }

    /// The pixel place of a place in metres.
    pub fn place(&self, [x, y]: [f64; 2]) -> Point {
        [self.zero[0] + x * self.scale, self.zero[1] - y * self.scale]
    }
}

/// A piece of text at its place.
#[derive(Debug, Clone)]
pub(super) struct Text {
    pub text: String,
    pub at: Point,
    pub kind: Type,
    pub align: Align,
    pub ink: Ink,
    /// A filled strip behind it.
    pub strip: Option<Rect>,
}

/// The laid-out picture: every box is fixed, nothing is drawn yet.
#[derive(Debug, Clone)]
pub struct Layout {
    /// The whole page, from (0, 0); its edges are whole pixels.
    pub page: Rect,
    /// The frame of the plan.
    pub plan: Rect,
    /// Boxes of the legend's blocks.
    pub legend: Vec<Rect>,
    /// Box of the header's text, and that of the footer's.
    pub margins: [Rect; 2],
    /// Box of the scale bar, under the plan.
    pub scale_bar: Rect,
    /// Box round each device's mark, in the order of the picture's devices.
    pub marks: Vec<Rect>,
    /// The labels that found room on the plan.
    pub labels: Vec<PlacedLabel>,
    /// Devices (by index) whose label found no room: they are listed in the key.
    pub in_key: Vec<usize>,
    /// Box round the head of each ranked spot's pin, in the order of the picture's spots.
    pub pins: Vec<Rect>,
    /// Ranked spots (by index) whose label found no room: they are listed in the key.
    pub spots_in_key: Vec<usize>,
    /// Box of the key, if there is one.
    pub key: Option<Rect>,
    pub(super) view: View,
    pub(super) bands: Bands,
    pub(super) shapes: Option<Shapes>,
    pub(super) places: Vec<Mark>,
    pub(super) blocks: Vec<Block>,
    pub(super) key_rows: Vec<KeyRow>,
    pub(super) texts: Vec<Text>,
    pub(super) bar: ScaleBar,
    pub(super) captions: Captions,
}

impl Layout {
    /// Width and height in whole pixels.
    #[must_use]
    pub fn size_px(&self) -> (u32, u32) {
        (self.page.x1 as u32, self.page.y1 as u32)
    }
}

const LEAST_WIDTH_PX: u32 = 480;
const MOST_WIDTH_PX: u32 = 6000;
const LEAST_HEIGHT_PX: f64 = 200.0;
const MOST_HEIGHT_PX: f64 = 4000.0;

/// Lays the picture out without drawing it.
///
/// # Errors
/// [`DrawError::Number`] if a coordinate, a thickness, a threshold or the cell is not a usable
/// number; [`DrawError::FieldShape`] if the field's values do not match its columns and rows;
/// [`DrawError::Font`] if the carried font cannot be read.
pub fn layout(picture: &Picture, size: Size) -> Result<Layout, DrawError> {
    font::register()?;
    let extent = extent::extent(picture)?;
    let width = f64::from(size.width_px.clamp(LEAST_WIDTH_PX, MOST_WIDTH_PX));
    let size = (width / 1600.0).clamp(0.7, 3.0);
    let edge = (24.0 * size).round();
    let bands = Bands::new(picture.field.as_ref(), picture.thresholds);

    let mut texts = Vec::new();
    let head = heading::header(picture, width, edge, size, &mut texts);
    let caution_kind = Type::regular(14.0 * size);
    let caution = caution_kind.wrap(&clean(&picture.caution), width - 2.0 * edge, 4);
    let foot_height = edge + 20.0 * size * caution.len() as f64;

    // The legend stands beside the plan as far as it fits there, the rest below; all of it below if
    // the plan is wide or the picture narrow.
    let room = width - 2.0 * edge;
    let (metres_wide, metres_high) = (extent.width(), extent.height());
    let beside = width >= 1000.0 * size.min(1.0) && metres_wide < 2.1 * metres_high;
    let column = 320.0 * size;
    let gap = 18.0 * size;
    let strip = 44.0 * size;
    let columns = ((room + gap) / (column + gap)) as usize;
    let longest = rows::blocks(picture, &bands, size, column, true);
    let spare = MOST_HEIGHT_PX
        - head
        - strip
        - foot_height
        - key::height(marks::listed(picture), room, size)
        - legend::flow(&longest, columns, column, gap).height
        - gap
        - edge;
    let frame_width = room - if beside { column + gap } else { 0.0 };
    let pad = 44.0 * size;
    let most_height = spare.min(1.3 * frame_width).max(160.0);
    let scale =
        ((frame_width - 2.0 * pad) / metres_wide).min((most_height - 2.0 * pad) / metres_high);
    let mut frame_height = metres_high * scale + 2.0 * pad;
    let middle = [(extent.x0 + extent.x1) / 2.0, (extent.y0 + extent.y1) / 2.0];
    let view = |frame: &Rect| View::new(frame, middle, scale, size);
    let frame = |height: f64| Rect {
        x0: edge,
        y0: head.round(),
        x1: (edge + frame_width).round(),
        y1: (head + height).round(),
    };

    // Marks are pushed apart alike wherever the frame lies, so a first guess tells whether any is.
    let guess = frame(frame_height);
    let moved = marks::place(picture, &view(&guess), &guess).iter().any(Mark::moved);
    let mut blocks = rows::blocks(picture, &bands, size, column, moved);
    let fitting = legend::fitting(&blocks, 1.15 * frame_height + strip, gap);
    let (side, rest) = blocks.split_at_mut(if beside { fitting } else { 0 });
    let side_flow = legend::flow(side, 1, column, gap);
    let rest_flow = legend::flow(rest, columns, column, gap);
    frame_height = frame_height.max(side_flow.height - strip);
    let plan = frame(frame_height);
    let view = view(&plan);
    let mut legend = legend::settle(side, &side_flow, [plan.x1 + gap, plan.y0]);
    legend.extend(legend::settle(rest, &rest_flow, [edge, plan.y1 + strip]));

    let mut fixed = on_plan(picture, bands, view, plan);
    let legend_end = legend.iter().map(|block| block.y1).fold(0.0, f64::max);
    let mut y = (plan.y1 + strip).max(legend_end + gap);
    let (key, key_rows) = key::rows(
        picture,
        &fixed.places,
        &fixed.in_key,
        &fixed.spots_in_key,
        [edge, y],
        room,
        size,
    );
    if let Some(key) = &key {
        y = key.y1 + 6.0 * size;
    }
    let foot = y;
    for line in caution {
        y += 20.0 * size;
        texts.push(Text {
            text: line,
            at: [edge, y],
            kind: caution_kind,
            align: Align::Left,
            ink: INK,
            strip: None,
        });
    }
    let height = (y + edge).ceil().clamp(LEAST_HEIGHT_PX, MOST_HEIGHT_PX);
    fixed.page = Rect { x0: 0.0, y0: 0.0, x1: width, y1: height };
    fixed.margins = [
        Rect { x0: edge, y0: 0.0, x1: width - edge, y1: plan.y0 },
        Rect { x0: edge, y0: foot, x1: width - edge, y1: height },
    ];
    fixed.legend = legend;
    fixed.blocks = blocks;
    (fixed.key, fixed.key_rows) = (key, key_rows);
    fixed.texts = texts;
    Ok(fixed)
}

/// What lies in the plan's frame, and the scale bar under it. The page, the legend, the key and the texts
/// are still to come.
pub(super) fn on_plan(picture: &Picture, bands: Bands, view: View, plan: Rect) -> Layout {
    let (bar, scale_bar) = scale::scale_bar(picture, &view, &plan);
    let shapes = Shapes::new(picture, &bands, &view);
    let places = marks::place(picture, &view, &plan);
    let found = labels::place(picture, &view, &plan, &places, shapes.as_ref());
    let bounds = |mark: &Mark| mark.bounds();
    let marks = places.iter().filter(|mark| mark.rank.is_none());
    let marks = marks.map(bounds).collect();
    let pins = places.iter().filter(|mark| mark.rank.is_some());
    let pins = pins.map(bounds).collect();
    Layout {
        page: plan,
        plan,
        legend: Vec::new(),
        margins: [Rect::default(); 2],
        scale_bar,
        marks,
        labels: found.placed,
        in_key: found.devices_left,
        pins,
        spots_in_key: found.spots_left,
        key: None,
        view,
        bands,
        shapes,
        places,
        blocks: Vec::new(),
        key_rows: Vec::new(),
        texts: Vec::new(),
        bar,
        captions: Captions::of(picture),
    }
}

/// Draws the texts of header and footer, and the scale bar.
pub(super) fn draw_texts<S: Surface>(
    canvas: &mut Canvas<S>,
    layout: &Layout,
) -> Result<(), DrawError> {
    for text in &layout.texts {
        if let Some(strip) = text.strip {
            canvas.rectangle(strip, INK)?;
        }
        canvas.text(&text.text, text.at, text.kind, text.align, text.ink)?;
    }
    scale::draw(canvas, &layout.bar, layout.view.size)
}
