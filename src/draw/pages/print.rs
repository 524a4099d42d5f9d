//! The plan alone, for paper, and the key to it: digits and names have a size in points, as
//! printed.

use crate::base::font;
use crate::base::{Canvas, DrawError, FRAME, INK, Point, Rect, Type, View, clean};
use crate::output::Drawing;
use crate::pages::page::{Layout, on_plan};
use crate::parts::areas::Hatching;
use crate::parts::bands::Bands;
use crate::parts::labels::PLAIN_EM;
use crate::parts::links::{Style, draw_link};
use crate::parts::mark::{self, Mark, plain_scale};
use crate::parts::marks::draw_mark;
use crate::picture::{DeviceKind, Finding, Picture, Thresholds, extent};

/// How a plain picture will be printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Print {
    /// Room on the paper, width and height, points (1/72 inch).
    pub room_pt: [f64; 2],
    /// Size of the digits in the marks on the paper, points; names are a fortieth smaller.
    pub digits_pt: f64,
    /// Pixels for a point of the paper.
    pub px_per_pt: f64,
}

/// The em of the digits in a ring, pixels at size 1; those in other marks are no smaller.
const RING_EM: f64 = 12.0;

/// Room round what is on the plan, pixels at size 1: for half a mark, or the arrow of an entry.
const PAD: f64 = 24.0;

impl Print {
    pub(crate) fn room(&self) -> [f64; 2] {
        self.room_pt.map(|side| side * self.px_per_pt)
    }

    /// The size of text and marks that gives the digits their size.
    pub(crate) fn size(&self) -> f64 {
        self.digits_pt * self.px_per_pt / RING_EM
    }
}

/// Lays the plan out alone, without header, legend, key, scale bar and frame, as large as the room
/// on the paper allows. The field is cut off a little outside of what is on the plan. No digit is
/// smaller than asked for, and no name smaller than 0.975 of it.
///
/// # Errors
/// As [`layout`](crate::layout).
pub fn printed(picture: &Picture, print: Print) -> Result<Layout, DrawError> {
    font::register()?;
    let ground = extent(picture)?;
    let bare = extent(&Picture { field: None, ..picture.clone() })?;
    // Longer numbers are set smaller in their marks, so that the marks must be larger.
    let longest = mark::tags(picture).iter().map(|tag| tag.chars().count()).max();
    let longer = match longest.unwrap_or_default() {
        0..=2 => 1.0,
        3 => 1.2,
        _ => 1.6,
    };
    let size = longer * print.size();
    let pad = PAD * size;
    let [width, height] = print.room();
    let fits = |room: f64, metres: f64| (room - 2.0 * pad).max(0.2 * room) / metres;
    let scale = fits(width, bare.width()).min(fits(height, bare.height()));
    let mut shown = bare.grown(pad / scale);
    if picture.field.is_some() {
        // No white rim where the field ends sooner.
        shown = Rect {
            x0: shown.x0.max(ground.x0),
            y0: shown.y0.max(ground.y0),
            x1: shown.x1.min(ground.x1),
            y1: shown.y1.min(ground.y1),
        };
    }
    let scale = (width / shown.width()).min(height / shown.height());
    let sides = [shown.width(), shown.height()].map(|side| (side * scale).floor());
    let plan = Rect::round([[0.0; 2], sides]);
    let view = View::new(&plan, shown.middle(), scale, size);
    let bands = if picture.plain {
        Bands::findings(picture.thresholds)
    } else {
        Bands::new(picture.field.as_ref(), picture.thresholds)
    };
    Ok(on_plan(picture, &bands, view, plan))
}

/// What an entry of the key shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KeySample {
    /// The ground where a sensor has a finding, with the mark of a sensor that has it.
    Finding(Finding),
    /// The mark of a device without a finding.
    Device(DeviceKind),
    /// The line of a device that the panel hears itself.
    Direct,
    /// That line, and the dotted one of a device that a repeater hears.
    Ways,
}

/// A sample with its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyEntry {
    /// What is shown.
    pub sample: KeySample,
    /// The words beside it; cut where they are wider than the room.
    pub text: String,
}

/// Height of a row, width of a sample, and the gaps after sample and words, pixels at size 1.
const ROW: f64 = 38.0;
const SAMPLE: f64 = 36.0;
const AFTER_SAMPLE: f64 = 6.0;
const AFTER_WORDS: f64 = 12.0;

/// Draws the key, as wide as the room, with words as large as the names in such a picture.
///
/// # Errors
/// [`DrawError::Font`] if the carried font cannot be read.
pub fn print_key(entries: &[KeyEntry], print: Print) -> Result<Drawing, DrawError> {
    font::register()?;
    let size = print.size();
    let [width, _] = print.room();
    let kind = Type::regular(PLAIN_EM * size);
    let before = (SAMPLE + AFTER_SAMPLE) * size;
    let mut pen = Canvas::default();
    let (mut x, mut top) = (0.0, 0.0);
    for entry in entries {
        let text = kind.fit(&clean(&entry.text), width - before);
        let wide = before + kind.width(&text);
        if x > 0.0 && x + wide > width {
            (x, top) = (0.0, top + ROW * size);
        }
        let middle = top + ROW / 2.0 * size;
        draw_sample(&mut pen, entry.sample, [x + SAMPLE / 2.0 * size, middle], size);
        pen.write(&text, [x + before, middle + kind.lift()], kind, INK);
        x += wide + AFTER_WORDS * size;
    }
    let (width, height) = (width.ceil(), (top + ROW * size).ceil());
    let page = Rect { x0: 0.0, y0: 0.0, x1: width, y1: height };
    Ok(Drawing { page, canvas: pen, dense: true })
}

fn draw_sample(canvas: &mut Canvas, sample: KeySample, centre: Point, size: f64) {
    let rect = Rect::around(centre, SAMPLE * size, (ROW - 4.0) * size);
    let line = [[rect.x0, centre[1]], [rect.x1, centre[1]]];
    let device = |canvas: &mut Canvas, kind: DeviceKind, finding: Option<Finding>| {
        // Room is left round the mark for the ground to be seen.
        let scale = 0.8 * plain_scale(kind, finding);
        draw_mark(canvas, &Mark::sample(centre, kind, finding, scale, size), size);
    };
    match sample {
        KeySample::Finding(finding) => {
            draw_ground(canvas, finding, rect, size);
            device(canvas, DeviceKind::Sensor, Some(finding));
        }
        KeySample::Device(kind) => device(canvas, kind, None),
        KeySample::Direct => draw_link(canvas, line, Style::Direct, size),
        KeySample::Ways => {
            let moved = |by: f64| line.map(|[x, y]| [x, y + by * size]);
            draw_link(canvas, moved(-5.0), Style::Direct, size);
            draw_link(canvas, moved(5.0), Style::OverRepeater, size);
        }
    }
}

/// The ground of a finding, as the field has it.
fn draw_ground(canvas: &mut Canvas, finding: Finding, rect: Rect, size: f64) {
    let band = match finding {
        Finding::Failing => 0,
        Finding::Thin => 1,
        Finding::Sound => 2,
    };
    canvas.rectangle(rect, Bands::findings(Thresholds::default()).ink(band));
    if finding == Finding::Failing {
        Hatching::of(&Picture::default()).draw(canvas, &[rect.corners().to_vec()], size);
    }
    canvas.outline(&rect.corners(), 0.8 * size, FRAME);
}
