//! Marks of devices: where they go, and what they look like.
//!
//! A mark says its finding by shape, by size and by how much of it is filled: a sound sensor is a
//! plain ring, a thin one a square on its corner with a filled foot, a failing one a large solid
//! hexagon in a second outline. Panel, repeater, keypad and siren have shapes of their own with a
//! letter, filled in the same manner.

use crate::base::{
    ACCENT, Align, Canvas, INK, PAPER, Point, QUIET, Rect, Type, View, distance, edges, heading,
};
use crate::parts::mark::{Badge, Mark, pin_reach, plain_scale, radius, spread, tags};
use crate::parts::{links, siting};
use crate::picture::{DeviceKind, Finding, Link, Picture, SpotMark};

/// How many devices and spots have words that may come to stand in the key.
pub(crate) fn listed(picture: &Picture) -> usize {
    picture.devices.len() + ranked(picture).count()
}

pub(crate) fn ranked(picture: &Picture) -> impl Iterator<Item = (&SpotMark, u32)> {
    picture.spots.iter().filter_map(|spot| Some((spot, spot.pin()?)))
}

/// Size of a faint mark against that of a full one.
const FAINT: f64 = 0.85;

/// Marks of the devices, then of the ranked spots, then of the notes, pushed apart where they would
/// overlap.
pub(crate) fn place(picture: &Picture, view: &View, frame: &Rect) -> Vec<Mark> {
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
        let [x, y] = view.place(spot.position);
        let [dx, dy] = heading(spot.facing).unwrap_or([0.0, -1.0]);
        let reach = pin_reach(rank) * view.size;
        marks.push(Mark::pin(rank, [x, y], [x + dx * reach, y + dy * reach], view.size));
    }
    for note in &picture.notes {
        let mut there: Vec<Point> = Vec::new();
        for place in view.places(&note.places) {
            // One number stands for places side by side.
            if there.iter().all(|other| distance(*other, place) > 24.0 * view.size) {
                marks.push(Mark::note(note.number, place, view.size));
                there.push(place);
            }
        }
    }
    // The larger mark moves less, the panel not at all; a pin's head may stand anywhere near.
    let give = |mark: &Mark| match (mark.rank, mark.kind) {
        (Some(_), _) => 4.0 / mark.radius,
        (None, DeviceKind::Panel) => 0.0,
        (None, _) => 1.0 / mark.radius,
    };
    let outlets = view.places(&picture.outlets);
    let outlets = outlets.into_iter().map(|place| (place, siting::OUTLET * view.size));
    spread(&mut marks, give, outlets.collect(), frame, view.size);
    marks
}

