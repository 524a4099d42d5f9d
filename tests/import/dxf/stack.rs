//! Storeys of one sheet laid over one another.

use import::{Kind, Settings, draft};
use plan::Plan;

use super::super::known::{imported, plain};
use super::drawing::{Drawing, line, rectangle};

/// A house of 10 by 8 m in metres, moved, with a partition at a place and a door in it; upstairs
/// only the left part of it if it is narrower.
fn storey(drawing: &mut Drawing, (x, y): (f64, f64), wide: f64, partition: f64) {
    drawing.add(&rectangle("WALL", (x, y), (x + wide, y + 8.0)));
    drawing.add(&rectangle("WALL", (x + 0.3, y + 0.3), (x + wide - 0.3, y + 7.7)));
    for at in [partition, partition + 0.1] {
        drawing.add(&line("WALL", (x + at, y + 0.3), (x + at, y + 3.0)));
        drawing.add(&line("WALL", (x + at, y + 3.9), (x + at, y + 7.7)));
    }
    drawing.add(&rectangle("WINDOW", (x + 1.0, y), (x + 2.2, y + 0.3)));
}

/// Nine steps of a flight three metres long.
fn flight(drawing: &mut Drawing, (x, y): (f64, f64)) {
    for step in 0..=9 {
        let at = x + f64::from(step) / 3.0;
        drawing.add(&line("STAIRS", (at, y), (at, y + 1.0)));
    }
}

fn stacked(order: &[usize]) -> Settings {
    Settings { stack: order.to_vec(), ..plain() }
}

fn plan(drawing: &Drawing, order: &[usize]) -> Plan {
    imported(Kind::Dxf, "test.dxf", drawing.text().as_bytes(), &stacked(order)).1
}

/// The box of the walls of a level.
fn reach(plan: &Plan, level: i32) -> [f64; 4] {
    let own = plan.walls.iter().filter(|wall| wall.level == level);
    let ends: Vec<_> = own.flat_map(|wall| wall.line.0.clone()).collect();
    let least = |of: &dyn Fn(usize) -> f64| (0..ends.len()).map(of).fold(f64::MAX, f64::min);
    [
        least(&|at| ends[at].x),
        least(&|at| ends[at].y),
        -least(&|at| -ends[at].x),
        -least(&|at| -ends[at].y),
    ]
}

fn sheet() -> Drawing {
    let mut drawing = Drawing::in_unit(6);
    storey(&mut drawing, (0.0, 0.0), 10.0, 4.0);
    flight(&mut drawing, (6.0, 5.0));
    storey(&mut drawing, (15.0, 1.25), 10.0, 4.0);
    flight(&mut drawing, (21.0, 6.25));
    // Narrower, and not in line with the others on the sheet.
    storey(&mut drawing, (30.0, -2.0), 6.5, 4.0);
    drawing
}

#[test]
fn storeys_lie_over_one_another_with_floors_and_stairs() {
    let plan = plan(&sheet(), &[1, 2, 3]);
    assert_eq!(plan.levels.iter().map(|level| level.number).collect::<Vec<_>>(), [0, 1, 2]);
    assert!((plan.levels[1].floor_m - 2.7).abs() < 1e-9);
    for (level, wide) in [(0, 9.7), (1, 9.7), (2, 6.2)] {
        let found = reach(&plan, level);
        let wanted = [0.0, 0.0, wide, 7.7];
        assert!(found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 0.01), "{level}: {found:?}");
    }
    assert_eq!(plan.slabs.iter().map(|slab| slab.level).collect::<Vec<_>>(), [1, 2]);
    let [stairs] = plan.stairs.as_slice() else { panic!("{:?}", plan.stairs) };
    assert_eq!((stairs.level, stairs.to_level), (0, 1));
    let ends: Vec<_> = stairs.line.0.iter().map(|at| (at.x, at.y)).collect();
    assert_eq!(ends, [(6.15, 5.35), (8.55, 5.35)]);
    // Every storey keeps its window, in its own wall.
    let windows = plan.openings.iter().filter(|opening| opening.construction == "glass-double");
    let windows: Vec<(i32, f64)> =
        windows.map(|it| (plan.walls[it.wall].level, it.base_m)).collect();
    let close = |(a, b): (&(i32, f64), &(i32, f64))| a.0 == b.0 && (a.1 - b.1).abs() < 1e-9;
    assert!(windows.iter().zip(&[(0, 0.9), (1, 3.6), (2, 6.3)]).all(close), "{windows:?}");
    assert_eq!(windows.len(), 3);
}

#[test]
fn the_order_is_the_users() {
    let plan = plan(&sheet(), &[3, 1]);
    assert_eq!(plan.levels.len(), 2);
    assert!((reach(&plan, 0)[2] - reach(&plan, 0)[0] - 6.2).abs() < 0.01);
    assert!((reach(&plan, 1)[2] - reach(&plan, 1)[0] - 9.7).abs() < 0.01);
    // The left and front walls stand on those below.
    assert!((reach(&plan, 1)[0] - reach(&plan, 0)[0]).abs() < 0.01);
    assert!((reach(&plan, 1)[1] - reach(&plan, 0)[1]).abs() < 0.01);
}

#[test]
fn a_house_that_stands_askew_is_laid_over_itself() {
    let mut drawing = Drawing::in_unit(6);
    let mut house = Drawing::in_unit(6);
    storey(&mut house, (0.0, 0.0), 10.0, 4.0);
    drawing.block("HOUSE", (0.0, 0.0), &house.entities);
    for (x, y) in [(0, 0), (17, 4)] {
        drawing.add(&format!("0\nINSERT\n8\n0\n2\nHOUSE\n10\n{x}\n20\n{y}\n50\n30\n"));
    }
    let plan = plan(&drawing, &[1, 2]);
    let (below, above) = (reach(&plan, 0), reach(&plan, 1));
    assert!(below.iter().zip(above).all(|(a, b)| (a - b).abs() < 0.01), "{below:?} {above:?}");
}

#[test]
fn wrong_numbers_are_named_with_the_groups_that_there_are() {
    let text = sheet().text();
    for (order, word) in [
        (&[1, 4][..], "no group 4"),
        (&[0, 1], "no group 0"),
        (&[2, 1, 2], "group 2 twice"),
        (&[2], "two groups"),
    ] {
        let faults = draft(Kind::Dxf, "a.dxf", text.as_bytes(), &stacked(order)).unwrap_err();
        let said = faults[0].to_string();
        assert!(said.contains(word) && said.contains("group 3 (6.2 by 7.7 m"), "{said}");
    }
}
