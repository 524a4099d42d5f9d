//! Where a person stands in front of a spot.

use super::corner::rotated;
use super::index::Index;
use trace::{Point, norm};

/// Distance between two rings of places that are tried, metres.
const RING_M: f64 = 0.05;

/// Angle between two places that are tried.
const STEP_RAD: f64 = std::f64::consts::PI / 18.0;

/// How far a spot is shifted off the face that it is on, metres.
const OFF_FACE_M: f64 = 1e-4;

/// Places with room for a disc from which a spot can be reached, nearest first: at most one for
/// each 5 cm of distance.
///
/// With `facing`, the places lie in front of the spot, as straight as possible; a spot inside a
/// wall is first brought forward to the wall's face. Without, the spot itself comes first, then
/// places round it, those away from the nearest wall first.
pub(super) fn places<'a>(
    index: &'a Index,
    spot: Point,
    facing: Option<Point>,
    radius_m: f64,
    reach_m: f64,
) -> impl Iterator<Item = Point> + 'a {
    let facing = facing.filter(|n| norm(*n) > 1e-9).map(|n| n / norm(n));
    let (spot, ahead) = match facing {
        Some(n) => (brought_forward(index, spot, n), n),
        None => off_nearest_wall(index, spot),
    };
    // Straight ahead, then to either side, up to 80° from a face and all round a free spot.
    let turns: i32 = if facing.is_some() { 8 } else { 18 };
    let straight_ahead = if facing.is_some() { radius_m } else { 0.0 };
    (0_i32..)
        .map(move |ring| straight_ahead + RING_M * f64::from(ring))
        .take_while(move |off| *off <= radius_m + reach_m + 1e-9)
        .filter_map(move |off| {
            let sides = (0..=turns).flat_map(|turn| [turn, -turn]);
            sides
                .skip(1)
                .map(|turn| spot + rotated(ahead, f64::from(turn) * STEP_RAD) * off)
                .find(|p| index.has_room(*p, radius_m) && index.can_reach(*p, spot))
        })
}

/// The spot moved along its facing until it is in no wall.
fn brought_forward(index: &Index, spot: Point, facing: Point) -> Point {
    let mut at = spot + facing * OFF_FACE_M;
    // Walls that overlap: one after the other; more than a few are no place for a panel.
    for _ in 0..4 {
        let Some(wall) = index.around(at).find(|ring| ring.wall) else {
            break;
        };
        let Some(exit_m) = wall.exit_m(at, facing) else {
            break;
        };
        at = at + facing * (exit_m + OFF_FACE_M);
    }
    at
}

/// The spot moved out of a wall that it is in or on, and the direction away from what is nearest.
fn off_nearest_wall(index: &Index, spot: Point) -> (Point, Point) {
    let Some((on, outwards)) = index.nearest_on_side(spot) else {
        return (spot, Point { x: 1.0, y: 0.0 });
    };
    let off = norm(spot - on);
    if off <= OFF_FACE_M {
        return (on + outwards * OFF_FACE_M, outwards);
    }
    if index.around(spot).any(|ring| ring.wall) {
        let ahead = (on - spot) / off;
        return (on + ahead * OFF_FACE_M, ahead);
    }
    (spot, (spot - on) / off)
}
