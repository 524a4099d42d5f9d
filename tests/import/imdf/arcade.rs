//! The invented arcade, against what an independent reader says of it.
//!
//! Lengths and areas: Python 3.11 with zipfile, shapely 2.2.0 and pyproj 3.7.2, which read the same
//! archive, projected it (azimuthal equidistant on WGS 84 about the lower left corner of everything
//! within buildings) and measured it. Shared walls are half of what the perimeters of all units
//! exceed the outline by.

use approx::assert_abs_diff_eq;
use geo::{Area, Distance, Euclidean, Geometry, Line};
use import::{Draft, Guess, Kind, Settings, What};
use plan::Plan;

use super::made::{arcade, arcade_with, packed};
use crate::known::{imported, plain};
use crate::promises::ARCADE;

/// Coordinates have eight decimals and the plan has millimetres: each end of a wall is off by one
/// at most.
const ROUNDING_M: f64 = 0.02;

fn read(settings: &Settings) -> (Draft, Plan) {
    imported(Kind::Imdf, "quay-arcade.zip", &arcade(), settings)
}

fn line(shape: &Geometry<f64>) -> Line<f64> {
    match shape {
        Geometry::Line(line) => *line,
        other => panic!("no line: {other:?}"),
    }
}

/// Number and total length of the walls of a construction on a level.
fn walls(plan: &Plan, level: i32, construction: &str) -> (usize, f64) {
    let walls = plan.walls.iter();
    let walls = walls.filter(|wall| wall.level == level && wall.construction == construction);
    let lengths: Vec<f64> =
        walls.flat_map(|wall| wall.line.lines()).map(|line| line.dx().hypot(line.dy())).collect();
    (lengths.len(), lengths.iter().sum())
}

fn guess<'g>(draft: &'g Draft, about: &str, taken: &str) -> &'g Guess {
    let found = draft.guesses.iter();
    let found = found.filter(|guess| guess.about == about && guess.taken.contains(taken));
    let found: Vec<&Guess> = found.collect();
    assert_eq!(found.len(), 1, "{about} … {taken}: {:#?}", draft.guesses);
    found[0]
}

#[test]
fn units_become_walls_as_long_as_an_independent_reader_says() {
    let (_, plan) = read(&plain());
    assert_eq!(plan.name, "Quay Arcade");
    // Ground: 5 + 4 pieces along the south and north, 3 + 3 at the ends.
    let (count, long_m) = walls(&plan, 0, "brick-cavity");
    assert_eq!(count, 15);
    assert_abs_diff_eq!(long_m, 75.9996, epsilon = ROUNDING_M);
    // 89.0019 m of shared edges, of which 2.9994 m lie between the arcade and its ramp.
    let (count, long_m) = walls(&plan, 0, "brick-half");
    assert_eq!(count, 17);
    assert_abs_diff_eq!(long_m, 89.0019 - 2.9994, epsilon = ROUNDING_M);
    let (count, long_m) = walls(&plan, 1, "brick-cavity");
    assert_eq!(count, 13);
    assert_abs_diff_eq!(long_m, 75.9996, epsilon = ROUNDING_M);
    let (count, long_m) = walls(&plan, 1, "brick-half");
    assert_eq!(count, 15);
    assert_abs_diff_eq!(long_m, 81.0000 - 5.9989, epsilon = ROUNDING_M);
    // The drywall in the bookshop and the display wall in the tea room are strips; nothing else is.
    let (count, long_m) = walls(&plan, 0, "stud-partition");
    assert_eq!(count, 2);
    assert_abs_diff_eq!(long_m, 3.5 + 2.0, epsilon = ROUNDING_M);
    let strips = plan.walls.iter().filter_map(|wall| wall.thickness_mm);
    for thickness_mm in strips {
        assert_abs_diff_eq!(thickness_mm, 100.0, epsilon = 2.0);
    }
    assert_eq!(plan.walls.len(), 15 + 17 + 13 + 15 + 2);
}

#[test]
fn places_are_where_an_independent_projection_puts_them() {
    let (draft, _) = read(&plain());
    // Both ends of the main entrance and of the restroom door upstairs, by pyproj.
    let ends = [(0, (2.427, 5.451), (1.959, 6.981)), (1, (11.689, 12.779), (11.456, 13.545))];
    for (level, from, to) in ends {
        let wanted = Line::new(from, to);
        let openings = draft.pieces.iter();
        let openings =
            openings.filter(|piece| piece.what.word() == "opening" && piece.level == level);
        let near = |line: &Line<f64>| {
            let off = |a, b| Euclidean.distance(geo::Point(a), geo::Point(b));
            let straight = off(line.start, wanted.start).max(off(line.end, wanted.end));
            straight.min(off(line.start, wanted.end).max(off(line.end, wanted.start)))
        };
        let off_m = openings.map(|piece| near(&line(&piece.shape))).fold(f64::INFINITY, f64::min);
        // Projected onto a wall whose corners are rounded to a millimetre.
        assert!(off_m < 0.003, "{off_m} m from {wanted:?}");
    }
}

