//! The six links of the building at 868 MHz: a check of scale, since little is known of it.

use std::io::Write;
use std::path::Path;

use drillonce::radio::{self, Polarisation, construction, free_space_loss, slab_response};
use drillonce::units::Metres;

use super::Diagnostic;
use super::files::{Indoor, rows};
use super::fit::{mean, rms};
use super::readings::{self, Measured, Survey, sigma_of};

/// The link at whose frequency the walls are taken.
const LINK: &str = "eu-868.3";

/// What "concrete or brick" and "wood" walls may be (a choice; the data do not tell).
const PAIRS: [(&str, &str); 3] = [
    ("brick-half", "stud-partition"),
    ("concrete-100", "stud-partition"),
    ("concrete-200", "door-solid"),
];

/// Prints the table of the building.
pub fn compare(folder: &Path, out: &mut impl Write) -> Result<(), Diagnostic> {
    let links: Vec<Indoor> = rows(&folder.join("links.csv"))?;
    writeln!(
        out,
        "## Building, 868 MHz: measured loss less foretold, dB\n\n\
         | walls of | loss | six months: mean | spread | a year: mean | spread | each, a year |\n\
         | --- | --- | --- | --- | --- | --- | --- |"
    )?;
    let frequency = radio::link(LINK).ok_or("no such link")?.frequency;
    let free_space = |link: &Indoor| free_space_loss(Metres(link.distance_m), frequency).0;
    row(out, &links, "none", "free space", &free_space)?;
    for (heavy, light) in PAIRS {
        for typical in [true, false] {
            let (heavy_loss, light_loss) = (wall(heavy, typical)?, wall(light, typical)?);
            let predicted = |link: &Indoor| {
                free_space(link)
                    + f64::from(link.concrete_or_brick_walls) * heavy_loss
                    + f64::from(link.wood_walls) * light_loss
            };
            let walls = format!("{heavy} {heavy_loss:.1} dB, {light} {light_loss:.1} dB");
            let what = if typical { "typical" } else { "ideal" };
            row(out, &links, &walls, what, &predicted)?;
        }
    }
    writeln!(out)?;
    let (heavy, light) = PAIRS[0];
    with_readings(&links, (heavy, light), out)
}

/// Errors with a few readings. Where the links are is not known: they count as far from one
/// another.
fn with_readings(
    links: &[Indoor],
    (heavy, light): (&str, &str),
    out: &mut impl Write,
) -> Result<(), Diagnostic> {
    let frequency = radio::link(LINK).ok_or("no such link")?.frequency;
    let losses = [wall(heavy, true)?, wall(light, true)?];
    let measured = links.iter().enumerate().map(|(number, link)| {
        let walls = [link.concrete_or_brick_walls, link.wood_walls].map(f64::from);
        let slopes = [walls[0] * losses[0], walls[1] * losses[1]];
        let free = free_space_loss(Metres(link.distance_m), frequency).0;
        Measured {
            level: -link.mean_pl_db_6mo,
            set: 0,
            receiver: 0,
            place: [1e6 * number as f64, 0.0, 0.0],
            distance_m: link.distance_m,
            walls,
            predicted: -free - slopes[0] - slopes[1],
            slopes: slopes.to_vec(),
        }
    });
    let survey = Survey {
        title: &format!("Building, walls of {heavy} and {light}, six months, with readings"),
        links: measured.collect(),
        constructions: vec![sigma_of(heavy, LINK)?, sigma_of(light, LINK)?],
        exponent: readings::OFFICE_EXPONENT,
        wall_losses: readings::COST_231,
        link: LINK,
        counts: &[0, 3, 5],
    };
    readings::compare(&survey, out)
}

/// Loss of a wall met straight on, dB.
fn wall(name: &str, typical: bool) -> Result<f64, Diagnostic> {
    let built = construction(name).ok_or("no such construction")?;
    let frequency = radio::link(LINK).ok_or("no such link")?.frequency;
    let layers = built.slab_layers(frequency);
    let slab = slab_response(&layers, frequency, 1.0, Polarisation::Mean).transmittance;
    let excess = if typical { built.excess.mean.0 } else { 0.0 };
    Ok(slab.to_loss().0 + excess)
}

fn row(
    out: &mut impl Write,
    links: &[Indoor],
    walls: &str,
    what: &str,
    predicted: &impl Fn(&Indoor) -> f64,
) -> Result<(), Diagnostic> {
    let off = |measured: fn(&Indoor) -> f64| -> Vec<f64> {
        links.iter().map(|link| measured(link) - predicted(link)).collect()
    };
    let half_year = off(|link| link.mean_pl_db_6mo);
    let year = off(|link| link.mean_pl_db_1yr_read_off_figure);
    let spread = |off: &[f64]| {
        let middle = mean(off);
        rms(&off.iter().map(|x| x - middle).collect::<Vec<f64>>())
    };
    let each: Vec<String> =
        links.iter().zip(&year).map(|(link, off)| format!("{} {off:+.0}", link.device)).collect();
    writeln!(
        out,
        "| {walls} | {what} | {:+.1} | {:.1} | {:+.1} | {:.1} | {} |",
        mean(&half_year),
        spread(&half_year),
        mean(&year),
        spread(&year),
        each.join(", ")
    )?;
    Ok(())
}
