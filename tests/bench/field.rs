//! How long a field takes, beside a loop of every cell against every wall.
//!
//! `cargo bench --bench field`. The office has 280 stretches of wall and 240,000 cells.

#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::print_stdout, reason = "a bench talks")]

mod office;

use criterion::{Criterion, criterion_group, criterion_main};
use drillonce::budget::{Edges, LinkOverride, Model, Site, covering, field};
use drillonce::plan::{Device, DeviceKind, Level, Plan, Wall};
use drillonce::trace::{Grid, SurfaceId};
use geo::{Coord, LineString};
use rayon::prelude::*;
use std::hint::black_box;

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
        }],
        walls: walls
            .iter()
            .enumerate()
            .map(|(number, (a, b, construction))| Wall {
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
            kind: DeviceKind::Panel,
            level: 0,
            position: Coord { x: 21.37, y: 17.71 },
            height_m: 1.5,
            name: "panel".to_owned(),
            number: None,
            role: None,
            device: None,
            link: None,
            mount: None,
            supervised: true,
        }],
        ..Plan::default()
    }
}

/// 240,000 cells over the building.
fn grid(plan: &Plan) -> Grid {
    let points: Vec<Coord<f64>> = plan
        .walls
        .iter()
        .flat_map(|wall| wall.line.0.clone())
        .collect();
    let (low, high) = drillonce::trace::bounding_box(&points);
    let cell = ((high.x - low.x) * (high.y - low.y) / 240_000.0).sqrt();
    covering(low, high, cell, 1.5)
}

/// The walls of the plain loop, seen from the transmitter.
struct Walls {
    ax: Vec<f64>,
    ay: Vec<f64>,
    bx: Vec<f64>,
    by: Vec<f64>,
    nx: Vec<f64>,
    ny: Vec<f64>,
    offset: Vec<f64>,
    surface: Vec<SurfaceId>,
}

/// Every cell against every wall: what a compiled program does without thought for the geometry.
/// The tests are laid out so that the compiler can use vector instructions.
fn plain_field(site: &Site<'_>, grid: &Grid) -> Vec<f64> {
    let link = site.link(None).expect("the default link exists");
    let view = site
        .view(link.frequency)
        .expect("its frequency is prepared");
    let from = site.panel.device.position;
    let mut walls = Walls {
        ax: vec![],
        ay: vec![],
        bx: vec![],
        by: vec![],
        nx: vec![],
        ny: vec![],
        offset: vec![],
        surface: vec![],
    };
    for screen in &site.scene.screens {
        let (a, b) = (screen.start - from, screen.point(screen.length) - from);
        walls.ax.push(a.x);
        walls.ay.push(a.y);
        walls.bx.push(b.x);
        walls.by.push(b.y);
        walls.nx.push(screen.normal.x);
        walls.ny.push(screen.normal.y);
        walls.offset.push(-screen.offset(from));
        walls.surface.push(screen.body.surface);
    }
    let count = walls.surface.len();
    let mut gains = vec![0.0; grid.columns * grid.rows];
    gains
        .par_chunks_mut(grid.columns)
        .enumerate()
        .for_each_init(
            || vec![0u8; count],
            |hits, (row, cells)| {
                for (column, gain) in cells.iter_mut().enumerate() {
                    let d = grid.centre(column, row) - from;
                    let length = (d.x * d.x + d.y * d.y).sqrt();
                    for (wall, hit) in hits.iter_mut().enumerate() {
                        let left = d.x * walls.ay[wall] - d.y * walls.ax[wall];
                        let right = d.x * walls.by[wall] - d.y * walls.bx[wall];
                        let near = -walls.offset[wall];
                        let far = walls.nx[wall] * d.x + walls.ny[wall] * d.y + near;
                        *hit = u8::from(left * right < 0.0) & u8::from(near * far < 0.0);
                    }
                    let mut kept = 1.0;
                    for wall in (0..count).filter(|wall| hits[*wall] != 0) {
                        let cos = (walls.nx[wall] * d.x + walls.ny[wall] * d.y).abs() / length;
                        kept *= view.surfaces.get(walls.surface[wall]).transmitted(cos);
                    }
                    *gain = kept * view.spreading(length);
                }
            },
        );
    gains
}

fn fields(criterion: &mut Criterion) {
    let plan = office();
    let grid = grid(&plan);
    let mut group = criterion.benchmark_group(format!(
        "field of {} cells, {WALLS} walls",
        grid.columns * grid.rows
    ));
    group.sample_size(10);
    let site = |reflections, openings| {
        let model = Model {
            reflections,
            openings,
            ..Model::default()
        };
        Site::new(&plan, model, LinkOverride::default(), None).expect("the office can be assessed")
    };
    let run = |site: &Site<'_>| {
        let link = site.link(None).expect("the default link exists");
        let view = site
            .view(link.frequency)
            .expect("its frequency is prepared");
        field(&view, &site.panel.tree, 1.5, &grid, &|_| {})
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
        bench.iter(|| black_box(run(&direct)))
    });
    let soft = site(0, Edges::Soft);
    group.bench_function("direct with soft edges", |bench| {
        bench.iter(|| black_box(run(&soft)))
    });
    for order in [1, 2] {
        let reflected = site(order, Edges::Sharp);
        println!(
            "order {order}: {} images",
            reflected.panel.tree.images.len()
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
