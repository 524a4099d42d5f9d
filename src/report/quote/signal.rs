//! Whether everything is heard: pictures and plain sentences.

use super::input::{LevelPictures, Quote, figure};
use crate::blocks::{cell, columns, heading, paragraph, table};
use document::Block;
use forecast::{Assessment, DeviceResult, RoamResult};
use plan::Level;
use words::Words;

/// The level on the first page: that on which the repeaters gain most; without any gain the one
/// with the most devices, the lowest of several. With more than one, no name could be read.
pub(super) fn on_cover<'q>(quote: &'q Quote<'_>) -> Option<&'q LevelPictures> {
    let shown: Vec<&LevelPictures> = quote.pictures.iter().filter(|p| peopled(quote, p)).collect();
    let mut best: Option<(usize, &LevelPictures)> = None;
    for pictures in shown.iter().filter(|pictures| pictures.pair.is_some()) {
        let gained = quote.level(pictures.level).map_or(0, |level| gain(quote, level));
        if best.is_none_or(|(most, _)| gained > most) {
            best = Some((gained, pictures));
        }
    }
    let fullest = || {
        let of = |pictures: &&LevelPictures| devices_on(quote, pictures.level);
        shown.iter().rev().copied().max_by_key(of)
    };
    best.map(|(_, pictures)| pictures).or_else(fullest)
}

/// Whether a level has anything of the customer's: a loft that only the radio knows of is no news.
pub(super) fn peopled(quote: &Quote<'_>, pictures: &LevelPictures) -> bool {
    devices_on(quote, pictures.level) > 0
}

fn devices_on(quote: &Quote<'_>, level: i32) -> usize {
    quote.site.plan.devices.iter().filter(|device| device.level == level).count()
}

/// How many more devices of a level are heard well with the repeaters.
fn gain(quote: &Quote<'_>, level: &Level) -> usize {
    lacking(quote.bare(), level).len().saturating_sub(lacking(quote.with, level).len())
}

/// The plan of a level in colour; its name stands below where there are several.
pub(super) fn plan(quote: &Quote<'_>, pictures: &LevelPictures) -> Block {
    let words = quote.words;
    let name = quote.level_name(pictures.level);
    let several = quote.pictures.len() > 1;
    let caption = if several { name.to_owned() } else { String::new() };
    Block::Figures(vec![figure(&pictures.plan, words.quote_plan_alt(name), caption)])
}

/// What colours and shapes in the pictures of a level mean.
pub(super) fn key(quote: &Quote<'_>, pictures: &LevelPictures) -> Block {
    Block::Figures(vec![figure(&pictures.key, quote.words.key_alt(), String::new())])
}

/// The two pictures of a level, without the repeaters and with them, where they change anything.
pub(super) fn pair(quote: &Quote<'_>, pictures: &LevelPictures) -> Vec<Block> {
    let words = quote.words;
    let Some(level) = quote.level(pictures.level) else { return Vec::new() };
    let Some([without, with]) = &pictures.pair else { return Vec::new() };
    let one = quote.repeaters().count() == 1;
    let name = &level.name;
    let [before, after] = if one {
        [words.quote_cover_without(), words.quote_cover_with()]
    } else {
        [words.quote_cover_without_many(), words.quote_cover_with_many()]
    };
    let before = counted(quote, quote.bare(), level, before);
    let after = counted(quote, quote.with, level, after);
    let figures = vec![
        figure(without, words.quote_cover_alt_without(name), before),
        figure(with, words.quote_cover_alt_with(name), after),
    ];
    if pictures.abreast {
        vec![Block::Figures(figures)]
    } else {
        figures.into_iter().map(|one| Block::Figures(vec![one])).collect()
    }
}

/// The one sentence for the whole site: what the repeaters are for and what they cost.
pub(super) fn argument(quote: &Quote<'_>) -> String {
    let words = quote.words;
    let (missing, left) = (Quote::missing(quote.bare()), Quote::missing(quote.with));
    let count = Quote::asked(quote.with).count().to_string();
    let repeaters = match quote.repeaters().count() {
        0 if left.is_empty() => return words.quote_short_none(),
        0 => return words.quote_short_left(&names(words, &left)),
        1 => words.quote_repeater_one(),
        count => words.quote_repeater_many(&count.to_string()),
    };
    let price = quote.repeaters_price.and_then(|price| quote.money(price));
    let repeaters = match price {
        Some(price) => words.quote_repeater_price(&repeaters, &price),
        None => repeaters,
    };
    let gained: Vec<&DeviceResult> =
        missing.iter().filter(|one| !holds(&left, one)).copied().collect();
    let of = gained.len().to_string();
    match (gained.is_empty(), left.is_empty()) {
        (true, true) => words.quote_short_reserve(&repeaters),
        (true, false) => words.quote_short_left(&names(words, &left)),
        (false, true) => words.quote_short_needed(&repeaters, &of, &count, &names(words, &gained)),
        (false, false) => {
            let (gained, left) = (names(words, &gained), names(words, &left));
            words.quote_short_partly(&repeaters, &gained, &left)
        }
    }
}