#[test]
fn levels_follow_the_ordinals_and_are_named_in_english_else_by_the_first_language() {
    let (draft, plan) = read(&plain());
    let levels: Vec<(i32, &str)> =
        plan.levels.iter().map(|level| (level.number, level.name.as_str())).collect();
    assert_eq!(levels, [(0, "Ground floor"), (1, "Obergeschoss")]);
    assert_abs_diff_eq!(plan.levels[1].floor_m, 2.7, epsilon = 1e-9);
    assert_abs_diff_eq!(plan.levels[1].ceiling_m, 5.1, epsilon = 1e-9);
    assert_eq!(guess(&draft, "heights", "2.4 m").pieces, 2);
}

#[test]
fn the_upper_level_has_a_floor_with_a_hole_where_one_looks_down() {
    let (draft, plan) = read(&plain());
    let [slab] = plan.slabs.as_slice() else {
        panic!("{:?}", plan.slabs);
    };
    assert_eq!((slab.level, slab.construction.as_str()), (1, "floor-concrete"));
    assert_eq!(slab.outline.interiors().len(), 1);
    assert_abs_diff_eq!(slab.outline.unsigned_area(), 300.0036, epsilon = 0.1);
    guess(&draft, "floors", "lowest level has none");
    guess(&draft, "opentobelow", "hole in the floor");
}

#[test]
fn doors_are_built_as_the_archive_says_and_people_come_in_by_the_main_one() {
    let (draft, plan) = read(&plain());
    assert_eq!(plan.openings.len(), 12 + 7);
    let count = |construction: &str| {
        let openings = plan.openings.iter().filter(|opening| !opening.open);
        openings.filter(|opening| opening.construction == construction).count()
    };
    // Timber: the barber, the restroom, and six upstairs; one is of no known material.
    assert_eq!(count("door-solid"), 2 + 6 + 1);
    assert_eq!(count("door-glazed"), 4);
    assert_eq!(count("door-steel"), 2);
    assert_eq!(count("garage-door-steel"), 1);
    // The tea room's front of type «open» and two without a door.
    assert_eq!(plan.openings.iter().filter(|opening| opening.open).count(), 3);
    let entries: Vec<&str> =
        plan.openings.iter().filter(|o| o.entry).map(|o| o.id.as_str()).collect();
    assert_eq!(entries, ["main-entrance"]);
    // The independent reader's total of the ground floor, without the one that lies on no wall.
    let long_m: f64 = draft
        .pieces
        .iter()
        .filter(|piece| piece.level == 0 && piece.what.word() == "opening")
        .map(|piece| line(&piece.shape))
        .map(|line| line.dx().hypot(line.dy()))
        .sum();
    assert_abs_diff_eq!(long_m, 16.7008 - 1.0001, epsilon = ROUNDING_M);
    for opening in &plan.openings {
        assert_abs_diff_eq!(opening.top_m - opening.base_m, 2.0, epsilon = 1e-9);
    }
    assert_eq!(guess(&draft, "doors of wood", "door-solid").pieces, 8);
    assert_eq!(guess(&draft, "doors of no known material", "door-solid").pieces, 1);
    assert_eq!(guess(&draft, "openings without a door", "open").pieces, 3);
}

#[test]
fn what_lies_on_no_wall_or_no_level_is_left_out_and_told_by_its_id() {
    let (draft, _) = read(&plain());
    let on_no_wall = guess(&draft, "opening.geojson", "no wall within");
    assert!(
        on_no_wall.taken.contains("\"00000000-0000-4000-8000-000000000044\""),
        "{on_no_wall:?}"
    );
    assert_eq!(on_no_wall.pieces, 1);
    assert_eq!(guess(&draft, "opening.geojson", "names no level").pieces, 1);
    assert_eq!(guess(&draft, "unit.geojson", "names no level").pieces, 1);
    assert_eq!(guess(&draft, "unit.geojson", "outdoors").pieces, 1);
    assert_eq!(guess(&draft, "level.geojson", "outdoors").pieces, 1);
    assert_eq!(guess(&draft, "fixture.geojson", "not read").pieces, 2);
    assert_eq!(guess(&draft, "detail.geojson", "not read").pieces, 1);
    let others = guess(&draft, "other members", "\"amenity.geojson\"");
    assert_eq!(others.pieces, 3);
}