/// Corners of a regular polygon of which every second corner lies at a share of the radius.
fn regular(centre: Point, radius: f64, corners: u32, share: f64) -> Vec<Point> {
    (0..corners)
        .map(|corner| {
            let angle = std::f64::consts::TAU * f64::from(corner) / f64::from(corners);
            let radius = if corner % 2 == 0 { radius } else { share * radius };
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
        DeviceKind::Sensor if finding == Some(Finding::Thin) => regular([x, y], radius, 4, 1.0),
        DeviceKind::Sensor => regular([x, y], radius, 6, 1.0),
    }
}

/// The part of a polygon that lies below a level.
fn below(corners: &[Point], level: f64) -> Vec<Point> {
    let mut kept = Vec::new();
    for (&a, &b) in edges(corners) {
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

pub(crate) fn draw_mark(canvas: &mut Canvas, mark: &Mark, size: f64) {
    let Mark { centre, kind, finding, .. } = *mark;
    if mark.rank.is_some() {
        return draw_pin(canvas, mark, size);
    }
    if mark.is_note {
        return draw_note(canvas, mark, size);
    }
    let quiet = matches!(finding, None | Some(Finding::Sound));
    let size = if mark.faint { FAINT * size } else { size } * mark.scale;
    if kind == DeviceKind::Sensor && quiet {
        let ring = if finding.is_some() { INK } else { QUIET };
        let width = if finding.is_some() { 1.6 } else { 1.0 };
        canvas.disc(centre, 14.0 * size, PAPER.at(0.9));
        canvas.disc(centre, 12.5 * size, ring);
        canvas.disc(centre, (12.5 - width) * size, PAPER);
        return draw_tag(canvas, mark, 12.0 * size, 20.0 * size, false);
    }
    let shape = |radius: f64| outline(kind, finding, centre, radius * size);
    match finding {
        Some(Finding::Failing) => {
            canvas.outline(&shape(25.0), 3.0 * size, PAPER);
            canvas.polygon(&shape(26.0), INK);
            canvas.polygon(&shape(22.5), PAPER);
            canvas.polygon(&shape(19.5), INK);
            draw_tag(canvas, mark, 17.0 * size, 29.0 * size, true);
        }
        _ if kind == DeviceKind::Panel && mark.faint => {
            canvas.rimmed_polygon(&shape(23.0), 4.0 * size, INK);
            canvas.polygon(&shape(19.5), PAPER);
            draw_tag(canvas, mark, 19.0 * size, 26.0 * size, false);
        }
        _ if kind == DeviceKind::Panel => {
            canvas.rimmed_polygon(&shape(23.0), 4.0 * size, INK);
            canvas.outline(&shape(19.0), 1.5 * size, PAPER);
            draw_tag(canvas, mark, 19.0 * size, 26.0 * size, true);
        }
        Some(Finding::Thin) => {
            canvas.rimmed_polygon(&shape(20.0), 4.0 * size, INK);
            let inner = shape(16.4);
            canvas.polygon(&inner, PAPER);
            let level = if kind == DeviceKind::Sensor { 6.5 } else { 7.5 };
            canvas.polygon(&below(&inner, centre[1] + level * size), INK);
            draw_tag(canvas, mark, 13.0 * size, 23.0 * size, false);
        }
        _ => {
            canvas.outline(&shape(17.0), 4.0 * size, PAPER);
            canvas.polygon(&shape(17.5), INK);
            canvas.polygon(&shape(14.8), PAPER);
            draw_tag(canvas, mark, 14.0 * size, 22.0 * size, false);
        }
    }
}

/// Draws a ranked spot: a drill mark, a ring with a cross, where the panel would hang, and its
/// number between brackets, which may be moved aside on a leader line. The first spot's number
/// stands white on a dark plate, the others' dark on white, so that it is found without reading
/// numbers or seeing colours.
pub(crate) fn draw_pin(canvas: &mut Canvas, mark: &Mark, size: f64) {
    let first = mark.rank == Some(1);
    let [x, y] = mark.spot;
    canvas.line(&[mark.centre, mark.spot], 4.0 * size, PAPER);
    canvas.line(&[mark.centre, mark.spot], 1.6 * size, ACCENT);
    canvas.disc(mark.spot, 8.0 * size, PAPER);
    canvas.disc(mark.spot, 6.5 * size, ACCENT);
    canvas.disc(mark.spot, 4.8 * size, PAPER);
    for [dx, dy] in [[9.0, 0.0], [0.0, 9.0]] {
        let [dx, dy] = [dx * size, dy * size];
        canvas.line(&[[x - dx, y - dy], [x + dx, y + dy]], 1.6 * size, ACCENT);
    }
    // A square that fits into the round room that is kept for it.
    let side = mark.radius * 1.36;
    let plate = |grown: f64| Rect::around(mark.centre, side + grown * size, side + grown * size);
    canvas.rectangle(plate(5.0), PAPER);
    for corner in brackets(&plate(1.0), 0.3 * side) {
        canvas.line(&corner, 2.6 * size, ACCENT);
    }
    if first {
        canvas.rectangle(plate(-6.0), ACCENT);
    }
    let kind = Type::bold(if first { 20.0 } else { 16.0 } * size);
    let kind = kind.within(&mark.tag, 0.8 * side);
    let base = mark.centre[1] + kind.lift();
    let ink = if first { PAPER } else { ACCENT };
    canvas.text(&mark.tag, [mark.centre[0], base], kind, Align::Middle, ink);
}

/// Draws the number of a note: on a dark plate, wider than it is high.
fn draw_note(canvas: &mut Canvas, mark: &Mark, size: f64) {
    let plate = Rect::around(mark.centre, 1.8 * mark.radius, 19.0 * size);
    canvas.rectangle(plate.grown(1.5 * size), PAPER);
    canvas.rectangle(plate, ACCENT);
    let kind = Type::bold(14.0 * size);
    let base = mark.centre[1] + kind.lift();
    canvas.text(&mark.tag, [mark.centre[0], base], kind, Align::Middle, PAPER);
}

/// Brackets at the left and right of a square, each with two arms.
fn brackets(square: &Rect, arm: f64) -> [[Point; 4]; 2] {
    let Rect { x0, y0, x1, y1 } = *square;
    [[x0, arm], [x1, -arm]]
        .map(|[x, inward]| [[x + inward, y0], [x, y0], [x, y1], [x + inward, y1]])
}

/// Sets the mark's letters in its middle, smaller if they are many.
fn draw_tag(canvas: &mut Canvas, mark: &Mark, em: f64, room: f64, on_dark: bool) {
    let kind = Type { em, bold: mark.finding != Some(Finding::Sound) };
    let kind = kind.within(&mark.tag, room);
    // Shapes that carry their weight low have their letter lower.
    let drop = match (mark.kind, mark.finding) {
        (DeviceKind::Panel, _) => 0.12,
        (DeviceKind::Repeater, _) => 0.2,
        (DeviceKind::Sensor, Some(Finding::Thin)) => -0.1,
        _ => 0.0,
    } * mark.radius;
    let base = mark.centre[1] + kind.lift() + drop;
    let ink = if on_dark { PAPER } else { INK };
    canvas.text(&mark.tag, [mark.centre[0], base], kind, Align::Middle, ink);
}

/// Draws the ties of marks that were moved, and all marks, failing ones and pins last.
pub(crate) fn draw(canvas: &mut Canvas, marks: &[Mark], size: f64) {
    for mark in marks.iter().filter(|mark| mark.moved()) {
        draw_tie(canvas, mark.centre, mark.spot, size);
    }
    let (pins, devices): (Vec<&Mark>, Vec<&Mark>) =
        marks.iter().partition(|mark| mark.rank.is_some());
    for failing in [false, true] {
        for mark in &devices {
            if (mark.finding == Some(Finding::Failing)) == failing {
                draw_mark(canvas, mark, size);
            }
        }
    }
    // The best pin comes last, on top.
    for mark in pins.iter().rev() {
        draw_mark(canvas, mark, size);
    }
    for mark in marks {
        draw_badge(canvas, mark, size);
    }
}

pub(crate) fn draw_badge(canvas: &mut Canvas, mark: &Mark, size: f64) {
    match (mark.badge, mark.badge_box(size)) {
        (Some(Badge::New), Some(rect)) => {
            canvas.rectangle(rect.grown(1.5 * size), PAPER);
            canvas.rectangle(rect, INK);
            let kind = Type::bold(13.0 * size);
            let base = (rect.y0 + rect.y1) / 2.0 + 4.2 * size;
            canvas.text("new", [mark.centre[0], base], kind, Align::Middle, PAPER);
        }
        (Some(Badge::NotHeard), Some(rect)) => links::draw_cross(canvas, rect, mark.scale * size),
        _ => {}
    }
}

/// The line from a mark to the spot that it was moved from.
pub(crate) fn draw_tie(canvas: &mut Canvas, centre: Point, spot: Point, size: f64) {
    canvas.line(&[centre, spot], 3.0 * size, PAPER);
    canvas.line(&[centre, spot], 1.2 * size, INK);
    canvas.disc(spot, 4.0 * size, PAPER);
    canvas.disc(spot, 2.8 * size, INK);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::DeviceMark;
    use crate::base::distance;

    #[test]
    fn marks_on_one_spot_come_apart() {
        let picture = Picture { devices: vec![DeviceMark::default(); 12], ..Picture::default() };
        let view = View { scale: 10.0, zero: [300.0, 300.0], size: 1.0, middle: [0.0; 2] };
        let frame = Rect { x0: 0.0, y0: 0.0, x1: 600.0, y1: 600.0 };
        let marks = place(&picture, &view, &frame);
        for (index, one) in marks.iter().enumerate() {
            for other in &marks[index + 1..] {
                let apart = distance(one.centre, other.centre);
                assert!(apart > one.radius + other.radius - 0.5, "{apart}");
            }
        }
    }
}
