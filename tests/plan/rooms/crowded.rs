//! Very many walls that meet: their rooms stay what they are, at a cost that does not run away.
//! Each house here would take minutes if all crossings of all sides were cut at once.

use std::f64::consts::TAU;

use approx::assert_abs_diff_eq;
use geo::{Area as _, Coord};
use plan::{Rooms, Severity};

use super::{areas, house};

type Walls = Vec<(Vec<(f64, f64)>, f64)>;

fn read(walls: &Walls) -> plan::Reading {
    let lines: Vec<(&[(f64, f64)], f64)> =
        walls.iter().map(|(points, mm)| (points.as_slice(), *mm)).collect();
    house(&lines, &[])
}

/// A box of 20 m, and walls of so many millimetres from its middle, drawn in an order that jumps
/// about.
fn star(count: usize, mm: f64) -> Walls {
    let round = vec![(0.0, 0.0), (20.0, 0.0), (20.0, 20.0), (0.0, 20.0), (0.0, 0.0)];
    let arm = |number: usize| {
        let angle = TAU * ((number * 7919) % count) as f64 / count as f64;
        vec![(10.0, 10.0), (10.0 + 9.0 * angle.cos(), 10.0 + 9.0 * angle.sin())]
    };
    let arms = (0..count).map(|number| (arm(number), mm));
    [(round, 100.0)].into_iter().chain(arms).collect()
}

#[test]
fn six_hundred_walls_from_one_place_leave_the_room_round_them() {
    let plan = read(&star(600, 100.0)).plan;
    let rooms = Rooms::new(&plan, &|_| None);
    // The walls are wider than the gaps between their ends: they fill a disc of some 9 m.
    assert_eq!(rooms.all().len(), 1);
    let disc = 9.0 * 9.0 * TAU / 2.0;
    assert!((rooms.all()[0].area_m2 - (19.9 * 19.9 - disc)).abs() < 2.0);
    assert!(rooms.at(0, Coord { x: 0.5, y: 0.5 }).is_some());
    assert!(rooms.at(0, Coord { x: 12.0, y: 10.0 }).is_none());
}

#[test]
fn a_star_of_thin_walls_takes_as_much_as_its_arms_cover() {
    // Arms of 1 mm count as films of 20 mm, the least: what they cover is known in closed form.
    let count = 150;
    let plan = read(&star(count, 1.0)).plan;
    let rooms = Rooms::new(&plan, &|_| None);
    // An arm of 20 mm is 9 m long; beside the next one it is hidden up to where they part. Its
    // square end stays within the rectangle.
    let half = TAU / count as f64 / 2.0;
    let hidden = 0.01 * 0.01 / half.tan();
    let star = count as f64 * (9.0 * 0.02 - hidden);
    assert_abs_diff_eq!(rooms.all()[0].outline.unsigned_area(), 19.9 * 19.9 - star, epsilon = 1e-3);
}

#[test]
fn a_grid_of_long_walls_has_every_room_of_it() {
    let count = 110;
    let lines = (0..=count).map(f64::from).flat_map(|at| {
        let long = f64::from(count);
        [vec![(0.0, at), (long, at)], vec![(at, 0.0), (at, long)]]
    });
    let walls: Walls = lines.map(|points| (points, 100.0)).collect();
    let areas = areas(&read(&walls).plan);
    assert_eq!(areas.len(), 110 * 110);
    assert!(areas.iter().all(|area| (area - 0.81).abs() < 1e-5));
}

#[test]
fn a_tangle_beyond_any_building_is_named_and_left() {
    let reading = read(&star(2_000, 100.0));
    let said = |warning: &plan::Diagnostic| {
        warning.severity == Severity::Warning && warning.to_string().contains("meet one another")
    };
    assert!(reading.warnings.iter().any(said), "{:?}", reading.warnings);
    assert!(Rooms::new(&reading.plan, &|_| None).all().is_empty());
}

#[test]
fn one_wall_of_a_hundred_thousand_points_is_read() {
    let turn = |number: u32| {
        let (angle, radius) = (TAU * f64::from(number) / 100.0, 0.3 + f64::from(number) * 4e-4);
        (50.0 + radius * angle.cos(), 50.0 + radius * angle.sin())
    };
    let plan = read(&vec![((0..100_000).map(turn).collect(), 10.0)]).plan;
    assert_eq!(plan.walls[0].line.0.len(), 100_000);
}
