//! How long the search for the panel's spot takes.
//!
//! `cargo bench --bench place`. A shipped house of two storeys with spots along every wall face and
//! its maps at 0.1 m, and an office of 250 walls and 100 sensors with spots a metre apart.

#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on should stop")]

use fixtures::office;

use std::hint::black_box;
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use forecast::{LinkOverride, MAP_MISSES, Model, Site, vocabulary};
use plan::{Plan, read};
use siting::map::worst_field;
use siting::reach::Reach;
use siting::siting::{Siting, SitingSettings};

fn time(bench: &mut Criterion, name: &str, plan: &Plan, (spacing_m, cell_m): (f64, f64)) {
    let over = LinkOverride { link: None, frequency: None };
    let model = Model { cell_m, ..Model::default() };
    let mut settings = SitingSettings::default();
    settings.spots.spacing_m = spacing_m;
    bench.bench_function(&format!("{name}: images of all devices"), |b| {
        b.iter(|| {
            let site = Site::new(black_box(plan), model, over.clone(), None).unwrap();
            Reach::new(&site).unwrap().transmitters.len()
        });
    });
    let site = Site::new(plan, model, over, None).unwrap();
    let reach = Reach::new(&site).unwrap();
    let spots = Siting::new(&reach, &settings, &|_| {}).unwrap().objectives.len();
    bench.bench_function(&format!("{name}: {spots} spots"), |b| {
        b.iter(|| Siting::new(&reach, &settings, &|_| {}).unwrap());
    });
    bench.bench_function(&format!("{name}: maps of {} levels", plan.levels.len()), |b| {
        b.iter(|| {
            let levels = plan.levels.iter();
            let height_m = settings.spots.height_m;
            levels
                .map(|level| {
                    worst_field(&reach, level, level.floor_m + height_m, &[], MAP_MISSES, &|_| {})
                        .unwrap()
                })
                .collect::<Vec<_>>()
        });
    });
}

fn house(bench: &mut Criterion) {
    let text = include_bytes!("../../floorplans/brick-house.geojson");
    let mut plan = read("house", text, &vocabulary()).unwrap().plan;
    plan.mountables.clear();
    time(bench, "brick house", &plan, (0.25, 0.1));
}

fn offices(bench: &mut Criterion) {
    let text = office::office_geojson(250, 100);
    let plan = read("office", text.as_bytes(), &vocabulary()).unwrap().plan;
    // A quarter of the usual spots and a sixteenth of the cells, lest ten samples take ten minutes.
    time(bench, "office of 250 walls and 100 sensors", &plan, (1.0, 0.4));
}

fn short() -> Criterion {
    Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_millis(100))
        .measurement_time(Duration::from_secs(2))
}

criterion_group! {
    name = benches;
    config = short();
    targets = house, offices
}
criterion_main!(benches);
