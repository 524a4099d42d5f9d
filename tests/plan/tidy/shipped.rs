//! The plans that come with the program are drawn cleanly: nothing in them is to be fixed.

use fixtures::{Dice, plan_texts};
use geo::Line;
use plan::tidy::{Doubt, TidySettings, tidied};
use plan::{ON_WALL_TOLERANCE_M, Plan, read_house};

use crate::tidy::faces::faces;
use crate::tidy::geometry::{by_make, hausdorff_m};

use crate::tidy::support::doubts;

#[test]
fn the_shipped_plans_are_left_byte_for_byte_and_only_their_free_ends_are_told() {
    let mut told = Vec::new();
    for (name, text) in plan_texts() {
        let vocabulary = forecast::vocabulary();
        let done = tidied(&name, &text, &vocabulary, &TidySettings::default()).unwrap();
        assert_eq!(done.fixes, [], "{name}");
        assert!(done.text == text, "{name}");
        told.extend(doubts(&done));
    }
    // Two archways, the screen of a shower, and shelves.
    assert_eq!(
        told,
        [
            "12: living-hall-front: the end at (20, 2.5) meets no wall",
            "13: living-hall: the end at (20, 8.5) meets no wall",
            "14: living-kitchen-west: the end at (8.5, 15) meets no wall",
            "15: living-kitchen-east: the end at (14.5, 15) meets no wall",
            "28: shower-screen: the end at (46.6, 18.2) meets no wall",
            "13: tool-store-shelves: the end at (8, 4.6) meets no wall",
        ]
    );
}

/// Moves every position of every wall and opening anywhere by up to `most` plan units.
fn shaken(text: &str, most: f64, seed: u64) -> String {
    let mut plan: serde_json::Value = serde_json::from_str(text).unwrap();
    let mut dice = Dice::new(seed);
    for feature in plan["features"].as_array_mut().unwrap() {
        let kind = feature["properties"]["kind"].as_str().unwrap();
        if kind != "wall" && kind != "opening" {
            continue;
        }
        let line = feature["geometry"]["coordinates"].as_array_mut().unwrap();
        let ring = line.first() == line.last();
        for position in line.iter_mut() {
            let (by, way) = (most * dice.part(), std::f64::consts::TAU * dice.part());
            for (axis, off) in [(0, by * way.cos()), (1, by * way.sin())] {
                let moved = position[axis].as_f64().unwrap() + off;
                position[axis] = ((moved * 10_000.0).round() / 10_000.0).into();
            }
        }
        if ring && seed.is_multiple_of(2) {
            let first = line[0].clone();
            *line.last_mut().unwrap() = first;
        }
    }
    serde_json::to_string_pretty(&plan).unwrap()
}

/// Metres of wall by level and construction.
type Lengths = Vec<((i32, String), f64)>;

/// The rooms of each level, and the metres of wall.
fn measures(plan: &Plan) -> (Vec<usize>, Lengths) {
    let rooms = plan.levels.iter().map(|level| {
        let mut storey = plan.clone();
        storey.walls.retain(|wall| wall.level == level.number);
        faces(&storey)
    });
    let length = |lines: Vec<Line<f64>>| {
        let lengths = lines.iter().map(|line| line.dx().hypot(line.dy()));
        lengths.sum::<f64>()
    };
    let lengths = by_make(plan).into_iter().map(|(make, lines)| (make, length(lines)));
    (rooms.collect(), lengths.collect())
}

/// Rooms of each level of the shipped plans as drawn, by shapely 2.2.0: the number of faces of
/// `polygonize([unary_union(walls)])`.
const ROOMS: [&[usize]; 6] = [&[12, 0], &[9, 7], &[13, 0], &[14, 0], &[16, 0], &[7, 0]];

/// Farthest that a position is moved by the shaky hand, metres: a little less than half the
/// tolerance.
const SHAKEN_M: f64 = 0.024;

/// By how much the length of all walls of one make may differ after that, metres.
const LENGTH_M: f64 = 0.1;

#[test]
fn the_shipped_plans_drawn_by_a_shaky_hand_get_their_rooms_back() {
    let vocabulary = forecast::vocabulary();
    for ((name, text), had) in plan_texts().into_iter().zip(ROOMS) {
        let read = |text: &str| read_house(&name, text.as_bytes(), &vocabulary).unwrap().plan;
        let drawn = read(&text);
        let (had_rooms, had_lengths) = measures(&drawn);
        assert_eq!(had_rooms, had, "{name}");
        for seed in [7, 8] {
            let text = shaken(&text, SHAKEN_M / drawn.metres_per_unit, seed);
            let done = tidied(&name, &text, &vocabulary, &TidySettings::default()).unwrap();
            assert!(done.fixes.len() > 20, "{name}");
            let free = |doubt: &Doubt| doubt.what.ends_with("meets no wall");
            assert!(done.left.iter().all(free), "{name}: {:?}", done.left);
            let fixed = read(&done.text);
            let (rooms, lengths) = measures(&fixed);
            assert_eq!(rooms, had_rooms, "{name}");
            assert_eq!(lengths.len(), had_lengths.len(), "{name}");
            for ((make, metres), (had_make, had)) in lengths.iter().zip(&had_lengths) {
                assert_eq!(make, had_make);
                assert!((metres - had).abs() < LENGTH_M, "{name} {make:?}: {metres} m, {had} m");
            }
            let off = hausdorff_m(&drawn, &fixed);
            assert!(off < SHAKEN_M + ON_WALL_TOLERANCE_M, "{name}: {off} m");
            assert_eq!(fixed.openings.len(), drawn.openings.len(), "{name}");
            assert_eq!(fixed.devices.len(), drawn.devices.len(), "{name}");
        }
    }
}
