//! Marks of devices: where they go, and what they look like.
//!
//! A mark says its finding by shape, by size and by how much of it is filled: a sound sensor is a
//! plain ring, a thin one a square on its corner with a filled foot, a failing one a large solid
//! hexagon in a second outline. Panel, repeater, keypad and siren have shapes of their own with a
//! letter, filled in the same manner.

use super::DrawError;
use super::apart::{Body, push_apart};
use super::canvas::{Align, Canvas, Point, Surface};
use super::font::{CAPITALS_PER_EM, Type};
use super::links::{self, Link};
use super::page::{Layout, View};
use super::picture::{DeviceKind, Finding, Picture};
use super::pins;
use super::ramp::{INK, PAPER, QUIET};
use super::rect::Rect;
use super::siting::{self, SpotMark};

/// One device's mark.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    /// Where the mark is drawn.
    pub centre: Point,
    /// Where the device is.
    pub spot: Point,
    /// Radius that the mark takes up.
    pub radius: f64,
    /// Letters in it.
    pub tag: String,
    pub kind: DeviceKind,
    pub finding: Option<Finding>,
    /// Place in the order of merit, if it is the pin of a spot and no device.
    pub rank: Option<u32>,
    /// Whether it is only there to show where things are: drawn lightly.
    pub faint: bool,
    /// What is pinned to its rim.
    pub badge: Option<Badge>,
    /// Its size against that of a usual mark of its kind.
    pub scale: f64,
}

/// A sign at the rim of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Badge {
    /// Nothing hears it.
    NotHeard,
    /// It is not there yet.
    New,
}

impl Mark {
    /// A device's mark at its own place, with nothing special about it.
    pub fn plain(
        spot: Point,
        radius: f64,
        tag: String,
        kind: DeviceKind,
        finding: Option<Finding>,
    ) -> Self {
        Self {
            centre: spot,
            spot,
            radius,
            tag,
            kind,
            finding,
            rank: None,
            faint: false,
            badge: None,
            scale: 1.0,
        }
    }

    /// The box of its badge.
    pub fn badge_box(&self, size: f64) -> Option<Rect> {
        let [x, y] = self.centre;
        self.badge.map(|badge| match badge {
            Badge::NotHeard => links::cross_box(self, self.scale * size),
            Badge::New => Rect::around([x, y + self.radius + 6.0 * size], 38.0 * size, 18.0 * size),
        })
    }

    /// The mark's box.
    pub fn bounds(&self) -> Rect {
        Rect::around(self.centre, 2.0 * self.radius, 2.0 * self.radius)
    }

    /// Whether it had to be moved aside; a pin shows by itself where it belongs.
    pub fn moved(&self) -> bool {
        self.rank.is_none()
            && (self.centre[0] - self.spot[0]).hypot(self.centre[1] - self.spot[1]) > 3.0
    }
}

/// Radius of a mark at size 1, its rims included.
pub(super) fn radius(kind: DeviceKind, finding: Option<Finding>) -> f64 {
    match (kind, finding) {
        (_, Some(Finding::Failing)) => 27.0,
        (DeviceKind::Panel, _) => 26.0,
        (DeviceKind::Sensor, Some(Finding::Thin)) => 22.0,
        (DeviceKind::Sensor, _) => 14.0,
        _ => 20.0,
    }
}

/// Size of a mark in a plain picture against that of a usual one: the larger marks give way, so that many
/// of them have room in a small picture and the digits of all are about equally large.
pub(super) fn plain_scale(kind: DeviceKind, finding: Option<Finding>) -> f64 {
    match (kind, finding) {
        (_, Some(Finding::Failing)) => 0.72,
        (DeviceKind::Panel, _) => 0.78,
        (DeviceKind::Sensor, Some(Finding::Thin)) => 0.93,
        _ => 1.0,
    }
}

/// The letters in each device's mark: a sensor's number, or a letter if it has none; for the other
/// kinds their initial.
pub(super) fn tags(picture: &Picture) -> Vec<String> {
    let mut without = 0_u32;
    picture
        .devices
        .iter()
        .map(|device| match (device.kind, device.number) {
            (DeviceKind::Sensor, Some(number)) => number.to_string(),
            (DeviceKind::Sensor, None) => {
                without += 1;
                letters(without)
            }
            (kind, _) => sample_tag(kind),
        })
        .collect()
}

