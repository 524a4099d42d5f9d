//! The shipped map of an invented clinic round a yard: multipolygons for the building and its
//! corridors.
//!
//! Numbers from `osm2geojson` 0.3.2, `osmium` 4.3.2 (counts), `pyproj` 3.7.2 and `shapely` 2.2.0.

use geo::{Area, Euclidean, Geometry, Length};
use import::{Draft, Kind, What};
use plan::Plan;

use crate::known::{imported, plain};

fn clinic() -> (Draft, Plan) {
    let map = include_bytes!("../../../floorplans/map/clinic.osm");
    imported(Kind::OsmXml, "clinic.osm", map, &plain())
}

#[test]
fn its_walls_are_as_long_as_other_readers_measure_them() {
    let (draft, _) = clinic();
    let metres = |level: i32| -> f64 {
        let here = draft.pieces.iter().filter(|piece| piece.level == level);
        here.filter(|piece| matches!(piece.what, What::Wall { .. }))
            .map(|piece| match &piece.shape {
                Geometry::LineString(line) => Euclidean.length(line),
                _ => 0.0,
            })
            .sum()
    };
    // Sides of rooms, and of the corridor along the yard.
    assert!((metres(0) - (167.81 + 25.99)).abs() < 0.03, "{}", metres(0));
    assert!((metres(1) - (164.41 + 25.99)).abs() < 0.03, "{}", metres(1));
}

#[test]
fn its_floor_has_the_yard_as_a_hole_whichever_way_the_ring_runs() {
    let (draft, _) = clinic();
    let floors: Vec<f64> = draft
        .pieces
        .iter()
        .filter_map(|piece| match (&piece.what, &piece.shape) {
            (What::Slab { .. }, Geometry::Polygon(area)) => Some(area.unsigned_area()),
            _ => None,
        })
        .collect();
    assert_eq!(floors.len(), 1);
    assert!((floors[0] - 344.05).abs() < 0.03, "{floors:?}");
}

#[test]
fn every_door_and_window_has_its_wall() {
    let (draft, plan) = clinic();
    let on = |level: i32| {
        let openings = plan.openings.iter();
        openings.filter(|opening| plan.walls[opening.wall].level == level).count()
    };
    assert_eq!((on(0), on(1)), (13 + 10, 9 + 10));
    assert!(draft.guesses.iter().all(|guess| !guess.taken.contains("left out")));
    assert_eq!(plan.stairs.len(), 1);
}
