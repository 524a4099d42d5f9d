//! What is inside a building, and where a level is open.

use geo::{Coord, LineString};
use plan::{GAP_M, Inside, Level, Plan, Rooms, Wall, read_house};
use proptest::prelude::*;

fn level() -> Level {
    Level { number: 0, name: "Ground".to_owned(), floor_m: 0.0, ceiling_m: 2.4, is_over_air: false }
}

fn walls(lines: &[&[(f64, f64)]]) -> Plan {
    let walls = lines.iter().enumerate().map(|(number, line)| Wall {
        thickness_mm: None,
        id: format!("wall-{number}"),
        level: 0,
        construction: String::new(),
        line: LineString::from(line.to_vec()),
        base_m: 0.0,
        top_m: 2.4,
    });
    Plan { levels: vec![level()], walls: walls.collect(), ..Plan::default() }
}

fn inside(plan: &Plan, thickness_m: f64) -> Inside {
    Inside::new(plan, &plan.levels[0], &|_| Some(thickness_m))
}

const OUTLINE: [(f64, f64); 5] = [(0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0), (0.0, 0.0)];

/// A house of two rooms whose front wall has a gap of so many metres, beginning at 1 m.
fn with_gap(gap_m: f64) -> Plan {
    let front: &[(f64, f64)] = &[(1.0 + gap_m, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0)];
    walls(&[front, &[(0.0, 6.0), (0.0, 0.0), (1.0, 0.0)], &[(4.0, 0.0), (4.0, 6.0)]])
}

#[test]
fn rooms_are_inside_and_the_garden_and_an_open_porch_are_not() {
    let porch: &[(f64, f64)] = &[(3.0, 0.0), (3.0, -2.0), (5.0, -2.0)];
    let inside = inside(&walls(&[&OUTLINE, &[(4.0, 0.0), (4.0, 6.0)], porch]), 0.2);
    assert!(inside.is_closed() && inside.gaps().is_empty());
    let within = [(2.0, 3.0), (6.0, 3.0), (4.0, 3.0), (-0.05, 3.0)];
    let beyond = [(-0.3, 3.0), (4.0, -1.0), (100.0, 3.0), (-100.0, 3.0), (4.0, 100.0)];
    for (x, y) in within.into_iter().chain(beyond) {
        let (place, is_inside) = (Coord { x, y }, within.contains(&(x, y)));
        assert_eq!(inside.holds(place), is_inside, "{x}, {y}");
        assert_eq!(inside.is_outside_every_wall(place), !is_inside, "{x}, {y}");
        assert_eq!(inside.is_in_wall(place), x == 4.0 && y == 3.0 || x == -0.05, "{x}, {y}");
    }
}

#[test]
fn where_a_whole_side_is_missing_nothing_is_closed_and_the_hull_decides() {
    let open = inside(&walls(&[&OUTLINE[..4]]), 0.2);
    assert!(!open.is_closed() && !open.holds(Coord { x: 2.0, y: 3.0 }));
    assert!(!open.is_outside_every_wall(Coord { x: 2.0, y: 3.0 }));
    assert!(open.is_outside_every_wall(Coord { x: -1.0, y: 3.0 }));
    let none = inside(&walls(&[]), 0.2);
    assert!(!none.is_closed() && !none.is_outside_every_wall(Coord { x: 2.0, y: 3.0 }));
}

#[test]
fn a_gap_of_a_hand_is_closed_a_wider_one_is_named_and_half_a_house_stays() {
    for thickness_m in [0.05, 0.1, 0.3] {
        for gap_m in [0.02, 0.12, 0.199, 0.21, 0.3, 0.9, 2.4] {
            let plan = with_gap(gap_m);
            let inside = inside(&plan, thickness_m);
            let rooms = Rooms::within(&plan, std::slice::from_ref(&inside));
            assert_eq!(rooms.all().len(), 2, "{thickness_m} {gap_m}");
            assert!([2.0, 6.0].iter().all(|&x| inside.holds(Coord { x, y: 3.0 })));
            assert!(inside.is_outside_every_wall(Coord { x: 2.0, y: -0.5 }));
            assert_eq!(!inside.gaps().is_empty(), gap_m > 0.2, "{thickness_m} {gap_m}");
            if let Some(gap) = inside.gaps().first() {
                assert_eq!(inside.gaps().len(), 1);
                assert!((gap.width_m - gap_m).abs() < 1e-9, "{}", gap.width_m);
                let off_m = gap.middle.x - (1.0 + gap.width_m / 2.0);
                assert!(off_m.abs() < 1e-9, "{:?}", gap.middle);
            }
        }
    }
}

