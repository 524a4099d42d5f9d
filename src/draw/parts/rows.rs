//! What the legend lists: the colour bar, and every mark, wall and line that occurs in the picture.

use crate::base::{Canvas, Point, Rect, clean, level_line};
use crate::parts::areas::{draw_obstacle, draw_roam};
use crate::parts::bands::Bands;
use crate::parts::bar::SAMPLE;
use crate::parts::legend::{Block, Row, Rows};
use crate::parts::links::{self, Style, draw_arrow, draw_link};
use crate::parts::mark::{Badge, Mark, pin_radius, pin_reach};
use crate::parts::marks::{draw_badge, draw_mark, draw_tie};
use crate::parts::original::draw_original;
use crate::parts::paths::{self, draw_crossing, draw_path};
use crate::parts::siting::{draw_line, draw_outlet, draw_strip, draw_tick};
use crate::parts::walls::{
    Body, ORDER, draw_body, draw_entry, draw_gap, draw_opening, entry_arrow,
};
use crate::picture::{
    AreaMark, DeviceKind, Finding, LineKind, Link, LinkEnd, OpeningMark, Picture, SpotMark,
    WallClass,
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

pub(crate) fn blocks(
    picture: &Picture,
    bands: &Bands,
    size: f64,
    width: f64,
    moved: bool,
) -> Vec<Block> {
    let none = || Rows::new(size, width - (SAMPLE + 12.0) * size, 6.0);
    let mut blocks = Vec::new();
    let mut add = |heading: &str, rows: Rows| blocks.extend(Block::new(heading, rows, width, size));
    if picture.field.is_some() {
        let high = 40.0_f64.max(17.0 * bands.edges_db.len() as f64).clamp(250.0, 340.0) + 40.0;
        let mut rows = none();
        rows.rows.push(Row { sample: None, lines: Vec::new(), height: high * size });
        let title = clean(&picture.field_title);
        add(if title.is_empty() { "Reserve over the floor, dB" } else { &title }, rows);
    }
    add("Paths: share of the power received", paths(picture, none()));
    let heading = if picture.sites() { "Where the panel may hang" } else { "Power and ways" };
    add(heading, siting(picture, none()));
    add("Devices", devices(picture, moved, none()));
    add("Walls, to scale", walls(picture, none()));
    add("Openings and areas", openings(picture, none()));
    add("The drawing that was read", original(picture, none()));
    add("Numbers, as in the report", notes(picture, none()));
    blocks
}

fn area(centre: Point, size: f64) -> [Point; 4] {
    Rect::around(centre, 2.0 * HALF * size, 18.0 * size).corners()
}

fn body(centre: Point, thick: f64, size: f64) -> Body {
    let [a, b] = level_line(centre, HALF * size);
    Body { a, b, thick: thick * size }
}

fn mark(kind: DeviceKind, finding: Option<Finding>) -> impl Fn(&mut Canvas, Point, f64) {
    move |pen, at, size| draw_mark(pen, &Mark::sample(at, kind, finding, 1.0, size), size)
}

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

fn paths(picture: &Picture, mut rows: Rows) -> Rows {
    let drawn = picture.paths.iter().enumerate();
    let drawn: Vec<_> = drawn.filter(|(_, path)| path.points.len() > 1).collect();
    for (count, (place, path)) in drawn.iter().take(paths::MOST_LISTED + 1).enumerate() {
        let text = match drawn.len() - count {
            more if count == paths::MOST_LISTED => format!("and {more} more"),
            _ => paths::words(*place, path),
        };
        let (direct, width) = (path.direct, (10.0 * paths::width(path.share)).round() / 10.0);
        rows.add(true, LOW, &text, move |pen, at, size| {
            draw_path(pen, &level_line(at, HALF * size), direct, width, size);
        });
    }
    let crossed = drawn.iter().any(|(_, path)| !path.crossings.is_empty());
    let text = "the path goes through a wall, with what is lost there in dB";
    rows.add(crossed, LOW, text, |pen, at, size| {
        draw_path(pen, &level_line(at, HALF * size), true, 4.0, size);
        draw_crossing(pen, at, [0.0, 1.0], size);
    });
    rows
}

fn siting(picture: &Picture, mut rows: Rows) -> Rows {
    let any = |holds: fn(&SpotMark) -> bool| picture.spots.iter().any(holds);
    let text = "best spot; the cross marks where the panel hangs";
    rows.add(any(|spot| spot.pin() == Some(1)), 72.0, text, pin(1));
    rows.add(any(|spot| spot.pin() > Some(1)), 56.0, "further spots, in order", pin(2));
    let text = "the panel may hang here, too";
    rows.add(any(|spot| spot.pin().is_none()), 34.0, text, |pen, at, size| {
        draw_body(pen, &body(at, 9.0, size), WallClass::Light, size);
        for run in [-18.0, -6.0, 6.0, 18.0] {
            let place = [at[0] + run * size, at[1] - 4.5 * size];
            draw_tick(pen, place, Some([0.0, -1.0]), size);
        }
    });
    let mut reasons = distinct(picture.forbidden.iter().map(|strip| &strip.reason));
    reasons.sort();
    let text = with_list("the panel may not hang here", &reasons, "; ");
    let strips = picture.forbidden.iter().any(|strip| strip.line.len() > 1);
    rows.lines = 8;
    rows.add(strips, 34.0, &text, |pen, [x, y], size| {
        draw_body(pen, &body([x, y], 9.0, size), WallClass::Light, size);
        let [a, b] = level_line([x, y - 4.5 * size], HALF * size);
        let [d, c] = level_line([x, y - 13.5 * size], HALF * size);
        draw_strip(pen, &[a, b, c, d], size);
    });
    rows.lines = 3;
    rows.add(!picture.outlets.is_empty(), LOW, "power outlet", draw_outlet);
    for (kind, text) in [
        (LineKind::Walk, "walk from an entry to the spot"),
        (LineKind::Wire, "wire from an outlet to the spot"),
        (LineKind::Dimension, "distance from the nearest frame or corner"),
    ] {
        let mut lines = picture.lines.iter();
        let occurs = lines.any(|line| line.kind == kind && line.points.len() > 1);
        rows.add(occurs, LOW, text, move |pen, at, size| {
            draw_line(pen, &level_line(at, HALF * size), kind, size);
        });
    }
    rows
}

fn devices(picture: &Picture, moved: bool, mut rows: Rows) -> Rows {
    let devices = &picture.devices;
    let occurs = |kind: DeviceKind, finding: Option<Finding>| {
        devices.iter().any(|device| (device.kind, device.finding) == (kind, finding))
    };
    for (finding, high, text) in [
        (Some(Finding::Failing), 60.0, "FAILING: likely to drop supervision"),
        (Some(Finding::Thin), 48.0, "thin: may drop supervision"),
        (Some(Finding::Sound), 33.0, "sound"),
        (None, 33.0, "other sensor"),
    ] {
        let sample = mark(DeviceKind::Sensor, finding);
        rows.add(occurs(DeviceKind::Sensor, finding), high, text, sample);
    }
    for (kind, name) in [
        (DeviceKind::Panel, "panel"),
        (DeviceKind::Repeater, "repeater"),
        (DeviceKind::Keypad, "keypad"),
        (DeviceKind::Siren, "siren"),
    ] {
        // One line a kind: filled or not, the mark means the same as for sensors.
        if kind == DeviceKind::Panel && picture.sites() && occurs(kind, None) {
            rows.add(true, 50.0, "panel, where the plan has it now", |pen, at, size| {
                let mark = Mark::sample(at, DeviceKind::Panel, None, 1.0, size);
                draw_mark(pen, &Mark { faint: true, ..mark }, size);
            });
        } else if let Some(device) = devices.iter().find(|device| device.kind == kind) {
            let plain = device.finding.filter(|finding| *finding == Finding::Sound);
            rows.add(true, 50.0, name, mark(kind, plain));
        }
    }
    let links: Vec<(Style, LinkEnd)> = devices.iter().filter_map(links::link).collect();
    for (style, text) in [
        (Style::Direct, "heard by the panel directly"),
        (Style::OverRepeater, "heard through the repeater"),
        (Style::RepeaterToPanel, "from a repeater onward"),
    ] {
        let occurs = links.iter().any(|(own, _)| *own == style);
        rows.add(occurs, LOW, text, move |pen, at, size| {
            draw_link(pen, level_line(at, HALF * size), style, size);
        });
    }
    let away = links.iter().any(|(_, end)| matches!(end, LinkEnd::Elsewhere { .. }));
    rows.add(away, LOW, "the other end is on another level", |pen, at, size| {
        let stub = level_line(at, 18.0 * size);
        draw_link(pen, [stub[0], [at[0] + 14.0 * size, at[1]]], Style::Direct, size);
        draw_arrow(pen, stub, size);
    });
    let unheard = devices.iter().any(|device| device.link == Link::NotHeard);
    rows.add(unheard, 38.0, "no sound way to the panel", |pen, at, size| {
        let mark = Mark::sample(at, DeviceKind::Sensor, None, 1.0, size);
        draw_mark(pen, &mark, size);
        draw_badge(pen, &Mark { badge: Some(Badge::NotHeard), ..mark }, size);
    });
    let new = devices.iter().any(|device| device.new);
    rows.add(new, LOW, "not there yet", |pen, [x, y], size| {
        let place = [x, y - 15.0 * size];
        let mark = Mark::plain(place, 7.0 * size, String::new(), DeviceKind::Sensor, None);
        draw_badge(pen, &Mark { badge: Some(Badge::New), ..mark }, size);
    });
    rows.add(moved, LOW, "symbol offset; dot is the true position", |pen, at, size| {
        let [from, to] = level_line(at, 16.0 * size);
        draw_tie(pen, from, to, size);
    });
    rows
}

fn original(picture: &Picture, mut rows: Rows) -> Rows {
    for (left_out, text) in [
        (false, "its lines where the plan has a wall or an opening"),
        (true, "its lines of which nothing was made"),
    ] {
        let occurs = picture.original.iter().any(|line| line.left_out == left_out);
        rows.add(occurs, LOW, text, move |pen, at, size| {
            draw_original(pen, &level_line(at, HALF * size), left_out, size);
        });
    }
    rows
}

/// Most notes that the legend repeats, and most numbers of one that is said of several.
const MOST_NOTES: usize = 12;
const MOST_NUMBERS: usize = 6;

fn notes(picture: &Picture, mut rows: Rows) -> Rows {
    let mut alike: Vec<(String, Vec<u32>)> = Vec::new();
    for note in &picture.notes {
        let text = clean(&note.text);
        match alike.iter_mut().find(|(said, _)| *said == text) {
            Some((_, numbers)) => numbers.push(note.number),
            None => alike.push((text, vec![note.number])),
        }
    }
    let more = alike.len().saturating_sub(MOST_NOTES);
    for (text, numbers) in alike.into_iter().take(MOST_NOTES) {
        let number = numbers[0];
        let others: Vec<String> =
            numbers.iter().skip(1).take(MOST_NUMBERS).map(u32::to_string).collect();
        let text = match numbers.len() {
            1 => text,
            all if all > MOST_NUMBERS + 1 => {
                format!("{text} (also {} and {} more)", others.join(", "), all - MOST_NUMBERS - 1)
            }
            _ => format!("{text} (also {})", others.join(", ")),
        };
        rows.add(true, LOW, &text, move |pen, at, size| {
            draw_mark(pen, &Mark { centre: at, ..Mark::note(number, at, size) }, size);
        });
    }
    rows.add(more > 0, LOW, &format!("and {more} more"), |_, _, _| {});
    rows
}

fn walls(picture: &Picture, mut rows: Rows) -> Rows {
    for class in ORDER.into_iter().rev() {
        let own = || picture.walls.iter().filter(move |wall| wall.class == class);
        let text = with_list(class_name(class), &distinct(own().map(|wall| &wall.label)), ", ");
        rows.add(own().next().is_some(), LOW, &text, move |pen, at, size| {
            draw_body(pen, &body(at, 12.0, size), class, size);
        });
    }
    rows
}

fn openings(picture: &Picture, mut rows: Rows) -> Rows {
    for class in ORDER {
        for open in [false, true] {
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
            let own = |one: &OpeningMark| one.class == class && one.open == open && !one.empty;
            let occurs =
                picture.openings.iter().any(own) && rows.rows.iter().all(|row| row.lines != [text]);
            rows.add(occurs, if open { 44.0 } else { LOW }, text, move |pen, [x, y], size| {
                let stub = body([x, y], 9.0, size);
                if open {
                    let [a, b] = level_line([x, y + 14.0 * size], 16.0 * size);
                    return draw_opening(pen, &Body { a, b, ..stub }, class, Some(-1.0), size);
                }
                draw_body(pen, &stub, WallClass::Light, size);
                let [a, b] = level_line([x, y], 17.0 * size);
                draw_opening(pen, &Body { a, b, ..stub }, class, None, size);
            });
        }
    }
    let empty = picture.openings.iter().any(|opening| opening.empty);
    rows.add(empty, LOW, "doorway: a gap without a leaf", |pen, [x, y], size| {
        draw_body(pen, &body([x, y], 9.0, size), WallClass::Light, size);
        let [a, b] = level_line([x, y], 17.0 * size);
        draw_gap(pen, &Body { a, b, thick: 9.0 * size }, size);
    });
    let entries = picture.openings.iter().any(|opening| opening.entry);
    rows.add(entries, LOW, "entry door", |pen, [x, y], size| {
        draw_entry(pen, &entry_arrow([x, y - 8.0 * size], [0.0, 1.0], size), size);
    });
    let any = |areas: &[AreaMark]| areas.iter().any(|area| area.outline.len() > 2);
    rows.add(any(&picture.obstacles), LOW, "obstacle", |pen, at, size| {
        draw_obstacle(pen, &area(at, size), size);
    });
    rows.add(any(&picture.roams), LOW, "area for a portable transmitter", |pen, at, size| {
        draw_roam(pen, &area(at, size), size);
    });
    rows
}
