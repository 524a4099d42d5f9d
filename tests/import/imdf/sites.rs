//! Small sites, one thing at a time.

use approx::assert_abs_diff_eq;
use import::{Draft, Kind, What};
use plan::Plan;

use super::made::{area, feature, level, opening, packed, polygon, ring, site, unit, unit_at};
use crate::known::{imported, plain};

fn read(bytes: &[u8]) -> (Draft, Plan) {
    imported(Kind::Imdf, "small.zip", bytes, &plain())
}

/// How many walls, and how long together, of a construction.
fn walls(plan: &Plan, construction: &str) -> (usize, f64) {
    let walls = plan.walls.iter().filter(|wall| wall.construction == construction);
    let lines = walls.flat_map(|wall| wall.line.lines());
    lines.fold((0, 0.0), |(count, sum), line| (count + 1, sum + line.dx().hypot(line.dy())))
}

#[track_caller]
fn told(draft: &Draft, about: &str, taken: &str, pieces: usize) {
    let found = draft.guesses.iter();
    let found = found.filter(|guess| guess.about == about && guess.taken.contains(taken));
    let found: Vec<usize> = found.map(|guess| guess.pieces).collect();
    assert_eq!(found, [pieces], "{about} … {taken}: {:#?}", draft.guesses);
}

#[test]
fn buildings_share_the_levels_of_one_ordinal() {
    let (draft, plan) = read(&site(
        &[
            level("East", 0, &area((20.0, 0.0), (30.0, 10.0))),
            level("West", 0, &area((0.0, 0.0), (10.0, 10.0))),
            level("East loft", 1, &area((20.0, 0.0), (30.0, 10.0))),
        ],
        &[
            unit("a", "West", "room", (0.0, 0.0), (10.0, 10.0)),
            unit("b", "East", "room", (20.0, 0.0), (30.0, 10.0)),
            unit("c", "East loft", "room", (20.0, 0.0), (30.0, 10.0)),
        ],
        &[],
    ));
    let levels: Vec<&str> = plan.levels.iter().map(|level| level.name.as_str()).collect();
    assert_eq!(levels, ["East / West", "East loft"]);
    let (count, long_m) = walls(&plan, "brick-cavity");
    assert_eq!(count, 12);
    assert_abs_diff_eq!(long_m, 120.0, epsilon = 0.05);
    assert_eq!(plan.slabs.len(), 1);
    told(&draft, "heights", "2.4 m", 2);
}

#[test]
fn a_house_on_the_180_meridian_is_as_wide_as_any() {
    let at = (180.0 - 5.0 / 111_319.5, 0.5);
    let outline = polygon(&ring(at, (0.0, 0.0), (10.0, 8.0)));
    let (_, plan) = read(&site(
        &[level("only", 0, &outline)],
        &[
            unit_at(at, "a", "only", "room", (0.0, 0.0), (7.0, 8.0)),
            unit_at(at, "b", "only", "room", (7.0, 0.0), (10.0, 8.0)),
        ],
        &[],
    ));
    assert_abs_diff_eq!(walls(&plan, "brick-cavity").1, 36.0, epsilon = 0.05);
    assert_abs_diff_eq!(walls(&plan, "brick-half").1, 8.0, epsilon = 0.05);
    let corners = plan.walls.iter().flat_map(|wall| wall.line.coords());
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for corner in corners {
        low = low.min(corner.x);
        high = high.max(corner.x);
    }
    assert_abs_diff_eq!(low, 0.0, epsilon = 0.01);
    assert_abs_diff_eq!(high, 10.0, epsilon = 0.01);
}

#[test]
fn a_level_without_units_has_its_outline_for_outside_walls_else_its_footprint() {
    let footprint = feature(
        "fp",
        &area((0.0, 0.0), (12.0, 9.0)),
        "\"category\": \"ground\", \"building_ids\": [\"house\"]",
    );
    let aerial = feature(
        "roof",
        &area((0.0, 0.0), (50.0, 9.0)),
        "\"category\": \"aerial\", \"building_ids\": [\"house\"]",
    );
    let levels = [level("ground", 0, &area((0.0, 0.0), (10.0, 8.0))), level("loft", 1, "null")];
    let (draft, plan) = read(&packed(&[
        ("manifest.json".to_owned(), super::made::MANIFEST.into()),
        ("level.geojson".to_owned(), super::made::collection(&levels).into()),
        ("footprint.geojson".to_owned(), super::made::collection(&[footprint, aerial]).into()),
    ]));
    assert_eq!(walls(&plan, "brick-cavity").0, 8);
    assert_abs_diff_eq!(walls(&plan, "brick-cavity").1, 36.0 + 42.0, epsilon = 0.05);
    assert!(draft.pieces.iter().all(|piece| piece.what != What::Room));
    told(&draft, "levels without units", "outline", 1);
    told(&draft, "levels without units and outline", "footprint", 1);
}

