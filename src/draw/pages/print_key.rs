//! The key to plain pictures, as a small picture of its own: samples, each with words beside it.

use crate::base::font;
use crate::base::{Canvas, DrawError, FRAME, INK, Point, Rect, Type, clean, hatch};
use crate::output::drawing::Drawing;
use crate::pages::print::Print;
use crate::parts::areas::Hatching;
use crate::parts::bands::Bands;
use crate::parts::labels::PLAIN_EM;
use crate::parts::links;
use crate::parts::links::Style;
use crate::parts::mark::{Mark, plain_scale};
use crate::parts::marks::draw_mark;
use crate::picture::{DeviceKind, Finding, Picture, Thresholds};

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

/// Height of a row, width of a sample, and the gaps after the sample and after the words, pixels at
/// size 1.
const ROW: f64 = 38.0;
const SAMPLE: f64 = 36.0;
const AFTER_SAMPLE: f64 = 6.0;
const AFTER_WORDS: f64 = 12.0;

/// Draws the key, as wide as the room; its height follows from the rows that the entries need. The
/// words are as large as the names in a picture that is printed in the same way.
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
    match sample {
        KeySample::Finding(finding) => {
            draw_ground(canvas, finding, rect, size);
            draw_device(canvas, DeviceKind::Sensor, Some(finding), centre, size);
        }
        KeySample::Device(kind) => draw_device(canvas, kind, None, centre, size),
        KeySample::Direct => links::draw_link(canvas, line, Style::Direct, size),
        KeySample::Ways => {
            let moved = |by: f64| line.map(|[x, y]| [x, y + by * size]);
            links::draw_link(canvas, moved(-5.0), Style::Direct, size);
            links::draw_link(canvas, moved(5.0), Style::OverRepeater, size);
        }
    }
}

/// The ground of a finding, as the field has it.
fn draw_ground(canvas: &mut Canvas, finding: Finding, rect: Rect, size: f64) {
    let bands = Bands::findings(Thresholds::default());
    let band = match finding {
        Finding::Failing => 0,
        Finding::Thin => 1,
        Finding::Sound => 2,
    };
    canvas.rectangle(rect, bands.ink(band));
    if finding == Finding::Failing {
        let style = Hatching::of(&Picture::default());
        for line in hatch(&[rect.corners().to_vec()], style.spacing * size, true) {
            canvas.line(&line, style.width * size, style.ink);
        }
    }
    canvas.outline(&rect.corners(), 0.8 * size, FRAME);
}

fn draw_device(
    canvas: &mut Canvas,
    kind: DeviceKind,
    finding: Option<Finding>,
    centre: Point,
    size: f64,
) {
    // Room is left round the mark for the ground to be seen.
    let scale = 0.8 * plain_scale(kind, finding);
    draw_mark(canvas, &Mark::sample(centre, kind, finding, scale, size), size);
}
