//! What holds of every wire, on houses of random, oblique walls.

use geo::Coord;
use plan::Plan;
use proptest::prelude::*;
use siting::wire::{WireNetwork, WireRun};

use crate::power_run::plans::{at, check_route, opening, outlet, storeys, wall};

/// A spot: level, place on a wall, height above the plan's zero.
type Spot = (i32, Coord<f64>, f64);

/// A plan and spots on its walls.
#[derive(Debug, Clone)]
struct House {
    plan: Plan,
    spots: Vec<Spot>,
}

/// Two storeys: on each a ring of four oblique walls with openings, two partitions whose ends lie
/// on the ring, a wall that ends free, a low wall.
fn houses() -> impl Strategy<Value = House> {
    let shares = prop::collection::vec(0.05_f64..0.95, 60);
    shares.prop_map(|shares| {
        let mut shares = shares.into_iter().cycle();
        let mut next = move |low: f64, high: f64| low + (high - low) * shares.next().unwrap();
        let mut plan = storeys(2);
        let mut lines: Vec<(usize, usize)> = Vec::new();
        let corners = [
            (next(-1.0, 1.0), next(-1.0, 1.0)),
            (next(8.0, 11.0), next(-1.0, 1.0)),
            (next(8.0, 11.0), next(6.0, 8.0)),
            (next(-1.0, 1.0), next(6.0, 8.0)),
        ];
        let on =
            |a: (f64, f64), b: (f64, f64), t: f64| (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
        for level in 0..2 {
            let floor = f64::from(level) * 2.7;
            let [a, b, c, d] = corners;
            let ring = wall(&mut plan, level, &[a, b, c, d, a]);
            for segment in 0..4 {
                let from = next(0.5, 2.5);
                let heights = [(0.0, 2.0), (0.9, 2.1), (0.0, 2.4), (0.9, 2.4)];
                let which = (next(0.0, 4.0) as usize).min(3);
                let (base, top) = heights[which];
                let span = (floor + base, floor + top);
                opening(&mut plan, (ring, segment), (from, from + 0.9), span);
                lines.push((ring, segment));
            }
            let (p, q) = (on(a, b, next(0.2, 0.8)), on(d, c, next(0.2, 0.8)));
            let long = wall(&mut plan, level, &[p, q]);
            let from = next(0.3, 2.0);
            let span = (floor, floor + next(1.9, 2.3));
            opening(&mut plan, (long, 0), (from, from + 0.8), span);
            let (r, s) = (on(p, q, next(0.3, 0.7)), on(b, c, next(0.2, 0.8)));
            let cross = wall(&mut plan, level, &[r, s]);
            let free = wall(&mut plan, level, &[on(r, s, 0.5), (next(5.0, 7.0), next(3.0, 5.0))]);
            let low = wall(&mut plan, level, &[d, on(d, s, 0.3)]);
            plan.walls[low].top_m = floor + next(0.8, 1.4);
            lines.extend([(long, 0), (cross, 0), (free, 0), (low, 0)]);
        }
        let place = |plan: &Plan, (number, segment): (usize, usize), t: f64| {
            let wall = &plan.walls[number];
            let line = wall.line.lines().nth(segment).unwrap();
            (wall.level, line.start + (line.end - line.start) * t)
        };
        let mut spots = Vec::new();
        for number in 0..8 {
            let line = lines[(next(0.0, 1.0) * lines.len() as f64) as usize];
            let (level, position) = place(&plan, line, next(0.0, 1.0));
            let floor = f64::from(level) * 2.7;
            if number < 3 {
                outlet(&mut plan, level, position, floor + 0.3);
            } else {
                spots.push((level, position, floor + next(0.2, 2.3)));
            }
        }
        House { plan, spots }
    })
}

fn network(plan: &Plan) -> WireNetwork {
    WireNetwork::new(plan).unwrap()
}

fn runs(plan: &Plan, spots: &[Spot]) -> Vec<Option<WireRun>> {
    let network = network(plan);
    let runs = spots.iter().map(|spot| network.to(spot.0, spot.1, spot.2));
    runs.map(Result::ok).collect()
}

/// The house with every place carried over by a map of the plane.
fn carried(house: &House, map: &dyn Fn(Coord<f64>) -> Coord<f64>) -> House {
    let mut house = house.clone();
    for wall in &mut house.plan.walls {
        for point in &mut wall.line.0 {
            *point = map(*point);
        }
    }
    for outlet in &mut house.plan.outlets {
        outlet.position = map(outlet.position);
    }
    for spot in &mut house.spots {
        spot.1 = map(spot.1);
    }
    house
}

fn assert_same_lengths(
    one: &[Option<WireRun>],
    other: &[Option<WireRun>],
) -> Result<(), TestCaseError> {
    for (a, b) in one.iter().zip(other) {
        match (a, b) {
            (None, None) => {}
            (Some(a), Some(b)) => {
                prop_assert!((a.length_m - b.length_m).abs() < 1e-9, "{a:?} against {b:?}");
            }
            _ => prop_assert!(false, "{a:?} against {b:?}"),
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_wire_is_never_shorter_than_the_straight_line(house in houses()) {
        for (run, spot) in runs(&house.plan, &house.spots).iter().zip(&house.spots) {
            let Some(run) = run else { continue };
            check_route(run);
            let from = &house.plan.outlets[run.outlet_index];
            prop_assert_eq!(&from.id, &run.outlet);
            let to = spot.1 - from.position;
            let up = (spot.2 - from.height_m).abs();
            // Level and upright legs: never less than plan distance and height together. What lies
            // in an opening belongs to the next wall, and is off it by that much.
            let least = to.x.hypot(to.y) + up - run.off_wall_m;
            prop_assert!(run.length_m >= least - 1e-9, "{run:?} {from:?} {spot:?}");
            let (first, last) = (run.route.first().unwrap(), run.route.last().unwrap());
            prop_assert!((first.2 - from.height_m).abs() < 1e-9 && (last.2 - spot.2).abs() < 1e-9);
            prop_assert_eq!((first.0, last.0), (from.level, spot.0));
            // Every leg of the route lies on walls of its level.
            for leg in run.route.windows(2).filter(|leg| leg[0].0 == leg[1].0) {
                for step in 0..=20 {
                    let place = leg[0].1 + (leg[1].1 - leg[0].1) * (f64::from(step) / 20.0);
                    let level = leg[0].0;
                    let on_wall = house.plan.walls.iter().any(|wall| {
                        wall.level == level && wall.line.lines().any(|line| {
                            let (run, to) = (line.end - line.start, place - line.start);
                            let square = run.x * run.x + run.y * run.y;
                            let t = ((to.x * run.x + to.y * run.y) / square).clamp(0.0, 1.0);
                            let off = to - run * t;
                            off.x.hypot(off.y) < 0.05
                        })
                    });
                    prop_assert!(on_wall, "{place:?} of {:?} is on no wall", run.route);
                }
            }
        }
    }

    #[test]
    fn in_a_plan_of_right_angles_it_is_never_less_than_both_distances(
        x in 1.0_f64..9.0,
        y in 1.0_f64..5.0,
        (a, b) in (0.0_f64..1.0, 0.0_f64..1.0),
    ) {
        let mut plan = storeys(1);
        wall(&mut plan, 0, &[(0.0, 0.0), (10.0, 0.0), (10.0, 6.0), (0.0, 6.0), (0.0, 0.0)]);
        wall(&mut plan, 0, &[(x, 0.0), (x, 6.0)]);
        wall(&mut plan, 0, &[(0.0, y), (10.0, y)]);
        outlet(&mut plan, 0, at(10.0 * a, 0.0), 0.3);
        let run = network(&plan).to(0, at(x, 6.0 * b), 1.5).unwrap();
        prop_assert!(run.length_m >= (10.0 * a - x).abs() + 6.0 * b + 1.2 - 1e-9);
        // By the floor, straight along the outer wall and the partition.
        let by_floor = 0.3 + (10.0 * a - x).abs() + 6.0 * b + 1.5;
        prop_assert!(run.length_m <= by_floor + 1e-9);
    }

    #[test]
    fn more_outlets_never_make_it_longer(house in houses()) {
        let mut fewer = house.clone();
        fewer.plan.outlets.truncate(1);
        let pairs = runs(&fewer.plan, &fewer.spots).into_iter().zip(runs(&house.plan, &house.spots));
        for (few, more) in pairs {
            if let Some(few) = few {
                let more = more.unwrap();
                prop_assert!(more.length_m <= few.length_m + 1e-9);
            }
        }
    }

    #[test]
    fn turning_mirroring_and_moving_the_plan_changes_nothing(
        house in houses(),
        angle in 0.0_f64..std::f64::consts::TAU,
        (dx, dy) in (-50.0_f64..50.0, -50.0_f64..50.0),
    ) {
        let before = runs(&house.plan, &house.spots);
        let (sin, cos) = angle.sin_cos();
        let turned = carried(&house, &|p| at(cos * p.x - sin * p.y + dx, sin * p.x + cos * p.y + dy));
        assert_same_lengths(&before, &runs(&turned.plan, &turned.spots))?;
        let mirrored = carried(&house, &|p| at(-p.x, p.y));
        assert_same_lengths(&before, &runs(&mirrored.plan, &mirrored.spots))?;
    }

    #[test]
    fn the_direction_in_which_walls_are_drawn_changes_nothing(house in houses()) {
        let mut reversed = house.clone();
        for wall in &mut reversed.plan.walls {
            wall.line.0.reverse();
        }
        for opening in &mut reversed.plan.openings {
            let wall = &house.plan.walls[opening.wall];
            let line = wall.line.lines().nth(opening.segment).unwrap();
            let length = (line.end - line.start).x.hypot((line.end - line.start).y);
            opening.segment = wall.line.0.len() - 2 - opening.segment;
            (opening.from_m, opening.to_m) = (length - opening.to_m, length - opening.from_m);
        }
        let before = runs(&house.plan, &house.spots);
        assert_same_lengths(&before, &runs(&reversed.plan, &reversed.spots))?;
    }
}