#[test]
fn what_is_under_the_sky_has_no_walls_of_its_own() {
    let (_, plan) = read(&site(
        &[level("g", 0, &area((0.0, 0.0), (20.0, 10.0)))],
        &[
            unit("house", "g", "room", (0.0, 0.0), (10.0, 10.0)),
            unit("terrace", "g", "terrace", (10.0, 0.0), (20.0, 10.0)),
        ],
        &[],
    ));
    // Round the house only, also towards the terrace.
    assert_eq!(walls(&plan, "brick-cavity").0, 4);
    assert_eq!(plan.walls.len(), 4);
}

#[test]
fn a_side_deep_within_the_level_is_no_outside_wall() {
    let (_, plan) = read(&site(
        &[level("g", 0, &area((0.0, 0.0), (20.0, 10.0)))],
        // Drawn to the inner faces of the outside walls; the middle of the house is not drawn at
        // all.
        &[
            unit("a", "g", "room", (0.3, 0.3), (6.0, 9.7)),
            unit("b", "g", "room", (14.0, 0.3), (19.7, 9.7)),
        ],
        &[],
    ));
    assert_abs_diff_eq!(walls(&plan, "brick-half").1, 2.0 * 9.4, epsilon = 0.05);
    assert_abs_diff_eq!(walls(&plan, "brick-cavity").1, 2.0 * (9.4 + 2.0 * 5.7), epsilon = 0.05);
}

#[test]
fn a_wide_opening_is_cut_where_its_wall_passes_another_room() {
    let rooms = [
        unit("hall", "g", "room", (0.0, 0.0), (10.0, 4.0)),
        unit("a", "g", "room", (0.0, 4.0), (5.0, 8.0)),
        unit("b", "g", "room", (5.0, 4.0), (10.0, 8.0)),
    ];
    let (_, plan) = read(&site(
        &[level("g", 0, &area((0.0, 0.0), (10.0, 8.0)))],
        &rooms,
        &[opening("wide", "g", (4.0, 4.02), (7.0, 4.02))],
    ));
    let mut lengths: Vec<f64> = plan.openings.iter().map(|o| o.to_m - o.from_m).collect();
    lengths.sort_by(f64::total_cmp);
    assert_eq!(lengths.len(), 2);
    assert_abs_diff_eq!(lengths[0], 1.0, epsilon = 0.01);
    assert_abs_diff_eq!(lengths[1], 2.0, epsilon = 0.01);
}

#[test]
fn openings_that_cannot_be_are_left_out_for_a_reason() {
    let (draft, plan) = read(&site(
        &[level("g", 0, &area((0.0, 0.0), (10.0, 8.0)))],
        &[unit("a", "g", "room", (0.0, 0.0), (10.0, 8.0))],
        &[
            opening("door", "g", (1.0, 0.0), (2.0, 0.0)),
            opening("again", "g", (1.5, 0.03), (2.5, 0.03)),
            opening("beside", "g", (2.0, 0.0), (3.0, 0.0)),
            opening("slit", "g", (5.0, 0.0), (5.1, 0.0)),
            opening("off", "g", (6.0, 0.08), (7.0, 0.08)),
            opening("across", "g", (8.0, -1.0), (8.0, 1.0)),
            opening("hangs over", "g", (9.5, 8.0), (12.0, 8.0)),
        ],
    ));
    assert_eq!(plan.openings.len(), 2);
    told(&draft, "opening.geojson", "where another opening is: \"again\"", 1);
    told(&draft, "opening.geojson", "narrower than 0.2 m: \"slit\"", 1);
    told(
        &draft,
        "opening.geojson",
        "no wall within 0.05 m: \"off\", \"across\", \"hangs over\"",
        3,
    );
}

#[test]
fn walls_drawn_as_units_stand_between_rooms_instead_of_their_edges() {
    let (draft, plan) = read(&site(
        &[level("g", 0, &area((0.0, 0.0), (10.2, 8.0)))],
        &[
            unit("a", "g", "room", (0.0, 0.0), (5.0, 8.0)),
            unit("wall", "g", "brick", (5.0, 0.0), (5.2, 8.0)),
            unit("b", "g", "room", (5.2, 0.0), (10.2, 8.0)),
        ],
        &[opening("door", "g", (5.1, 3.0), (5.1, 4.0))],
    ));
    assert_eq!(walls(&plan, "brick-solid").0, 1);
    assert_abs_diff_eq!(walls(&plan, "brick-solid").1, 8.0, epsilon = 0.02);
    assert_eq!(walls(&plan, "brick-half").0, 0);
    // All round, also where the brick wall ends in the outside wall.
    assert_abs_diff_eq!(walls(&plan, "brick-cavity").1, 36.4, epsilon = 0.05);
    let brick = plan.walls.iter().find(|wall| wall.construction == "brick-solid").unwrap();
    assert_abs_diff_eq!(brick.thickness_mm.unwrap(), 200.0, epsilon = 2.0);
    assert_eq!(plan.openings.len(), 1);
    told(&draft, "brick", "strip", 1);
}

