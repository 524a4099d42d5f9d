//! Where everything goes, and whether it is heard there: pictures and plain sentences.

use super::input::{Quote, figure};
use crate::blocks::{cell, columns, heading, paragraph, table};
use document::Block;
use forecast::{Assessment, DeviceResult};
use plan::Level;
use words::Words;

/// The plan of every level with the panel's place.
pub(super) fn places(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let plan = quote.site.plan;
    let mut blocks = vec![heading(2, words.quote_plan()), paragraph(words.quote_plan_text())];
    for pictures in quote.pictures {
        let name = quote.level_name(pictures.level);
        let panel = &quote.site.panel.device;
        if panel.level == pictures.level {
            let floor = plan.level(panel.level).map_or(0.0, |level| level.floor_m);
            let height = words.length(plan.lengths().tape(panel.height_m - floor));
            blocks.push(paragraph(words.quote_plan_panel(&height)));
        }
        let (alt, caption) = (words.quote_plan_alt(name), words.quote_plan_caption(name));
        blocks.push(Block::Figures(vec![figure(&pictures.plan, alt, caption)]));
    }
    let repeaters: Vec<(String, String)> = quote
        .repeaters()
        .map(|device| {
            let level = quote.level_name(device.level);
            let new = quote.new.iter().find(|new| new.id == device.id);
            let place = match new.and_then(|new| new.outlet.as_ref()) {
                Some(outlet) => words.quote_repeater_outlet(level, outlet),
                None => words.quote_repeater_place(level),
            };
            (device.name.clone(), place)
        })
        .collect();
    if !repeaters.is_empty() {
        blocks.push(heading(3, words.quote_repeaters()));
        blocks.push(Block::Facts(repeaters));
    }
    blocks
}

/// The coverage of every level, without and with the repeaters, and why they are needed.
pub(super) fn coverage(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    let plan = quote.site.plan;
    let mut blocks = vec![heading(2, words.quote_cover())];
    for level in &plan.levels {
        let pictures = quote.pictures.iter().find(|p| p.level == level.number);
        let is_empty = plan.devices.iter().all(|d| d.level != level.number);
        // A loft that only the radio knows of is no news to the customer.
        if is_empty && pictures.is_none() {
            continue;
        }
        if plan.levels.len() > 1 {
            blocks.push(heading(3, level.name.clone()));
        }
        // Above the pictures, so that no page break parts the sentence from its heading.
        blocks.push(paragraph(why(quote, level)));
        if let Some(pictures) = pictures {
            let name = &level.name;
            let without_it = words.quote_cover_alt_without(name);
            let figures = match &pictures.without {
                None => {
                    let caption = words.quote_cover_only(name);
                    let caption = counted(quote, quote.with, level, caption);
                    vec![figure(&pictures.with, without_it, caption)]
                }
                Some(without) => {
                    let [first, second] = [
                        (quote.bare(), words.quote_cover_without(name)),
                        (quote.with, words.quote_cover_with(name)),
                    ]
                    .map(|(forecast, caption)| counted(quote, forecast, level, caption));
                    vec![
                        figure(without, without_it, first),
                        figure(&pictures.with, words.quote_cover_alt_with(name), second),
                    ]
                }
            };
            if pictures.abreast {
                blocks.push(Block::Figures(figures));
            } else {
                blocks.extend(figures.into_iter().map(|one| Block::Figures(vec![one])));
            }
            let key = figure(&pictures.key, words.key_alt(), String::new());
            blocks.push(Block::Figures(vec![key]));
        }
    }
    blocks.extend(roams(quote));
    blocks
}

/// The one sentence of a level: why the repeater is needed, or that none is.
fn why(quote: &Quote<'_>, level: &Level) -> String {
    let words = quote.words;
    let here = |result: &&DeviceResult| result.device.level == level.number;
    let count = Quote::asked(quote.with).filter(here).count();
    let missing = lacking(quote.bare(), level);
    let left = lacking(quote.with, level);
    let mended =
        missing.iter().any(|one| !left.iter().any(|other| other.device.id == one.device.id));
    let (of, all) = (missing.len().to_string(), count.to_string());
    match (left.is_empty(), mended) {
        _ if count == 0 => words.quote_level_empty(),
        (true, false) => words.quote_level_none(),
        (true, true) => words.quote_level_needed(&of, &all, &names(words, &missing)),
        (false, true) => {
            let (missing, left) = (names(words, &missing), names(words, &left));
            words.quote_level_partly(&of, &all, &missing, &left)
        }
        (false, false) => words.quote_level_left(&names(words, &left)),
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

/// Where transmitters that are carried about work.
fn roams(quote: &Quote<'_>) -> Vec<Block> {
    let words = quote.words;
    if quote.with.roams.is_empty() {
        return Vec::new();
    }
    let rows = quote.with.roams.iter().map(|result| {
        let share = format!("{}\u{a0}%", words.number((result.share * 100.0).floor(), 0));
        [cell(&result.roam.name), cell(words.quote_roam_share_of(&share))]
    });
    let columns = columns(&words.quote_roam_heads(), "l0 l0");
    vec![heading(3, words.quote_roams()), table(columns, rows)]
}
