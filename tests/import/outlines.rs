//! What two rooms share is one wall.

use geo::{Area as _, Coord, polygon};
use import::{Outline, Side, sides};
use proptest::prelude::*;

fn room(x: f64, y: f64, width: f64, depth: f64) -> Outline {
    Outline {
        level: 0,
        area: polygon![
            (x: x, y: y),
            (x: x + width, y: y),
            (x: x + width, y: y + depth),
            (x: x, y: y + depth),
        ],
    }
}

fn length(side: &Side) -> f64 {
    side.line.delta().x.hypot(side.line.delta().y)
}

#[test]
fn a_room_alone_has_four_sides_however_many_points_its_edge_has() {
    let area = polygon![
        (x: 2.0, y: 0.0),
        (x: 4.0, y: 0.0),
        (x: 4.0, y: 3.0),
        (x: 0.0, y: 3.0),
        (x: 0.0, y: 1.0),
        (x: 0.0, y: 0.0),
    ];
    let sides = sides(&[Outline { level: 0, area }], 0.02);
    let mut lengths: Vec<f64> = sides.iter().map(length).collect();
    lengths.sort_by(f64::total_cmp);
    assert_eq!(lengths, [3.0, 3.0, 4.0, 4.0]);
}

#[test]
fn rooms_share_a_wall_even_if_they_are_drawn_a_centimetre_apart() {
    // 4 × 3 and, beside it, 3 × 2 and 3 × 1: the wall between them is one line, cut where the two
    // meet.
    let rooms = [room(0.0, 0.0, 4.0, 3.0), room(4.01, 0.0, 3.0, 2.0), room(4.0, 2.0, 3.0, 1.0)];
    let sides = sides(&rooms, 0.02);
    let between = |a, b| {
        let shared: Vec<&Side> = sides.iter().filter(|side| side.owners == [a, b]).collect();
        assert_eq!(shared.len(), 1, "{sides:?}");
        length(shared[0])
    };
    assert!((between(0, 1) - 2.0).abs() < 0.02);
    assert!((between(0, 2) - 1.0).abs() < 0.02);
    assert!((between(1, 2) - 3.0).abs() < 0.02);
    // Outside: 4 + 3 + 4 of the first, 3 + 2 of the second, 3 + 1 of the third.
    let outside = sides.iter().filter(|side| side.owners.len() == 1);
    assert!((outside.map(length).sum::<f64>() - 20.0).abs() < 0.05);
}

#[test]
fn levels_share_nothing() {
    let mut above = room(0.0, 0.0, 4.0, 3.0);
    above.level = 1;
    let sides = sides(&[room(0.0, 0.0, 4.0, 3.0), above], 0.02);
    assert_eq!(sides.len(), 8);
    assert!(sides.iter().all(|side| side.owners.len() == 1));
}

proptest! {
    /// A rectangle cut into strips: each cut is one wall of the full depth, and the outside is the
    /// rectangle's edge.
    #[test]
    fn strips_share_their_cuts(
        widths in prop::collection::vec(0.5_f64..5.0, 1..12),
        turn in 0.0_f64..std::f64::consts::TAU,
    ) {
        let mut x = 0.0;
        let mut rooms = Vec::new();
        for width in &widths {
            let (sin, cos) = turn.sin_cos();
            let mut area = room(x, 0.0, *width, 3.0).area;
            area.exterior_mut(|ring| for at in ring.coords_mut() {
                *at = Coord { x: at.x * cos - at.y * sin, y: at.x * sin + at.y * cos };
            });
            prop_assert!((area.unsigned_area() - width * 3.0).abs() < 1e-9);
            rooms.push(Outline { level: 0, area });
            x += width;
        }
        let sides = sides(&rooms, 0.02);
        let shared: Vec<&Side> = sides.iter().filter(|side| side.owners.len() == 2).collect();
        prop_assert_eq!(shared.len(), widths.len() - 1);
        for side in shared {
            prop_assert!((length(side) - 3.0).abs() < 1e-6);
        }
        let outside: f64 = sides.iter().filter(|side| side.owners.len() == 1).map(length).sum();
        prop_assert!((outside - 2.0 * (x + 3.0)).abs() < 1e-6);
    }
}
