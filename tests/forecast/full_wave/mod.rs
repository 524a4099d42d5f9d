//! The ray model against a full-wave solution of Maxwell's equations.
//!
//! A house is solved in two dimensions, electric field upright, by finite differences in the time
//! domain, and the local mean of the level at several hundred receivers for each of six
//! transmitters is held against the rays' loss beyond free space. The solver is first held against
//! closed forms of its own: the line source in free space and behind an infinite slab.
//!
//! # What two dimensions mean
//! All walls reach from minus to plus infinity, and power falls with 1/d. So a path of the library
//! counts here with its interactions and (direct length)/(its length), not with the square.
//!
//! # Grid
//! Halving the cells (28 and 22 mm to 14 and 11 mm; both houses, 10,600 receivers) moved no bias
//! and no RMSE of a class of 300 receivers or more by more than 0.15 dB, most by less than 0.05 dB.
//!
//! # What is asked of the rays
//! In the first house the library must reach [`YARDSTICK`]. The second one, brick throughout, is
//! harder for every ray model (RMSE 3.7 to 4.1 dB at order 1, beyond the yardstick): there only the
//! order of the models is asked for. Run with `--nocapture` to see the tables.

mod grid;
mod house;
mod library;
mod plan;
mod rays;
mod slab;
mod solver;
mod survey;
mod table;

use std::f64::consts::TAU;

use forecast::Edges;
use house::{Build, House};
use library::{LibraryRays, plan_of};
use rays::{FreeSpace, PlainRays, RayModel};
use solver::{C, Medium, Pulse, radiate};
use survey::{BAND_319, BAND_433, Band, Reading, free_space, line_source, source_strength, survey};
use table::{CLASSES, Score, head, row, score};

/// How far the solver may be off the field in free space, dB (measured: 0.017 dB, at 0.5 m).
const FREE_SPACE_TOLERANCE_DB: f64 = 0.03;

/// How far the solver may be off the field behind a slab, dB. Measured: 0.034 dB behind half a
/// brick, less than 0.02 dB behind the lighter sheets; with cells of 25 and 20 mm, whose nodes lie
/// otherwise to the faces, up to 0.07 dB.
const SLAB_TOLERANCE_DB: f64 = 0.1;

/// Bias and RMSE, dB, of direct path and first reflections in a full-wave comparison made
/// independently of this one: another house (12 × 9 m, brick and stud), 319.5 and 433.92 MHz, cells
/// of 10 mm, 1,200 points (calculated figures of this project, not published). Classes as in
/// [`CLASSES`].
const YARDSTICK: [(f64, f64); 7] =
    [(-0.2, 3.4), (-1.0, 3.1), (0.0, 3.4), (0.1, 3.4), (0.4, 4.3), (3.1, 5.0), (2.0, 5.5)];

/// What a class's bias may exceed the yardstick's magnitude by, dB: two standard errors. The means
/// of the six transmitters scatter by 0.7 dB (all, line of sight, one wall) to 1.4 dB (three
/// walls) about their common mean, which makes 0.3–0.55 dB for the mean of six. The RMSE gets no
/// such allowance.
const BIAS_ALLOWANCE_DB: f64 = 1.0;

/// Receivers a class needs for a judgement: in a smaller one a single spot decides.
const ENOUGH: usize = 300;

#[test]
fn a_line_source_in_free_space_decays_as_the_hankel_function() {
    for band in [BAND_319, BAND_433] {
        let k = TAU * band.frequency_hz / C;
        let strength = source_strength(band);
        for (distance, power) in free_space(band) {
            let error = 10.0 * (power / strength / line_source(k * distance)).log10();
            assert!(error.abs() < FREE_SPACE_TOLERANCE_DB, "{error:+.4} dB at {distance:.2} m");
        }
    }
}

#[test]
fn behind_a_slab_the_solver_meets_the_plane_wave_spectrum() {
    for band in [BAND_319, BAND_433] {
        let strength = source_strength(band);
        for build in Build::SOLID {
            let mut worst: f64 = 0.0;
            for (across, along, power) in behind_slab(build, band) {
                let layers = build.layers(band.frequency_hz);
                let exact = slab::line_source_behind(&layers, band.frequency_hz, across, along);
                let error = 10.0 * (power / strength / exact.norm_sqr()).log10();
                worst = worst.max(error.abs());
            }
            println!("{:.2} MHz, {}: {worst:.3} dB", band.frequency_hz / 1e6, build.name());
            assert!(worst < SLAB_TOLERANCE_DB, "{}: {worst:.3} dB", build.name());
        }
    }
}

