//! The places at which a shortest walk can bend: round the convex corners of what stands there.

use super::index::Index;
use super::ring::Ring;
use trace::{Point, cross, dot, norm};

/// The arc round a corner is replaced by tangents to it that turn by at most this much. A walk
/// that takes a right angle is then 0.037 half widths longer than along the arc (7 mm).
const TURN_RAD: f64 = std::f64::consts::PI / 6.0;

/// A corner that turns by less is none.
const STRAIGHT_RAD: f64 = 1e-6;

/// How far a line may be off a tangent, as a sine.
const TANGENT_SLACK: f64 = 1e-9;

/// Where a walk can bend.
#[derive(Debug, Clone, Copy)]
pub(super) struct Corner {
    pub at: Point,
    /// Directions of the two tangents that meet there, in the ring's sense.
    before: Point,
    after: Point,
}

impl Corner {
    /// Whether a shortest walk that bends here can come or go in a direction: with the tangents on
    /// one side of it, it does not end in the thing that it goes round.
    #[inline]
    pub fn is_tangent(&self, direction: Point) -> bool {
        let slack = TANGENT_SLACK * (direction.x.abs() + direction.y.abs());
        let (one, two) = (cross(direction, self.before), cross(direction, self.after));
        (one >= -slack && two <= slack) || (one <= slack && two >= -slack)
    }
}

/// All places on a level where the middle of a disc can bend its way, with room for it.
pub(super) fn corners_of(index: &Index, radius_m: f64) -> Vec<Corner> {
    let mut found = Vec::new();
    for ring in index.rings() {
        round(ring, radius_m, &mut found);
    }
    found.retain(|corner| index.has_room(corner.at, radius_m));
    found
}

fn round(ring: &Ring, radius_m: f64, found: &mut Vec<Corner>) {
    let count = ring.points.len();
    for (i, &middle) in ring.points.iter().enumerate() {
        let from = middle - ring.points[(i + count - 1) % count];
        let to = ring.points[(i + 1) % count] - middle;
        let (from, to) = (from / norm(from), to / norm(to));
        // A line's end turns right round, and so does a spike.
        let turned = cross(from, to).atan2(dot(from, to));
        let turn = if count == 2 { std::f64::consts::PI } else { turned };
        if turn < STRAIGHT_RAD {
            continue;
        }
        let parts = (turn / TURN_RAD - 1e-9).ceil().max(1.0);
        let step = turn / parts;
        let outwards = Point { x: from.y, y: -from.x };
        let reach = radius_m / (0.5 * step).cos();
        for part in 0..parts as usize {
            let angle = part as f64 * step;
            found.push(Corner {
                at: middle + rotated(outwards, angle + 0.5 * step) * reach,
                before: rotated(from, angle),
                after: rotated(from, angle + step),
            });
        }
    }
}

/// A vector turned to the left.
pub(super) fn rotated(v: Point, angle_rad: f64) -> Point {
    let (sin, cos) = (libm::sin(angle_rad), libm::cos(angle_rad));
    Point { x: v.x * cos - v.y * sin, y: v.x * sin + v.y * cos }
}
