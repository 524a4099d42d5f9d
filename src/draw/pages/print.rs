//! The plan alone, for paper: digits and names have a size in points, as printed.

use crate::base::font;
use crate::base::{DrawError, Rect, View};
use crate::pages::page::{Layout, on_plan};
use crate::parts::bands::Bands;
use crate::parts::mark;
use crate::picture::{Picture, extent};

/// How a plain picture will be printed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Print {
    /// Room on the paper, width and height, points (1/72 inch); each held between 36 and 2000. The
    /// picture takes as much of it as its shape allows.
    pub room_pt: [f64; 2],
    /// Size of the digits in the marks on the paper, points; held between 4 and 20. Names are a
    /// little smaller, by a fortieth.
    pub digits_pt: f64,
    /// Pixels for a point of the paper; held between 1 and 8.
    pub px_per_pt: f64,
}

/// The em of the digits in a ring, pixels at size 1; those in other marks of a plain picture are no
/// smaller.
const RING_EM: f64 = 12.0;

/// White, or ground, round what is on the plan, pixels at size 1: room for half a mark,
/// and for the arrow of an entry.
const PAD: f64 = 24.0;

impl Print {
    pub(crate) fn room(&self) -> [f64; 2] {
        self.room_pt.map(|side| side.clamp(36.0, 2000.0) * self.px())
    }

    pub(crate) fn px(&self) -> f64 {
        self.px_per_pt.clamp(1.0, 8.0)
    }

    /// The size of text and marks that gives the digits their size.
    pub(crate) fn size(&self) -> f64 {
        self.digits_pt.clamp(4.0, 20.0) * self.px() / RING_EM
    }
}

/// Lays the plan out alone, without header, legend, key, scale bar and frame, as large as the room
/// on the paper allows. Set [`Picture::plain`] for readers who are not to see decibels or words of
/// this module. The field is cut off a little outside of what is on the plan.
///
/// Printed within that room, no digit is smaller than asked for, and no name smaller than 0.975 of
/// it.
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
    let plan = Rect {
        x0: 0.0,
        y0: 0.0,
        x1: (shown.width() * scale).floor(),
        y1: (shown.height() * scale).floor(),
    };
    let view = View::new(&plan, shown.middle(), scale, size);
    let bands = if picture.plain {
        Bands::findings(picture.thresholds)
    } else {
        Bands::new(picture.field.as_ref(), picture.thresholds)
    };
    Ok(on_plan(picture, &bands, view, plan))
}
