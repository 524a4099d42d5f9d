//! Drawings become plans.
//!
//! The files in `dxf/files` were written by ezdxf 1.4.5, which counts in each 54
//! lines of walls, 77.6 m long together, 15 of windows and five doors.

mod columns;
mod crowded;
pub mod drawing;
mod encodings;
mod features;
mod fills;
mod gaps;
mod mutated;
mod names;
mod rough;
mod shapes;
mod shell;
mod stack;

use std::fmt::Write as _;

use import::{Draft, Kind, Piece, Settings, What, draft};
use plan::Plan;

use super::known::{imported, plain, refused};

const BUNGALOW: &[u8] = include_bytes!("dxf/files/bungalow.dxf");
const INCHES: &[u8] = include_bytes!("dxf/files/inches.dxf");
const BINARY: &[u8] = include_bytes!("dxf/files/binary.dxf");
const FAR: &[u8] = include_bytes!("dxf/files/far.dxf");

/// A drawing of these entities, in metres.
fn drawing(blocks: &str, entities: &str) -> Vec<u8> {
    format!(
        "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n6\n0\nENDSEC\n0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n\
         0\nSECTION\n2\nENTITIES\n{entities}0\nENDSEC\n0\nEOF\n"
    )
    .into_bytes()
}

fn line(layer: &str, from: (f64, f64), to: (f64, f64)) -> String {
    format!("0\nLINE\n8\n{layer}\n10\n{}\n20\n{}\n11\n{}\n21\n{}\n", from.0, from.1, to.0, to.1)
}

/// Both faces of a level wall that begins at a place.
fn double(layer: &str, (x, y): (f64, f64), long: f64, thick: f64) -> String {
    line(layer, (x, y), (x + long, y)) + &line(layer, (x, y + thick), (x + long, y + thick))
}

fn block(name: &str, inside: &str) -> String {
    format!("0\nBLOCK\n2\n{name}\n10\n0\n20\n0\n{inside}0\nENDBLK\n")
}

fn read(bytes: &[u8], settings: &Settings) -> (Draft, Plan) {
    imported(Kind::Dxf, "house.dxf", bytes, settings)
}

fn mapped(layer: &str, construction: &str) -> Settings {
    let mut settings = plain();
    settings.map.insert(layer.to_owned(), construction.to_owned());
    settings
}

/// Length of all walls, metres.
fn length(plan: &Plan) -> f64 {
    let pieces = plan.walls.iter().flat_map(|wall| wall.line.lines());
    pieces.map(|piece| piece.dx().hypot(piece.dy())).sum()
}

fn told(draft: &Draft, word: &str) -> bool {
    draft.guesses.iter().any(|guess| format!("{} {}", guess.about, guess.taken).contains(word))
}

#[test]
fn the_shipped_house_has_its_walls_doors_and_windows() {
    let (draft, plan) = read(BUNGALOW, &plain());
    // Centre lines: 2 · 9.7 + 2 · 6.7 round it, 9.7 across, 3.35 from the one below and above it.
    let expected = 2.0 * 9.7 + 2.0 * 6.7 + 9.7 + 2.0 * 3.35;
    assert!((length(&plan) - expected).abs() < 0.01, "{} m", length(&plan));
    let doors = plan.openings.iter().filter(|opening| opening.construction == "door-solid");
    let widths: Vec<f64> =
        doors.map(|door| ((door.to_m - door.from_m) * 10.0).round() / 10.0).collect();
    assert_eq!(widths.len(), 5);
    assert_eq!(widths.iter().filter(|width| **width == 0.9).count(), 4);
    assert_eq!(plan.openings.len(), 10);
    assert_eq!(plan.openings.iter().filter(|opening| opening.entry).count(), 1);
    assert!(told(&draft, "FURNITURE") && told(&draft, "DIMENSION"));
}

