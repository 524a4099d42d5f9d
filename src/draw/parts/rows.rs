//! What the legend lists: the colour bar, and every mark, wall and line that occurs in the picture.

use crate::base::{Rect, Type, clean};
use crate::parts::bands::Bands;
use crate::parts::bar::SAMPLE;
use crate::parts::legend::{Block, HEADING, Row, Swatch};
use crate::parts::links::Style;
use crate::parts::walls::ORDER;
use crate::parts::{links, paths};
use crate::picture::{
    DeviceKind, Finding, LineKind, Link, LinkEnd, OpeningMark, PathMark, Picture, WallClass,
};

const fn class_name(class: WallClass) -> &'static str {
    match class {
        WallClass::Light => "light partition",
        WallClass::Timber => "timber",
        WallClass::Masonry => "masonry",
        WallClass::Concrete => "concrete",
        WallClass::Glass => "glass",
        WallClass::CoatedGlass => "coated glass or foil",
        WallClass::Metal => "metal",
        WallClass::Door => "door leaf",
    }
}

const fn kind_name(kind: DeviceKind) -> &'static str {
    match kind {
        DeviceKind::Panel => "panel",
        DeviceKind::Sensor => "sensor",
        DeviceKind::Repeater => "repeater",
        DeviceKind::Keypad => "keypad",
        DeviceKind::Siren => "siren",
    }
}

