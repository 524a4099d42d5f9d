//! What the legend lists: the colour bar, and every mark, wall and line that occurs in the picture.

use crate::base::{Canvas, Point, Rect, clean, level_line};
use crate::parts::areas::{draw_obstacle, draw_roam};
use crate::parts::bands::Bands;
use crate::parts::bar::SAMPLE;
use crate::parts::legend::{Block, Row, Setting};
use crate::parts::links::{self, Style, draw_arrow, draw_link};
use crate::parts::mark::{Badge, Mark, pin_radius, pin_reach};
use crate::parts::marks::{draw_badge, draw_mark, draw_tie};
use crate::parts::paths::{self, draw_crossing, draw_path};
use crate::parts::siting::{draw_line, draw_outlet, draw_strip, draw_tick};
use crate::parts::walls::{Body, ORDER, draw_body, draw_entry, draw_opening, entry_arrow};
use crate::picture::{
    DeviceKind, Finding, LineKind, Link, LinkEnd, OpeningMark, PathMark, Picture, WallClass,
};

/// Height of most samples, pixels at size 1.
const LOW: f64 = 26.0;

/// Half the width of a line or an area as a sample, pixels at size 1.
const HALF: f64 = 27.0;

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

/// The blocks that a picture needs.
pub(crate) fn blocks(
    picture: &Picture,
    bands: &Bands,
    size: f64,
    width: f64,
    moved: bool,
) -> Vec<Block> {
    let set = Setting { size, room: width - (SAMPLE + 12.0) * size, lines: 3, pad: 6.0 };
    let mut blocks = Vec::new();
    let mut add = |heading: &str, rows: Vec<Row>| {
        if !rows.is_empty() {
            blocks.push(Block::new(heading, rows, width, size));
        }
    };
    if picture.field.is_some() {
        let high = 40.0_f64.max(17.0 * bands.edges_db.len() as f64).clamp(250.0, 340.0) + 40.0;
        let rows = vec![Row { sample: None, lines: Vec::new(), height: high * size }];
        let title = clean(&picture.field_title);
        add(if title.is_empty() { "Margin over the floor" } else { &title }, rows);
    }
    add("Paths: share of the power received", paths(picture, set));
    let heading = if picture.sites() { "Where the panel may hang" } else { "Power and ways" };
    add(heading, siting(picture, set));
    add("Devices", devices(picture, moved, set));
    add("Walls, to scale", walls(picture, set));
    add("Openings and areas", openings(picture, set));
    blocks
}

/// The area of a sample.
fn area(centre: Point, size: f64) -> Rect {
    Rect::around(centre, 2.0 * HALF * size, 18.0 * size)
}

/// A piece of wall as a sample.
fn body(centre: Point, thick: f64, size: f64) -> Body {
    let [a, b] = level_line(centre, HALF * size);
    Body { a, b, thick: thick * size }
}

/// Draws the mark of a device.
fn mark(kind: DeviceKind, finding: Option<Finding>) -> impl Fn(&mut Canvas, Point, f64) {
    move |pen, at, size| draw_mark(pen, &Mark::sample(at, kind, finding, 1.0, size), size)
}

/// Draws the pin of a spot.
fn pin(rank: u32) -> impl Fn(&mut Canvas, Point, f64) {
    move |pen, [x, y], size| {
        let tip = [x, y + (pin_radius(rank) * size + pin_reach(rank) * size) / 2.0];
        let head = [x, tip[1] - pin_reach(rank) * size];
        draw_mark(pen, &Mark::pin(rank, tip, head, size), size);
    }
}

/// Texts without what is empty, each once, in their order.
fn distinct<'a>(texts: impl Iterator<Item = &'a String>) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for text in texts.map(|text| clean(text)) {
        if !text.is_empty() && !found.contains(&text) {
            found.push(text);
        }
    }
    found
}

/// A name with what belongs to it, if there is anything.
fn with_list(name: &str, list: &[String], divider: &str) -> String {
    if list.is_empty() { name.to_owned() } else { format!("{name}: {}", list.join(divider)) }
}

/// Lines on the paths, with their number and their part in the power.
fn paths(picture: &Picture, set: Setting) -> Vec<Row> {
    let drawn = picture.paths.iter().enumerate();
    let drawn: Vec<_> = drawn.filter(|(_, path)| path.points.len() > 1).collect();
    let row = |path: &PathMark, text: &str| {
        let (direct, width) = (path.direct, (10.0 * paths::width(path.share)).round() / 10.0);
        set.row(LOW, text, move |pen, at, size| {
            draw_path(pen, &level_line(at, HALF * size), direct, width, size);
        })
    };
    let listed = drawn.iter().take(paths::MOST_LISTED);
    let mut rows: Vec<Row> =
        listed.map(|(place, path)| row(path, &paths::words(*place, path))).collect();
    if let Some((_, next)) = drawn.get(paths::MOST_LISTED) {
        rows.push(row(next, &format!("and {} more", drawn.len() - paths::MOST_LISTED)));
    }
    if drawn.iter().any(|(_, path)| !path.crossings.is_empty()) {
        let text = "the path goes through a wall, with what is lost there in dB";
        rows.push(set.row(LOW, text, |pen, at, size| {
            draw_path(pen, &level_line(at, HALF * size), true, 4.0, size);
            draw_crossing(pen, at, [0.0, 1.0], size);
        }));
    }
    rows
}

