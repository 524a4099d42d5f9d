//! Levels in a house from the full-wave solution, ready to be held against rays.

use std::f64::consts::TAU;

use rayon::prelude::*;

use super::house::House;
use super::solver::{ABSORBER_CELLS, C, Medium, Pulse, radiate};

/// How long the field is followed, s. With 100 ns the levels in the house still move by 1–2 dB
/// (rms, single points), from 200 to 300 ns by 0.05 dB, from 300 to 400 ns by 0.002 dB.
const FOLLOW_S: f64 = 250e-9;
/// Raster of the receivers, m.
const RASTER_M: f64 = 0.25;
/// Receivers keep this distance from every wall's centre line, m.
const WALL_CLEARANCE_M: f64 = 0.3;
/// Receivers keep this distance from the transmitter, m.
const NEAREST_M: f64 = 1.0;
/// Radius of the disc over which the power is averaged, in wavelengths: the local mean, without
/// the fading that no ray model can place.
const DISC_WAVELENGTHS: f64 = 0.35;
/// Raster of the samples in that disc, m.
const DISC_RASTER_M: f64 = 0.06;
/// Samples keep this distance from every wall's centre line, m.
const SAMPLE_CLEARANCE_M: f64 = 0.08;

/// A frequency and the cells that it is worth.
#[derive(Clone, Copy)]
pub struct Band {
    /// Frequency, Hz.
    pub frequency_hz: f64,
    /// Cell of the grid, m.
    pub cell_m: f64,
}

/// 319.5 MHz in cells of 28 mm (a 34th of the wavelength).
pub const BAND_319: Band = Band { frequency_hz: 319.5e6, cell_m: 0.028 };
/// 433.92 MHz in cells of 22 mm (a 31st of the wavelength).
pub const BAND_433: Band = Band { frequency_hz: 433.92e6, cell_m: 0.022 };

/// One receiver.
pub struct Reading {
    /// Frequency, Hz.
    pub frequency_hz: f64,
    /// Transmitter, m.
    pub tx: [f64; 2],
    /// Receiver, m.
    pub rx: [f64; 2],
    /// Loss beyond free space of the local mean power, dB.
    pub excess_db: f64,
    /// Walls on the straight line (open doorways are none).
    pub walls: usize,
    /// Largest incidence angle among them, degrees.
    pub incidence_deg: f64,
}

/// Squared size of the line source's field in free space at k·d, to a factor: |H0⁽²⁾(k·d)|².
pub fn line_source(phase: f64) -> f64 {
    libm::j0(phase).powi(2) + libm::y0(phase).powi(2)
}

/// Field of the solver's source in free space as (distance in m, squared amplitude), 0.5–1.5 m
/// away, along the grid's axis and diagonal.
pub fn free_space(band: Band) -> Vec<(f64, f64)> {
    let Band { frequency_hz, cell_m } = band;
    let n = (3.6 / cell_m) as usize + 2 * ABSORBER_CELLS;
    let centre = n / 2;
    let steps = (0.5 / cell_m) as usize..(1.5 / cell_m) as usize;
    let straight = steps.clone().map(|d| (d as f64 * cell_m, centre * n + centre + d));
    let diagonal = steps.map(|d| {
        let d = (d as f64 / 2f64.sqrt()) as usize;
        (d as f64 * 2f64.sqrt() * cell_m, (centre + d) * n + centre + d)
    });
    let (distances, probes): (Vec<f64>, Vec<usize>) = straight.chain(diagonal).unzip();
    let pulse = Pulse { frequency_hz, follow_s: 30e-9 };
    let (field, _) = radiate(&Medium::vacuum(n, n, cell_m), centre * n + centre, &probes, pulse);
    distances.into_iter().zip(field).map(|(d, (re, im))| (d, re * re + im * im)).collect()
}

/// The factor between the solver's squared amplitude and [`line_source`].
pub fn source_strength(band: Band) -> f64 {
    let k = TAU * band.frequency_hz / C;
    let field = free_space(band);
    field.iter().map(|&(d, power)| power / line_source(k * d)).sum::<f64>() / field.len() as f64
}

/// Every receiver of the house for each of its transmitters and each band, in a fixed order.
pub fn survey(house: &House, bands: &[Band]) -> Vec<Reading> {
    let jobs: Vec<(Band, f64, [f64; 2])> = bands
        .iter()
        .map(|&band| (band, source_strength(band)))
        .flat_map(|(band, strength)| House::TRANSMITTERS.map(|tx| (band, strength, tx)))
        .collect();
    let readings: Vec<Vec<Reading>> = jobs
        .par_iter()
        .with_max_len(1)
        .map(|&(band, strength, tx)| listen(house, tx, band, strength))
        .collect();
    readings.into_iter().flatten().collect()
}

fn listen(house: &House, tx: [f64; 2], band: Band, strength: f64) -> Vec<Reading> {
    let Band { frequency_hz, cell_m } = band;
    let k = TAU * frequency_hz / C;
    // Both ends move to a node, at most half a cell away.
    let tx = house.on_node(tx, cell_m);
    let distance = |p: [f64; 2]| (p[0] - tx[0]).hypot(p[1] - tx[1]);
    let receivers: Vec<[f64; 2]> = (0..28)
        .flat_map(|j| (0..36).map(move |i| (f64::from(i), f64::from(j))))
        .map(|(i, j)| house.on_node([0.13 + RASTER_M * i, 0.12 + RASTER_M * j], cell_m))
        .filter(|&p| house.clearance(p) >= WALL_CLEARANCE_M && distance(p) >= NEAREST_M)
        .collect();
    let discs: Vec<Vec<[f64; 2]>> = receivers.iter().map(|&rx| disc(house, rx, band)).collect();
    let probes: Vec<usize> = discs.iter().flatten().map(|&p| house.node(p, cell_m)).collect();
    let pulse = Pulse { frequency_hz, follow_s: FOLLOW_S };
    let (field, late) =
        radiate(&house.medium(cell_m, frequency_hz), house.node(tx, cell_m), &probes, pulse);
    assert!(late < 2e-3, "the field had not died away: {late:e} of its peak was left");
    let mut field = field.into_iter();
    receivers
        .into_iter()
        .zip(&discs)
        .map(|(rx, disc)| {
            let gains = disc.iter().zip(field.by_ref()).map(|(&p, (re, im))| {
                (re * re + im * im) / (strength * line_source(k * distance(p)))
            });
            let excess_db = -10.0 * (gains.sum::<f64>() / disc.len() as f64).log10();
            let (walls, incidence_deg) = house.walls_between(tx, rx);
            Reading { frequency_hz, tx, rx, excess_db, walls, incidence_deg }
        })
        .collect()
}

/// Samples round a receiver, in its own room.
fn disc(house: &House, centre: [f64; 2], band: Band) -> Vec<[f64; 2]> {
    let reach = (DISC_WAVELENGTHS * C / band.frequency_hz / DISC_RASTER_M) as i32;
    (-reach..=reach)
        .flat_map(|j| (-reach..=reach).map(move |i| (i, j)))
        .filter(|(i, j)| i * i + j * j <= reach * reach)
        .map(|(i, j)| [0, 1].map(|k| centre[k] + DISC_RASTER_M * f64::from([i, j][k])))
        .map(|p| house.on_node(p, band.cell_m))
        .filter(|&p| house.clearance(p) > SAMPLE_CLEARANCE_M && house.same_room(centre, p))
        .collect()
}
