//! The plans that come with the program are drawn cleanly: nothing in them is to be mended.

use std::path::Path;

use drillonce::plan::tidy::{TidySettings, tidied};

use crate::support::doubts;

const NAMES: [&str; 6] = [
    "annexe",
    "brick-house",
    "bungalow",
    "corner-shop",
    "foil-garage",
    "workshop",
];

#[test]
fn the_shipped_plans_are_left_byte_for_byte_and_only_their_free_ends_are_told() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("floorplans");
    let mut told = Vec::new();
    for name in NAMES {
        let file = folder.join(format!("{name}.geojson"));
        let text = std::fs::read_to_string(file).unwrap();
        let vocabulary = drillonce::budget::vocabulary();
        let done = tidied(name, &text, &vocabulary, &TidySettings::default()).unwrap();
        assert_eq!(done.mends, [], "{name}");
        assert!(done.text == text, "{name}");
        told.extend(doubts(&done));
    }
    // Two archways, the screen of a shower, and shelves.
    assert_eq!(
        told,
        [
            "12: living-hall-front: the end at (20, 2.5) stands free",
            "13: living-hall: the end at (20, 8.5) stands free",
            "14: living-kitchen-west: the end at (8.5, 15) stands free",
            "15: living-kitchen-east: the end at (14.5, 15) stands free",
            "28: shower-screen: the end at (46.6, 18.2) stands free",
            "12: tool-store-shelves: the end at (8, 4.6) stands free",
        ]
    );
}