/// What stands in the mark of a kind: its initial; of a sensor any number, that of none in particular.
pub(super) fn sample_tag(kind: DeviceKind) -> String {
    let tag = match kind {
        DeviceKind::Sensor => "7",
        DeviceKind::Panel => "P",
        DeviceKind::Repeater => "R",
        DeviceKind::Keypad => "K",
        DeviceKind::Siren => "S",
    };
    tag.to_owned()
}

/// a, b, … z, aa, ab, …
fn letters(mut number: u32) -> String {
    let mut text = Vec::new();
    while number > 0 {
        number -= 1;
        text.push(char::from(b'a' + (number % 26) as u8));
        number /= 26;
    }
    text.iter().rev().collect()
}

/// How many devices and spots have words that may come to stand in the key.
pub(super) fn listed(picture: &Picture) -> usize {
    picture.devices.len() + ranked(picture).count()
}

/// The ranked spots of a picture.
pub(super) fn ranked(picture: &Picture) -> impl Iterator<Item = (&SpotMark, u32)> {
    picture.spots.iter().filter_map(|spot| Some((spot, spot.pin()?)))
}

/// Size of a faint mark against that of a full one.
const FAINT: f64 = 0.85;

/// Marks of the devices and then of the ranked spots, at their places, pushed apart
/// where they would cover one another.
pub(super) fn place(picture: &Picture, view: &View, frame: &Rect) -> Vec<Mark> {
    let mut marks: Vec<Mark> = picture
        .devices
        .iter()
        .zip(tags(picture))
        .map(|(device, tag)| {
            let spot = view.place(device.position);
            let (kind, finding) = (device.kind, device.finding);
            let faint = picture.faint(device);
            let scale = if picture.plain { plain_scale(kind, finding) } else { 1.0 };
            let radius =
                radius(kind, finding) * view.size * if faint { FAINT } else { 1.0 } * scale;
            let badge = match device.link {
                Link::NotHeard => Some(Badge::NotHeard),
                _ => device.new.then_some(Badge::New),
            };
            Mark { faint, badge, scale, ..Mark::plain(spot, radius, tag, kind, finding) }
        })
        .collect();
    for (spot, rank) in ranked(picture) {
        let tip = view.place(spot.position);
        let first = rank == 1;
        let radius = pins::radius(first) * view.size;
        let [x, y] = siting::heading(spot.facing).unwrap_or([0.0, -1.0]);
        let reach = pins::reach(first) * view.size;
        marks.push(Mark {
            centre: [tip[0] + x * reach, tip[1] + y * reach],
            rank: Some(rank),
            ..Mark::plain(tip, radius, rank.to_string(), DeviceKind::Sensor, None)
        });
    }
    // The larger mark moves less, the panel not at all; a pin's head may stand anywhere near.
    let mut bodies: Vec<Body> = marks
        .iter()
        .map(|mark| Body {
            centre: mark.centre,
            radius: mark.radius,
            give: Some(match (mark.rank, mark.kind) {
                (Some(_), _) => 4.0 / mark.radius,
                (None, DeviceKind::Panel) => 0.0,
                (None, _) => 1.0 / mark.radius,
            }),
        })
        .collect();
    bodies.extend(picture.outlets.iter().map(|&place| Body {
        centre: view.place(place),
        radius: siting::OUTLET * view.size,
        give: None,
    }));
    push_apart(&mut bodies, frame, view.size);
    for (mark, body) in marks.iter_mut().zip(bodies) {
        mark.centre = body.centre;
    }
    marks
}

/// Corners of a regular polygon; `turn` is the angle of the first, radians.
fn regular(centre: Point, radius: f64, corners: u32, turn: f64) -> Vec<Point> {
    (0..corners)
        .map(|corner| {
            let angle = turn + std::f64::consts::TAU * f64::from(corner) / f64::from(corners);
            [centre[0] + radius * angle.cos(), centre[1] + radius * angle.sin()]
        })
        .collect()
}