#[test]
fn a_wall_drawn_as_a_unit_goes_on_to_the_middle_of_the_wall_that_it_meets() {
    let (_, plan) = read(&site(
        &[level("g", 0, &area((0.0, 0.0), (20.0, 8.0)))],
        &[
            unit("hall", "g", "room", (0.0, 0.0), (20.0, 8.0)),
            unit("long", "g", "concrete", (2.0, 4.0), (18.0, 4.3)),
            unit("short", "g", "drywall", (10.0, 1.0), (10.1, 4.0)),
        ],
        &[],
    ));
    assert_abs_diff_eq!(walls(&plan, "concrete-200").1, 16.0, epsilon = 0.02);
    assert_abs_diff_eq!(walls(&plan, "stud-partition").1, 3.15, epsilon = 0.02);
}

#[test]
fn gaps_as_wide_as_walls_between_units_are_walls() {
    // Four rooms to the faces of walls 0.2 m thick, and the outside wall 0.3 m thick.
    let rooms = [
        unit("a", "g", "room", (0.3, 0.3), (5.3, 4.3)),
        unit("b", "g", "room", (5.5, 0.3), (10.5, 4.3)),
        unit("c", "g", "room", (0.3, 4.5), (5.3, 8.5)),
        unit("d", "g", "room", (5.5, 4.5), (10.5, 8.5)),
    ];
    let doors = [
        // In the middle of its wall, on the far face of its wall, and on the outer face of the
        // outside wall.
        opening("middle", "g", (5.4, 1.0), (5.4, 2.0)),
        opening("far", "g", (7.0, 4.5), (8.0, 4.5)),
        opening("outer", "g", (1.0, 0.0), (2.0, 0.0)),
    ];
    let levels = [level("g", 0, &area((0.0, 0.0), (10.8, 8.8)))];
    let (draft, plan) = read(&site(&levels, &rooms, &doors));
    told(&draft, "thickness of walls", "0.20 m", 4);
    let (count, long_m) = walls(&plan, "brick-half");
    assert_eq!(count, 4);
    // To the accuracy with which edges were pulled together.
    assert_abs_diff_eq!(long_m, 10.2 + 8.2, epsilon = 0.6);
    assert_abs_diff_eq!(walls(&plan, "brick-cavity").1, 36.8, epsilon = 0.6);
    assert_eq!(plan.openings.len(), 3);
    assert_eq!(plan.openings.iter().filter(|opening| opening.entry).count(), 1);
    // Units that share their edges are not pulled.
    let (draft, _) = imported(Kind::Imdf, "quay.zip", &super::made::arcade(), &plain());
    assert!(draft.guesses.iter().all(|guess| guess.about != "thickness of walls"));
}

#[test]
fn names_are_on_one_line_short_and_without_tricks() {
    let long = "x".repeat(500);
    let name = format!("\"name\": {{\"en\": \"Hall\\u0007\\u202e of\\n  echoes {long}\"}}");
    let properties = format!("\"category\": \"room\", \"level_id\": \"g\", {name}");
    let room = feature("a", &area((0.0, 0.0), (10.0, 8.0)), &properties);
    let nameless = feature(
        "b",
        &area((10.0, 0.0), (20.0, 8.0)),
        "\"category\": \"my\\u0007.own\", \"level_id\": \"g\", \"name\": {\"en\": \" \"}",
    );
    let levels = [level("g", 0, &area((0.0, 0.0), (20.0, 8.0)))];
    let (draft, _) = read(&site(&levels, &[room, nameless], &[]));
    let rooms = draft.pieces.iter().filter(|piece| piece.what == What::Room);
    let names: Vec<&str> = rooms.filter_map(|piece| piece.name.as_deref()).collect();
    assert_eq!(names.len(), 2);
    assert!(names[0].starts_with("Hall of echoes xxx"), "{names:?}");
    assert_eq!(names[0].chars().count(), 80);
    assert_eq!(names[1], "my own");
}

#[test]
fn what_is_not_read_spoils_nothing() {
    let mut files = super::made::arcade_with(&[("detail.geojson", "")]);
    files.push(("detail.geojson".to_owned(), vec![0xff; 10]));
    files.push(("section.geojson".to_owned(), b"not JSON".to_vec()));
    let many = format!("{{\"features\": [{}0]}}", "0,".repeat(1_300_000));
    files.push(("kiosk.geojson".to_owned(), many.into()));
    let (draft, _) = imported(Kind::Imdf, "quay-arcade.zip", &packed(&files), &plain());
    told(&draft, "detail.geojson", "not read", 1);
    told(&draft, "kiosk.geojson", "not read", 1_300_001);
}
