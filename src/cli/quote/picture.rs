//! Pictures for customers: without decibels, and without words but the names of the plan and, in
//! the key, those of the document's language.

use rayon::prelude::*;

use crate::error::{CommandError, OrStop as _};
use crate::frame::each_level;
use crate::picture::{coverage, device_mark, drawn_level, with_ways};
use draw::{
    self, DeviceKind as MarkKind, DrawError, KeyEntry, KeySample, Link, LinkEnd, Picture, Print,
};
use forecast::{Assessment, Site, SiteError};
use job::pricing::Image;
use plan::{DeviceKind, Level};
use report::LevelPictures;
use words::Words;

/// A picture that takes the width of the page. The text of the page is 170 mm wide on A4 and 176 mm
/// on Letter (its margins are 20 mm); a browser's print is wider. A document sets no picture higher
/// than this, on Letter as on A4.
const WHOLE: Print = Print { room_pt: [480.0, 372.0], digits_pt: 7.5, px_per_pt: PX_PER_PT };
/// One of two pictures side by side, set smaller than half a page so that it can be read beside all
/// else on the first page.
const HALF: Print = Print { room_pt: [205.0, 328.0], digits_pt: 6.7, px_per_pt: 3.4 };
/// The plan on the first page, above two smaller pictures.
const COVER: Print = Print { room_pt: [480.0, 250.0], ..WHOLE };
/// With more devices on a level than this, pictures stand below one another: their marks would fill
/// a picture of half a page's width (a mark takes about a square of 17 points, a room several).
const MOST_ABREAST: usize = 30;
/// The key, as wide as the page.
const KEY: Print = Print { digits_pt: 6.7, ..WHOLE };
/// The key beside pictures of half its width.
const NARROW_KEY: Print = HALF;
/// What the pictures are called in a message.
const NAME: &str = "the picture of the plan";
/// 216 pixels for an inch: sharp on paper, and small enough for a file that is sent by mail.
const PX_PER_PT: f64 = 3.0;