#[test]
fn a_doorway_between_two_rooms_joins_them_and_opens_nothing() {
    let plan = walls(&[&OUTLINE, &[(4.0, 0.0), (4.0, 2.0)], &[(4.0, 2.9), (4.0, 6.0)]]);
    let inside = inside(&plan, 0.1);
    assert!(inside.gaps().is_empty());
    assert_eq!(inside.rooms().count(), 1);
}

#[test]
fn a_wall_drawn_on_the_storey_below_divides_the_one_that_it_reaches_through() {
    let mut plan = walls(&[&OUTLINE]);
    plan.walls[0].top_m = 5.0;
    let upper = Level { number: 1, floor_m: 2.6, ceiling_m: 5.0, ..level() };
    assert!(Inside::new(&plan, &upper, &|_| None).is_closed());
    plan.walls[0].top_m = 3.5;
    assert!(!Inside::new(&plan, &upper, &|_| None).is_closed());
}

#[test]
fn the_reader_names_the_place_of_a_gap() {
    let house = |gap_m: f64| {
        format!(
            r#"{{"type":"FeatureCollection","units":"m","features":[
{{"type":"Feature","id":"front","properties":{{"kind":"wall","construction":"brick-cavity"}},"geometry":{{"type":"LineString","coordinates":[[{},0],[8,0],[8,6],[0,6]]}}}},
{{"type":"Feature","id":"west","properties":{{"kind":"wall","construction":"brick-cavity"}},"geometry":{{"type":"LineString","coordinates":[[0,6],[0,0],[1,0]]}}}},
{{"type":"Feature","id":"name","properties":{{"kind":"room","name":"Hall","level":0}},"geometry":{{"type":"Point","coordinates":[4,3]}}}}
]}}"#,
            1.0 + gap_m
        )
    };
    let warnings = |gap_m: f64| {
        let text = house(gap_m);
        let reading = read_house("plan.geojson", text.as_bytes(), &forecast::vocabulary()).unwrap();
        reading.warnings.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
    };
    assert_eq!(warnings(0.12), "");
    insta::assert_snapshot!(warnings(0.3), @r#"
    warning  plan.geojson:2:1  front: level 0 is open to the outdoors: a gap of 0.3 m at (1.15, 0), between its end and "west"
            fix: close the gap; draw a door or window as an opening on the wall
    "#);
}

proptest! {
    /// Turning and moving the plan moves its inside with it.
    #[test]
    fn the_inside_turns_with_the_plan(
        angle in 0.0_f64..std::f64::consts::TAU,
        by in (-500.0_f64..500.0, -500.0_f64..500.0),
        gap_m in 0.0_f64..1.4,
        x in -2.0_f64..10.0,
        y in -2.0_f64..8.0,
    ) {
        // Not at the very tolerance, nor on a face: rounding decides there.
        prop_assume!((gap_m - GAP_M).abs() > 1e-3);
        let faces = [-0.05, 0.05, 3.95, 4.05, 7.95, 8.05];
        let is_on_face = |at: f64, faces: &[f64]| faces.iter().any(|face| (at - face).abs() < 1e-3);
        prop_assume!(!is_on_face(x, &faces) && !is_on_face(y, &[-0.05, 0.05, 5.95, 6.05]));
        let (sin, cos) = angle.sin_cos();
        let turn = |p: Coord<f64>| Coord {
            x: p.x * cos - p.y * sin + by.0,
            y: p.x * sin + p.y * cos + by.1,
        };
        let plan = with_gap(gap_m);
        let mut turned = plan.clone();
        for wall in &mut turned.walls {
            wall.line.0.iter_mut().for_each(|p| *p = turn(*p));
        }
        let (plain, turned) = (inside(&plan, 0.1), inside(&turned, 0.1));
        let place = Coord { x, y };
        prop_assert_eq!(plain.holds(place), turned.holds(turn(place)));
        prop_assert_eq!(plain.is_in_wall(place), turned.is_in_wall(turn(place)));
        prop_assert_eq!(plain.gaps().len(), turned.gaps().len());
        prop_assert_eq!(plain.gaps().is_empty(), gap_m <= GAP_M);
    }
}
