//! Slab transmission and reflection against an independent solver.

use crate::published::{number, rows};
use radio::{Material, Polarisation, SlabLayer, material, slab_response};
use units::{Hertz, Metres};

const fn older(name: &'static str, a: f64, c: f64, d: f64) -> Material {
    let source = "ITU-R P.2040-1, from memory; reproduces the worked values at 9 GHz";
    Material { name, a, b: 0.0, c, d, range_ghz: (1.0, 40.0), source }
}

/// Rows of ITU-R P.2040-1 (2015), from memory; `materials.rs` checks them against worked values.
pub const P2040_1: [Material; 5] = [
    older("concrete", 5.31, 0.0326, 0.8095),
    older("brick", 3.75, 0.038, 0.0),
    older("plasterboard", 2.94, 0.0116, 0.7076),
    older("wood", 1.99, 0.0047, 1.0718),
    older("glass", 6.27, 0.0043, 1.1925),
];

/// Layers of the reference's stacks: material and thickness in millimetres.
fn stack(name: &str) -> &'static [(&'static str, f64)] {
    match name {
        "concrete_200mm" => &[("concrete", 200.0)],
        "brick_100mm" => &[("brick", 100.0)],
        "brick_200mm" => &[("brick", 200.0)],
        "plasterboard_13mm" => &[("plasterboard", 13.0)],
        "stud_partition_13_90_13" => {
            &[("plasterboard", 13.0), ("air", 90.0), ("plasterboard", 13.0)]
        }
        "glass_6mm" => &[("glass", 6.0)],
        "glass_double_4_16_4" => &[("glass", 4.0), ("air", 16.0), ("glass", 4.0)],
        "wood_door_40mm" => &[("wood", 40.0)],
        "chipboard_19mm" => &[("chipboard", 19.0)],
        "brick_cavity_102_50_100conc" => &[("brick", 102.0), ("air", 50.0), ("concrete", 100.0)],
        // Its "wood" is the chipboard row: only that one gives the reference's losses.
        "floor_wood22_air200_pb13" => {
            &[("chipboard", 22.0), ("air", 200.0), ("plasterboard", 13.0)]
        }
        other => panic!("unknown stack {other}"),
    }
}

fn layers(table: &str, name: &str, frequency: Hertz) -> Vec<SlabLayer> {
    stack(name)
        .iter()
        .map(|&(name, millimetres)| {
            let older = P2040_1.iter().find(|row| table == "P.2040-1" && row.name == name);
            let row = older.or_else(|| material(name)).expect("a row of that name");
            SlabLayer::Bulk {
                permittivity: row.permittivity(frequency),
                thickness: Metres(millimetres / 1e3),
            }
        })
        .collect()
}

#[test]
fn losses_of_the_independent_solver() {
    // The reference has four decimals: half a unit, and room for the last bits of both solvers.
    const ROUNDING_DB: f64 = 5.01e-5;
    let mut compared = 0;
    for row in rows(include_str!("data/slab.csv")) {
        let frequency = Hertz::from_mhz(number(&row, 2));
        let layers = layers(&row[0], &row[1], frequency);
        let cos = number(&row, 3).to_radians().cos();
        for (polarisation, column) in [(Polarisation::Te, 4), (Polarisation::Tm, 5)] {
            let ours = slab_response(&layers, frequency, cos, polarisation);
            for (loss, column) in
                [(ours.transmittance.to_loss(), column), (ours.reflectance.to_loss(), column + 2)]
            {
                let expected = number(&row, column);
                let off = (loss.0 - expected).abs();
                assert!(off < ROUNDING_DB, "{row:?} column {column}: {loss:?}, off by {off:e}");
                compared += 1;
            }
        }
    }
    assert_eq!(compared, 420 * 4);
}