#[test]
fn inches_and_a_plan_far_from_zero_give_the_same_house() {
    let (_, here) = read(BUNGALOW, &plain());
    for bytes in [INCHES, FAR] {
        let (_, plan) = read(bytes, &plain());
        assert!((length(&plan) - length(&here)).abs() < 0.01, "{} m", length(&plan));
        assert_eq!(plan.openings.len(), here.openings.len());
        let first = plan.walls[0].line.0[0];
        assert!((-0.1..11.0).contains(&first.x) && (-0.1..8.0).contains(&first.y));
    }
}

#[test]
fn a_binary_drawing_is_read_like_the_same_as_text() {
    let draft = |bytes: &[u8]| draft(Kind::Dxf, "a.dxf", bytes, &plain()).unwrap();
    assert_eq!(draft(BINARY).pieces, draft(INCHES).pieces);
}

#[test]
fn two_faces_are_one_wall_as_thick_as_they_are_apart() {
    let (_, plan) = read(&drawing("", &double("WALL", (2.0, 3.0), 6.0, 0.25)), &plain());
    assert_eq!(plan.walls.len(), 1);
    assert_eq!(plan.walls[0].thickness_mm, Some(250.0));
    assert!((length(&plan) - 6.0).abs() < 1e-9);
}

#[test]
fn four_faces_of_a_cavity_wall_are_one_wall() {
    let leaves = double("WALL", (0.0, 0.0), 6.0, 0.1) + &double("WALL", (0.0, 0.15), 6.0, 0.1);
    let (_, plan) = read(&drawing("", &leaves), &plain());
    assert_eq!(plan.walls.len(), 1);
    assert_eq!(plan.walls[0].thickness_mm, Some(250.0));
}

#[test]
fn two_walls_with_a_narrow_cupboard_between_them_stay_two() {
    let both = double("WALL", (0.0, 0.0), 6.0, 0.1) + &double("WALL", (0.0, 0.6), 6.0, 0.1);
    let (_, plan) = read(&drawing("", &both), &plain());
    assert_eq!(plan.walls.len(), 2);
    assert!(plan.walls.iter().all(|wall| wall.thickness_mm == Some(100.0)));
}

#[test]
fn a_bulge_of_one_is_half_a_circle() {
    let arc = "0\nLWPOLYLINE\n8\nW\n90\n2\n70\n0\n10\n0\n20\n0\n42\n1\n10\n10\n20\n0\n";
    let (_, plan) = read(&drawing("", arc), &mapped("W", "brick-half"));
    assert!((length(&plan) - 5.0 * std::f64::consts::PI).abs() < 0.05, "{} m", length(&plan));
    // Half a circle to the left of the stretch's direction runs below it, counter-clockwise.
    let high = plan.walls.iter().flat_map(|wall| wall.line.0.iter()).map(|at| at.y);
    assert!(high.clone().fold(f64::MIN, f64::max) - high.fold(f64::MAX, f64::min) > 4.98);
}

#[test]
fn blocks_are_stretched_turned_mirrored_nested_and_repeated() {
    let blocks = block("IN", &double("0", (0.0, 0.0), 2.0, 0.1))
        + &block("OUT", "0\nINSERT\n8\n0\n2\nIN\n10\n1\n20\n0\n41\n-1.5\n50\n90\n");
    let insert = "0\nINSERT\n8\nWALL\n2\nout\n10\n0\n20\n0\n70\n3\n71\n2\n44\n5\n45\n9\n";
    let (_, plan) = read(&drawing(&blocks, insert), &plain());
    // Six upright walls, each 3 m long.
    assert_eq!(plan.walls.len(), 6);
    assert!((length(&plan) - 18.0).abs() < 0.01, "{} m", length(&plan));
    assert!(plan.walls.iter().all(|wall| (wall.line.0[0].x - wall.line.0[1].x).abs() < 1e-6));
}

#[test]
fn the_map_says_what_layers_are() {
    let both = double("A", (0.0, 0.0), 6.0, 0.1) + &double("B", (0.0, 3.0), 6.0, 0.1);
    let (draft, plan) = read(&drawing("", &both), &mapped("a", "concrete-100"));
    assert_eq!(plan.walls.len(), 1);
    assert_eq!(plan.walls[0].construction, "concrete-100");
    assert!(told(&draft, "\"B\""));
    let (_, plan) =
        read(&drawing("", &both.replace("\nB\n", "\nAB\n")), &mapped("A*", "concrete-100"));
    assert_eq!(plan.walls.len(), 2);
}

