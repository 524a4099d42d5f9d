//! Pins of ranked spots: a head with the number, and a tip that stands on the spot.
//!
//! The head may be moved aside; the tip stays. The first spot's head is a rosette and larger, the
//! others' are discs, so that the first is found without reading numbers or seeing colours.

use super::DrawError;
use super::canvas::{Align, Canvas, Point, Surface};
use super::font::{CAPITALS_PER_EM, Type};
use super::marks::Mark;
use super::ramp::{ACCENT, PAPER};

/// Radius of a pin's head at size 1, its rim included.
pub(super) const fn radius(first: bool) -> f64 {
    if first { 24.0 } else { 18.0 }
}

/// Distance from the tip to the middle of the head at size 1, unless the head is moved.
pub(super) const fn reach(first: bool) -> f64 {
    if first { 38.0 } else { 30.0 }
}

/// Corners of a rosette of twelve lobes.
fn rosette(centre: Point, radius: f64) -> Vec<Point> {
    (0..24)
        .map(|corner| {
            let angle = std::f64::consts::TAU * f64::from(corner) / 24.0;
            let radius = if corner % 2 == 0 { radius } else { 0.85 * radius };
            [centre[0] + radius * angle.cos(), centre[1] + radius * angle.sin()]
        })
        .collect()
}

/// The tail: from both sides of the head to the tip.
fn tail(centre: Point, tip: Point, half: f64) -> Option<[Point; 3]> {
    let (dx, dy) = (tip[0] - centre[0], tip[1] - centre[1]);
    let length = dx.hypot(dy);
    let across = [-dy / length * half, dx / length * half];
    (length > 1e-6).then_some([
        tip,
        [centre[0] + across[0], centre[1] + across[1]],
        [centre[0] - across[0], centre[1] - across[1]],
    ])
}

/// Draws a pin; its mark's tag is the number.
pub(super) fn draw_pin<S: Surface>(
    canvas: &mut Canvas<S>,
    mark: &Mark,
    first: bool,
    size: f64,
) -> Result<(), DrawError> {
    let radius = mark.radius - 2.0 * size;
    if let Some(tail) = tail(mark.centre, mark.spot, 0.55 * radius) {
        canvas.outline(&tail, 4.0 * size, PAPER)?;
        canvas.disc(mark.spot, 2.5 * size, PAPER)?;
        head(canvas, mark.centre, mark.radius, first, PAPER)?;
        canvas.polygon(&tail, ACCENT)?;
    } else {
        head(canvas, mark.centre, mark.radius, first, PAPER)?;
    }
    head(canvas, mark.centre, radius, first, ACCENT)?;
    if first {
        canvas.disc(mark.centre, 0.78 * radius, PAPER)?;
        canvas.disc(mark.centre, 0.70 * radius, ACCENT)?;
    }
    let kind = Type::bold(if first { 21.0 } else { 17.0 } * size);
    let room = 1.3 * radius;
    let width = kind.width(&mark.tag);
    let kind = if width > room { Type::bold(kind.em * room / width) } else { kind };
    let base = mark.centre[1] + kind.em * CAPITALS_PER_EM / 2.0;
    canvas.text(&mark.tag, [mark.centre[0], base], kind, Align::Middle, PAPER)
}

fn head<S: Surface>(
    canvas: &mut Canvas<S>,
    centre: Point,
    radius: f64,
    first: bool,
    ink: super::ramp::Ink,
) -> Result<(), DrawError> {
    if first {
        canvas.polygon(&rosette(centre, radius), ink)
    } else {
        canvas.disc(centre, radius, ink)
    }
}
