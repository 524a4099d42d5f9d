//! How long the choice of repeaters takes: 40 places and 60 sensors, and 600 places for the panel.
//!
//! `cargo bench --bench cover`. Sensors and places are strewn over a floor; the chance of a fault
//! falls with the margin, and the margin with distance and by chance, so that a hop reaches about
//! as far as one does in a house. Before the benchmarks, 50 problems of each kind (10 with a
//! free panel) are solved once each, in 10 s at most, and the slowest is told.

#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::print_stdout, reason = "a bench talks")]

use criterion::{Criterion, criterion_group, criterion_main};
use siting::cover::{CoverProblem, Hops, Matrix, Proof, RepeaterOption, cover};
use std::hint::black_box;
use std::time::{Duration, Instant};

/// Floor of the building, metres.
const FLOOR_M: (f64, f64) = (36.0, 24.0);

/// A generator of numbers 0 to 1 (splitmix64; Steele, Lea and Flood 2014, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut x = self.0;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((x ^ (x >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn spot(&mut self) -> (f64, f64) {
        (self.roll() * FLOOR_M.0, self.roll() * FLOOR_M.1)
    }

    /// Chance of a fault of a hop: 1 % at a margin of 0 dB, ten times less for each 8 dB more.
    fn chance(&mut self, a: (f64, f64), b: (f64, f64)) -> f64 {
        let far = (a.0 - b.0).hypot(a.1 - b.1).max(0.5);
        // Exponent 4 of distance, 0 dB at 12 m, and a spread of about 6 dB.
        let spread = (self.roll() + self.roll() + self.roll() - 1.5) * 12.0;
        let margin = 40.0 * (12.0 / far).log10() + spread;
        (0.01 * 10_f64.powf(-margin / 8.0)).min(1.0)
    }
}

#[derive(Clone, Copy)]
struct Kind {
    name: &'static str,
    panels: usize,
    sensors: usize,
    hops: Hops,
    capacity: Option<u32>,
    lose_one: bool,
}

const KINDS: [Kind; 9] = [
    kind("one hop", 1, Hops::One, None, false),
    kind("one hop, capacity 16", 1, Hops::One, Some(16), false),
    kind("two hops", 1, Hops::Two, None, false),
    kind("two hops, capacity 16", 1, Hops::Two, Some(16), false),
    kind("one hop, lose one, capacity 16", 1, Hops::One, Some(16), true),
    kind("two hops, lose one, capacity 16", 1, Hops::Two, Some(16), true),
    kind("600 panel places, one hop, capacity 16", 600, Hops::One, Some(16), false),
    kind("600 panel places, two hops, capacity 16", 600, Hops::Two, Some(16), false),
    kind("600 panel places, two hops, lose one, capacity 16", 600, Hops::Two, Some(16), true),
];

const fn kind(
    name: &'static str,
    panels: usize,
    hops: Hops,
    capacity: Option<u32>,
    lose_one: bool,
) -> Kind {
    Kind { name, panels, sensors: 60, hops, capacity, lose_one }
}

fn problem(kind: Kind, number: u64) -> CoverProblem {
    let mut dice = Dice(number * 1000 + 17);
    let sites = 40;
    // The panel stands anywhere within the middle half.
    let panel = |(x, y): (f64, f64)| (x / 2.0 + FLOOR_M.0 / 4.0, y / 2.0 + FLOOR_M.1 / 4.0);
    let panels: Vec<_> = (0..kind.panels).map(|_| panel(dice.spot())).collect();
    let places: Vec<_> = (0..sites).map(|_| dice.spot()).collect();
    let sensors: Vec<_> = (0..kind.sensors).map(|_| dice.spot()).collect();
    let mut table = |from: &[(f64, f64)], to: &[(f64, f64)]| {
        Matrix::from_fn(from.len(), to.len(), |a, b| dice.chance(from[a], to[b]))
    };
    CoverProblem {
        panels: kind.panels,
        sites: vec![RepeaterOption { capacity: kind.capacity, given: false }; sites],
        sensors: kind.sensors,
        sensor_panel: table(&sensors, &panels),
        sensor_site: table(&sensors, &places),
        site_panel: table(&places, &panels),
        site_site: table(&places, &places),
        sound_below: 0.01,
        sensor_below: Vec::new(),
        hops: kind.hops,
        lose_one: kind.lose_one,
    }
}

fn slowest() {
    for kind in KINDS {
        let (mut times, mut best, mut none, mut counts) = (Vec::new(), 0, 0, Vec::new());
        let many = if kind.panels > 1 { 10 } else { 50 };
        for number in 0..many {
            let problem = problem(kind, number);
            let start = Instant::now();
            let answer = cover(&problem, &|| start.elapsed() > Duration::from_secs(10));
            times.push(start.elapsed().as_secs_f64());
            match answer {
                Ok(answer) => {
                    best += usize::from(answer.proof == Proof::Best);
                    counts.push(answer.new.len());
                }
                Err(_) => none += 1,
            }
        }
        times.sort_by(f64::total_cmp);
        println!(
            "{}: median {:.3} s, worst {:.3} s; {best} proven best, {none} impossible; {} to {} repeaters",
            kind.name,
            times[times.len() / 2],
            times[times.len() - 1],
            counts.iter().min().unwrap_or(&0),
            counts.iter().max().unwrap_or(&0),
        );
    }
}

fn covers(criterion: &mut Criterion) {
    slowest();
    let mut group = criterion.benchmark_group("cover");
    group.sample_size(10);
    for kind in KINDS {
        let problem = problem(kind, 3);
        group.bench_function(kind.name, |bencher| {
            bencher.iter(|| cover(black_box(&problem), &|| false));
        });
    }
    group.finish();
}

criterion_group!(benches, covers);
criterion_main!(benches);
