//! Where everything goes: the page, the plan's frame, and the way from metres to pixels.

use super::canvas::{Align, Canvas, Point, Surface};
use super::field::Shapes;
use super::font::{self, Type, clean, margin};
use super::key::{self, KeyRow};
use super::labels::{self, PlacedLabel};
use super::legend::{self, Block};
use super::marks::{self, Mark};
use super::picture::{DeviceKind, Finding, LengthUnit, Picture, Size};
use super::ramp::{Bands, INK, Ink, PAPER, QUIET};
use super::{DrawError, walls};

/// A rectangle on the picture, pixels, y downwards.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rect {
    /// Left edge.
    pub x0: f64,
    /// Upper edge.
    pub y0: f64,
    /// Right edge.
    pub x1: f64,
    /// Lower edge.
    pub y1: f64,
}

impl Rect {
    /// A rectangle by its middle and size.
    pub(super) fn around([x, y]: Point, width: f64, height: f64) -> Self {
        let (half_width, half_height) = (width / 2.0, height / 2.0);
        Self {
            x0: x - half_width,
            y0: y - half_height,
            x1: x + half_width,
            y1: y + half_height,
        }
    }

    /// Width, pixels.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.x1 - self.x0
    }

    /// Height, pixels.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.y1 - self.y0
    }

    /// Whether the two share more than an edge.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x0 < other.x1 && other.x0 < self.x1 && self.y0 < other.y1 && other.y0 < self.y1
    }

    /// Whether the other lies wholly within this one.
    #[must_use]
    pub fn contains(&self, other: &Self) -> bool {
        self.x0 <= other.x0 && self.y0 <= other.y0 && self.x1 >= other.x1 && self.y1 >= other.y1
    }

    /// The rectangle grown by a distance on every side.
    #[must_use]
    pub(super) fn grown(&self, by: f64) -> Self {
        Self {
            x0: self.x0 - by,
            y0: self.y0 - by,
            x1: self.x1 + by,
            y1: self.y1 + by,
        }
    }

    /// The least rectangle that holds both.
    pub(super) fn union(&self, other: &Self) -> Self {
        self.with([other.x0, other.y0]).with([other.x1, other.y1])
    }

    /// The least rectangle that holds this one and a point.
    pub(super) fn with(&self, [x, y]: Point) -> Self {
        Self {
            x0: self.x0.min(x),
            y0: self.y0.min(y),
            x1: self.x1.max(x),
            y1: self.y1.max(y),
        }
    }

    /// The corners in order round it.
    pub(super) fn corners(&self) -> [Point; 4] {
        [
            [self.x0, self.y0],
            [self.x1, self.y0],
            [self.x1, self.y1],
            [self.x0, self.y1],
        ]
    }

    /// The point of the rectangle that is nearest to another point.
    pub(super) fn nearest(&self, [x, y]: Point) -> Point {
        [x.clamp(self.x0, self.x1), y.clamp(self.y0, self.y1)]
    }

    /// Whether a straight line from `from` to `to` passes through.
    pub(super) fn meets(&self, from: Point, to: Point) -> bool {
        let (mut least, mut most) = (0.0_f64, 1.0_f64);
        for (start, end, low, high) in [
            (from[0], to[0], self.x0, self.x1),
            (from[1], to[1], self.y0, self.y1),
        ] {
            let run = end - start;
            if run == 0.0 {
                if start < low || start > high {
                    return false;
                }
                continue;
            }
            let (one, other) = ((low - start) / run, (high - start) / run);
            least = least.max(one.min(other));
            most = most.min(one.max(other));
        }
        least <= most
    }
}

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
}

impl Layout {
    /// Width and height in whole pixels.
    #[must_use]
    pub fn size_px(&self) -> (u32, u32) {
        (self.page.x1 as u32, self.page.y1 as u32)
    }
}

/// The scale bar: lengths along it and their captions.
#[derive(Debug, Clone)]
pub(super) struct ScaleBar {
    pub from: Point,
    pub length: f64,
    pub caption: String,
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
    let extent = walls::extent(picture)?;
    let width = f64::from(size.width_px.clamp(LEAST_WIDTH_PX, MOST_WIDTH_PX));
    let size = (width / 1600.0).clamp(0.7, 3.0);
    let edge = (24.0 * size).round();
    let bands = Bands::new(picture.field.as_ref(), picture.thresholds);

