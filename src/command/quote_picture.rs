//! Pictures for customers: without decibels, and without words but the names of the plan.

use rayon::prelude::*;

use super::CommandError;
use super::output::undrawn;
use super::picture::{drawn_level, mark_kind, pair, panel_mark};
use super::progress::progress;
use super::repeaters_picture::linked_picture;
use crate::budget::{Assessment, Finding, Site, level_field};
use crate::draw::{self, DeviceMark, Link, LinkEnd, Picture, Size};
use crate::plan::{DeviceKind, Level};
use crate::pricing::{Bitmap, BitmapError};
use crate::report::{Image, LevelPictures};

/// Width of a picture that takes the whole page, before the legend is cut off, pixels.
const WHOLE_PX: u32 = 1600;
/// Width of one of two pictures side by side: marks take more of a small picture, so they stay
/// legible.
const HALF_PX: u32 = 560;

/// Room that the line round the plan takes, pixels.
const FRAME_PX: f64 = 3.0;
/// The white round a picture: one part in so many of its width.
const WHITE_SHARE: u32 = 100;

/// The forecasts that are drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Forecasts<'a> {
    /// Without repeaters, if there are any.
    pub without: Option<(&'a Site<'a>, &'a Assessment)>,
    /// With all repeaters.
    pub with: (&'a Site<'a>, &'a Assessment),
}

/// The pictures of every level that has walls.
pub(super) fn level_pictures(forecasts: Forecasts<'_>) -> Result<Vec<LevelPictures>, CommandError> {
    let (site, _) = forecasts.with;
    let mut drafts = Vec::new();
    for level in &site.plan.levels {
        let Some(with) = covered(forecasts.with, level)? else {
            continue;
        };
        let without = match forecasts.without {
            Some(forecast) => covered(forecast, level)?,
            None => None,
        };
        drafts.push((level.number, plan_of(site, level), without, with));
    }
    let drawn = drafts.par_iter().map(|(level, plan, without, with)| {
        let size = if without.is_some() { HALF_PX } else { WHOLE_PX };
        let ((plan, with), without) = rayon::join(
            || rayon::join(|| image(plan, WHOLE_PX, true), || image(with, size, false)),
            || without.as_ref().map(|p| image(p, size, false)).transpose(),
        );
        Ok(LevelPictures {
            level: *level,
            plan: plan?,
            without: without?,
            with: with?,
        })
    });
    let drawn: Vec<Result<LevelPictures, CommandError>> = drawn.collect();
    drawn.into_iter().collect()
}

/// The level with the panel and all devices, named.
fn plan_of(site: &Site<'_>, level: &Level) -> Picture {
    let devices = site.plan.devices.iter();
    let here = devices.filter(|d| d.level == level.number && d.kind != DeviceKind::Panel);
    let panel = &site.panel.device;
    let panel = (panel.level == level.number).then(|| panel_mark(panel));
    // Sensors first, as in the other pictures, so that the letters are the same.
    let mut others: Vec<_> = here.collect();
    others.sort_by_key(|device| device.kind != DeviceKind::Sensor);
    let marks = others.into_iter().map(|device| DeviceMark {
        position: pair(device.position),
        kind: mark_kind(device.kind),
        number: device.number,
        name: device.name.clone(),
        ..DeviceMark::default()
    });
    wordless(Picture {
        devices: panel.into_iter().chain(marks).collect(),
        ..drawn_level(site.plan, level)
    })
}

/// The coverage of a level with the ways of its devices; `None` for a level without walls.
fn covered(
    (site, assessment): (&Site<'_>, &Assessment),
    level: &Level,
) -> Result<Option<Picture>, CommandError> {
    let repeaters: Vec<Finding> = assessment
        .two_way
        .iter()
        .filter(|result| result.device.kind == DeviceKind::Repeater)
        .map(|result| result.finding)
        .collect();
    let bar = progress(&level.name);
    let field = level_field(site, level, &repeaters, &|done| bar.set_position(done))?;
    bar.finish_and_clear();
    Ok(field.map(|field| {
        let mut picture = linked_picture(site, assessment, level, field, &[], "");
        for device in &mut picture.devices {
            device.name = String::new();
            device.margin_db = None;
            if let Link::Direct(end) | Link::OverRepeater(end) | Link::RepeaterToPanel(end) =
                &mut device.link
                && let LinkEnd::Elsewhere { text, .. } = end
            {
                text.clear();
            }
        }
        picture.roams.clear();
        wordless(picture)
    }))
}

/// Without what is said beside the plan, and the ids of obstacles.
fn wordless(mut picture: Picture) -> Picture {
    for obstacle in &mut picture.obstacles {
        obstacle.label.clear();
    }
    for text in [
        &mut picture.title,
        &mut picture.level_name,
        &mut picture.subtitle,
        &mut picture.caution,
        &mut picture.headline,
    ] {
        text.clear();
    }
    picture
}

/// Draws a picture and cuts the plan out of it: legend, key and captions are in the document's words.
fn image(picture: &Picture, width_px: u32, named: bool) -> Result<Image, CommandError> {
    let name = "for the quote";
    let broken = |error: BitmapError| CommandError::Output {
        what: format!("the picture {name}"),
        why: error.to_string(),
    };
    let mut layout =
        draw::layout(picture, Size { width_px }).map_err(|error| undrawn(name, &error))?;
    if !named {
        layout.labels.clear();
    }
    let whole = layout.png(picture).map_err(|error| undrawn(name, &error))?;
    let whole = Bitmap::read(&whole).map_err(broken)?;
    let frame = layout.plan;
    // Within the frame's line, and without the white round the plan.
    let edge = FRAME_PX;
    let corner = ((frame.x0 + edge).max(0.0), (frame.y0 + edge).max(0.0));
    let size = (
        frame.x1 - edge + 1.0 - corner.0,
        frame.y1 - edge + 1.0 - corner.1,
    );
    let corner = (corner.0 as u32, corner.1 as u32);
    let plan = whole.cut(corner, (size.0 as u32, size.1 as u32));
    let plan = plan.trimmed(width_px / WHITE_SHARE);
    let (width, height) = plan.size();
    Ok(Image {
        png: plan.png().map_err(broken)?,
        width,
        height,
    })
}
