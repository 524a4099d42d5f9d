//! Rooms of any walls whatever.

use approx::assert_abs_diff_eq;
use geo::{Area as _, BooleanOps as _, Coord, LineString};
use plan::{Level, Plan, Rooms, Wall};
use proptest::prelude::*;

fn plan(lines: &[[(f64, f64); 2]]) -> Plan {
    let walls = lines.iter().enumerate().map(|(number, ends)| Wall {
        id: format!("wall-{number}"),
        level: 0,
        construction: "brick".to_owned(),
        thickness_mm: None,
        line: LineString::from(ends.to_vec()),
        base_m: 0.0,
        top_m: 2.4,
    });
    Plan {
        levels: vec![Level {
            number: 0,
            name: "Ground".to_owned(),
            floor_m: 0.0,
            ceiling_m: 2.4,
            is_over_air: false,
        }],
        walls: walls.collect(),
        ..Plan::default()
    }
}

/// A grid of rooms of these widths and depths on middles.
fn grid(widths: &[f64], depths: &[f64]) -> Vec<[(f64, f64); 2]> {
    let places = |sizes: &[f64]| {
        let mut at = vec![0.0];
        for size in sizes {
            at.push(at[at.len() - 1] + size);
        }
        at
    };
    let (xs, ys) = (places(widths), places(depths));
    let (right, back) = (xs[xs.len() - 1], ys[ys.len() - 1]);
    let across = ys.iter().map(|&y| [(0.0, y), (right, y)]);
    let along = xs.iter().map(|&x| [(x, 0.0), (x, back)]);
    across.chain(along).collect()
}

fn turned(lines: &[[(f64, f64); 2]], angle: f64, by: (f64, f64)) -> Vec<[(f64, f64); 2]> {
    let (sin, cos) = angle.sin_cos();
    let turn = |(x, y): (f64, f64)| (x * cos - y * sin + by.0, x * sin + y * cos + by.1);
    lines.iter().map(|line| line.map(turn)).collect()
}

proptest! {
    #[test]
    fn a_grid_has_a_room_for_each_cell_however_it_is_turned(
        widths in prop::collection::vec(1.0_f64..6.0, 1..5),
        depths in prop::collection::vec(1.0_f64..6.0, 1..5),
        angle in 0.0_f64..std::f64::consts::TAU,
        by in (-900.0_f64..900.0, -900.0_f64..900.0),
    ) {
        let plan = plan(&turned(&grid(&widths, &depths), angle, by));
        let rooms = Rooms::new(&plan, &|_| Some(0.2));
        let mut found: Vec<f64> = rooms.all().iter().map(|room| room.area_m2).collect();
        let mut wanted: Vec<f64> = widths
            .iter()
            .flat_map(|w| depths.iter().map(move |d| (w - 0.2) * (d - 0.2)))
            .collect();
        found.sort_by(f64::total_cmp);
        wanted.sort_by(f64::total_cmp);
        prop_assert_eq!(found.len(), wanted.len());
        for (found, wanted) in found.iter().zip(&wanted) {
            assert_abs_diff_eq!(*found, *wanted, epsilon = 1e-4);
        }
    }

    /// Whatever the walls: no panic, no room overlaps another or the middle of a wall.
    #[test]
    fn random_walls_are_survived(
        ends in prop::collection::vec((-20_i32..20, -20_i32..20, -20_i32..20, -20_i32..20), 0..25),
        grain in prop::sample::select(vec![0.001, 0.05, 0.5, 97.3]),
    ) {
        let lines: Vec<[(f64, f64); 2]> = ends
            .iter()
            .map(|&(a, b, c, d)| [(f64::from(a) * grain, f64::from(b) * grain), (f64::from(c) * grain, f64::from(d) * grain)])
            .filter(|[a, b]| a != b)
            .collect();
        let plan = plan(&lines);
        let rooms = Rooms::new(&plan, &|_| None);
        for (number, room) in rooms.all().iter().enumerate() {
            for other in rooms.all().iter().skip(number + 1) {
                prop_assert!(room.outline.intersection(&other.outline).unsigned_area() < 1e-3);
            }
        }
        for [a, b] in &lines {
            let middle = Coord { x: (a.0 + b.0) / 2.0, y: (a.1 + b.1) / 2.0 };
            let inside = rooms.all().iter().any(|room| {
                use geo::Contains as _;
                room.outline.contains(&geo::Point(middle))
            });
            prop_assert!(!inside);
        }
    }
}

#[test]
fn a_tangle_of_walls_gives_no_rooms_and_takes_no_time() {
    let lines: Vec<[(f64, f64); 2]> = (0..20_000)
        .map(|n| {
            let at = f64::from(n) / 10.0;
            if n % 2 == 0 { [(at, 0.0), (at, 2_000.0)] } else { [(0.0, at), (2_000.0, at)] }
        })
        .collect();
    assert!(Rooms::new(&plan(&lines), &|_| None).all().is_empty());
}
