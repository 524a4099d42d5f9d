//! How long a field takes, beside a loop of every cell against every wall.
//!
//! `cargo bench --bench field`. The office has 280 stretches of wall and 240,000 cells.

#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::print_stdout, reason = "a bench talks")]

use fixtures::office;

use criterion::{Criterion, criterion_group, criterion_main};
use forecast::{
    Edges, Follower, LinkOverride, MAP_MISSES, Mask, Model, Site, covering, field_where,
};
use geo::{Coord, LineString};
use plan::{Device, DeviceKind, Level, Plan, Wall};
use rayon::prelude::*;
use std::hint::black_box;
use trace::{Grid, SurfaceId};

const WALLS: usize = 280;

fn office() -> Plan {
    let walls = office::office_walls(WALLS);
    Plan {
        name: "office".to_owned(),
        metres_per_unit: 1.0,
        levels: vec![Level {
            number: 0,
            name: "Ground".to_owned(),
            floor_m: 0.0,
            ceiling_m: 2.7,
            is_over_air: false,
        }],
        walls: walls
            .iter()
            .enumerate()
            .map(|(number, (a, b, construction))| Wall {
                thickness_mm: None,
                id: format!("w{number}"),
                level: 0,
                construction: (*construction).to_owned(),
                line: LineString(vec![Coord { x: a[0], y: a[1] }, Coord { x: b[0], y: b[1] }]),
                base_m: 0.0,
                top_m: 2.7,
            })
            .collect(),
        devices: vec![Device {
            id: "panel".to_owned(),
            position: Coord { x: 21.37, y: 17.71 },
            height_m: 1.5,
            name: "panel".to_owned(),
            ..Device::bare(DeviceKind::Panel, 0)
        }],
        ..Plan::default()
    }
}

/// 240,000 cells over the building.
fn grid(plan: &Plan) -> Grid {
    let points: Vec<Coord<f64>> = plan.walls.iter().flat_map(|wall| wall.line.0.clone()).collect();
    let (low, high) = trace::bounding_box(&points);
    let cell = ((high.x - low.x) * (high.y - low.y) / 240_000.0).sqrt();
    covering(low, high, cell, 1.5)
}

/// A wall of the plain loop, seen from the transmitter.
struct PlainWall {
    ax: f64,
    ay: f64,
    bx: f64,
    by: f64,
    nx: f64,
    ny: f64,
    offset: f64,
    surface: SurfaceId,
}

/// Every cell against every wall: what a compiled program does without thought for the geometry.
fn plain_field(site: &Site<'_>, grid: &Grid) -> Vec<f64> {
    let link = site.link(None).expect("the default link exists");
    let view = site.view(link.frequency).expect("its frequency is prepared");
    let from = site.panel.device.position;
    let seen = |screen: &trace::Screen| {
        let (a, b) = (screen.start - from, screen.point(screen.length) - from);
        PlainWall {
            ax: a.x,
            ay: a.y,
            bx: b.x,
            by: b.y,
            nx: screen.normal.x,
            ny: screen.normal.y,
            offset: screen.offset(from),
            surface: screen.body.surface,
        }
    };
    let walls: Vec<PlainWall> = site.scene.screens.iter().map(seen).collect();
    let mut gains = vec![0.0; grid.columns * grid.rows];
    gains.par_chunks_mut(grid.columns).enumerate().for_each(|(row, cells)| {
        for (column, gain) in cells.iter_mut().enumerate() {
            let d = grid.centre(column, row) - from;
            let length = (d.x * d.x + d.y * d.y).sqrt();
            let mut kept = 1.0;
            for wall in &walls {
                let left = d.x * wall.ay - d.y * wall.ax;
                let right = d.x * wall.by - d.y * wall.bx;
                if left * right >= 0.0 {
                    continue;
                }
                let across = wall.nx * d.x + wall.ny * d.y;
                if wall.offset * (across + wall.offset) < 0.0 {
                    let surface = view.surfaces.get(wall.surface);
                    kept *= surface.transmitted(across.abs() / length);
                }
            }
            *gain = kept * view.spreading(length);
        }
    });
    gains
}

/// Mean number of paths, over one cell in a thousand.
fn paths_a_cell(site: &Site<'_>, grid: &Grid) -> f64 {
    let link = site.link(None).expect("the default link exists");
    let view = site.view(link.frequency).expect("its frequency is prepared");
    let mut follower = Follower::default();
    let counts: Vec<usize> = (0..grid.columns * grid.rows)
        .step_by(1009)
        .map(|number| {
            let cell = grid.centre(number % grid.columns, number / grid.columns);
            view.paths(&mut follower, &site.panel.tree, (1.5, 1.5), cell).len()
        })
        .collect();
    counts.iter().sum::<usize>() as f64 / counts.len() as f64
}

fn fields(criterion: &mut Criterion) {
    let plan = office();
    let grid = grid(&plan);
    let mut group = criterion
        .benchmark_group(format!("field of {} cells, {WALLS} walls", grid.columns * grid.rows));
    group.sample_size(10);
    let site = |reflections, openings| {
        let model = Model { reflections, openings, ..Model::default() };
        Site::new(&plan, model, LinkOverride::default(), None).expect("the office can be assessed")
    };
    let run = |site: &Site<'_>| {
        let link = site.link(None).expect("the default link exists");
        let view = site.view(link.frequency).expect("its frequency is prepared");
        let all = Mask::new(&grid, 0..grid.rows, |_| true);
        field_where(&view, &site.panel.tree, 1.5, (&grid, &all), MAP_MISSES, &|_| {})
    };
    let direct = site(0, Edges::Sharp);
    let (ours, plain) = (run(&direct), plain_field(&direct, &grid));
    let worst = ours
        .iter()
        .zip(&plain)
        .map(|(a, b)| (10.0 * (a / b).log10()).abs())
        .filter(|apart| *apart > 1e-6)
        .count();
    println!("cells in which the plain loop differs (paths through a wall's end): {worst}");
    group.bench_function("direct, every cell against every wall", |bench| {
        bench.iter(|| black_box(plain_field(&direct, &grid)));
    });
    group.bench_function("direct, ours", |bench| {
        bench.iter(|| black_box(run(&direct)));
    });
    let soft = site(0, Edges::Soft);
    group.bench_function("direct with soft edges", |bench| {
        bench.iter(|| black_box(run(&soft)));
    });
    for order in [1, 2] {
        let reflected = site(order, Edges::Sharp);
        println!(
            "order {order}: {} images, {:.1} paths a cell",
            reflected.panel.tree.images.len(),
            paths_a_cell(&reflected, &grid)
        );
        group.bench_function(format!("reflections to order {order}, sharp"), |bench| {
            bench.iter(|| black_box(run(&reflected)));
        });
    }
    let usual = site(1, Edges::Soft);
    group.bench_function("reflections to order 1, soft", |bench| {
        bench.iter(|| black_box(run(&usual)));
    });
    group.finish();
}

criterion_group!(benches, fields);
criterion_main!(benches);
