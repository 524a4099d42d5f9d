//! The header: title, link and spot, and the findings in one line.

use super::canvas::{Align, Point};
use super::font::{Type, clean, margin};
use super::marks;
use super::page::Text;
use super::picture::{DeviceKind, Finding, Picture};
use super::ramp::{INK, Ink, PAPER, QUIET};
use super::rect::Rect;

/// Sets title, subtitle and headline, and returns where they end. `title` is in parts, of which empty
/// ones are left out.
pub(super) fn opening(
    title: &[&str],
    subtitle: &str,
    headline: &str,
    [width, edge, size]: [f64; 3],
    texts: &mut Vec<Text>,
) -> f64 {
    let room = width - 2.0 * edge;
    let mut y = edge;
    let mut set = |text: String, y: f64, kind: Type, ink: Ink| {
        texts.push(Text { text, at: [edge, y], kind, align: Align::Left, ink, strip: None });
    };
    let title: Vec<String> = title.iter().map(|part| clean(part)).collect();
    let title: Vec<String> = title.into_iter().filter(|part| !part.is_empty()).collect();
    if !title.is_empty() {
        let kind = Type::bold(27.0 * size);
        y += 26.0 * size;
        set(kind.fit(&title.join(" · "), room), y, kind, INK);
        y += 6.0 * size;
    }
    let kind = Type::regular(16.0 * size);
    for line in kind.wrap(&clean(subtitle), room, 2) {
        y += 20.0 * size;
        set(line, y, kind, QUIET);
    }
    let kind = Type::bold(17.0 * size);
    for line in kind.wrap(&clean(headline), room, 2) {
        y += 25.0 * size;
        set(line, y, kind, INK);
    }
    y
}

/// Sets the header's text and returns where the plan may begin.
pub(super) fn header(
    picture: &Picture,
    width: f64,
    edge: f64,
    size: f64,
    texts: &mut Vec<Text>,
) -> f64 {
    let room = width - 2.0 * edge;
    let title = [picture.title.as_str(), &picture.level_name];
    let page = [width, edge, size];
    let mut y = opening(&title, &picture.subtitle, &picture.headline, page, texts);
    let mut set = |text: String, at: Point, kind: Type, ink: Ink, strip: Option<Rect>| {
        texts.push(Text { text, at, kind, align: Align::Left, ink, strip });
    };
    let count =
        |finding| picture.devices.iter().filter(|device| device.finding == Some(finding)).count();
    let all = picture.devices.iter().filter(|device| device.finding.is_some()).count();
    if all > 0 && picture.paths.is_empty() {
        y += 12.0 * size;
        let failing = count(Finding::Failing);
        let kind = Type::bold(18.0 * size);
        let rest = format!("thin {} · sound {}", count(Finding::Thin), count(Finding::Sound));
        let rest_kind = Type::regular(16.0 * size);
        let rest_width = rest_kind.width(&rest);
        let pad = 10.0 * size;
        let line = if failing == 0 {
            format!("None of {all} failing")
        } else {
            let start = format!("{failing} of {all} FAILING: ");
            let most = (room - rest_width - 4.0 * pad).max(60.0);
            kind.fit(&failing_names(picture, &start, kind, most), most)
        };
        let strip =
            Rect { x0: edge, y0: y, x1: edge + kind.width(&line) + 2.0 * pad, y1: y + 30.0 * size };
        let base = y + 21.5 * size;
        let (ink, ground) = if failing == 0 { (INK, None) } else { (PAPER, Some(strip)) };
        let left = if failing == 0 { edge } else { edge + pad };
        let end = left + kind.width(&line);
        set(line, [left, base], kind, ink, ground);
        let left = (end + 2.0 * pad).min(width - edge - rest_width);
        set(rest, [left, base], rest_kind, INK, None);
        y += 30.0 * size;
    }
    y + 16.0 * size
}

/// The failing devices after `start`, as many as fit, and how many more there are.
fn failing_names(picture: &Picture, start: &str, kind: Type, width: f64) -> String {
    let names: Vec<String> = picture
        .devices
        .iter()
        .zip(marks::tags(picture))
        .filter(|(device, _)| device.finding == Some(Finding::Failing))
        .map(|(device, tag)| {
            let tag = if device.kind == DeviceKind::Sensor { tag } else { String::new() };
            let name = kind.fit(&clean(&device.name), 15.0 * kind.em);
            let margin = device.margin_db.map(|value| margin(value, picture.thresholds));
            let margin = margin.map(|margin| format!("({margin})")).unwrap_or_default();
            let words = [tag, name, margin];
            let words: Vec<&str> =
                words.iter().map(String::as_str).filter(|word| !word.is_empty()).collect();
            words.join(" ")
        })
        .collect();
    let line = |shown: usize| {
        let listed = names.iter().take(shown).cloned().collect::<Vec<_>>().join(", ");
        match names.len() - shown {
            0 => format!("{start}{listed}"),
            more => format!("{start}{listed} and {more} more"),
        }
    };
    (1..=names.len())
        .rev()
        .map(line)
        .find(|line| kind.width(line) <= width)
        .unwrap_or_else(|| line(1))
}