    let mut texts = Vec::new();
    let head = header(picture, width, edge, size, &mut texts);
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
    let longest = legend::blocks(picture, &bands, size, column, true);
    let spare = MOST_HEIGHT_PX
        - head
        - strip
        - foot_height
        - key::height(picture.devices.len(), room, size)
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
    let view = |frame: &Rect| View {
        scale,
        zero: [
            (frame.x0 + frame.x1) / 2.0 - middle[0] * scale,
            (frame.y0 + frame.y1) / 2.0 + middle[1] * scale,
        ],
        size,
        middle,
    };
    let frame = |height: f64| Rect {
        x0: edge,
        y0: head.round(),
        x1: (edge + frame_width).round(),
        y1: (head + height).round(),
    };

    // Marks are pushed apart alike wherever the frame lies, so a first guess tells whether any is.
    let guess = frame(frame_height);
    let moved = marks::place(picture, &view(&guess), &guess)
        .iter()
        .any(Mark::moved);
    let mut blocks = legend::blocks(picture, &bands, size, column, moved);
    let fitting = legend::fitting(&blocks, 1.15 * frame_height + strip, gap);
    let (side, rest) = blocks.split_at_mut(if beside { fitting } else { 0 });
    let side_flow = legend::flow(side, 1, column, gap);
    let rest_flow = legend::flow(rest, columns, column, gap);
    frame_height = frame_height.max(side_flow.height - strip);
    let plan = frame(frame_height);
    let view = view(&plan);
    let (bar, scale_bar) = scale_bar(picture, &view, &plan);
    let mut legend = legend::settle(side, &side_flow, [plan.x1 + gap, plan.y0]);
    legend.extend(legend::settle(rest, &rest_flow, [edge, plan.y1 + strip]));

    let shapes = Shapes::new(picture, &bands, &view);
    let places = marks::place(picture, &view, &plan);
    let (labels, in_key) = labels::place(picture, &view, &plan, &places, shapes.as_ref());
    let marks = places.iter().map(Mark::bounds).collect();

    let legend_end = legend.iter().map(|block| block.y1).fold(0.0, f64::max);
    let mut y = (plan.y1 + strip).max(legend_end + gap);
    let (key, key_rows) = key::rows(picture, &places, &in_key, [edge, y], room, size);
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
    Ok(Layout {
        page: Rect {
            x0: 0.0,
            y0: 0.0,
            x1: width,
            y1: height,
        },
        plan,
        legend,
        margins: [
            Rect {
                x0: edge,
                y0: 0.0,
                x1: width - edge,
                y1: plan.y0,
            },
            Rect {
                x0: edge,
                y0: foot,
                x1: width - edge,
                y1: height,
            },
        ],
        scale_bar,
        marks,
        labels,
        in_key,
        key,
        view,
        bands,
        shapes,
        places,
        blocks,
        key_rows,
        texts,
        bar,
    })
}

/// Sets the header's text and returns where the plan may begin.
fn header(picture: &Picture, width: f64, edge: f64, size: f64, texts: &mut Vec<Text>) -> f64 {
    let room = width - 2.0 * edge;
    let mut y = edge;
    let mut set = |text: String, at: Point, kind: Type, ink: Ink, strip: Option<Rect>| {
        texts.push(Text {
            text,
            at,
            kind,
            align: Align::Left,
            ink,
            strip,
        });
    };
    let parts = [clean(&picture.title), clean(&picture.level_name)];
    let title = parts
        .iter()
        .filter(|part| !part.is_empty())
        .cloned()
        .collect::<Vec<_>>();
    if !title.is_empty() {
        let kind = Type::bold(27.0 * size);
        y += 26.0 * size;
        set(
            kind.fit(&title.join(" · "), room),
            [edge, y],
            kind,
            INK,
            None,
        );
        y += 6.0 * size;
    }
    let kind = Type::regular(16.0 * size);
    for line in kind.wrap(&clean(&picture.subtitle), room, 2) {
        y += 20.0 * size;
        set(line, [edge, y], kind, QUIET, None);
    }
    let count = |finding| {
        picture
            .devices
            .iter()
            .filter(|device| device.finding == Some(finding))
            .count()
    };
    let all = picture
        .devices
        .iter()
        .filter(|device| device.finding.is_some())
        .count();
    if all > 0 {
        y += 12.0 * size;
        let failing = count(Finding::Failing);
        let kind = Type::bold(18.0 * size);
        let rest = format!(
            "thin {} · sound {}",
            count(Finding::Thin),
            count(Finding::Sound)
        );
        let rest_kind = Type::regular(16.0 * size);
        let rest_width = rest_kind.width(&rest);
        let pad = 10.0 * size;
        let line = if failing == 0 {
            format!("None of {all} failing")
        } else {
            let start = format!("{failing} of {all} FAILING: ");
            let most = (room - rest_width - 4.0 * pad).max(60.0);
            kind.fit(&failing_names(picture, &start, kind, most), most)
        };
        let strip = Rect {
            x0: edge,
            y0: y,
            x1: edge + kind.width(&line) + 2.0 * pad,
            y1: y + 30.0 * size,
        };
        let base = y + 21.5 * size;
        let (ink, ground) = if failing == 0 {
            (INK, None)
        } else {
            (PAPER, Some(strip))
        };
        let left = if failing == 0 { edge } else { edge + pad };
        let end = left + kind.width(&line);
        set(line, [left, base], kind, ink, ground);
        let left = (end + 2.0 * pad).min(width - edge - rest_width);
        set(rest, [left, base], rest_kind, INK, None);
        y += 30.0 * size;
    }
    y + 16.0 * size
}