/// Lines on spots, strips, outlets and the ways to a spot.
fn siting(picture: &Picture, set: Setting) -> Vec<Row> {
    let mut rows = Vec::new();
    let spots = &picture.spots;
    if spots.iter().any(|spot| spot.pin() == Some(1)) {
        let text = "first of the ranked spots; the tip stands on the spot";
        rows.push(set.row(72.0, text, pin(1)));
    }
    if spots.iter().any(|spot| spot.pin() > Some(1)) {
        rows.push(set.row(56.0, "further ranked spots", pin(2)));
    }
    if spots.iter().any(|spot| spot.pin().is_none()) {
        rows.push(set.row(34.0, "the panel may hang here, too", |pen, at, size| {
            draw_body(pen, &body(at, 9.0, size), WallClass::Light, size);
            for run in [-18.0, -6.0, 6.0, 18.0] {
                let place = [at[0] + run * size, at[1] - 4.5 * size];
                draw_tick(pen, place, Some([0.0, -1.0]), size);
            }
        }));
    }
    if picture.forbidden.iter().any(|strip| strip.line.len() > 1) {
        let mut reasons = distinct(picture.forbidden.iter().map(|strip| &strip.reason));
        reasons.sort();
        let text = with_list("the panel may not hang here", &reasons, "; ");
        rows.push(Setting { lines: 8, ..set }.row(34.0, &text, |pen, [x, y], size| {
            draw_body(pen, &body([x, y], 9.0, size), WallClass::Light, size);
            let [a, b] = level_line([x, y - 4.5 * size], HALF * size);
            let [d, c] = level_line([x, y - 13.5 * size], HALF * size);
            draw_strip(pen, &[a, b, c, d], size);
        }));
    }
    if !picture.outlets.is_empty() {
        rows.push(set.row(LOW, "power outlet", draw_outlet));
    }
    for (kind, text) in [
        (LineKind::Walk, "walk from an entry to the spot"),
        (LineKind::Wire, "wire from an outlet to the spot"),
    ] {
        let mut lines = picture.lines.iter();
        if lines.any(|line| line.kind == kind && line.points.len() > 1) {
            rows.push(set.row(LOW, text, move |pen, at, size| {
                draw_line(pen, &level_line(at, HALF * size), kind, size);
            }));
        }
    }
    rows
}

/// Lines on the devices and on how they are heard.
fn devices(picture: &Picture, moved: bool, set: Setting) -> Vec<Row> {
    let mut rows = Vec::new();
    let occurs = |kind: DeviceKind, finding: Option<Finding>| {
        picture.devices.iter().any(|device| (device.kind, device.finding) == (kind, finding))
    };
    for (finding, high, text) in [
        (Some(Finding::Failing), 60.0, "FAILING: likely to drop supervision"),
        (Some(Finding::Thin), 48.0, "thin: may drop supervision"),
        (Some(Finding::Sound), 33.0, "sound"),
        (None, 33.0, "sensor, no finding"),
    ] {
        if occurs(DeviceKind::Sensor, finding) {
            rows.push(set.row(high, text, mark(DeviceKind::Sensor, finding)));
        }
    }
    for (kind, name) in [
        (DeviceKind::Panel, "panel"),
        (DeviceKind::Repeater, "repeater"),
        (DeviceKind::Keypad, "keypad"),
        (DeviceKind::Siren, "siren"),
    ] {
        // One line a kind: filled or not, the mark means the same as for sensors.
        if kind == DeviceKind::Panel && picture.sites() && occurs(kind, None) {
            rows.push(set.row(50.0, "panel, where the plan has it now", |pen, at, size| {
                let mark = Mark::sample(at, DeviceKind::Panel, None, 1.0, size);
                draw_mark(pen, &Mark { faint: true, ..mark }, size);
            }));
        } else if let Some(device) = picture.devices.iter().find(|device| device.kind == kind) {
            let plain = device.finding.filter(|finding| *finding == Finding::Sound);
            rows.push(set.row(50.0, name, mark(kind, plain)));
        }
    }
    rows.extend(heard(picture, set));
    if moved {
        rows.push(set.row(LOW, "mark moved aside from its spot", |pen, at, size| {
            let [from, to] = level_line(at, 16.0 * size);
            draw_tie(pen, from, to, size);
        }));
    }
    rows
}

