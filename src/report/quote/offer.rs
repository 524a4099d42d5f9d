//! The offer as JSON, with its pictures: what a customer is shown at the table. All sentences and
//! sums are those of the document.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Map, Value, json};

use super::devices::{by_place, protects, signal_word, sort_of};
use super::document::{assumed, cautions, incomplete, left_over};
use super::input::{LevelPictures, Quote};
use super::price::{line_name, tax_name};
use super::signal::{argument, key, on_cover, pair, peopled, plan, why, works};
use crate::json::pretty;
use document::{Block, Figure};
use forecast::{Assessment, DeviceResult};
use plan::{Device, DeviceKind};

/// The offer as JSON: `title`, `site`, `language`, whether it is a `draft`, what it `protects`, the
/// `argument` for the repeaters, each of the `levels` with its pictures for a narrow and a wide
/// screen (PNG in base64), the `devices` room by room with `signal` and, where there are repeaters,
/// what it is `without` them, the areas of fobs and pendants (`roams`) in the same way, the `price`
/// (null without prices), and what is `left`, `incomplete`, `assumed` and to keep in mind
/// (`cautions`). `screens` are those pictures, level by level.
#[must_use]
pub fn offer(quote: &Quote<'_>, screens: &[[LevelPictures; 2]]) -> String {
    let words = quote.words;
    let first = on_cover(quote).map(|pictures| pictures.level);
    let mut shown: Vec<&[LevelPictures; 2]> =
        screens.iter().filter(|[narrow, _]| peopled(quote, narrow)).collect();
    // A stable sort: the others stay in order.
    shown.sort_by_key(|[narrow, _]| Some(narrow.level) != first);
    let levels: Vec<Value> = shown.into_iter().map(|screen| level(quote, screen)).collect();
    let devices = by_place(quote).into_iter().map(|(place, devices)| {
        let rows: Vec<Value> = devices.into_iter().map(|one| device(quote, one)).collect();
        json!({ "place": place, "devices": rows })
    });
    let draft =
        quote.is_draft().then(|| notice(words.quote_draft(), vec![words.quote_draft_unsigned()]));
    let offer = json!({
        "title": words.quote_title(),
        "site": quote.site.plan.name,
        "language": words.language.tag(),
        "business": quote.business.map(|business| &business.name),
        "draft": draft,
        "protects": protects(quote),
        "argument": argument(quote),
        "repeaters": quote.repeaters().count(),
        "left": left_over(quote).and_then(as_notice),
        "incomplete": incomplete(quote).and_then(as_notice),
        "levels": levels,
        "devices": devices.collect::<Vec<_>>(),
        "roams": roams(quote),
        "price": price(quote),
        "assumed": notice(words.quote_assumes(), assumed(words)),
        "cautions": as_notice(cautions(words)),
    });
    pretty(&offer, "")
}

fn notice(title: String, lines: Vec<String>) -> Value {
    json!({ "title": title, "lines": lines })
}

fn as_notice(block: Block) -> Option<Value> {
    match block {
        Block::Notice { title, lines } => Some(notice(title, lines)),
        _ => None,
    }
}

/// The pictures of a block.
fn figures(block: Block) -> Vec<Figure> {
    match block {
        Block::Figures(figures) => figures,
        _ => Vec::new(),
    }
}

fn picture(figure: &Figure) -> Value {
    json!({
        "png": STANDARD.encode(&figure.png),
        "width": figure.width,
        "height": figure.height,
        "alt": figure.alt,
        "caption": figure.caption,
    })
}

/// A level with its pictures: `plan` and `key`, and `without` and `with` the repeaters where they
/// change anything, each for a narrow and a wide screen.
fn level(quote: &Quote<'_>, screen: &[LevelPictures; 2]) -> Value {
    let number = screen[0].level;
    let mut members = Map::new();
    members.insert("number".to_owned(), number.into());
    members.insert("name".to_owned(), quote.level_name(number).into());
    members.insert("why".to_owned(), quote.level(number).map(|level| why(quote, level)).into());
    let pairs = screen.each_ref().map(|pictures| {
        let figures: Vec<Figure> = pair(quote, pictures).into_iter().flat_map(figures).collect();
        figures
    });
    for (at, name) in ["without", "with"].into_iter().enumerate() {
        let both: Vec<Value> =
            pairs.iter().filter_map(|figures| figures.get(at)).map(picture).collect();
        if !both.is_empty() {
            members.insert(name.to_owned(), both.into());
        }
    }
    for (name, block) in [
        ("plan", plan as fn(&Quote<'_>, &LevelPictures) -> Block),
        ("key", key as fn(&Quote<'_>, &LevelPictures) -> Block),
    ] {
        let both = screen.iter().flat_map(|pictures| figures(block(quote, pictures)));
        members.insert(name.to_owned(), both.map(|one| picture(&one)).collect());
    }
    members.into()
}

/// A device: its `name`, `what` it is, and how its signal is heard.
fn device(quote: &Quote<'_>, device: &Device) -> Value {
    let words = quote.words;
    let mut members = Map::new();
    members.insert("name".to_owned(), device.name.clone().into());
    members.insert("what".to_owned(), sort_of(words, device).into());
    if device.kind != DeviceKind::Repeater {
        let forecasts = [("signal", Some(quote.with)), ("without", quote.without)];
        for (name, forecast) in forecasts {
            let Some(result) = forecast.and_then(|forecast| result(forecast, device)) else {
                continue;
            };
            let said = json!({
                "finding": result.finding.word(),
                "words": signal_word(words, result.finding),
            });
            members.insert(name.to_owned(), said);
        }
    }
    members.into()
}

/// The areas of fobs and pendants: in how much of each they work, null where there are none.
fn roams(quote: &Quote<'_>) -> Option<Value> {
    let areas = works(quote).map(|(name, with, without)| {
        let mut area = json!({ "name": name, "works": with });
        if let Some(without) = without {
            area["without"] = without.into();
        }
        area
    });
    let areas: Vec<Value> = areas.collect();
    (!areas.is_empty()).then(|| json!({ "title": quote.words.quote_roams(), "areas": areas }))
}

fn result<'a>(forecast: &'a Assessment, device: &Device) -> Option<&'a DeviceResult> {
    Quote::asked(forecast).find(|result| result.device.id == device.id)
}

/// The lines of the price and their sums, as the document words them.
fn price(quote: &Quote<'_>) -> Option<Value> {
    let (words, sums) = (quote.words, quote.sheet.sums?);
    let lines = quote.sheet.lines.iter().map(|line| {
        json!({
            "name": line_name(words, line),
            "quantity": words.exact(line.quantity, 0),
            "amount": line.price.and_then(|price| quote.money(price.amount)),
        })
    });
    let sum = |name: String, value| json!({ "name": name, "amount": quote.money(value) });
    Some(json!({
        "lines": lines.collect::<Vec<_>>(),
        "sums": [
            sum(words.quote_subtotal(), sums.subtotal),
            sum(tax_name(words, quote.business?), sums.tax),
            sum(words.quote_total(), sums.total),
        ],
        "total": words.quote_price_large(&quote.money(sums.total)?),
    }))
}
