//! The model beside full-wave solutions of three houses.

use std::collections::BTreeMap;
use std::fs::read_to_string;
use std::io::Write;
use std::path::Path;

use fixtures::full_wave::{Case, Score};
use forecast::Adding;
use serde::Deserialize;

use super::Diagnostic;
use super::files::rows;

/// One transmitter in one house.
#[derive(Debug, Clone, Deserialize)]
struct Solved {
    case: u32,
    house: String,
    mhz: f64,
    source_x: f64,
    source_y: f64,
    source_z: f64,
    /// Holds `ground-1` for soil below the lowest slab, `tight-1` for joined metal.
    variant: String,
}

/// Loss over free space at one point, dB.
#[derive(Debug, Clone, Copy, Deserialize)]
struct Point {
    case: u32,
    x: f64,
    y: f64,
    z: f64,
    excess_db: f64,
}

/// Prints bias and root mean square of the errors of both ways of adding paths, case by case.
pub fn compare(folder: &Path, out: &mut impl Write) -> Result<(), Diagnostic> {
    writeln!(out, "\n## Full-wave solutions\n")?;
    writeln!(out, "Forecast less solution, bias / RMSE in dB, ideal walls, first reflections.\n")?;
    writeln!(out, "| case | where | points | waves | powers |\n| --- | --- | --- | --- | --- |")?;
    let cases: Vec<Solved> = rows(&folder.join("cases.csv"))?;
    let mut all: BTreeMap<String, [Vec<f64>; 2]> = BTreeMap::new();
    for (file, place) in [("reference.csv", "room"), ("reference_on_walls.csv", "wall")] {
        let points: Vec<Point> = rows(&folder.join(file))?;
        for solved in &cases {
            let own: Vec<&Point> = points.iter().filter(|p| p.case == solved.case).collect();
            if own.is_empty() {
                continue;
            }
            let name = format!("{}.geojson", solved.house);
            let root = fixtures::root();
            let drawn = root.join("tests/fixtures/full_wave").join(&name);
            let text = read_to_string(drawn)
                .or_else(|_| read_to_string(root.join("floorplans").join(&name)))?;
            let source = [solved.source_x, solved.source_y, solved.source_z];
            let holds = |what: &str| solved.variant.contains(what);
            let case = Case::new(&text, solved.mhz, source, holds("ground-1"), holds("tight-1"));
            let at: Vec<[f64; 3]> = own.iter().map(|p| [p.x, p.y, p.z]).collect();
            let both = [Adding::Waves, Adding::Powers].map(|adding| case.forecast(&at, adding));
            let mut errors: BTreeMap<String, [Vec<f64>; 2]> = BTreeMap::new();
            for (number, point) in own.iter().enumerate() {
                let place = if both[0][number].metal { "metal" } else { place };
                let name = format!("{} {}, {}", solved.house, solved.mhz, solved.variant);
                for (way, found) in both.iter().enumerate() {
                    let error = found[number].excess_db - point.excess_db;
                    errors.entry(format!("{name} | {place}")).or_default()[way].push(error);
                    all.entry(format!("all | {place}")).or_default()[way].push(error);
                }
            }
            print(out, &errors)?;
        }
    }
    print(out, &all)
}

fn print(out: &mut impl Write, errors: &BTreeMap<String, [Vec<f64>; 2]>) -> Result<(), Diagnostic> {
    for (what, both) in errors {
        let [waves, powers] = both.each_ref().map(|errors| Score::of(errors));
        writeln!(
            out,
            "| {what} | {} | {:+.1} / {:.1} | {:+.1} / {:.1} |",
            waves.count, waves.bias, waves.rmse, powers.bias, powers.rmse
        )?;
    }
    Ok(())
}
