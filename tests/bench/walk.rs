//! How long walks take.
//!
//! `cargo bench --bench walk`. An office of 250 walls with its doors, and a shipped house.

#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on should stop")]

use fixtures::office;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use forecast::vocabulary;
use geo::Coord;
use plan::{Plan, read};
use siting::walk::{WalkMap, WalkSettings, passable_by_default};

fn map(plan: &Plan) -> WalkMap {
    let passable = |opening: &_| passable_by_default(plan, opening);
    WalkMap::new(plan, &WalkSettings::USUAL, &passable).unwrap()
}

/// A spot every so often along both faces of every wall.
fn spots(plan: &Plan, every_m: f64) -> Vec<(Coord<f64>, Coord<f64>)> {
    let mut found = Vec::new();
    for wall in plan.walls.iter().filter(|wall| wall.level == 0) {
        for line in wall.line.lines() {
            let length = line.dx().hypot(line.dy());
            let normal = Coord { x: -line.dy() / length, y: line.dx() / length };
            let mut along = 0.5 * every_m;
            while along < length {
                let on = line.start + line.delta() * (along / length);
                found.extend([(on, normal), (on, normal * -1.0)]);
                along += every_m;
            }
        }
    }
    found
}

fn time(bench: &mut Criterion, name: &str, plan: &Plan) {
    bench.bench_function(&format!("{name}: map"), |b| b.iter(|| map(black_box(plan))));
    let map = map(plan);
    bench.bench_function(&format!("{name}: searches from the entries"), |b| {
        b.iter(|| map.from_entries());
    });
    let walks = map.from_entries();
    let spots = spots(plan, 0.5);
    let mut next = spots.iter().cycle();
    bench.bench_function(&format!("{name}: one of {} spots", spots.len()), |b| {
        b.iter(|| next.next().map(|(on, normal)| walks.to(0, *on, Some(*normal))));
    });
}

fn walks(bench: &mut Criterion) {
    let text = office::office_geojson(250, 100);
    let plan = read("office", text.as_bytes(), &vocabulary()).unwrap().plan;
    time(bench, "office of 250 walls", &plan);
    let text = include_bytes!("../../floorplans/brick-house.geojson");
    let plan = read("house", text, &vocabulary()).unwrap().plan;
    time(bench, "brick house", &plan);
}

criterion_group!(benches, walks);
criterion_main!(benches);
