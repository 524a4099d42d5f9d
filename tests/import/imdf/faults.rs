//! Sites that are refused: every fault has its member, line and feature.

use import::Kind;
use plan::Diagnostic;

use super::made::{MANIFEST, arcade_changed, area, feature, level, packed, site, unit};
use crate::known::refused;

fn faults(bytes: &[u8]) -> Vec<Diagnostic> {
    refused(Kind::Imdf, "small.zip", bytes)
}

#[test]
fn ill_formed_features_are_faults_with_their_member_line_and_id() {
    let swapped = site(
        &[level("g", 0, &area((0.0, 0.0), (10.0, 8.0)))],
        &[
            unit("fine", "g", "room", (0.0, 0.0), (10.0, 8.0)),
            feature(
                "odd",
                "{\"type\": \"Polygon\", \"coordinates\": [[[0.5, 139.7], [1, 2], [3, 4]]]}",
                "\"level_id\": \"g\"",
            ),
            feature(
                "text",
                "{\"type\": \"Polygon\", \"coordinates\": [[[\"0.5\", 1], [1, 2], [3, 4]]]}",
                "\"level_id\": \"g\"",
            ),
        ],
        &[],
    );
    let faults = faults(&swapped);
    assert_eq!(faults.len(), 2, "{faults:?}");
    for (fault, line, id, what) in [
        (&faults[0], 3, "odd", "(0.5, 139.7) is not a longitude and latitude"),
        (&faults[1], 4, "text", "invalid type"),
    ] {
        assert_eq!(fault.file, "small.zip/unit.geojson");
        assert_eq!((fault.line, fault.feature.as_deref()), (line, Some(id)), "{fault}");
        assert!(fault.what.contains(what), "{fault}");
    }
    let broken =
        arcade_changed("opening.geojson", |text| text.replacen("\"LineString\"", "LineString", 1));
    let faults = self::faults(&broken);
    assert_eq!(faults.len(), 1);
    assert_eq!((faults[0].file.as_str(), faults[0].line), ("small.zip/opening.geojson", 2));
    assert!(faults[0].what.contains("expected value"), "{}", faults[0]);
}

#[test]
fn a_level_must_say_its_number_and_have_an_id_of_its_own() {
    let outline = area((0.0, 0.0), (10.0, 8.0));
    let bad = site(
        &[
            feature("none", &outline, "\"outdoor\": false"),
            feature("half", &outline, "\"ordinal\": 0.5"),
            feature("high", &outline, "\"ordinal\": 5000"),
            level("twice", 0, &outline),
            level("twice", 1, &outline),
        ],
        &[],
        &[],
    );
    let what: Vec<String> = faults(&bad).into_iter().map(|fault| fault.what).collect();
    assert_eq!(
        what,
        [
            "the level's ordinal is none",
            "the level's ordinal is 0.5",
            "the level's ordinal is 5000",
            "another level has the same id"
        ]
    );
}

#[test]
fn an_archive_must_have_a_level_in_a_building() {
    let outdoors =
        feature("quay", &area((0.0, 0.0), (10.0, 8.0)), "\"ordinal\": 0, \"outdoor\": true");
    let faults = faults(&site(&[outdoors], &[], &[]));
    assert!(faults[0].what.contains("no level within a building"), "{}", faults[0]);
    let bare = packed(&[("manifest.json".to_owned(), MANIFEST.into())]);
    let faults = self::faults(&bare);
    assert_eq!(faults[0].file, "small.zip/level.geojson");
}

#[test]
fn no_more_faults_are_listed_than_anyone_reads() {
    let outline = area((0.0, 0.0), (10.0, 8.0));
    let many: Vec<String> =
        (0..500).map(|number| feature(&number.to_string(), &outline, "")).collect();
    let faults = faults(&site(&many, &[], &[]));
    assert_eq!(faults.len(), 201);
    assert_eq!(faults[200].what, "and 300 more");
}

#[test]
fn buildings_too_far_apart_are_refused_and_named() {
    let far = site(
        &[
            level("West", 0, &area((0.0, 0.0), (10.0, 10.0))),
            level("East", 0, &area((2_500.0, 0.0), (2_510.0, 10.0))),
        ],
        &[],
        &[],
    );
    let faults = faults(&far);
    assert_eq!(faults.len(), 1);
    for piece in ["\"East\"", "\"West\"", "2.5 km", "at most 2 km"] {
        assert!(faults[0].what.contains(piece), "{}", faults[0]);
    }
    // None is 2 km from the first, but the outer two are 3 km from one another.
    let far = site(
        &[
            level("Middle", 0, &area((0.0, 0.0), (10.0, 10.0))),
            level("East", 0, &area((1_500.0, 0.0), (1_510.0, 10.0))),
            level("West", 0, &area((-1_500.0, 0.0), (-1_490.0, 10.0))),
        ],
        &[],
        &[],
    );
    assert!(self::faults(&far)[0].what.contains("3.0 km wide"));
}