/// The blocks that a picture needs.
pub(crate) fn blocks(
    picture: &Picture,
    bands: &Bands,
    size: f64,
    width: f64,
    moved: bool,
) -> Vec<Block> {
    let kind = Type::regular(14.0 * size);
    let room = width - (SAMPLE + 12.0) * size;
    let row = |swatch: Swatch, text: &str| {
        let most = if swatch == Swatch::Forbidden { 8 } else { 3 };
        let lines = kind.wrap(text, room, most);
        let sample = match swatch {
            Swatch::Bar => {
                40.0_f64.max(17.0 * bands.edges_db.len() as f64).clamp(250.0, 340.0) + 40.0
            }
            Swatch::Device(_, Some(Finding::Failing)) => 60.0,
            Swatch::Device(DeviceKind::Sensor, Some(Finding::Thin)) => 48.0,
            Swatch::Device(DeviceKind::Sensor, _) => 33.0,
            Swatch::Device(..) | Swatch::PanelNow => 50.0,
            Swatch::Pin(true) => 72.0,
            Swatch::Pin(false) => 56.0,
            Swatch::Tick | Swatch::Forbidden => 34.0,
            Swatch::NotHeard => 38.0,
            Swatch::Opening(_, true) => 44.0,
            _ => 26.0,
        } * size;
        let height = sample.max(18.0 * size * lines.len() as f64 + 6.0 * size);
        Row { swatch, lines, height }
    };
    let mut blocks = Vec::new();
    let bold = Type::bold(15.0 * size);
    let mut add = |heading: &str, rows: Vec<Row>| {
        if !rows.is_empty() {
            let heading = bold.wrap(heading, width, 4);
            let head = 28.0 + HEADING * heading.len().saturating_sub(1) as f64;
            let height = head * size + rows.iter().map(|row| row.height).sum::<f64>();
            blocks.push(Block { heading, rows, height, rect: Rect::default() });
        }
    };
    if picture.field.is_some() {
        let mut rows = vec![row(Swatch::Bar, "")];
        let values = picture.field.iter().flat_map(|field| &field.margin_db);
        if values.clone().any(|value| value.is_nan()) {
            rows.push(row(Swatch::NoValue, "no value"));
        }
        let title = clean(&picture.field_title);
        add(if title.is_empty() { "Margin over the floor" } else { &title }, rows);
    }

    let rows = paths(picture).into_iter();
    let rows = rows.map(|(swatch, text)| row(swatch, &text)).collect();
    add("Paths: share of the power received", rows);

    let mut rows = Vec::new();
    for (swatch, text) in siting(picture) {
        rows.push(row(swatch, &text));
    }
    let heading = if picture.sites() { "Where the panel may hang" } else { "Power and ways" };
    add(heading, rows);

    let mut rows = Vec::new();
    let occurs = |kind: DeviceKind, finding: Option<Finding>| {
        picture.devices.iter().any(|device| (device.kind, device.finding) == (kind, finding))
    };
    let findings = [Some(Finding::Failing), Some(Finding::Thin), Some(Finding::Sound), None];
    for finding in findings {
        if occurs(DeviceKind::Sensor, finding) {
            let text = match finding {
                Some(Finding::Failing) => "FAILING: likely to drop supervision",
                Some(Finding::Thin) => "thin: may drop supervision",
                Some(Finding::Sound) => "sound",
                None => "sensor, no finding",
            };
            rows.push(row(Swatch::Device(DeviceKind::Sensor, finding), text));
        }
    }
    let others = [DeviceKind::Panel, DeviceKind::Repeater, DeviceKind::Keypad, DeviceKind::Siren];
    for kind in others {
        // One line a kind: filled or not, the mark means the same as for sensors.
        if kind == DeviceKind::Panel && picture.sites() && occurs(kind, None) {
            rows.push(row(Swatch::PanelNow, "panel, where the plan has it now"));
        } else if let Some(device) = picture.devices.iter().find(|device| device.kind == kind) {
            let plain = device.finding.filter(|finding| *finding == Finding::Sound);
            rows.push(row(Swatch::Device(kind, plain), kind_name(kind)));
        }
    }
    for (swatch, text) in heard(picture) {
        rows.push(row(swatch, text));
    }
    if moved {
        rows.push(row(Swatch::Moved, "mark moved aside from its spot"));
    }
    add("Devices", rows);

    let mut rows = Vec::new();
    for class in ORDER.into_iter().rev() {
        let mut labels: Vec<String> = Vec::new();
        for wall in picture.walls.iter().filter(|wall| wall.class == class) {
            let label = clean(&wall.label);
            if !labels.contains(&label) {
                labels.push(label);
            }
        }
        if labels.is_empty() {
            continue;
        }
        labels.retain(|label| !label.is_empty());
        let name = class_name(class);
        let text = if labels.is_empty() {
            name.to_owned()
        } else {
            format!("{name}: {}", labels.join(", "))
        };
        rows.push(row(Swatch::Wall(class), &text));
    }
    add("Walls, to scale", rows);

    let mut rows = Vec::new();
    for class in ORDER {
        for open in [false, true] {
            let occurs = |one: &OpeningMark| one.class == class && one.open == open;
            if picture.openings.iter().any(occurs) {
                let text = match (class, open) {
                    (WallClass::Light | WallClass::Timber | WallClass::Door, false) => {
                        "door, closed"
                    }
                    (WallClass::Light | WallClass::Timber | WallClass::Door, true) => "door, open",
                    (WallClass::Glass, false) => "window",
                    (WallClass::Glass, true) => "glass door or window, open",
                    (WallClass::CoatedGlass, false) => "coated window",
                    (WallClass::CoatedGlass, true) => "coated window, open",
                    (WallClass::Metal, false) => "metal door or shutter",
                    (WallClass::Metal, true) => "metal door, open",
                    (WallClass::Masonry | WallClass::Concrete, _) => "filled opening",
                };
                let same = Swatch::Opening(class, open);
                if !rows.iter().any(|row: &Row| row.lines == [text]) {
                    rows.push(row(same, text));
                }
            }
        }
    }
    if picture.openings.iter().any(|opening| opening.entry) {
        rows.push(row(Swatch::Entry, "entry door"));
    }
    if picture.obstacles.iter().any(|area| area.outline.len() > 2) {
        rows.push(row(Swatch::Obstacle, "obstacle"));
    }
    if picture.roams.iter().any(|area| area.outline.len() > 2) {
        rows.push(row(Swatch::Roam, "area for a portable transmitter"));
    }
    add("Openings and areas", rows);
    blocks
}