/// Whether a device is among these.
fn holds(results: &[&DeviceResult], one: &DeviceResult) -> bool {
    results.iter().any(|other| other.device.id == one.device.id)
}

/// The levels that the first page does not show: their plans, and what the repeaters do there.
pub(super) fn other_levels(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let cover = on_cover(quote).map(|pictures| pictures.level);
    let mut blocks = Vec::new();
    for pictures in quote.pictures.iter().filter(|p| cover != Some(p.level)) {
        let level = quote.level(pictures.level).filter(|_| peopled(quote, pictures));
        let Some(level) = level else { continue };
        let mut of_level = vec![
            heading(2, words.quote_level(&level.name)),
            paragraph(why(quote, level)),
            plan(quote, pictures),
        ];
        of_level.extend(pair(quote, pictures));
        of_level.push(key(quote, pictures));
        blocks.push(Block::Together(of_level));
    }
    blocks
}

/// The one sentence of a level: how well it is heard, and what the repeaters change.
pub(super) fn why(quote: &Quote<'_>, level: &Level) -> String {
    let words = quote.words;
    let count = Quote::asked(quote.with).filter(|one| one.device.level == level.number).count();
    let (missing, left) = (lacking(quote.bare(), level), lacking(quote.with, level));
    let gained = missing.iter().filter(|one| !holds(&left, one)).count();
    match (left.is_empty(), gained) {
        _ if count == 0 => words.quote_level_empty(),
        (true, 0) => words.quote_level_none(),
        (true, gained) => words.quote_level_needed(&gained.to_string(), &count.to_string()),
        (false, 0) => words.quote_level_left(&names(words, &left)),
        (false, _) => words.quote_level_partly(&names(words, &left)),
    }
}

/// A caption with the count of the devices of a level that are heard well, if there are any
/// devices.
fn counted(quote: &Quote<'_>, forecast: &Assessment, level: &Level, caption: String) -> String {
    let asked = Quote::asked(forecast).filter(|result| result.device.level == level.number);
    match asked.count() {
        0 => caption,
        count => {
            let heard = count - lacking(forecast, level).len();
            let (heard, count) = (heard.to_string(), count.to_string());
            quote.words.quote_cover_count(&caption, &heard, &count)
        }
    }
}

/// The devices of a level that are not heard reliably.
fn lacking<'a>(assessment: &'a Assessment, level: &Level) -> Vec<&'a DeviceResult> {
    let mut missing = Quote::missing(assessment);
    missing.retain(|result| result.device.level == level.number);
    missing
}

fn names(words: &Words, results: &[&DeviceResult]) -> String {
    let names: Vec<&str> = results.iter().map(|r| r.device.name.as_str()).collect();
    words.names(&names)
}

/// In how much of their areas key fobs and pendants work: of each its name, and how much in words;
/// as it is offered, and without repeaters where that is another share.
pub(super) fn works<'q>(
    quote: &'q Quote<'_>,
) -> impl Iterator<Item = (&'q str, String, Option<String>)> {
    let share = |result: &RoamResult| {
        let share = format!("{}\u{a0}%", quote.words.number(result.percent(), 0));
        quote.words.quote_roam_share_of(&share)
    };
    quote.with.roams.iter().map(move |result| {
        let bare = quote.bare().roams.iter().find(|bare| bare.roam.id == result.roam.id);
        let with = share(result);
        let without = bare.map(share).filter(|without| *without != with);
        (result.roam.name.as_str(), with, without)
    })
}

/// The table of these areas, if there are any.
pub(super) fn roams(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    if quote.with.roams.is_empty() {
        return Vec::new();
    }
    let rows = works(quote).map(|(name, with, _)| [cell(name), cell(with)]);
    let columns = columns(&words.quote_roam_heads(), "l0 l0");
    vec![heading(3, words.quote_roams()), table(columns, rows)]
}