/// Squared amplitudes behind an infinite slab, 1.1 m beyond the source, up to 1.9 m aside (60°):
/// distance across the slab, along it, power.
fn behind_slab(build: Build, band: Band) -> Vec<(f64, f64, f64)> {
    let Band { frequency_hz, cell_m } = band;
    let nodes = |length_m: f64| (length_m / cell_m).round() as usize;
    let (nx, ny) = (nodes(5.0) + 1, nodes(2.2) + 1);
    let mut medium = Medium::vacuum(nx, ny, cell_m);
    let mut face = 1.0;
    for layer in build.layers(frequency_hz) {
        let back = face + layer.thickness_m;
        for j in 0..ny {
            let (low, high) = ((j as f64 - 0.5) * cell_m, (j as f64 + 0.5) * cell_m);
            let share = (back.min(high) - face.max(low)).max(0.0) / cell_m;
            for node in j * nx..(j + 1) * nx {
                medium.permittivity[node] += share * (layer.permittivity - 1.0);
                medium.conductivity[node] += share * layer.conductivity;
            }
        }
        face = back;
    }
    let (source, line) = (nodes(0.5) * nx + nx / 2, nodes(1.6));
    let steps: Vec<usize> = (0..20).map(|n| nodes(0.1 * f64::from(n))).collect();
    let probes: Vec<usize> = steps.iter().map(|step| line * nx + nx / 2 + step).collect();
    let (field, _) = radiate(&medium, source, &probes, Pulse { frequency_hz, follow_s: 60e-9 });
    let across = (line - nodes(0.5)) as f64 * cell_m;
    steps
        .iter()
        .zip(field)
        .map(|(&s, (re, im))| (across, s as f64 * cell_m, re * re + im * im))
        .collect()
}

#[test]
fn the_plan_is_the_house_that_was_solved() {
    for house in [House::partitioned(), House::masonry()] {
        let plan = plan_of(&house);
        assert_eq!(plan.walls.len(), house.walls.len());
        let openings: Vec<_> = house.walls.iter().flat_map(|wall| &wall.openings).collect();
        assert_eq!(plan.openings.len(), openings.len());
        for (read, drawn) in plan.openings.iter().zip(openings) {
            assert!((read.from_m - drawn.from).abs() < 1e-9 && (read.to_m - drawn.to).abs() < 1e-9);
            assert_eq!(read.open, drawn.build == Build::Open);
        }
    }
}

#[test]
fn the_ray_model_is_as_good_as_the_yardstick() {
    let house = House::partitioned();
    let readings = survey(&house, &[BAND_319, BAND_433]);
    let frequencies = [BAND_319.frequency_hz, BAND_433.frequency_hz];
    let scores =
        print_table("Stud and brick, 319.5 and 433.92 MHz", &house, &readings, &frequencies);
    for (name, found) in &scores {
        if !name.starts_with("library, order 1") {
            continue;
        }
        for ((class, score), (bias_db, rmse_db)) in CLASSES.iter().zip(found).zip(YARDSTICK) {
            if score.count < ENOUGH {
                assert_eq!(*class, "> 75°", "only the grazing class is small in this house");
                continue;
            }
            let bar = bias_db.abs() + BIAS_ALLOWANCE_DB;
            assert!(score.rmse_db <= rmse_db, "{name}, {class}: RMSE {:.2} dB", score.rmse_db);
            assert!(score.bias_db.abs() <= bar, "{name}, {class}: bias {:+.2} dB", score.bias_db);
        }
    }
    let plain = PlainRays { house: &house, reflections: true };
    let library = LibraryRays::new(&house, &frequencies, 1, Edges::Sharp);
    for r in &readings {
        let plain = plain.excess_db(r.frequency_hz, r.tx, r.rx);
        let library = library.excess_db(r.frequency_hz, r.tx, r.rx);
        let place = format!("{:?} to {:?}, {} Hz", r.tx, r.rx, r.frequency_hz);
        // Two programs for the same physics; measured: 2e-9 dB.
        assert!((plain - library).abs() < 1e-6, "{place}: {plain} dB, library {library} dB");
    }
}

#[test]
fn in_a_house_of_brick_reflections_and_soft_edges_help() {
    let house = House::masonry();
    let readings = survey(&house, &[BAND_319]);
    let scores = print_table("Brick, 319.5 MHz", &house, &readings, &[BAND_319.frequency_hz]);
    let overall =
        |name: &str| scores.iter().find(|s| s.0 == name).expect("a row of the table").1[0];
    let free = overall("free space");
    let direct = overall("library, order 0, sharp");
    let sharp = overall("library, order 1, sharp");
    let soft = overall("library, order 1, soft");
    assert!(soft.rmse_db < sharp.rmse_db && sharp.rmse_db < direct.rmse_db);
    assert!(sharp.rmse_db < free.rmse_db);
    assert!(soft.bias_db.abs() < direct.bias_db.abs() && soft.bias_db.abs() < free.bias_db.abs());
}

/// Prints and returns the scores of all models.
fn print_table(
    title: &str,
    house: &House,
    readings: &[Reading],
    frequencies_hz: &[f64],
) -> Vec<(String, [Score; 7])> {
    let mut models: Vec<(String, Box<dyn RayModel + '_>)> = vec![
        ("free space".to_owned(), Box::new(FreeSpace)),
        ("plain rays, order 0".to_owned(), Box::new(PlainRays { house, reflections: false })),
        ("plain rays, order 1".to_owned(), Box::new(PlainRays { house, reflections: true })),
    ];
    for order in 0..=2 {
        for (word, edges) in [("sharp", Edges::Sharp), ("soft", Edges::Soft)] {
            let name = format!("library, order {order}, {word}");
            models.push((name, Box::new(LibraryRays::new(house, frequencies_hz, order, edges))));
        }
    }
    let scores: Vec<(String, [Score; 7])> = models
        .iter()
        .map(|(name, model)| (name.clone(), score(model.as_ref(), readings)))
        .collect();
    println!("{}", head(title, &scores[0].1));
    for (name, found) in &scores {
        println!("{}", row(name, found));
    }
    scores
}
