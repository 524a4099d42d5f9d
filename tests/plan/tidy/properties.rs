//! What holds for any plan: made at random, near a grid, so that much nearly meets.

use geo::Coord;
use plan::tidy::{TidySettings, tidied};
use plan::{ON_WALL_TOLERANCE_M, read_house};
use proptest::prelude::*;

use crate::tidy::geometry::hausdorff_m;
use crate::tidy::promises::survives_tidy;
use crate::tidy::support::{door, plan_of, vocabulary, wall};

/// A coordinate near a coarse grid: off it by a little, by about the tolerance, or by more.
fn ordinate() -> impl Strategy<Value = f64> {
    let off = prop_oneof![
        3 => Just(0),
        3 => -30..=30_i32,
        2 => -60..=60_i32,
        1 => -250..=250_i32,
    ];
    (0..4_i32, off).prop_map(|(cell, off)| f64::from(cell) * 2.0 + f64::from(off) / 1_000.0)
}

fn points(least: usize, most: usize) -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((ordinate(), ordinate()), least..=most)
}

fn line(points: &[(f64, f64)]) -> String {
    let points: Vec<String> = points.iter().map(|(x, y)| format!("[{x}, {y}]")).collect();
    format!("[{}]", points.join(", "))
}

/// A door along the first segment of some wall, a little off it or beyond its end.
fn along() -> impl Strategy<Value = (prop::sample::Index, [f64; 4])> {
    let off = || (-120..=120_i32).prop_map(|off| f64::from(off) / 1_000.0);
    let from = -0.05..0.9_f64;
    (any::<prop::sample::Index>(), from, 0.1..0.6_f64, off(), off())
        .prop_map(|(wall, from, share, a, b)| (wall, [from, (from + share).min(1.03), a, b]))
}

/// Walls anyhow near the grid, with doors.
fn tangle() -> impl Strategy<Value = String> {
    let walls = prop::collection::vec((points(2, 4), prop::bool::weighted(0.7)), 1..9);
    let doors = prop::collection::vec(along(), 0..3);
    (walls, doors).prop_map(|(walls, doors)| {
        let mut features = Vec::new();
        for (number, (points, brick)) in walls.iter().enumerate() {
            let make = if *brick { "brick" } else { "stud" };
            features.push(wall(&format!("w{number}"), make, &line(points)));
        }
        for (number, (wall, [from, to, a, b])) in doors.iter().enumerate() {
            let points = &walls[wall.index(walls.len())].0;
            let ((x, y), (dx, dy)) =
                (points[0], (points[1].0 - points[0].0, points[1].1 - points[0].1));
            let at = |share: f64, off: f64| {
                let round = |ordinate: f64| (ordinate * 1_000.0).round() / 1_000.0;
                (round(x + share * dx + off), round(y + share * dy - off))
            };
            let ends = [at(*from, *a), at(*to, *b)];
            features.push(door(&format!("d{number}"), &line(&ends)));
        }
        plan_of(&features)
    })
}

/// How far an end of an opening may be moved at most, metres: its wall is moved by the tolerance,
/// and it is put on it from as far off as a partition is thick.
const OPENING_MOVED_M: f64 = ON_WALL_TOLERANCE_M + 0.1;

/// What rounding to a millimetre adds, for a point that was put where others were rounded to.
const ROUNDING_M: f64 = 0.0015;

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn a_tangle_is_tidied_once_and_its_walls_stay_where_they_were(text in tangle()) {
        survives_tidy(text.as_bytes());
        if let Ok(before) = read_house("p", text.as_bytes(), &vocabulary()) {
            let done = tidied("p", &text, &vocabulary(), &TidySettings::default()).unwrap();
            let after = read_house("p", done.text.as_bytes(), &vocabulary()).unwrap();
            let off = hausdorff_m(&before.plan, &after.plan);
            prop_assert!(off <= ON_WALL_TOLERANCE_M + ROUNDING_M, "{} m\n{}\n{}", off, text, done.text);
            for (old, new) in before.plan.openings.iter().zip(&after.plan.openings) {
                prop_assert_eq!((&old.id, &old.construction), (&new.id, &new.construction));
                let (from, to) = (before.plan.opening_line(old).unwrap(), after.plan.opening_line(new).unwrap());
                let moved = |a: Coord<f64>, b: Coord<f64>| (b.x - a.x).hypot(b.y - a.y);
                // The reader turns an opening to its wall's direction, which may be another wall
                // now.
                let same_way = moved(from.start, to.start).max(moved(from.end, to.end));
                let other_way = moved(from.start, to.end).max(moved(from.end, to.start));
                prop_assert!(same_way.min(other_way) <= OPENING_MOVED_M + ROUNDING_M, "{}\n{}", text, done.text);
            }
        }
    }
}