/// The outline of a mark that is not a ring, about `radius` from its centre.
fn outline(kind: DeviceKind, finding: Option<Finding>, [x, y]: Point, radius: f64) -> Vec<Point> {
    let shape = |corners: &[[f64; 2]]| {
        corners.iter().map(|[dx, dy]| [x + dx * radius, y + dy * radius]).collect()
    };
    match kind {
        // A house front.
        DeviceKind::Panel => {
            shape(&[[0.0, -1.0], [0.88, -0.3], [0.88, 0.8], [-0.88, 0.8], [-0.88, -0.3]])
        }
        DeviceKind::Repeater => shape(&[[0.0, -1.1], [1.02, 0.72], [-1.02, 0.72]]),
        DeviceKind::Keypad => shape(&[[-0.62, -0.85], [0.62, -0.85], [0.62, 0.85], [-0.62, 0.85]]),
        // A horn.
        DeviceKind::Siren => shape(&[[-0.9, 0.72], [-0.48, -0.72], [0.48, -0.72], [0.9, 0.72]]),
        DeviceKind::Sensor if finding == Some(Finding::Thin) => regular([x, y], radius, 4, 0.0),
        DeviceKind::Sensor => regular([x, y], radius, 6, 0.0),
    }
}

/// The part of a polygon that lies below a level.
fn below(corners: &[Point], level: f64) -> Vec<Point> {
    let mut kept = Vec::new();
    for (&a, &b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        if a[1] >= level {
            kept.push(a);
        }
        if (a[1] >= level) != (b[1] >= level) {
            let share = (level - a[1]) / (b[1] - a[1]);
            kept.push([a[0] + (b[0] - a[0]) * share, level]);
        }
    }
    kept
}

/// Draws one mark. `size` is that of text and marks.
pub(super) fn draw_mark<S: Surface>(
    canvas: &mut Canvas<S>,
    mark: &Mark,
    size: f64,
) -> Result<(), DrawError> {
    let Mark { centre, kind, finding, .. } = *mark;
    if let Some(rank) = mark.rank {
        return pins::draw_pin(canvas, mark, rank == 1, size);
    }
    let quiet = matches!(finding, None | Some(Finding::Sound));
    let size = if mark.faint { FAINT * size } else { size } * mark.scale;
    if kind == DeviceKind::Sensor && quiet {
        let ring = if finding.is_some() { INK } else { QUIET };
        let width = if finding.is_some() { 1.6 } else { 1.0 };
        canvas.disc(centre, 14.0 * size, PAPER.at(0.9))?;
        canvas.disc(centre, 12.5 * size, ring)?;
        canvas.disc(centre, (12.5 - width) * size, PAPER)?;
        return draw_tag(canvas, mark, 12.0 * size, 20.0 * size, false);
    }
    let shape = |radius: f64| outline(kind, finding, centre, radius * size);
    match finding {
        Some(Finding::Failing) => {
            canvas.outline(&shape(25.0), 3.0 * size, PAPER)?;
            canvas.polygon(&shape(26.0), INK)?;
            canvas.polygon(&shape(22.5), PAPER)?;
            canvas.polygon(&shape(19.5), INK)?;
            draw_tag(canvas, mark, 17.0 * size, 29.0 * size, true)
        }
        _ if kind == DeviceKind::Panel && mark.faint => {
            canvas.outline(&shape(23.0), 4.0 * size, PAPER)?;
            canvas.polygon(&shape(23.0), INK)?;
            canvas.polygon(&shape(19.5), PAPER)?;
            draw_tag(canvas, mark, 19.0 * size, 26.0 * size, false)
        }
        _ if kind == DeviceKind::Panel => {
            canvas.outline(&shape(23.0), 4.0 * size, PAPER)?;
            canvas.polygon(&shape(23.0), INK)?;
            canvas.outline(&shape(19.0), 1.5 * size, PAPER)?;
            draw_tag(canvas, mark, 19.0 * size, 26.0 * size, true)
        }
        Some(Finding::Thin) => {
            canvas.outline(&shape(20.0), 4.0 * size, PAPER)?;
            canvas.polygon(&shape(20.0), INK)?;
            let inner = shape(16.4);
            canvas.polygon(&inner, PAPER)?;
            let level = if kind == DeviceKind::Sensor { 6.5 } else { 7.5 };
            canvas.polygon(&below(&inner, centre[1] + level * size), INK)?;
            draw_tag(canvas, mark, 13.0 * size, 23.0 * size, false)
        }
        _ => {
            canvas.outline(&shape(17.0), 4.0 * size, PAPER)?;
            canvas.polygon(&shape(17.5), INK)?;
            canvas.polygon(&shape(14.8), PAPER)?;
            draw_tag(canvas, mark, 14.0 * size, 22.0 * size, false)
        }
    }
}

