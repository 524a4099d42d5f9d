//! Houses drawn by a shaky hand are fixed back to closed rooms.

use plan::tidy::{Tidied, TidySettings, tidied};
use plan::{ON_WALL_TOLERANCE_M, Plan, read_house};
use proptest::prelude::*;

use crate::tidy::faces::faces;
use crate::tidy::geometry::{hausdorff_m, hausdorff_of_all_m};
use crate::tidy::support::{door, plan_of, vocabulary, wall};

/// A house of rooms of 3 × 2.5 m: four outer walls, walls through from front to back, walls across
/// from one of those to the next, a door in each wall across. Every position is moved by what
/// `shake` gives.
fn house(columns: u32, rows: u32, mut shake: impl FnMut() -> (f64, f64)) -> String {
    let (wide, deep) = (3.0, 2.5);
    let mut line = |a: (f64, f64), b: (f64, f64)| {
        let [a, b] = [a, b].map(|(x, y)| {
            let (dx, dy) = shake();
            let round = |ordinate: f64| (ordinate * 10_000.0).round() / 10_000.0;
            format!("[{}, {}]", round(x + dx), round(y + dy))
        });
        format!("[{a}, {b}]")
    };
    let (right, top) = (f64::from(columns) * wide, f64::from(rows) * deep);
    let corners = [(0.0, 0.0), (right, 0.0), (right, top), (0.0, top), (0.0, 0.0)];
    let mut features = Vec::new();
    for (side, ends) in corners.windows(2).enumerate() {
        features.push(wall(&format!("outer-{side}"), "brick", &line(ends[0], ends[1])));
    }
    for column in 1..columns {
        let x = f64::from(column) * wide;
        features.push(wall(&format!("through-{column}"), "stud", &line((x, 0.0), (x, top))));
    }
    for (column, row) in (0..columns).flat_map(|column| (1..rows).map(move |row| (column, row))) {
        let (x, y) = (f64::from(column) * wide, f64::from(row) * deep);
        let name = format!("{column}-{row}");
        features.push(wall(&format!("across-{name}"), "stud", &line((x, y), (x + wide, y))));
        features.push(door(&format!("door-{name}"), &line((x + 1.0, y), (x + 1.9, y))));
    }
    plan_of(&features)
}

fn plan(text: &str) -> Plan {
    let reading = read_house("plan.geojson", text.as_bytes(), &vocabulary());
    reading.unwrap_or_else(|faults| panic!("{}\n{text}", faults[0])).plan
}

fn done(text: &str) -> Tidied {
    tidied("plan.geojson", text, &vocabulary(), &TidySettings::default()).unwrap()
}

/// Of the outer walls each end is the next one's beginning, to the last bit.
fn assert_closed(plan: &Plan) {
    let outer: Vec<_> = plan.walls.iter().filter(|wall| wall.id.starts_with("outer")).collect();
    assert_eq!(outer.len(), 4);
    for (number, wall) in outer.iter().enumerate() {
        let next = outer[(number + 1) % 4];
        assert_eq!(wall.line.0.last(), next.line.0.first());
    }
}

#[test]
fn a_house_drawn_by_a_steady_hand_is_left_alone() {
    let text = house(3, 3, || (0.0, 0.0));
    assert_eq!(faces(&plan(&text)), 9);
    let done = done(&text);
    assert_eq!(done.fixes, []);
    assert_eq!(done.left, []);
    assert!(done.text == text);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, ..ProptestConfig::default() })]

    #[test]
    fn a_house_drawn_by_a_shaky_hand_gets_its_rooms_back(
        (columns, rows) in (1..4_u32, 1..4_u32),
        shakes in prop::collection::vec((0.0..0.0248_f64, 0.0..std::f64::consts::TAU), 200),
    ) {
        let mut shakes = shakes.into_iter().cycle();
        let shaken = house(columns, rows, || {
            let (by, way) = shakes.next().unwrap();
            (by * way.cos(), by * way.sin())
        });
        let done = done(&shaken);
        let after = plan(&done.text);
        prop_assert_eq!(faces(&after), (columns * rows) as usize, "{}\n{}", shaken, done.text);
        assert_closed(&after);
        prop_assert_eq!(&done.left, &[], "{}", done.text);
        // Doors may be told to be off by more than the reader takes; then there is nothing to
        // compare.
        if let Ok(before) = read_house("p", shaken.as_bytes(), &vocabulary()) {
            let off = hausdorff_m(&before.plan, &after);
            prop_assert!(off <= ON_WALL_TOLERANCE_M + 0.0015, "{} m\n{}", off, shaken);
        }
    }
}

/// Two rooms side by side and one behind them, drawn by hand.
const SHAKEN: [(&str, &str, &str); 6] = [
    ("south", "brick", "[[0.012, -0.02], [6.01, 0.015]]"),
    ("east", "brick", "[[5.99, -0.011], [6.02, 5.0]]"),
    ("north", "brick", "[[6.0, 5.02], [0.0, 4.99]]"),
    ("west", "brick", "[[-0.01, 5.0], [0.0, 0.0]]"),
    ("middle", "stud", "[[3.0, 0.03], [3.01, 2.48]]"),
    ("behind", "stud", "[[0.03, 2.5], [5.97, 2.51]]"),
];

/// The walls of [`SHAKEN`] after tidying.
const FIXED: [(&str, &str, &str); 6] = [
    ("south", "brick", "[[0.012, -0.02], [6.01, 0.015]]"),
    ("east", "brick", "[[6.01, 0.015], [6.02, 5.0]]"),
    ("north", "brick", "[[6.02, 5.0], [0.0, 4.99]]"),
    ("west", "brick", "[[0.0, 4.99], [0.012, -0.02]]"),
    ("middle", "stud", "[[3.0, -0.003], [3.01, 2.505]]"),
    ("behind", "stud", "[[0.006, 2.5], [6.015, 2.51]]"),
];

/// Areas of the faces, m², that shapely 2.2.0 (GEOS 3.14.1) finds in [`FIXED`] by
/// `polygonize([unary_union(lines, grid_size=0.001)])`; in [`SHAKEN`] it finds none.
const AREAS_M2: [f64; 3] = [7.5232, 7.5319, 14.9761];

/// How far the walls were moved, metres, by its `hausdorff_distance(before, after, densify=0.01)`.
const MOVED_M: f64 = 0.02588;

fn text_of(walls: &[(&str, &str, &str)]) -> String {
    let features: Vec<String> = walls.iter().map(|(id, make, line)| wall(id, make, line)).collect();
    plan_of(&features)
}

#[test]
fn a_shaken_house_has_the_rooms_that_another_program_finds() {
    let text = text_of(&SHAKEN);
    assert_eq!(faces(&plan(&text)), 0);
    let done = done(&text);
    assert_eq!(done.text, text_of(&FIXED));
    let after = plan(&done.text);
    assert_eq!(faces(&after), AREAS_M2.len());
    // All rooms together are the area within the outer walls, by the surveyor's formula.
    let corners: Vec<_> = after.walls.iter().take(4).map(|wall| wall.line.0[0]).collect();
    let twice: f64 = (0..4)
        .map(|i| {
            let (a, b) = (corners[i], corners[(i + 1) % 4]);
            a.x * b.y - b.x * a.y
        })
        .sum();
    assert!((twice / 2.0 - AREAS_M2.iter().sum::<f64>()).abs() < 0.002);
    let moved = hausdorff_of_all_m(&plan(&text), &after);
    assert!((moved - MOVED_M).abs() < 0.0001, "{moved}");
}
