//! Hostile plans are refused before they cost much, and the largest plan is not.

use plan::tidy::{Tidied, TidySettings, tidied};
use plan::{MAX_FEATURES, read_leniently};
use proptest::prelude::*;

use crate::tidy::promises::survives_tidy;
use crate::tidy::support::{door, plan_of, vocabulary, wall};

/// Without optimisation everything takes ten times as long: a quarter of the features will do.
const FEATURES: usize = if cfg!(debug_assertions) { MAX_FEATURES / 4 } else { MAX_FEATURES };

fn done(features: &[String]) -> Tidied {
    tidied("p", &plan_of(features), &vocabulary(), &TidySettings::default()).unwrap()
}

/// Whether something was said to be too much to look at.
fn is_told(done: &Tidied, words: &str) -> bool {
    done.left.iter().any(|doubt| doubt.what.contains(words))
}

#[test]
fn the_largest_plan_is_tidied() {
    // Rows of rooms with a wall each between them, all a little off.
    let side = if cfg!(debug_assertions) { 70 } else { 140 };
    let mut features = Vec::new();
    for (column, row) in (0..side).flat_map(|column| (0..side).map(move |row| (column, row))) {
        let (x, y) = (f64::from(column) * 4.0, f64::from(row) * 3.0);
        let off = f64::from((column * 7 + row * 13) % 20) / 1_000.0;
        let line = if (column + row) % 2 == 0 {
            format!("[[{}, {y}], [{}, {}]]", x + off, x + 4.0, y + off)
        } else {
            format!("[[{x}, {}], [{}, {}]]", y + off, x - off, y + 3.0)
        };
        features.push(wall(&format!("w{column}-{row}"), "brick", &line));
    }
    assert!(done(&features).fixes.len() > FEATURES / 2);
}

/// Walls in one spot, the same wall many times, and walls that all cross one another.
fn heaps(count: usize) -> [Vec<String>; 3] {
    let heap = |line: &dyn Fn(usize) -> String| {
        (0..count).map(|i| wall(&format!("w{i}"), "brick", &line(i))).collect()
    };
    let mesh = |i: usize| {
        let at = i as f64 / 100.0;
        let ends =
            if i.is_multiple_of(2) { [[at, -1.0], [at, 201.0]] } else { [[-1.0, at], [201.0, at]] };
        format!("{ends:?}")
    };
    [
        heap(&|i| {
            let (x, y) = (i % 200, i / 200);
            format!("[[0.{x:04}, 0.{y:04}], [{}, {}]]", 1 + i % 7, 1 + i % 11)
        }),
        heap(&|_| "[[0, 0], [5, 3]]".to_owned()),
        heap(&mesh),
    ]
}

#[test]
fn a_heap_of_walls_is_named_and_left() {
    for heap in heaps(1_500) {
        assert!(is_told(&done(&heap), "so many walls are over one another"));
    }
}

#[test]
fn a_heap_of_walls_beyond_all_measure_is_refused() {
    for heap in heaps(FEATURES) {
        let text = plan_of(&heap);
        let faults = tidied("p", &text, &vocabulary(), &TidySettings::default()).unwrap_err();
        assert!(faults[0].what.starts_with("the walls are over one another"), "{faults:?}");
        // The page shows the drawing, and forecasts nothing.
        let reading = read_leniently("p", text.as_bytes(), &vocabulary());
        assert!(reading.plan.is_none() && reading.features.len() == FEATURES);
        assert_eq!(reading.faults.len(), 1);
    }
}

#[test]
fn a_heap_of_doors_on_one_wall_is_survived() {
    let mut heap = vec![wall("w", "brick", "[[0, 0], [1000, 0]]")];
    heap.extend((0..10_000).map(|i| {
        let from = f64::from(i) / 10.0;
        door(&format!("d{i}"), &format!("[[{from}, 0.01], [{}, 0.01]]", from + 0.09))
    }));
    assert_eq!(done(&heap).fixes.len(), 10_000);
}

#[test]
fn a_long_zigzag_on_another_is_taken_out() {
    let points: Vec<String> =
        (0..4_000).map(|i| format!("[{}, {}]", f64::from(i) / 5.0, i % 2)).collect();
    let line = format!("[{}]", points.join(", "));
    assert_eq!(done(&[wall("a", "brick", &line), wall("b", "brick", &line)]).fixes.len(), 1);
}

#[test]
fn a_dense_zigzag_twice_is_told() {
    let points: Vec<String> =
        (0..12_000).map(|i| format!("[{}, {}]", f64::from(i) / 500.0, i % 2)).collect();
    let line = format!("[{}]", points.join(", "));
    assert!(is_told(
        &done(&[wall("a", "brick", &line), wall("b", "brick", &line)]),
        "so many walls are over one another"
    ));
}

/// A plan of a few features of every sort.
fn sample() -> String {
    let features = [
        wall("outer", "brick", "[[0, 0], [6, 0], [6, 4], [0, 4.02], [0.01, 0]]"),
        wall("inner", "stud", "[[3, 0.03], [3, 4.01]]"),
        wall("again", "stud", "[[3, 1], [3, 3]]"),
        wall("none", "stud", "[[1, 1], [1, 1]]"),
        door("door", "[[3.02, 1], [3.0, 1.9]]"),
        door("window", "[[5, 0], [6.05, 0.02]]"),
    ];
    plan_of(&features)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_are_survived(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        survives_tidy(&bytes);
    }

    #[test]
    fn a_plan_with_some_bytes_changed_is_survived(
        changes in prop::collection::vec((any::<prop::sample::Index>(), 0..14_usize), 1..6),
    ) {
        let mut bytes = sample().into_bytes();
        let pool = b"0123456789.-e, ";
        let places: Vec<usize> = (0..bytes.len())
            .filter(|&i| bytes[i].is_ascii_digit() || bytes[i] == b'.')
            .collect();
        for (place, with) in changes {
            bytes[places[place.index(places.len())]] = pool[with];
        }
        survives_tidy(&bytes);
    }
}