/// Lines on the paths, with their number and their part in the power.
fn paths(picture: &Picture) -> Vec<(Swatch, String)> {
    let drawn = picture.paths.iter().enumerate();
    let drawn: Vec<_> = drawn.filter(|(_, path)| path.points.len() > 1).collect();
    let swatch = |path: &PathMark| {
        let tenths = (10.0 * paths::width(path.share)).round();
        Swatch::Path(path.direct, tenths as u16)
    };
    let mut rows: Vec<(Swatch, String)> = drawn
        .iter()
        .take(paths::MOST_LISTED)
        .map(|(place, path)| (swatch(path), paths::words(*place, path)))
        .collect();
    if let Some((_, next)) = drawn.get(paths::MOST_LISTED) {
        let more = drawn.len() - paths::MOST_LISTED;
        rows.push((swatch(next), format!("and {more} more")));
    }
    if drawn.iter().any(|(_, path)| !path.crossings.is_empty()) {
        let text = "the path goes through a wall, with what is lost there in dB";
        rows.push((Swatch::Crossing, text.to_owned()));
    }
    rows
}

/// Lines on spots, strips, outlets and the ways to a spot.
fn siting(picture: &Picture) -> Vec<(Swatch, String)> {
    let mut rows = Vec::new();
    let mut row = |swatch: Swatch, text: &str| rows.push((swatch, text.to_owned()));
    let spots = &picture.spots;
    if spots.iter().any(|spot| spot.pin() == Some(1)) {
        let text = "first of the ranked spots; the tip stands on the spot";
        row(Swatch::Pin(true), text);
    }
    if spots.iter().any(|spot| spot.pin() > Some(1)) {
        row(Swatch::Pin(false), "further ranked spots");
    }
    if spots.iter().any(|spot| spot.pin().is_none()) {
        row(Swatch::Tick, "the panel may hang here, too");
    }
    if picture.forbidden.iter().any(|strip| strip.line.len() > 1) {
        let mut reasons: Vec<String> = Vec::new();
        for strip in &picture.forbidden {
            let reason = clean(&strip.reason);
            if !reason.is_empty() && !reasons.contains(&reason) {
                reasons.push(reason);
            }
        }
        reasons.sort();
        let text = if reasons.is_empty() {
            "the panel may not hang here".to_owned()
        } else {
            format!("the panel may not hang here: {}", reasons.join("; "))
        };
        row(Swatch::Forbidden, &text);
    }
    if !picture.outlets.is_empty() {
        row(Swatch::Outlet, "power outlet");
    }
    for (kind, text) in [
        (LineKind::Walk, "walk from an entry to the spot"),
        (LineKind::Wire, "wire from an outlet to the spot"),
    ] {
        let mut lines = picture.lines.iter();
        if lines.any(|line| line.kind == kind && line.points.len() > 1) {
            row(Swatch::Line(kind), text);
        }
    }
    rows
}

/// Lines on how devices are heard.
fn heard(picture: &Picture) -> Vec<(Swatch, &'static str)> {
    let links: Vec<(Style, LinkEnd)> = picture.devices.iter().filter_map(links::link).collect();
    let mut rows = Vec::new();
    for (style, text) in [
        (Style::Direct, "heard by the panel directly"),
        (Style::OverRepeater, "heard through the repeater"),
        (Style::RepeaterToPanel, "from a repeater onward"),
    ] {
        if links.iter().any(|(own, _)| *own == style) {
            rows.push((Swatch::Link(style), text));
        }
    }
    let elsewhere = |(_, end): &(Style, LinkEnd)| matches!(end, LinkEnd::Elsewhere { .. });
    if links.iter().any(elsewhere) {
        rows.push((Swatch::Stub, "the other end is on another level"));
    }
    let mut devices = picture.devices.iter();
    if devices.any(|device| device.link == Link::NotHeard) {
        rows.push((Swatch::NotHeard, "nothing hears it"));
    }
    if picture.devices.iter().any(|device| device.new) {
        rows.push((Swatch::New, "not there yet"));
    }
    rows
}