/// Lines on how devices are heard.
fn heard(picture: &Picture, set: Setting) -> Vec<Row> {
    let links: Vec<(Style, LinkEnd)> = picture.devices.iter().filter_map(links::link).collect();
    let mut rows = Vec::new();
    for (style, text) in [
        (Style::Direct, "heard by the panel directly"),
        (Style::OverRepeater, "heard through the repeater"),
        (Style::RepeaterToPanel, "from a repeater onward"),
    ] {
        if links.iter().any(|(own, _)| *own == style) {
            rows.push(set.row(LOW, text, move |pen, at, size| {
                draw_link(pen, level_line(at, HALF * size), style, size);
            }));
        }
    }
    let elsewhere = |(_, end): &(Style, LinkEnd)| matches!(end, LinkEnd::Elsewhere { .. });
    if links.iter().any(elsewhere) {
        rows.push(set.row(LOW, "the other end is on another level", |pen, at, size| {
            let stub = level_line(at, 18.0 * size);
            draw_link(pen, [stub[0], [at[0] + 14.0 * size, at[1]]], Style::Direct, size);
            draw_arrow(pen, stub, size);
        }));
    }
    if picture.devices.iter().any(|device| device.link == Link::NotHeard) {
        rows.push(set.row(38.0, "nothing hears it", |pen, at, size| {
            let mark = Mark::sample(at, DeviceKind::Sensor, None, 1.0, size);
            draw_mark(pen, &mark, size);
            draw_badge(pen, &Mark { badge: Some(Badge::NotHeard), ..mark }, size);
        }));
    }
    if picture.devices.iter().any(|device| device.new) {
        rows.push(set.row(LOW, "not there yet", |pen, [x, y], size| {
            let place = [x, y - 15.0 * size];
            let mark = Mark::plain(place, 7.0 * size, String::new(), DeviceKind::Sensor, None);
            draw_badge(pen, &Mark { badge: Some(Badge::New), ..mark }, size);
        }));
    }
    rows
}

/// Lines on the walls, by class.
fn walls(picture: &Picture, set: Setting) -> Vec<Row> {
    let mut rows = Vec::new();
    for class in ORDER.into_iter().rev() {
        let own = || picture.walls.iter().filter(move |wall| wall.class == class);
        if own().next().is_some() {
            let labels = distinct(own().map(|wall| &wall.label));
            let text = with_list(class_name(class), &labels, ", ");
            rows.push(set.row(LOW, &text, move |pen, at, size| {
                draw_body(pen, &body(at, 12.0, size), class, size);
            }));
        }
    }
    rows
}

/// Lines on openings, entries, obstacles and areas.
fn openings(picture: &Picture, set: Setting) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for class in ORDER {
        for open in [false, true] {
            let occurs = |one: &OpeningMark| one.class == class && one.open == open;
            if !picture.openings.iter().any(occurs) {
                continue;
            }
            let text = match (class, open) {
                (WallClass::Light | WallClass::Timber | WallClass::Door, false) => "door, closed",
                (WallClass::Light | WallClass::Timber | WallClass::Door, true) => "door, open",
                (WallClass::Glass, false) => "window",
                (WallClass::Glass, true) => "glass door or window, open",
                (WallClass::CoatedGlass, false) => "coated window",
                (WallClass::CoatedGlass, true) => "coated window, open",
                (WallClass::Metal, false) => "metal door or shutter",
                (WallClass::Metal, true) => "metal door, open",
                (WallClass::Masonry | WallClass::Concrete, _) => "filled opening",
            };
            if rows.iter().any(|row| row.lines == [text]) {
                continue;
            }
            rows.push(if open {
                set.row(44.0, text, move |pen, [x, y], size| {
                    let [a, b] = level_line([x, y + 14.0 * size], 16.0 * size);
                    let gap = Body { a, b, thick: 9.0 * size };
                    draw_opening(pen, &gap, class, Some(-1.0), size);
                })
            } else {
                set.row(LOW, text, move |pen, at, size| {
                    let stub = body(at, 9.0, size);
                    draw_body(pen, &stub, WallClass::Light, size);
                    let [a, b] = level_line(at, 17.0 * size);
                    draw_opening(pen, &Body { a, b, ..stub }, class, None, size);
                })
            });
        }
    }
    if picture.openings.iter().any(|opening| opening.entry) {
        rows.push(set.row(LOW, "entry door", |pen, [x, y], size| {
            draw_entry(pen, &entry_arrow([x, y - 8.0 * size], [0.0, 1.0], size), size);
        }));
    }
    if picture.obstacles.iter().any(|area| area.outline.len() > 2) {
        rows.push(set.row(LOW, "obstacle", |pen, at, size| {
            draw_obstacle(pen, &area(at, size).corners(), size);
        }));
    }
    if picture.roams.iter().any(|area| area.outline.len() > 2) {
        rows.push(set.row(LOW, "area for a portable transmitter", |pen, at, size| {
            draw_roam(pen, &area(at, size).corners(), size);
        }));
    }
    rows
}