/// The forecasts that are drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Forecasts<'a> {
    pub words: &'a Words,
    /// Without repeaters, if there are any.
    pub without: Option<(&'a Site<'a>, &'a Assessment)>,
    pub with: (&'a Site<'a>, &'a Assessment),
}

/// How large the pictures of a level are.
#[derive(Debug, Clone, Copy)]
struct Prints {
    plan: Print,
    pair: Print,
    key: Print,
    abreast: bool,
}

/// A level, and its coverage without repeaters, if there are any, and with them.
type Draft = (i32, (Option<Picture>, Picture));

/// The pictures of every level that has walls, for a document.
pub(crate) fn level_pictures(forecasts: Forecasts<'_>) -> Result<Vec<LevelPictures>, CommandError> {
    let drawn = drafts(forecasts)?.into_par_iter().map(|draft| {
        let abreast = draft.1.1.devices.len() <= MOST_ABREAST;
        let pair = if abreast { HALF } else { WHOLE };
        drawn(forecasts.words, &draft, Prints { plan: COVER, pair, key: KEY, abreast })
    });
    let drawn: Vec<Result<LevelPictures, CommandError>> = drawn.collect();
    drawn.into_iter().collect()
}

/// The same for a narrow and a wide screen.
pub(crate) fn screen_pictures(
    forecasts: Forecasts<'_>,
) -> Result<Vec<[LevelPictures; 2]>, CommandError> {
    let drawn = drafts(forecasts)?.into_par_iter().map(|draft| {
        let [narrow, wide] = [(HALF, NARROW_KEY), (WHOLE, KEY)].map(|(print, key)| {
            let prints = Prints { plan: print, pair: print, key, abreast: true };
            drawn(forecasts.words, &draft, prints)
        });
        Ok([narrow?, wide?])
    });
    let drawn: Vec<Result<[LevelPictures; 2], CommandError>> = drawn.collect();
    drawn.into_iter().collect()
}

fn drafts(forecasts: Forecasts<'_>) -> Result<Vec<Draft>, CommandError> {
    let drafts = each_level(forecasts.with.0.plan, "", |level, tell| {
        let Some(with) = covered(forecasts.with, level, tell)? else { return Ok(None) };
        let without =
            forecasts.without.map(|forecast| covered(forecast, level, tell)).transpose()?;
        Ok::<_, SiteError>(Some((without.flatten(), with)))
    });
    Ok(drafts?)
}

fn drawn(
    words: &Words,
    (level, (without, with)): &Draft,
    prints: Prints,
) -> Result<LevelPictures, CommandError> {
    let plan = plan_of(with);
    let changes = without.as_ref().filter(|without| findings(without) != findings(with));
    // Without an argument only the plan is shown, which has no ways.
    let last = if changes.is_some() { with } else { &plan };
    let drafted: Vec<&Picture> = changes.into_iter().chain([last]).collect();
    let (plan, (pair, key)) = rayon::join(
        || image(&plan, prints.plan),
        || {
            let pair = changes.map(|without| {
                let [without, with] = [without, with].map(|one| image(&argued(one), prints.pair));
                Ok::<_, CommandError>([without?, with?])
            });
            (pair.transpose(), key(words, &drafted, prints.key))
        },
    );
    let abreast = prints.abreast;
    Ok(LevelPictures { key: key?, level: *level, abreast, plan: plan?, pair: pair? })
}

/// The plan of every level that has devices, for print.
pub(crate) fn plan_pictures(site: &Site<'_>) -> Result<Vec<(i32, Image)>, CommandError> {
    let levels = site.plan.levels.iter();
    let used = levels.filter(|level| site.plan.devices.iter().any(|d| d.level == level.number));
    used.map(|level| Ok((level.number, image(&numbered(site, level), WHOLE)?))).collect()
}

/// The level with the panel and all devices, named.
fn numbered(site: &Site<'_>, level: &Level) -> Picture {
    let devices = site.plan.devices.iter();
    let here = devices.filter(|d| d.level == level.number && d.kind != DeviceKind::Panel);
    let panel = &site.panel.device;
    let panel = Some(panel).filter(|panel| panel.level == level.number);
    // Sensors first, as in the other pictures, so that the letters are the same.
    let mut others: Vec<_> = here.collect();
    others.sort_by_key(|device| device.kind != DeviceKind::Sensor);
    wordless(Picture {
        devices: panel.into_iter().chain(others).map(device_mark).collect(),
        ..drawn_level(site.plan, level)
    })
}

/// The findings of what a picture shows but means of hearing: equal where repeaters change nothing.
fn findings(picture: &Picture) -> Vec<(&str, Option<draw::Finding>)> {
    let devices = picture.devices.iter().filter(|device| device.kind != MarkKind::Repeater);
    devices.map(|device| (device.name.as_str(), device.finding)).collect()
}

/// The plan alone: every device by name, and no line across the rooms.
fn plan_of(with: &Picture) -> Picture {
    let mut picture = with.clone();
    for device in &mut picture.devices {
        if device.link != Link::NotHeard {
            device.link = Link::NotShown;
        }
    }
    picture
}

/// One of the two pictures that argue for a repeater: names of what matters there alone. The plan
/// above has all the others.
fn argued(picture: &Picture) -> Picture {
    let mut picture = picture.clone();
    for device in &mut picture.devices {
        let means = matches!(device.kind, MarkKind::Panel | MarkKind::Repeater);
        if device.finding == Some(draw::Finding::Sound) && !means {
            device.name.clear();
        }
    }
    picture
}

/// The coverage of a level with its rooms and the ways of its devices; `None` for a level without
/// walls.
fn covered(
    (site, assessment): (&Site<'_>, &Assessment),
    level: &Level,
    tell: &(dyn Fn(u64) + Sync),
) -> Result<Option<Picture>, SiteError> {
    let covered = coverage(site, assessment, level, tell)?;
    Ok(covered.map(|picture| {
        let mut picture = with_ways(picture, (site, assessment), level, &[]);
        for device in &mut picture.devices {
            device.margin_db = None;
            device.fault_per_year = None;
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

fn image(picture: &Picture, print: Print) -> Result<Image, CommandError> {
    let page = draw::printed(picture, print).or_unwritten(NAME)?;
    sized(page.size_px(), page.png(picture))
}

fn sized(
    (width, height): (u32, u32),
    png: Result<Vec<u8>, DrawError>,
) -> Result<Image, CommandError> {
    Ok(Image { png: png.or_unwritten(NAME)?, width, height })
}

/// The key to the coverage pictures of a level: only what is in them.
fn key(words: &Words, pictures: &[&Picture], print: Print) -> Result<Image, CommandError> {
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
    let page = draw::print_key(&entries, print).or_unwritten(NAME)?;
    sized(page.size_px(), page.png())
}
