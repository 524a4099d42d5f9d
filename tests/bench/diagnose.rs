//! How long a calibration takes.
//!
//! `cargo bench --bench diagnose`. An office of 250 walls with 40 sensors and 2,000 readings of all
//! sorts, and a shipped house of two storeys with twenty.

#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::unwrap_used, reason = "a bench that cannot go on should stop")]

use fixtures::office;

use std::hint::black_box;
use std::time::Duration;

use criterion::{Criterion, criterion_group, criterion_main};
use diagnose::{Circumstance, Network, Reading, Seen, calibrate};
use forecast::{LinkOverride, Model, Site, vocabulary};
use plan::{DeviceKind, Plan, read};
use units::{Db, Dbm};

/// So many readings of all sensors in turn, about their forecasts.
fn readings(site: &Site<'_>, count: usize) -> Vec<Reading> {
    let network = Network::new(site).unwrap();
    let sensors: Vec<_> = network.hops.iter().filter(|hop| hop.listener == 0).collect();
    let one = |number: usize| {
        let hop = sensors[number % sensors.len()];
        let round = number / sensors.len();
        let off = ((number * 7_919) % 23) as f64 - 11.0;
        let level = Dbm((hop.received + Db(off)).0.round());
        let seen = match round % 4 {
            0 | 1 => Seen::Level(level),
            2 => Seen::Between {
                low: Some(Dbm((level.0 / 10.0).floor() * 10.0)),
                high: Some(Dbm((level.0 / 10.0).floor() * 10.0 + 10.0)),
            },
            _ => Seen::CheckIn { heard: !number.is_multiple_of(5) || hop.figures.margin.0 > 10.0 },
        };
        Reading {
            sensor: Some(site.plan.devices[hop.device].id.clone()),
            listener: None,
            time_min: Some(round as f64 * 61.0),
            seen,
            circumstance: Circumstance::AsFound,
            remarks: Vec::new(),
            line: number + 2,
        }
    };
    (0..count).map(one).collect()
}

fn time(bench: &mut Criterion, name: &str, plan: &Plan, count: usize) {
    let over = LinkOverride::default();
    let site = Site::new(plan, Model::default(), over, None).unwrap();
    let sensors = plan.devices.iter().filter(|d| d.kind == DeviceKind::Sensor);
    let readings = readings(&site, count);
    let title = format!("{name}: {} sensors, {count} readings", sensors.count());
    bench.bench_function(&format!("{title}, hops"), |b| {
        b.iter(|| Network::new(black_box(&site)).unwrap().hops.len());
    });
    bench.bench_function(&title, |b| {
        b.iter(|| calibrate(black_box(&site), &readings).unwrap().rounds);
    });
}

fn both(bench: &mut Criterion) {
    let text = include_bytes!("../../floorplans/brick-house.geojson");
    let house = read("house", text, &vocabulary()).unwrap().plan;
    time(bench, "brick house", &house, 20);
    let text = office::office_geojson(250, 40);
    let office = read("office", text.as_bytes(), &vocabulary()).unwrap().plan;
    time(bench, "office", &office, 2_000);
}

criterion_group! {
    name = benches;
    config = Criterion::default()
        .sample_size(10)
        .warm_up_time(Duration::from_secs(1))
        .measurement_time(Duration::from_secs(4));
    targets = both
}
criterion_main!(benches);
