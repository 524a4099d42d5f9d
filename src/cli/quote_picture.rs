//! Pictures for customers: without decibels, and without words but the names of the plan and, in the key,
//! those of the document's language.

use rayon::prelude::*;

use super::CommandError;
use super::output::undrawn;
use super::picture::{drawn_level, mark_kind, pair, panel_mark};
use super::progress::progress;
use super::repeaters_picture::linked_picture;
use draw::{
    self, DeviceKind as MarkKind, DeviceMark, DrawError, KeyEntry, KeySample, Link, LinkEnd,
    Picture, Print,
};
use forecast::{Assessment, Finding, Site, level_field};
use plan::{DeviceKind, Level};
use report::{Image, LevelPictures};
use words::Words;

/// A picture that takes the width of the page. The text of the page is 170 mm wide on A4 and 176 mm on
/// Letter (its margins are 20 mm); a browser's print is wider. A document sets no picture higher
/// than this, on Letter as on A4.
const WHOLE: Print = Print { room_pt: [480.0, 372.0], digits_pt: 7.5, px_per_pt: PX_PER_PT };
/// One of two pictures side by side, with a gap between.
const HALF: Print = Print { room_pt: [232.0, 372.0], digits_pt: 6.7, px_per_pt: PX_PER_PT };
/// With more devices on a level than this, pictures stand below one another: their marks would fill a
/// picture of half a page's width (a mark takes about a square of 17 points, a room several).
const MOST_ABREAST: usize = 30;
/// The key, as wide as the page.
const KEY: Print = Print { digits_pt: 6.7, ..WHOLE };
/// What the pictures are called in a message.
const NAME: &str = "for the quote";
/// 216 pixels for an inch: sharp on paper, and small enough for a file that is sent by mail.
const PX_PER_PT: f64 = 3.0;

/// The forecasts that are drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Forecasts<'a> {
    /// The words of the key.
    pub words: &'a Words,
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
    let drawn = drafts.into_par_iter().map(|(level, plan, without, with)| {
        let drafted: Vec<&Picture> = without.iter().chain([&with]).collect();
        let abreast = without.is_some() && with.devices.len() <= MOST_ABREAST;
        let print = if abreast { HALF } else { WHOLE };
        let ((plan, with), (without, key)) = rayon::join(
            || rayon::join(|| image(&plan, WHOLE), || image(&with, print)),
            || {
                let without = without.as_ref().map(|p| image(p, print)).transpose();
                (without, key(forecasts.words, &drafted))
            },
        );
        Ok(LevelPictures { key: key?, level, abreast, plan: plan?, without: without?, with: with? })
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
            // Who is heard well needs no name here: the plan above has all of them.
            let means = matches!(device.kind, MarkKind::Panel | MarkKind::Repeater);
            if device.finding == Some(draw::Finding::Sound) && !means {
                device.name.clear();
            }
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

/// Without words but names, and without the ids of obstacles.
fn wordless(mut picture: Picture) -> Picture {
    picture.plain = true;
    for obstacle in &mut picture.obstacles {
        obstacle.label.clear();
    }
    picture
}

/// Draws a picture.
fn image(picture: &Picture, print: Print) -> Result<Image, CommandError> {
    let undrawn = |error: DrawError| undrawn(NAME, &error);
    let layout = draw::printed(picture, print).map_err(undrawn)?;
    let (width, height) = layout.size_px();
    Ok(Image { png: layout.png(picture).map_err(undrawn)?, width, height })
}

/// The key to the coverage pictures of a level: only what is in them.
fn key(words: &Words, pictures: &[&Picture]) -> Result<Image, CommandError> {
    let devices = || pictures.iter().flat_map(|picture| &picture.devices);
    let kind = |kind| devices().any(|device| device.kind == kind);
    let link = |wanted: fn(&Link) -> bool| devices().any(|device| wanted(&device.link));
    let over = link(|link| matches!(link, Link::OverRepeater(_)));
    let direct = link(|link| matches!(link, Link::Direct(_)));
    let ways = if over { KeySample::Ways } else { KeySample::Direct };
    let entries = [
        (KeySample::Finding(draw::Finding::Sound), words.key_well(), true),
        (KeySample::Finding(draw::Finding::Thin), words.key_little(), true),
        (KeySample::Finding(draw::Finding::Failing), words.key_not(), true),
        (KeySample::Device(MarkKind::Panel), words.key_panel(), kind(MarkKind::Panel)),
        (KeySample::Device(MarkKind::Repeater), words.key_repeater(), kind(MarkKind::Repeater)),
        (ways, words.key_way(), over || direct),
    ];
    let entries: Vec<KeyEntry> = entries
        .into_iter()
        .filter(|(_, _, shown)| *shown)
        .map(|(sample, text, _)| KeyEntry { sample, text })
        .collect();
    let undrawn = |error: DrawError| undrawn(NAME, &error);
    let drawing = draw::print_key(&entries, KEY).map_err(undrawn)?;
    let (width, height) = drawing.size_px();
    Ok(Image { png: drawing.png().map_err(undrawn)?, width, height })
}
