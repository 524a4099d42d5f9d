//! Drawings that would keep a reader busy for minutes if it held every line against every other.

use std::f64::consts::TAU;

use import::Settings;

use super::{drawing, length, line, mapped, read};
use crate::known::plain;

#[test]
fn four_thousand_lines_from_one_place_become_a_plan() {
    let arm = |number: u32| {
        let angle = TAU * f64::from(number) / 4_000.0;
        line("WALLS", (50.0, 50.0), (50.0 + 45.0 * angle.cos(), 50.0 + 45.0 * angle.sin()))
    };
    let (_, plan) = read(&drawing("", &(0..4_000).map(arm).collect::<String>()), &plain());
    // What lies within a third of a degree and a hand's breadth is one wall.
    assert!((100..4_000).contains(&plan.walls.len()), "{}", plan.walls.len());
}

#[test]
fn twenty_thousand_lone_lines_are_held_against_what_is_near_alone() {
    // Middles of walls, drawn with one line each, in a grid; the layer is mapped.
    let lone = |number: u32| {
        let (x, y) = (f64::from(number % 140) * 5.0, f64::from(number / 140) * 5.0);
        // No two in one line, so that each is a wall of its own.
        let off = f64::from(number % 140) * 0.13;
        line("WALLS", (x, y + off), (x + 2.0, y + off))
    };
    let lines: String = (0..19_600).map(lone).collect();
    let settings = Settings { metres_per_unit: Some(1.0), ..mapped("WALLS", "brick-half") };
    let (_, plan) = read(&drawing("", &lines), &settings);
    assert!((length(&plan) - 19_600.0 * 2.0).abs() < 1.0, "{} m", length(&plan));
}

#[test]
fn blocks_within_blocks_that_multiply_are_refused() {
    let block = |number: u32| {
        let ten = format!("0\nINSERT\n8\n0\n2\nB{}\n10\n0\n20\n0\n", number + 1).repeat(10);
        let inner = if number < 19 { ten } else { line("WALLS", (0.0, 0.0), (3.0, 0.0)) };
        super::block(&format!("B{number}"), &inner)
    };
    let blocks: String = (0..20).map(block).collect();
    let bomb = drawing(&blocks, "0\nINSERT\n8\n0\n2\nB0\n10\n0\n20\n0\n");
    let faults = super::refused(import::Kind::Dxf, "bomb.dxf", &bomb);
    assert!(faults[0].to_string().contains("more than 400000 lines"), "{}", faults[0]);
}