/// The failing devices after `start`, as many as fit, and how many more there are.
fn failing_names(picture: &Picture, start: &str, kind: Type, width: f64) -> String {
    let names: Vec<String> = picture
        .devices
        .iter()
        .zip(marks::tags(picture))
        .filter(|(device, _)| device.finding == Some(Finding::Failing))
        .map(|(device, tag)| {
            let tag = if device.kind == DeviceKind::Sensor {
                tag
            } else {
                String::new()
            };
            let name = kind.fit(&clean(&device.name), 15.0 * kind.em);
            let margin = device
                .margin_db
                .map(|value| margin(value, picture.thresholds));
            let margin = margin
                .map(|margin| format!("({margin})"))
                .unwrap_or_default();
            let words = [tag, name, margin];
            let words: Vec<&str> = words
                .iter()
                .map(String::as_str)
                .filter(|word| !word.is_empty())
                .collect();
            words.join(" ")
        })
        .collect();
    let line = |shown: usize| {
        let listed = names
            .iter()
            .take(shown)
            .cloned()
            .collect::<Vec<_>>()
            .join(", ");
        match names.len() - shown {
            0 => format!("{start}{listed}"),
            more => format!("{start}{listed} and {more} more"),
        }
    };
    (1..=names.len())
        .rev()
        .map(line)
        .find(|line| kind.width(line) <= width)
        .unwrap_or_else(|| line(1))
}

/// A bar of a round length, about a fifth of the plan's width.
fn scale_bar(picture: &Picture, view: &View, plan: &Rect) -> (ScaleBar, Rect) {
    /// Metres in a foot: exact by the international definition of 1959 (from memory).
    const FOOT_M: f64 = 0.3048;
    let unit = match picture.length_unit {
        LengthUnit::Metres => 1.0,
        LengthUnit::Feet => FOOT_M,
    };
    let target = plan.width() / 5.0 / (view.scale * unit);
    let decade = 10_f64.powf(target.log10().floor());
    let length = [5.0, 2.0, 1.0]
        .into_iter()
        .map(|digit| digit * decade)
        .find(|length| *length <= target)
        .unwrap_or(decade);
    let caption = match picture.length_unit {
        LengthUnit::Metres => format!("{} m", round(length)),
        LengthUnit::Feet => format!("{} ft ({} m)", round(length), round(length * FOOT_M)),
    };
    let pixels = length * unit * view.scale;
    let kind = Type::regular(14.0 * view.size);
    let from = [plan.x0, plan.y1 + 16.0 * view.size];
    let rect = Rect {
        x0: from[0],
        y0: from[1] - 6.0 * view.size,
        x1: from[0] + pixels + 12.0 * view.size + kind.width(&caption),
        y1: from[1] + 14.0 * view.size,
    };
    (
        ScaleBar {
            from,
            length: pixels,
            caption,
        },
        rect,
    )
}

/// Three significant figures at the most, without trailing zeros.
fn round(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let unit = 10_f64.powf(2.0 - value.abs().log10().floor());
    (value * unit).round() / unit
}

/// Draws header, footer and scale bar.
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
    let ScaleBar {
        from: [x, y],
        length,
        caption,
    } = &layout.bar;
    let size = layout.view.size;
    // Four alternating quarters, so that parts of the length can be read off as well.
    let high = 7.0 * size;
    canvas.rectangle(
        Rect {
            x0: *x,
            y0: *y,
            x1: x + length,
            y1: y + high,
        },
        INK,
    )?;
    for quarter in [1.0, 3.0] {
        let inner = Rect {
            x0: x + length * quarter / 4.0,
            y0: y + 1.5 * size,
            x1: x + length * (quarter + 1.0) / 4.0 - if quarter > 2.0 { 1.5 * size } else { 0.0 },
            y1: y + high - 1.5 * size,
        };
        canvas.rectangle(inner, PAPER)?;
    }
    let place = [x + length + 10.0 * size, y + 9.0 * size];
    canvas.text(caption, place, Type::regular(14.0 * size), Align::Left, INK)
}
