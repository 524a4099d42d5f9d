//! Pins of ranked spots: a head with the number, and a tip that stands on the spot.
//!
//! The head may be moved aside; the tip stays. The first spot's head is a rosette and larger, the
//! others' are discs, so that the first is found without reading numbers or seeing colours.

use crate::base::{ACCENT, Align, Canvas, Ink, PAPER, Point, Type};
use crate::parts::mark::Mark;

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
pub(crate) fn draw_pin(canvas: &mut Canvas, mark: &Mark, size: f64) {
    let first = mark.rank == Some(1);
    let radius = mark.radius - 2.0 * size;
    if let Some(tail) = tail(mark.centre, mark.spot, 0.55 * radius) {
        canvas.outline(&tail, 4.0 * size, PAPER);
        canvas.disc(mark.spot, 2.5 * size, PAPER);
        head(canvas, mark.centre, mark.radius, first, PAPER);
        canvas.polygon(&tail, ACCENT);
    } else {
        head(canvas, mark.centre, mark.radius, first, PAPER);
    }
    head(canvas, mark.centre, radius, first, ACCENT);
    if first {
        canvas.disc(mark.centre, 0.78 * radius, PAPER);
        canvas.disc(mark.centre, 0.70 * radius, ACCENT);
    }
    let kind = Type::bold(if first { 21.0 } else { 17.0 } * size);
    let kind = kind.within(&mark.tag, 1.3 * radius);
    let base = mark.centre[1] + kind.lift();
    canvas.text(&mark.tag, [mark.centre[0], base], kind, Align::Middle, PAPER);
}

fn head(canvas: &mut Canvas, centre: Point, radius: f64, first: bool, ink: Ink) {
    if first {
        canvas.polygon(&rosette(centre, radius), ink);
    } else {
        canvas.disc(centre, radius, ink);
    }
}
