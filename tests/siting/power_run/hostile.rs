//! Plans that no site is, and a large one.

use forecast::vocabulary;
use plan::{Plan, read};
use siting::wire::{TooDense, WireNetwork};

use crate::power_run::plans::{at, opening, outlet, storeys, wall};
use fixtures::office::office_geojson;

/// An office of 250 walls, a spot every so often along every wall: 10,000 in all.
#[test]
fn an_office_is_wired() {
    let text = office_geojson(250, 100);
    let plan: Plan = read("office", text.as_bytes(), &vocabulary()).unwrap().plan;
    assert!(!plan.outlets.is_empty());
    let network = WireNetwork::new(&plan).unwrap();
    let walls = plan.walls.iter().cycle().enumerate();
    let spots = walls.flat_map(|(number, wall)| {
        let share = (number as f64 * 0.618_034).fract();
        wall.line.lines().map(move |line| (wall.level, line.start + line.delta() * share))
    });
    let spots = spots.take(10_000);
    let wired = spots.filter(|(level, place)| network.to(*level, *place, 1.5).is_ok()).count();
    assert!(wired > 8_000, "{wired} of 10,000");
}

/// 20,000 walls through one point: refused.
#[test]
fn a_star_of_walls_is_refused() {
    let mut plan = storeys(1);
    for number in 0..20_000 {
        let (sin, cos) = (f64::from(number) * 1e-4).sin_cos();
        wall(&mut plan, 0, &[(-cos * 900.0, -sin * 900.0), (cos * 900.0, sin * 900.0)]);
    }
    let refused = WireNetwork::new(&plan).unwrap_err();
    assert_eq!(refused, TooDense);
}

/// Many walls, one over the other, many openings and outlets: it ends, with an answer or a refusal.
#[test]
fn a_tower_and_a_long_wall_end() {
    let mut plan = storeys(200);
    for level in 0..200 {
        for room in 0..20 {
            let x = f64::from(room) * 4.0;
            wall(&mut plan, level, &[(x, 0.0), (x + 4.0, 0.0), (x + 4.0, 4.0)]);
        }
    }
    outlet(&mut plan, 0, at(1.0, 0.0), 0.3);
    if let Ok(network) = WireNetwork::new(&plan) {
        let top = network.to(199, at(79.0, 0.0), 199.0 * 2.7 + 1.5).unwrap();
        assert_eq!(top.through_floors, 199);
        assert!((top.length_m - (78.0 + 199.0 * 2.7 + 1.2)).abs() < 1e-6);
    }

    let mut plan = storeys(1);
    let long = wall(&mut plan, 0, &[(0.0, 0.0), (2_000.0, 0.0)]);
    for number in 0..10_000 {
        let from = f64::from(number) * 0.2;
        opening(&mut plan, (long, 0), (from, from + 0.1), (0.5, 2.0));
        outlet(&mut plan, 0, at(from + 0.15, 0.0), 0.3);
    }
    let network = WireNetwork::new(&plan).unwrap();
    for number in 0..1_000 {
        let spot = at(f64::from(number) * 2.0 + 0.17, 0.0);
        assert!(network.to(0, spot, 1.5).unwrap().length_m < 1.5);
    }

    // A line of as many positions as a plan may have, in small steps.
    let mut plan = storeys(1);
    let points: Vec<(f64, f64)> = (0..200_000)
        .map(|number| (f64::from(number % 2_000), f64::from(number / 2_000) * 5.0))
        .collect();
    wall(&mut plan, 0, &points);
    outlet(&mut plan, 0, at(1.5, 0.0), 0.3);
    let network = WireNetwork::new(&plan);
    match network {
        Ok(network) => {
            assert!((network.to(0, at(1.5, 0.0), 1.5).unwrap().length_m - 1.2).abs() < 1e-9);
        }
        Err(fault) => assert_eq!(fault, TooDense),
    }
}

/// A plan made by hand with nonsense in it: no panic.
#[test]
fn nonsense_does_not_panic() {
    let mut plan = storeys(1);
    wall(&mut plan, 0, &[(0.0, 0.0), (f64::NAN, 1.0), (3.0, 0.0), (3.0, 0.0)]);
    let nowhere = wall(&mut plan, 0, &[(0.0, 0.0), (1.0, 0.0)]);
    plan.walls[nowhere].level = 5;
    wall(&mut plan, 0, &[]);
    let last = wall(&mut plan, 0, &[(0.0, 0.0), (4.0, 0.0)]);
    opening(&mut plan, (last, 0), (-1.0, 9.0), (3.0, 1.0));
    opening(&mut plan, (last, 0), (1.0, 2.0), (0.0, 1.0));
    plan.openings[1].wall = 99;
    outlet(&mut plan, 0, at(f64::NAN, 0.0), 0.3);
    outlet(&mut plan, 0, at(1.0, 0.0), f64::INFINITY);
    outlet(&mut plan, 0, at(1.0, 0.0), 0.3);
    let network = WireNetwork::new(&plan).unwrap();
    assert_eq!(network.unusable().count(), 2);
    assert!(network.to(0, at(f64::INFINITY, 0.0), 1.0).is_err());
    assert!(network.to(0, at(2.0, 0.0), f64::NAN).is_err());
    assert!(WireNetwork::new(&Plan::default()).is_ok());
}