/// Sets the mark's letters in its middle, smaller if they are many.
fn draw_tag<S: Surface>(
    canvas: &mut Canvas<S>,
    mark: &Mark,
    em: f64,
    room: f64,
    on_dark: bool,
) -> Result<(), DrawError> {
    let kind = Type { em, bold: mark.finding != Some(Finding::Sound) };
    let width = kind.width(&mark.tag);
    let kind = if width > room { Type { em: em * room / width, ..kind } } else { kind };
    // Shapes that carry their weight low have their letter lower.
    let drop = match (mark.kind, mark.finding) {
        (DeviceKind::Panel, _) => 0.12,
        (DeviceKind::Repeater, _) => 0.2,
        (DeviceKind::Sensor, Some(Finding::Thin)) => -0.1,
        _ => 0.0,
    } * mark.radius;
    let base = mark.centre[1] + kind.em * CAPITALS_PER_EM / 2.0 + drop;
    let ink = if on_dark { PAPER } else { INK };
    canvas.text(&mark.tag, [mark.centre[0], base], kind, Align::Middle, ink)
}

/// Draws the links, the ties of marks that were moved, and all marks, failing ones and pins last.
pub(super) fn draw<S: Surface>(
    canvas: &mut Canvas<S>,
    picture: &Picture,
    layout: &Layout,
) -> Result<(), DrawError> {
    let view = &layout.view;
    links::draw(canvas, picture, layout)?;
    for mark in layout.places.iter().filter(|mark| mark.moved()) {
        draw_tie(canvas, mark.centre, mark.spot, view.size)?;
    }
    let (pins, devices): (Vec<&Mark>, Vec<&Mark>) =
        layout.places.iter().partition(|mark| mark.rank.is_some());
    for failing in [false, true] {
        for mark in &devices {
            if (mark.finding == Some(Finding::Failing)) == failing {
                draw_mark(canvas, mark, view.size)?;
            }
        }
    }
    // The best pin comes last, on top.
    for mark in pins.iter().rev() {
        draw_mark(canvas, mark, view.size)?;
    }
    for mark in &layout.places {
        draw_badge(canvas, mark, view.size)?;
    }
    Ok(())
}

/// Draws the sign at the rim of a mark, if it has one.
pub(super) fn draw_badge<S: Surface>(
    canvas: &mut Canvas<S>,
    mark: &Mark,
    size: f64,
) -> Result<(), DrawError> {
    match (mark.badge, mark.badge_box(size)) {
        (Some(Badge::New), Some(rect)) => {
            canvas.rectangle(rect.grown(1.5 * size), PAPER)?;
            canvas.rectangle(rect, INK)?;
            let kind = Type::bold(13.0 * size);
            let base = (rect.y0 + rect.y1) / 2.0 + 4.2 * size;
            canvas.text("new", [mark.centre[0], base], kind, Align::Middle, PAPER)
        }
        (Some(Badge::NotHeard), Some(rect)) => links::draw_cross(canvas, rect, mark.scale * size),
        _ => Ok(()),
    }
}

/// The line from a mark to the spot that it was moved from.
pub(super) fn draw_tie<S: Surface>(
    canvas: &mut Canvas<S>,
    centre: Point,
    spot: Point,
    size: f64,
) -> Result<(), DrawError> {
    canvas.line(&[centre, spot], 3.0 * size, PAPER)?;
    canvas.line(&[centre, spot], 1.2 * size, INK)?;
    canvas.disc(spot, 4.0 * size, PAPER)?;
    canvas.disc(spot, 2.8 * size, INK)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DeviceMark;

    #[test]
    fn sensors_without_a_number_get_letters() {
        assert_eq!(letters(1), "a");
        assert_eq!(letters(27), "aa");
    }

    #[test]
    fn marks_on_one_spot_come_apart() {
        let picture = Picture { devices: vec![DeviceMark::default(); 12], ..Picture::default() };
        let view = View { scale: 10.0, zero: [300.0, 300.0], size: 1.0, middle: [0.0; 2] };
        let frame = Rect { x0: 0.0, y0: 0.0, x1: 600.0, y1: 600.0 };
        let marks = place(&picture, &view, &frame);
        for (index, one) in marks.iter().enumerate() {
            for other in &marks[index + 1..] {
                let apart =
                    (one.centre[0] - other.centre[0]).hypot(one.centre[1] - other.centre[1]);
                assert!(apart > one.radius + other.radius - 0.5, "{apart}");
            }
        }
    }
}
