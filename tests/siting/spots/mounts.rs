//! Spots where the plan says that a panel may hang.

use geo::{LineString, Point};
use siting::siting::spots_of;
use siting::spots::{SpotError, SpotSettings};

use super::found::{HALF_BRICK_M, HALF_STUD_M, STAND_OFF_M, found, house, usual};
use crate::plans::{at, line, mountable, rectangle, wall};

#[test]
fn mountable_points_lines_and_areas() {
    let mut plan = house();
    // On the centre line: either face will do; the spot hangs on one.
    mountable(&mut plan, 0, Point(at(4.0, 1.0)));
    // In the middle of a room: no wall is near.
    mountable(&mut plan, 0, Point(at(2.0, 3.0)));
    // On the outside wall's centre line: the inner face.
    mountable(&mut plan, 0, Point(at(6.0, 6.0)));
    let spots = found(&plan, &usual()).allowed;
    assert_eq!(spots.len(), 3);
    assert!(((spots[0].position.x - 4.0).abs() - HALF_STUD_M - STAND_OFF_M).abs() < 1e-9);
    assert_eq!((spots[1].wall, spots[1].position), (None, at(2.0, 3.0)));
    assert!((spots[2].position.y - (6.0 - HALF_BRICK_M - STAND_OFF_M)).abs() < 1e-9);
    // A line: both its ends and every quarter of a metre.
    let mut plan = house();
    mountable(&mut plan, 0, line(&[[4.1, 2.0], [4.1, 4.0]]));
    let spots = found(&plan, &usual()).allowed;
    let ys: Vec<f64> = spots.iter().map(|s| s.position.y).collect();
    let want: Vec<f64> = (0..9).map(|n| 2.0 + 0.25 * f64::from(n)).collect();
    assert!(ys.iter().zip(&want).all(|(a, b)| (a - b).abs() < 1e-9) && ys.len() == 9);
    assert!(spots.iter().all(|s| s.facing == Some(at(1.0, 0.0)) && s.wall == Some(1)));
    // Two that share an end share the spot.
    mountable(&mut plan, 0, LineString::from(vec![(4.1, 4.0), (4.1, 5.0)]));
    assert_eq!(found(&plan, &usual()).allowed.len(), 13);
    // An area: the faces in it, and nothing else.
    let mut plan = house();
    mountable(&mut plan, 0, rectangle([0.0, 0.0], [3.0, 2.0]));
    let area = found(&plan, &usual()).allowed;
    assert!(area.len() > 10 && area.iter().all(|s| s.position.x < 3.0 && s.position.y < 2.0));
    assert!(area.iter().all(|s| s.wall == Some(0)));
    // An area without a face: all over it.
    let mut plan = house();
    mountable(&mut plan, 0, rectangle([1.0, 2.0], [3.0, 4.0]));
    let area = found(&plan, &usual()).allowed;
    assert!(area.len() > 40 && area.iter().all(|s| s.wall.is_none()));
}

#[test]
fn the_wall_along_which_a_line_is_drawn_goes_before_a_nearer_one_at_its_end() {
    let mut plan = house();
    wall(&mut plan, "cross", 0, "stud-partition", &[[4.0, 3.0], [8.0, 3.0]]);
    mountable(&mut plan, 0, line(&[[4.12, 2.0], [4.12, 2.93]]));
    let spots = found(&plan, &usual()).allowed;
    assert!(spots.len() >= 4 && spots.iter().all(|s| s.wall == Some(1)), "{spots:?}");
    assert!(spots.iter().all(|s| (s.position.x - 4.12).abs() < 1e-9));
}

#[test]
fn nothing_is_mountable_above_the_ceiling() {
    let mut plan = house();
    mountable(&mut plan, 0, Point(at(4.1, 2.0)));
    let high = SpotSettings { height_m: 2.5, ..usual() };
    let none = spots_of(&plan, &high).unwrap_err();
    assert!(matches!(none, SpotError::NoFace { .. }));
}
