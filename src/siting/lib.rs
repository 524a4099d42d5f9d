//! Where the panel and its repeaters may hang, and what each place is worth.

pub mod conductor;
pub mod cover;
pub mod delay;
pub mod map;
pub mod order;
pub mod rank;
pub mod reach;
pub mod relays;
pub mod siting;
pub mod spots;
pub mod walk;
pub mod wire;

use geo::{Coord, Line};

/// Distance of a point from a straight line between two points, metres.
#[must_use]
pub fn distance_to_line(p: Coord<f64>, line: Line<f64>) -> f64 {
    let nearest = nearest_on(line, p);
    (p.x - nearest.x).hypot(p.y - nearest.y)
}

/// The point of a straight line between two points that is nearest to `p`.
#[must_use]
pub fn nearest_on(line: Line<f64>, p: Coord<f64>) -> Coord<f64> {
    let (dx, dy) = (line.dx(), line.dy());
    let square = dx * dx + dy * dy;
    let along = (p.x - line.start.x) * dx + (p.y - line.start.y) * dy;
    let part = if square > 0.0 { (along / square).clamp(0.0, 1.0) } else { 0.0 };
    Coord { x: line.start.x + part * dx, y: line.start.y + part * dy }
}