#[test]
fn a_map_of_what_is_not_there_is_refused() {
    let bytes = drawing("", &double("WALLS", (0.0, 0.0), 6.0, 0.1));
    let faults = draft(Kind::Dxf, "a.dxf", &bytes, &mapped("WALS", "brick-half")).unwrap_err();
    assert_eq!(faults.len(), 1);
    assert!(faults[0].what.contains("WALS") && faults[0].fix.contains("WALLS"));
}

#[test]
fn a_drawing_without_walls_lists_its_layers() {
    let bytes = drawing("", &double("PLANTS", (0.0, 0.0), 6.0, 0.1));
    let faults = refused(Kind::Dxf, "a.dxf", &bytes);
    assert!(faults[0].what.contains("PLANTS"), "{}", faults[0]);
    assert!(faults[0].fix.contains("--map"), "{}", faults[0]);
}

#[test]
fn blocks_that_hold_one_another_are_named() {
    let holds = |name: &str| format!("0\nINSERT\n8\n0\n2\n{name}\n");
    let blocks = block("ONE", &holds("TWO")) + &block("TWO", &holds("ONE"));
    let faults = refused(Kind::Dxf, "a.dxf", &drawing(&blocks, &holds("ONE")));
    assert!(faults[0].what.contains("ONE") && faults[0].what.contains("TWO"), "{}", faults[0]);
}

#[test]
fn ten_million_columns_are_refused() {
    let blocks = block("ONE", &line("WALL", (0.0, 0.0), (1.0, 0.0)));
    let insert = "0\nINSERT\n8\nWALL\n2\nONE\n70\n10000000\n44\n1\n";
    let faults = refused(Kind::Dxf, "a.dxf", &drawing(&blocks, insert));
    assert!(faults[0].what.contains("1000 copies"), "{}", faults[0]);
}

#[test]
fn numbers_that_are_none_are_named_with_their_line() {
    for number in ["nan", "inf", "1e400", "x"] {
        let bytes = drawing("", &format!("0\nLINE\n8\nWALL\n10\n{number}\n20\n0\n11\n1\n21\n1\n"));
        let faults = refused(Kind::Dxf, "a.dxf", &bytes);
        let text = String::from_utf8(bytes).unwrap();
        let at = text.lines().position(|line| line == number).unwrap();
        assert_eq!(faults[0].line, at + 1, "{}", faults[0]);
    }
}

#[test]
fn a_drawing_cut_off_anywhere_is_refused() {
    for part in 1..40 {
        let cut = &INCHES[..(INCHES.len() - 8) * part / 40];
        assert!(!refused(Kind::Dxf, "a.dxf", cut).is_empty());
    }
}

#[test]
fn walls_farther_apart_than_a_plan_holds_are_refused() {
    let mut far = double("WALL", (0.0, 0.0), 6.0, 0.1);
    far.write_str(&double("WALL", (5_000.0, 0.0), 6.0, 0.1)).unwrap();
    let faults = refused(Kind::Dxf, "a.dxf", &drawing("", &far));
    assert!(faults[0].what.contains("5006 m"), "{}", faults[0]);
}

#[test]
fn a_gap_with_nothing_in_it_is_a_doorway_and_is_counted() {
    let both = double("WALL", (0.0, 0.0), 3.0, 0.1) + &double("WALL", (4.0, 0.0), 3.0, 0.1);
    let (draft, plan) = read(&drawing("", &both), &plain());
    assert_eq!(plan.walls.len(), 1);
    assert!(told(&draft, "gaps"));
    let open = |piece: &&Piece| matches!(piece.what, What::Opening { open: true, .. });
    assert_eq!(draft.pieces.iter().filter(open).count(), 1);
}