#[test]
fn rooms_bear_their_names_or_their_occupants_or_their_categories() {
    let (draft, _) = read(&plain());
    let rooms = |level: i32| {
        let rooms = draft.pieces.iter();
        let rooms = rooms.filter(|piece| piece.what == What::Room && piece.level == level);
        let mut names: Vec<&str> = rooms.filter_map(|piece| piece.name.as_deref()).collect();
        names.sort_unstable();
        names
    };
    // The ramp runs into the arcade, and the galleries are one space with the void between them.
    let ground = "Arcade, Arcade office, Barber, Books, Brightwater Chandlery, \
         Grocer, Tea room, not public, restroom female, stairs";
    assert_eq!(rooms(0).join(", "), ground);
    let upper = "Harbour office, Net store, Net store, Sail loft, \
         West gallery, East gallery, not public, restroom, stairs";
    assert_eq!(rooms(1).join(", "), upper);
}

#[test]
fn the_pillar_is_an_obstacle_and_makes_no_walls() {
    let (_, plan) = read(&plain());
    let [pillar] = plan.obstacles.as_slice() else {
        panic!("{:?}", plan.obstacles);
    };
    assert_eq!((pillar.id.as_str(), pillar.construction.as_str()), ("column", "concrete-100"));
    assert_abs_diff_eq!(pillar.outline.unsigned_area(), 0.16, epsilon = 0.002);
}

#[test]
fn the_user_says_what_things_are_built_of() {
    let map = [
        ("glass", "glass-single"),
        ("gate", "none"),
        ("unit.drywall", "glass-single"),
        ("unit.column", "none"),
    ];
    let settings = Settings {
        map: map.map(|(from, to)| (from.to_owned(), to.to_owned())).into(),
        outside: Some("stone-wall".to_owned()),
        inside: Some("block-light".to_owned()),
        ..plain()
    };
    let (draft, plan) = read(&settings);
    assert_eq!(walls(&plan, 0, "stone-wall").0, 15);
    assert_eq!(walls(&plan, 0, "block-light").0, 17);
    assert_eq!(walls(&plan, 0, "glass-single").0, 1);
    assert!(plan.obstacles.is_empty());
    assert_eq!(plan.openings.len(), 18);
    let glazed = plan.openings.iter().filter(|opening| opening.construction == "glass-single");
    assert_eq!(glazed.count(), 4);
    assert_eq!(guess(&draft, "opening.geojson", "--map").pieces, 1);
    // What the user said is no guess.
    let said = ["outside walls", "inside walls", "doors of glass", "drywall", "column"];
    assert!(draft.guesses.iter().all(|guess| !said.contains(&guess.about.as_str())));
}

#[test]
fn the_same_archive_gives_the_same_plan_whatever_the_order_and_place_of_its_members() {
    let first = read(&plain()).0.text();
    assert_eq!(read(&plain()).0.text(), first);
    let mut files: Vec<(String, Vec<u8>)> = ARCADE
        .iter()
        .map(|(name, text)| (format!("quay/{name}"), text.as_bytes().to_vec()))
        .collect();
    files.reverse();
    files.push(("__packer/quay/unit.geojson".to_owned(), b"not JSON".to_vec()));
    files.push(("quay/older.zip".to_owned(), arcade()));
    let bytes = super::made::packed_by(&files, zip::CompressionMethod::Stored);
    let draft = imported(Kind::Imdf, "quay-arcade.zip", &bytes, &plain()).0;
    assert_eq!(draft.text(), first);
    assert_eq!(guess(&draft, "other members", "\"older.zip\"").pieces, 5);
}

/// The archive that is shipped as an example.
const SHIPPED: &[u8] = include_bytes!("../../../floorplans/map/quay-arcade.zip");

#[test]
fn the_shipped_archive_holds_the_files_of_the_test() {
    let mut shipped = zip::ZipArchive::new(std::io::Cursor::new(SHIPPED)).unwrap();
    assert_eq!(shipped.len(), ARCADE.len());
    for (name, text) in ARCADE {
        let mut member = shipped.by_name(name).unwrap();
        let mut held = String::new();
        std::io::Read::read_to_string(&mut member, &mut held).unwrap();
        assert_eq!(held, text, "{name}");
    }
    let (draft, _) = imported(Kind::Imdf, "quay-arcade.zip", SHIPPED, &plain());
    assert_eq!(draft.text(), read(&plain()).0.text());
}

#[test]
#[ignore = "packs the files of the test anew into floorplans/map, for when they have changed"]
fn the_shipped_archive_is_packed() {
    let folder = fixtures::root().join("floorplans/map");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("quay-arcade.zip"), packed(&arcade_with(&[]))).unwrap();
}
