//! Small pictures of one level beside one another, coloured by finding.

use crate::base::{Canvas, DrawError, FRAME, INK, Rect, Type, View, clean};
use crate::output::Drawing;
use crate::pages::page::on_plan;
use crate::pages::pair::counts;
use crate::parts::areas::Hatching;
use crate::parts::bands::Bands;
use crate::parts::sketch::Sketch;
use crate::picture::{AreaMark, DeviceMark, Picture, Size, extent};

/// Pictures of one level, before they are laid out. What stands round each of them is not shown:
/// the page's own is. Each is coloured by its own thresholds, so there is no scale of decibels.
#[derive(Debug, Clone, Default)]
pub struct Multiples {
    /// Title: the plan's name and the level's.
    pub title: String,
    /// Second line.
    pub subtitle: String,
    /// One bold line under the subtitle; empty for none.
    pub headline: String,
    /// The caution at the foot of the page.
    pub caution: String,
    /// The pictures, each with what stands over it.
    pub pictures: Vec<(String, Picture)>,
}

/// Plans are no higher than this, pixels.
const MOST_HIGH_PX: f64 = 900.0;

/// More pictures than this are not drawn.
const MOST: usize = 24;

impl Multiples {
    /// Lays the page out.
    ///
    /// # Errors
    /// As [`layout`](crate::layout) for each of the pictures.
    pub fn layout(&self, size: Size) -> Result<Drawing, DrawError> {
        let shown = &self.pictures[..self.pictures.len().min(MOST)];
        let mut extents = shown.iter().map(|(_, picture)| extent(picture));
        let first = extents.next().unwrap_or_else(|| extent(&Picture::default()))?;
        let extent = extents.try_fold(first, |all, one| Ok::<_, DrawError>(all.union(&one?)))?;
        let mut sketch = Sketch::new(size)?;
        let (size, edge, room) = (sketch.size, sketch.edge, sketch.room());
        let mut y = sketch.open(&self.title, &self.subtitle, &self.headline);

        // As many columns as leave each plan wide enough to be read, two at the least.
        let gap = 28.0 * size;
        let least = if extent.width() > 1.6 * extent.height() { 460.0 } else { 330.0 };
        let columns =
            (((room + gap) / (least * size + gap)) as usize).max(2).min(shown.len().max(1));
        let wide = ((room + gap) / columns as f64 - gap).floor();
        let pad = 26.0 * size;
        let most_high = (1.4 * wide).min(MOST_HIGH_PX);
        let scale = ((wide - 2.0 * pad) / extent.width())
            .min((most_high - 2.0 * pad) / extent.height())
            .max(1e-9);
        let high = (extent.height() * scale + 2.0 * pad).round();
        for row in shown.chunks(columns) {
            let top = (y + 62.0 * size).round();
            for (place, (title, picture)) in row.iter().enumerate() {
                let x0 = edge + (wide + gap) * place as f64;
                let frame = Rect { x0, y0: top, x1: x0 + wide, y1: top + high };
                let bare = bare(picture);
                let bands = Bands::findings(bare.thresholds);
                let view = View::new(&frame, extent.middle(), scale, 0.78 * size);
                on_plan(&bare, &bands, view, frame).draw(&mut sketch.pen, &bare);
                let kind = Type::bold(18.0 * size);
                let at = [x0, top - 32.0 * size];
                sketch.pen.write(&kind.fit(&clean(title), wide), at, kind, INK);
                let kind = Type::regular(15.0 * size);
                let at = [x0, top - 11.0 * size];
                sketch.pen.write(&kind.fit(&counts(&bare), wide), at, kind, INK);
            }
            y = top + high + 26.0 * size;
        }
        if let Some((_, first)) = shown.first() {
            key(&mut sketch.pen, first, [edge, y + 8.0 * size], size);
            y += 40.0 * size;
        }
        Ok(sketch.close(&self.caution, y))
    }
}

/// A picture without words: the numbers of the devices lead to the other pages.
fn bare(picture: &Picture) -> Picture {
    let mute = |device: &DeviceMark| DeviceMark {
        name: String::new(),
        margin_db: None,
        fault_per_year: None,
        ..device.clone()
    };
    let unnamed = |area: &AreaMark| AreaMark { label: String::new(), ..area.clone() };
    Picture {
        devices: picture.devices.iter().map(mute).collect(),
        obstacles: picture.obstacles.iter().map(unnamed).collect(),
        roams: Vec::new(),
        rooms: Vec::new(),
        ..picture.clone()
    }
}

/// What the three tones mean, in one line.
fn key(pen: &mut Canvas, picture: &Picture, [mut x, y]: [f64; 2], size: f64) {
    let bands = Bands::findings(picture.thresholds);
    let kind = Type::regular(14.0 * size);
    let words = ["failing there", "thin there", "sound there"];
    for (band, word) in words.iter().enumerate().rev() {
        let sample = Rect { x0: x, y0: y, x1: x + 44.0 * size, y1: y + 18.0 * size };
        pen.rectangle(sample, bands.ink(band));
        if band == 0 {
            Hatching::of(picture).draw(pen, &[sample.corners().to_vec()], size);
        }
        pen.outline(&sample.corners(), size, FRAME);
        let text = format!("a sensor would be {word}");
        pen.write(&text, [x + 54.0 * size, y + 14.0 * size], kind, INK);
        x += 54.0 * size + kind.width(&text) + 30.0 * size;
    }
}
