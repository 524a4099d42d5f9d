//! An invented office of two levels, in both forms.
//!
//! Lengths and areas against `pyosmium` 4.3.2 as the reader, `pyproj` 3.7.2 (azimuthal equidistant
//! around the lower left corner, WGS 84) and `shapely` 2.2.0 as the geometry.

use std::collections::BTreeMap;

use geo::{Area, Euclidean, Geometry, Length};
use import::{Draft, Kind, What};
use plan::Plan;

use crate::known::{imported, plain};

const XML: &[u8] = include_bytes!("files/office.osm");
const GEOJSON: &[u8] = include_bytes!("files/office.geojson");

fn office() -> (Draft, Plan) {
    imported(Kind::OsmXml, "office.osm", XML, &plain())
}

/// Metres of wall of a level by construction, to a centimetre.
fn walls(draft: &Draft, on: i32) -> BTreeMap<&str, f64> {
    let mut all: BTreeMap<&str, f64> = BTreeMap::new();
    for piece in &draft.pieces {
        if let (What::Wall { construction, .. }, Geometry::LineString(line), true) =
            (&piece.what, &piece.shape, piece.level == on)
        {
            *all.entry(construction).or_default() += Euclidean.length(line);
        }
    }
    all
}

#[test]
fn both_forms_give_the_same_draft() {
    let (from_xml, _) = office();
    let (from_json, _) = imported(Kind::IndoorGeojson, "office.geojson", GEOJSON, &plain());
    assert_eq!(from_xml.levels, from_json.levels);
    assert_eq!(from_xml.pieces, from_json.pieces);
    assert_eq!(from_xml.guesses, from_json.guesses);
}

#[test]
fn walls_are_as_long_as_another_reader_measures_them() {
    let (draft, _) = office();
    let metres = |level| walls(&draft, level).values().sum::<f64>();
    // Level 0: sides of rooms and of the corridor, each once, 123.99 m.
    assert!((metres(0) - 123.99).abs() < 0.02, "{}", metres(0));
    // Level 1: rooms and corridor 89.98 m, the building's outline where only the open plan lies
    // along it 17.00 m, the drawn line 3.00 m, and the drawn strip, 2.00 m long.
    let drawn = 89.98 + 17.00 + 3.00 + 2.00;
    assert!((metres(1) - drawn).abs() < 0.02, "{}", metres(1));
}

#[test]
fn the_floor_is_as_large_as_another_reader_measures_it() {
    let (draft, _) = office();
    let floors: Vec<(i32, f64)> = draft
        .pieces
        .iter()
        .filter_map(|piece| match (&piece.what, &piece.shape) {
            (What::Slab { .. }, Geometry::Polygon(area)) => {
                Some((piece.level, area.unsigned_area()))
            }
            _ => None,
        })
        .collect();
    // `shapely`: 239.94 m², as geodesics of `pyproj` have it; no floor under the lowest level.
    let [(1, area)] = floors.as_slice() else { panic!("{floors:?}") };
    assert!((area - 239.94).abs() < 0.02, "{area}");
}

#[test]
fn materials_and_heights_come_from_the_map() {
    let (draft, plan) = office();
    // The building says brick, and so are its outside walls; inside a room's material counts.
    let below = walls(&draft, 0);
    assert!((below["brick-cavity"] - 64.00).abs() < 0.02, "{below:?}");
    assert!((below["glass-single"] - 12.99).abs() < 0.02, "{below:?}");
    assert!((below["concrete-100"] - 22.00).abs() < 0.02, "{below:?}");
    // 6.2 m and two levels: 3.1 m from floor to floor.
    let levels: Vec<(i32, f64, f64)> =
        plan.levels.iter().map(|level| (level.number, level.floor_m, level.ceiling_m)).collect();
    assert_eq!(levels, [(0, 0.0, 2.8), (1, 3.1, 5.9)]);
    // The low partition of the open plan.
    let low = plan.walls.iter().find(|wall| wall.top_m - wall.base_m < 2.0);
    assert!((low.unwrap().top_m - 4.6).abs() < 1e-9);
}

#[test]
fn openings_lie_on_their_walls_and_the_stray_one_is_told() {
    let (draft, plan) = office();
    // Another reader counts 8 doors and 3 windows on level 0, 4 and 1 on level 1; one of the 8 lies
    // on no wall.
    let on = |level: i32| {
        let walls = &plan.walls;
        let here = plan.openings.iter().filter(|opening| walls[opening.wall].level == level);
        here.count()
    };
    assert_eq!((on(0), on(1)), (7 + 3, 4 + 1));
    assert_eq!(plan.openings.iter().filter(|opening| opening.entry).count(), 1);
    assert_eq!(plan.openings.iter().filter(|opening| opening.open).count(), 2);
    assert!(draft.guesses[0].taken.contains("the door is on no wall"), "{:?}", draft.guesses);
}

#[test]
fn rooms_have_names_and_the_stairs_lead_up() {
    let (draft, plan) = office();
    let rooms: Vec<(&str, i32)> = draft
        .pieces
        .iter()
        .filter(|piece| piece.what == What::Room)
        .map(|piece| (piece.name.as_deref().unwrap_or_default(), piece.level))
        .collect();
    let known = [
        ("Ground corridor", 0),
        ("Reception", 0),
        ("Office A", 0),
        ("Storage", 0),
        ("Meeting", 0),
        ("Room 0.05", 0),
        ("Stairs", 0),
        ("Stairs", 1),
        ("Upper corridor, Open plan", 1),
        ("Lab", 1),
        ("Server room", 1),
        ("Archive", 1),
    ];
    assert_eq!(rooms, known);
    let [stairs] = plan.stairs.as_slice() else { panic!("{:?}", plan.stairs) };
    assert_eq!((stairs.level, stairs.to_level), (0, 1));
}
